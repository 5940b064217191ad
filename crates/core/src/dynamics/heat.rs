//! What holds the pressure, or a tank's temperature: a burner between low and high fire, a deaerator's heating steam, a tank's coil.
//!
//! ```text
//! wanted = base + Kp·e + ∫Kp/Ti·e dt     of the largest heat, held between the limits
//! e      = (p set − p)/p set, for a tank (T set − T)/(T set − 0 degC)
//! heat   = lagged wanted·largest − loss·(T − room)
//! ```
//!
//! Up from cold a burner stands at low fire, or at less so that the water warms by no more than 55 K an hour (it is cycled), until the
//! lowest sustained pressure is reached; heating steam and coils open as far as
//! they may. A boiler loses 1 % of its largest heat to the room when hot; other vessels count as insulated.
//!
//! The gain falls with what the vessel stores, so that lag and store do not swing.
//!
//! **Source:** common practice; gain 10 (full fire for 10 % of pressure) at most, reset 120 s, lag 5 s of a burner and 15 s of steam,
//! loss 1 % are assumptions and said so.
//! **Checked by:** `property_heating_is_in_balance_and_holds`.

use super::balance::Balance;
use super::error::DynamicsError;
use super::vessel::VesselView;
use crate::description::{Duty, Loop, VesselKind};
use crate::measurement::condition::mean_ambient_k;
use crate::water::{SaturatedWater, saturation_temperature_k};

/// Largest gain: full fire for 10 % of pressure.
const LARGEST_GAIN: f64 = 10.0;
/// Least gain.
const LEAST_GAIN: f64 = 1.0;
const RESET_S: f64 = 120.0;
/// Lag of a burner, and of steam through a valve, s.
const BURNER_LAG_S: f64 = 5.0;
const STEAM_LAG_S: f64 = 15.0;
/// Gain times lag over the time in which the largest heat would make what is held out of nothing: half leaves 60 degrees of phase.
const GAIN_LAG_RATIO: f64 = 0.5;
/// Fastest that a boiler's water is warmed, K/s: 55 K an hour (common practice for drums).
const WARMING_K_S: f64 = 55.0 / 3600.0;
/// Specific heat of water, rounded, J/(kg K).
const WATER_J_KG_K: f64 = 4_300.0;
/// Largest heat over that of the largest duty.
const SPARE_RATIO: f64 = 1.05;
/// Loss of a hot boiler to the room, of its largest heat.
const LOSS_RATIO: f64 = 0.01;
/// Water freezes, K.
const FREEZING_K: f64 = 273.15;

/// Heat of an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Into water and metal, losses taken off, W.
    pub heat_w: f64,
    /// Steam blown in, kg/s; below zero: vented.
    pub steam_kg_s: f64,
    /// Its specific enthalpy, J/kg.
    pub steam_enthalpy_j_kg: f64,
}

/// The pressure control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatControl {
    kind: VesselKind,
    /// Pressure, Pa, or a tank's temperature over freezing, K, that is held.
    set: f64,
    largest_w: f64,
    least_ratio: f64,
    integral_ratio: f64,
    fired_ratio: f64,
    steam_enthalpy_j_kg: f64,
    gain_j_kg: f64,
    gain: f64,
    lag_s: f64,
    loss_w_k: f64,
    room_k: f64,
    /// Low fire until this pressure, Pa.
    low_fire_until_pa: Option<f64>,
    /// Fire until then.
    warming_ratio: f64,
    lit: bool,
}

impl HeatControl {
    /// In balance with a duty, of a vessel that holds this mass of water, kg; or without heat yet on a cold vessel.
    ///
    /// # Errors
    /// [`DynamicsError::Water`] for a duty whose water is out of range.
    pub fn at_rest(
        described: &Loop,
        duty: &Duty,
        mass_kg: f64,
        from_cold: bool,
    ) -> Result<Self, DynamicsError> {
        let kind = described.vessel.kind;
        let state = SaturatedWater::at_pressure_pa(duty.pressure.pa())?;
        let now_w = Balance::of(described, duty)?.heat_w;
        let (mut largest_w, mut least_w) = (now_w, now_w);
        for other in &described.duties {
            let heat_w = Balance::of(described, other)?.heat_w;
            largest_w = largest_w.max(heat_w);
            least_w = least_w.min(heat_w);
        }
        largest_w = (largest_w * SPARE_RATIO).max(0.0);
        let room_k = mean_ambient_k(described);
        let hot_k = saturation_temperature_k(duty.pressure.pa())?;
        let loss_w = if kind.is_fired() {
            LOSS_RATIO * largest_w
        } else {
            0.0
        };
        largest_w += loss_w;
        let of_largest = |heat_w: f64| {
            if largest_w > 0.0 {
                heat_w / largest_w
            } else {
                0.0
            }
        };
        let ratio = if kind == VesselKind::VentedTank {
            // What is too hot is not cooled.
            of_largest(now_w).max(0.0)
        } else {
            of_largest(now_w + loss_w)
        };
        let set = if kind.holds_steam() {
            duty.pressure.pa()
        } else {
            super::balance::stored_k(described)? - FREEZING_K
        };
        let lag_s = if kind.is_fired() {
            BURNER_LAG_S
        } else {
            STEAM_LAG_S
        };
        // p·dT/dp, or T − 0 degC of a tank.
        let set_k = if kind.holds_steam() {
            (saturation_temperature_k(1.01 * set)? - saturation_temperature_k(0.99 * set)?) / 0.02
        } else {
            set
        };
        let store_s = mass_kg * WATER_J_KG_K * set_k / largest_w.max(1.0);
        Ok(Self {
            kind,
            gain: (GAIN_LAG_RATIO * store_s / lag_s).clamp(LEAST_GAIN, LARGEST_GAIN),
            lag_s,
            set,
            largest_w,
            least_ratio: match kind {
                VesselKind::ShellBoiler | VesselKind::DrumBoiler => of_largest(least_w + loss_w),
                // Hot returns may bring more than is needed: a deaerator vents it.
                VesselKind::Deaerator => of_largest(least_w.min(0.0)),
                VesselKind::VentedTank => 0.0,
            },
            integral_ratio: if from_cold { 0.0 } else { ratio },
            fired_ratio: if from_cold { 0.0 } else { ratio },
            steam_enthalpy_j_kg: state.vapour_enthalpy_j_kg,
            gain_j_kg: state.evaporation_enthalpy_j_kg(),
            loss_w_k: loss_w / (hot_k - room_k).max(1.0),
            room_k,
            warming_ratio: of_largest(mass_kg * WATER_J_KG_K * WARMING_K_S)
                .min(of_largest(least_w + loss_w)),
            low_fire_until_pa: (from_cold && kind.is_fired())
                .then(|| described.pressures.lowest_sustained.pa()),
            lit: true,
        })
    }

