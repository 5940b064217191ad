//! Why a model cannot go on.

use thiserror::Error;

use crate::measurement::MeasurementError;
use crate::vessel::VesselError;
use crate::water::WaterError;

/// Why a model has no answer. `time_s` is counted from the start of the run where it is known.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum DynamicsError {
    /// A parameter outside its range.
    #[error("{what} is {value} {unit}; it must be {limit}")]
    Parameter {
        /// Which, in words.
        what: &'static str,
        /// As given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// What it must be.
        limit: &'static str,
    },
    /// No steady state at this load.
    #[error("no steady state: {why}")]
    NoSteadyState {
        /// Why, in words.
        why: String,
    },
    /// The vessel left what its model describes: run dry, filled, or blown through.
    #[error("the model ends: {why}")]
    Left {
        /// Why, in words.
        why: String,
    },
    /// Foam in a vessel whose water does not boil.
    #[error("nothing boils in this vessel now, so that nothing foams")]
    NoBubbles,
    /// A property was asked for outside its range.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// The vessel's shape.
    #[error(transparent)]
    Vessel(#[from] VesselError),
    /// The cell.
    #[error(transparent)]
    Measurement(#[from] MeasurementError),
}

/// The value, where it is above zero and finite.
///
/// # Errors
/// [`DynamicsError::Parameter`] elsewhere, NaN too.
pub fn positive(what: &'static str, value: f64, unit: &'static str) -> Result<f64, DynamicsError> {
    held(what, value, unit, value > 0.0, "above 0 and finite")
}

/// The value, where it is not below zero and finite.
///
/// # Errors
/// [`DynamicsError::Parameter`] elsewhere, NaN too.
pub fn not_below_zero(
    what: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, DynamicsError> {
    held(what, value, unit, value >= 0.0, "0 or more and finite")
}

fn held(
    what: &'static str,
    value: f64,
    unit: &'static str,
    within: bool,
    limit: &'static str,
) -> Result<f64, DynamicsError> {
    if within && value.is_finite() {
        Ok(value)
    } else {
        Err(DynamicsError::Parameter {
            what,
            value,
            unit,
            limit,
        })
    }
}
