//! A file written whole or not at all.

use std::fs::Permissions;
use std::io::{self, Write as _};
use std::path::Path;

use crate::part::{Part, sync_folder};

/// Why a file was not written; what stood there before still stands.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// A folder has this name.
    #[error("this is a folder")]
    IsFolder,
    /// The folder to write into does not exist.
    #[error("its folder does not exist")]
    NoFolder,
    /// Something stands where a new file was to be.
    #[error("something of this name is there already")]
    Exists,
    /// The path has no file name.
    #[error("this is not a file name")]
    NoName,
    /// The disk is full, or the share of it that this account may use.
    #[error("the disk is full")]
    DiskFull(#[source] io::Error),
    /// This account may not write there, or the disk is read-only.
    #[error("writing is not permitted there (read-only folder or disk)")]
    NotPermitted(#[source] io::Error),
    /// Anything else that the system says.
    #[error(transparent)]
    System(io::Error),
}

impl From<io::Error> for WriteError {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull(error),
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::NotPermitted(error)
            }
            io::ErrorKind::AlreadyExists => Self::Exists,
            _ => Self::System(error),
        }
    }
}

/// Says no early where a file cannot be written: a missing folder, a folder in its place.
///
/// # Errors
/// [`WriteError::IsFolder`] and [`WriteError::NoFolder`].
pub fn check_target(path: &Path) -> Result<(), WriteError> {
    if path.is_dir() {
        return Err(WriteError::IsFolder);
    }
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => {
            Err(WriteError::NoFolder)
        }
        _ => Ok(()),
    }
}

/// Writes a file whole or not at all: into a part file in the same folder, synced, then renamed. A link is followed and
/// stays a link; permissions of a file that is replaced stay; a device or pipe is written into, never replaced.
///
/// # Errors
/// [`WriteError`]; the file is then as it was.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    check_target(path)?;
    let place = if path.exists() {
        path.canonicalize()?
    } else {
        path.to_owned()
    };
    if place.file_name().is_none() {
        return Err(WriteError::NoName);
    }
    let present = std::fs::metadata(&place).ok();
    if present.as_ref().is_some_and(|present| !present.is_file()) {
        let mut device = std::fs::OpenOptions::new().write(true).open(&place)?;
        device.write_all(bytes)?;
        return Ok(device.flush()?);
    }
    replace(&place, bytes, present.map(|present| present.permissions()))
}

/// Writes a file whole over what stands at its place; a link there is replaced, never followed.
pub(crate) fn replace(
    place: &Path,
    bytes: &[u8],
    permissions: Option<Permissions>,
) -> Result<(), WriteError> {
    Part::filled(place, bytes, permissions)?.replace(place)?;
    sync_folder_of(place);
    Ok(())
}

/// Writes a file whole where nothing stands.
///
/// # Errors
/// [`WriteError::Exists`] when something does.
pub(crate) fn write_new(place: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    Part::filled(place, bytes, None)?.place_new(place)?;
    sync_folder_of(place);
    Ok(())
}

/// Brings the name of a file to the disk.
pub(crate) fn sync_folder_of(place: &Path) {
    match place.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => sync_folder(folder),
        _ => sync_folder(Path::new(".")),
    }
}
