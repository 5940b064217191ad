//! Running other programs.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The repository.
pub(crate) fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_owned()
}

/// Where cargo builds.
pub(crate) fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// Does a program answer at all.
pub(crate) fn available(program: &str, arguments: &[&str]) -> bool {
    Command::new(program)
        .args(arguments)
        .output()
        .is_ok_and(|output| output.status.success())
}

/// Runs a program in the repository and prints what it runs.
pub(crate) fn run(program: &str, arguments: &[&str]) -> Result<(), String> {
    run_with(program, arguments, &[])
}

/// The same with more environment.
pub(crate) fn run_with(
    program: &str,
    arguments: &[&str],
    environment: &[(&str, &str)],
) -> Result<(), String> {
    run_in(&root(), program, arguments, environment)
}

/// The same in a folder.
pub(crate) fn run_in(
    folder: &Path,
    program: &str,
    arguments: &[&str],
    environment: &[(&str, &str)],
) -> Result<(), String> {
    println!("xtask: {program} {}", arguments.join(" "));
    let status = Command::new(program)
        .args(arguments)
        .envs(environment.iter().copied())
        .current_dir(folder)
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

/// What a program prints.
pub(crate) fn output(program: &str, arguments: &[&str]) -> Result<Vec<u8>, String> {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(root())
        .output()
        .map_err(|error| format!("{program} could not be started: {error}"))?;
    if output.status.success() {
        Ok(output.stdout)
    } else {
        Err(format!(
            "{program} {} failed: {}",
            arguments.join(" "),
            String::from_utf8_lossy(&output.stderr)
        ))
    }
}

/// A path as an argument.
pub(crate) fn text(path: &Path) -> Result<&str, String> {
    path.to_str()
        .ok_or_else(|| format!("{} is not Unicode", path.display()))
}
