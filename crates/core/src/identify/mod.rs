//! Learning from a test on the plant: process gain, dead time and swell of a level loop from a record of it.
//!
//! A record cannot always tell; then the reason is a value of its own, never a number that looks like a result.

pub mod bump;
mod doubt;
mod intervals;
mod model;
mod plateaus;
pub mod record;
pub mod relay;
pub mod sheet;
pub mod steps;

pub use bump::{BumpFit, Split, identify_bump};
pub use doubt::{CannotTell, Doubt};
pub use intervals::Interval;
pub use record::{Record, RecordError};
pub use relay::{RelayFit, identify_relay};

#[cfg(test)]
mod simulated;
