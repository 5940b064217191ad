//! The wires: current loop, conductors, actuator supply, point-to-point list.
//!
//! [`wiring_sheet`] makes the sheet.

mod actuator_supply;
mod checks;
pub mod conductor;
mod connections;
mod error;
mod sheet;
pub mod sheets;
mod signal_loop;
#[cfg(test)]
mod tests;

pub use connections::shield_at_both_ends;
pub use error::WiringError;
pub use sheet::wiring_sheet;
