//! The saturation line: boiling water and dry steam in the vessel.

use super::error::{WaterError, check_pressure, check_temperature};
use super::if97::{self, Region, Saturated};
use super::transport::{surface_tension_n_m, viscosity_from_density_pa_s};

/// Highest pressure for saturated densities, Pa. Just above it, at 21.0434 MPa, IAPWS SR5-05 hands
/// over to its auxiliary equations near the critical point; no drum works there.
const MAXIMUM_DENSITY_PRESSURE_PA: f64 = 21.0e6;

const SATURATION_TEMPERATURE: &str = "saturation temperature of water";
const SATURATION_PRESSURE: &str = "saturation pressure of water";
const SATURATED_STATE: &str = "saturated water and steam";

/// Temperature at which water boils.
///
/// | name          | unit | range               |
/// |---------------|------|---------------------|
/// | `pressure_pa` | Pa, absolute | 611.213 to 22.064e6 |
///
/// **Source:** IAPWS R7-97(2012) eq. 31. **Departures:** none.
/// **Checked by:** `published_table_36_saturation_temperature`.
///
/// # Errors
/// [`WaterError::PressureOutOfRange`] outside the range, or for NaN.
pub fn saturation_temperature_k(pressure_pa: f64) -> Result<f64, WaterError> {
    check_pressure(
        SATURATION_TEMPERATURE,
        pressure_pa,
        if97::MINIMUM_SATURATION_PRESSURE_PA,
        if97::CRITICAL_PRESSURE_PA,
    )?;
    if97::saturation_temperature(SATURATION_TEMPERATURE, pressure_pa)
}

/// Absolute pressure at which water boils.
///
/// | name            | unit | range             |
/// |-----------------|------|-------------------|
/// | `temperature_k` | K    | 273.15 to 647.096 |
///
/// **Source:** IAPWS R7-97(2012) eq. 30. **Departures:** none.
/// **Checked by:** `published_table_35_saturation_pressure`.
///
/// # Errors
/// [`WaterError::TemperatureOutOfRange`] outside the range, or for NaN.
pub fn saturation_pressure_pa(temperature_k: f64) -> Result<f64, WaterError> {
    check_temperature(
        SATURATION_PRESSURE,
        temperature_k,
        if97::MINIMUM_TEMPERATURE_K,
        if97::CRITICAL_TEMPERATURE_K,
    )?;
    if97::saturation_pressure(SATURATION_PRESSURE, temperature_k)
}

/// Densities of boiling water and of the steam above it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaturatedDensities {
    /// Density of the boiling liquid, kg/m3.
    pub liquid_kg_m3: f64,
    /// Density of the dry vapour, kg/m3.
    pub vapour_kg_m3: f64,
}

/// Both saturated densities at once: the quick way for error maps.
///
/// | name          | unit | range               |
/// |---------------|------|---------------------|
/// | `pressure_pa` | Pa, absolute | 611.213 to 21e6 |
///
/// **Source:** IAPWS R7-97(2012) eqs. 7, 15 to 17 and 31; above 16.529 MPa IAPWS SR5-05.
/// **Checked by:** `crosscheck_saturation_at_gauge_pressures`.
///
/// # Errors
/// [`WaterError::PressureOutOfRange`] outside the range, or for NaN.
pub fn saturated_densities(pressure_pa: f64) -> Result<SaturatedDensities, WaterError> {
    densities_with_temperature(pressure_pa).map(|(_, densities)| densities)
}

fn densities_with_temperature(pressure_pa: f64) -> Result<(f64, SaturatedDensities), WaterError> {
    check_pressure(
        SATURATED_STATE,
        pressure_pa,
        if97::MINIMUM_SATURATION_PRESSURE_PA,
        MAXIMUM_DENSITY_PRESSURE_PA,
    )?;
    let temperature_k = if97::saturation_temperature(SATURATED_STATE, pressure_pa)?;
    let (liquid_kg_m3, vapour_kg_m3) = if pressure_pa <= if97::REGION_3_MINIMUM_PRESSURE_PA {
        (
            if97::density(SATURATED_STATE, Region::Liquid, temperature_k, pressure_pa)?,
            if97::density(SATURATED_STATE, Region::Vapour, temperature_k, pressure_pa)?,
        )
    } else {
        (
            if97::region_3_saturated_density(SATURATED_STATE, Saturated::Liquid, pressure_pa)?,
            if97::region_3_saturated_density(SATURATED_STATE, Saturated::Vapour, pressure_pa)?,
        )
    };
    Ok((
        temperature_k,
        SaturatedDensities {
            liquid_kg_m3,
            vapour_kg_m3,
        },
    ))
}

