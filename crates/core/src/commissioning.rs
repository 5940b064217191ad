//! Acceptance limits of the commissioning steps, stated before the step is done, and the size of a bump test.
//!
//! A limit is always rounded DOWN when it is printed, so that print never accepts more than was computed.

use crate::water::{WaterError, compressed_water_density_kg_m3};

/// A calibrator shall be this many times better than what it tests.
///
/// **Source:** common practice: test uncertainty ratio 4:1.
pub const TEST_UNCERTAINTY_RATIO: f64 = 4.0;

/// How well a person reads water in a gauge glass, m (3 mm, about 1/8 in).
///
/// **Source:** common practice.
pub const GLASS_READING_M: f64 = 0.003;

/// How well a surveyed elevation is known, m (3 mm, about 1/8 in).
///
/// **Source:** common practice.
pub const SURVEY_M: f64 = 0.003;

/// How well the temperature of a leg is known, K.
///
/// **Source:** common practice.
pub const LEG_TEMPERATURE_K: f64 = 10.0;

/// How well the temperature of the water in a hot glass is known, K.
///
/// **Source:** common practice.
pub const GLASS_TEMPERATURE_K: f64 = 20.0;

/// What a controller's input and panel may add to a current fed in by a calibrator, percent of span.
///
/// **Source:** common practice.
pub const LOOP_CHECK_PERCENT: f64 = 0.25;

/// How far a measured process gain or dead time may lie above or below the forecast before settings are worked out anew, ratio.
///
/// **Source:** common practice; a gain margin of 2 or more tolerates several times as much.
pub const BUMP_ALLOWANCE_RATIO: f64 = 0.25;

/// Smallest and largest output step of a bump test, ratio.
///
/// **Source:** common practice.
pub const BUMP_STEP_RATIO: (f64, f64) = (0.01, 0.10);

/// Length of a bump test's ramp that the step is sized for, s.
///
/// **Source:** common practice.
pub const BUMP_RAMP_S: f64 = 60.0;

/// Limits of the five-point bench test, percent of the set span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FivePointLimits {
    /// Largest uncertainty of the calibrator.
    pub calibrator_percent: f64,
    /// Largest error accepted as left.
    pub as_left_percent: f64,
    /// Largest error accepted as found, before any trim.
    pub as_found_percent: f64,
}

/// Limits of the five-point test from the cell's own terms.
///
/// ```text
/// calibrator = a / 4
/// as left    = a + a / 4
/// as found   = as left + d * URL / span
/// ```
///
/// | symbol | name | unit |
/// |--------|------|------|
/// | a | `reference_accuracy_percent`: reference accuracy | % of span |
/// | d | `drift_percent_url_per_year`: drift in one year | % of URL |
/// | URL | `upper_range_limit_pa`: magnitude of the larger range limit | Pa |
/// | span | `span_pa`: magnitude of the set span | Pa |
///
/// **Source:** common practice: the accuracy of the cell plus a calibrator at a test uncertainty ratio of 4:1, summed
/// without credit for chance; as found with one year of drift.
/// **Checked by:** `practice_five_point_limits`, `property_limits_grow_with_turndown`
pub fn five_point_limits(
    reference_accuracy_percent: f64,
    drift_percent_url_per_year: f64,
    upper_range_limit_pa: f64,
    span_pa: f64,
) -> FivePointLimits {
    let calibrator_percent = reference_accuracy_percent / TEST_UNCERTAINTY_RATIO;
    let as_left_percent = reference_accuracy_percent + calibrator_percent;
    let drift_percent = drift_percent_url_per_year * (upper_range_limit_pa / span_pa).abs();
    FivePointLimits {
        calibrator_percent,
        as_left_percent,
        as_found_percent: as_left_percent + drift_percent,
    }
}

/// What a comparison of panel and glass is uncertain by, m of level each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComparisonParts {
    /// Reading the glass.
    pub glass_reading_m: f64,
    /// Survey of the glass against the lower tap.
    pub survey_m: f64,
    /// Survey of the pot lip, already multiplied by what the lip does to the reading; 0 without a wet leg.
    pub pot_lip_m: f64,
    /// The cell as left.
    pub cell_m: f64,
    /// Temperature of the legs.
    pub leg_temperature_m: f64,
    /// Temperature of the water in the glass; 0 when the vessel is cold.
    pub glass_temperature_m: f64,
}

impl ComparisonParts {
    /// Largest difference accepted: the parts are independent and add as the root of the sum of squares.
    ///
    /// **Source:** JCGM 100:2008, 5.1.2, with limits in place of standard uncertainties.
    pub fn limit_m(self) -> f64 {
        [
            self.glass_reading_m,
            self.survey_m,
            self.pot_lip_m,
            self.cell_m,
            self.leg_temperature_m,
            self.glass_temperature_m,
        ]
        .iter()
        .map(|part| part * part)
        .sum::<f64>()
        .sqrt()
    }
}

