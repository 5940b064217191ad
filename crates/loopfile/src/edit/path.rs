//! Paths as people count: `duty[2].outflow` is the key `duty.outflow` in the second block.

use super::EditError;
use crate::keys::{self, Key, Section};

/// A key in a block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) section: &'static Section,
    pub(super) key: &'static Key,
    /// Counted from 1; 1 for sections that are there once.
    pub(super) block: usize,
}

impl Place {
    pub(super) fn of(path: &str) -> Result<Self, EditError> {
        let unknown = || EditError::Unknown(path.chars().take(80).collect());
        let (front, name) = path.rsplit_once('.').ok_or_else(unknown)?;
        let (section, block) = split(front).ok_or_else(unknown)?;
        let section = keys::section(section).ok_or_else(unknown)?;
        if section.repeated == block.is_none() {
            return Err(unknown());
        }
        let key = section
            .keys
            .iter()
            .find(|key| key.name() == name)
            .ok_or_else(unknown)?;
        Ok(Self {
            section,
            key,
            block: block.unwrap_or(1),
        })
    }
}

/// `duty[2]` is `duty` and 2.
fn split(front: &str) -> Option<(&str, Option<usize>)> {
    match front.split_once('[') {
        None => Some((front, None)),
        Some((name, rest)) => {
            let block = rest.strip_suffix(']')?;
            let is_plain = !block.is_empty() && block.bytes().all(|byte| byte.is_ascii_digit());
            let block = block.parse().ok().filter(|block| is_plain && *block >= 1)?;
            Some((name, Some(block)))
        }
    }
}

/// Path of a block: `duty[2]`, or the section's name.
pub(super) fn block_path(section: &Section, block: usize) -> String {
    if section.repeated {
        format!("{}[{block}]", section.name)
    } else {
        section.name.to_owned()
    }
}
