//! Which text a file holds: the SHA-256 of its bytes.

use std::fmt;

use sha2::{Digest, Sha256};

/// SHA-256 of a file's bytes, hexadecimal.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Revision(String);

impl Revision {
    /// Of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        let digest = Sha256::digest(bytes);
        Self(digest.iter().map(|byte| format!("{byte:02x}")).collect())
    }

    /// As sent back by a page: 64 hexadecimal digits, or `None`.
    pub fn parse(text: &str) -> Option<Self> {
        let is_hash =
            text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        is_hash.then(|| Self(text.to_owned()))
    }

    /// 64 hexadecimal digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Enough digits for a person.
    pub fn short(&self) -> &str {
        &self.0[..12]
    }
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