/// Boiling water and dry steam at one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaturatedWater {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Saturation temperature, K.
    pub temperature_k: f64,
    /// Density of the boiling liquid, kg/m3.
    pub liquid_density_kg_m3: f64,
    /// Density of the dry vapour, kg/m3.
    pub vapour_density_kg_m3: f64,
    /// Specific enthalpy of the boiling liquid, J/kg.
    pub liquid_enthalpy_j_kg: f64,
    /// Specific enthalpy of the dry vapour, J/kg.
    pub vapour_enthalpy_j_kg: f64,
    /// Dynamic viscosity of the boiling liquid, Pa s.
    pub liquid_viscosity_pa_s: f64,
    /// Surface tension between liquid and vapour, N/m.
    pub surface_tension_n_m: f64,
}

impl SaturatedWater {
    /// The saturated state at an absolute pressure of 611.213 Pa to 21 MPa.
    ///
    /// **Source:** IAPWS R7-97(2012), R12-08, R1-76(2014).
    /// **Checked by:** `crosscheck_saturation_at_gauge_pressures`.
    ///
    /// # Errors
    /// [`WaterError::PressureOutOfRange`] outside the range, or for NaN.
    pub fn at_pressure_pa(pressure_pa: f64) -> Result<Self, WaterError> {
        let (temperature_k, densities) = densities_with_temperature(pressure_pa)?;
        let (liquid_enthalpy_j_kg, vapour_enthalpy_j_kg) = if pressure_pa
            <= if97::REGION_3_MINIMUM_PRESSURE_PA
        {
            (
                if97::enthalpy(SATURATED_STATE, Region::Liquid, temperature_k, pressure_pa)?,
                if97::enthalpy(SATURATED_STATE, Region::Vapour, temperature_k, pressure_pa)?,
            )
        } else {
            (
                if97::region_3_saturated_enthalpy(SATURATED_STATE, Saturated::Liquid, pressure_pa)?,
                if97::region_3_saturated_enthalpy(SATURATED_STATE, Saturated::Vapour, pressure_pa)?,
            )
        };
        Ok(Self {
            pressure_pa,
            temperature_k,
            liquid_density_kg_m3: densities.liquid_kg_m3,
            vapour_density_kg_m3: densities.vapour_kg_m3,
            liquid_enthalpy_j_kg,
            vapour_enthalpy_j_kg,
            liquid_viscosity_pa_s: viscosity_from_density_pa_s(
                temperature_k,
                densities.liquid_kg_m3,
            )?,
            surface_tension_n_m: surface_tension_n_m(temperature_k)?,
        })
    }

