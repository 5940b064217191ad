//! What the tests need beside Rust: poppler-utils (PDF text and pages), cargo-deny, and Python with the libraries of the
//! crosscheck in a folder of their own.

use std::path::{Path, PathBuf};

use crate::shell::{available, root, run, target, text};

/// Installs it on Debian; elsewhere says what is missing.
pub(crate) fn setup() -> Result<(), String> {
    if !available("pdftotext", &["-v"]) {
        debian_package(
            "poppler-utils",
            "the tests read the pack's pages with it",
            "`pdftotext` is missing: install poppler (macOS: brew install poppler; Fedora: dnf install poppler-utils; \
             Windows: winget install poppler) and run this again",
        )?;
    }
    if !available("cargo", &["deny", "--version"]) {
        println!("xtask: installing cargo-deny from crates.io (some minutes, once)");
        run("cargo", &["install", "--locked", "cargo-deny@0.20.2"])?;
    }
    crosscheck_python().map(drop)
}

/// The Python of the crosscheck, made when missing or when its list of libraries has changed.
pub(crate) fn crosscheck_python() -> Result<PathBuf, String> {
    let folder = target().join("crosscheck-venv");
    let python = if cfg!(windows) {
        folder.join("Scripts/python.exe")
    } else {
        folder.join("bin/python")
    };
    let wanted = root().join("validation/crosscheck/requirements.txt");
    let list = std::fs::read_to_string(&wanted)
        .map_err(|error| format!("{}: {error}", wanted.display()))?;
    let stamp = folder.join("installed.txt");
    if python.exists() && std::fs::read_to_string(&stamp).is_ok_and(|installed| installed == list) {
        return Ok(python);
    }
    let base = if cfg!(windows) { "python" } else { "python3" };
    if !available(base, &["-c", "import ensurepip, venv"]) {
        debian_package(
            "python3-venv",
            "the crosscheck compares with Python libraries",
            "Python 3.11 or later with its venv module is missing: install it and run this again",
        )?;
    }
    println!(
        "xtask: installing the crosscheck's libraries from PyPI into {}",
        folder.display()
    );
    run(base, &["-m", "venv", "--clear", text(&folder)?])?;
    run(
        text(&python)?,
        &[
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "-r",
            text(&wanted)?,
        ],
    )?;
    std::fs::write(&stamp, list).map_err(|error| format!("{}: {error}", stamp.display()))?;
    Ok(python)
}

/// Installs a package with apt, or says what to do where there is no apt.
fn debian_package(package: &str, why: &str, elsewhere: &str) -> Result<(), String> {
    if !Path::new("/usr/bin/apt-get").exists() {
        return Err(elsewhere.to_owned());
    }
    println!("xtask: installing {package} through apt ({why})");
    let install = ["install", "--yes", "--no-install-recommends", package];
    if available("sudo", &["-n", "true"]) {
        run("sudo", &["apt-get", "update"])?;
        run("sudo", &[&["apt-get"], &install[..]].concat())
    } else {
        run("apt-get", &["update"])?;
        run("apt-get", &install)
    }
}
