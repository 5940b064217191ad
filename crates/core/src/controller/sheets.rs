//! What the settings sheet holds.

use crate::controller::action::Action;
use crate::controller::forms::PidForm;
use crate::finding::Finding;
use crate::working::Working;

/// One value to enter.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingRow {
    /// Term key that device marks refer to: gain, reset, derivative, action, set-point, filter, input-low, ...
    pub term: &'static str,
    /// The trade's name.
    pub name: String,
    /// The value in the unit the device wants, or why the form cannot hold it.
    pub value: Result<SettingValue, String>,
    /// The device's own mark, typed by the user.
    pub device_mark: Option<String>,
    /// One sentence: what it does, or how it follows.
    pub note: String,
}

/// A value and its unit.
#[derive(Debug, Clone, PartialEq)]
pub enum SettingValue {
    /// A plain number with its unit in words (`%`, `s/repeat`, `repeats/min`, `mA`).
    Number(f64, &'static str),
    /// A level, metres above the lower tap (printed in the loop's units).
    LevelM(f64),
    /// A level band, metres (printed in the loop's units).
    LevelBandM(f64),
    /// A word, for instance reverse.
    Word(String),
}

/// The settings sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingsSheet {
    /// Form of the device.
    pub form: PidForm,
    /// Action.
    pub action: Action,
    /// The chain of signs in words.
    pub action_steps: Vec<String>,
    /// What to enter.
    pub rows: Vec<SettingRow>,
    /// The same settings in all three forms: (form, gain, reset, derivative) in words, or why not.
    pub other_forms: Vec<(PidForm, Result<String, String>)>,
    /// If the as-found range had another span: factor by which the old gain must be multiplied to keep the loop the same.
    pub gain_rescale_ratio: Option<f64>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
