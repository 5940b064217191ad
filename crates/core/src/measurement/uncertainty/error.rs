//! What can be wrong with an uncertainty question.

use thiserror::Error;

use crate::measurement::MeasurementError;

/// An uncertainty question that has no answer. NaN always is one.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum UncertaintyError {
    /// What the cell or the glass sees cannot be computed.
    #[error(transparent)]
    Measurement(#[from] MeasurementError),
    /// It cannot be computed with this input off by as much as it may be.
    #[error("with the {name} off by {deviation} {unit}: {cause}")]
    Input {
        /// Input.
        name: &'static str,
        /// How far it was moved.
        deviation: f64,
        /// Its unit.
        unit: &'static str,
        /// What then fails.
        cause: MeasurementError,
    },
    /// A width, time or swing must not be negative.
    #[error("{name} is {value}: it must not be negative and be finite")]
    Negative {
        /// What it is.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// A correlation lies between −1 and 1.
    #[error("correlation {value} of the legs' temperatures is outside −1 to 1")]
    Correlation {
        /// Its value.
        value: f64,
    },
    /// An input is listed twice.
    #[error("the {name} is listed twice")]
    Twice {
        /// Input.
        name: &'static str,
    },
    /// An input that this loop does not have.
    #[error("the {name} has no place in this loop: {why}")]
    NotInLoop {
        /// Input.
        name: &'static str,
        /// Why.
        why: &'static str,
    },
    /// A repeated reading that is no number.
    #[error("zero reading number {number} is not a finite current")]
    ZeroReading {
        /// Its number, from 1.
        number: usize,
    },
    /// The simulation met a state that the model refuses.
    #[error("{count} of {trials} trials left the range of the measurement model")]
    Trials {
        /// Trials without an answer.
        count: usize,
        /// Trials.
        trials: usize,
    },
}

/// Passes a value that is not negative on.
pub(super) fn not_negative(name: &'static str, value: f64) -> Result<f64, UncertaintyError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(UncertaintyError::Negative { name, value })
    }
}
