//! What a proof holds. SIMULATION.

use crate::tuning::limit_cycle::LimitCycle;
use crate::tuning::sheets::Judged;

/// What nobody measures and what it may be: the actuator's stroke and play over the stated ones, and the bubbles' rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Rise of bubbles: 0 slow, 1 fast.
    pub rise_ratio: f64,
    /// Stroke time over the stated one.
    pub stroke_ratio: f64,
    /// Deadband over the stated one.
    pub deadband_ratio: f64,
}

/// The corners that settings are picked on.
pub const CORNERS: [Corner; 4] = [
    Corner {
        rise_ratio: 0.0,
        stroke_ratio: 1.0,
        deadband_ratio: 1.0,
    },
    Corner {
        rise_ratio: 1.0,
        stroke_ratio: 1.0,
        deadband_ratio: 1.0,
    },
    Corner {
        rise_ratio: 0.0,
        stroke_ratio: 1.3,
        deadband_ratio: 2.0,
    },
    Corner {
        rise_ratio: 1.0,
        stroke_ratio: 1.3,
        deadband_ratio: 2.0,
    },
];

/// A run of the proof.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofRun {
    /// Duty it starts at.
    pub duty: String,
    /// Load before and after, share of the largest duty's outflow.
    pub load_ratio: (f64, f64),
    /// What was taken.
    pub corner: Corner,
    /// Largest deviation of the TRUE level from the set point, m, with its sign, and when after the change, s.
    pub peak_m: f64,
    /// When, s after the change.
    pub peak_time_s: f64,
    /// Why it does not hold; `None`: it holds.
    pub fault: Option<Fault>,
}

/// Why a run does not hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Beyond the allowed deviation.
    Deviation,
    /// A mark was passed.
    Mark(&'static str),
    /// A swing lives on.
    Swings,
    /// The vessel left its model.
    Left(String),
}

impl Fault {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Deviation => "leaves the allowed deviation".into(),
            Self::Mark(mark) => format!("passes the {mark}"),
            Self::Swings => "keeps swinging".into(),
            Self::Left(why) => format!("leaves the model: {why}"),
        }
    }
}

/// Settings tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The settings with their margins, as the tuning sheet judges them.
    pub judged: Judged,
    /// Runs that hold, of all.
    pub held: (usize, usize),
    /// The worst run: one that does not hold, or the largest deviation.
    pub worst: ProofRun,
}

impl Tried {
    /// Do they hold in every run, and stay robust.
    pub const fn holds(&self) -> bool {
        self.held.0 == self.held.1 && self.judged.robust
    }
}

/// One thing changed in the worst run.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// What was changed, in words.
    pub change: &'static str,
    /// Largest deviation then, m, its size.
    pub peak_m: f64,
    /// Does the run hold then.
    pub holds: bool,
}

/// The steady swing that play or steps of the valve keep alive at a duty.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyCycle {
    /// Duty.
    pub duty: String,
    /// From the deadband.
    pub play: Option<LimitCycle>,
    /// From the resolution.
    pub steps: Option<LimitCycle>,
}

/// The proof. SIMULATION.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// Settings tried, from slow to fast.
    pub tried: Vec<Tried>,
    /// The slowest that hold.
    pub picked: Option<usize>,
    /// The tuning sheet's chosen settings in the same runs.
    pub chosen: Tried,
    /// Random draws of the picked (or the chosen) settings: how many hold, of how many, and the worst.
    pub draws: (usize, usize, ProofRun),
    /// What one change at a time does to the worst run, best first.
    pub remedies: Vec<Remedy>,
    /// The worst run's deviation without any change, m, its size.
    pub unchanged_peak_m: f64,
    /// Steady swings predicted for the picked (or the chosen) settings.
    pub cycles: Vec<DutyCycle>,
}
