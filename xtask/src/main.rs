//! Repository tasks: `cargo xtask ci | setup | crosscheck | bench | deps | tidy | dist`.

mod bench;
mod crosscheck;
mod dependencies;
mod dist;
mod setup;
mod shell;
mod tidy;

use std::env;
use std::process::ExitCode;

use shell::{root, run, run_with};

const USAGE: &str = "usage: cargo xtask <task>
  ci          everything that must pass: set-up, format, lints, all tests, crosscheck, docs, dependency directions, tidiness, licences
  setup       install what the tests need (Debian: through apt and pip in a folder of its own; elsewhere says what is missing)
  crosscheck  recompute the sheets of random loops with other libraries and print the worst differences
  bench       time the work beside a peer and print the ratios
  deps        check that crates depend in the allowed directions only
  tidy        check file lengths, module docs, leftovers
  dist        build the stripped binary and, on Debian, the package; install, run and remove it in a test root";

fn main() -> ExitCode {
    let result = match env::args().nth(1).as_deref() {
        Some("ci") => ci(),
        Some("setup") => setup::setup(),
        Some("crosscheck") => crosscheck::crosscheck(),
        Some("bench") => bench::bench(),
        Some("deps") => dependencies::check(&root()),
        Some("tidy") => tidy::check(&root()),
        Some("dist") => dist::dist(),
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(words) => {
            eprintln!("xtask: {words}");
            ExitCode::FAILURE
        }
    }
}

fn ci() -> Result<(), String> {
    setup::setup()?;
    run("cargo", &["fmt", "--all", "--check"])?;
    dependencies::check(&root())?;
    tidy::check(&root())?;
    run(
        "cargo",
        &[
            "clippy",
            "--workspace",
            "--all-targets",
            "--",
            "-D",
            "warnings",
        ],
    )?;
    run("cargo", &["test", "--workspace", "--no-fail-fast"])?;
    crosscheck::crosscheck()?;
    run_with(
        "cargo",
        &["doc", "--workspace", "--no-deps"],
        &[("RUSTDOCFLAGS", "-D warnings")],
    )?;
    run("cargo", &["deny", "check", "licenses", "bans", "sources"])?;
    println!("xtask: all of ci passed");
    Ok(())
}
