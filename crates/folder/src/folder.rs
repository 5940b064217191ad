//! THE folder: its loops, and what can be done to them.

use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard};
use std::time::SystemTime;

use crate::error::FolderError;
use crate::name::{ENDING, LoopName, folded};
use crate::own;
use crate::part::{move_new, sync_folder};
use crate::revision::Revision;
use crate::versions;
use crate::whole::{WriteError, replace, write_new};

/// Largest file read or written: what a loop file may have, and room to say that it has more.
pub const LARGEST_BYTES: u64 = 1 << 20;

/// Looks at a file that others replace while it is opened.
const MOST_LOOKS: u32 = 100;

/// A folder of loop files.
#[derive(Debug)]
pub struct Folder {
    root: PathBuf,
    /// One writer at a time: between the look at a file and its replacement no other save of this program comes.
    writing: Mutex<()>,
}

/// One loop file of a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// Its name.
    pub name: LoopName,
    /// When it was last changed.
    pub modified: SystemTime,
    /// Its size.
    pub bytes: u64,
}

/// What a folder holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Listing {
    /// Loops by name.
    pub loops: Vec<Listed>,
    /// Files that end like loop files and are none for this program, each with the reason.
    pub refused: Vec<(String, String)>,
}

/// A file as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Which text that is.
    pub revision: Revision,
    /// When it was last changed.
    pub modified: SystemTime,
}

/// How a save ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saved {
    /// The file holds the new text.
    Whole(Revision),
    /// The file on disk is not the one that was edited: nothing was written, both texts are at hand.
    ChangedOnDisk(Stored),
}

impl Folder {
    /// Opens a folder, and removes what dead processes left half-written in it.
    ///
    /// # Errors
    /// [`FolderError::NotAFolder`]; [`FolderError::NotOurs`] when its `.halfglass` is a link or a file.
    pub fn open(path: &Path) -> Result<Self, FolderError> {
        let refuse = |source| FolderError::NotAFolder {
            path: path.to_owned(),
            source,
        };
        let root = path.canonicalize().map_err(refuse)?;
        fs::read_dir(&root).map_err(refuse)?;
        own::existing(&root, &[])?;
        own::sweep_all(&root);
        Ok(Self {
            root,
            writing: Mutex::new(()),
        })
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.root
    }

    pub(crate) fn place(&self, name: &LoopName) -> PathBuf {
        self.root.join(name.file_name())
    }

    /// Its loops by name.
    ///
    /// # Errors
    /// [`FolderError::NotAFolder`] when it is gone.
    pub fn list(&self) -> Result<Listing, FolderError> {
        let entries = fs::read_dir(&self.root).map_err(|source| FolderError::NotAFolder {
            path: self.root.clone(),
            source,
        })?;
        let mut listing = Listing::default();
        for entry in entries.flatten() {
            let file_name = entry.file_name();
            let file_name = file_name.to_string_lossy();
            let Some(name) = LoopName::of_file(&file_name) else {
                continue;
            };
            match (name, entry.path().symlink_metadata()) {
                (Ok(name), Ok(about)) if about.is_file() => listing.loops.push(Listed {
                    name,
                    modified: about.modified().unwrap_or(SystemTime::UNIX_EPOCH),
                    bytes: about.len(),
                }),
                (Err(error), _) => listing
                    .refused
                    .push((format!("{}{ENDING}", error.shown), error.why.to_owned())),
                (Ok(name), Ok(_)) => listing.refused.push((
                    name.file_name(),
                    "it is not a plain file; links are not followed".into(),
                )),
                (Ok(name), Err(error)) => {
                    listing.refused.push((name.file_name(), error.to_string()));
                }
            }
        }
        listing.loops.sort_by(|a, b| a.name.cmp(&b.name));
        listing.refused.sort();
        Ok(listing)
    }

    /// A loop's file.
    ///
    /// # Errors
    /// [`FolderError::Missing`], [`FolderError::NotAFile`], [`FolderError::TooLarge`], [`FolderError::Read`].
    pub fn read(&self, name: &LoopName) -> Result<Stored, FolderError> {
        read_plain(&self.place(name), name.as_str())
    }

    /// Saves a text over the one that was edited, which is kept as a version.
    ///
    /// # Errors
    /// [`FolderError`]; nothing has changed then.
    pub fn save(
        &self,
        name: &LoopName,
        bytes: &[u8],
        edited: &Revision,
    ) -> Result<Saved, FolderError> {
        let _writing = self.begin(name)?;
        self.save_locked(name, bytes, edited)
    }

