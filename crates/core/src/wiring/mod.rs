//! The wires: current loop, conductors, actuator supply, point-to-point list.

pub mod sheets;
