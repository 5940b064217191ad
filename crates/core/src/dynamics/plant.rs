//! The vessel of a loop as a model in motion, by its kind, where the scenario starts.
//!
//! **Checked by:** `property_every_vessel_stands_still`, `property_cold_boiler_comes_up`, and the examples in `tests/motion.rs`.

use std::sync::Arc;

use super::balance::Balance;
use super::deaerator::deaerator_plant;
use super::drift::Drift;
use super::drum::{DrumBoiler, DrumParameters, DrumSteam};
use super::drum_from_loop::{drum_load, drum_parameters};
use super::error::DynamicsError;
use super::scenario::{Scenario, StartAt};
use super::shell::{ShellBoiler, ShellPlant};
use super::shell_from_loop::{shell_plant, steady_duty};
use super::start::{RunError, start_duty};
use super::tank::Tank;
use super::vessel::{Boundary, VesselModel, VesselView};
use super::warming::{Boiling, Warming};
use crate::description::{Loop, VesselKind};
use crate::finding::Assumption;
use crate::quantity::TrueLevel;

/// A vessel ready to run, and what was assumed for it.
pub struct Plant {
    /// The vessel.
    pub vessel: Box<dyn VesselModel + Send>,
    /// What nobody surveyed.
    pub assumptions: Vec<Assumption>,
}

/// The vessel that a scenario starts from.
///
/// # Errors
/// [`RunError`] where the scenario's duty does not exist or the vessel has no balance at it.
pub fn plant(described: &Loop, scenario: &Scenario) -> Result<Plant, RunError> {
    let (prepared, assumptions) = Prepared::of(described)?;
    let variation = Variation {
        bubble_rise_ratio: scenario.bubble_rise_ratio,
        ..Variation::AS_ASSUMED
    };
    let level = TrueLevel::from_m(described.limits.set_point_m);
    let vessel = prepared.vessel(described, scenario, level, &variation)?;
    Ok(Plant {
        vessel: Box::new(vessel),
        assumptions,
    })
}

/// What nobody surveyed, as it may differ from what is assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Variation {
    /// Where the rise of bubbles lies between slow, 0, and fast, 1.
    pub bubble_rise_ratio: f64,
    /// Where a drum's steam stands.
    pub drum_steam: DrumSteam,
    /// Metal's heat capacity over the assumed one.
    pub metal_ratio: f64,
    /// Added to a shell boiler's share of heat below the lower tap, held within 0 to 1.
    pub heat_below_tap_more: f64,
}

impl Variation {
    pub(super) const AS_ASSUMED: Self = Self {
        bubble_rise_ratio: 0.5,
        drum_steam: DrumSteam::Even,
        metal_ratio: 1.0,
        heat_below_tap_more: 0.0,
    };
}

/// What many runs of a loop share of its vessel.
pub(super) enum Prepared {
    Pool(ShellPlant),
    Drum(DrumParameters),
    Tank,
}

/// A vessel in motion, of any kind.
#[derive(Debug, Clone)]
pub(super) enum AnyVessel {
    Pool(ShellBoiler),
    Drum(DrumBoiler),
    Tank(Tank),
    Warming(Box<Warming>),
}

impl Prepared {
    /// Of a loop, with what was assumed.
    pub(super) fn of(described: &Loop) -> Result<(Self, Vec<Assumption>), RunError> {
        let middle = Drift::Between(0.5);
        Ok(match described.vessel.kind {
            VesselKind::ShellBoiler => {
                let (plant, assumptions) = shell_plant(described, middle)?;
                (Self::Pool(plant), assumptions)
            }
            VesselKind::Deaerator => {
                let (plant, assumptions) = deaerator_plant(described, middle)?;
                (Self::Pool(plant), assumptions)
            }
            VesselKind::DrumBoiler => {
                let (drum, assumptions) = drum_parameters(described, DrumSteam::Even)?;
                (Self::Drum(drum), assumptions)
            }
            VesselKind::VentedTank => {
                let level = TrueLevel::from_m(described.limits.set_point_m);
                (Self::Tank, Tank::of(described, level, None)?.1)
            }
        })
    }

    /// A vessel at a TRUE level where a scenario starts; a cold start may name another level.
    pub(super) fn vessel(
        &self,
        described: &Loop,
        scenario: &Scenario,
        level: TrueLevel,
        variation: &Variation,
    ) -> Result<AnyVessel, RunError> {
        let duty = start_duty(described, scenario)?;
        let then = match self {
            Self::Pool(plant) => {
                let mut plant = plant.clone();
                plant
                    .drift
                    .set(Drift::Between(variation.bubble_rise_ratio))?;
                plant.vessel.metal_capacity_j_k *= variation.metal_ratio;
                plant.heat_below_tap_ratio =
                    (plant.heat_below_tap_ratio + variation.heat_below_tap_more).clamp(0.0, 1.0);
                Some(Boiling::Pool(Arc::new(plant)))
            }
            Self::Drum(drum) => Some(Boiling::Drum(DrumParameters {
                steam: variation.drum_steam,
                metal_heat_capacity_j_kg_k: drum.metal_heat_capacity_j_kg_k * variation.metal_ratio,
                ..*drum
            })),
            Self::Tank => None,
        };
        if let StartAt::Cold {
            temperature_k,
            level_m,
        } = scenario.start
        {
            let level = level_m.map_or(level, TrueLevel::from_m);
            let atmosphere_pa = described.site.atmosphere.pa();
            return Ok(match then {
                Some(then) => AnyVessel::Warming(Box::new(Warming::at(
                    then,
                    atmosphere_pa,
                    temperature_k,
                    level,
                )?)),
                None => AnyVessel::Tank(Tank::of(described, level, Some(temperature_k))?.0),
            });
        }
        // A duty without balance is refused here, whatever the vessel.
        Balance::of(described, duty)?;
        Ok(match then {
            Some(Boiling::Pool(plant)) if described.vessel.kind.is_fired() => {
                let mut steady = steady_duty(described, duty)?;
                steady.true_level = level;
                AnyVessel::Pool(ShellBoiler::steady(plant, &steady)?.0)
            }
            Some(Boiling::Pool(plant)) => {
                AnyVessel::Pool(ShellBoiler::still(plant, duty.pressure.pa(), level)?)
            }
            Some(Boiling::Drum(drum)) => {
                let mut load = drum_load(described, duty)?;
                load.level = level;
                AnyVessel::Drum(DrumBoiler::steady(drum, &load)?.0)
            }
            None => AnyVessel::Tank(Tank::of(described, level, None)?.0),
        })
    }
}

impl VesselModel for AnyVessel {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        match self {
            Self::Pool(vessel) => vessel.advance(boundary, duration_s),
            Self::Drum(vessel) => vessel.advance(boundary, duration_s),
            Self::Tank(vessel) => vessel.advance(boundary, duration_s),
            Self::Warming(vessel) => vessel.advance(boundary, duration_s),
        }
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        match self {
            Self::Pool(vessel) => vessel.view(),
            Self::Drum(vessel) => vessel.view(),
            Self::Tank(vessel) => vessel.view(),
            Self::Warming(vessel) => vessel.view(),
        }
    }

    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        match self {
            Self::Pool(vessel) => vessel.slow_bubbles(share_ratio),
            Self::Drum(vessel) => vessel.slow_bubbles(share_ratio),
            Self::Tank(vessel) => vessel.slow_bubbles(share_ratio),
            Self::Warming(vessel) => vessel.slow_bubbles(share_ratio),
        }
    }
}

#[cfg(test)]
#[path = "plant_tests.rs"]
mod tests;
