//! Shell (fire-tube) boiler: mass, energy, and the steam under the surface below and above the lower tap.
//!
//! ```text
//! G·hfg   = Q − wf·(hl − hf) + wb·(hb − hl) − [Ml·hl′ + mm·c·Ts′ + (mB + mA)·hv′ − Vpool]·dp/dt
//! dmB/dt  = GB − ρv·A0·jB
//! dmA/dt  = GA + ρv·A0·jB − ρv·As·jA
//! VlA     = Vw − VB·(1 − aB),   aB = mB/(ρv·VB),   V(zs) = VB + VlA + mA/ρv,   hc = (1 − aA)·zs
//! ```
//!
//! | symbol | name                                                      | unit  |
//! |--------|-----------------------------------------------------------|-------|
//! | mB, mA | steam under the surface, below and above the lower tap    | kg    |
//! | G      | steam made in the pool: heat, feed entry, flashing         | kg/s  |
//! | A0, As | free surface at the lower tap and at the mixture surface  | m2    |
//! | zs, hc | mixture surface; collapsed level: what the cell weighs    | m     |
//! | ′      | along the saturation line, per Pa                         |       |
//!
//! Heat is split between the zones by share of the heated surface, feed by where it enters, flashing by water. Mass and energy
//! close by themselves (see `saturated`); mB and mA only place the water. When the steam flow is stepped up, pressure falls, water
//! flashes, and the bubbles below the lower tap lift water above it: TRUE level at the cell RISES first (swell). Cold feed takes
//! bubbles away below the tap: it FALLS first (shrink).
//!
//! **Source:** zones and drift flux derived here from balances (drift: see `drift`); the pattern of Åström & Bell, Automatica 36
//! (2000) 363-378, for a pool without circulation. **Departures:** void even within a zone; water and metal at saturation; no
//! air; net condensing takes a bubble's life of 1 s; steam leaves dry.
//! **Checked by:** `shell_tests.rs`.

use std::sync::Arc;

use crate::quantity::TrueLevel;

use super::drift::{DriftTable, Rise};
use super::error::{DynamicsError, positive};
use super::integrate;
use super::open_water::Overflow;
use super::saturated::{Change, Equilibrium, SaturatedVessel, check};
use super::vessel::{Boundary, VesselModel, VesselView, bubble_share};

/// Time in which bubbles condense where a zone is cooled on the whole, s.
const CONDENSING_S: f64 = 1.0;
/// Least height of water a zone's bubbles are counted in, m: keeps the rise of bubbles finite at a bare tap.
const LEAST_DEPTH_M: f64 = 0.05;
/// Volume below the tap that counts as none, m of height.
const NO_ROOM_M: f64 = 0.01;

/// What does not change of a shell boiler.
#[derive(Debug, Clone)]
pub struct ShellPlant {
    /// Vessel, its saturation line and its metal.
    pub vessel: SaturatedVessel,
    /// Rise of bubbles.
    pub drift: DriftTable,
    /// Share of the heat that enters below the lower tap, 0 to 1.
    pub heat_below_tap_ratio: f64,
    /// Share of the feed that enters below the lower tap, 0 to 1.
    pub feed_below_tap_ratio: f64,
    /// Feed and blown steam meet above the water and reach it at saturation: a deaerator.
    pub feed_meets_steam_above: bool,
    /// Overflow.
    pub overflow: Option<Overflow>,
}

/// A steady duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteadyDuty {
    /// Pressure, absolute, Pa.
    pub pressure_pa: f64,
    /// Steam that leaves, kg/s; 0: still water.
    pub steam_kg_s: f64,
    /// Blowdown, kg/s.
    pub drawn_kg_s: f64,
    /// Specific enthalpy of the feedwater, J/kg.
    pub feed_enthalpy_j_kg: f64,
    /// TRUE level.
    pub true_level: TrueLevel,
}

