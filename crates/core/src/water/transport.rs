//! Viscosity and surface tension of water.

use super::compressed::check_liquid;
use super::error::{WaterError, check_temperature};
use super::if97::{self, Region};

const VISCOSITY: &str = "viscosity of water";
const SURFACE_TENSION: &str = "surface tension of water";

/// Upper temperature of the viscosity formulation used, K (IAPWS R12-08, section 2.6).
const VISCOSITY_MAXIMUM_TEMPERATURE_K: f64 = 1173.15;
/// Lower density accepted, kg/m3: below any steam on the saturation line (0.0049 at 0 degC).
const VISCOSITY_MINIMUM_DENSITY_KG_M3: f64 = 1e-3;
/// Upper density accepted, kg/m3: the densest state of the release's own check table.
const VISCOSITY_MAXIMUM_DENSITY_KG_M3: f64 = 1200.0;

/// Dilute-gas coefficients (IAPWS R12-08, table 1).
const DILUTE: [f64; 4] = [1.677_52, 2.204_62, 0.636_656_4, -0.241_605];

/// Finite-density coefficients, one row a power of 1/T − 1, one column a power of ρ − 1
/// (IAPWS R12-08, table 2).
const FINITE: [[f64; 7]; 6] = [
    [
        5.200_94e-1,
        2.225_31e-1,
        -2.813_78e-1,
        1.619_13e-1,
        -3.253_72e-2,
        0.0,
        0.0,
    ],
    [
        8.508_95e-2,
        9.991_15e-1,
        -9.068_51e-1,
        2.573_99e-1,
        0.0,
        0.0,
        0.0,
    ],
    [-1.083_74, 1.887_97, -7.724_79e-1, 0.0, 0.0, 0.0, 0.0],
    [
        -2.895_55e-1,
        1.266_13,
        -4.898_37e-1,
        0.0,
        6.984_52e-2,
        0.0,
        -4.356_73e-3,
    ],
    [0.0, 0.0, -2.570_40e-1, 0.0, 0.0, 8.721_02e-3, 0.0],
    [0.0, 1.205_73e-1, 0.0, 0.0, 0.0, 0.0, -5.932_64e-4],
];

