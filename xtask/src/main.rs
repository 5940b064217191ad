//! Repository tasks: `cargo xtask ci | setup | deps | tidy`.

mod dependencies;
mod tidy;

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

const USAGE: &str = "usage: cargo xtask <task>
  ci      everything that must pass: set-up, format, lints, all tests, docs, dependency directions, tidiness, licences
  setup   install what the tests need (Debian: through apt; elsewhere says what is missing)
  deps    check that crates depend in the allowed directions only
  tidy    check file lengths, module docs, leftovers";

fn main() -> ExitCode {
    let result = match env::args().nth(1).as_deref() {
        Some("ci") => ci(),
        Some("setup") => setup(),
        Some("deps") => dependencies::check(&root()),
        Some("tidy") => tidy::check(&root()),
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

fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_owned()
}

fn ci() -> Result<(), String> {
    setup()?;
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
    run_with(
        "cargo",
        &["doc", "--workspace", "--no-deps"],
        &[("RUSTDOCFLAGS", "-D warnings")],
    )?;
    run("cargo", &["deny", "check", "licenses", "bans", "sources"])?;
    println!("xtask: all of ci passed");
    Ok(())
}

/// Installs what the tests need: poppler-utils (PDF text and pages) and cargo-deny.
fn setup() -> Result<(), String> {
    if !available("pdftotext", "-v") {
        if Path::new("/usr/bin/apt-get").exists() {
            println!(
                "xtask: installing poppler-utils through apt (the tests read the pack's pages with it)"
            );
            let apt: &[&str] = &[
                "apt-get",
                "install",
                "--yes",
                "--no-install-recommends",
                "poppler-utils",
            ];
            if run("sudo", &["-n", "true"]).is_ok() {
                run("sudo", &["apt-get", "update"])?;
                run("sudo", apt)?;
            } else {
                run("apt-get", &["update"])?;
                run("apt-get", &apt[1..])?;
            }
        } else {
            return Err("`pdftotext` is missing: install poppler (macOS: brew install poppler; Fedora: dnf install poppler-utils; \
                        Windows: winget install poppler) and run this again"
                .into());
        }
    }
    if !available("cargo", "deny") {
        println!("xtask: installing cargo-deny from crates.io (some minutes, once)");
        run("cargo", &["install", "--locked", "cargo-deny@0.20.2"])?;
    }
    Ok(())
}

/// Does a program answer at all.
fn available(program: &str, argument: &str) -> bool {
    let mut command = Command::new(program);
    command.arg(argument);
    if argument == "deny" {
        command.arg("--version");
    }
    command.output().is_ok_and(|output| output.status.success())
}

fn run(program: &str, arguments: &[&str]) -> Result<(), String> {
    run_with(program, arguments, &[])
}

fn run_with(program: &str, arguments: &[&str], environment: &[(&str, &str)]) -> Result<(), String> {
    println!("xtask: {program} {}", arguments.join(" "));
    let status = Command::new(program)
        .args(arguments)
        .envs(environment.iter().copied())
        .current_dir(root())
        .status()
        .map_err(|error| format!("{program} could not be started: {error}"))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!(
            "{program} {} failed ({status})",
            arguments.join(" ")
        ))
    }
}
