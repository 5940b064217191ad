//! What can be wrong with a vessel or a question to it.

use thiserror::Error;

/// A vessel that cannot be, or a question outside it. NaN is always wrong.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum VesselError {
    /// A length of the shell is outside the sensible range.
    #[error("{dimension} {value_m} m is outside {minimum_m} m to {maximum_m} m")]
    Dimension {
        /// Which dimension, in words.
        dimension: &'static str,
        /// Length given, m.
        value_m: f64,
        /// Shortest length accepted, m.
        minimum_m: f64,
        /// Longest length accepted, m.
        maximum_m: f64,
    },
    /// A ratio of a head to the diameter is outside the sensible range.
    #[error("{ratio} {value} of the diameter is outside {minimum} to {maximum}")]
    HeadRatio {
        /// Which ratio, in words.
        ratio: &'static str,
        /// Ratio given, 1.
        value: f64,
        /// Lowest ratio accepted, 1.
        minimum: f64,
        /// Highest ratio accepted, 1.
        maximum: f64,
    },
    /// The height is not inside the vessel.
    #[error("height {value_m} m is outside the vessel, 0 m to {height_m} m")]
    Height {
        /// Height given, m above the inside bottom.
        value_m: f64,
        /// Inside height of the vessel, m.
        height_m: f64,
    },
    /// The vessel does not hold this volume.
    #[error("volume {value_m3} m3 is outside what the vessel holds, 0 m3 to {capacity_m3} m3")]
    Volume {
        /// Volume given, m3.
        value_m3: f64,
        /// Volume of the full vessel, m3.
        capacity_m3: f64,
    },
    /// A fraction displaced by internals is not at least 0 and below 1.
    #[error("displaced fraction {value} in row {row} is not at least 0 and below 1")]
    DisplacedFraction {
        /// Row, counted from 1.
        row: usize,
        /// Fraction given, 1.
        value: f64,
    },
    /// Heights of internals must be finite and rise from row to row.
    #[error("height {value_m} m of internals in row {row} does not exceed {previous_m} m")]
    InternalsNotAscending {
        /// Row, counted from 1.
        row: usize,
        /// Height given, m above the inside bottom.
        value_m: f64,
        /// Height of the row before, m: the limit.
        previous_m: f64,
    },
}
