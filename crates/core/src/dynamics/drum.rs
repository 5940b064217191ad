//! Water-tube boiler with natural circulation: a nonlinear model of the fourth order.
//!
//! States: water in the whole circuit V_wt, pressure p, mass fraction of steam at the risers' outlet αr, steam under the
//! drum's surface V_sd. All heat enters at the risers; water, steam and metal are at saturation. Shrink and swell follow from
//! the steam in risers and drum; the surface of the mixture is (V_wd + V_sd)/A_d, while a cell weighs the water only.
//!
//! **Source:** Åström & Bell, "Drum-boiler dynamics", Automatica 36 (2000) 363-378, doi 10.1016/S0005-1098(99)00171-5.
//! **Departures:** water drawn from the drum (blowdown) and steam blown into it are added to the balances. Where no steam is left
//! in the risers or under the surface, αr or V_sd stays at nothing until steam forms again: neither enters the balances of mass
//! and energy of the whole, which stay exact.
//! **Limits:** the drum's surface has one area; heat is taken up at once; the risers carry no dynamics of momentum.
//! **Checked by:** `crosscheck_steady_state`, `crosscheck_coefficients`, `crosscheck_eigenvalues`, `crosscheck_step_responses`,
//! `property_a_day_conserves_mass_and_energy`, `property_half_the_step_changes_nothing`.

mod balance;
mod parameters;

use std::sync::{Arc, OnceLock};

use super::error::{DynamicsError, not_below_zero, positive};
use super::integrate;
use super::vessel::{Boundary, VesselModel, VesselView, bubble_share};
use crate::feedwater::root::bracketed_root;
use crate::quantity::TrueLevel;
use crate::water::{Saturation, SaturationLine};

pub use balance::{Coefficients, Void, circulation_kg_s};
pub use parameters::{DrumParameters, DrumState, DrumSteam};

/// Pressures of the table of the saturation line, Pa: from the vacuum of a cooled boiler to the edge of the formulation's region 3.
const TABLE_PA: (f64, f64) = (1_000.0, 16.5e6);
/// Metal's energy counts from here, K.
const METAL_DATUM_K: f64 = 273.16;
/// Steps within the fastest time constant: eight, as `steps_for` takes four.
const STEP_SHARE: f64 = 0.5;

/// What a boiler is to do when it stands still.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrumLoad {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Steam drawn, kg/s.
    pub steam_kg_s: f64,
    /// Blowdown, kg/s.
    pub blowdown_kg_s: f64,
    /// Specific enthalpy of the feedwater, J/kg.
    pub feed_enthalpy_j_kg: f64,
    /// TRUE level to stand at.
    pub level: TrueLevel,
}

/// A drum boiler in motion.
#[derive(Debug, Clone)]
pub struct DrumBoiler {
    parameters: DrumParameters,
    state: DrumState,
    line: Arc<SaturationLine>,
    /// Share of their clean speed that bubbles have.
    clean_share: f64,
}

impl DrumBoiler {
    /// A boiler at any state within the model.
    ///
    /// # Errors
    /// [`DynamicsError`] for parameters or a state outside it.
    pub fn new(parameters: DrumParameters, state: DrumState) -> Result<Self, DynamicsError> {
        Self::with_line(parameters, state, table()?)
    }

    /// Still water under a pressure, Pa, at a TRUE level: no steam in risers or drum, no circulation.
    ///
    /// # Errors
    /// [`DynamicsError`] for a level outside the drum.
    pub fn still(
        parameters: DrumParameters,
        pressure_pa: f64,
        level: TrueLevel,
    ) -> Result<Self, DynamicsError> {
        let water_m3 = parameters.drum_water_for_m3(level.m(), 0.0)
            + parameters.downcomer_volume_m3
            + parameters.riser_volume_m3;
        let state = DrumState {
            water_m3,
            pressure_pa,
            quality: 0.0,
            drum_steam_m3: 0.0,
        };
        Self::new(parameters, state)
    }

    /// The same on a table that other boilers share.
    ///
    /// # Errors
    /// [`DynamicsError`] for parameters or a state outside the model.
    pub fn with_line(
        parameters: DrumParameters,
        state: DrumState,
        line: Arc<SaturationLine>,
    ) -> Result<Self, DynamicsError> {
        parameters.check()?;
        let boiler = Self {
            parameters,
            state,
            line,
            clean_share: 1.0,
        };
        boiler.check(&state)?;
        Ok(boiler)
    }

