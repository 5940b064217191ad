//! A vented tank: stored water of one temperature, open to the air, with an overflow and a heating coil.
//!
//! No swell: there is no steam. What heats it keeps its temperature (`heat`). See `open_water` for the equations and their source.
//! **Checked by:** `tank_tests.rs`.

use std::sync::Arc;

use super::balance::stored_k;
use super::error::DynamicsError;
use super::height_table::HeightTable;
use super::open_water::{OpenWater, Overflow, Room};
use super::vessel::{Boundary, VesselModel, VesselView};
use crate::description::Loop;
use crate::finding::Assumption;
use crate::measurement::condition::mean_ambient_k;
use crate::quantity::TrueLevel;
use crate::water::air_density_kg_m3;

/// A vented tank in motion.
#[derive(Debug, Clone)]
pub struct Tank {
    water: OpenWater,
    air_kg_m3: f64,
}

impl Tank {
    /// A loop's tank at a TRUE level, at its stored temperature or another, K; the metal of a tank holds next to nothing.
    ///
    /// # Errors
    /// [`DynamicsError`] for a temperature at which water freezes or boils, or where it is not known.
    pub fn of(
        described: &Loop,
        level: TrueLevel,
        temperature_k: Option<f64>,
    ) -> Result<(Self, Vec<Assumption>), DynamicsError> {
        let temperature_k = match temperature_k {
            Some(temperature_k) => temperature_k,
            None => stored_k(described)?,
        };
        let heights = Arc::new(HeightTable::of_vessel(&described.vessel)?);
        let overflow = loop_overflow(described);
        let pressure_pa = described.site.atmosphere.pa();
        let water = OpenWater::at(
            Room::Vessel(heights),
            overflow,
            0.0,
            pressure_pa,
            (temperature_k, level.m()),
        )?;
        let air_kg_m3 = air_density_kg_m3(mean_ambient_k(described), pressure_pa)?;
        let mut assumptions = vec![Assumption {
            input: "simulation.heating",
            value: "a coil that keeps the stored temperature".into(),
            why: "assumed: nobody surveys how a tank is heated; heat moves the level by the water's density alone",
        }];
        assumptions.extend(overflow.map(overflow_assumption));
        Ok((Self { water, air_kg_m3 }, assumptions))
    }

    #[cfg(test)]
    pub(super) fn advance_finer(
        &mut self,
        boundary: &Boundary,
        duration_s: f64,
        finer: u32,
    ) -> Result<(), DynamicsError> {
        self.water.advance(boundary, duration_s, finer)
    }
}

/// The overflow of a loop, if it has one.
pub(super) fn loop_overflow(described: &Loop) -> Option<Overflow> {
    described.elevations.overflow_m.map(|lip_m| Overflow {
        lip_m,
        full_kg_s: described.feedwater.full_valve_flow_kg_s,
    })
}

pub(super) fn overflow_assumption(overflow: Overflow) -> Assumption {
    Assumption {
        input: "simulation.overflow",
        value: format!("{:.2} kg/s with 50 mm over its lip", overflow.full_kg_s),
        why: "assumed: an overflow is made to carry the full valve's flow; it decides how far the level stands over the lip",
    }
}

impl VesselModel for Tank {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        self.water.advance(boundary, duration_s, 1)?;
        if self.water.boils() {
            return Err(DynamicsError::Left {
                why: "the water boils in an open tank".into(),
            });
        }
        Ok(())
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        view_of(&self.water, self.air_kg_m3)
    }

    fn slow_bubbles(&mut self, _: f64) -> Result<(), DynamicsError> {
        Err(DynamicsError::NoBubbles)
    }
}

/// Open water as a vessel shows it.
pub(super) fn view_of(water: &OpenWater, air_kg_m3: f64) -> Result<VesselView, DynamicsError> {
    let still = water.still(&water.state)?;
    Ok(VesselView {
        pressure_pa: water.pressure_pa,
        water_temperature_k: still.temperature_k,
        is_boiling: false,
        true_level: TrueLevel::from_m(still.level_m),
        mixture_surface_m: still.level_m,
        void_ratio: 0.0,
        water_density_kg_m3: still.density_kg_m3,
        vapour_density_kg_m3: air_kg_m3,
        steam_enthalpy_j_kg: still.enthalpy_j_kg,
        mass_kg: water.state[0],
        energy_j: water.state[1],
        overflow_kg_s: still.overflow_kg_s,
    })
}

#[cfg(test)]
#[path = "tank_tests.rs"]
mod tests;
