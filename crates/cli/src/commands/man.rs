//! `halfglass man`: manual pages, one for the command and one a verb.

use std::path::Path;

use clap::CommandFactory as _;

use crate::args::Cli;
use crate::failure::Failure;
use crate::output;

pub(crate) fn run(folder: &Path) -> Result<(), Failure> {
    let machine = |error| Failure::Machine {
        doing: "making the manual pages in",
        path: folder.to_owned(),
        error,
    };
    std::fs::create_dir_all(folder).map_err(machine)?;
    let mut command = Cli::command();
    command.build();
    write_page(folder, "halfglass", &command)?;
    for verb in command
        .get_subcommands()
        .filter(|verb| verb.get_name() != "help")
    {
        write_page(folder, &format!("halfglass-{}", verb.get_name()), verb)?;
    }
    Ok(())
}

fn write_page(folder: &Path, name: &str, command: &clap::Command) -> Result<(), Failure> {
    let mut page = Vec::new();
    clap_mangen::Man::new(command.clone())
        .title(name.to_uppercase())
        .render(&mut page)
        .map_err(|error| Failure::Machine {
            doing: "rendering",
            path: name.into(),
            error,
        })?;
    output::write_file(&folder.join(format!("{name}.1")), &page)
}
