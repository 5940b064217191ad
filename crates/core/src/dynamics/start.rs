//! What a scenario starts from: the duty, the range and the settings it names, and whether it can be run at all.

use thiserror::Error;

use super::error::DynamicsError;
use super::scenario::{RangeChoice, Scenario, SettingsChoice};
use crate::controller::forms::{FormError, PidSettings};
use crate::description::{Duty, Loop};
use crate::design::Sheets;
use crate::feedwater::error::FeedwaterError;
use crate::measurement::MeasurementError;
use crate::measurement::sheets::Range;

/// Why there is no run.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum RunError {
    /// The scenario names a duty that the loop does not have.
    #[error("the scenario starts at duty “{name}”, which the loop does not have: it has {known}")]
    NoSuchDuty {
        /// As named.
        name: String,
        /// Names of the loop's duties.
        known: String,
    },
    /// Asked for something found, and nothing was.
    #[error("the scenario takes the {what} as found, and the loop file says none")]
    NothingFound {
        /// Range or settings.
        what: &'static str,
    },
    /// Time.
    #[error("a run must last between 1 s and 400 000 s, not {value} s")]
    Duration {
        /// As given.
        value: f64,
    },
    /// An event before the one ahead of it, or after the end.
    #[error("event {index} is at {time_s} s: events must rise in time and lie within the run")]
    Event {
        /// From 1.
        index: usize,
        /// Its time.
        time_s: f64,
    },
    /// Settings.
    #[error(transparent)]
    Form(#[from] FormError),
    /// Vessel.
    #[error(transparent)]
    Dynamics(#[from] DynamicsError),
    /// Cell.
    #[error(transparent)]
    Measurement(#[from] MeasurementError),
    /// Water side.
    #[error(transparent)]
    Feedwater(#[from] FeedwaterError),
}

/// The duty a scenario starts at.
///
/// # Errors
/// [`RunError::NoSuchDuty`].
pub fn start_duty<'a>(described: &'a Loop, scenario: &Scenario) -> Result<&'a Duty, RunError> {
    let known = || {
        let names: Vec<&str> = described
            .duties
            .iter()
            .map(|duty| duty.name.as_str())
            .collect();
        names.join(", ")
    };
    match &scenario.start_duty {
        Some(name) => described
            .duties
            .iter()
            .find(|duty| duty.name == *name)
            .ok_or_else(|| RunError::NoSuchDuty {
                name: name.clone(),
                known: known(),
            }),
        None => largest(described).ok_or_else(|| RunError::NoSuchDuty {
            name: "largest".into(),
            known: known(),
        }),
    }
}

/// The duty with the largest outflow.
pub(super) fn largest(described: &Loop) -> Option<&Duty> {
    described
        .duties
        .iter()
        .max_by(|a, b| a.steam_kg_s.total_cmp(&b.steam_kg_s))
}

pub(super) fn settings(sheets: &Sheets, choice: SettingsChoice) -> Result<PidSettings, RunError> {
    let judged = match choice {
        SettingsChoice::Chosen => &sheets.tuning.chosen,
        SettingsChoice::Habit => &sheets.tuning.habit,
        SettingsChoice::AsFound => sheets
            .tuning
            .as_found
            .as_ref()
            .ok_or(RunError::NothingFound { what: "settings" })?,
        SettingsChoice::Stated {
            gain_ratio,
            reset_s,
        } => {
            return Ok(PidSettings::ideal(gain_ratio, reset_s, 0.0)?);
        }
    };
    Ok(PidSettings::ideal(
        judged.gain_ratio,
        judged.reset_s,
        judged.derivative_s,
    )?)
}

pub(super) fn range(sheets: &Sheets, choice: RangeChoice) -> Result<Range, RunError> {
    match choice {
        RangeChoice::Chosen => Ok(sheets.range.chosen),
        RangeChoice::Bench => Ok(sheets.range.bench),
        RangeChoice::AsFound => sheets
            .range
            .as_found
            .as_ref()
            .map(|found| found.range)
            .ok_or(RunError::NothingFound { what: "range" }),
    }
}

pub(super) fn check(scenario: &Scenario) -> Result<(), RunError> {
    if !(1.0..=400_000.0).contains(&scenario.duration_s) {
        return Err(RunError::Duration {
            value: scenario.duration_s,
        });
    }
    let mut before = 0.0;
    for (index, event) in scenario.events.iter().enumerate() {
        if !(event.time_s >= before && event.time_s <= scenario.duration_s) {
            return Err(RunError::Event {
                index: index + 1,
                time_s: event.time_s,
            });
        }
        before = event.time_s;
    }
    Ok(())
}