    /// Heat of evaporation, J/kg.
    #[must_use]
    pub fn evaporation_enthalpy_j_kg(&self) -> f64 {
        self.vapour_enthalpy_j_kg - self.liquid_enthalpy_j_kg
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PA_PER_PSI: f64 = 6_894.757_293_168;
    const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

    fn check(psig: f64, t_c: f64, liquid: f64, vapour: f64, h: [f64; 3], micro_pa_s: f64) {
        let s = SaturatedWater::at_pressure_pa(STANDARD_ATMOSPHERE_PA + psig * PA_PER_PSI).unwrap();
        let near = |name: &str, got: f64, want: f64, half_digit: f64| {
            assert!(
                (got - want).abs() <= half_digit,
                "{psig} psig {name}: {got} against {want}"
            );
        };
        near("t", s.temperature_k - 273.15, t_c, 0.5001e-4);
        near("liquid", s.liquid_density_kg_m3, liquid, 0.5001e-4);
        near("vapour", s.vapour_density_kg_m3, vapour, 0.5001e-5);
        near("hf", s.liquid_enthalpy_j_kg / 1e3, h[0], 0.5001e-3);
        near("hg", s.vapour_enthalpy_j_kg / 1e3, h[1], 0.5001e-3);
        // The printed difference may be of rounded values: one digit more.
        near("hfg", s.evaporation_enthalpy_j_kg() / 1e3, h[2], 1.0001e-3);
        near("mu", s.liquid_viscosity_pa_s * 1e6, micro_pa_s, 0.5001e-3);
    }

    /// Values from Python package iapws 1.5.5 (IAPWS-IF97, R12-08), to its printed digits.
    #[test]
    fn crosscheck_saturation_at_gauge_pressures() {
        check(
            0.0,
            99.9743,
            958.3727,
            0.59762,
            [418.991, 2675.531, 2256.541],
            281.661,
        );
        check(
            15.0,
            120.9547,
            942.3342,
            1.15407,
            [507.843, 2707.318, 2199.474],
            230.072,
        );
        check(
            50.0,
            147.5842,
            919.2503,
            2.39614,
            [621.827, 2742.990, 2121.163],
            185.817,
        );
        check(
            100.0,
            169.9345,
            897.5216,
            4.11556,
            [718.920, 2767.829, 2048.909],
            159.841,
        );
        check(
            125.0,
            178.2614,
            888.8553,
            4.96451,
            [755.514, 2775.684, 2020.170],
            151.936,
        );
        check(
            150.0,
            185.4846,
            881.0753,
            5.80996,
            [787.475, 2781.817, 1994.341],
            145.692,
        );
        check(
            200.0,
            197.6683,
            867.3752,
            7.49643,
            [841.898, 2790.613, 1948.716],
            136.255,
        );
        check(
            250.0,
            207.8022,
            855.3976,
            9.18364,
            [887.718, 2796.321, 1908.603],
            129.288,
        );
        check(
            600.0,
            253.8107,
            793.1695,
            21.32594,
            [1104.290, 2799.634, 1695.344],
            104.546,
        );
        check(
            900.0,
            278.8575,
            752.2940,
            32.54036,
            [1230.705, 2781.111, 1550.406],
            94.003,
        );
    }

    /// CoolProp 8.0.0 with the scientific formulation IAPWS-95; the industrial one departs from it
    /// by up to 5.1e-5 (liquid) and 3.7e-4 (vapour).
    #[test]
    fn crosscheck_saturated_densities_against_iapws_95() {
        for (psig, liquid, vapour) in [
            (0.0, 958.3675, 0.59766),
            (15.0, 942.3366, 1.15414),
            (50.0, 919.2562, 2.39616),
            (100.0, 897.5250, 4.11535),
            (125.0, 888.8574, 4.96418),
            (150.0, 881.0763, 5.80954),
            (200.0, 867.3750, 7.49592),
            (250.0, 855.3976, 9.18315),
            (600.0, 793.1794, 21.32615),
            (900.0, 752.2973, 32.54111),
        ] {
            let s = saturated_densities(STANDARD_ATMOSPHERE_PA + psig * PA_PER_PSI).unwrap();
            assert!(
                (s.liquid_kg_m3 / liquid - 1.0).abs() < 5.1e-5,
                "{psig} psig: {s:?}"
            );
            assert!(
                (s.vapour_kg_m3 / vapour - 1.0).abs() < 3.7e-4,
                "{psig} psig: {s:?}"
            );
        }
    }

    /// CoolProp 8.0.0, its IAPWS-IF97 and its IAPWS-95, above 623.15 K where the saturated states
    /// lie in region 3: liquid and vapour density kg/m3, liquid and vapour enthalpy J/kg.
    #[test]
    fn crosscheck_saturation_in_region_3() {
        for (mpa, industrial, scientific) in [
            (
                17.0,
                [565.180_028, 119.482_642, 1_690_037.04, 2_547_417.43],
                [565.209_081, 119.460_794, 1_690_026.03, 2_547_499.26],
            ),
            (
                18.0,
                [543.626_803, 133.356_287, 1_732_024.50, 2_509_532.87],
                [543.537_916, 133.302_868, 1_732_085.45, 2_509_829.80],
            ),
            (
                20.0,
                [490.521_428, 170.698_426, 1_827_100.54, 2_411_388.01],
                [490.187_833, 170.496_692, 1_827_213.55, 2_412_346.49],
            ),
        ] {
            let s = SaturatedWater::at_pressure_pa(mpa * 1e6).unwrap();
            let ours = [
                s.liquid_density_kg_m3,
                s.vapour_density_kg_m3,
                s.liquid_enthalpy_j_kg,
                s.vapour_enthalpy_j_kg,
            ];
            for (got, (same, other)) in ours.into_iter().zip(industrial.into_iter().zip(scientific))
            {
                assert!(
                    (got / same - 1.0).abs() < 1e-8,
                    "{mpa} MPa: {got} against {same}"
                );
                assert!(
                    (got / other - 1.0).abs() < 1.3e-3,
                    "{mpa} MPa: {got} against {other}"
                );
            }
        }
    }

    #[test]
    fn property_region_3_joins_region_1_and_2() {
        let limit = if97::REGION_3_MINIMUM_PRESSURE_PA;
        let below = SaturatedWater::at_pressure_pa(limit - 1.0).unwrap();
        let above = SaturatedWater::at_pressure_pa(limit + 1.0).unwrap();
        for (a, b) in [
            (below.liquid_density_kg_m3, above.liquid_density_kg_m3),
            (below.vapour_density_kg_m3, above.vapour_density_kg_m3),
            (below.liquid_enthalpy_j_kg, above.liquid_enthalpy_j_kg),
            (below.vapour_enthalpy_j_kg, above.vapour_enthalpy_j_kg),
        ] {
            assert!((a / b - 1.0).abs() < 2e-4, "{a} against {b}");
        }
    }

    #[test]
    fn property_no_sentinel_leaks() {
        for p in [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            -1.0,
            0.0,
            611.0,
            22.1e6,
        ] {
            assert!(saturation_temperature_k(p).is_err(), "{p} Pa");
            assert!(saturated_densities(p).is_err(), "{p} Pa");
            assert!(SaturatedWater::at_pressure_pa(p).is_err(), "{p} Pa");
        }
        for t in [f64::NAN, f64::INFINITY, -40.0, 0.0, 273.149, 647.097] {
            assert!(saturation_pressure_pa(t).is_err(), "{t} K");
        }
        for p in [611.213, MAXIMUM_DENSITY_PRESSURE_PA] {
            assert!(SaturatedWater::at_pressure_pa(p).is_ok(), "{p} Pa");
        }
        assert!(saturation_pressure_pa(273.15).is_ok());
        assert!(saturation_pressure_pa(647.096).is_ok());
        assert!(saturation_temperature_k(if97::CRITICAL_PRESSURE_PA).is_ok());
    }

    #[test]
    fn property_error_names_value_limit_and_unit() {
        let text = saturation_temperature_k(30.0e6).unwrap_err().to_string();
        assert_eq!(
            text,
            "saturation temperature of water: absolute pressure 30000000 Pa is outside 611.212677 Pa to 22064000 Pa"
        );
    }

    proptest! {
        #[test]
        fn property_saturation_temperature_inverts_saturation_pressure(t in 273.16_f64..647.0) {
            let back = saturation_temperature_k(saturation_pressure_pa(t).unwrap()).unwrap();
            prop_assert!((back - t).abs() < 1e-7, "{back} against {t}");
        }

        #[test]
        fn property_saturated_densities_are_monotonic(
            low in 700.0_f64..20.9e6, step in 1.001_f64..2.0,
        ) {
            let high = (low * step).min(21.0e6);
            // Neighbouring equations of the formulation join to about 1e-4, so pairs closer than
            // that across a join say nothing.
            prop_assume!(high / low > 1.001);
            let (a, b) = (saturated_densities(low).unwrap(), saturated_densities(high).unwrap());
            prop_assert!(b.liquid_kg_m3 < a.liquid_kg_m3 || low < 1_000.0, "{a:?} {b:?}");
            prop_assert!(b.vapour_kg_m3 > a.vapour_kg_m3, "{a:?} {b:?}");
        }
    }
}
