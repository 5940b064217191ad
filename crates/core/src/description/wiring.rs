//! The wires as described: supply, cell, receivers, cable, barrier, actuator.

/// A conductor of a standard series, or a resistance that the user knows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Conductor {
    /// American wire gauge.
    Awg {
        /// Gauge number: 22, 20, 18 ...
        gauge: u8,
        /// Stranded or solid.
        stranded: bool,
    },
    /// Cross section of IEC 60228.
    Metric {
        /// Nominal cross section, mm2.
        area_mm2: f64,
        /// Class 5 (flexible) instead of class 1 or 2.
        flexible: bool,
        /// Tinned.
        tinned: bool,
    },
    /// Stated resistance of one conductor at 20 degC.
    Stated {
        /// Ohm per metre.
        ohm_per_m: f64,
    },
}

/// What sits between supply and cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarrierKind {
    /// Intrinsically safe barrier.
    Barrier,
    /// Surge protector.
    Surge,
    /// Isolator.
    Isolator,
}

/// A run of cable with two conductors.
#[derive(Debug, Clone, PartialEq)]
pub struct CableRun {
    /// The cable's own mark, may be empty.
    pub mark: String,
    /// Conductor.
    pub conductor: Conductor,
    /// Length one way, m.
    pub length_m: f64,
    /// Highest conductor temperature, K.
    pub temperature_k: f64,
}

/// Something in the current loop with a resistance.
#[derive(Debug, Clone, PartialEq)]
pub struct Receiver {
    /// Name.
    pub name: String,
    /// Resistance, ohm.
    pub resistance_ohm: f64,
    /// Its terminals' own marks: plus and minus, as typed by the user; may be empty.
    pub terminals: [String; 2],
}

/// An intrinsically safe barrier or isolator in the loop.
#[derive(Debug, Clone, PartialEq)]
pub struct Barrier {
    /// Name.
    pub name: String,
    /// Its kind.
    pub kind: BarrierKind,
    /// End-to-end resistance, ohm.
    pub resistance_ohm: f64,
    /// Further drop that does not depend on current, V.
    pub drop_v: f64,
    /// Largest supply voltage it may work at, V.
    pub largest_working_v: Option<f64>,
}

/// Power to the actuator.
#[derive(Debug, Clone, PartialEq)]
pub struct ActuatorSupply {
    /// Nominal voltage, V.
    pub voltage_v: f64,
    /// The supply's own lowest voltage under load, V.
    pub supply_lowest_v: f64,
    /// Alternating (true) or direct current.
    pub alternating: bool,
    /// Lowest voltage at which the actuator works, V.
    pub lowest_v: f64,
    /// Running load: VA, or W with direct current.
    pub running_va: f64,
    /// Load while it starts, VA or W.
    pub inrush_va: f64,
    /// Its cable.
    pub cable: CableRun,
    /// Rating of its transformer or supply, VA, where it has its own.
    pub source_va: Option<f64>,
    /// Fuse, A, where one is fitted; `None`: propose one.
    pub fuse_a: Option<f64>,
    /// Is the actuator's signal input isolated from its power.
    pub signal_isolated: bool,
    /// Terminals' own marks: two of power.
    pub terminals: [String; 2],
}

/// The controller's output loop to the actuator.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputLoop {
    /// Largest load the controller's output drives, ohm.
    pub largest_load_ohm: f64,
    /// Input resistance of the actuator, ohm.
    pub input_ohm: f64,
    /// Its cable.
    pub cable: CableRun,
    /// Controller's output terminals' own marks: plus, minus.
    pub controller_terminals: [String; 2],
    /// Actuator's input terminals' own marks: plus, minus.
    pub actuator_terminals: [String; 2],
}

/// The wires of the loop.
#[derive(Debug, Clone, PartialEq)]
pub struct Wiring {
    /// Lowest supply voltage, V.
    pub supply_lowest_v: f64,
    /// Highest supply voltage, V.
    pub supply_highest_v: f64,
    /// Does the controller supply the cell (true), or a power supply of its own.
    pub powered_by_controller: bool,
    /// Terminals of the supply: plus, minus.
    pub supply_terminals: [String; 2],
    /// Least voltage at the cell's terminals, V.
    pub cell_lift_off_v: f64,
    /// Largest voltage at the cell's terminals, V.
    pub cell_highest_v: f64,
    /// Cell's terminals: plus, minus.
    pub cell_terminals: [String; 2],
    /// Highest current the cell may drive, mA: its high alarm.
    pub highest_current_ma: f64,
    /// Receivers in series, the controller's input first.
    pub receivers: Vec<Receiver>,
    /// Cable from cabinet to cell.
    pub cable: CableRun,
    /// Barrier.
    pub barrier: Option<Barrier>,
    /// Is digital communication by HART wanted on the loop: it needs a least resistance.
    pub digital: bool,
    /// Where the shield is earthed, in the user's words: at one end only.
    pub shield_earth: String,
    /// Actuator's power.
    pub actuator_supply: Option<ActuatorSupply>,
    /// Controller's output to the actuator.
    pub output: Option<OutputLoop>,
}
