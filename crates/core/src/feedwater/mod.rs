//! The water side: duty points, supply and line, valve sizing (IEC 60534), installed characteristic, choice of size,
//! actuator, leakage and station.

pub mod characteristic;
pub mod root;
pub mod sheets;
pub mod sizing;
mod valve_equations;
