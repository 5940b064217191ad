//! Resistance of one copper conductor by gauge or cross section and temperature.
//!
//! | series | resistance | temperature |
//! |--------|------------|-------------|
//! | AWG 18 to 10 | NEC (NFPA 70) chapter 9 table 8, uncoated copper at 75 degC, direct current | the table's own note: R₂ = R₁·(1 + 0.00323·(t − 75)) |
//! | AWG 26 to 20 | from the diameter d = 0.127·92^((36 − n)/39) mm (ASTM B258) and 1/58 ohm·mm2/m at 20 degC | R = R₂₀·(234.5 + t)/254.5 |
//! | IEC 60228 | largest resistance at 20 degC of class 1 or 2, or 5 | R = R₂₀·(234.5 + t)/254.5 |
//!
//! The values of IEC 60228 and the stranded column of table 8 are from memory, not confirmed; the solid column agrees
//! with the diameter formula to its printed digits.

use super::error::{WiringError, not_negative, positive};
use crate::description::wiring::{CableRun, Conductor};

/// NEC chapter 9 table 8 at 75 degC: gauge, solid, stranded, ohm per 1000 ft.
#[expect(
    clippy::approx_constant,
    reason = "3.14 ohm per 1000 ft is a resistance, not the circle's number"
)]
const NEC_TABLE_8: [(u8, f64, f64); 5] = [
    (18, 7.77, 7.95),
    (16, 4.89, 4.99),
    (14, 3.07, 3.14),
    (12, 1.93, 1.98),
    (10, 1.21, 1.24),
];
/// Gauges thinner than table 8, computed from their diameter.
const COMPUTED_GAUGES: [u8; 4] = [26, 24, 22, 20];
/// Stranded over solid for the computed gauges: lay of the strands (common practice; table 8 has 1.02 to 1.03).
const STRANDING_RATIO: f64 = 1.03;
/// IEC 60228 at 20 degC, ohm/km: cross section mm2, class 1/2 plain, class 2 tinned, class 5 plain, class 5 tinned.
const IEC_60228: [(f64, [f64; 4]); 5] = [
    (0.5, [36.0, 36.7, 39.0, 40.1]),
    (0.75, [24.5, 24.8, 26.0, 26.7]),
    (1.0, [18.1, 18.2, 19.5, 20.0]),
    (1.5, [12.1, 12.2, 13.3, 13.7]),
    (2.5, [7.41, 7.56, 7.98, 8.21]),
];
/// Metres in 1000 ft.
const M_PER_KFT: f64 = 304.8;
/// 0 degC, K.
const ICE_K: f64 = 273.15;
/// Temperatures over which the linear formulas are taken, K: −60 to 150 degC.
const TEMPERATURES_K: (f64, f64) = (213.15, 423.15);

/// Resistance of one conductor, ohm/m.
///
/// **Checked by:** `published_nec_table_8`, `crosscheck_awg_from_diameter`, `published_iec_60228`,
/// `property_resistance_rises_with_temperature`.
///
/// # Errors
/// [`WiringError::UnknownGauge`], [`WiringError::UnknownArea`], [`WiringError::ConductorTemperature`],
/// [`WiringError::Negative`] for a stated resistance below zero.
pub fn resistance_ohm_per_m(conductor: Conductor, temperature_k: f64) -> Result<f64, WiringError> {
    let (lowest_k, highest_k) = TEMPERATURES_K;
    if !(lowest_k..=highest_k).contains(&temperature_k) {
        return Err(WiringError::ConductorTemperature {
            temperature_k,
            lowest_k,
            highest_k,
        });
    }
    let celsius = temperature_k - ICE_K;
    let from_20 = (234.5 + celsius) / 254.5;
    match conductor {
        Conductor::Awg { gauge, stranded } => {
            if let Some((_, solid, laid)) = NEC_TABLE_8.iter().find(|row| row.0 == gauge) {
                let at_75 = if stranded { laid } else { solid } / M_PER_KFT;
                return Ok(at_75 * (1.0 + 0.003_23 * (celsius - 75.0)));
            }
            if COMPUTED_GAUGES.contains(&gauge) {
                let ratio = if stranded { STRANDING_RATIO } else { 1.0 };
                return Ok(solid_awg_ohm_per_m_at_20(gauge) * ratio * from_20);
            }
            Err(WiringError::UnknownGauge {
                gauge,
                known: "26, 24, 22, 20, 18, 16, 14, 12, 10".into(),
            })
        }
        Conductor::Metric {
            area_mm2,
            flexible,
            tinned,
        } => {
            let column = usize::from(tinned) + 2 * usize::from(flexible);
            IEC_60228
                .iter()
                .find(|(known, _)| (known - area_mm2).abs() < 1e-9)
                .map(|(_, columns)| columns[column] / 1000.0 * from_20)
                .ok_or(WiringError::UnknownArea {
                    area_mm2,
                    known: "0.5, 0.75, 1, 1.5, 2.5 mm2".into(),
                })
        }
        Conductor::Stated { ohm_per_m } => {
            Ok(positive("stated conductor resistance", ohm_per_m, "ohm/m")? * from_20)
        }
    }
}