    /// Stops or lets go.
    pub const fn let_go(&mut self, lit: bool) {
        self.lit = lit;
    }

    fn wanted_ratio(&mut self, view: &VesselView, duration_s: f64) -> f64 {
        if !self.lit {
            return 0.0;
        }
        if let Some(until_pa) = self.low_fire_until_pa {
            if view.pressure_pa < until_pa {
                return self.warming_ratio;
            }
            self.low_fire_until_pa = None;
            self.integral_ratio = self.least_ratio;
        }
        let found = if self.kind.holds_steam() {
            view.pressure_pa
        } else {
            view.water_temperature_k - FREEZING_K
        };
        let short = self.gain * (self.set - found) / self.set;
        // A burner cycles off above its low fire.
        let least = if self.kind.is_fired() && short < -1.0 {
            0.0
        } else {
            self.least_ratio
        };
        self.integral_ratio = (self.integral_ratio + short / RESET_S * duration_s)
            .clamp(self.least_ratio.min(0.0), 1.0);
        (self.integral_ratio + short).clamp(least, 1.0)
    }

    /// Goes on for a time.
    pub fn advance(&mut self, view: &VesselView, duration_s: f64) -> Heating {
        let wanted = self.wanted_ratio(view, duration_s);
        self.fired_ratio += -(-duration_s / self.lag_s).exp_m1() * (wanted - self.fired_ratio);
        let heat_w = self.fired_ratio * self.largest_w;
        let loss_w = self.loss_w_k * (view.water_temperature_k - self.room_k);
        match self.kind {
            VesselKind::Deaerator => Heating {
                heat_w: 0.0,
                // What condenses gives its heat of evaporation to the make-up.
                steam_kg_s: heat_w / self.gain_j_kg,
                steam_enthalpy_j_kg: self.steam_enthalpy_j_kg,
            },
            VesselKind::ShellBoiler | VesselKind::DrumBoiler | VesselKind::VentedTank => Heating {
                heat_w: heat_w - loss_w,
                steam_kg_s: 0.0,
                steam_enthalpy_j_kg: self.steam_enthalpy_j_kg,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{shell_boiler, vented_tank};
    use crate::quantity::TrueLevel;

    fn view(pressure_pa: f64, water_temperature_k: f64) -> VesselView {
        VesselView {
            pressure_pa,
            water_temperature_k,
            true_level: TrueLevel::from_m(0.25),
            mixture_surface_m: 0.25,
            is_boiling: true,
            void_ratio: 0.0,
            water_density_kg_m3: 880.0,
            vapour_density_kg_m3: 5.0,
            steam_enthalpy_j_kg: 2.78e6,
            mass_kg: 1e4,
            energy_j: 1e10,
            overflow_kg_s: 0.0,
        }
    }

    #[test]
    fn property_heating_is_in_balance_and_holds() {
        let mut tank = vented_tank();
        // Colder than what is stored.
        tank.duties[1].feed_temperature_k = 318.15;
        for (described, above) in [(shell_boiler(), 0.9), (tank, 0.9)] {
            let duty = &described.duties[1];
            let mut heat = HeatControl::at_rest(&described, duty, 1e4, false).unwrap();
            let (pressure_pa, stored_k) = (
                duty.pressure.pa(),
                described
                    .vessel
                    .water_temperature_k
                    .unwrap_or_else(|| saturation_temperature_k(duty.pressure.pa()).unwrap()),
            );
            let at_set = heat.advance(&view(pressure_pa, stored_k), 1.0).heat_w;
            let needed = Balance::of(&described, duty).unwrap().heat_w;
            assert!((at_set / needed - 1.0).abs() < 1e-9, "{at_set} {needed}");
            // Below the set point it gives more, off it gives nothing but loses.
            let cooler = view(
                above * pressure_pa,
                FREEZING_K + above * (stored_k - FREEZING_K),
            );
            for _ in 0..100 {
                heat.advance(&cooler, 1.0);
            }
            assert!(heat.advance(&cooler, 1.0).heat_w > needed);
            heat.let_go(false);
            for _ in 0..300 {
                heat.advance(&cooler, 1.0);
            }
            let off = heat.advance(&cooler, 1.0).heat_w;
            assert!(
                off <= 1e-3 * needed && off > -0.02 * heat.largest_w,
                "{off}"
            );
        }
        let described = shell_boiler();
        let mut cold = HeatControl::at_rest(&described, &described.duties[0], 1e4, true).unwrap();
        for _ in 0..200 {
            cold.advance(&view(1.1e5, 375.0), 1.0);
        }
        assert!((cold.fired_ratio / cold.warming_ratio - 1.0).abs() < 1e-3);
    }
}
