//! Why there is no feedwater sheet.

use crate::feedwater::actuator::ActuatorError;
use crate::feedwater::characteristic::CharacteristicError;
use crate::feedwater::leakage::LeakageSheetError;
use crate::feedwater::minimum_flow::MinimumFlowError;
use crate::feedwater::noise::NoiseError;
use crate::feedwater::returns::ReturnError;
use crate::feedwater::sizing::SizingError;
use crate::feedwater::station::StationError;
use crate::feedwater::stroke::StrokeError;
use crate::feedwater::styles::StyleError;
use crate::water::WaterError;

/// What is wrong with a pump's curve or its running.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SupplyError {
    /// Too few points.
    #[error("a pump curve of {count} points: at least 3 are needed")]
    TooFewPoints {
        /// Points given.
        count: usize,
    },
    /// A point is no number, or a flow does not rise.
    #[error(
        "pump curve: flow {flow_m3_s} m3/s with head {head_m} m does not follow the point before it"
    )]
    NotRising {
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Head, m.
        head_m: f64,
    },
    /// The head does not fall towards the end.
    #[error(
        "the head of the pump curve rises or stays at its last point ({slope_s_m2} m per m3/s)"
    )]
    RisesAtEnd {
        /// Slope, m per m3/s.
        slope_s_m2: f64,
    },
    /// No pump runs.
    #[error("no pump runs")]
    NoPumpRuns,
    /// A flow or pressure that cannot be.
    #[error("{what} of {value} {unit} cannot be")]
    Impossible {
        /// What.
        what: &'static str,
        /// Value.
        value: f64,
        /// Unit.
        unit: &'static str,
    },
}

/// Why there is no feedwater sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FeedwaterError {
    /// Water properties are out of range at a duty.
    #[error("water at duty “{duty}”: {source}")]
    Water {
        /// Duty.
        duty: String,
        /// Reason.
        source: WaterError,
    },
    /// The supply.
    #[error("supply: {0}")]
    Supply(#[from] SupplyError),
    /// The characteristic.
    #[error("valve characteristic: {0}")]
    Characteristic(#[from] CharacteristicError),
    /// Sizing.
    #[error("duty “{duty}”: {source}")]
    Sizing {
        /// Duty.
        duty: String,
        /// Reason.
        source: SizingError,
    },
    /// Factors of the valve's style.
    #[error(transparent)]
    Style(#[from] StyleError),
    /// Noise.
    #[error("noise at duty “{duty}”: {source}")]
    Noise {
        /// Duty.
        duty: String,
        /// Reason.
        source: NoiseError,
    },
    /// Actuator.
    #[error("actuator: {0}")]
    Actuator(#[from] ActuatorError),
    /// Stroke time.
    #[error("stroke time: {0}")]
    Stroke(#[from] StrokeError),
    /// Leakage of the shut valve.
    #[error("leakage of the shut valve: {0}")]
    Leakage(#[from] LeakageSheetError),
    /// Minimum flow of the pump.
    #[error("pump's minimum flow: {0}")]
    MinimumFlow(#[from] MinimumFlowError),
    /// Returns.
    #[error("returns: {0}")]
    Return(#[from] ReturnError),
    /// Station.
    #[error("valve station: {0}")]
    Station(#[from] StationError),
    /// A part of the line cannot be.
    #[error("line part “{part}”: {what} of {value} {unit} cannot be")]
    Part {
        /// Part.
        part: String,
        /// What.
        what: &'static str,
        /// Value.
        value: f64,
        /// Unit.
        unit: &'static str,
    },
    /// Nothing is left for the valve.
    #[error(
        "duty “{duty}”: at {flow_kg_s:.3} kg/s the supply falls {short_pa:.0} Pa short of what line and vessel take: nothing is left for a valve"
    )]
    NoDrop {
        /// Duty.
        duty: String,
        /// Flow, kg/s.
        flow_kg_s: f64,
        /// Missing pressure, Pa.
        short_pa: f64,
    },
    /// The returns bring more than leaves.
    #[error(
        "duty “{duty}”: returns and heating steam leave {make_up_kg_s:.3} kg/s of make-up: no flow for the valve"
    )]
    NoMakeUp {
        /// Duty.
        duty: String,
        /// Make-up, kg/s.
        make_up_kg_s: f64,
    },
    /// The valve drains the vessel.
    #[error("the valve drains the vessel: supply and line of a feed cannot be reckoned for it")]
    Drains,
    /// No size to choose from.
    #[error("neither a fitted valve nor a size to choose from")]
    NoSize,
    /// A size that cannot be.
    #[error("valve size “{name}”: {what} of {value} {unit} cannot be")]
    Size {
        /// Name.
        name: String,
        /// What.
        what: &'static str,
        /// Value.
        value: f64,
        /// Unit.
        unit: &'static str,
    },
}