/// What the glass moves when its water is `GLASS_TEMPERATURE_K` cooler than thought, m.
///
/// ```text
/// effect = z * (r(T - 20 K) - r(T)) / (rl - rv)
/// ```
///
/// | symbol | name | unit |
/// |--------|------|------|
/// | z | `glass_height_m`: water in the glass above its lower connection | m |
/// | T | `glass_k`: temperature of the water in the glass | K |
/// | rl | `liquid_kg_m3`: water in the vessel | kg/m3 |
/// | rv | `vapour_kg_m3`: vapour over it | kg/m3 |
///
/// **Source:** hydrostatics: equal pressure at the glass's lower connection.
/// **Checked by:** `property_a_cooler_glass_reads_lower`
///
/// # Errors
/// [`WaterError`] when the glass temperature is outside the range of the steam tables.
pub fn glass_temperature_effect_m(
    glass_height_m: f64,
    glass_k: f64,
    pressure_pa: f64,
    liquid_kg_m3: f64,
    vapour_kg_m3: f64,
) -> Result<f64, WaterError> {
    let cooler_k = (glass_k - GLASS_TEMPERATURE_K).max(273.15);
    let cooler = compressed_water_density_kg_m3(cooler_k, pressure_pa)?;
    let thought = compressed_water_density_kg_m3(glass_k, pressure_pa)?;
    Ok(glass_height_m * (cooler - thought) / (liquid_kg_m3 - vapour_kg_m3))
}

/// A bump test: step of the output in manual and what the level should do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BumpTest {
    /// Step of the output, ratio.
    pub step_ratio: f64,
    /// Forecast slope of the level after the dead time, m/s.
    pub slope_m_s: f64,
    /// Time from the end of the dead time until half the allowed deviation is used and the output goes back, s.
    pub return_after_s: f64,
}

/// Sizes a bump test so that a ramp of one minute uses half the allowed deviation, within 1 to 10 % of output and
/// never less than twice what the valve may swallow.
///
/// ```text
/// dL/dt = k' * S * du
/// du    = (D / 2) / (k' * S * 60 s)
/// ```
///
/// | symbol | name | unit |
/// |--------|------|------|
/// | k' | `process_gain_per_s`: process gain | 1/s |
/// | S | `span_m`: height of the level span | m |
/// | D | `allowed_deviation_m`: allowed deviation | m |
/// | du | step of the output | - |
/// | | `valve_lost_ratio`: deadband plus resolution of the valve | - |
///
/// **Source:** definition of an integrating process's gain, as in S. Skogestad, J. Process Control 13 (2003) 291-309.
/// **Checked by:** `property_bump_keeps_half_the_deviation`, `practice_bump_size`
pub fn bump_test(
    process_gain_per_s: f64,
    span_m: f64,
    allowed_deviation_m: f64,
    valve_lost_ratio: f64,
) -> BumpTest {
    let slope_per_ratio_m_s = process_gain_per_s * span_m;
    let half_m = allowed_deviation_m / 2.0;
    let wanted = half_m / (slope_per_ratio_m_s * BUMP_RAMP_S);
    let (smallest, largest) = BUMP_STEP_RATIO;
    let step_ratio = wanted.clamp(smallest, largest).max(2.0 * valve_lost_ratio);
    let slope_m_s = slope_per_ratio_m_s * step_ratio;
    BumpTest {
        step_ratio,
        slope_m_s,
        return_after_s: half_m / slope_m_s,
    }
}

