//! A closed vessel that comes up from cold: open to the air until its water boils, then under its own steam.
//!
//! Until it boils the water is stirred and stands under the air (`open_water`): no bubbles, and the level rises as the water expands,
//! circuit included. When it boils at the air's pressure the vent is shut and the boiling model takes over at the same TRUE level.
//!
//! **Source:** common practice: a vent stays open until steam has driven the air out. **Departures:** at the change-over the vessel's
//! steam, 0.6 kg/m3, is added to the mass, and the steam that drives out the air is not missed.
//! **Checked by:** `property_cold_boiler_comes_up`.

use std::sync::Arc;

use super::drum::{DrumBoiler, DrumParameters};
use super::error::DynamicsError;
use super::open_water::{OpenWater, Room};
use super::shell::{ShellBoiler, ShellPlant};
use super::tank::view_of;
use super::vessel::{Boundary, VesselModel, VesselView};
use crate::quantity::TrueLevel;

/// Air over cold water, kg/m3: within 5 % between 5 and 40 degC, and 0.1 % of the water.
const AIR_KG_M3: f64 = 1.2;

/// What it becomes when it boils.
#[derive(Debug, Clone)]
pub(super) enum Boiling {
    Pool(Arc<ShellPlant>),
    Drum(DrumParameters),
}

#[derive(Debug, Clone)]
enum State {
    Cold(OpenWater),
    Pool(ShellBoiler),
    Drum(DrumBoiler),
}

/// A vessel that starts cold.
#[derive(Debug, Clone)]
pub struct Warming {
    state: State,
    then: Boiling,
}

impl Warming {
    /// At a temperature, K, and a TRUE level, under the air's pressure, Pa.
    ///
    /// # Errors
    /// [`DynamicsError`] for a temperature at which water freezes or boils.
    pub(super) fn at(
        then: Boiling,
        atmosphere_pa: f64,
        temperature_k: f64,
        level: TrueLevel,
    ) -> Result<Self, DynamicsError> {
        let (room, overflow, metal_j_k) = match &then {
            Boiling::Pool(plant) => (
                Room::Vessel(Arc::clone(&plant.vessel.heights)),
                plant.overflow,
                plant.vessel.metal_capacity_j_k,
            ),
            Boiling::Drum(drum) => (
                Room::Drum(*drum),
                None,
                drum.total_metal_kg * drum.metal_heat_capacity_j_kg_k,
            ),
        };
        let cold = (temperature_k, level.m());
        let water = OpenWater::at(room, overflow, metal_j_k, atmosphere_pa, cold)?;
        Ok(Self {
            state: State::Cold(water),
            then,
        })
    }
}

impl VesselModel for Warming {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        match &mut self.state {
            State::Cold(water) => {
                water.advance(boundary, duration_s, 1)?;
                if !water.boils() {
                    return Ok(());
                }
                let level = TrueLevel::from_m(water.still(&water.state)?.level_m);
                let pressure_pa = water.pressure_pa;
                self.state = match &self.then {
                    Boiling::Pool(plant) => {
                        State::Pool(ShellBoiler::still(Arc::clone(plant), pressure_pa, level)?)
                    }
                    Boiling::Drum(drum) => {
                        State::Drum(DrumBoiler::still(*drum, pressure_pa, level)?)
                    }
                };
                Ok(())
            }
            State::Pool(boiler) => boiler.advance(boundary, duration_s),
            State::Drum(boiler) => boiler.advance(boundary, duration_s),
        }
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        match &self.state {
            State::Cold(water) => view_of(water, AIR_KG_M3),
            State::Pool(boiler) => boiler.view(),
            State::Drum(boiler) => boiler.view(),
        }
    }

    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        match &mut self.state {
            State::Cold(_) => Err(DynamicsError::NoBubbles),
            State::Pool(boiler) => boiler.slow_bubbles(share_ratio),
            State::Drum(boiler) => boiler.slow_bubbles(share_ratio),
        }
    }
}
