//! A folder of loop files: listed, read, saved whole or not at all, kept in versions, deleted into a trash folder.
//!
//! ```text
//! FOLDER/
//!   boiler-1.toml                                  a loop; its name is `boiler-1`
//!   .halfglass/lock                                held while this program writes
//!   .halfglass/versions/boiler-1/STAMP-HASH.toml   what was saved over, the newest 200
//!   .halfglass/trash/STAMP-boiler-1.toml           what was deleted
//!   .halfglass/trash/STAMP-boiler-1.versions/      and its versions
//! ```
//!
//! Start at [`Folder`]. It knows files and no loop: what stands in them is crate loopfile's business.
//!
//! What holds whoever asks: nothing outside the folder is read or written; a link is never followed; a file is the old
//! or the new one, whole, however a save ends; nothing is overwritten but by [`Folder::save`], which keeps the old text.
//! It does not guard against another account that may itself write into the folder and swaps names while we write.

mod error;
mod folder;
mod name;
mod own;
mod part;
mod revision;
mod stamp;
mod trash;
mod versions;
mod whole;

pub use error::FolderError;
pub use folder::{Folder, LARGEST_BYTES, Listed, Listing, Saved, Stored};
pub use name::{LoopName, NameError};
pub use revision::Revision;
pub use trash::{TrashId, Trashed};
pub use versions::{MOST_VERSIONS, Version, VersionId};
pub use whole::{WriteError, check_target, write_whole};
