//! What was saved over: each text under the time at which it was replaced, the newest [`MOST_VERSIONS`] of a loop.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use jiff::Timestamp;

use crate::error::FolderError;
use crate::folder::{Folder, Saved, Stored, read_plain};
use crate::name::{ENDING, LoopName};
use crate::own;
use crate::revision::Revision;
use crate::stamp::{self, after, stamp, stamped};
use crate::whole::write_new;

/// Versions kept of a loop; with the next save the oldest goes.
pub const MOST_VERSIONS: usize = 200;

/// Folder under the own place that holds a shelf for each loop.
pub(crate) const VERSIONS: &str = "versions";

/// Digits of the hash in an id, as many as [`Revision::short`] gives.
const HASH_DIGITS: usize = 12;

/// Which version: the time it was replaced at and the beginning of its hash, `20261125T184716.123Z-0f3a...`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct VersionId(String);

impl VersionId {
    /// As sent back by a page; `None` for anything that is no id.
    pub fn parse(text: &str) -> Option<Self> {
        let (time, rest) = text.split_at_checked(stamp::LENGTH)?;
        let hash = rest.strip_prefix('-')?;
        let is_hash = hash.len() == HASH_DIGITS
            && hash.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        (is_hash && stamped(time).is_some()).then(|| Self(text.to_owned()))
    }

    fn new(replaced: Timestamp, revision: &Revision) -> Self {
        Self(format!("{}-{}", stamp(replaced), revision.short()))
    }

    /// The id.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The beginning of the text's hash.
    pub fn short(&self) -> &str {
        &self.0[stamp::LENGTH + 1..]
    }
}

/// An earlier text of a loop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    /// Which.
    pub id: VersionId,
    /// When it was replaced.
    pub replaced: Timestamp,
    /// Its size.
    pub bytes: u64,
}

impl Folder {
    /// What was saved over, newest first.
    ///
    /// # Errors
    /// [`FolderError::NotOurs`], [`FolderError::Read`].
    pub fn versions(&self, name: &LoopName) -> Result<Vec<Version>, FolderError> {
        list(self.path(), name)
    }

    /// An earlier text.
    ///
    /// # Errors
    /// [`FolderError::Missing`], [`FolderError::NotOurs`], [`FolderError::Read`].
    pub fn version(&self, name: &LoopName, id: &VersionId) -> Result<Stored, FolderError> {
        match shelf(self.path(), name)? {
            Some(shelf) => read_plain(&shelf.join(file_name(id)), name.as_str()),
            None => Err(FolderError::Missing(name.to_string())),
        }
    }

    /// Makes an earlier text the present one, where the present one is still the one that was seen; that one becomes
    /// the newest version.
    ///
    /// # Errors
    /// As [`Folder::version`] and [`Folder::save`].
    pub fn bring_back(
        &self,
        name: &LoopName,
        id: &VersionId,
        seen: &Revision,
    ) -> Result<Saved, FolderError> {
        let _writing = self.begin(name)?;
        let earlier = self.version(name, id)?;
        self.save_locked(name, &earlier.bytes, seen)
    }

    /// Brings back the newest version that differs from the present text. As the present text becomes the newest
    /// version by that, a second call does it again the other way.
    ///
    /// # Errors
    /// [`FolderError::NothingEarlier`]; as [`Folder::version`] and [`Folder::save`].
    pub fn undo(&self, name: &LoopName, seen: &Revision) -> Result<Saved, FolderError> {
        let _writing = self.begin(name)?;
        let present = self.read(name)?;
        for version in self.versions(name)? {
            let earlier = self.version(name, &version.id)?;
            if earlier.revision != present.revision {
                return self.save_locked(name, &earlier.bytes, seen);
            }
        }
        Err(FolderError::NothingEarlier(name.to_string()))
    }
}

fn file_name(id: &VersionId) -> String {
    format!("{}{ENDING}", id.as_str())
}

/// Where versions of a loop are, if there are any.
pub(crate) fn shelf(root: &Path, name: &LoopName) -> Result<Option<PathBuf>, FolderError> {
    own::existing(root, &[VERSIONS, name.as_str()])
}

/// Keeps a text as the newest version and gives its place.
pub(crate) fn keep(root: &Path, name: &LoopName, stored: &Stored) -> Result<PathBuf, FolderError> {
    let shelf = own::made(root, &[VERSIONS, name.as_str()])?;
    let versions = list(root, name)?;
    // Room before there is one more: saves that are killed again and again pile nothing up.
    remove_beyond(&shelf, &versions, MOST_VERSIONS);
    let newest = versions.first().map(|version| version.replaced);
    let id = VersionId::new(after(newest), &stored.revision);
    let place = shelf.join(file_name(&id));
    write_new(&place, &stored.bytes).map_err(|source| FolderError::Write {
        name: name.to_string(),
        source,
    })?;
    Ok(place)
}

/// Removes the oldest versions beyond those kept. One that cannot be removed harms nobody and goes the next time.
pub(crate) fn prune(root: &Path, name: &LoopName) {
    let (Ok(versions), Ok(Some(shelf))) = (list(root, name), shelf(root, name)) else {
        return;
    };
    remove_beyond(&shelf, &versions, MOST_VERSIONS);
}

fn remove_beyond(shelf: &Path, versions: &[Version], most: usize) {
    for version in versions.iter().skip(most) {
        let _ = fs::remove_file(shelf.join(file_name(&version.id)));
    }
}

fn list(root: &Path, name: &LoopName) -> Result<Vec<Version>, FolderError> {
    let Some(shelf) = shelf(root, name)? else {
        return Ok(Vec::new());
    };
    let entries = fs::read_dir(shelf).map_err(|source| FolderError::Read {
        name: name.to_string(),
        source,
    })?;
    let mut versions: Vec<Version> = entries
        .flatten()
        .filter_map(|entry| {
            let file = entry.file_name().into_string().ok()?;
            let id = VersionId::parse(file.strip_suffix(ENDING)?)?;
            let replaced = stamped(&id.as_str()[..stamp::LENGTH])?;
            let about = entry.path().symlink_metadata().ok()?;
            about.is_file().then_some(Version {
                id,
                replaced,
                bytes: about.len(),
            })
        })
        .collect();
    versions.sort_by(|a, b| b.id.cmp(&a.id));
    Ok(versions)
}

/// Moves a shelf, or what is on it where one stands at the other end already.
pub(crate) fn move_shelf(from: &Path, to: &Path) -> std::io::Result<()> {
    match fs::rename(from, to) {
        Err(_) if to.symlink_metadata().is_ok_and(|about| about.is_dir()) => {
            for entry in fs::read_dir(from)?.flatten() {
                match crate::part::move_new(&entry.path(), &to.join(entry.file_name())) {
                    // The same text of the same time is there already.
                    Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                    moved => moved?,
                }
            }
            // Not empty only where something that is none of ours lies there.
            let _ = fs::remove_dir(from);
            Ok(())
        }
        moved => moved,
    }
}
