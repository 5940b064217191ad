//! The water side: duty points, supply and line, valve sizing (IEC 60534), installed characteristic, choice of size,
//! actuator, leakage and station.

pub mod actuator;
#[cfg(test)]
mod actuator_tests;
pub mod cavitation;
pub mod characteristic;
pub mod duties;
mod duty_flow;
pub mod error;
#[cfg(test)]
pub(crate) mod example_sheet;
mod findings;
pub mod friction;
pub mod installed;
pub mod leakage;
pub mod load_travel;
pub mod minimum_flow;
pub mod noise;
mod overpressure;
pub mod pump_curve;
pub mod returns;
pub mod root;
pub mod seat_leakage;
pub mod selection;
pub mod sheet;
pub mod sheets;
pub mod sizes;
pub mod sizing;
pub mod station;
pub mod stem_workings;
pub mod stroke;
pub mod styles;
pub mod supply;
#[cfg(test)]
mod supply_findings_tests;
pub mod system;
mod valve_equations;
pub mod valve_gain;
mod water_findings;
mod workings;

pub use error::FeedwaterError;
pub use sheet::feedwater_sheet;
