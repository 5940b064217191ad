//! What the loss-of-signal sheet holds.

use crate::finding::Finding;
use crate::working::Working;

/// Where the level goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Level falls.
    Starves,
    /// Level rises.
    Floods,
    /// Level drifts with the load; direction cannot be told.
    Drifts,
}

/// Minutes that a drifting level takes either way.
#[derive(Debug, Clone, PartialEq)]
pub struct BothWays {
    /// Minutes to the trip under the set point; `None` when there is none, or none is reached.
    pub falling_minutes: Option<f64>,
    /// To what those minutes run.
    pub falling_to: String,
    /// Minutes to the trip or overflow above the set point.
    pub rising_minutes: Option<f64>,
    /// To what those minutes run.
    pub rising_to: String,
}

/// One failure.
#[derive(Debug, Clone, PartialEq)]
pub struct FailureRow {
    /// What fails.
    pub failure: String,
    /// What the controller sees and does.
    pub controller_does: String,
    /// What the valve does.
    pub valve_does: String,
    /// Which way the level goes.
    pub outcome: Outcome,
    /// Minutes from the set point until a trip acts or the overflow runs, at the worst duty; `None` where neither is on that side.
    pub minutes: Option<f64>,
    /// To what those minutes run.
    pub minutes_to: String,
    /// Where the level drifts: minutes both ways, of which the row tells the sooner; `None` where it goes one way.
    pub both_ways: Option<BothWays>,
    /// What catches it.
    pub caught_by: String,
}

/// Minutes that the level takes from one mark to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Reserve {
    /// From.
    pub from: String,
    /// To.
    pub to: String,
    /// Mass that leaves between them: water, less the steam that takes its place, kg.
    pub mass_kg: f64,
    /// Minutes with feed lost at the largest load.
    pub minutes: f64,
}

/// The cold-fill mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColdFill {
    /// Fill temperature, K.
    pub fill_k: f64,
    /// Cold level that swells to the set point at normal pressure, m above the lower tap.
    pub cold_level_m: f64,
    /// Level at normal pressure if filled cold to the set point, m above the lower tap; the top of the shell where
    /// the vessel would be full of water (a finding then says so).
    pub hot_level_m: f64,
    /// Volume ratio hot over cold, condensed steam counted.
    pub volume_ratio: f64,
    /// Steam that condenses into the water on the way, over the mass filled; 0 where the vessel is heated from outside.
    pub condensed_ratio: f64,
}

/// Cool-down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoolDown {
    /// Absolute pressure at the lowest ambient temperature if the vessel stays shut and no breaker opens, Pa.
    pub pressure_pa: f64,
    /// Cell's vacuum limit, Pa absolute.
    pub cell_limit_pa: f64,
    /// A vacuum breaker holds the vessel near the atmosphere, as long as it works.
    pub vacuum_breaker: bool,
    /// True when the vessel may pull below the cell's limit.
    pub exceeds: bool,
}

/// The loss-of-signal sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalLossSheet {
    /// Failures.
    pub rows: Vec<FailureRow>,
    /// Reserve minutes with feed lost.
    pub reserves: Vec<Reserve>,
    /// Cold-fill mark; `None` for a vented tank, and for a drum boiler whose circuit volume is not known.
    pub cold_fill: Option<ColdFill>,
    /// Cool-down; `None` for a vented tank.
    pub cool_down: Option<CoolDown>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
