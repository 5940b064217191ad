//! The measurement model: what the panel says and what the glass tells of one true level, with every input off by so much.
//!
//! The panel is the cell equation with the chosen range; the glass tells the level that its reading means by the glass
//! equation with the densities that everybody assumes, while the water in it has its own.
//!
//! Densities are computed at the estimate and at ±√3 standard uncertainties of each temperature or pressure (the nodes of
//! three-point Gauss-Hermite quadrature) and follow a parabola between; products of two such deviations are left out.
//! That makes a trial a closed form. **Checked by:** `property_parabola_follows_the_water_formulation`.

use super::error::UncertaintyError;
use super::inputs::{Entry, Input, inputs, name};
use crate::description::Loop;
use crate::description::uncertainty::UncertaintySource;
use crate::measurement::cell::{CellAt, Geometry, percent_of_range};
use crate::measurement::glass::GlassAt;
use crate::measurement::sheets::{Condition, Densities, Range, RangeSheet};
use crate::measurement::{MeasurementError, condition, signal};
use crate::quantity::{AbsolutePressure, GlassLevel, LevelSpan, TrueLevel};
use crate::water::saturation_temperature_k;

/// Half distance of the density nodes for an input without width, K or share of the pressure.
const STEP_K: f64 = 1.0;
/// Smallest step of a temperature, K, beside the boiling point.
const LEAST_STEP_K: f64 = 1e-3;
const STEP_OF_PRESSURE: f64 = 1e-3;
/// Percent of span per mA.
const PERCENT_PER_MA: f64 = 100.0 / 16.0;

/// Vessel and leg densities with the glass water's, kg/m3, 0 without a glass.
type Six = [f64; 6];

/// How the six densities follow one input: linear and square term.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Parabola {
    linear: Six,
    square: Six,
}

/// The model at the normal condition.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Model {
    pub(super) inputs: Vec<Input>,
    /// Position among the inputs, and how the densities follow it.
    parabolas: Vec<(usize, Parabola)>,
    geometry: Geometry,
    base: Six,
    range: Range,
    span: LevelSpan,
    percent_per_ma: f64,
    glass: Option<GlassAt>,
}

impl Model {
    pub(super) fn of(described: &Loop, sheet: &RangeSheet) -> Result<Self, UncertaintyError> {
        let inputs = inputs(described)?;
        let base = six(described, &sheet.normal)?;
        let mut parabolas = Vec::new();
        for (at, input) in inputs.iter().enumerate() {
            let follows = parabola(described, &sheet.normal, &base, input)?;
            parabolas.extend(follows.map(|follows| (at, follows)));
        }
        let falls = signal::is_falling(&described.cell);
        Ok(Self {
            inputs,
            parabolas,
            geometry: Geometry::of(described)?,
            base,
            range: sheet.chosen,
            span: described.range.span,
            percent_per_ma: if falls {
                -PERCENT_PER_MA
            } else {
                PERCENT_PER_MA
            },
            glass: GlassAt::of(described, &sheet.normal)?,
        })
    }

    pub(super) fn span(&self) -> LevelSpan {
        self.span
    }

    pub(super) fn weighs(&self, level: TrueLevel) -> bool {
        self.geometry.weighs(level.m())
    }

    /// Does the glass show water at this level.
    pub(super) fn glass_shows(&self, level: TrueLevel) -> bool {
        self.glass
            .as_ref()
            .is_some_and(|glass| glass.shows(level).is_some())
    }

    /// Positions of the two leg temperatures among the inputs.
    pub(super) fn legs(&self) -> Option<(usize, usize)> {
        let at = |source| {
            self.inputs
                .iter()
                .position(|input| input.source == Some(source))
        };
        at(UncertaintySource::LegTemperature).zip(at(UncertaintySource::WorkingLegTemperature))
    }

    fn densities(&self, deviations: &[f64]) -> Six {
        let mut densities = self.base;
        for (at, parabola) in &self.parabolas {
            let x = deviations[*at];
            for ((density, linear), square) in densities
                .iter_mut()
                .zip(parabola.linear)
                .zip(parabola.square)
            {
                *density += x * (linear + x * square);
            }
        }
        densities
    }

    /// What the panel says, percent of span, not clipped.
    pub(super) fn panel_percent(
        &self,
        level: TrueLevel,
        deviations: &[f64],
    ) -> Result<f64, MeasurementError> {
        let [
            liquid,
            vapour,
            reference_above,
            reference_below,
            working_below,
            _,
        ] = self.densities(deviations);
        let mut geometry = self.geometry;
        let (mut offset_pa, mut gain, mut added_percent) = (0.0, 1.0, 0.0);
        for (x, input) in deviations.iter().zip(&self.inputs) {
            match input.entry {
                Entry::Percent => added_percent += x,
                Entry::Current => added_percent += self.percent_per_ma * x,
                Entry::Differential => offset_pa += x,
                Entry::Gain => gain += x,
                Entry::LegHeight => geometry.reference_top_m += x,
                Entry::Density | Entry::GlassConnection | Entry::GlassReading => {}
            }
        }
        let cell = CellAt {
            geometry,
            densities: Densities {
                liquid,
                vapour,
                reference_above,
                reference_below,
                working_below,
            },
        };
        let differential_pa = gain * cell.differential_pa(level)? + offset_pa;
        Ok(percent_of_range(self.range, differential_pa)? + added_percent)
    }

