//! The pass-code that lets a tablet in: made up here, or chosen by the person who starts the workbench.

use std::fmt;

use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

/// Shortest code, in characters.
const SHORTEST: usize = 8;
/// Letters and digits that nobody mistakes for one another.
const LETTERS: &[u8; 32] = b"abcdefghjkmnpqrstuvwxyz23456789+";

/// Why a pass-code is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PassCodeError {
    /// It can be guessed by trying.
    #[error("the pass-code has {0} characters; 8 or more are needed")]
    TooShort(usize),
    /// The system gave no random numbers.
    #[error("this system gives no random numbers, so no pass-code can be made up; choose one")]
    NoRandomNumbers,
}

/// A pass-code. It prints nowhere but where it is asked for by [`PassCode::shown`].
#[derive(Clone)]
pub struct PassCode(String);

impl fmt::Debug for PassCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PassCode(not shown)")
    }
}

impl PassCode {
    /// One that a person chose.
    ///
    /// # Errors
    /// [`PassCodeError::TooShort`].
    pub fn chosen(code: &str) -> Result<Self, PassCodeError> {
        let code = code.trim();
        let length = code.chars().count();
        if length < SHORTEST {
            return Err(PassCodeError::TooShort(length));
        }
        Ok(Self(code.to_owned()))
    }

    /// A new one: ten characters in two groups, 50 bits.
    ///
    /// # Errors
    /// [`PassCodeError::NoRandomNumbers`].
    pub fn made_up() -> Result<Self, PassCodeError> {
        let mut bytes = [0_u8; 10];
        getrandom::fill(&mut bytes).map_err(|_| PassCodeError::NoRandomNumbers)?;
        let letter = |byte: &u8| char::from(LETTERS[usize::from(byte % 32)]);
        let (first, second) = bytes.split_at(5);
        Ok(Self(
            first
                .iter()
                .map(letter)
                .chain(std::iter::once('-'))
                .chain(second.iter().map(letter))
                .collect(),
        ))
    }

    /// The code, for the terminal of the person who starts the workbench.
    pub fn shown(&self) -> &str {
        &self.0
    }

    pub(super) fn lock(&self) -> Lock {
        Lock(Sha256::digest(self.0.as_bytes()).into())
    }
}

/// What a code opens: its hash, compared in constant time.
#[derive(Debug)]
pub(super) struct Lock([u8; 32]);

impl Lock {
    pub(super) fn opens_with(&self, typed: &str) -> bool {
        let typed: [u8; 32] = Sha256::digest(typed.trim().as_bytes()).into();
        self.0.ct_eq(&typed).into()
    }
}