    /// [`Folder::save`] for one who writes already.
    pub(crate) fn save_locked(
        &self,
        name: &LoopName,
        bytes: &[u8],
        edited: &Revision,
    ) -> Result<Saved, FolderError> {
        refuse_size(bytes.len() as u64)?;
        let present = self.read(name)?;
        if present.revision != *edited {
            return Ok(Saved::ChangedOnDisk(present));
        }
        let revision = Revision::of(bytes);
        if revision == present.revision {
            return Ok(Saved::Whole(revision));
        }
        let place = self.place(name);
        let failed = |source| FolderError::Write {
            name: name.to_string(),
            source,
        };
        let permissions = place
            .symlink_metadata()
            .map_err(|error| failed(error.into()))?
            .permissions();
        if permissions.readonly() {
            return Err(failed(
                io::Error::from(io::ErrorKind::PermissionDenied).into(),
            ));
        }
        let kept = versions::keep(&self.root, name, &present)?;
        if let Err(error) = replace(&place, bytes, Some(permissions)) {
            // The text still stands, so that it was not saved over.
            let _ = fs::remove_file(kept);
            return Err(failed(error));
        }
        versions::prune(&self.root, name);
        Ok(Saved::Whole(revision))
    }

    /// Writes a new loop; never over another.
    ///
    /// # Errors
    /// [`FolderError::Taken`], also where only letter case differs; [`FolderError::TooLarge`]; [`FolderError::Write`].
    pub fn create(&self, name: &LoopName, bytes: &[u8]) -> Result<Revision, FolderError> {
        let _writing = self.begin(name)?;
        self.create_locked(name, bytes)
    }

    fn create_locked(&self, name: &LoopName, bytes: &[u8]) -> Result<Revision, FolderError> {
        refuse_size(bytes.len() as u64)?;
        self.refuse_taken(name, None)?;
        write_new(&self.place(name), bytes).map_err(|source| match source {
            WriteError::Exists => FolderError::Taken(name.to_string()),
            source => FolderError::Write {
                name: name.to_string(),
                source,
            },
        })?;
        Ok(Revision::of(bytes))
    }

    /// Writes a new loop from a file that came from elsewhere, byte for byte; [`LoopName::of_upload`] names it.
    ///
    /// # Errors
    /// [`FolderError::NotText`]; as [`Folder::create`].
    pub fn import(&self, name: &LoopName, bytes: &[u8]) -> Result<Revision, FolderError> {
        let not_text = match std::str::from_utf8(bytes) {
            Ok(text) => text.find('\0'),
            Err(error) => Some(error.valid_up_to()),
        };
        match not_text {
            Some(at) => Err(FolderError::NotText(at)),
            None => self.create(name, bytes),
        }
    }

    /// Writes the text of a loop under another name; versions stay with the first.
    ///
    /// # Errors
    /// As [`Folder::read`] and [`Folder::create`].
    pub fn duplicate(&self, name: &LoopName, copy: &LoopName) -> Result<Revision, FolderError> {
        let _writing = self.begin(copy)?;
        let stored = self.read(name)?;
        self.create_locked(copy, &stored.bytes)
    }

    /// Gives a loop another name; its versions move along.
    ///
    /// # Errors
    /// [`FolderError::Taken`], [`FolderError::Missing`], [`FolderError::NotAFile`], [`FolderError::NotOurs`],
    /// [`FolderError::Write`]; the loop has its old name then.
    pub fn rename(&self, name: &LoopName, to: &LoopName) -> Result<(), FolderError> {
        let _writing = self.begin(to)?;
        let from = self.place(name);
        refuse_other_than_file(&from, name)?;
        if name == to {
            return Ok(());
        }
        self.refuse_taken(to, Some(name))?;
        let place = self.place(to);
        let shelf = versions::shelf(&self.root, name)?;
        let new_shelf = versions::shelf(&self.root, to)?;
        if name.is_same_but_for_case(to) {
            // Where a file system holds both names for one, a second name cannot be made.
            fs::rename(&from, &place).map_err(|error| FolderError::Write {
                name: to.to_string(),
                source: error.into(),
            })?;
        } else {
            self.move_file(&from, &place, to)?;
        }
        if let Some(shelf) = shelf {
            let new_shelf = new_shelf.unwrap_or_else(|| shelf.with_file_name(to.as_str()));
            if let Err(error) = versions::move_shelf(&shelf, &new_shelf) {
                fs::rename(&place, &from).map_err(|error| FolderError::Write {
                    name: name.to_string(),
                    source: error.into(),
                })?;
                return Err(FolderError::Write {
                    name: to.to_string(),
                    source: error.into(),
                });
            }
        }
        sync_folder(&self.root);
        Ok(())
    }

