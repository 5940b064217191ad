//! The site: atmosphere from altitude, gravity from latitude and altitude.

use thiserror::Error;

/// Standard acceleration of free fall, m/s2 (exact; 3rd General Conference on Weights and Measures,
/// 1901).
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;
/// Standard atmosphere, Pa (exact; 10th General Conference on Weights and Measures, 1954).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// Temperature at sea level in the standard atmosphere, K (ISO 2533:1975).
const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;
/// Fall of temperature with height up to 11 km, K/m (ISO 2533:1975).
const LAPSE_RATE_K_M: f64 = 0.0065;
/// Specific gas constant of dry air, J/(kg K) (ISO 2533:1975).
const AIR_GAS_CONSTANT_J_KG_K: f64 = 287.052_87;

/// Lowest altitude accepted, m: below the lowest dry land.
pub const MINIMUM_ALTITUDE_M: f64 = -500.0;
/// Highest altitude accepted, m: where the lowest layer of the standard atmosphere ends.
pub const MAXIMUM_ALTITUDE_M: f64 = 11_000.0;

/// What can be wrong with a site. NaN is always wrong.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum SiteError {
    /// The altitude is outside the lowest layer of the standard atmosphere.
    #[error("altitude {value_m} m is outside {minimum_m} m to {maximum_m} m")]
    Altitude {
        /// Altitude given, m.
        value_m: f64,
        /// Lowest altitude accepted, m.
        minimum_m: f64,
        /// Highest altitude accepted, m.
        maximum_m: f64,
    },
    /// The latitude is not on the globe.
    #[error("latitude {value_deg} degrees is outside -90 degrees to 90 degrees")]
    Latitude {
        /// Latitude given, degrees.
        value_deg: f64,
    },
}

/// Absolute pressure of the standard atmosphere at an altitude.
///
/// ```text
/// p = 101 325 · (1 − 0.0065·H / 288.15)^(gn / (0.0065·287.05287))
/// ```
///
/// | symbol | name         | unit | range          |
/// |--------|--------------|------|----------------|
/// | H      | `altitude_m` | m    | −500 to 11 000 |
///
/// **Source:** ISO 2533:1975, also ICAO Doc 7488. **Departures:** the altitude of a survey is taken
/// as the geopotential height of the source: 2 Pa at 1000 m, 13 Pa at 3000 m. Weather moves the
/// true pressure by 3000 Pa either way.
/// **Checked by:** `published_standard_atmosphere`.
///
/// # Errors
/// [`SiteError::Altitude`] outside the range, or for NaN.
pub fn standard_atmosphere_pressure_pa(altitude_m: f64) -> Result<f64, SiteError> {
    check_altitude(altitude_m)?;
    let exponent = STANDARD_GRAVITY_M_S2 / (LAPSE_RATE_K_M * AIR_GAS_CONSTANT_J_KG_K);
    let ratio = 1.0 - LAPSE_RATE_K_M * altitude_m / SEA_LEVEL_TEMPERATURE_K;
    Ok(STANDARD_ATMOSPHERE_PA * ratio.powf(exponent))
}

/// Acceleration of free fall at a latitude and altitude.
///
/// ```text
/// g = 9.780327·(1 + 0.0053024·sin²φ − 0.0000058·sin²2φ) − 3.086e-6·H
/// ```
///
/// | symbol | name           | unit    | range          |
/// |--------|----------------|---------|----------------|
/// | φ      | `latitude_deg` | degrees | −90 to 90      |
/// | H      | `altitude_m`   | m       | −500 to 11 000 |
///
/// **Source:** international gravity formula 1980 (Moritz, Geodetic Reference System 1980) with
/// the free-air gradient. **Departures:** the mass of high ground is left out (up to 2e-4 m/s2 per
/// 1000 m); within 2e-6 m/s2 of the ellipsoid of WGS 84 at sea level.
/// **Checked by:** `crosscheck_gravity`.
///
/// # Errors
/// [`SiteError`] outside the range, or for NaN.
pub fn local_gravity_m_s2(latitude_deg: f64, altitude_m: f64) -> Result<f64, SiteError> {
    if !(-90.0..=90.0).contains(&latitude_deg) {
        return Err(SiteError::Latitude {
            value_deg: latitude_deg,
        });
    }
    check_altitude(altitude_m)?;
    let latitude = latitude_deg.to_radians();
    let once = latitude.sin().powi(2);
    let twice = (2.0 * latitude).sin().powi(2);
    Ok(9.780_327 * (1.0 + 0.005_302_4 * once - 0.000_005_8 * twice) - 3.086e-6 * altitude_m)
}

