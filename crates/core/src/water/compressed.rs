//! Compressed water: the legs, which are cooler than the vessel but at its pressure.

use super::error::{WaterError, check_pressure, check_temperature};
use super::if97::{self, Region};

const DENSITY: &str = "density of compressed water";
const ENTHALPY: &str = "enthalpy of compressed water";
const SOUND_SPEED: &str = "speed of sound in compressed water";

/// Slack on the saturation line, K, so that water "at saturation" passes after rounding in unit
/// conversions; far below the 1 mK consistency of the formulation itself.
const SATURATION_SLACK_K: f64 = 1e-6;

/// Nodes and weights of the five-point Gauss-Legendre rule on 0 to 1 (Abramowitz and Stegun,
/// table 25.4, mapped from -1 to 1).
const GAUSS_LEGENDRE_5: [(f64, f64); 5] = [
    (0.046_910_077_030_668_0, 0.118_463_442_528_094_54),
    (0.230_765_344_947_158_45, 0.239_314_335_249_683_23),
    (0.5, 0.284_444_444_444_444_44),
    (0.769_234_655_052_841_5, 0.239_314_335_249_683_23),
    (0.953_089_922_969_332, 0.118_463_442_528_094_54),
];

/// Refuses a state that is not liquid water of region 1; NaN too.
pub(super) fn check_liquid(
    property: &'static str,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<(), WaterError> {
    check_temperature(
        property,
        temperature_k,
        if97::MINIMUM_TEMPERATURE_K,
        if97::REGION_1_MAXIMUM_TEMPERATURE_K,
    )?;
    check_pressure(
        property,
        pressure_pa,
        if97::MINIMUM_SATURATION_PRESSURE_PA,
        if97::REGION_1_MAXIMUM_PRESSURE_PA,
    )?;
    if pressure_pa >= if97::REGION_3_MINIMUM_PRESSURE_PA {
        return Ok(()); // saturation lies at or above the upper limit of region 1
    }
    let saturation_temperature_k = if97::saturation_temperature(property, pressure_pa)?;
    if temperature_k > saturation_temperature_k + SATURATION_SLACK_K {
        return Err(WaterError::AboveSaturation {
            property,
            temperature_k,
            pressure_pa,
            saturation_temperature_k,
        });
    }
    Ok(())
}

/// Density of liquid water at a temperature and pressure.
///
/// | name            | unit         | range                                 |
/// |-----------------|--------------|---------------------------------------|
/// | `temperature_k` | K            | 273.15 to saturation, at most 623.15  |
/// | `pressure_pa`   | Pa, absolute | 611.213 to 100e6                      |
///
/// **Source:** IAPWS R7-97(2012) eq. 7 (region 1). **Departures:** none.
/// **Checked by:** `published_table_5_region_1`, `crosscheck_cold_water_density`.
///
/// # Errors
/// [`WaterError::AboveSaturation`] when the water would boil; [`WaterError::TemperatureOutOfRange`]
/// or [`WaterError::PressureOutOfRange`] outside region 1, or for NaN.
pub fn compressed_water_density_kg_m3(
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    check_liquid(DENSITY, temperature_k, pressure_pa)?;
    if97::density(DENSITY, Region::Liquid, temperature_k, pressure_pa)
}

/// Specific enthalpy of liquid water at a temperature and pressure, J/kg.
///
/// Range and source as for [`compressed_water_density_kg_m3`].
/// **Checked by:** `published_table_5_region_1`.
///
/// # Errors
/// As for [`compressed_water_density_kg_m3`].
pub fn compressed_water_enthalpy_j_kg(
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    check_liquid(ENTHALPY, temperature_k, pressure_pa)?;
    if97::enthalpy(ENTHALPY, Region::Liquid, temperature_k, pressure_pa)
}

/// Speed of sound in liquid water at a temperature and pressure, m/s.
///
/// Range and source as for [`compressed_water_density_kg_m3`].
/// **Checked by:** `published_speed_of_sound`.
///
/// # Errors
/// As for [`compressed_water_density_kg_m3`].
pub fn compressed_water_sound_speed_m_s(
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    check_liquid(SOUND_SPEED, temperature_k, pressure_pa)?;
    if97::sound_speed(SOUND_SPEED, Region::Liquid, temperature_k, pressure_pa)
}

