//! Text to standard output and files to disk: a file is written beside its place and moved there whole.

use std::io::Write as _;
use std::path::Path;

use crate::failure::Failure;

/// Prints text; a closed pipe is not an error.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Err(Failure::ClosedPipe),
        Err(error) => Err(Failure::Machine {
            doing: "writing",
            path: "standard output".into(),
            error,
        }),
    }
}

/// Says no early where a file cannot be written: a missing folder, a folder in its place.
pub(crate) fn check_target(path: &Path) -> Result<(), Failure> {
    let machine = |words: &str| Failure::Machine {
        doing: "writing",
        path: path.to_owned(),
        error: std::io::Error::other(words),
    };
    if path.is_dir() {
        return Err(machine("this is a folder"));
    }
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => {
            Err(machine("its folder does not exist"))
        }
        _ => Ok(()),
    }
}

/// Writes a file whole or not at all: into a temporary file in the same folder, synced, then renamed. A link is followed
/// and stays a link; permissions of a file that is replaced stay; a device or pipe is written into, never replaced.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let machine = |error| Failure::Machine {
        doing: "writing",
        path: path.to_owned(),
        error,
    };
    check_target(path)?;
    let place = if path.exists() {
        path.canonicalize().map_err(machine)?
    } else {
        path.to_owned()
    };
    let present = std::fs::metadata(&place).ok();
    if present.as_ref().is_some_and(|present| !present.is_file()) {
        let written = std::fs::OpenOptions::new()
            .write(true)
            .open(&place)
            .and_then(|mut device| device.write_all(bytes).and_then(|()| device.flush()));
        return written.map_err(machine);
    }
    let name = place
        .file_name()
        .ok_or_else(|| machine(std::io::Error::other("this is not a file name")))?;
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}.part", std::process::id()));
    let part = place.with_file_name(beside);
    let written = std::fs::File::create(&part)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .and_then(|()| {
            present.map_or(Ok(()), |present| {
                std::fs::set_permissions(&part, present.permissions())
            })
        })
        .and_then(|()| std::fs::rename(&part, &place));
    if let Err(error) = written {
        // The first error is the one worth telling; a part file that cannot be removed changes nothing for the reader.
        let _ = std::fs::remove_file(&part);
        return Err(machine(error));
    }
    Ok(())
}

/// Prints bytes as they are, for `--output -`.
pub(crate) fn print_bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Err(Failure::ClosedPipe),
        Err(error) => Err(Failure::Machine {
            doing: "writing",
            path: "standard output".into(),
            error,
        }),
    }
}
