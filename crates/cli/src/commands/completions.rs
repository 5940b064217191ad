//! `halfglass completions`: a shell's completion script.

use clap::CommandFactory as _;

use crate::args::Cli;
use crate::failure::Failure;
use crate::output;

pub(crate) fn run(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "halfglass", &mut script);
    output::print_bytes(&script)
}