/// Liquid water at one pressure, its saturation temperature known: for many temperatures without asking for saturation
/// each time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SubcooledWater {
    pressure_pa: f64,
    saturation_k: f64,
}

impl SubcooledWater {
    /// At a pressure whose saturation temperature the caller has from [`super::saturation_temperature_k`].
    ///
    /// # Errors
    /// [`WaterError::PressureOutOfRange`] outside region 1, or for NaN.
    pub fn at(pressure_pa: f64, saturation_k: f64) -> Result<Self, WaterError> {
        check_pressure(
            DENSITY,
            pressure_pa,
            if97::MINIMUM_SATURATION_PRESSURE_PA,
            if97::REGION_1_MAXIMUM_PRESSURE_PA,
        )?;
        Ok(Self {
            pressure_pa,
            saturation_k,
        })
    }

    fn check(&self, temperature_k: f64) -> Result<(), WaterError> {
        check_temperature(
            DENSITY,
            temperature_k,
            if97::MINIMUM_TEMPERATURE_K,
            if97::REGION_1_MAXIMUM_TEMPERATURE_K,
        )?;
        if temperature_k > self.saturation_k + SATURATION_SLACK_K {
            return Err(WaterError::AboveSaturation {
                property: DENSITY,
                temperature_k,
                pressure_pa: self.pressure_pa,
                saturation_temperature_k: self.saturation_k,
            });
        }
        Ok(())
    }

    fn unchecked(&self, temperature_k: f64) -> Result<f64, WaterError> {
        if97::density(DENSITY, Region::Liquid, temperature_k, self.pressure_pa)
    }

    /// Its density at a temperature, kg/m3; see [`compressed_water_density_kg_m3`].
    ///
    /// # Errors
    /// As for [`compressed_water_density_kg_m3`].
    pub fn density_kg_m3(&self, temperature_k: f64) -> Result<f64, WaterError> {
        self.check(temperature_k)?;
        self.unchecked(temperature_k)
    }

