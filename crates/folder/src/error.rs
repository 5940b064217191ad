//! What can go wrong with a folder of loop files.

use std::io;
use std::path::PathBuf;

use crate::name::NameError;
use crate::whole::WriteError;

/// Why the folder cannot do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FolderError {
    /// The folder itself is missing or is no folder.
    #[error("{path} is not a folder that can be read")]
    NotAFolder {
        /// The place.
        path: PathBuf,
        /// What the system said.
        #[source]
        source: io::Error,
    },
    /// The name cannot be one of a loop file.
    #[error(transparent)]
    Name(#[from] NameError),
    /// No loop of this name.
    #[error("there is no loop file named `{0}`")]
    Missing(String),
    /// A loop of this name is there already.
    #[error("there is a loop file named `{0}` already")]
    Taken(String),
    /// The file is a link, a folder or a device.
    #[error("`{0}` is not a plain file; links are not followed")]
    NotAFile(String),
    /// Larger than a loop file may be.
    #[error("the file has {bytes} bytes; a loop file has {most} at most")]
    TooLarge {
        /// Its size.
        bytes: u64,
        /// The limit.
        most: u64,
    },
    /// A file that is no text: not UTF-8, or with zero bytes.
    #[error("the file is no text: byte {0} cannot stand in a loop file")]
    NotText(usize),
    /// A link or file stands where the folder keeps versions, trash or its lock.
    #[error("`{0}` is a link or not of the kind this program makes; it is left alone")]
    NotOurs(String),
    /// Another program is writing into the folder.
    #[error("another program is writing into this folder")]
    Busy,
    /// There is no version to bring back.
    #[error("`{0}` has no earlier text to bring back")]
    NothingEarlier(String),
    /// Reading failed.
    #[error("`{name}` cannot be read")]
    Read {
        /// Which.
        name: String,
        /// What the system said.
        #[source]
        source: io::Error,
    },
    /// Writing failed; what was there before is untouched.
    #[error("`{name}` cannot be saved")]
    Write {
        /// Which.
        name: String,
        /// What the system said.
        #[source]
        source: WriteError,
    },
}
