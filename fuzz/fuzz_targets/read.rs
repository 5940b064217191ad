//! Any bytes get a loop or problems with places inside the file, never a panic.
//!
//! `cargo +nightly fuzz run read` from the repository's root. The corpus is replayed on stable by the tests of
//! `crates/loopfile`, which make the same claims.

#![no_main]

use halfglass_loopfile::{LARGEST_FILE_BYTES, read};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Err(problems) = read(bytes) else { return };
    assert!(!problems.is_empty(), "no loop and no reason");
    if bytes.len() > LARGEST_FILE_BYTES {
        return;
    }
    for problem in problems {
        for label in std::iter::once(&problem.primary).chain(&problem.secondary) {
            assert!(label.span.start <= label.span.end && label.span.end <= bytes.len());
        }
    }
});
