//! What the drop does to the water: cavitation, flashing, how much steam is left after the valve.
//!
//! **Source:** IEC 60534-8-4:2015 for xF and xFz, ISA-RP75.23 for σ, IEC 60534-2-1 for the choked drop; isenthalpic expansion for flashing.

use super::sheets::Cavitation;
use crate::water::{
    SaturatedWater, WaterError, compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg,
};
use std::f64::consts::PI;

/// N34 for Kv.
const N34: f64 = 1.0;
/// Inlet pressure that xFz is stated for, Pa.
const REFERENCE_INLET_PA: f64 = 6e5;
/// Bubbles all the time from this share of the choked ratio on. Common practice; the flow departs from √ΔP there.
const DEVELOPED_SHARE: f64 = 0.8;

/// σ = (P1 − Pv)/(P1 − P2); `None` without a drop.
///
/// **Source:** ISA-RP75.23. **Checked by:** `published_sigma`.
#[must_use]
pub fn sigma(inlet_pa: f64, outlet_pa: f64, vapour_pressure_pa: f64) -> Option<f64> {
    (inlet_pa > outlet_pa).then(|| (inlet_pa - vapour_pressure_pa) / (inlet_pa - outlet_pa))
}

/// xF = (P1 − P2)/(P1 − Pv).
///
/// **Source:** IEC 60534-8-4:2015, equation 1.
#[must_use]
pub fn pressure_ratio(inlet_pa: f64, outlet_pa: f64, vapour_pressure_pa: f64) -> f64 {
    (inlet_pa - outlet_pa) / (inlet_pa - vapour_pressure_pa)
}

/// xFz, ratio at which cavitation is first heard, at an inlet pressure of 6 bar.
///
/// ```text
/// xFz = 0.90/√(1 + 3·Fd·√(C/(N34·FL)))
/// ```
///
/// **Source:** IEC 60534-8-4:2015, equation 3a. **Departures:** drilled cages use it too: the standard's equation for them wants the hole's
/// diameter, which the survey does not hold.
/// **Checked by:** `published_incipient_ratio`.
#[must_use]
pub fn incipient_ratio(kv_m3_h: f64, recovery_factor: f64, style_modifier: f64) -> f64 {
    0.90 / (1.0 + 3.0 * style_modifier * (kv_m3_h / (N34 * recovery_factor)).sqrt()).sqrt()
}

/// xFzp1, the same at the inlet pressure there is: xFz·(6·10⁵/P1)^0.125.
///
/// **Source:** IEC 60534-8-4:2015, equation 4. **Checked by:** `property_correction_is_one_at_six_bar`.
#[must_use]
pub fn incipient_ratio_at(incipient_ratio: f64, inlet_pa: f64) -> f64 {
    incipient_ratio * (REFERENCE_INLET_PA / inlet_pa).powf(0.125)
}

/// A valve at a duty, for [`cavitation`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throttling {
    /// P1, absolute, Pa.
    pub inlet_pressure_pa: f64,
    /// P2, absolute, Pa.
    pub outlet_pressure_pa: f64,
    /// Pv, Pa.
    pub vapour_pressure_pa: f64,
    /// Drop at which the flow chokes, Pa.
    pub choked_drop_pa: f64,
    /// xFz at this inlet pressure, from [`incipient_ratio_at`].
    pub incipient_pressure_ratio: f64,
}

/// What the drop does to the water.
///
/// Flashing: P2 < Pv. Severe: ΔP at or above the choked drop. Developed: from 0.8 of the choked drop (common practice; a maker's own limit
/// goes before it). Incipient: xF at or above xFz. Each is asked in this order, so that a valve that chokes before it is heard counts as severe.
///
/// **Source:** IEC 60534-2-1, IEC 60534-8-4; the limit of developed cavitation: common practice.
/// **Checked by:** `practice_classes_in_their_order`, `property_class_never_falls_with_drop`.
#[must_use]
pub fn cavitation(at: &Throttling) -> Cavitation {
    let drop_pa = at.inlet_pressure_pa - at.outlet_pressure_pa;
    let ratio = pressure_ratio(
        at.inlet_pressure_pa,
        at.outlet_pressure_pa,
        at.vapour_pressure_pa,
    );
    if !(drop_pa > 0.0) {
        Cavitation::None
    } else if at.outlet_pressure_pa < at.vapour_pressure_pa {
        Cavitation::Flashing
    } else if drop_pa >= at.choked_drop_pa {
        Cavitation::Severe
    } else if drop_pa >= DEVELOPED_SHARE * at.choked_drop_pa {
        Cavitation::Developed
    } else if ratio >= at.incipient_pressure_ratio {
        Cavitation::Incipient
    } else {
        Cavitation::None
    }
}

