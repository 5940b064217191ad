//! Repository tasks: `cargo xtask ci | setup | crosscheck | api | bench | deps | tidy | manual-pictures | dist`.

mod api;
mod bench;
mod crosscheck;
mod dependencies;
mod dist;
mod load;
mod manual;
mod served;
mod setup;
mod shell;
mod tidy;

use std::env;
use std::process::ExitCode;

use shell::{root, run, run_with};

const USAGE: &str = "usage: cargo xtask <task>
  ci               everything that must pass: set-up, format, lints, all tests, crosscheck, API, docs, dependency directions, tidiness, licences
  setup            install what the tests need (Debian: through apt and pip in a folder of its own; elsewhere says what is missing)
  crosscheck       recompute the sheets of random loops with other libraries and print the worst differences
  api              hold the workbench's API to its document, and its script to the server's numbers
  bench            time the work beside a peer and print the ratios
  deps             check that crates depend in the allowed directions only
  tidy             check file lengths, module docs, leftovers
  manual-pictures  take the manual's pictures of the workbench and put them into docs/src/images
  dist             build the stripped binary and, on Debian, the package; install, run and remove it in a test root";

fn main() -> ExitCode {
    let result = match env::args().nth(1).as_deref() {
        Some("ci") => ci(),
        Some("setup") => setup::setup(),
        Some("crosscheck") => crosscheck::crosscheck(),
        Some("api") => api::api().and_then(|()| api::script()),
        Some("bench") => bench::bench(env::args().nth(2).as_deref()),
        Some("deps") => dependencies::check(&root()),
        Some("tidy") => tidy::check(&root()),
        Some("manual-pictures") => manual::pictures(),
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
    api::script()?;
    api::api()?;
    run_with(
        "cargo",
        &["doc", "--workspace", "--no-deps"],
        &[("RUSTDOCFLAGS", "-D warnings")],
    )?;
    run("cargo", &["deny", "check", "licenses", "bans", "sources"])?;
    println!("xtask: all of ci passed");
    Ok(())
}
