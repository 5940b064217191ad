//! Named conditions of the vessel, and the densities that hold at each.
//!
//! Choices made here, with their size:
//! - Over COLD water in a closed vessel stands air with the steam that the water gives off (Dalton). At 20 degC
//!   that is 1.2 kg/m3, 0.12 % of the water; steam alone at atmospheric pressure would be 0.6 kg/m3.
//! - On a cold vessel the legs stand at the mean of the lowest and highest ambient, not above what was surveyed in
//!   service: freshly filled or long at rest, nothing warms them. A leg 10 K cooler is 0.4 % heavier.
//! - A leg temperature other than the surveyed one shifts the whole leg, both legs below the tap with it: what changes
//!   is the boiler house around them.
//! - A closed vessel's gas has the vessel's pressure at every height; so has leg water (10 m of it add 5e-5 to its density).

mod leg_limits;

pub use leg_limits::{LegLimits, leg_limits};

use super::cell::{CellAt, Geometry};
use super::error::MeasurementError;
use super::sheets::{Condition, Densities};
use crate::description::{LegTemperature, Loop, ReferenceLeg};
use crate::quantity::AbsolutePressure;
use crate::water::{
    SubcooledWater, air_density_kg_m3, compressed_water_density_kg_m3, saturated_densities,
    saturation_pressure_pa, saturation_temperature_k,
};

/// Name of the start-up condition.
pub const START_UP: &str = "start-up";
/// Name of the condition at the lowest pressure held in service.
pub const LOWEST: &str = "lowest";
/// Name of the normal condition.
pub const NORMAL: &str = "normal";
/// Name of the condition at the highest pressure in service.
pub const HIGHEST: &str = "highest";
/// Name of the condition at the safety-valve set pressure.
pub const SAFETY_VALVE: &str = "safety valve";

/// Water colder than saturation by less than this counts as boiling, K: far below what a survey can tell.
const BOILING_SLACK_K: f64 = 1e-3;
/// Water freezes, K; also the lowest temperature of the water formulation.
const FREEZING_K: f64 = 273.15;
/// Pressure at which the ideal-gas density of air is taken before scaling to its partial pressure, Pa.
const AIR_REFERENCE_PA: f64 = 1.0e5;

/// What is wrong with the legs at a condition. Densities are then taken at the limit, and a finding must say so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LegState {
    /// Some leg water is hotter than saturation: it flashes. Density taken at saturation.
    pub flashes: bool,
    /// Some leg water is below freezing. Density taken at 0 degC.
    pub freezes: bool,
    /// Steam in a dry leg is colder than saturation: it condenses. Density taken for dry saturated steam.
    pub condenses: bool,
}

/// Temperatures along the legs, K.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Legs {
    /// Reference leg from its top to the lower tap.
    above: LegTemperature,
    /// Reference leg from the lower tap to the cell.
    below: LegTemperature,
    /// Working leg from the lower tap to the cell.
    working_k: f64,
}

impl Legs {
    /// As surveyed.
    fn described(described: &Loop) -> Self {
        let even = |temperature_k| LegTemperature {
            top_k: temperature_k,
            bottom_k: temperature_k,
        };
        match &described.reference_leg {
            ReferenceLeg::Wet {
                pot_lip_m,
                temperature,
                below_tap_k,
            } => {
                let below_m = described.cell.below_lower_tap_m;
                let hung_below = below_m > 0.0;
                let (above, below) = if hung_below {
                    let at_tap_k = temperature.bottom_k
                        + (temperature.top_k - temperature.bottom_k) * below_m
                            / (pot_lip_m + below_m);
                    (
                        LegTemperature {
                            top_k: temperature.top_k,
                            bottom_k: at_tap_k,
                        },
                        LegTemperature {
                            top_k: at_tap_k,
                            bottom_k: temperature.bottom_k,
                        },
                    )
                } else {
                    // The whole column stands above the cell, which is at or above the tap.
                    (*temperature, *temperature)
                };
                Self {
                    above,
                    below: below_tap_k.filter(|_| hung_below).map_or(below, even),
                    working_k: described.working_leg_temperature_k,
                }
            }
            ReferenceLeg::Dry { temperature_k } => Self {
                above: even(*temperature_k),
                below: even(*temperature_k),
                working_k: described.working_leg_temperature_k,
            },
            ReferenceLeg::None => Self {
                above: even(described.working_leg_temperature_k),
                below: even(described.working_leg_temperature_k),
                working_k: described.working_leg_temperature_k,
            },
            ReferenceLeg::Sealed {
                reference_capillary_k,
                working_capillary_k,
                ..
            } => Self {
                above: even(*reference_capillary_k),
                below: even(*reference_capillary_k),
                working_k: *working_capillary_k,
            },
        }
    }