/// A shell boiler in motion.
#[derive(Debug, Clone)]
pub struct ShellBoiler {
    plant: Arc<ShellPlant>,
    /// M, kg; E, J; mB, kg; mA, kg.
    state: [f64; 4],
    pressure_pa: f64,
}

/// Where water and bubbles stand.
struct Places {
    now: Equilibrium,
    rise: Rise,
    /// Below the tap: volume, m3; free surface at the tap, m2; void.
    volume_below_m3: f64,
    surface_tap_m2: f64,
    void_below: f64,
    /// Above the tap: water, m3; mixture surface, m; its area, m2; void for weighing and for rising.
    surface_m: f64,
    surface_m2: f64,
    void_above: f64,
    rising_above: f64,
    depth_m3: f64,
}

impl ShellPlant {
    /// A plant of checked shares.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] for shares outside 0 to 1, or for NaN.
    pub fn new(
        vessel: SaturatedVessel,
        drift: DriftTable,
        heat_below_tap_ratio: f64,
        feed_below_tap_ratio: f64,
    ) -> Result<Self, DynamicsError> {
        for (what, value) in [
            ("share of heat below the lower tap", heat_below_tap_ratio),
            ("share of feed below the lower tap", feed_below_tap_ratio),
        ] {
            if !(0.0..=1.0).contains(&value) {
                return Err(DynamicsError::Parameter {
                    what,
                    value,
                    unit: "",
                    limit: "0 to 1",
                });
            }
        }
        Ok(Self {
            vessel,
            drift,
            heat_below_tap_ratio,
            feed_below_tap_ratio,
            feed_meets_steam_above: false,
            overflow: None,
        })
    }

    fn overflow_kg_s(&self, surface_m: f64) -> f64 {
        self.overflow
            .map_or(0.0, |overflow| overflow.flow_kg_s(surface_m))
    }

    /// Is there room for bubbles below the lower tap?
    fn has_room_below(&self) -> bool {
        -self.vessel.heights.ends_m().0 > NO_ROOM_M
    }

