//! Water under its own steam with metal at its temperature: pressure and water volume from mass and energy.
//!
//! ```text
//! M = ρl·Vw + ρv·(V − Vw)
//! E = ρl·hl·Vw + ρv·hv·(V − Vw) − p·V + mm·c·(Ts − 273.16 K)
//! dM/dt = wf + wb − ws − wd
//! dE/dt = Q + wf·hf + wb·hb − ws·hv − wd·hl
//! ```
//!
//! | symbol | name                                    | unit |
//! |--------|-----------------------------------------|------|
//! | M, E   | mass; energy of water, steam and metal  | kg, J |
//! | V, Vw  | volume of the vessel, of its water      | m3   |
//! | mm·c   | heat capacity of the metal              | J/K  |
//! | Q      | heat                                    | W    |
//! | w, h   | flow, enthalpy: f feed, b blown steam, s steam, d drawn | kg/s, J/kg |
//!
//! M and E are integrated themselves, so that closure hangs on no table. Pressure by Newton iteration in ln p, in which E nearly
//! rises along a straight line.
//!
//! **Source:** global balances as in Åström & Bell, Automatica 36 (2000) 363-378, eqs. 1 to 5; no air: a cold vessel stands at the
//! saturation pressure of its water. **Checked by:** `property_pressure_is_recovered`, `property_slopes_follow_the_balances`.

use std::sync::Arc;

use crate::water::{CRITICAL_PRESSURE_PA, Saturation, SaturationLine};

use super::error::{DynamicsError, positive};
use super::height_table::HeightTable;
use super::vessel::Boundary;

/// Where energy of metal is nothing, K.
const METAL_ZERO_K: f64 = 273.16;
/// Lowest pressure a closed vessel is followed to, Pa: water at about 2 degC.
const LOWEST_PRESSURE_PA: f64 = 700.0;

/// A closed vessel's fixed properties.
#[derive(Debug, Clone)]
pub struct SaturatedVessel {
    /// Volume against height, heights from the lower tap.
    pub heights: Arc<HeightTable>,
    /// Saturation line over all pressures it may reach.
    pub line: Arc<SaturationLine>,
    /// Heat capacity of the metal that follows the water, J/K.
    pub metal_capacity_j_k: f64,
}

/// Its state at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equilibrium {
    /// Boiling water and dry steam.
    pub saturation: Saturation,
    /// Volume of the water, m3.
    pub water_m3: f64,
    /// Volume of steam, bubbles included, m3.
    pub steam_m3: f64,
}

/// How it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Of the mass, kg/s.
    pub mass_kg_s: f64,
    /// Of the energy, W.
    pub energy_w: f64,
    /// Of the pressure, Pa/s.
    pub pressure_pa_s: f64,
    /// Of the water's volume, m3/s.
    pub water_m3_s: f64,
}

impl SaturatedVessel {
    /// A vessel whose pressure stays below a limit, Pa absolute.
    ///
    /// # Errors
    /// [`DynamicsError`] for a limit or a heat capacity that cannot be.
    pub fn new(
        heights: HeightTable,
        highest_pressure_pa: f64,
        metal_capacity_j_k: f64,
    ) -> Result<Self, DynamicsError> {
        positive("highest pressure", highest_pressure_pa, "Pa")?;
        if !(metal_capacity_j_k >= 0.0 && metal_capacity_j_k.is_finite()) {
            return Err(DynamicsError::Parameter {
                what: "heat capacity of the metal",
                value: metal_capacity_j_k,
                unit: "J/K",
                limit: "0 or above and finite",
            });
        }
        // The table ends below region 3 of the formulation.
        let high_pa = highest_pressure_pa.min(0.749 * CRITICAL_PRESSURE_PA);
        Ok(Self {
            heights: Arc::new(heights),
            line: Arc::new(SaturationLine::between(LOWEST_PRESSURE_PA, high_pa)?),
            metal_capacity_j_k,
        })
    }

    /// Mass, kg, and energy, J, at a pressure with so much water, m3.
    ///
    /// # Errors
    /// [`DynamicsError::Water`] for a pressure outside the line.
    pub fn content(&self, pressure_pa: f64, water_m3: f64) -> Result<(f64, f64), DynamicsError> {
        let saturation = self.line.at(pressure_pa)?;
        let steam_m3 = self.heights.capacity_m3() - water_m3;
        let at = saturation.at;
        let mass_kg = at.liquid_density_kg_m3 * water_m3 + at.vapour_density_kg_m3 * steam_m3;
        Ok((mass_kg, self.energy_j(&saturation, water_m3)))
    }

    fn energy_j(&self, saturation: &Saturation, water_m3: f64) -> f64 {
        let capacity_m3 = self.heights.capacity_m3();
        let at = saturation.at;
        at.liquid_density_kg_m3 * at.liquid_enthalpy_j_kg * water_m3
            + at.vapour_density_kg_m3 * at.vapour_enthalpy_j_kg * (capacity_m3 - water_m3)
            - saturation.pressure_pa * capacity_m3
            + self.metal_capacity_j_k * (at.temperature_k - METAL_ZERO_K)
    }

