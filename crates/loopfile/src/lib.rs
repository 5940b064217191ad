//! Loop file text to a checked [`Loop`](halfglass_core::description::Loop), or all its problems at once.

pub mod keys;
pub mod problem;
pub mod quantity_text;

pub use problem::{Label, Problem, line_and_column};
