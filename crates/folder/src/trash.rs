//! What was deleted: moved into the trash with its versions, under the time at which that was done. Nothing leaves the
//! trash but by being restored, or by hand.

use std::fs;
use std::path::Path;

use jiff::Timestamp;

use crate::error::FolderError;
use crate::folder::{Folder, Stored, read_plain, refuse_other_than_file};
use crate::name::{ENDING, LoopName};
use crate::own;
use crate::part::{move_new, sync_folder};
use crate::stamp::{self, after, stamp, stamped};
use crate::versions::{VERSIONS, move_shelf, shelf};

/// Folder under the own place.
const TRASH: &str = "trash";

/// Ending of the shelf of versions that went with a loop.
const SHELF_ENDING: &str = ".versions";

/// Which deleted loop: the time it was deleted at and its name, `20261125T184716.123Z-boiler-1`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TrashId {
    time: String,
    name: LoopName,
}

impl TrashId {
    /// As sent back by a page; `None` for anything that is no id.
    pub fn parse(text: &str) -> Option<Self> {
        let (time, rest) = text.split_at_checked(stamp::LENGTH)?;
        stamped(time)?;
        let name = rest.strip_prefix('-')?;
        let checked = LoopName::new(name).ok()?;
        (checked.as_str() == name).then(|| Self {
            time: time.to_owned(),
            name: checked,
        })
    }

    /// What the loop was called.
    pub fn name(&self) -> &LoopName {
        &self.name
    }

    fn file_name(&self) -> String {
        format!("{self}{ENDING}")
    }

    fn shelf_name(&self) -> String {
        format!("{self}{SHELF_ENDING}")
    }
}

impl std::fmt::Display for TrashId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{}", self.time, self.name)
    }
}

/// A deleted loop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trashed {
    /// Which.
    pub id: TrashId,
    /// When it was deleted.
    pub deleted: Timestamp,
    /// Its size.
    pub bytes: u64,
}

impl Folder {
    /// Deletes a loop: moves it into the trash, its versions with it.
    ///
    /// # Errors
    /// [`FolderError::Missing`], [`FolderError::NotAFile`], [`FolderError::NotOurs`], [`FolderError::Write`]; the loop
    /// is then where it was.
    pub fn trash(&self, name: &LoopName) -> Result<TrashId, FolderError> {
        let _writing = self.begin(name)?;
        let place = self.place(name);
        refuse_other_than_file(&place, name)?;
        let failed = |error: std::io::Error| FolderError::Write {
            name: name.to_string(),
            source: error.into(),
        };
        let trash = own::made(self.path(), &[TRASH])?;
        let newest = self.trashed()?.first().map(|trashed| trashed.deleted);
        let id = TrashId {
            time: stamp(after(newest)),
            name: name.clone(),
        };
        let target = trash.join(id.file_name());
        let versions = shelf(self.path(), name)?;
        move_new(&place, &target).map_err(failed)?;
        if let Some(versions) = versions
            && let Err(error) = fs::rename(versions, trash.join(id.shelf_name()))
        {
            // Half deleted is not deleted: the loop goes back to its versions.
            move_new(&target, &place).map_err(failed)?;
            return Err(failed(error));
        }
        sync_folder(&trash);
        sync_folder(self.path());
        Ok(id)
    }

    /// What was deleted, newest first.
    ///
    /// # Errors
    /// [`FolderError::NotOurs`], [`FolderError::Read`].
    pub fn trashed(&self) -> Result<Vec<Trashed>, FolderError> {
        let Some(trash) = own::existing(self.path(), &[TRASH])? else {
            return Ok(Vec::new());
        };
        let entries = fs::read_dir(trash).map_err(|source| FolderError::Read {
            name: TRASH.to_owned(),
            source,
        })?;
        let mut trashed: Vec<Trashed> = entries
            .flatten()
            .filter_map(|entry| {
                let file = entry.file_name().into_string().ok()?;
                let id = TrashId::parse(file.strip_suffix(ENDING)?)?;
                let about = entry.path().symlink_metadata().ok()?;
                about.is_file().then_some(Trashed {
                    deleted: stamped(&id.time)?,
                    id,
                    bytes: about.len(),
                })
            })
            .collect();
        trashed.sort_by(|a, b| b.id.cmp(&a.id));
        Ok(trashed)
    }

    /// The text of a deleted loop, which stays where it is.
    ///
    /// # Errors
    /// [`FolderError::Missing`], [`FolderError::NotAFile`], [`FolderError::NotOurs`], [`FolderError::Read`].
    pub fn trashed_text(&self, id: &TrashId) -> Result<Stored, FolderError> {
        let trash = own::existing(self.path(), &[TRASH])?
            .ok_or_else(|| FolderError::Missing(id.name.to_string()))?;
        read_plain(&trash.join(id.file_name()), id.name.as_str())
    }

    /// Puts a deleted loop back, under its name or another, with its versions.
    ///
    /// # Errors
    /// [`FolderError::Taken`] when a loop of that name is there; [`FolderError::Missing`] when it is no longer in the
    /// trash; [`FolderError::NotOurs`]; [`FolderError::Write`].
    pub fn restore(&self, id: &TrashId, name: &LoopName) -> Result<(), FolderError> {
        let _writing = self.begin(name)?;
        let trash = own::existing(self.path(), &[TRASH])?
            .ok_or_else(|| FolderError::Missing(id.name.to_string()))?;
        let from = trash.join(id.file_name());
        read_plain(&from, id.name.as_str())?;
        self.refuse_taken(name, None)?;
        let place = self.place(name);
        self.move_file(&from, &place, name)?;
        let shelf = trash.join(id.shelf_name());
        if shelf.symlink_metadata().is_ok_and(|about| about.is_dir()) {
            let moved = put_back(self.path(), &shelf, name);
            if moved.is_err() {
                self.move_file(&place, &from, name)?;
                return moved;
            }
        }
        sync_folder(&trash);
        sync_folder(self.path());
        Ok(())
    }
}

fn put_back(root: &Path, from: &Path, name: &LoopName) -> Result<(), FolderError> {
    let to = own::made(root, &[VERSIONS])?.join(name.as_str());
    move_shelf(from, &to).map_err(|error| FolderError::Write {
        name: name.to_string(),
        source: error.into(),
    })
}