    /// Moves a file to the place of a loop where none is.
    pub(crate) fn move_file(
        &self,
        from: &Path,
        to: &Path,
        name: &LoopName,
    ) -> Result<(), FolderError> {
        move_new(from, to).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => FolderError::Taken(name.to_string()),
            _ => FolderError::Write {
                name: name.to_string(),
                source: error.into(),
            },
        })
    }

    /// Begins to write: until the guard is dropped no other thread of this program and no other program that asks
    /// writes here.
    pub(crate) fn begin(&self, name: &LoopName) -> Result<Writing<'_>, FolderError> {
        let thread = self
            .writing
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        Ok(Writing {
            _program: own::lock(&self.root, name.as_str())?,
            _thread: thread,
        })
    }

    /// A name is taken by any entry that differs in letter case only: some file systems hold them for one.
    pub(crate) fn refuse_taken(
        &self,
        name: &LoopName,
        but: Option<&LoopName>,
    ) -> Result<(), FolderError> {
        let wanted = folded(&name.file_name());
        let entries = fs::read_dir(&self.root).map_err(|source| FolderError::NotAFolder {
            path: self.root.clone(),
            source,
        })?;
        for entry in entries.flatten() {
            let there = entry.file_name().to_string_lossy().into_owned();
            let is_itself = but.is_some_and(|but| but.file_name() == there);
            if folded(&there) == wanted && !is_itself {
                return Err(FolderError::Taken(name.to_string()));
            }
        }
        Ok(())
    }
}

/// One who writes into a folder.
#[derive(Debug)]
pub(crate) struct Writing<'a> {
    // Dropped in this order: the next thread finds the program's lock free.
    _program: Option<fs::File>,
    _thread: MutexGuard<'a, ()>,
}

const fn refuse_size(bytes: u64) -> Result<(), FolderError> {
    if bytes > LARGEST_BYTES {
        return Err(FolderError::TooLarge {
            bytes,
            most: LARGEST_BYTES,
        });
    }
    Ok(())
}

/// What is at the place of a loop must be a plain file.
pub(crate) fn refuse_other_than_file(place: &Path, name: &LoopName) -> Result<(), FolderError> {
    match place.symlink_metadata() {
        Ok(about) if about.is_file() => Ok(()),
        Ok(_) => Err(FolderError::NotAFile(name.to_string())),
        Err(error) => Err(unread(name.as_str(), error)),
    }
}

fn unread(name: &str, source: io::Error) -> FolderError {
    match source.kind() {
        io::ErrorKind::NotFound => FolderError::Missing(name.to_owned()),
        _ => FolderError::Read {
            name: name.to_owned(),
            source,
        },
    }
}

/// Reads a plain file of at most [`LARGEST_BYTES`].
pub(crate) fn read_plain(path: &Path, name: &str) -> Result<Stored, FolderError> {
    let failed = |source| unread(name, source);
    // A save between look and opening shows another file under the name: it is looked at again.
    for _ in 0..MOST_LOOKS {
        let about = path.symlink_metadata().map_err(failed)?;
        if !about.is_file() {
            return Err(FolderError::NotAFile(name.to_owned()));
        }
        refuse_size(about.len())?;
        let file = fs::File::open(path).map_err(failed)?;
        let opened = file.metadata().map_err(failed)?;
        if !is_same_file(&about, &opened) {
            continue;
        }
        let mut bytes = Vec::new();
        file.take(LARGEST_BYTES + 1)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
        refuse_size(bytes.len() as u64)?;
        return Ok(Stored {
            revision: Revision::of(&bytes),
            modified: opened.modified().unwrap_or(SystemTime::UNIX_EPOCH),
            bytes,
        });
    }
    Err(failed(io::Error::other(
        "it changes faster than it can be read",
    )))
}

/// Whether what was opened is what was looked at, and not what a link put there meanwhile leads to.
fn is_same_file(looked_at: &fs::Metadata, opened: &fs::Metadata) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        looked_at.dev() == opened.dev() && looked_at.ino() == opened.ino()
    }
    #[cfg(not(unix))]
    {
        looked_at.file_type() == opened.file_type()
    }
}
