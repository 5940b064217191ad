//! What can be wrong with a wiring question.

use thiserror::Error;

/// A wiring question that has no answer. NaN always is one.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum WiringError {
    /// No resistance is known for this gauge.
    #[error("no resistance is known for {gauge} AWG: known are {known}")]
    UnknownGauge {
        /// Gauge asked for.
        gauge: u8,
        /// Known gauges, in words.
        known: String,
    },
    /// No resistance is known for this cross section.
    #[error("no resistance is known for {area_mm2} mm2: known are {known}")]
    UnknownArea {
        /// Cross section asked for, mm2.
        area_mm2: f64,
        /// Known cross sections, in words.
        known: String,
    },
    /// The formulas for copper hold between these temperatures.
    #[error(
        "conductor temperature {temperature_k} K is outside {lowest_k} K to {highest_k} K, where copper's resistance is linear enough"
    )]
    ConductorTemperature {
        /// Temperature asked for, K.
        temperature_k: f64,
        /// Lowest, K.
        lowest_k: f64,
        /// Highest, K.
        highest_k: f64,
    },
    /// A value must be above zero.
    #[error("{name} is {value} {unit}: it must exceed 0 and be finite")]
    NotPositive {
        /// What it is.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A value must not be negative.
    #[error("{name} is {value} {unit}: it must not be negative and be finite")]
    Negative {
        /// What it is.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// Two values are in the wrong order.
    #[error("{high_name}, {high} {unit}, is below {low_name}, {low} {unit}")]
    Order {
        /// What has to be the lower one.
        low_name: &'static str,
        /// Its value.
        low: f64,
        /// What has to be the higher one.
        high_name: &'static str,
        /// Its value.
        high: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// No standard fuse is large enough.
    #[error(
        "the actuator wants a fuse of at least {wanted_a} A: the largest one here is {largest_a} A"
    )]
    NoFuse {
        /// Rating wanted, A.
        wanted_a: f64,
        /// Largest rating of the series, A.
        largest_a: f64,
    },
}

/// Passes a value above zero on.
pub(super) fn positive(
    name: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, WiringError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(WiringError::NotPositive { name, value, unit })
    }
}

/// Passes a value that is not negative on.
pub(super) fn not_negative(
    name: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, WiringError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(WiringError::Negative { name, value, unit })
    }
}