    fn map(self, change: impl Fn(f64) -> f64) -> Self {
        let both = |leg: LegTemperature| LegTemperature {
            top_k: change(leg.top_k),
            bottom_k: change(leg.bottom_k),
        };
        Self {
            above: both(self.above),
            below: both(self.below),
            working_k: change(self.working_k),
        }
    }

    /// As surveyed, but on a cold vessel.
    fn on_cold_vessel(described: &Loop) -> Self {
        let warmest_k = mean_ambient_k(described);
        Self::described(described).map(|k| if k > warmest_k { warmest_k } else { k })
    }

    fn mean_above_k(self) -> f64 {
        0.5 * (self.above.top_k + self.above.bottom_k)
    }

    fn coldest_k(self) -> f64 {
        self.above
            .top_k
            .min(self.above.bottom_k)
            .min(self.below.top_k)
            .min(self.below.bottom_k)
            .min(self.working_k)
    }

    fn hottest_k(self) -> f64 {
        -self.map(|k| -k).coldest_k()
    }
}

/// Mean of the lowest and the highest ambient temperature, K: what the legs of a cold vessel are taken to have.
pub fn mean_ambient_k(described: &Loop) -> f64 {
    0.5 * (described.site.ambient_lowest_k + described.site.ambient_highest_k)
}

/// Mean reference-leg temperature above the lower tap as surveyed, K; the working leg's where no reference leg holds
/// a fluid of its own.
pub fn described_leg_k(described: &Loop) -> f64 {
    Legs::described(described).mean_above_k()
}

/// A condition in service: water at saturation (or at the tank's own temperature), legs of this mean temperature.
///
/// # Errors
/// [`MeasurementError::Water`] for a pressure without saturation temperature.
pub fn in_service(
    described: &Loop,
    name: &str,
    pressure: AbsolutePressure,
    reference_leg_k: f64,
) -> Result<Condition, MeasurementError> {
    let water_k = match described.vessel.water_temperature_k {
        Some(water_k) => water_k,
        None => saturation_temperature_k(pressure.pa())?,
    };
    Ok(Condition {
        name: name.to_owned(),
        pressure,
        water_k,
        reference_leg_k,
    })
}

/// The normal condition.
///
/// # Errors
/// As [`in_service`].
pub fn normal(described: &Loop) -> Result<Condition, MeasurementError> {
    in_service(
        described,
        NORMAL,
        described.pressures.normal,
        described_leg_k(described),
    )
}

/// The start-up condition: cold water, legs no warmer than the mean ambient.
pub fn start_up(described: &Loop) -> Condition {
    let legs = if described.vessel.kind.holds_steam() {
        Legs::on_cold_vessel(described)
    } else {
        Legs::described(described)
    };
    Condition {
        name: START_UP.to_owned(),
        pressure: described.pressures.start_up,
        water_k: described.pressures.start_up_water_k,
        reference_leg_k: legs.mean_above_k(),
    }
}

/// The named conditions in order: start-up, lowest, normal, highest, safety valve. A vented tank has no pressure to
/// vary: start-up and normal.
///
/// # Errors
/// As [`in_service`].
pub fn named(described: &Loop) -> Result<Vec<Condition>, MeasurementError> {
    let pressures = &described.pressures;
    let mut conditions = vec![start_up(described)];
    if described.vessel.kind.holds_steam() {
        let leg_k = described_leg_k(described);
        for (name, pressure) in [
            (LOWEST, pressures.lowest_sustained),
            (NORMAL, pressures.normal),
            (HIGHEST, pressures.highest),
            (SAFETY_VALVE, pressures.safety_valve),
        ] {
            conditions.push(in_service(described, name, pressure, leg_k)?);
        }
    } else {
        conditions.push(normal(described)?);
    }
    Ok(conditions)
}

