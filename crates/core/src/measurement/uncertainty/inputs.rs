//! The survey's inputs, each as a deviation in a unit that the measurement model takes.

use super::error::{UncertaintyError, not_negative};
use super::monte_carlo::{Draw, Shape};
use super::propagation::Component;
use crate::description::Loop;
use crate::description::uncertainty::{Distribution, UncertainInput, UncertaintySource};

/// What an input is, in words.
pub(super) const fn name(source: UncertaintySource) -> &'static str {
    match source {
        UncertaintySource::ReferenceAccuracy => "cell's reference accuracy",
        UncertaintySource::AmbientZero => "ambient effect on zero",
        UncertaintySource::AmbientSpan => "ambient effect on span",
        UncertaintySource::StaticZero => "static-pressure effect on zero",
        UncertaintySource::StaticSpan => "static-pressure effect on span",
        UncertaintySource::Drift => "drift between calibrations",
        UncertaintySource::Calibrator => "calibrator",
        UncertaintySource::LegHeight => "height of the reference leg",
        UncertaintySource::LegTemperature => "reference-leg temperature",
        UncertaintySource::WorkingLegTemperature => "working-leg temperature",
        UncertaintySource::VesselPressure => "vessel pressure",
        UncertaintySource::WaterTemperature => "temperature of the stored water",
        UncertaintySource::Receiver => "receiver's conversion",
        UncertaintySource::GlassTemperature => "temperature of the glass water",
        UncertaintySource::GlassConnection => "height of the glass connection",
        UncertaintySource::GlassReading => "reading of the glass by eye",
    }
}

/// What halves an input's part, in words.
pub(super) const fn remedy(source: Option<UncertaintySource>) -> &'static str {
    match source {
        None => "take four times as many zero readings, or find what makes them scatter",
        Some(UncertaintySource::ReferenceAccuracy) => {
            "fit a cell of half the reference error at this span, usually one of a lower range"
        }
        Some(UncertaintySource::AmbientZero | UncertaintySource::AmbientSpan) => {
            "keep the cell out of draught, sun and radiant heat so that its temperature swings half as far, or fit a cell of a lower range"
        }
        Some(UncertaintySource::StaticZero) => {
            "trim the zero at working pressure with the equaliser open: the effect is then gone"
        }
        Some(UncertaintySource::StaticSpan) => {
            "set the span with the maker's correction for static pressure"
        }
        Some(UncertaintySource::Drift) => {
            "calibrate twice as often, or fit a cell of a lower range"
        }
        Some(UncertaintySource::Calibrator) => {
            "calibrate against a standard of half the uncertainty"
        }
        Some(UncertaintySource::LegHeight) => {
            "measure pot lip (or seal) and lower tap again with a water level or an optical level"
        }
        Some(UncertaintySource::LegTemperature) => {
            "measure the leg's temperature at several heights in service; lag it, or keep it away from hot surfaces, so that it stays there"
        }
        Some(UncertaintySource::WorkingLegTemperature) => {
            "route and lag both legs side by side so that they share a temperature"
        }
        Some(UncertaintySource::VesselPressure) => {
            "compensate for pressure, or hold the pressure closer to the one that the range is made for"
        }
        Some(UncertaintySource::WaterTemperature) => {
            "hold the stored water's temperature closer, or compensate for it"
        }
        Some(UncertaintySource::Receiver) => {
            "scale the receiver with a calibrator at both ends of its span"
        }
        Some(UncertaintySource::GlassTemperature) => {
            "measure the temperature of the glass body in service, and lag its connections"
        }
        Some(UncertaintySource::GlassConnection) => {
            "measure the glass connections again from the lower tap"
        }
        Some(UncertaintySource::GlassReading) => {
            "light the glass, fit a scale, read it at eye level and take the middle of its swing"
        }
    }
}