/// Dynamic viscosity of water or steam of known temperature and density.
///
/// ```text
/// µ = 1e-6 · µ0(T/Tc) · exp[ρ/ρc · Σi Σj Hij (Tc/T − 1)^i (ρ/ρc − 1)^j]
/// ```
///
/// | symbol | name            | unit  | range             |
/// |--------|-----------------|-------|-------------------|
/// | T      | `temperature_k` | K     | 273.15 to 1173.15 |
/// | ρ      | `density_kg_m3` | kg/m3 | 0.001 to 1200     |
///
/// **Source:** IAPWS R12-08 eqs. 10 to 12. **Departures:** no critical enhancement (µ2 = 1), as
/// the release recommends for industrial use.
/// **Checked by:** `published_viscosity_table_4`.
///
/// # Errors
/// [`WaterError`] outside the range, or for NaN.
pub fn viscosity_from_density_pa_s(
    temperature_k: f64,
    density_kg_m3: f64,
) -> Result<f64, WaterError> {
    check_temperature(
        VISCOSITY,
        temperature_k,
        if97::MINIMUM_TEMPERATURE_K,
        VISCOSITY_MAXIMUM_TEMPERATURE_K,
    )?;
    if !(VISCOSITY_MINIMUM_DENSITY_KG_M3..=VISCOSITY_MAXIMUM_DENSITY_KG_M3).contains(&density_kg_m3)
    {
        return Err(WaterError::DensityOutOfRange {
            property: VISCOSITY,
            value_kg_m3: density_kg_m3,
            minimum_kg_m3: VISCOSITY_MINIMUM_DENSITY_KG_M3,
            maximum_kg_m3: VISCOSITY_MAXIMUM_DENSITY_KG_M3,
        });
    }
    let reduced_temperature = temperature_k / if97::CRITICAL_TEMPERATURE_K;
    let reduced_density = density_kg_m3 / if97::CRITICAL_DENSITY_KG_M3;
    let inverse = 1.0 / reduced_temperature;
    let dilute = 100.0 * reduced_temperature.sqrt() / polynomial(&DILUTE, inverse);
    let rows = FINITE.map(|row| polynomial(&row, reduced_density - 1.0));
    let finite = (reduced_density * polynomial(&rows, inverse - 1.0)).exp();
    Ok(dilute * finite * 1e-6)
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Dynamic viscosity of liquid water at a temperature and pressure.
///
/// | name            | unit         | range                                |
/// |-----------------|--------------|--------------------------------------|
/// | `temperature_k` | K            | 273.15 to saturation, at most 623.15 |
/// | `pressure_pa`   | Pa, absolute | 611.213 to 100e6                     |
///
/// **Source:** IAPWS R12-08 with densities of IAPWS R7-97(2012) region 1.
/// **Checked by:** `published_viscosity_table_4`, `published_viscosity_at_20_degc`.
///
/// # Errors
/// As for [`super::compressed_water_density_kg_m3`].
pub fn water_viscosity_pa_s(temperature_k: f64, pressure_pa: f64) -> Result<f64, WaterError> {
    check_liquid(VISCOSITY, temperature_k, pressure_pa)?;
    let density = if97::density(VISCOSITY, Region::Liquid, temperature_k, pressure_pa)?;
    viscosity_from_density_pa_s(temperature_k, density)
}

/// Surface tension between water and its vapour.
///
/// ```text
/// σ = 0.2358 · τ^1.256 · (1 − 0.625·τ),  τ = 1 − T/647.096
/// ```
///
/// | symbol | name            | unit | range             |
/// |--------|-----------------|------|-------------------|
/// | T      | `temperature_k` | K    | 273.15 to 647.096 |
///
/// **Source:** IAPWS R1-76(2014). **Departures:** not used for supercooled water.
/// **Checked by:** `published_surface_tension_table_1`.
///
/// # Errors
/// [`WaterError::TemperatureOutOfRange`] outside the range, or for NaN.
pub fn surface_tension_n_m(temperature_k: f64) -> Result<f64, WaterError> {
    check_temperature(
        SURFACE_TENSION,
        temperature_k,
        if97::MINIMUM_TEMPERATURE_K,
        if97::CRITICAL_TEMPERATURE_K,
    )?;
    let tau = 1.0 - temperature_k / if97::CRITICAL_TEMPERATURE_K;
    Ok(0.2358 * tau.powf(1.256) * (1.0 - 0.625 * tau))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS R12-08, table 4 (µ2 = 1), µPa s, to the printed digits.
    #[test]
    fn published_viscosity_table_4() {
        for (t, density, expected) in [
            (298.15, 998.0, 889.735_100),
            (298.15, 1200.0, 1_437.649_467),
            (373.15, 1000.0, 307.883_622),
            (433.15, 1.0, 14.538_324),
            (433.15, 1000.0, 217.685_358),
            (873.15, 1.0, 32.619_287),
            (873.15, 100.0, 35.802_262),
            (873.15, 600.0, 77.430_195),
            (1173.15, 1.0, 44.217_245),
            (1173.15, 100.0, 47.640_433),
            (1173.15, 400.0, 64.154_608),
        ] {
            let got = viscosity_from_density_pa_s(t, density).unwrap() * 1e6;
            assert!(
                (got - expected).abs() <= 0.51e-6,
                "{t} K {density} kg/m3: {got}"
            );
        }
    }

    /// ISO/TR 3666: 1.0016 mPa s at 20 degC and atmospheric pressure, uncertainty 0.17 %
    /// (value from memory, not confirmed).
    #[test]
    fn published_viscosity_at_20_degc() {
        let got = water_viscosity_pa_s(293.15, 101_325.0).unwrap();
        assert!((got / 1.0016e-3 - 1.0).abs() < 1.7e-3, "{got}");
    }

    /// The same formulation in crate seuif97 2.3.8.
    #[test]
    fn crosscheck_viscosity_with_water_library() {
        for (t_c, p_mpa) in [(20.0, 0.2), (150.0, 1.0), (250.0, 8.0), (340.0, 18.0)] {
            let ours = water_viscosity_pa_s(t_c + 273.15, p_mpa * 1e6).unwrap();
            let theirs = seuif97::pt(p_mpa, t_c, (seuif97::ODV, 1));
            assert!(
                (ours / theirs - 1.0).abs() < 1e-12,
                "{t_c} degC: {ours} against {theirs}"
            );
        }
    }

    /// IAPWS R1-76(2014), table 1, mN/m, to the last printed digit.
    #[test]
    fn published_surface_tension_table_1() {
        for (t_c, expected) in [
            (0.01, 75.65),
            (20.0, 72.74),
            (50.0, 67.94),
            (100.0, 58.91),
            (150.0, 48.74),
            (200.0, 37.67),
            (250.0, 26.04),
            (300.0, 14.36),
            (350.0, 3.67),
        ] {
            let got = surface_tension_n_m(t_c + 273.15).unwrap() * 1e3;
            assert!(
                (got - expected).abs() <= 0.0051,
                "{t_c} degC: {got} against {expected}"
            );
        }
    }

    #[test]
    fn property_transport_refuses_nan_and_out_of_range() {
        for t in [f64::NAN, f64::INFINITY, 200.0, 1200.0] {
            assert!(viscosity_from_density_pa_s(t, 900.0).is_err(), "{t} K");
            assert!(surface_tension_n_m(t).is_err(), "{t} K");
            assert!(water_viscosity_pa_s(t, 1e6).is_err(), "{t} K");
        }
        for d in [f64::NAN, f64::INFINITY, -1.0, 0.0, 1201.0] {
            assert!(viscosity_from_density_pa_s(300.0, d).is_err(), "{d} kg/m3");
        }
        assert!(matches!(
            water_viscosity_pa_s(450.0, 1e5),
            Err(WaterError::AboveSaturation { .. })
        ));
        assert!(surface_tension_n_m(647.096).unwrap().abs() < 1e-12);
    }
}
