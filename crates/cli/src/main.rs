//! The `halfglass` binary: arguments in, text, JSON or PDF out. It holds no formula.

mod args;
mod batch;
mod commands;
mod failure;
mod input;
mod output;
mod problems;
mod terminal;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

fn main() -> ExitCode {
    let cli = Cli::parse();
    let result = match cli.command {
        Command::New(args) => commands::new::run(&args),
        Command::Check(args) => commands::check::run(&args),
        Command::Sheet(args) => commands::sheet::run(&args),
        Command::Pack(args) => commands::pack::run(&args),
        Command::Figure(args) => commands::figure::run(&args),
        Command::Simulate(args) => commands::simulate::run(&args),
        Command::Tune(args) => commands::tune::run(&args),
        Command::Serve(args) => commands::serve::run(&args),
        Command::Schema => commands::schema::run(),
        Command::Completions { shell } => commands::completions::run(shell),
        Command::Man { folder } => commands::man::run(&folder),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}