    /// A boiler that stands still under a load, and what acts on it then.
    ///
    /// ```text
    /// q_f = q_s + q_b    Q = q_s·hs + q_b·hw − q_f·hf = αr·hc·q_dc(αr)    V_sd = V_sd0 − T_d·(hw − hf)/(ρs·hc)·q_f
    /// ```
    ///
    /// # Errors
    /// [`DynamicsError::NoSteadyState`] where circulation cannot carry the heat or the drum cannot hold the steam.
    pub fn steady(
        parameters: DrumParameters,
        load: &DrumLoad,
    ) -> Result<(Self, Boundary), DynamicsError> {
        parameters.check()?;
        let steam_kg_s = positive("steam flow", load.steam_kg_s, "kg/s")?;
        let blowdown_kg_s = not_below_zero("blowdown", load.blowdown_kg_s, "kg/s")?;
        let line = table()?;
        let water = line.at(load.pressure_pa)?;
        let hc = water.evaporation_enthalpy_j_kg();
        let feed_kg_s = steam_kg_s + blowdown_kg_s;
        let heat_w = steam_kg_s * water.at.vapour_enthalpy_j_kg
            + blowdown_kg_s * water.at.liquid_enthalpy_j_kg
            - feed_kg_s * load.feed_enthalpy_j_kg;
        let surplus_w = |quality: f64| {
            let void = Void::of(&water, quality);
            quality * hc * circulation_kg_s(&parameters, &water, &void) - heat_w
        };
        let quality = bracketed_root(surplus_w, 0.0, 1.0, 1e-15).map_err(|_| {
            DynamicsError::NoSteadyState {
                why: format!(
                    "circulation cannot carry {heat_w:.3e} W: it takes more than nothing and less than {:.3e} W",
                    surplus_w(1.0) + heat_w
                ),
            }
        })?;
        let condensed_kg_s =
            (water.at.liquid_enthalpy_j_kg - load.feed_enthalpy_j_kg) / hc * feed_kg_s;
        let drum_steam_m3 = parameters.undisturbed_steam_m3
            - parameters.steam_residence_s * condensed_kg_s / water.at.vapour_density_kg_m3;
        if !(drum_steam_m3 >= 0.0) {
            return Err(DynamicsError::NoSteadyState {
                why: format!(
                    "feedwater condenses {condensed_kg_s:.3} kg/s in the drum, more than the steam under its surface"
                ),
            });
        }
        let void = Void::of(&water, quality);
        let water_m3 = parameters.drum_water_for_m3(load.level.m(), drum_steam_m3)
            + parameters.downcomer_volume_m3
            + (1.0 - void.mean) * parameters.riser_volume_m3;
        let state = DrumState {
            water_m3,
            pressure_pa: load.pressure_pa,
            quality,
            drum_steam_m3,
        };
        let boundary = Boundary {
            feed_kg_s,
            feed_enthalpy_j_kg: load.feed_enthalpy_j_kg,
            steam_kg_s,
            drawn_kg_s: blowdown_kg_s,
            heat_w,
            blown_steam_kg_s: 0.0,
            blown_steam_enthalpy_j_kg: 0.0,
        };
        Ok((Self::with_line(parameters, state, line)?, boundary))
    }

    /// Sizes.
    pub fn parameters(&self) -> &DrumParameters {
        &self.parameters
    }

    /// State now.
    pub fn state(&self) -> DrumState {
        self.state
    }

    /// l: surface of the mixture above a drum of one area throughout, m; the paper's level.
    ///
    /// # Errors
    /// [`DynamicsError`] beyond the table.
    pub fn mixture_level_m(&self) -> Result<f64, DynamicsError> {
        let water = self.line.at(self.state.pressure_pa)?;
        let void = Void::of(&water, self.state.quality);
        let drum_water_m3 = self.parameters.drum_water_m3(&self.state, &void);
        Ok((drum_water_m3 + self.state.drum_steam_m3) / self.parameters.drum_area_m2)
    }

