//! What the tests need beside Rust: poppler-utils (PDF text and pages), Chromium with its driver and an accessibility
//! checker from npm, cargo-deny, and Python with the libraries of the crosscheck in a folder of their own.

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
    browser()?;
    node()?;
    python(Libraries::Crosscheck)?;
    python(Libraries::Api).map(drop)
}

/// Node.js with its own test runner.
pub(crate) fn node() -> Result<(), String> {
    if available("node", &["--test", "--version"]) {
        return Ok(());
    }
    debian_package(
        "nodejs",
        "the tests of the workbench's script run in it",
        "`node` is missing or older than 18: install Node.js 18 or later and run this again",
    )?;
    if available("node", &["--test", "--version"]) {
        Ok(())
    } else {
        Err("`node` is older than 18: install Node.js 18 or later and run this again".into())
    }
}

/// Chromium, its driver, and the accessibility checker in a folder of its own.
fn browser() -> Result<(), String> {
    let elsewhere = "Chromium with chromedriver is missing: install both in the same version so that `chromium` (or Chrome) \
                     and `chromedriver` are in the path, and run this again";
    for (program, package) in [
        ("chromium", "chromium"),
        ("chromedriver", "chromium-driver"),
    ] {
        if !available(program, &["--version"]) {
            debian_package(
                package,
                "the tests use the workbench in a real browser",
                elsewhere,
            )?;
        }
    }
    let wanted = root().join("validation/browser/package.json");
    let folder = root().join("target/browser-tests");
    let list = std::fs::read_to_string(&wanted)
        .map_err(|error| format!("{}: {error}", wanted.display()))?;
    let stamp = folder.join("package.json");
    let checker = folder.join("node_modules/axe-core/axe.min.js");
    if checker.exists() && std::fs::read_to_string(&stamp).is_ok_and(|installed| installed == list)
    {
        return Ok(());
    }
    if !available("npm", &["--version"]) {
        debian_package(
            "npm",
            "it fetches the accessibility checker axe-core",
            "`npm` is missing: install Node.js with npm and run this again",
        )?;
    }
    println!(
        "xtask: fetching axe-core from npm into {}",
        folder.display()
    );
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    std::fs::write(&stamp, list).map_err(|error| format!("{}: {error}", stamp.display()))?;
    npm_install(&folder)
}

/// Installs what a folder's `package.json` lists, without running the packages' scripts.
fn npm_install(folder: &Path) -> Result<(), String> {
    run(
        "npm",
        &[
            "install",
            "--no-audit",
            "--no-fund",
            "--ignore-scripts",
            "--prefix",
            text(folder)?,
        ],
    )
}

/// Python libraries, each list in an environment of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Libraries {
    /// What the crosscheck compares with.
    Crosscheck,
    /// What asks the workbench's API.
    Api,
}

impl Libraries {
    fn name(self) -> &'static str {
        match self {
            Self::Crosscheck => "crosscheck",
            Self::Api => "api",
        }
    }
}

/// The Python with these libraries, made when missing or when their list has changed.
pub(crate) fn python(libraries: Libraries) -> Result<PathBuf, String> {
    let name = libraries.name();
    let folder = target().join(format!("{name}-venv"));
    let python = if cfg!(windows) {
        folder.join("Scripts/python.exe")
    } else {
        folder.join("bin/python")
    };
    let wanted = root().join(format!("validation/{name}/requirements.txt"));
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
            "the tests compare with Python libraries",
            "Python 3.11 or later with its venv module is missing: install it and run this again",
        )?;
    }
    println!(
        "xtask: installing the libraries of validation/{name} from PyPI into {}",
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