    fn places(&self, state: &[f64; 4], near_pa: f64) -> Result<Places, DynamicsError> {
        let [mass_kg, energy_j, below_kg, above_kg] = *state;
        let now = self.vessel.equilibrium(mass_kg, energy_j, near_pa)?;
        let at = now.saturation.at;
        let heights = &self.vessel.heights;
        let vapour = at.vapour_density_kg_m3;
        let volume_below_m3 = heights.volume_m3(0.0);
        let surface_tap_m2 = heights.surface_m2(0.0);
        let bubbles_below_m3 = below_kg.max(0.0) / vapour;
        let bubbles_above_m3 = above_kg.max(0.0) / vapour;
        let void_below = if self.has_room_below() {
            bubbles_below_m3 / volume_below_m3
        } else {
            0.0
        };
        let water_above_m3 = now.water_m3 - volume_below_m3 + bubbles_below_m3;
        let mixture_m3 = now.water_m3 + bubbles_below_m3 + bubbles_above_m3;
        if !(mixture_m3 < heights.capacity_m3()) {
            return Err(DynamicsError::Left {
                why: "water and bubbles fill the vessel: water leaves with the steam".into(),
            });
        }
        let surface_m = heights.height_m(mixture_m3)?;
        let void_above = if surface_m > 0.0 && mixture_m3 > volume_below_m3 {
            (bubbles_above_m3 / (mixture_m3 - volume_below_m3)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let depth_m3 = water_above_m3.max(LEAST_DEPTH_M * surface_tap_m2) + bubbles_above_m3;
        Ok(Places {
            rise: self
                .drift
                .rise(now.saturation.pressure_pa, at.liquid_density_kg_m3, vapour),
            now,
            volume_below_m3,
            surface_tap_m2,
            void_below,
            surface_m,
            surface_m2: heights.surface_m2(surface_m),
            void_above,
            rising_above: bubbles_above_m3 / depth_m3,
            depth_m3,
        })
    }

    /// Steam made below and above the tap, kg/s, with its flashing.
    fn generation(
        &self,
        places: &Places,
        state: &[f64; 4],
        boundary: &Boundary,
        change: &Change,
    ) -> (f64, f64) {
        let (at, slope) = (places.now.saturation.at, places.now.saturation.slope);
        let evaporation = places.now.saturation.evaporation_enthalpy_j_kg();
        let submerged_kg = state[2].max(0.0) + state[3].max(0.0);
        let pool_m3 = places.now.water_m3 + submerged_kg / at.vapour_density_kg_m3;
        let water_kg = at.liquid_density_kg_m3 * places.now.water_m3;
        let stored = water_kg * slope.liquid_enthalpy_j_kg
            + self.vessel.metal_capacity_j_k * slope.temperature_k
            + submerged_kg * slope.vapour_enthalpy_j_kg
            - pool_m3;
        let flashing = -stored * change.pressure_pa_s / evaporation;
        let heat = boundary.heat_w / evaporation;
        let (feed, blown) = if self.feed_meets_steam_above {
            (0.0, 0.0)
        } else {
            (
                boundary.feed_kg_s * (boundary.feed_enthalpy_j_kg - at.liquid_enthalpy_j_kg)
                    / evaporation,
                boundary.blown_steam_kg_s
                    * (boundary.blown_steam_enthalpy_j_kg - at.liquid_enthalpy_j_kg)
                    / evaporation,
            )
        };
        let total = heat + feed + blown + flashing;
        if !self.has_room_below() {
            return (0.0, total);
        }
        let water_below_m3 = places.volume_below_m3 * (1.0 - places.void_below);
        let water_share = (water_below_m3 / places.now.water_m3).clamp(0.0, 1.0);
        let wanted = self.heat_below_tap_ratio * heat
            + self.feed_below_tap_ratio * (feed + blown)
            + water_share * flashing;
        // Cooled on the whole, a zone takes no more bubbles than it has; the rest of the cold meets the zone above.
        let below = wanted.max(-state[2].max(0.0) / CONDENSING_S);
        (below, total - below)
    }

    fn rates(
        &self,
        state: &[f64; 4],
        boundary: &Boundary,
        near_pa: f64,
    ) -> Result<([f64; 4], f64), DynamicsError> {
        let places = self.places(state, near_pa)?;
        let overflow_kg_s = self.overflow_kg_s(places.surface_m);
        let change = self.vessel.change(&places.now, boundary, overflow_kg_s);
        let (below, above) = self.generation(&places, state, boundary, &change);
        let vapour = places.now.saturation.at.vapour_density_kg_m3;
        let through_tap = vapour * places.surface_tap_m2 * places.rise.flux_m_s(places.void_below);
        let out = vapour * places.surface_m2 * places.rise.flux_m_s(places.rising_above);
        // Cold that finds no bubbles here condenses steam at the surface: mass and energy have it already.
        let above = (above + through_tap).max(-state[3].max(0.0) / CONDENSING_S);
        let rates = [
            change.mass_kg_s,
            change.energy_w,
            below - through_tap,
            above - out,
        ];
        Ok((rates, places.now.saturation.pressure_pa))
    }

    /// Shortest time constant of the bubbles, s.
    fn fastest_s(&self, places: &Places) -> f64 {
        let above =
            places.depth_m3 / (places.surface_m2 * places.rise.slope_m_s(places.rising_above));
        let below = if self.has_room_below() {
            places.volume_below_m3
                / (places.surface_tap_m2 * places.rise.slope_m_s(places.void_below))
        } else {
            f64::INFINITY
        };
        above.min(below).min(CONDENSING_S)
    }
}

impl ShellBoiler {
    /// The boiler at rest in a duty, and the boundary that keeps it there.
    ///
    /// # Errors
    /// [`DynamicsError::NoSteadyState`] where the level is not above the lower tap or the bubbles leave no room for it.
    pub fn steady(
        plant: Arc<ShellPlant>,
        duty: &SteadyDuty,
    ) -> Result<(Self, Boundary), DynamicsError> {
        positive("pressure", duty.pressure_pa, "Pa")?;
        let level_m = positive("TRUE level", duty.true_level.m(), "m above the lower tap")?;
        let saturation = plant.vessel.line.at(duty.pressure_pa)?;
        let at = saturation.at;
        let feed_kg_s = duty.steam_kg_s + duty.drawn_kg_s;
        let heat_w = duty.steam_kg_s * at.vapour_enthalpy_j_kg
            + duty.drawn_kg_s * at.liquid_enthalpy_j_kg
            - feed_kg_s * duty.feed_enthalpy_j_kg;
        let boundary = Boundary {
            feed_kg_s,
            feed_enthalpy_j_kg: duty.feed_enthalpy_j_kg,
            steam_kg_s: duty.steam_kg_s,
            drawn_kg_s: duty.drawn_kg_s,
            heat_w,
            blown_steam_kg_s: 0.0,
            blown_steam_enthalpy_j_kg: at.vapour_enthalpy_j_kg,
        };
        check(&boundary)?;
        if !(duty.steam_kg_s >= 0.0) {
            return Err(DynamicsError::NoSteadyState {
                why: format!("steam flow {} kg/s", duty.steam_kg_s),
            });
        }
        let evaporation = saturation.evaporation_enthalpy_j_kg();
        let vapour = at.vapour_density_kg_m3;
        let rise = plant
            .drift
            .rise(duty.pressure_pa, at.liquid_density_kg_m3, vapour);
        let heights = &plant.vessel.heights;
        let (volume_below_m3, surface_tap_m2) = (heights.volume_m3(0.0), heights.surface_m2(0.0));
        let cold_w = feed_kg_s * (at.liquid_enthalpy_j_kg - duty.feed_enthalpy_j_kg);
        let made_below = if plant.has_room_below() {
            ((plant.heat_below_tap_ratio * heat_w - plant.feed_below_tap_ratio * cold_w)
                / evaporation)
                .max(0.0)
        } else {
            0.0
        };
        let void_below = rise.void_ratio(made_below / (vapour * surface_tap_m2));
        // The mixture surface: the level that weighs the same, found between it and the top.
        let void_at = |surface_m: f64| {
            rise.void_ratio(duty.steam_kg_s / (vapour * heights.surface_m2(surface_m)))
        };
        let (mut low, mut high) = (level_m, heights.ends_m().1);
        let fits = |surface_m: f64| (1.0 - void_at(surface_m)) * surface_m >= level_m;
        // Towards the top of a lying shell the surface vanishes: the last place that still fits is looked for from below.
        let scan = (0..=200)
            .map(|k| level_m + (high - level_m) * f64::from(k) / 201.0)
            .find(|surface_m| fits(*surface_m));
        let Some(found) = scan else {
            return Err(DynamicsError::NoSteadyState {
                why: format!("bubbles leave no room for a TRUE level {level_m:.3} m above the tap"),
            });
        };
        high = found;
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if fits(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        let surface_m = high;
        let void_above = void_at(surface_m);
        let mixture_above_m3 = heights.volume_m3(surface_m) - volume_below_m3;
        let below_kg = if plant.has_room_below() {
            vapour * void_below * volume_below_m3
        } else {
            0.0
        };
        let above_kg = vapour * void_above * mixture_above_m3;
        let water_m3 = mixture_above_m3 * (1.0 - void_above) + volume_below_m3 - below_kg / vapour;
        let (mass_kg, energy_j) = plant.vessel.content(duty.pressure_pa, water_m3)?;
        let boiler = Self {
            plant,
            state: [mass_kg, energy_j, below_kg, above_kg],
            pressure_pa: duty.pressure_pa,
        };
        boiler.view()?;
        Ok((boiler, boundary))
    }

    /// Still water at saturation under a pressure, Pa, without bubbles.
    ///
    /// # Errors
    /// [`DynamicsError`] for a level outside the vessel.
    pub fn still(
        plant: Arc<ShellPlant>,
        pressure_pa: f64,
        level: TrueLevel,
    ) -> Result<Self, DynamicsError> {
        let water_m3 = plant.vessel.heights.volume_m3(level.m());
        let (mass_kg, energy_j) = plant.vessel.content(pressure_pa, water_m3)?;
        let boiler = Self {
            plant,
            state: [mass_kg, energy_j, 0.0, 0.0],
            pressure_pa,
        };
        boiler.view()?;
        Ok(boiler)
    }

    /// What does not change of it.
    pub fn plant(&self) -> &ShellPlant {
        &self.plant
    }

    /// Steam under the surface, below and above the lower tap, kg.
    pub fn submerged_steam_kg(&self) -> (f64, f64) {
        (self.state[2], self.state[3])
    }

    /// Largest error of a step of this length at these conditions, relative to the content, by step doubling.
    ///
    /// # Errors
    /// As [`VesselModel::advance`].
    pub fn step_error_ratio(
        &self,
        boundary: &Boundary,
        duration_s: f64,
    ) -> Result<f64, DynamicsError> {
        let places = self.plant.places(&self.state, self.pressure_pa)?;
        let steps = integrate::steps_for(duration_s, self.plant.fastest_s(&places));
        let [mass_kg, energy_j, below_kg, above_kg] = self.state;
        let bubbles_kg = (below_kg + above_kg).max(1e-3);
        let scale = [mass_kg, energy_j, bubbles_kg, bubbles_kg];
        integrate::error_ratio(&self.state, &scale, duration_s, steps, &mut |state| {
            Ok(self.plant.rates(state, boundary, self.pressure_pa)?.0)
        })
    }

    /// Goes on with at least so many steps (refinement).
    fn advance_in(
        &mut self,
        boundary: &Boundary,
        duration_s: f64,
        finer: u32,
    ) -> Result<(), DynamicsError> {
        check(boundary)?;
        positive("duration", duration_s, "s")?;
        let places = self.plant.places(&self.state, self.pressure_pa)?;
        let steps = finer * integrate::steps_for(duration_s, self.plant.fastest_s(&places));
        let mut near_pa = self.pressure_pa;
        let state = integrate::advance(&self.state, duration_s, steps, &mut |state| {
            let (rates, pressure_pa) = self.plant.rates(state, boundary, near_pa)?;
            near_pa = pressure_pa;
            Ok::<_, DynamicsError>(rates)
        })?;
        // The end must be a state of the model too.
        let end = self.plant.places(&state, near_pa)?;
        self.state = state;
        self.pressure_pa = end.now.saturation.pressure_pa;
        Ok(())
    }
}

impl VesselModel for ShellBoiler {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        self.advance_in(boundary, duration_s, 1)
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        let places = self.plant.places(&self.state, self.pressure_pa)?;
        let at = places.now.saturation.at;
        let surface_m = places.surface_m;
        let true_level_m = if surface_m > 0.0 {
            (1.0 - places.void_above) * surface_m
        } else {
            surface_m
        };
        Ok(VesselView {
            pressure_pa: places.now.saturation.pressure_pa,
            water_temperature_k: at.temperature_k,
            true_level: TrueLevel::from_m(true_level_m),
            is_boiling: true,
            mixture_surface_m: surface_m,
            void_ratio: places.void_above,
            water_density_kg_m3: at.liquid_density_kg_m3,
            vapour_density_kg_m3: at.vapour_density_kg_m3,
            steam_enthalpy_j_kg: at.vapour_enthalpy_j_kg,
            mass_kg: self.state[0],
            energy_j: self.state[1],
            overflow_kg_s: self.plant.overflow_kg_s(surface_m),
        })
    }

    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        Arc::make_mut(&mut self.plant).drift.clean_share = bubble_share(share_ratio)?;
        Ok(())
    }
}

#[cfg(test)]
#[path = "shell_tests.rs"]
mod tests;
