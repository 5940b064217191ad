//! Part files: a text while it is written, beside its place, and what to do with those that a dead process left.
//!
//! A part is called `.halfglass-PROCESS-COUNT.part` and its writer holds a lock of the system on it, which ends with the
//! process however that ends. [`sweep`] takes only parts that it can lock itself: no living writer loses one. Where a
//! file system knows no locks, parts are written all the same and none is ever swept.

use std::fs::{self, File, OpenOptions, Permissions, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

const BEGINNING: &str = ".halfglass-";
const ENDING: &str = ".part";

/// Names tried before giving up: another process of the same number on a shared disk takes a few at most.
const MOST_TRIES: u32 = 1000;

static COUNT: AtomicU64 = AtomicU64::new(0);

/// A part file; gone when dropped before it was moved to its place.
#[derive(Debug)]
pub(crate) struct Part {
    path: PathBuf,
    /// Holds the lock until the part is at its place.
    file: File,
}

impl Part {
    /// A part beside a place, holding all of the bytes, on disk.
    pub(crate) fn filled(
        place: &Path,
        bytes: &[u8],
        permissions: Option<Permissions>,
    ) -> io::Result<Self> {
        let mut part = Self::empty(place)?;
        part.file.write_all(bytes)?;
        if let Some(permissions) = permissions {
            part.file.set_permissions(permissions)?;
        }
        part.file.sync_all()?;
        Ok(part)
    }

    fn empty(place: &Path) -> io::Result<Self> {
        for _ in 0..MOST_TRIES {
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            let name = format!("{BEGINNING}{}-{count}{ENDING}", std::process::id());
            let path = place.with_file_name(name);
            let file = match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => file,
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                Err(error) => return Err(error),
            };
            if matches!(file.try_lock(), Err(TryLockError::WouldBlock)) {
                // A sweep saw it before it was locked, and takes it away.
                continue;
            }
            let part = Self { path, file };
            if part.path.symlink_metadata().is_ok() {
                return Ok(part);
            }
        }
        Err(io::Error::new(
            io::ErrorKind::AlreadyExists,
            "no free name for a part file",
        ))
    }

    /// Puts it over what stands at its place. A link there is replaced, never followed.
    pub(crate) fn replace(self, place: &Path) -> io::Result<()> {
        fs::rename(&self.path, place)
    }

    /// Puts it at a place where nothing stands.
    ///
    /// # Errors
    /// [`io::ErrorKind::AlreadyExists`] when something does.
    pub(crate) fn place_new(self, place: &Path) -> io::Result<()> {
        move_new(&self.path, place)
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        // Moved already, or of no use; one that cannot be removed is swept later.
        let _ = fs::remove_file(&self.path);
    }
}

/// Moves a file to a place where nothing stands, so that nothing is overwritten even by a race with another program:
/// a second name is made, which fails where one is, then the first is removed. File systems without second names get a
/// look and a rename.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] when something stands there.
pub(crate) fn move_new(from: &Path, to: &Path) -> io::Result<()> {
    match fs::hard_link(from, to) {
        Ok(()) => fs::remove_file(from),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
        Err(_) if to.symlink_metadata().is_ok() => Err(io::ErrorKind::AlreadyExists.into()),
        Err(_) => fs::rename(from, to),
    }
}

/// Whether a file's name is one of ours for parts.
fn is_part(name: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    name.strip_prefix(BEGINNING)
        .and_then(|rest| rest.strip_suffix(ENDING))
        .and_then(|rest| rest.split_once('-'))
        .is_some_and(|(process, count)| digits(process) && digits(count))
}

/// Removes parts of dead processes from a folder and gives their number.
pub(crate) fn sweep(folder: &Path) -> usize {
    let Ok(entries) = fs::read_dir(folder) else {
        return 0;
    };
    entries
        .flatten()
        .filter(|entry| {
            entry.file_name().to_str().is_some_and(is_part)
                && entry.file_type().is_ok_and(|kind| kind.is_file())
        })
        .filter(|entry| {
            OpenOptions::new()
                .write(true)
                .open(entry.path())
                .is_ok_and(|file| file.try_lock().is_ok() && fs::remove_file(entry.path()).is_ok())
        })
        .count()
}

/// Brings a folder's names to the disk, so that a rename outlives a power cut. The file is whole either way: where the
/// system cannot do it, the last rename may be lost, and that is no reason to call a save failed that stands.
pub(crate) fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_parts_of_the_dead_are_swept_and_no_others() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in [
            ".halfglass-99-0.part",
            ".halfglass-1-7.part",
            ".halfglass--7.part",
            ".halfglass-x-7.part",
            ".halfglass-1-7.part.toml",
            ".boiler.toml.17.part",
            "halfglass-1-7.part",
        ] {
            fs::write(at(name), "x").unwrap();
        }
        fs::create_dir(at(".halfglass-5-5.part")).unwrap();
        let living = Part::filled(&at("boiler.toml"), b"x", None).unwrap();
        assert_eq!(sweep(folder.path()), 2);
        assert!(!at(".halfglass-99-0.part").exists());
        assert!(living.path.exists(), "a living writer keeps its part");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 7);
        let left = living.path.clone();
        drop(living);
        assert!(!left.exists(), "a part that was not used is removed");
    }

    #[test]
    fn property_a_new_file_never_replaces() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("x");
        fs::write(&place, "old").unwrap();
        let part = Part::filled(&place, b"new", None).unwrap();
        let error = part.place_new(&place).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&place).unwrap(), b"old");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
