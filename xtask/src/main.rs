//! Repository tasks.
fn main() {}
