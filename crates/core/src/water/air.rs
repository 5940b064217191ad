//! Dry air above the water of a vented tank.

use super::error::{WaterError, check_pressure, check_temperature};

/// Molar gas constant, J/(mol K) (2019 SI, exact to the digits shown).
const GAS_CONSTANT_J_MOL_K: f64 = 8.314_462_618;
/// Molar mass of dry air, kg/mol: the value usual in engineering tables. ISO 2533:1975 has
/// 28.964 420 g/mol and CIPM-2007 28.965 46 g/mol; the spread is 4e-5.
const DRY_AIR_MOLAR_MASS_KG_MOL: f64 = 28.9647e-3;

const PROPERTY: &str = "air density";
const MINIMUM_TEMPERATURE_K: f64 = 173.15;
const MAXIMUM_TEMPERATURE_K: f64 = 773.15;
const MINIMUM_PRESSURE_PA: f64 = 1.0e3;
const MAXIMUM_PRESSURE_PA: f64 = 1.0e6;

/// Density of dry air as an ideal gas.
///
/// ```text
/// ρ = p·M / (R·T)
/// ```
///
/// | symbol | name            | unit | range          |
/// |--------|-----------------|------|----------------|
/// | p      | `pressure_pa`   | Pa   | 1e3 to 1e6     |
/// | T      | `temperature_k` | K    | 173.15 to 773.15 |
///
/// **Source:** ideal-gas law. **Departures:** humidity is left out: saturated air at 30 degC is
/// 1.6 % lighter, which is 2e-5 of the weight of the same column of water.
///
/// # Errors
/// [`WaterError`] outside the range, or for NaN.
pub fn air_density_kg_m3(temperature_k: f64, pressure_pa: f64) -> Result<f64, WaterError> {
    check_temperature(
        PROPERTY,
        temperature_k,
        MINIMUM_TEMPERATURE_K,
        MAXIMUM_TEMPERATURE_K,
    )?;
    check_pressure(
        PROPERTY,
        pressure_pa,
        MINIMUM_PRESSURE_PA,
        MAXIMUM_PRESSURE_PA,
    )?;
    Ok(pressure_pa * DRY_AIR_MOLAR_MASS_KG_MOL / (GAS_CONSTANT_J_MOL_K * temperature_k))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_sea_level_air_density() {
        // ISO 2533:1975, standard atmosphere at sea level: 1.225 kg/m3 at 288.15 K, 101 325 Pa.
        let density = air_density_kg_m3(288.15, 101_325.0).unwrap();
        assert!((density - 1.225).abs() < 5e-4, "{density}");
    }

    #[test]
    fn property_air_refuses_nan_and_out_of_range() {
        for (t, p) in [
            (f64::NAN, 1e5),
            (300.0, f64::NAN),
            (100.0, 1e5),
            (300.0, 1e7),
            (300.0, -1.0),
        ] {
            assert!(air_density_kg_m3(t, p).is_err(), "{t} K, {p} Pa");
        }
    }
}