/// Solid gauge from its diameter, ohm/m at 20 degC.
fn solid_awg_ohm_per_m_at_20(gauge: u8) -> f64 {
    let diameter_mm = 0.127 * 92.0_f64.powf((36.0 - f64::from(gauge)) / 39.0);
    let area_mm2 = std::f64::consts::PI / 4.0 * diameter_mm * diameter_mm;
    1.0 / 58.0 / area_mm2
}

/// Both conductors of a run at its highest temperature, ohm.
pub(super) fn both_wires_ohm(cable: &CableRun) -> Result<f64, WiringError> {
    let length_m = not_negative("cable length", cable.length_m, "m")?;
    Ok(2.0 * length_m * resistance_ohm_per_m(cable.conductor, cable.temperature_k)?)
}

/// A conductor in words.
pub fn words(conductor: Conductor) -> String {
    match conductor {
        Conductor::Awg { gauge, stranded } => {
            let make = if stranded { "stranded" } else { "solid" };
            format!("{gauge} AWG {make}")
        }
        Conductor::Metric {
            area_mm2,
            flexible,
            tinned,
        } => {
            let class = if flexible { "class 5" } else { "class 2" };
            let coat = if tinned { ", tinned" } else { "" };
            format!("{area_mm2} mm2 {class}{coat}")
        }
        Conductor::Stated { ohm_per_m } => {
            format!("conductor of {:.3} ohm/km at 20 degC", 1000.0 * ohm_per_m)
        }
    }
}

