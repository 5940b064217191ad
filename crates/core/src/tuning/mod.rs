//! Tuning of a level loop: rules, margins with exact dead time, response to a load change.

mod characteristic;
mod ideal;
pub mod margins;
mod open_loop;
pub mod poles;
pub mod process;
pub mod response;
pub mod rules;
pub mod sheets;