    /// dM and dE for a pascal and for a cubic metre of water.
    fn slopes(&self, saturation: &Saturation, water_m3: f64) -> [f64; 4] {
        let (at, slope) = (saturation.at, saturation.slope);
        let capacity_m3 = self.heights.capacity_m3();
        let steam_m3 = capacity_m3 - water_m3;
        let mass_per_pa =
            slope.liquid_density_kg_m3 * water_m3 + slope.vapour_density_kg_m3 * steam_m3;
        let mass_per_m3 = at.liquid_density_kg_m3 - at.vapour_density_kg_m3;
        let energy_per_pa = (slope.liquid_density_kg_m3 * at.liquid_enthalpy_j_kg
            + at.liquid_density_kg_m3 * slope.liquid_enthalpy_j_kg)
            * water_m3
            + (slope.vapour_density_kg_m3 * at.vapour_enthalpy_j_kg
                + at.vapour_density_kg_m3 * slope.vapour_enthalpy_j_kg)
                * steam_m3
            - capacity_m3
            + self.metal_capacity_j_k * slope.temperature_k;
        let energy_per_m3 = at.liquid_density_kg_m3 * at.liquid_enthalpy_j_kg
            - at.vapour_density_kg_m3 * at.vapour_enthalpy_j_kg;
        [mass_per_pa, mass_per_m3, energy_per_pa, energy_per_m3]
    }

    /// Pressure and water volume of a mass, kg, and an energy, J, near a pressure, Pa.
    ///
    /// # Errors
    /// [`DynamicsError::Left`] where there is no such state: dry, full, or beyond the pressures of the line.
    pub fn equilibrium(
        &self,
        mass_kg: f64,
        energy_j: f64,
        near_pa: f64,
    ) -> Result<Equilibrium, DynamicsError> {
        let capacity_m3 = self.heights.capacity_m3();
        let (low_pa, high_pa) = self.line.pressures_pa();
        let left = |why: String| DynamicsError::Left { why };
        let mut pressure_pa = near_pa.clamp(low_pa, high_pa);
        let mut at_limit = 0;
        for _ in 0..60 {
            let saturation = self.line.at(pressure_pa)?;
            let at = saturation.at;
            let water_m3 = (mass_kg - at.vapour_density_kg_m3 * capacity_m3)
                / (at.liquid_density_kg_m3 - at.vapour_density_kg_m3);
            let [mass_per_pa, mass_per_m3, energy_per_pa, energy_per_m3] =
                self.slopes(&saturation, water_m3);
            let slope = energy_per_pa - energy_per_m3 * mass_per_pa / mass_per_m3;
            let step = (energy_j - self.energy_j(&saturation, water_m3)) / (slope * pressure_pa);
            if step.abs() < 1e-13 {
                if !(water_m3 > 0.0 && water_m3 < capacity_m3) {
                    return Err(left(format!(
                        "{water_m3:.4} m3 of water in a vessel of {capacity_m3:.4} m3"
                    )));
                }
                return Ok(Equilibrium {
                    saturation,
                    water_m3,
                    steam_m3: capacity_m3 - water_m3,
                });
            }
            let next = pressure_pa * step.clamp(-0.7, 0.7).exp();
            // Rounding of the last digits: it cannot come nearer.
            if step.abs() < 1e-11 && (next - pressure_pa).abs() <= 2e-11 * pressure_pa {
                at_limit += 1;
                if at_limit > 3 && water_m3 > 0.0 && water_m3 < capacity_m3 {
                    return Ok(Equilibrium {
                        saturation,
                        water_m3,
                        steam_m3: capacity_m3 - water_m3,
                    });
                }
            }
            if !(low_pa..=high_pa).contains(&next) {
                if !next.is_finite() || at_limit > 8 {
                    break;
                }
                at_limit += 1;
            }
            pressure_pa = next.clamp(low_pa, high_pa);
        }
        Err(left(format!(
            "no pressure from {low_pa:.0} Pa to {high_pa:.0} Pa for {mass_kg:.3} kg with {:.3} MJ",
            1e-6 * energy_j
        )))
    }

    /// How it changes under a boundary; what runs over leaves besides, kg/s of water.
    pub fn change(&self, now: &Equilibrium, boundary: &Boundary, overflow_kg_s: f64) -> Change {
        let at = now.saturation.at;
        let drawn_kg_s = boundary.drawn_kg_s + overflow_kg_s;
        let mass_kg_s =
            boundary.feed_kg_s + boundary.blown_steam_kg_s - boundary.steam_kg_s - drawn_kg_s;
        let energy_w = boundary.heat_w
            + boundary.feed_kg_s * boundary.feed_enthalpy_j_kg
            + boundary.blown_steam_kg_s * boundary.blown_steam_enthalpy_j_kg
            - boundary.steam_kg_s * at.vapour_enthalpy_j_kg
            - drawn_kg_s * at.liquid_enthalpy_j_kg;
        let [mass_per_pa, mass_per_m3, energy_per_pa, energy_per_m3] =
            self.slopes(&now.saturation, now.water_m3);
        let determinant = mass_per_m3 * energy_per_pa - energy_per_m3 * mass_per_pa;
        Change {
            mass_kg_s,
            energy_w,
            pressure_pa_s: (mass_per_m3 * energy_w - energy_per_m3 * mass_kg_s) / determinant,
            water_m3_s: (energy_per_pa * mass_kg_s - mass_per_pa * energy_w) / determinant,
        }
    }
}

