//! What the wiring sheet holds.

use crate::finding::Finding;
use crate::working::Working;

/// The signal loop at one current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopVolts {
    /// Current, mA.
    pub current_ma: f64,
    /// What the current is: 4, 20, saturation, alarm.
    pub what: &'static str,
    /// Volts lost in receivers, wires and barrier at the lowest supply, V.
    pub lost_v: f64,
    /// Volts at the cell's terminals at the lowest supply, V.
    pub at_cell_v: f64,
    /// At the highest supply, V.
    pub at_cell_highest_v: f64,
    /// Volts over the lift-off voltage, V; negative: starved.
    pub margin_v: f64,
}

/// The signal loop.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalLoop {
    /// Resistance of both wires at their highest temperature, ohm.
    pub wire_ohm: f64,
    /// Receivers together, ohm.
    pub receivers_ohm: f64,
    /// Barrier, ohm.
    pub barrier_ohm: f64,
    /// Sum: what the cell has to drive, ohm.
    pub burden_ohm: f64,
    /// Most that it can drive at the highest current and lowest supply, ohm.
    pub burden_max_ohm: f64,
    /// Least that digital communication wants, ohm, where it is wanted.
    pub burden_least_ohm: Option<f64>,
    /// Volts over the current range.
    pub volts: Vec<LoopVolts>,
    /// Current at which the loop starves, mA; `None` when it does not below the highest current.
    pub clip_current_ma: Option<f64>,
    /// Panel reading at that current, percent of span.
    pub clip_percent: Option<f64>,
    /// Longest run one way with this conductor, m; 0 when none.
    pub longest_run_m: f64,
    /// Run as surveyed, m.
    pub run_m: f64,
    /// Resistance of one conductor at its highest temperature, ohm/km.
    pub conductor_ohm_per_km: f64,
    /// Conductor in words: `18 AWG stranded`, `1.5 mm2 class 2`.
    pub conductor_words: String,
}

/// Another conductor, for comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct ConductorRow {
    /// Conductor.
    pub name: String,
    /// ohm/km at the loop's highest conductor temperature.
    pub ohm_per_km: f64,
    /// Longest run one way, m.
    pub longest_run_m: f64,
}

/// The actuator's power.
#[derive(Debug, Clone, PartialEq)]
pub struct ActuatorPower {
    /// Resistance of both wires, ohm.
    pub wire_ohm: f64,
    /// Current while it runs and while it starts, at the supply's lowest voltage, A.
    pub current_a: (f64, f64),
    /// Volts at its terminals while it runs and while it starts, at the supply's lowest voltage, V; 0: the wires cannot
    /// carry the load.
    pub at_terminals_v: (f64, f64),
    /// Drop in the wires while it runs and while it starts, percent of nominal.
    pub drop_percent: (f64, f64),
    /// Longest run one way for the heavier load at the supply's lowest voltage, m; 0 when none.
    pub longest_run_m: f64,
    /// Fuse proposed or fitted, A.
    pub fuse_a: f64,
    /// Is it proposed.
    pub fuse_is_proposed: bool,
    /// In words.
    pub words: String,
}

/// The controller's output to the actuator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputBurden {
    /// Load, ohm.
    pub load_ohm: f64,
    /// Largest load that the output drives, ohm.
    pub largest_ohm: f64,
}

/// One wire.
#[derive(Debug, Clone, PartialEq)]
pub struct Connection {
    /// Number, from 1.
    pub number: usize,
    /// What it carries: signal +, signal −, shield, power.
    pub carries: String,
    /// From this device.
    pub from_device: String,
    /// Its terminal's own mark as typed by the user; empty: to be filled in.
    pub from_terminal: String,
    /// Cable's mark, may be empty.
    pub cable: String,
    /// To this device.
    pub to_device: String,
    /// Its terminal's own mark; empty: to be filled in.
    pub to_terminal: String,
    /// Remark, may be empty.
    pub remark: String,
}

/// The wiring sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct WiringSheet {
    /// Signal loop.
    pub signal: SignalLoop,
    /// Other conductors.
    pub conductors: Vec<ConductorRow>,
    /// Actuator's power.
    pub actuator: Option<ActuatorPower>,
    /// Controller's output.
    pub output: Option<OutputBurden>,
    /// Point-to-point list.
    pub connections: Vec<Connection>,
    /// Earth and isolation: sentences in order.
    pub earth_words: Vec<String>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
