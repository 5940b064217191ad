//! Sheets to sections of blocks, and to JSON, in the units of the loop. One wording for terminal, page and pack.

pub mod bill;
pub mod block;
pub mod cautions;
pub mod json;
pub mod loop_tags;
pub mod sections;
pub mod units;
mod wording;

pub use sections::{section, sections};

#[cfg(test)]
mod fixture;