/// What a class of cavitation will do, as a sentence.
#[must_use]
pub fn consequence(class: Cavitation) -> &'static str {
    match class {
        Cavitation::None => "No vapour forms in the valve.",
        Cavitation::Incipient => {
            "Bubbles begin to form and collapse: a hiss or crackle may be heard; hardened trim is seldom harmed."
        }
        Cavitation::Developed => {
            "Bubbles form and collapse all the time: noise, vibration and pitting of soft trim; ask the maker for hardened or staged trim, or lower the drop."
        }
        Cavitation::Severe => {
            "The flow is choked by vapour that collapses after the valve: run continuously, trim and body are destroyed in weeks or months, and more drop gives no more flow; lower the drop, raise the back pressure or use staged trim."
        }
        Cavitation::Flashing => {
            "The pressure after the valve lies under the vapour pressure: the steam stays, no size or trim cures it; hardened trim, a larger pipe after the valve, or the valve at the vessel."
        }
    }
}

/// Water after the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AfterValve {
    /// Mass fraction of steam.
    pub steam_ratio: f64,
    /// Density of liquid and steam moving together, kg/m3.
    pub mixture_density_kg_m3: f64,
}

/// Steam and density after the valve, at constant enthalpy.
///
/// ```text
/// x = (h1 − h')/(h" − h')      1/ρm = x/ρ" + (1 − x)/ρ'
/// ```
///
/// **Source:** first law for a throttle, steam and water in equilibrium and at one velocity.
/// **Departures:** without steam the density is that before the valve.
/// **Checked by:** `published_flash_from_10_to_1_bar`, `property_steam_rises_as_the_outlet_falls`.
///
/// # Errors
/// [`WaterError`] when the water before the valve would boil or a pressure lies outside the steam tables.
pub fn after_valve(
    temperature_k: f64,
    inlet_pa: f64,
    outlet_pa: f64,
) -> Result<AfterValve, WaterError> {
    let enthalpy_j_kg = compressed_water_enthalpy_j_kg(temperature_k, inlet_pa)?;
    let boiling = SaturatedWater::at_pressure_pa(outlet_pa)?;
    let steam_ratio =
        (enthalpy_j_kg - boiling.liquid_enthalpy_j_kg) / boiling.evaporation_enthalpy_j_kg();
    if steam_ratio > 0.0 {
        let volume = steam_ratio / boiling.vapour_density_kg_m3
            + (1.0 - steam_ratio) / boiling.liquid_density_kg_m3;
        return Ok(AfterValve {
            steam_ratio,
            mixture_density_kg_m3: volume.recip(),
        });
    }
    Ok(AfterValve {
        steam_ratio: 0.0,
        mixture_density_kg_m3: compressed_water_density_kg_m3(temperature_k, inlet_pa)?,
    })
}

