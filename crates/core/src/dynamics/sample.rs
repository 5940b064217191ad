//! An instant of a run.

use super::scan::Mode;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};

/// Alarms and trips that stand at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Standing {
    /// High-level trip, by the TRUE level at its own height.
    pub high_trip: bool,
    /// High alarm, by the INDICATED level.
    pub high_alarm: bool,
    /// Low alarm, by the INDICATED level.
    pub low_alarm: bool,
    /// First low-water cutoff, or first low-level trip, by the TRUE level at its own height.
    pub first_low: bool,
    /// Second low-water cutoff, or second low-level trip, by the TRUE level at its own height.
    pub second_low: bool,
    /// The burner is locked out until somebody resets it with the level back.
    pub locked_out: bool,
}

/// An instant of a run. SIMULATION: nothing here was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// From the start, s.
    pub time_s: f64,
    /// TRUE level.
    pub true_level: TrueLevel,
    /// INDICATED level: what the panel says.
    pub indicated: IndicatedLevel,
    /// GLASS level, where there is a glass and it shows one.
    pub glass: Option<GlassLevel>,
    /// Set point, m above the lower tap.
    pub set_point: TrueLevel,
    /// Who moves the valve.
    pub mode: Mode,
    /// Surface of the mixture, m above the lower tap.
    pub mixture_surface_m: f64,
    /// Pressure, absolute, Pa.
    pub pressure_pa: f64,
    /// What the users want, kg/s.
    pub demand_kg_s: f64,
    /// Steam, or water drawn from a tank, kg/s.
    pub outflow_kg_s: f64,
    /// Feedwater through the valve, kg/s.
    pub feed_kg_s: f64,
    /// Water over the overflow, kg/s.
    pub overflow_kg_s: f64,
    /// Current of the cell, mA.
    pub current_ma: f64,
    /// Travel of the valve, percent.
    pub travel_percent: f64,
    /// Output of the controller, percent.
    pub output_percent: f64,
    /// Heat, losses taken off, W.
    pub heat_w: f64,
    /// Alarms and trips that stand.
    pub standing: Standing,
}
