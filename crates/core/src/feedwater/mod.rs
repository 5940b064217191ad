//! The water side: duty points, supply and line, valve sizing (IEC 60534), installed characteristic, choice of size,
//! actuator, leakage and station.

pub mod sheets;