/// Mean velocity in a round bore, m/s.
///
/// ```text
/// w = m/(ρ·π·D²/4)
/// ```
#[must_use]
pub fn velocity_m_s(flow_kg_s: f64, density_kg_m3: f64, diameter_m: f64) -> f64 {
    4.0 * flow_kg_s / (PI * density_kg_m3 * diameter_m * diameter_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feedwater::sizing::kv_m3_h_from_cv;
    use crate::water::saturation_temperature_k;
    use proptest::prelude::*;

    fn near(found: f64, expected: f64, relative: f64) {
        assert!(
            (found / expected - 1.0).abs() <= relative,
            "{found}, expected {expected}"
        );
    }

    // ISA-RP75.23 definition; the numbers as in the tests of fluids 1.3.1.
    #[test]
    fn published_sigma() {
        near(sigma(1e6, 0.8e6, 0.2e6).unwrap(), 4.0, 1e-12);
        near(pressure_ratio(1e6, 0.8e6, 0.2e6), 0.25, 1e-12);
        assert_eq!(sigma(1e6, 1e6, 0.2e6), None);
    }

    // IEC 60534-8-4, the examples' valve: Cv 90, FL 0.92, Fd 0.42 has xFz 0.25434. The standard's N34 is 1.17 for Cv and 1.0 for Kv, rounded.
    #[test]
    fn published_incipient_ratio() {
        near(incipient_ratio(90.0 / 1.17, 0.92, 0.42), 0.254_34, 2e-5);
        near(
            incipient_ratio(kv_m3_h_from_cv(90.0), 0.92, 0.42),
            0.254_34,
            0.003,
        );
    }

    // Steam tables after IAPWS-IF97: h' at 10 bar 762.68, at 1 bar h' 417.44, evaporation 2257.5 kJ/kg; volumes 1.0432e-3 and 1.6940 m3/kg.
    #[test]
    fn published_flash_from_10_to_1_bar() {
        let temperature_k = saturation_temperature_k(1e6).unwrap();
        let after = after_valve(temperature_k, 1.0001e6, 1e5).unwrap();
        let steam = (762.68 - 417.44) / 2257.5;
        near(after.steam_ratio, steam, 5e-5);
        near(
            after.mixture_density_kg_m3.recip(),
            steam * 1.6940 + (1.0 - steam) * 1.0432e-3,
            1e-4,
        );
        // 1 kg/s of it in a bore of 100 mm.
        near(
            velocity_m_s(1.0, after.mixture_density_kg_m3, 0.1),
            0.259_95 / 7.853_98e-3,
            1e-3,
        );
    }

    // 10 bar, 100 °C (Pv 1.014 bar): FL 0.9 chokes at 7.35 bar.
    #[test]
    fn practice_classes_in_their_order() {
        let at = |outlet_pressure_pa: f64| {
            cavitation(&Throttling {
                inlet_pressure_pa: 1e6,
                outlet_pressure_pa,
                vapour_pressure_pa: 1.014e5,
                choked_drop_pa: 7.35e5,
                incipient_pressure_ratio: 0.4,
            })
        };
        for (outlet_pa, expected) in [
            (1.1e6, Cavitation::None),
            (1e6, Cavitation::None),
            (0.7e6, Cavitation::None),
            (0.6e6, Cavitation::Incipient),
            (0.4e6, Cavitation::Developed),
            (0.25e6, Cavitation::Severe),
            (1.02e5, Cavitation::Severe),
            (1.0e5, Cavitation::Flashing),
        ] {
            assert_eq!(at(outlet_pa), expected, "{outlet_pa}");
            assert!(consequence(at(outlet_pa)).ends_with('.'));
        }
    }

    proptest! {
        #[test]
        fn property_class_never_falls_with_drop(
            vapour in 0.0..0.9_f64, outlet in 0.0..1.0_f64, less in 0.0..1.0_f64, choke in 0.2..0.95_f64, heard in 0.1..0.9_f64,
        ) {
            let at = |outlet: f64| cavitation(&Throttling {
                inlet_pressure_pa: 1e6,
                outlet_pressure_pa: 1e6 * outlet,
                vapour_pressure_pa: 1e6 * vapour,
                choked_drop_pa: 1e6 * choke,
                incipient_pressure_ratio: heard,
            });
            prop_assert!(at(outlet * less) >= at(outlet));
        }

        #[test]
        fn property_steam_rises_as_the_outlet_falls(temperature_k in 380.0..440.0_f64, outlet in 0.02..1.0_f64, less in 0.5..0.99_f64) {
            let outlet_pa = 1e6 * outlet;
            let (at, beyond) = (
                after_valve(temperature_k, 1.2e6, outlet_pa)?,
                after_valve(temperature_k, 1.2e6, less * outlet_pa)?,
            );
            prop_assert!(beyond.steam_ratio >= at.steam_ratio && at.steam_ratio >= 0.0 && at.steam_ratio < 1.0);
            prop_assert!(beyond.mixture_density_kg_m3 <= at.mixture_density_kg_m3);
        }

        #[test]
        fn property_correction_is_one_at_six_bar(ratio in 0.1..0.9_f64, inlet_pa in 6.1e5..1e7_f64) {
            prop_assert!((incipient_ratio_at(ratio, 6e5) - ratio).abs() < 1e-12);
            prop_assert!(incipient_ratio_at(ratio, inlet_pa) < ratio);
        }
    }
}
