//! Coefficients of the drum boiler's balances: mean void in the risers, circulation, and the four equations' factors.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | ρw, ρs, hw, hs, ts | boiling water and dry steam; a prime is d/dp along the saturation line | kg/m3, J/kg, K |
//! | αr | mass fraction of steam at the risers' outlet | 1 |
//! | ᾱv | mean volume fraction of steam in the risers | 1 |
//! | η | αr·(ρw − ρs)/ρs | 1 |
//! | hc | hs − hw | J/kg |
//!
//! **Source:** Åström & Bell, "Drum-boiler dynamics", Automatica 36 (2000) 363-378, doi 10.1016/S0005-1098(99)00171-5.
//! **Departures:** series in η where the closed forms cancel.
//! **Checked by:** `crosscheck_coefficients`, `property_void_slopes_are_those_of_the_void`.

use super::{DrumParameters, DrumState};
use crate::water::Saturation;

/// Below this η the closed forms lose digits to cancellation.
const SMALL_ETA: f64 = 1e-4;

/// Mean void in the risers with its slopes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Void {
    /// ᾱv, volume fraction, 0 to 1.
    pub mean: f64,
    /// ∂ᾱv/∂αr, 1.
    pub per_quality: f64,
    /// ∂ᾱv/∂p at constant αr, 1/Pa.
    pub per_pa: f64,
}

impl Void {
    /// For steam whose mass fraction rises linearly from nothing at the risers' foot to `quality` at their outlet.
    ///
    /// ```text
    /// ᾱv = ρw/(ρw − ρs)·[1 − ln(1 + η)/η]
    /// ```
    pub fn of(water: &Saturation, quality: f64) -> Self {
        let (rw, rs) = (water.at.liquid_density_kg_m3, water.at.vapour_density_kg_m3);
        let (rw_p, rs_p) = (
            water.slope.liquid_density_kg_m3,
            water.slope.vapour_density_kg_m3,
        );
        let difference = rw - rs;
        let eta = quality * difference / rs;
        // [ln(1 + η)/η, (1 − ln(1 + η)/η)/η, (ln(1 + η)/η − 1/(1 + η))/η]
        let (log_ratio, lack, fall) = if eta < SMALL_ETA {
            (
                1.0 - eta * (1.0 / 2.0 - eta * (1.0 / 3.0 - eta / 4.0)),
                1.0 / 2.0 - eta * (1.0 / 3.0 - eta / 4.0),
                1.0 / 2.0 - eta * (2.0 / 3.0 - eta * 3.0 / 4.0),
            )
        } else {
            let log_ratio = eta.ln_1p() / eta;
            (
                log_ratio,
                (1.0 - log_ratio) / eta,
                (log_ratio - 1.0 / (1.0 + eta)) / eta,
            )
        };
        Self {
            mean: rw / difference * eta * lack,
            per_quality: rw / rs * fall,
            per_pa: (rw * rs_p - rs * rw_p) / difference.powi(2)
                * (1.0 + rw / rs / (1.0 + eta) - (1.0 + rw / rs) * log_ratio),
        }
    }
}

/// Flow through the downcomers that the lighter risers drive, kg/s: ½·k·q² = ρw·A_dc·(ρw − ρs)·g·ᾱv·V_r.
pub fn circulation_kg_s(parameters: &DrumParameters, water: &Saturation, void: &Void) -> f64 {
    let (rw, rs) = (water.at.liquid_density_kg_m3, water.at.vapour_density_kg_m3);
    let drive = rw
        * parameters.downcomer_area_m2
        * (rw - rs)
        * parameters.gravity_m_s2
        * void.mean
        * parameters.riser_volume_m3;
    (2.0 * drive / parameters.friction).sqrt()
}

/// Factors of the four balances
///
/// ```text
/// e11·V̇wt + e12·ṗ = net mass flow               e32·ṗ + e33·α̇r = Q − αr·hc·q_dc
/// e21·V̇wt + e22·ṗ = net energy flow             e42·ṗ + e43·α̇r + e44·V̇sd = steam into the drum's water − out of it
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficients {
    /// kg/m3.
    pub e11: f64,
    /// kg/Pa.
    pub e12: f64,
    /// J/m3.
    pub e21: f64,
    /// J/Pa.
    pub e22: f64,
    /// J/Pa.
    pub e32: f64,
    /// J.
    pub e33: f64,
    /// kg/Pa.
    pub e42: f64,
    /// kg.
    pub e43: f64,
    /// kg/m3.
    pub e44: f64,
}

impl Coefficients {
    /// At a state.
    pub fn of(
        parameters: &DrumParameters,
        state: &DrumState,
        water: &Saturation,
        void: &Void,
    ) -> Self {
        let (at, slope) = (&water.at, &water.slope);
        let (rw, rs) = (at.liquid_density_kg_m3, at.vapour_density_kg_m3);
        let (hw, hs) = (at.liquid_enthalpy_j_kg, at.vapour_enthalpy_j_kg);
        let (rw_p, rs_p) = (slope.liquid_density_kg_m3, slope.vapour_density_kg_m3);
        let (hw_p, hs_p) = (slope.liquid_enthalpy_j_kg, slope.vapour_enthalpy_j_kg);
        let hc = hs - hw;
        let alpha = state.quality;
        let metal_per_pa = parameters.metal_heat_capacity_j_kg_k * slope.temperature_k;
        let (v_wt, v_r) = (state.water_m3, parameters.riser_volume_m3);
        let v_t = parameters.total_volume_m3();
        let v_st = v_t - v_wt;
        let v_sd = state.drum_steam_m3;
        let v_wd = parameters.drum_water_m3(state, void);
        // d/dp of the density in the risers at constant αr.
        let riser_density_p = void.mean * rs_p + (1.0 - void.mean) * rw_p + (rs - rw) * void.per_pa;
        let steam_share = 1.0 + parameters.beta;
        Self {
            e11: rw - rs,
            e12: v_wt * rw_p + v_st * rs_p,
            e21: rw * hw - rs * hs,
            e22: v_wt * (hw * rw_p + rw * hw_p) + v_st * (hs * rs_p + rs * hs_p) - v_t
                + parameters.total_metal_kg * metal_per_pa,
            e32: (rw * hw_p - alpha * hc * rw_p) * (1.0 - void.mean) * v_r
                + ((1.0 - alpha) * hc * rs_p + rs * hs_p) * void.mean * v_r
                + (rs + (rw - rs) * alpha) * hc * v_r * void.per_pa
                - v_r
                + parameters.riser_metal_kg * metal_per_pa,
            e33: ((1.0 - alpha) * rs + alpha * rw) * hc * v_r * void.per_quality,
            e42: v_sd * rs_p
                + (rs * v_sd * hs_p + rw * v_wd * hw_p - v_sd - v_wd
                    + parameters.drum_metal_kg * metal_per_pa)
                    / hc
                + alpha * steam_share * v_r * riser_density_p,
            e43: alpha * steam_share * (rs - rw) * v_r * void.per_quality,
            e44: rs,
        }
    }
}