/// The boundary, where every flow is finite and none runs backwards but steam.
///
/// # Errors
/// [`DynamicsError::Parameter`] elsewhere, NaN too.
pub(super) fn check(boundary: &Boundary) -> Result<(), DynamicsError> {
    for (what, value, unit, floor) in [
        ("feedwater", boundary.feed_kg_s, "kg/s", 0.0),
        (
            "enthalpy of the feedwater",
            boundary.feed_enthalpy_j_kg,
            "J/kg",
            -1e3,
        ),
        ("steam", boundary.steam_kg_s, "kg/s", f64::MIN),
        ("water drawn", boundary.drawn_kg_s, "kg/s", 0.0),
        ("heat", boundary.heat_w, "W", f64::MIN),
        ("steam blown in", boundary.blown_steam_kg_s, "kg/s", 0.0),
        (
            "enthalpy of the steam blown in",
            boundary.blown_steam_enthalpy_j_kg,
            "J/kg",
            0.0,
        ),
    ] {
        if !(value >= floor && value.is_finite()) {
            return Err(DynamicsError::Parameter {
                what,
                value,
                unit,
                limit: "finite, and 0 or above but for steam and heat",
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vessel::{HeadKind, Internals, Orientation, Shell};
    use proptest::prelude::*;

    fn vessel() -> SaturatedVessel {
        let shell = Shell::new(Orientation::Horizontal, 2.0, 4.9, HeadKind::Flat).unwrap();
        let heights = HeightTable::new(&shell, &Internals::none(), 1.0).unwrap();
        SaturatedVessel::new(heights, 2e6, 3e6).unwrap()
    }

    proptest! {
        #[test]
        fn property_pressure_is_recovered(log in 7.0_f64..14.5, share in 0.05_f64..0.95, near in 7.0_f64..14.5) {
            let vessel = vessel();
            let water_m3 = share * vessel.heights.capacity_m3();
            let (mass_kg, energy_j) = vessel.content(log.exp(), water_m3).unwrap();
            let found = vessel.equilibrium(mass_kg, energy_j, near.exp()).unwrap();
            prop_assert!((found.saturation.pressure_pa / log.exp() - 1.0).abs() < 1e-9);
            prop_assert!((found.water_m3 / water_m3 - 1.0).abs() < 1e-9);
        }

        #[test]
        fn property_slopes_follow_the_balances(log in 10.0_f64..14.0, heat_w in -5e6_f64..5e6, feed_kg_s in 0.0_f64..3.0) {
            let vessel = vessel();
            let (mass_kg, energy_j) = vessel.content(log.exp(), 9.0).unwrap();
            let boundary = Boundary {
                feed_kg_s, feed_enthalpy_j_kg: 3.5e5, steam_kg_s: 1.0, drawn_kg_s: 0.05, heat_w,
                blown_steam_kg_s: 0.1, blown_steam_enthalpy_j_kg: 2.7e6,
            };
            let now = vessel.equilibrium(mass_kg, energy_j, 1e5).unwrap();
            let change = vessel.change(&now, &boundary, 0.02);
            let after = |s: f64| vessel.equilibrium(mass_kg + s * change.mass_kg_s, energy_j + s * change.energy_w, log.exp()).unwrap();
            let (before, later) = (after(-0.1), after(0.1));
            let pressure = (later.saturation.pressure_pa - before.saturation.pressure_pa) / 0.2;
            let water = (later.water_m3 - before.water_m3) / 0.2;
            prop_assert!((pressure - change.pressure_pa_s).abs() < 1e-4 * (change.pressure_pa_s.abs() + 1.0), "{pressure} {}", change.pressure_pa_s);
            prop_assert!((water - change.water_m3_s).abs() < 1e-4 * (change.water_m3_s.abs() + 1e-3));
        }
    }

    #[test]
    fn property_what_cannot_be_is_refused() {
        let vessel = vessel();
        let (mass_kg, energy_j) = vessel.content(1e6, 9.0).unwrap();
        for (mass_kg, energy_j) in [
            (mass_kg, 10.0 * energy_j),
            (mass_kg, -energy_j),
            (20_000.0, energy_j),
            (f64::NAN, energy_j),
            (mass_kg, f64::NAN),
        ] {
            assert!(vessel.equilibrium(mass_kg, energy_j, 1e6).is_err());
        }
        assert!(SaturatedVessel::new((*vessel.heights).clone(), f64::NAN, 0.0).is_err());
        assert!(SaturatedVessel::new((*vessel.heights).clone(), 1e6, -1.0).is_err());
    }
}