    /// Factors of the balances at the state now.
    ///
    /// # Errors
    /// [`DynamicsError`] beyond the table.
    pub fn coefficients(&self) -> Result<Coefficients, DynamicsError> {
        let water = self.line.at(self.state.pressure_pa)?;
        let void = Void::of(&water, self.state.quality);
        Ok(Coefficients::of(
            &self.parameters,
            &self.state,
            &water,
            &void,
        ))
    }

    /// Rates of the four states, each per second: m3/s, Pa/s, 1/s, m3/s.
    ///
    /// # Errors
    /// [`DynamicsError`] beyond the table.
    pub fn rates(&self, state: &DrumState, from: &Boundary) -> Result<[f64; 4], DynamicsError> {
        let state = state.without_debt();
        let water = self.line.at(state.pressure_pa)?;
        let void = Void::of(&water, state.quality);
        let e = Coefficients::of(&self.parameters, &state, &water, &void);
        let (hw, hs) = (water.at.liquid_enthalpy_j_kg, water.at.vapour_enthalpy_j_kg);
        let hc = hs - hw;
        let mass = from.feed_kg_s + from.blown_steam_kg_s - from.steam_kg_s - from.drawn_kg_s;
        let energy = from.heat_w
            + from.feed_kg_s * from.feed_enthalpy_j_kg
            + from.blown_steam_kg_s * from.blown_steam_enthalpy_j_kg
            - from.steam_kg_s * hs
            - from.drawn_kg_s * hw;
        let determinant = e.e11 * e.e22 - e.e12 * e.e21;
        let water_rate = (mass * e.e22 - energy * e.e12) / determinant;
        let pressure_rate = (e.e11 * energy - e.e21 * mass) / determinant;
        let circulation = circulation_kg_s(&self.parameters, &water, &void);
        let mut quality_rate =
            (from.heat_w - state.quality * hc * circulation - e.e32 * pressure_rate) / e.e33;
        if state.quality <= 0.0 {
            quality_rate = quality_rate.max(0.0);
        }
        let steam_into_drum = e.e44 / self.parameters.steam_residence_s
            * (self.parameters.undisturbed_steam_m3 - state.drum_steam_m3)
            + (from.feed_enthalpy_j_kg - hw) / hc * from.feed_kg_s
            + (from.blown_steam_enthalpy_j_kg - hw) / hc * from.blown_steam_kg_s;
        let mut drum_steam_rate =
            (steam_into_drum - e.e42 * pressure_rate - e.e43 * quality_rate) / e.e44;
        if state.drum_steam_m3 <= 0.0 {
            drum_steam_rate = drum_steam_rate.max(0.0);
        }
        Ok([water_rate, pressure_rate, quality_rate, drum_steam_rate])
    }

    /// Fastest time constant at the state now, s: of the steam in the drum's water, or of that in the risers.
    fn fastest_s(&self) -> Result<f64, DynamicsError> {
        let water = self.line.at(self.state.pressure_pa)?;
        let void = Void::of(&water, self.state.quality);
        let e = Coefficients::of(&self.parameters, &self.state, &water, &void);
        // Heat carried from the risers goes with αr·√ᾱv, at most with the power 1.5 of αr.
        let riser_s = e.e33
            / (1.5
                * water.evaporation_enthalpy_j_kg()
                * circulation_kg_s(&self.parameters, &water, &void));
        Ok(riser_s.min(self.parameters.steam_residence_s))
    }

    /// Goes on in so many steps instead of the number chosen from the fastest time constant.
    fn advance_in(
        &mut self,
        boundary: &Boundary,
        duration_s: f64,
        steps: u32,
    ) -> Result<(), DynamicsError> {
        let step_s = duration_s / f64::from(steps);
        let mut now = self.state;
        for _ in 0..steps {
            let next = integrate::step(&now.to_array(), step_s, &mut |state| {
                self.rates(&DrumState::from_array(*state), boundary)
            })?;
            now = DrumState::from_array(next).without_debt();
            self.check(&now)?;
        }
        self.state = now;
        Ok(())
    }