/// Density of what stands over water that does not boil, kg/m3: air with the steam that colder water gives off; on a
/// vented tank dry air at the mean of the ambient range (humidity and warmth are 1e-4 of the water).
fn cold_vapour_density_kg_m3(
    described: &Loop,
    condition: &Condition,
) -> Result<f64, MeasurementError> {
    if !described.vessel.kind.holds_steam() {
        let ambient_k = mean_ambient_k(described);
        return Ok(air_density_kg_m3(ambient_k, condition.pressure.pa())?);
    }
    let steam_pa = saturation_pressure_pa(condition.water_k)?;
    let air_pa = condition.pressure.pa() - steam_pa;
    let air = air_density_kg_m3(condition.water_k, AIR_REFERENCE_PA)? * air_pa / AIR_REFERENCE_PA;
    Ok(air + saturated_densities(steam_pa)?.vapour_kg_m3)
}

/// What the vessel holds at a condition, whatever its legs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct VesselFluids {
    /// Vessel pressure, Pa.
    pressure_pa: f64,
    /// Saturation temperature there, K.
    saturation_k: f64,
    /// Does the water boil.
    boiling: bool,
    /// Water, kg/m3.
    liquid: f64,
    /// What stands over it, kg/m3.
    vapour: f64,
}

/// What the vessel holds at a condition; its leg temperature plays no part.
///
/// # Errors
/// As [`densities`].
pub(super) fn vessel_fluids(
    described: &Loop,
    condition: &Condition,
) -> Result<VesselFluids, MeasurementError> {
    let pressure_pa = condition.pressure.pa();
    let saturation_k = saturation_temperature_k(pressure_pa)?;
    let boiling = (condition.water_k - saturation_k).abs() <= BOILING_SLACK_K;
    let (liquid, vapour) = if boiling && described.vessel.kind.holds_steam() {
        let saturated = saturated_densities(pressure_pa)?;
        (saturated.liquid_kg_m3, saturated.vapour_kg_m3)
    } else if boiling {
        let liquid = saturated_densities(pressure_pa)?.liquid_kg_m3;
        (liquid, cold_vapour_density_kg_m3(described, condition)?)
    } else {
        (
            compressed_water_density_kg_m3(condition.water_k, pressure_pa)?,
            cold_vapour_density_kg_m3(described, condition)?,
        )
    };
    Ok(VesselFluids {
        pressure_pa,
        saturation_k,
        boiling,
        liquid,
        vapour,
    })
}

/// The densities of a condition, and what is wrong with its legs.
///
/// | part | density |
/// |------|---------|
/// | water | saturated at the vessel pressure, or compressed where it is colder |
/// | vapour | steam at saturation; over cold water air with steam; over a vented tank air |
/// | wet leg | mean of compressed water over a temperature that is linear from pot to cell |
/// | dry leg | the vapour, scaled with absolute temperature (steam near saturation: within 5 % of a density that is 0.5 % of the water's) |
/// | sealed | fill fluid at capillary temperature |
///
/// **Source:** IAPWS R7-97(2012); ideal-gas law for air.
/// **Checked by:** `crosscheck_densities_at_125_psig`, `property_vapour_over_cold_water_joins_steam`.
///
/// # Errors
/// [`MeasurementError::Water`] and [`MeasurementError::FillFluid`] outside the range of a formulation or table.
pub fn densities(
    described: &Loop,
    condition: &Condition,
) -> Result<(Densities, LegState), MeasurementError> {
    let fluids = vessel_fluids(described, condition)?;
    densities_with_legs(described, &fluids, condition.reference_leg_k)
}

