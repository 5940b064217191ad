//! What can be wrong with a measurement question.

use thiserror::Error;

use crate::water::{FillFluidError, WaterError};

/// A measurement question that has no answer. NaN always is one.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum MeasurementError {
    /// A water property was asked for outside its range.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// A fill-fluid density was asked for outside its table.
    #[error(transparent)]
    FillFluid(#[from] FillFluidError),
    /// The cell weighs only what stands between its taps.
    #[error(
        "level {level_m} m is outside {lowest_m} m to {highest_m} m above the lower tap, where the cell is blind"
    )]
    LevelOutsideTaps {
        /// Level asked for, m above the lower tap.
        level_m: f64,
        /// Lowest level the cell weighs, m.
        lowest_m: f64,
        /// Highest level the cell weighs, m.
        highest_m: f64,
    },
    /// A closed vessel with a dry leg needs its upper tap.
    #[error("a dry reference leg starts at the upper tap, and no upper tap is given")]
    NoUpperTap,
    /// The low port of a closed vessel cannot be open to the air.
    #[error(
        "the reference port is open to the air, but the vessel is closed and under pressure: the cell would see the vessel pressure"
    )]
    OpenReferenceOnClosedVessel,
    /// Level cannot be told where the liquid is not heavier than what is above it.
    #[error(
        "liquid of {liquid_kg_m3} kg/m3 is not heavier than the {vapour_kg_m3} kg/m3 above it: a differential tells no level"
    )]
    LiquidNotHeavier {
        /// Liquid density, kg/m3.
        liquid_kg_m3: f64,
        /// Vapour density, kg/m3.
        vapour_kg_m3: f64,
    },
    /// A range whose two ends are the same, or not numbers.
    #[error("range from {lrv_pa} Pa to {urv_pa} Pa has no span")]
    NoSpan {
        /// Differential at 0 %, Pa.
        lrv_pa: f64,
        /// Differential at 100 %, Pa.
        urv_pa: f64,
    },
    /// The level span is not a rising pair of levels.
    #[error("level span from {at_0_percent_m} m to {at_100_percent_m} m does not rise")]
    LevelSpanNotRising {
        /// Level called 0 %, m.
        at_0_percent_m: f64,
        /// Level called 100 %, m.
        at_100_percent_m: f64,
    },
    /// Weights of high and low errors must be positive.
    #[error(
        "weights {high_ratio} on high errors and {low_ratio} on low errors must both exceed 0 and be finite"
    )]
    WeightNotPositive {
        /// Weight on errors that read high, ratio.
        high_ratio: f64,
        /// Weight on errors that read low, ratio.
        low_ratio: f64,
    },
    /// A limit or band must be an ordered pair of finite numbers.
    #[error(
        "{name} runs from {low} {unit} to {high} {unit}: both must be finite, the second not below the first"
    )]
    BandNotRising {
        /// What it is, in words.
        name: &'static str,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// A table of two columns needs at least two points.
    #[error("{count} linearisation points: at least 2 are needed")]
    TooFewPoints {
        /// Points asked for.
        count: usize,
    },
    /// No range satisfies the limit on high errors.
    #[error(
        "no range keeps high errors at and below the low alarm within {limit_percent} % of span"
    )]
    NoRangeWithinLimit {
        /// The limit, percent of span.
        limit_percent: f64,
    },
    /// The band moves the reading so much that a panel standing still would do as well.
    #[error(
        "the band of pressures and leg temperatures moves the reading by up to {worst_percent} % of span either way: no range serves all of it"
    )]
    BandTooWide {
        /// Least worst weighted error, percent of span.
        worst_percent: f64,
    },
}
