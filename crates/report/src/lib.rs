//! Sheets to sections of blocks, and to JSON, in the units of the loop. One wording for terminal, page and pack.

pub mod behind;
pub mod bill;
pub mod block;
pub mod cautions;
pub mod compare;
pub mod elevation;
pub mod json;
pub mod loop_tags;
pub mod samples;
pub mod sections;
pub mod units;
mod wording;

pub use sections::{section, sections};
pub use wording::{as_printed, leg_of_temperature, vessel_kind};

#[cfg(test)]
mod fixture;