/// [`densities`] where the vessel's fluids are known already: legs of this mean temperature on them.
///
/// # Errors
/// As [`densities`].
pub(super) fn densities_with_legs(
    described: &Loop,
    fluids: &VesselFluids,
    reference_leg_k: f64,
) -> Result<(Densities, LegState), MeasurementError> {
    let VesselFluids {
        pressure_pa,
        saturation_k,
        boiling,
        liquid,
        vapour,
    } = *fluids;
    let base = if described.vessel.kind.holds_steam() && !boiling {
        Legs::on_cold_vessel(described)
    } else {
        Legs::described(described)
    };
    let shift_k = reference_leg_k - base.mean_above_k();
    let legs = base.map(|k| k + shift_k);
    let liquid_legs = legs.map(|k| k.clamp(FREEZING_K.min(saturation_k), saturation_k));
    // Clamped between freezing and saturation above: inside the liquid region by construction.
    let leg_water = SubcooledWater::at(pressure_pa, saturation_k)?;
    let water_at = |k| leg_water.density_kg_m3(k);
    let mean = |leg: LegTemperature| leg_water.mean_density_kg_m3(leg.top_k, leg.bottom_k);
    let water_state = |hottest_k: f64, coldest_k: f64| LegState {
        flashes: hottest_k > saturation_k,
        freezes: coldest_k < FREEZING_K,
        condenses: false,
    };
    let (reference_above, reference_below, working_below, state) = match &described.reference_leg {
        ReferenceLeg::Wet { .. } => (
            mean(liquid_legs.above)?,
            mean(liquid_legs.below)?,
            water_at(liquid_legs.working_k)?,
            water_state(legs.hottest_k(), legs.coldest_k()),
        ),
        ReferenceLeg::Dry { .. } => {
            let gas_k = legs.above.top_k;
            let holds_steam = described.vessel.kind.holds_steam();
            let condenses = holds_steam && boiling && gas_k < saturation_k;
            let gas = if holds_steam && boiling {
                vapour * saturation_k / gas_k.max(saturation_k)
            } else {
                air_density_kg_m3(gas_k, AIR_REFERENCE_PA)? * pressure_pa / AIR_REFERENCE_PA
            };
            let state = LegState {
                condenses,
                ..water_state(legs.working_k, legs.working_k)
            };
            (gas, gas, water_at(liquid_legs.working_k)?, state)
        }
        ReferenceLeg::None => (
            vapour,
            vapour,
            water_at(liquid_legs.working_k)?,
            water_state(legs.working_k, legs.working_k),
        ),
        ReferenceLeg::Sealed { fluid, .. } => {
            let reference = fluid.density_kg_m3(legs.above.top_k)?;
            let working = fluid.density_kg_m3(legs.working_k)?;
            (reference, reference, working, LegState::default())
        }
    };
    Ok((
        Densities {
            liquid,
            vapour,
            reference_above,
            reference_below,
            working_below,
        },
        state,
    ))
}

/// The densities of the bench (cold) range: all water at the bench temperature and atmospheric pressure, nothing over
/// it. Fill fluids of a sealed system at their surveyed temperatures, dry and open legs weightless.
///
/// # Errors
/// As [`densities`].
pub fn bench_densities(described: &Loop) -> Result<Densities, MeasurementError> {
    let water = compressed_water_density_kg_m3(
        described.range.bench_temperature_k,
        described.site.atmosphere.pa(),
    )?;
    let (reference, working) = match &described.reference_leg {
        ReferenceLeg::Wet { .. } => (water, water),
        ReferenceLeg::Dry { .. } | ReferenceLeg::None => (0.0, water),
        ReferenceLeg::Sealed {
            fluid,
            reference_capillary_k,
            working_capillary_k,
            ..
        } => (
            fluid.density_kg_m3(*reference_capillary_k)?,
            fluid.density_kg_m3(*working_capillary_k)?,
        ),
    };
    Ok(Densities {
        liquid: water,
        vapour: 0.0,
        reference_above: reference,
        reference_below: reference,
        working_below: working,
    })
}

/// The cell at a condition.
///
/// # Errors
/// As [`densities`] and [`Geometry::of`].
pub fn cell_at(described: &Loop, condition: &Condition) -> Result<CellAt, MeasurementError> {
    Ok(CellAt {
        geometry: Geometry::of(described)?,
        densities: densities(described, condition)?.0,
    })
}

#[cfg(test)]
#[path = "condition_tests.rs"]
mod tests;
