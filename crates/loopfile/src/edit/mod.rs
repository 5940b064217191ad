//! A loop file's text edited key by key: what stands where, and the same text with one thing changed.
//!
//! Nothing is written anew: a change replaces the bytes of one value, or adds or takes away whole lines, so that
//! remarks, blank lines, order, line ends and byte order mark of all else stay as they are by construction. After each
//! change the text is read again and compared key by key; one that touched anything else is refused.
//!
//! Paths are a person's: `limits.set-point`, and `duty[2].outflow` for the second duty.

mod blocks;
mod change;
mod layout;
mod measured;
mod path;
mod place;
mod value_text;
mod values;

pub use blocks::{add_block, remove_block};
pub use change::{confirm, remove, set};
pub use measured::set_measured;
pub use place::{ProblemPlace, problem_path};
pub use values::{Block, Standing, Values, values};

use crate::problem::Problem;

/// Why a change cannot be made; the text is then as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EditError {
    /// The text cannot be read as TOML, so that no key can be found in it.
    #[error("the text cannot be read as TOML, so that no single value can be changed")]
    NotToml(Vec<Problem>),
    /// No such key or section.
    #[error("`{0}` is no key or section of a loop file")]
    Unknown(String),
    /// No such block.
    #[error("there is no block `{0}` in the file")]
    NoBlock(String),
    /// The section is there and may be there once.
    #[error("the section `{0}` is in the file already")]
    AlreadyThere(String),
    /// It is written in a way that cannot be changed in part without touching anything else.
    #[error("`{0}` is written in a way that is changed in the file's text only")]
    InTextOnly(String),
}

#[cfg(test)]
mod cases;
#[cfg(test)]
mod tests;