fn check_altitude(altitude_m: f64) -> Result<(), SiteError> {
    if !(MINIMUM_ALTITUDE_M..=MAXIMUM_ALTITUDE_M).contains(&altitude_m) {
        return Err(SiteError::Altitude {
            value_m: altitude_m,
            minimum_m: MINIMUM_ALTITUDE_M,
            maximum_m: MAXIMUM_ALTITUDE_M,
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// ISO 2533:1975, geopotential altitudes, five digits (values from memory, not confirmed).
    #[test]
    fn published_standard_atmosphere() {
        for (altitude_m, pressure_pa, half_digit) in [
            (0.0, 101_325.0, 1e-6),
            (1_000.0, 89_874.6, 0.06),
            (2_000.0, 79_495.2, 0.06),
            (5_000.0, 54_019.9, 0.06),
            (11_000.0, 22_632.1, 0.06),
        ] {
            let got = standard_atmosphere_pressure_pa(altitude_m).unwrap();
            assert!(
                (got - pressure_pa).abs() <= half_digit,
                "{altitude_m} m: {got}"
            );
        }
    }

    /// The same formula worked in Python, and within 2e-6 of Somigliana's formula on WGS 84.
    #[test]
    fn crosscheck_gravity() {
        for (latitude_deg, altitude_m, expected) in [
            (0.0, 0.0, 9.780_327),
            (30.0, 0.0, 9.793_249),
            (40.0, 0.0, 9.801_699),
            (45.0, 0.0, 9.806_200),
            (60.0, 0.0, 9.819_179),
            (90.0, 0.0, 9.832_186),
            (45.0, 1_600.0, 9.801_262),
        ] {
            let got = local_gravity_m_s2(latitude_deg, altitude_m).unwrap();
            assert!(
                (got - expected).abs() <= 0.51e-6,
                "{latitude_deg} degrees: {got}"
            );
        }
    }

    /// Somigliana's formula with the defining numbers of WGS 84 (NIMA TR8350.2, table 3.4).
    #[test]
    fn crosscheck_gravity_against_ellipsoid() {
        for latitude_deg in [-80.0_f64, -33.0, 5.0, 20.0, 51.5, 70.0] {
            let s2 = latitude_deg.to_radians().sin().powi(2);
            let ellipsoid = 9.780_325_335_9 * (1.0 + 0.001_931_852_652_41 * s2)
                / (1.0 - 0.006_694_379_990_14 * s2).sqrt();
            let got = local_gravity_m_s2(latitude_deg, 0.0).unwrap();
            assert!(
                (got - ellipsoid).abs() < 2.5e-6,
                "{latitude_deg}: {got} against {ellipsoid}"
            );
        }
    }

    #[test]
    fn property_site_refuses_nan_and_out_of_range() {
        for altitude_m in [f64::NAN, f64::INFINITY, -500.1, 11_000.1] {
            assert!(
                standard_atmosphere_pressure_pa(altitude_m).is_err(),
                "{altitude_m}"
            );
            assert!(
                local_gravity_m_s2(45.0, altitude_m).is_err(),
                "{altitude_m}"
            );
        }
        for latitude_deg in [f64::NAN, f64::INFINITY, -90.1, 90.1] {
            assert!(
                local_gravity_m_s2(latitude_deg, 0.0).is_err(),
                "{latitude_deg}"
            );
        }
        let text = standard_atmosphere_pressure_pa(12_000.0)
            .unwrap_err()
            .to_string();
        assert_eq!(text, "altitude 12000 m is outside -500 m to 11000 m");
    }

    proptest! {
        #[test]
        fn property_pressure_falls_with_altitude(low in -500.0_f64..10_999.0, step in 0.01_f64..1.0) {
            let above = standard_atmosphere_pressure_pa(low + step).unwrap();
            prop_assert!(above < standard_atmosphere_pressure_pa(low).unwrap());
        }

        #[test]
        fn property_gravity_is_alike_north_and_south(
            latitude in 0.0_f64..=90.0, altitude in -500.0_f64..=11_000.0,
        ) {
            let north = local_gravity_m_s2(latitude, altitude).unwrap();
            let south = local_gravity_m_s2(-latitude, altitude).unwrap();
            prop_assert!((north - south).abs() < 1e-15);
            prop_assert!(north <= local_gravity_m_s2(latitude, -500.0).unwrap());
        }
    }
}