/// A limit to `digits` significant digits, rounded down, with the decimals it is printed with.
///
/// Zero, and what is not a positive number, stays zero: a limit is never invented.
/// **Checked by:** `property_rounding_never_loosens`
pub fn rounded_down(limit: f64, digits: i32) -> (f64, usize) {
    if !(limit > 0.0 && limit.is_finite()) {
        return (0.0, 0);
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the decimal exponent of a finite f64 lies within 310 of zero"
    )]
    let exponent = limit.log10().floor() as i32;
    let decimals = (digits - 1 - exponent).max(0);
    let scale = 10f64.powi(decimals);
    // A computed 0.02 may be 0.019999..; one part in 1e9 is no loosening that a print could show.
    let rounded = (limit * scale * (1.0 + 1e-9)).floor() / scale;
    (rounded, usize::try_from(decimals).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn practice_five_point_limits() {
        // A 0.1 % cell, drift 0.1 % of URL a year, turndown 10: calibrator 0.025 %, as left 0.125 %, as found 1.125 %.
        let limits = five_point_limits(0.1, 0.1, 60_000.0, 6_000.0);
        assert!((limits.calibrator_percent - 0.025).abs() < 1e-12);
        assert!((limits.as_left_percent - 0.125).abs() < 1e-12);
        assert!((limits.as_found_percent - 1.125).abs() < 1e-12);
    }

    #[test]
    fn published_root_sum_of_squares() {
        // JCGM 100:2008 5.1.2: independent parts add in squares; 3, 4 and 12 make 13.
        let parts = ComparisonParts {
            glass_reading_m: 3.0,
            survey_m: 0.0,
            pot_lip_m: 4.0,
            cell_m: 12.0,
            leg_temperature_m: 0.0,
            glass_temperature_m: 0.0,
        };
        assert!((parts.limit_m() - 13.0).abs() < 1e-12);
    }

    #[test]
    fn practice_bump_size() {
        // k' 0.0005 1/s, 0.762 m span, 38 mm allowed: 19 mm in 60 s would want 83 % of output, so 10 % it is.
        let slow = bump_test(0.0005, 0.762, 0.0381, 0.005);
        assert!((slow.step_ratio - 0.10).abs() < 1e-12);
        assert!((slow.slope_m_s - 3.81e-5).abs() < 1e-9);
        assert!((slow.return_after_s - 500.0).abs() < 1e-6);
        // A lively vessel gets the least step, unless the valve would swallow it.
        assert!((bump_test(0.1, 0.762, 0.0381, 0.0).step_ratio - 0.01).abs() < 1e-12);
        assert!((bump_test(0.1, 0.762, 0.0381, 0.01).step_ratio - 0.02).abs() < 1e-12);
    }

    #[test]
    fn crosscheck_glass_temperature_effect() {
        // CoolProp 8.0.0, IF97::Water, 1 MPa: saturated 887.1275 and 5.1454 kg/m3; 935.3129 kg/m3 at 403.03 K and
        // 951.4548 kg/m3 at 383.03 K. 0.5 m * 16.1419 / 881.9821 = 9.1509 mm.
        let effect = glass_temperature_effect_m(0.5, 403.03, 1.0e6, 887.1275, 5.1454).unwrap();
        assert!((effect - 9.1509e-3).abs() < 1e-6, "{effect}");
    }

    proptest! {
        #[test]
        fn property_limits_grow_with_turndown(
            accuracy in 0.01..1.0f64, drift in 0.0..1.0f64, span in 100.0..10_000.0f64, factor in 1.01..20.0f64,
        ) {
            let wide = five_point_limits(accuracy, drift, 62_000.0, span * factor);
            let narrow = five_point_limits(accuracy, drift, 62_000.0, span);
            prop_assert!(narrow.as_found_percent >= wide.as_found_percent);
            prop_assert!(wide.as_left_percent <= wide.as_found_percent);
            prop_assert!(wide.calibrator_percent * TEST_UNCERTAINTY_RATIO <= accuracy * (1.0 + 1e-12));
        }

        #[test]
        fn property_a_cooler_glass_reads_lower(height in 0.05..1.5f64, glass_k in 330.0..440.0f64) {
            let effect = glass_temperature_effect_m(height, glass_k, 1.0e6, 887.1, 5.14).unwrap();
            prop_assert!(effect > 0.0);
        }

        #[test]
        fn property_bump_keeps_half_the_deviation(
            gain in 1e-5..1e-1f64, span in 0.1..3.0f64, deviation in 0.005..0.3f64, lost in 0.0..0.02f64,
        ) {
            let bump = bump_test(gain, span, deviation, lost);
            prop_assert!((bump.slope_m_s * bump.return_after_s * 2.0 / deviation - 1.0).abs() < 1e-9);
            prop_assert!(bump.step_ratio >= 2.0 * lost);
        }

        #[test]
        fn property_rounding_never_loosens(limit in 1e-6..1e4f64) {
            let (rounded, _) = rounded_down(limit, 2);
            prop_assert!(rounded <= limit * (1.0 + 1e-8));
            prop_assert!(rounded >= limit * 0.9);
        }
    }

    #[test]
    fn practice_rounded_down_keeps_what_is_exact() {
        for (limit, digits, expect, decimals) in [
            (0.02, 2, 0.02, 3),
            (0.015_625, 2, 0.015, 3),
            (0.199_9, 1, 0.1, 1),
            (12.7, 2, 12.0, 0),
            (0.0, 2, 0.0, 0),
            (f64::NAN, 2, 0.0, 0),
        ] {
            let (rounded, places) = rounded_down(limit, digits);
            assert!((rounded - expect).abs() < 1e-12, "{limit}: {rounded}");
            assert_eq!(places, decimals, "{limit}");
        }
    }
}
