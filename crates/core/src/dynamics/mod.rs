//! The loop in motion: vessels, what stands around them, and the controller, stepped through time.
//!
//! ```text
//! demand, burner, pump, valve ──Boundary──> vessel ──VesselView──> cell, glass ──> controller ──> valve
//! ```
//!
//! SIMULATION: a model's answer, never a reading. The models' sources and limits stand in their files.

pub mod abbott;
pub mod actuator;
mod balance;
pub mod cell_signal;
pub mod conclusions;
pub mod deaerator;
mod demand;
pub mod draws;
pub mod drift;
pub mod drum;
pub mod drum_from_loop;
pub mod error;
pub mod feed;
pub mod heat;
pub mod height_table;
pub mod integrate;
mod marks;
pub mod motion;
mod noise;
pub mod open_water;
pub mod parallel;
pub mod plant;
pub mod proof;
pub mod ringing;
pub mod run;
pub mod sample;
pub mod saturated;
pub mod scan;
pub mod scenario;
pub mod shell;
pub mod shell_from_loop;
pub mod shell_swell;
pub mod start;
pub mod summary;
pub mod tank;
mod told;
pub mod vessel;
pub mod warming;

pub use error::DynamicsError;
