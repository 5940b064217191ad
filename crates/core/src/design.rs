//! THE main path: a described loop to its sheets.

use crate::controller::sheets::SettingsSheet;
use crate::finding::{Assumption, Finding};
use crate::level_map::LevelMapSheet;
use crate::measurement::sheets::{ErrorMapSheet, RangeSheet};
use crate::protection::sheets::SignalLossSheet;
use crate::tuning::sheets::TuningSheet;

/// All sheets of a loop.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheets {
    /// Range.
    pub range: RangeSheet,
    /// Error map, glass, compensation.
    pub error_map: ErrorMapSheet,
    /// Controller settings.
    pub settings: SettingsSheet,
    /// Tuning.
    pub tuning: TuningSheet,
    /// Loss of signal, reserve minutes.
    pub signal_loss: SignalLossSheet,
    /// Level map.
    pub level_map: LevelMapSheet,
    /// All findings, gravest first.
    pub findings: Vec<Finding>,
    /// What the survey did not give.
    pub assumptions: Vec<Assumption>,
}