    /// True level that the glass tells, m above the lower tap; `None` without a glass.
    pub(super) fn told_by_glass_m(&self, level: TrueLevel, deviations: &[f64]) -> Option<f64> {
        let assumed = self.glass.as_ref()?;
        let [
            liquid,
            vapour,
            reference_above,
            reference_below,
            working_below,
            glass_kg_m3,
        ] = self.densities(deviations);
        let (mut connection_m, mut misread_m) = (assumed.connection_m, 0.0);
        for (x, input) in deviations.iter().zip(&self.inputs) {
            match input.entry {
                Entry::GlassConnection => connection_m += x,
                Entry::GlassReading => misread_m += x,
                _ => {}
            }
        }
        let real = GlassAt {
            connection_m,
            visible_m: assumed.visible_m,
            water_k: assumed.water_k,
            glass_kg_m3,
            densities: Densities {
                liquid,
                vapour,
                reference_above,
                reference_below,
                working_below,
            },
        };
        let read = GlassLevel::from_m(real.stands_at(level).m() + misread_m);
        Some(assumed.true_level(read).m())
    }

    /// Sensitivities of an output to every input: central differences over one standard uncertainty either way, which
    /// are exact for outputs up to the second power of an input.
    pub(super) fn sensitivities(
        &self,
        output: impl Fn(&[f64]) -> Result<f64, MeasurementError>,
    ) -> Result<Vec<f64>, MeasurementError> {
        let mut deviations = vec![0.0; self.inputs.len()];
        let mut sensitivities = Vec::with_capacity(self.inputs.len());
        for at in 0..self.inputs.len() {
            let step = step(&self.inputs[at]);
            deviations[at] = step;
            let above = output(&deviations)?;
            deviations[at] = -step;
            let below = output(&deviations)?;
            deviations[at] = 0.0;
            sensitivities.push((above - below) / (2.0 * step));
        }
        Ok(sensitivities)
    }
}

/// Step of a central difference: the standard uncertainty, or something small in the input's unit.
fn step(input: &Input) -> f64 {
    if input.standard_uncertainty > 0.0 {
        return input.standard_uncertainty;
    }
    match input.entry {
        Entry::Percent | Entry::Current => 1e-2,
        Entry::Differential => 1.0,
        Entry::Gain | Entry::LegHeight | Entry::GlassConnection | Entry::GlassReading => 1e-4,
        Entry::Density => 1e-2,
    }
}

fn six(described: &Loop, at: &Condition) -> Result<Six, MeasurementError> {
    let (densities, _) = condition::densities(described, at)?;
    let glass = GlassAt::of(described, at)?;
    Ok([
        densities.liquid,
        densities.vapour,
        densities.reference_above,
        densities.reference_below,
        densities.working_below,
        glass.map_or(0.0, |glass| glass.glass_kg_m3),
    ])
}

/// The six densities with one temperature or pressure off by `x`.
pub(super) fn six_with(
    described: &Loop,
    at: &Condition,
    base: &Six,
    source: UncertaintySource,
    x: f64,
) -> Result<Six, MeasurementError> {
    let mut moved = at.clone();
    let mut densities = *base;
    match source {
        UncertaintySource::VesselPressure => {
            let pressure = AbsolutePressure::from_pa(at.pressure.pa() + x);
            moved = condition::in_service(described, &at.name, pressure, at.reference_leg_k)?;
            densities = six(described, &moved)?;
        }
        UncertaintySource::WaterTemperature => {
            moved.water_k += x;
            densities = six(described, &moved)?;
        }
        UncertaintySource::LegTemperature => {
            moved.reference_leg_k += x;
            let all = six(described, &moved)?;
            densities[2] = all[2];
            densities[3] = all[3];
        }
        UncertaintySource::WorkingLegTemperature => {
            moved.reference_leg_k += x;
            densities[4] = six(described, &moved)?[4];
        }
        UncertaintySource::GlassTemperature => {
            if let Some(glass) = GlassAt::of(described, at)? {
                let mut warmer = described.clone();
                if let Some(surveyed) = &mut warmer.glass {
                    surveyed.water_temperature_k = Some(glass.water_k + x);
                }
                densities[5] = six(&warmer, at)?[5];
            }
        }
        _ => {}
    }
    Ok(densities)
}