/// Where a deviation enters the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Entry {
    /// Adds to the panel, percent of span.
    Percent,
    /// Adds to the current, mA.
    Current,
    /// Adds to the differential, Pa.
    Differential,
    /// Multiplies the differential: 1 + x.
    Gain,
    /// Adds to the top of the reference leg, m.
    LegHeight,
    /// Moves densities by their parabola.
    Density,
    /// Adds to the glass connection, m.
    GlassConnection,
    /// Adds to the reading of the glass, m.
    GlassReading,
}

/// One input of the model.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Input {
    pub(super) name: String,
    pub(super) source: Option<UncertaintySource>,
    pub(super) entry: Entry,
    pub(super) unit: &'static str,
    pub(super) half_width: f64,
    pub(super) distribution: Option<Distribution>,
    pub(super) standard_uncertainty: f64,
    pub(super) degrees_of_freedom: f64,
    pub(super) draw: Draw,
    pub(super) assumed: bool,
}

impl Input {
    /// Has it a part in what the panel says.
    pub(super) fn moves_panel(&self) -> bool {
        !matches!(self.entry, Entry::GlassConnection | Entry::GlassReading)
            && self.source != Some(UncertaintySource::GlassTemperature)
    }

    /// Has it a part in what the glass tells.
    pub(super) fn moves_glass(&self) -> bool {
        matches!(self.entry, Entry::GlassConnection | Entry::GlassReading)
            || matches!(
                self.source,
                Some(
                    UncertaintySource::GlassTemperature
                        | UncertaintySource::VesselPressure
                        | UncertaintySource::WaterTemperature
                )
            )
    }

    pub(super) fn component(&self, sensitivity: f64) -> Component {
        Component {
            sensitivity,
            standard_uncertainty: self.standard_uncertainty,
            degrees_of_freedom: self.degrees_of_freedom,
        }
    }
}

/// Standard uncertainty of a type B input (JCGM 100, 4.3).
fn standard_uncertainty(half_width: f64, distribution: Distribution) -> f64 {
    half_width
        / match distribution {
            Distribution::Rectangular => 3.0_f64.sqrt(),
            Distribution::Triangular => 6.0_f64.sqrt(),
            Distribution::Arcsine => 2.0_f64.sqrt(),
            Distribution::NormalK1 => 1.0,
            Distribution::NormalK2 => 2.0,
            Distribution::NormalK3 => 3.0,
        }
}

fn draw(half_width: f64, distribution: Distribution) -> Draw {
    let (shape, scale) = match distribution {
        Distribution::Rectangular => (Shape::Rectangular, half_width),
        Distribution::Triangular => (Shape::Triangular, half_width),
        Distribution::Arcsine => (Shape::Arcsine, half_width),
        Distribution::NormalK1 | Distribution::NormalK2 | Distribution::NormalK3 => (
            Shape::Normal,
            standard_uncertainty(half_width, distribution),
        ),
    };
    Draw { shape, scale }
}

/// The inputs of a loop: those surveyed, and the repeated zero readings where there are at least two.
pub(super) fn inputs(described: &Loop) -> Result<Vec<Input>, UncertaintyError> {
    let survey = &described.uncertainty;
    not_negative(
        "time between calibrations",
        survey.calibration_interval_years,
    )?;
    not_negative("swing of the ambient temperature", survey.ambient_swing_k)?;
    let mut inputs: Vec<Input> = Vec::new();
    for surveyed in &survey.inputs {
        let twice = inputs
            .iter()
            .any(|input| input.source == Some(surveyed.source));
        if twice {
            return Err(UncertaintyError::Twice {
                name: name(surveyed.source),
            });
        }
        inputs.push(type_b(described, surveyed)?);
    }
    inputs.extend(type_a(&survey.zero_readings_ma)?);
    Ok(inputs)
}

