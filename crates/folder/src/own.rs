//! The folder's own place, `.halfglass`: made when first needed, refused when it is a link or a file, and the lock in it
//! that lets one program write at a time.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::error::FolderError;
use crate::part::{sweep, sync_folder};

/// Name of the folder's own place.
const OWN: &str = ".halfglass";

/// Longest wait for another program that writes into the folder.
const LONGEST_WAIT: Duration = Duration::from_secs(5);

/// A folder under the own place that is there, or `None`.
///
/// # Errors
/// [`FolderError::NotOurs`] when a link or file stands in the way; [`FolderError::Read`].
pub(crate) fn existing(root: &Path, under: &[&str]) -> Result<Option<PathBuf>, FolderError> {
    let mut path = root.to_owned();
    for segment in std::iter::once(&OWN).chain(under) {
        path.push(segment);
        match path.symlink_metadata() {
            Ok(about) if about.is_dir() => {}
            Ok(_) => return Err(not_ours(root, &path)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(source) => {
                return Err(FolderError::Read {
                    name: shown(root, &path),
                    source,
                });
            }
        }
    }
    Ok(Some(path))
}

/// A folder under the own place, made where it is missing.
///
/// # Errors
/// [`FolderError::NotOurs`] when a link or file stands in the way; [`FolderError::Write`].
pub(crate) fn made(root: &Path, under: &[&str]) -> Result<PathBuf, FolderError> {
    let mut path = root.to_owned();
    for segment in std::iter::once(&OWN).chain(under) {
        let above = path.clone();
        path.push(segment);
        match fs::create_dir(&path) {
            Ok(()) => sync_folder(&above),
            Err(error) => match path.symlink_metadata() {
                Ok(about) if about.is_dir() => {}
                Ok(_) => return Err(not_ours(root, &path)),
                Err(_) => {
                    return Err(FolderError::Write {
                        name: shown(root, &path),
                        source: error.into(),
                    });
                }
            },
        }
    }
    Ok(path)
}

fn not_ours(root: &Path, path: &Path) -> FolderError {
    FolderError::NotOurs(shown(root, path))
}

fn shown(root: &Path, path: &Path) -> String {
    path.strip_prefix(root)
        .unwrap_or(path)
        .display()
        .to_string()
}

/// The lock of the folder, held by this process until dropped; `None` where the file system knows no locks, and then
/// only this process's own writers wait for one another.
///
/// # Errors
/// [`FolderError::Busy`] when another program holds it for seconds; [`FolderError::NotOurs`]; [`FolderError::Write`].
pub(crate) fn lock(root: &Path, name: &str) -> Result<Option<File>, FolderError> {
    let failed = |source: io::Error| FolderError::Write {
        name: name.to_owned(),
        source: source.into(),
    };
    let own = made(root, &[])?;
    let path = own.join("lock");
    let mut open = OpenOptions::new();
    open.write(true);
    match path.symlink_metadata() {
        Ok(about) if about.is_file() => {}
        Ok(_) => return Err(not_ours(root, &path)),
        Err(_) => {
            // Another program may make it between look and open, which is as good.
            if let Err(error) = OpenOptions::new().write(true).create_new(true).open(&path)
                && error.kind() != io::ErrorKind::AlreadyExists
            {
                return Err(failed(error));
            }
        }
    }
    let file = open.open(&path).map_err(failed)?;
    let begun = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Some(file)),
            Err(TryLockError::WouldBlock) if begun.elapsed() < LONGEST_WAIT => {
                sleep(Duration::from_millis(2));
            }
            Err(TryLockError::WouldBlock) => return Err(FolderError::Busy),
            Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => {
                return Ok(None);
            }
            Err(TryLockError::Error(error)) => return Err(failed(error)),
        }
    }
}

/// Removes what dead processes left half-written, in the folder and in its own place, and gives the number of files.
pub(crate) fn sweep_all(root: &Path) -> usize {
    let mut swept = sweep(root);
    for under in ["trash", "versions"] {
        if let Ok(Some(folder)) = existing(root, &[under]) {
            swept += sweep(&folder);
        }
    }
    if let Ok(Some(versions)) = existing(root, &["versions"]) {
        let shelves = fs::read_dir(versions).into_iter().flatten().flatten();
        swept += shelves
            .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()))
            .map(|entry| sweep(&entry.path()))
            .sum::<usize>();
    }
    swept
}
