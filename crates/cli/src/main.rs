//! The halfglass binary.
fn main() {}