    /// Mean density of a column whose temperature runs linearly from top to bottom, kg/m3.
    ///
    /// ```text
    /// ρm = ∫₀¹ ρ(Tb + x·(Tt − Tb), p) dx
    /// ```
    ///
    /// | symbol | name            | unit         | range                                |
    /// |--------|-----------------|--------------|--------------------------------------|
    /// | Tt     | `t_top_k`       | K            | 273.15 to saturation, at most 623.15 |
    /// | Tb     | `t_bottom_k`    | K            | 273.15 to saturation, at most 623.15 |
    /// | p      | pressure        | Pa, absolute | 611.213 to 100e6                     |
    ///
    /// **Source:** hydrostatics; five-point Gauss-Legendre quadrature, within 1e-7 relative for ends
    /// up to 150 K apart, 5e-6 for the widest leg there is. **Departures:** the column's own weight does not count
    /// towards p (10 m add 5e-5 relative).
    /// **Checked by:** `property_mean_density_converges`.
    ///
    /// # Errors
    /// As for [`compressed_water_density_kg_m3`], for either end.
    pub fn mean_density_kg_m3(&self, t_top_k: f64, t_bottom_k: f64) -> Result<f64, WaterError> {
        self.check(t_top_k)?;
        if (t_top_k - t_bottom_k).abs() <= 0.0 {
            return self.unchecked(t_top_k);
        }
        self.check(t_bottom_k)?;
        let mut mean = 0.0;
        for (x, weight) in GAUSS_LEGENDRE_5 {
            mean += weight * self.unchecked(t_bottom_k + x * (t_top_k - t_bottom_k))?;
        }
        Ok(mean)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::water::{saturated_densities, saturation_temperature_k};
    use proptest::prelude::*;

    const PA_PER_PSI: f64 = 6_894.757_293_168;
    const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;
    const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;

    fn mean_compressed_water_density_kg_m3(
        t_top_k: f64,
        t_bottom_k: f64,
        pressure_pa: f64,
    ) -> Result<f64, WaterError> {
        let saturation_k = saturation_temperature_k(pressure_pa)?;
        SubcooledWater::at(pressure_pa, saturation_k)?.mean_density_kg_m3(t_top_k, t_bottom_k)
    }

    /// CoolProp 8.0.0, IAPWS-95, liquid at 101 325 Pa; the industrial formulation departs from it
    /// by up to 3.1e-5.
    // IAPWS R7-97(2012), table 5, row w.
    #[test]
    fn published_speed_of_sound() {
        for (temperature_k, pressure_pa, printed) in [
            (300.0, 3e6, 0.150_773_921e4),
            (300.0, 80e6, 0.163_469_054e4),
            (500.0, 3e6, 0.124_071_337e4),
        ] {
            let found = compressed_water_sound_speed_m_s(temperature_k, pressure_pa).unwrap();
            assert!((found / printed - 1.0).abs() < 5e-9, "{found}");
        }
        assert!(compressed_water_sound_speed_m_s(500.0, 1e6).is_err());
    }

    #[test]
    fn crosscheck_cold_water_density() {
        for (t_c, expected) in [
            (4.0, 999.974_87),
            (15.0, 999.102_62),
            ((60.0 - 32.0) / 1.8, 999.017_08),
            (20.0, 998.207_15),
            (25.0, 997.047_64),
        ] {
            let d = compressed_water_density_kg_m3(t_c + 273.15, STANDARD_ATMOSPHERE_PA).unwrap();
            assert!(
                (d / expected - 1.0).abs() < 3.1e-5,
                "{t_c} degC: {d} against {expected}"
            );
        }
    }

    /// Arithmetic of a wet leg with CoolProp 8.0.0 (IF97) densities: taps 20 in apart, leg at
    /// 100 degF and vessel pressure, vessel saturated, differential pressure on the leg's side.
    #[test]
    fn crosscheck_wet_leg_differential_pressure() {
        for (psig, at_empty, at_half, at_full) in [
            (0.0, 4944.20, 2558.49, 172.78),
            (15.0, 4941.65, 2597.28, 252.90),
            (100.0, 4928.18, 2702.80, 477.43),
            (150.0, 4920.49, 2740.30, 560.11),
            (250.0, 4905.19, 2797.36, 689.54),
            (600.0, 4849.94, 2927.36, 1004.79),
        ] {
            let p = STANDARD_ATMOSPHERE_PA + psig * PA_PER_PSI;
            let leg = compressed_water_density_kg_m3((100.0 - 32.0) / 1.8 + 273.15, p).unwrap();
            let vessel = saturated_densities(p).unwrap();
            let span_m = 0.508;
            for (level_m, expected) in [(0.0, at_empty), (0.5 * span_m, at_half), (span_m, at_full)]
            {
                let dp = STANDARD_GRAVITY_M_S2
                    * (leg * span_m
                        - vessel.liquid_kg_m3 * level_m
                        - vessel.vapour_kg_m3 * (span_m - level_m));
                assert!(
                    (dp - expected).abs() < 0.01,
                    "{psig} psig, {level_m} m: {dp}"
                );
            }
        }
        // The ends of the leg's own density in the same calculation, to the printed digits.
        for (psig, expected) in [(0.0, 993.054), (600.0, 994.862)] {
            let p = STANDARD_ATMOSPHERE_PA + psig * PA_PER_PSI;
            let leg = compressed_water_density_kg_m3((100.0 - 32.0) / 1.8 + 273.15, p).unwrap();
            assert!(
                (leg - expected).abs() < 6e-4,
                "{psig} psig: {leg} against {expected}"
            );
        }
    }

    #[test]
    fn property_boiling_leg_is_refused_with_its_saturation_temperature() {
        let err = compressed_water_density_kg_m3(393.15, 101_325.0).unwrap_err();
        let WaterError::AboveSaturation {
            saturation_temperature_k: limit,
            ..
        } = err
        else {
            panic!("{err}");
        };
        assert!((limit - 373.124).abs() < 1e-3, "{limit}");
        assert!(err.to_string().contains("373.12"), "{err}");
        assert!(mean_compressed_water_density_kg_m3(393.15, 300.0, 101_325.0).is_err());
        assert!(mean_compressed_water_density_kg_m3(300.0, 393.15, 101_325.0).is_err());
    }

    #[test]
    fn property_compressed_refuses_nan_and_out_of_range() {
        let bad = [f64::NAN, f64::INFINITY, -5.0, 0.0, 273.149, 623.2];
        for t in bad {
            assert!(compressed_water_density_kg_m3(t, 50e6).is_err(), "{t} K");
            assert!(compressed_water_enthalpy_j_kg(t, 50e6).is_err(), "{t} K");
            assert!(
                mean_compressed_water_density_kg_m3(t, 300.0, 50e6).is_err(),
                "{t} K"
            );
            assert!(
                mean_compressed_water_density_kg_m3(300.0, t, 50e6).is_err(),
                "{t} K"
            );
        }
        for p in [f64::NAN, f64::INFINITY, -1.0, 0.0, 600.0, 100.1e6] {
            assert!(compressed_water_density_kg_m3(300.0, p).is_err(), "{p} Pa");
            assert!(compressed_water_enthalpy_j_kg(300.0, p).is_err(), "{p} Pa");
        }
        assert!(compressed_water_density_kg_m3(273.15, 101_325.0).is_ok());
        assert!(compressed_water_enthalpy_j_kg(273.15, 700.0).is_ok());
        assert!(compressed_water_density_kg_m3(623.15, 100e6).is_ok());
    }

    #[test]
    fn property_compressed_meets_saturated_liquid() {
        for p in [1e3, 1e5, 1e6, 1e7, 16.5e6] {
            let t = saturation_temperature_k(p).unwrap();
            let leg = compressed_water_density_kg_m3(t, p).unwrap();
            let liquid = saturated_densities(p).unwrap().liquid_kg_m3;
            assert!(
                (leg / liquid - 1.0).abs() < 1e-12,
                "{p} Pa: {leg} against {liquid}"
            );
        }
    }

    proptest! {
        #[test]
        fn property_mean_density_converges(
            top in 274.0_f64..560.0, bottom in 274.0_f64..560.0, p in 7.2e6_f64..12e6,
        ) {
            let mean = mean_compressed_water_density_kg_m3(top, bottom, p).unwrap();
            // Midpoint rule on 2000 slices: a different rule, error below 1e-8.
            let n = 2000;
            let midpoint = (0..n)
                .map(|i| bottom + (f64::from(i) + 0.5) / f64::from(n) * (top - bottom))
                .map(|t| compressed_water_density_kg_m3(t, p).unwrap())
                .sum::<f64>() / f64::from(n);
            let limit = if (top - bottom).abs() <= 150.0 { 1e-7 } else { 5e-6 };
            prop_assert!((mean / midpoint - 1.0).abs() < limit, "{mean} against {midpoint}");
        }

        #[test]
        fn property_mean_density_is_symmetric_and_plain_when_uniform(
            a in 274.0_f64..450.0, b in 274.0_f64..450.0, p in 1e6_f64..12e6,
        ) {
            let ab = mean_compressed_water_density_kg_m3(a, b, p).unwrap();
            let ba = mean_compressed_water_density_kg_m3(b, a, p).unwrap();
            prop_assert!((ab / ba - 1.0).abs() < 1e-14);
            let plain = compressed_water_density_kg_m3(a, p).unwrap();
            let uniform = mean_compressed_water_density_kg_m3(a, a, p).unwrap();
            prop_assert!((uniform - plain).abs() <= 0.0);
            let nearly = mean_compressed_water_density_kg_m3(a, a + 1e-7, p).unwrap();
            prop_assert!((nearly / plain - 1.0).abs() < 1e-9, "continuous at equal temperatures");
        }

        #[test]
        fn property_density_falls_with_temperature_above_4_degc(
            t in 278.0_f64..440.0, step in 0.01_f64..10.0, p in 1e6_f64..20e6,
        ) {
            let warm = compressed_water_density_kg_m3(t + step, p).unwrap();
            prop_assert!(warm < compressed_water_density_kg_m3(t, p).unwrap());
        }
    }
}