fn parabola(
    described: &Loop,
    at: &Condition,
    base: &Six,
    input: &Input,
) -> Result<Option<Parabola>, UncertaintyError> {
    let (Entry::Density, Some(source)) = (input.entry, input.source) else {
        return Ok(None);
    };
    if source == UncertaintySource::WaterTemperature
        && described.vessel.water_temperature_k.is_none()
    {
        return Err(UncertaintyError::NotInLoop {
            name: name(source),
            why: "its water is at saturation and has the temperature of its pressure",
        });
    }
    let half = if input.standard_uncertainty > 0.0 {
        3.0_f64.sqrt() * input.standard_uncertainty
    } else if source == UncertaintySource::VesselPressure {
        STEP_OF_PRESSURE * at.pressure.pa()
    } else {
        STEP_K
    };
    // Water that is hotter than boiling is steam: the parabola keeps to the liquid's side and goes on from there.
    let hottest_k = match source {
        UncertaintySource::WaterTemperature => Some(at.water_k),
        UncertaintySource::GlassTemperature => {
            GlassAt::of(described, at)?.map(|glass| glass.water_k)
        }
        _ => None,
    };
    let half = match hottest_k {
        Some(water_k) => {
            let room_k = saturation_temperature_k(at.pressure.pa())
                .map_err(MeasurementError::from)?
                - water_k;
            half.min((0.9 * room_k).max(LEAST_STEP_K))
        }
        None => half,
    };
    let node = |x: f64| {
        six_with(described, at, base, source, x).map_err(|cause| UncertaintyError::Input {
            name: name(source),
            deviation: x,
            unit: input.unit,
            cause,
        })
    };
    let (above, below) = (node(half)?, node(-half)?);
    let mut parabola = Parabola {
        linear: [0.0; 6],
        square: [0.0; 6],
    };
    for kind in 0..base.len() {
        parabola.linear[kind] = (above[kind] - below[kind]) / (2.0 * half);
        parabola.square[kind] =
            (above[kind] + below[kind] - 2.0 * base[kind]) / (2.0 * half * half);
    }
    Ok(Some(parabola))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::uncertainty::{Distribution, UncertainInput};

    #[test]
    fn property_a_tank_just_under_boiling_has_a_budget() {
        let mut tank = crate::example_loop::vented_tank();
        let boiling_k = saturation_temperature_k(tank.site.atmosphere.pa()).unwrap();
        tank.uncertainty.inputs = vec![UncertainInput {
            source: UncertaintySource::WaterTemperature,
            half_width: 5.0,
            distribution: Distribution::Rectangular,
            assumed: false,
        }];
        let mut spread = [20.0, 1.0, 0.2].map(|under_k| {
            tank.vessel.water_temperature_k = Some(boiling_k - under_k);
            let range = crate::measurement::range_sheet(&tank).unwrap();
            crate::measurement::uncertainty::uncertainty_sheet(&tank, &range)
                .unwrap()
                .unwrap()
                .panel
                .expanded_k2
        });
        spread.sort_by(f64::total_cmp);
        assert!(spread[0] > 0.0 && spread[2] < 1.3 * spread[0], "{spread:?}");
    }
    use crate::measurement::range_sheet;
    use crate::measurement::uncertainty::example_survey::every_kind;
    use UncertaintySource as S;

    /// The closed form of a trial against the water formulation at other than its nodes: within 0.002 % of span.
    #[test]
    fn property_parabola_follows_the_water_formulation() {
        for (name, described) in every_kind() {
            let range = range_sheet(&described).unwrap();
            let model = Model::of(&described, &range).unwrap();
            let level = TrueLevel::from_m(described.limits.set_point_m);
            let normal = condition::normal(&described).unwrap();
            for source in [S::LegTemperature, S::VesselPressure, S::WaterTemperature] {
                let Some(at) = model
                    .inputs
                    .iter()
                    .position(|input| input.source == Some(source))
                else {
                    continue;
                };
                let base = {
                    let all =
                        six_with(&described, &normal, &[0.0; 6], S::VesselPressure, 0.0).unwrap();
                    six_with(&described, &normal, &all, source, 0.0).unwrap()
                };
                for share in [-0.9, 0.4, 1.6] {
                    let x = share * model.inputs[at].standard_uncertainty;
                    let mut deviations = vec![0.0; model.inputs.len()];
                    deviations[at] = x;
                    let closed = model.panel_percent(level, &deviations).unwrap();
                    let [
                        liquid,
                        vapour,
                        reference_above,
                        reference_below,
                        working_below,
                        _,
                    ] = six_with(&described, &normal, &base, source, x).unwrap();
                    let mut cell = condition::cell_at(&described, &normal).unwrap();
                    cell.densities = Densities {
                        liquid,
                        vapour,
                        reference_above,
                        reference_below,
                        working_below,
                    };
                    let full = cell
                        .indicated(range.chosen, described.range.span, level)
                        .unwrap()
                        .percent(described.range.span);
                    assert!(
                        (closed - full).abs() < 2e-3,
                        "{name} {source:?} {share}: {closed} {full}"
                    );
                }
            }
        }
    }
}
