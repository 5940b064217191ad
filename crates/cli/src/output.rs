//! Text to standard output and files to disk, whole or not at all.

use std::io::Write as _;
use std::path::Path;

use halfglass_folder::WriteError;

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
    halfglass_folder::check_target(path).map_err(|error| failure(path, error))
}

/// Writes a file whole or not at all: see [`halfglass_folder::write_whole`].
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    halfglass_folder::write_whole(path, bytes).map_err(|error| failure(path, error))
}

/// The machine's own words where it has any.
fn failure(path: &Path, error: WriteError) -> Failure {
    let error = match error {
        WriteError::DiskFull(error)
        | WriteError::NotPermitted(error)
        | WriteError::System(error) => error,
        ours => std::io::Error::other(ours.to_string()),
    };
    Failure::Machine {
        doing: "writing",
        path: path.to_owned(),
        error,
    }
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
