//! What is handed to others: a stripped binary, and on Debian a package with completions, man pages and examples, which
//! is installed into a test root, run, and removed again.

use std::fs;
use std::path::{Path, PathBuf};

use crate::shell::{available, output, root, run, target, text};

/// Builds, packs, installs, runs, removes.
pub(crate) fn dist() -> Result<(), String> {
    run(
        "cargo",
        &["build", "--profile", "dist", "--package", "halfglass"],
    )?;
    let binary = target().join(format!("dist/halfglass{}", std::env::consts::EXE_SUFFIX));
    let folder = target().join("handed-out");
    fresh(&folder)?;
    let plain = folder.join(format!("halfglass{}", std::env::consts::EXE_SUFFIX));
    copy(&binary, &plain)?;
    println!("xtask: {}, {} bytes", plain.display(), size(&plain)?);
    if !available("dpkg-deb", &["--version"]) {
        println!("xtask: no dpkg-deb here: only the binary was made");
        return Ok(());
    }
    let package = debian_package(&binary, &folder)?;
    println!("xtask: {}, {} bytes", package.display(), size(&package)?);
    installed_and_removed(&package, &folder.join("test-root"))
}

/// The `.deb`.
fn debian_package(binary: &Path, folder: &Path) -> Result<PathBuf, String> {
    let staged = folder.join("staged");
    let program = staged.join("usr/bin/halfglass");
    copy(binary, &program)?;
    for (shell, place) in [
        ("bash", "usr/share/bash-completion/completions/halfglass"),
        ("zsh", "usr/share/zsh/vendor-completions/_halfglass"),
        ("fish", "usr/share/fish/vendor_completions.d/halfglass.fish"),
    ] {
        write(
            &staged.join(place),
            &output(text(binary)?, &["completions", shell])?,
        )?;
    }
    let manual = staged.join("usr/share/man/man1");
    run(text(binary)?, &["man", text(&manual)?])?;
    for page in entries(&manual)? {
        run("gzip", &["-9n", text(&page)?])?;
    }
    let documents = staged.join("usr/share/doc/halfglass");
    write(
        &documents.join("copyright"),
        b"halfglass: MIT OR Apache-2.0, at your choice.\n\
          Source Sans 3, embedded: SIL Open Font License 1.1, see OFL.txt.\n",
    )?;
    copy(
        &root().join("crates/pack/fonts/OFL.txt"),
        &documents.join("OFL.txt"),
    )?;
    copy(&root().join("CHANGELOG.md"), &documents.join("changelog"))?;
    run("gzip", &["-9n", text(&documents.join("changelog"))?])?;
    for example in entries(&root().join("examples"))? {
        if let Some(name) = example.file_name() {
            copy(&example, &documents.join("examples").join(name))?;
        }
    }
    let version = env!("CARGO_PKG_VERSION");
    let architecture = String::from_utf8_lossy(&output("dpkg", &["--print-architecture"])?)
        .trim()
        .to_owned();
    let kibibytes = size(&program)?.div_ceil(1024);
    write(
        &staged.join("DEBIAN/control"),
        format!(
            "Package: halfglass\nVersion: {version}\nArchitecture: {architecture}\nMaintainer: halfglass developers <halfglass@localhost>\n\
             Installed-Size: {kibibytes}\nDepends: libc6 (>= 2.34)\nSection: science\nPriority: optional\n\
             Description: level control of steam vessels, from survey to commissioning pack\n \
             Ranges the differential-pressure cell for the hot vessel, sizes the feedwater valve,\n \
             checks the signal loop, gives controller settings and prints the papers.\n"
        )
        .as_bytes(),
    )?;
    let package = folder.join(format!("halfglass_{version}_{architecture}.deb"));
    run(
        "dpkg-deb",
        &[
            "--build",
            "--root-owner-group",
            text(&staged)?,
            text(&package)?,
        ],
    )?;
    Ok(package)
}

/// Installs the package into an empty root, runs it there, removes it and looks for what it left.
fn installed_and_removed(package: &Path, test_root: &Path) -> Result<(), String> {
    fresh(test_root)?;
    let database = test_root.join("var/lib/dpkg");
    for folder in ["info", "updates", "triggers"] {
        fs::create_dir_all(database.join(folder)).map_err(|error| error.to_string())?;
    }
    write(&database.join("status"), b"")?;
    let inside = format!("--root={}", text(test_root)?);
    // The empty root has no C library of its own; the program runs with this machine's.
    let options = [
        inside.as_str(),
        "--force-not-root",
        "--force-depends",
        "--log=/dev/null",
    ];
    run(
        "dpkg",
        &[&options[..], &["--install", text(package)?]].concat(),
    )?;
    let program = test_root.join("usr/bin/halfglass");
    let example = test_root.join("usr/share/doc/halfglass/examples/laundry-shell-boiler.toml");
    let sheet = output(
        text(&program)?,
        &["sheet", text(&example)?, "--only", "range"],
    )?;
    if sheet.is_empty() {
        return Err("the installed program printed no sheet".into());
    }
    for place in [
        "usr/share/man/man1/halfglass.1.gz",
        "usr/share/bash-completion/completions/halfglass",
    ] {
        if !test_root.join(place).exists() {
            return Err(format!("the package has no {place}"));
        }
    }
    run("dpkg", &[&options[..], &["--purge", "halfglass"]].concat())?;
    if test_root.join("usr/bin/halfglass").exists()
        || test_root.join("usr/share/doc/halfglass").exists()
    {
        return Err("removing the package left files behind".into());
    }
    println!(
        "xtask: the package was installed, run and removed in {}",
        test_root.display()
    );
    Ok(())
}

fn fresh(folder: &Path) -> Result<(), String> {
    if folder.exists() {
        fs::remove_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    }
    fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))
}

fn parent(path: &Path) -> Result<(), String> {
    path.parent().map_or(Ok(()), |folder| {
        fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))
    })
}

fn copy(from: &Path, to: &Path) -> Result<(), String> {
    parent(to)?;
    fs::copy(from, to)
        .map(drop)
        .map_err(|error| format!("{} to {}: {error}", from.display(), to.display()))
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    parent(path)?;
    fs::write(path, bytes).map_err(|error| format!("{}: {error}", path.display()))
}

fn size(path: &Path) -> Result<u64, String> {
    fs::metadata(path)
        .map(|metadata| metadata.len())
        .map_err(|error| format!("{}: {error}", path.display()))
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let mut paths = fs::read_dir(folder)
        .map_err(|error| format!("{}: {error}", folder.display()))?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| format!("{}: {error}", folder.display()))?;
    paths.sort();
    Ok(paths)
}
