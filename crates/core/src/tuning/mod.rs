//! Tuning of a level loop: rules, margins with exact dead time, response to a load change.

mod characteristic;
pub mod dead_time;
mod findings;
mod ideal;
pub mod judge;
pub mod limit_cycle;
pub mod margins;
pub mod measured;
mod open_loop;
pub mod poles;
pub mod process;
pub mod process_gain;
pub mod response;
pub mod rules;
pub mod sheet;
pub mod sheets;
mod solver;
pub mod window;
mod workings;

pub use sheet::{TuningError, tuning_sheet};