fn type_b(described: &Loop, surveyed: &UncertainInput) -> Result<Input, UncertaintyError> {
    let survey = &described.uncertainty;
    let source = surveyed.source;
    let limit_pa = described.cell.upper_range_limit_pa.abs();
    let gauge_pa = (described.pressures.normal.pa() - described.site.atmosphere.pa()).max(0.0);
    let static_pa = if survey.zeroed_at_pressure {
        0.0
    } else {
        gauge_pa
    };
    // The survey's number times this is a deviation in the entry's unit.
    let (entry, unit, factor) = match source {
        UncertaintySource::ReferenceAccuracy | UncertaintySource::Receiver => {
            (Entry::Percent, "%", 1.0)
        }
        UncertaintySource::AmbientZero => (
            Entry::Differential,
            "Pa",
            limit_pa / 100.0 * survey.ambient_swing_k,
        ),
        UncertaintySource::AmbientSpan => (Entry::Gain, "-", survey.ambient_swing_k / 100.0),
        UncertaintySource::StaticZero => (Entry::Differential, "Pa", limit_pa / 100.0 * static_pa),
        UncertaintySource::StaticSpan => (Entry::Gain, "-", gauge_pa / 100.0),
        UncertaintySource::Drift => (
            Entry::Differential,
            "Pa",
            limit_pa / 100.0 * survey.calibration_interval_years,
        ),
        UncertaintySource::Calibrator => (Entry::Differential, "Pa", 1.0),
        UncertaintySource::LegHeight => (Entry::LegHeight, "m", 1.0),
        UncertaintySource::LegTemperature
        | UncertaintySource::WorkingLegTemperature
        | UncertaintySource::WaterTemperature
        | UncertaintySource::GlassTemperature => (Entry::Density, "K", 1.0),
        UncertaintySource::VesselPressure => (Entry::Density, "Pa", 1.0),
        UncertaintySource::GlassConnection => (Entry::GlassConnection, "m", 1.0),
        UncertaintySource::GlassReading => (Entry::GlassReading, "m", 1.0),
    };
    let half_width = not_negative(name(source), surveyed.half_width)? * factor;
    let gone = source == UncertaintySource::StaticZero && survey.zeroed_at_pressure;
    Ok(Input {
        name: if gone {
            format!("{}, trimmed away at pressure", name(source))
        } else {
            name(source).to_owned()
        },
        source: Some(source),
        entry,
        unit,
        half_width,
        distribution: Some(surveyed.distribution),
        standard_uncertainty: standard_uncertainty(half_width, surveyed.distribution),
        degrees_of_freedom: f64::INFINITY,
        draw: draw(half_width, surveyed.distribution),
        assumed: surveyed.assumed,
    })
}

/// Repeated readings of the equalised zero: the standard deviation of their mean (JCGM 100, 4.2.3).
fn type_a(readings_ma: &[f64]) -> Result<Option<Input>, UncertaintyError> {
    if let Some(at) = readings_ma.iter().position(|reading| !reading.is_finite()) {
        return Err(UncertaintyError::ZeroReading { number: at + 1 });
    }
    if readings_ma.len() < 2 {
        return Ok(None);
    }
    let count = readings_ma.len() as f64;
    let mean = readings_ma.iter().sum::<f64>() / count;
    let square: f64 = readings_ma
        .iter()
        .map(|reading| (reading - mean).powi(2))
        .sum();
    let of_mean_ma = (square / (count - 1.0) / count).sqrt();
    Ok(Some(Input {
        name: format!("mean of {} zero readings", readings_ma.len()),
        source: None,
        entry: Entry::Current,
        unit: "mA",
        half_width: of_mean_ma,
        distribution: None,
        standard_uncertainty: of_mean_ma,
        degrees_of_freedom: count - 1.0,
        draw: Draw {
            shape: Shape::Student(u32::try_from(readings_ma.len() - 1).unwrap_or(u32::MAX)),
            scale: of_mean_ma,
        },
        assumed: false,
    }))
}
