//! Pure computation for level loops on steam vessels: no I/O, no clock, no logging, no async.
//!
//! Start at [`design`]: it takes a [`description::Loop`] and returns [`design::Sheets`].

pub mod commissioning;
pub mod controller;
pub mod description;
pub mod design;
pub mod dynamics;
#[cfg(test)]
mod example_loop;
pub mod feedwater;
pub mod finding;
pub mod identify;
pub mod level_map;
pub mod measurement;
pub mod protection;
pub mod quantity;
mod reader_units;
pub mod site;
pub mod tuning;
pub mod vessel;
pub mod water;
pub mod wiring;
pub mod working;