    /// Refuses a state beyond the model.
    fn check(&self, state: &DrumState) -> Result<Saturation, DynamicsError> {
        let water = self.line.at(state.pressure_pa)?;
        if !(0.0..1.0).contains(&state.quality) {
            return Err(left("the risers' outlet carries nothing but steam"));
        }
        let void = Void::of(&water, state.quality);
        let drum_water_m3 = self.parameters.drum_water_m3(state, &void);
        if !(drum_water_m3 > 0.0) {
            return Err(left("the drum has run dry"));
        }
        if !(state.drum_steam_m3 >= 0.0) {
            return Err(left("the steam under the surface is less than nothing"));
        }
        if !(drum_water_m3 + state.drum_steam_m3 < self.parameters.drum_volume_m3) {
            return Err(left("the drum is full"));
        }
        Ok(water)
    }
}

impl VesselModel for DrumBoiler {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        not_below_zero("duration", duration_s, "s")?;
        not_below_zero("steam flow", boundary.steam_kg_s, "kg/s")?;
        not_below_zero("feedwater", boundary.feed_kg_s, "kg/s")?;
        not_below_zero("water drawn", boundary.drawn_kg_s, "kg/s")?;
        not_below_zero("steam blown in", boundary.blown_steam_kg_s, "kg/s")?;
        let steps = integrate::steps_for(duration_s, STEP_SHARE * self.fastest_s()?);
        self.advance_in(boundary, duration_s, steps)
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        let (parameters, state) = (&self.parameters, &self.state);
        let water = self.check(state)?;
        let at = &water.at;
        let void = Void::of(&water, state.quality);
        let drum_water_m3 = parameters.drum_water_m3(state, &void);
        let mixture_m3 = drum_water_m3 + state.drum_steam_m3;
        let above_tap_m3 = mixture_m3 - parameters.volume_below_tap_m3();
        let void_ratio = match parameters.steam {
            DrumSteam::Even => state.drum_steam_m3 / mixture_m3,
            DrumSteam::AboveTap if above_tap_m3 > state.drum_steam_m3 => {
                state.drum_steam_m3 / above_tap_m3
            }
            DrumSteam::AboveTap => 1.0,
        };
        let steam_m3 = parameters.total_volume_m3() - state.water_m3;
        let water_kg = at.liquid_density_kg_m3 * state.water_m3;
        let steam_kg = at.vapour_density_kg_m3 * steam_m3;
        let metal_j_k = parameters.total_metal_kg * parameters.metal_heat_capacity_j_kg_k;
        Ok(VesselView {
            pressure_pa: state.pressure_pa,
            water_temperature_k: at.temperature_k,
            is_boiling: true,
            true_level: TrueLevel::from_m(
                parameters.true_level_m(drum_water_m3, state.drum_steam_m3),
            ),
            mixture_surface_m: above_tap_m3 / parameters.drum_area_m2,
            void_ratio,
            water_density_kg_m3: at.liquid_density_kg_m3,
            vapour_density_kg_m3: at.vapour_density_kg_m3,
            steam_enthalpy_j_kg: at.vapour_enthalpy_j_kg,
            mass_kg: water_kg + steam_kg,
            energy_j: water_kg * water.liquid_energy_j_kg()
                + steam_kg * water.vapour_energy_j_kg()
                + metal_j_k * (at.temperature_k - METAL_DATUM_K),
            overflow_kg_s: 0.0,
        })
    }

    /// Steam stays in the drum's water so much longer, and there is so much more of it.
    fn slow_bubbles(&mut self, share_ratio: f64) -> Result<(), DynamicsError> {
        let longer = self.clean_share / bubble_share(share_ratio)?;
        self.parameters.steam_residence_s *= longer;
        self.parameters.undisturbed_steam_m3 *= longer;
        self.clean_share = share_ratio;
        Ok(())
    }
}

/// The table, made once.
fn table() -> Result<Arc<SaturationLine>, DynamicsError> {
    static TABLE: OnceLock<Arc<SaturationLine>> = OnceLock::new();
    if let Some(line) = TABLE.get() {
        return Ok(Arc::clone(line));
    }
    let line = Arc::new(SaturationLine::between(TABLE_PA.0, TABLE_PA.1)?);
    Ok(Arc::clone(TABLE.get_or_init(|| line)))
}

fn left(why: &str) -> DynamicsError {
    DynamicsError::Left { why: why.into() }
}

#[cfg(test)]
mod tests;