/// Conductors to compare the surveyed one with: the same series, thin to thick.
pub(super) fn neighbours(conductor: Conductor) -> Vec<Conductor> {
    match conductor {
        Conductor::Awg { stranded, .. } => [22, 20, 18, 16, 14]
            .into_iter()
            .map(|gauge| Conductor::Awg { gauge, stranded })
            .collect(),
        Conductor::Metric {
            flexible, tinned, ..
        } => IEC_60228
            .into_iter()
            .map(|(area_mm2, _)| Conductor::Metric {
                area_mm2,
                flexible,
                tinned,
            })
            .collect(),
        Conductor::Stated { .. } => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn awg(gauge: u8, stranded: bool, celsius: f64) -> f64 {
        let conductor = Conductor::Awg { gauge, stranded };
        resistance_ohm_per_m(conductor, celsius + ICE_K).unwrap()
    }

    /// NEC (NFPA 70) chapter 9 table 8, uncoated copper, 75 degC, ohm/kft; the stranded column is from memory, not
    /// confirmed. The solid column is recomputed here from the diameter with 1.7241e-8 ohm m at 20 degC.
    #[test]
    fn published_nec_table_8() {
        for (gauge, solid, stranded) in NEC_TABLE_8 {
            assert!((awg(gauge, false, 75.0) * M_PER_KFT - solid).abs() < 0.005);
            assert!((awg(gauge, true, 75.0) * M_PER_KFT - stranded).abs() < 0.005);
            let computed = solid_awg_ohm_per_m_at_20(gauge) * M_PER_KFT * (234.5 + 75.0) / 254.5;
            assert!(
                (computed / solid - 1.0).abs() < 0.005,
                "{gauge}: {computed}"
            );
        }
    }

    /// ohm/kft at 20 degC from d = 0.127 x 92^((36-n)/39) mm and 1/58 ohm mm2/m, computed apart: 20 AWG 10.153,
    /// 22 AWG 16.143 (33.31 and 52.96 ohm/km); 18, 16, 14, 12: 6.385, 4.016, 2.525, 1.588.
    #[test]
    fn crosscheck_awg_from_diameter() {
        for (gauge, ohm_per_kft) in [
            (22, 16.143),
            (20, 10.153),
            (18, 6.385),
            (16, 4.016),
            (14, 2.525),
            (12, 1.588),
        ] {
            let computed = solid_awg_ohm_per_m_at_20(gauge) * M_PER_KFT;
            assert!((computed - ohm_per_kft).abs() < 6e-4, "{gauge}: {computed}");
        }
        assert!((awg(20, false, 20.0) * 1000.0 - 33.31).abs() < 0.005);
        assert!((awg(22, false, 20.0) * 1000.0 - 52.96).abs() < 0.005);
    }

    /// IEC 60228 largest resistance at 20 degC; value from memory, not confirmed.
    #[test]
    fn published_iec_60228() {
        for (area_mm2, flexible, tinned, ohm_per_km) in [
            (1.5, false, false, 12.1),
            (2.5, false, true, 7.56),
            (0.75, true, false, 26.0),
            (1.0, true, true, 20.0),
        ] {
            let conductor = Conductor::Metric {
                area_mm2,
                flexible,
                tinned,
            };
            let computed = 1000.0 * resistance_ohm_per_m(conductor, ICE_K + 20.0).unwrap();
            assert!((computed - ohm_per_km).abs() < 1e-9, "{conductor:?}");
            let hot = 1000.0 * resistance_ohm_per_m(conductor, ICE_K + 70.0).unwrap();
            assert!((hot / ohm_per_km - 304.5 / 254.5).abs() < 1e-9);
        }
    }

    #[test]
    fn property_unknown_sizes_list_the_known() {
        let gauge = Conductor::Awg {
            gauge: 19,
            stranded: false,
        };
        let error = resistance_ohm_per_m(gauge, 300.0).unwrap_err().to_string();
        assert!(
            error.contains("19 AWG") && error.contains("18, 16"),
            "{error}"
        );
        let area = Conductor::Metric {
            area_mm2: 1.3,
            flexible: false,
            tinned: false,
        };
        let error = resistance_ohm_per_m(area, 300.0).unwrap_err().to_string();
        assert!(
            error.contains("1.3 mm2") && error.contains("1.5"),
            "{error}"
        );
        for temperature_k in [f64::NAN, 100.0, 500.0] {
            assert!(matches!(
                resistance_ohm_per_m(Conductor::Stated { ohm_per_m: 0.02 }, temperature_k),
                Err(WiringError::ConductorTemperature { .. })
            ));
        }
    }

    proptest! {
        #[test]
        fn property_resistance_rises_with_temperature(celsius in -50.0_f64..140.0, step in 1.0_f64..10.0) {
            for conductor in [
                Conductor::Awg { gauge: 18, stranded: true },
                Conductor::Awg { gauge: 22, stranded: false },
                Conductor::Metric { area_mm2: 1.5, flexible: false, tinned: false },
                Conductor::Stated { ohm_per_m: 0.02 },
            ] {
                let cold = resistance_ohm_per_m(conductor, celsius + ICE_K).unwrap();
                let warm = resistance_ohm_per_m(conductor, celsius + step + ICE_K).unwrap();
                // Copper: 0.39 %/K at 20 degC, between 0.2 and 0.6 %/K over this band.
                let per_k = (warm / cold - 1.0) / step;
                prop_assert!(per_k > 0.002 && per_k < 0.006, "{conductor:?} {per_k}");
            }
        }
    }
}
