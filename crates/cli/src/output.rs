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

/// Writes a file whole or not at all: into a temporary file in the same folder, synced, then renamed.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let machine = |error| Failure::Machine {
        doing: "writing",
        path: path.to_owned(),
        error,
    };
    let name = path
        .file_name()
        .ok_or_else(|| machine(std::io::Error::other("this is not a file name")))?;
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}.part", std::process::id()));
    let part = path.with_file_name(beside);
    let written = std::fs::File::create(&part)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .and_then(|()| std::fs::rename(&part, path));
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
