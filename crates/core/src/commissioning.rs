//! Acceptance limits of the commissioning steps, stated before the step is done, and the size of a bump test.
//!
//! A limit is always rounded DOWN when it is printed, so that print never accepts more than was computed.

mod comparison;
mod instruments;

pub use comparison::{COMPARISON_ROOM_SHARE, ComparisonLevel, ComparisonState, comparison_levels};
pub use instruments::{
    InstrumentCheck, JudgedLimit, MA_PER_PERCENT, five_point_limits_at, instrument_check,
    instrument_findings,
};

use crate::water::{WaterError, compressed_water_density_kg_m3};

/// A calibrator shall be this many times better than the limit that it is used to judge.
///
/// **Source:** common practice: test uncertainty ratio 4:1.
pub const TEST_UNCERTAINTY_RATIO: f64 = 4.0;

/// Uncertainty of a good field calibrator or field ammeter, percent of its own range: none better is asked for.
///
/// **Source:** common practice.
pub const FIELD_INSTRUMENT_PERCENT: f64 = 0.025;

/// Range of a calibrator over the largest pressure that it pushes, ratio.
///
/// **Source:** common practice: the smallest range at hand that covers the test is up to twice as large.
pub const CALIBRATOR_RANGE_RATIO: f64 = 2.0;

/// Full scale of an ammeter for loop currents, percent of the 4 to 20 mA span: 20 mA over 16 mA.
const AMMETER_RANGE_PERCENT: f64 = 125.0;

/// How well a person reads water in a gauge glass, m (3 mm, about 1/8 in).
///
/// **Source:** common practice.
pub const GLASS_READING_M: f64 = 0.003;

/// How well a surveyed elevation is known, m (1/8 in; printed as 3 mm).
///
/// **Source:** common practice.
pub const SURVEY_M: f64 = 0.003_175;

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
pub const BUMP_STEP_RATIO: (f64, f64) = (0.01, 0.25);

/// Share of the way to the nearer end of the output that a bump test may use, so that the output does not clip.
///
/// **Source:** common practice.
pub const BUMP_ROOM_SHARE: f64 = 0.8;

/// How far the level is let go in a bump test, share of the span, where half the allowed deviation is not less.
///
/// **Source:** common practice: twenty times what a panel resolves, soon enough for the load to hold still.
pub const BUMP_MOVE_RATIO: f64 = 0.02;

/// What a panel resolves, share of its span.
///
/// **Source:** common practice: one digit of a reading to 0.1 %.
pub const PANEL_RESOLUTION_RATIO: f64 = 0.001;

/// How well a person with a stop-watch or a trend of one sample a second times the beginning of a slope, s.
///
/// **Source:** common practice: a sample, and the reaction at either end.
pub const HAND_TIMING_S: f64 = 2.0;

/// How far from its set value an alarm may sound on a level that moves slowly, percent of span.
///
/// **Source:** common practice.
pub const ALARM_PERCENT: f64 = 0.5;

/// Length of a bump test's ramp that the step is sized for, s.
///
/// **Source:** common practice.
pub const BUMP_RAMP_S: f64 = 60.0;

/// Limits of the five-point bench test, percent of the set span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FivePointLimits {
    /// Largest uncertainty of the pressure calibrator.
    pub calibrator_percent: f64,
    /// Largest uncertainty of the ammeter.
    pub ammeter_percent: f64,
    /// Largest error accepted as left.
    pub as_left_percent: f64,
    /// Largest error accepted as found, before any trim.
    pub as_found_percent: f64,
}

impl FivePointLimits {
    /// The as-left limit over the uncertainty of the worse of the two instruments, ratio.
    pub fn uncertainty_ratio(self) -> f64 {
        self.as_left_percent / self.calibrator_percent.max(self.ammeter_percent)
    }
}

/// The cell on the bench, as the limits of the five-point test need it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BenchCell {
    /// Reference accuracy, percent of span.
    pub reference_accuracy_percent: f64,
    /// Drift in one year, percent of the upper range limit.
    pub drift_percent_url_per_year: f64,
    /// Magnitude of the larger range limit, Pa.
    pub upper_range_limit_pa: f64,
    /// Magnitude of the span, Pa.
    pub span_pa: f64,
    /// Largest pressure that the calibrator pushes, Pa.
    pub largest_push_pa: f64,
}

/// Limits of the five-point test from the cell's own terms, with instruments that a field set can hold.
///
/// ```text
/// calibrator = max(a / 3, f * 2 push / span)
/// ammeter    = max(a / 3, f * 20 mA / 16 mA)
/// as left    = a + sqrt(calibrator^2 + ammeter^2)
/// as found   = as left + d * URL / span
/// ```
///
/// | symbol | name | unit |
/// |--------|------|------|
/// | a | `reference_accuracy_percent`: reference accuracy | % of span |
/// | f | [`FIELD_INSTRUMENT_PERCENT`] | % of the instrument's range |
/// | d | `drift_percent_url_per_year`: drift in one year | % of URL |
/// | URL | `upper_range_limit_pa`: magnitude of the larger range limit | Pa |
/// | span | `span_pa`: magnitude of the set span | Pa |
/// | push | `largest_push_pa`: largest pressure pushed; the calibrator's range is up to twice that | Pa |
///
/// With a third of the accuracy each instrument is better than a quarter of the as-left limit.
///
/// **Source:** common practice: the accuracy of the cell plus what the test itself is uncertain by; the two instruments
/// are independent (JCGM 100:2008, 5.1.2); as found with one year of drift.
/// **Checked by:** `practice_five_point_limits`, `practice_no_better_than_a_field_set`, `property_limits_grow_with_turndown`
pub fn five_point_limits(cell: BenchCell) -> FivePointLimits {
    let third_percent = cell.reference_accuracy_percent / (TEST_UNCERTAINTY_RATIO - 1.0);
    let range_pa = CALIBRATOR_RANGE_RATIO * cell.largest_push_pa;
    let field_percent = FIELD_INSTRUMENT_PERCENT * (range_pa / cell.span_pa).abs();
    let calibrator_percent = third_percent.max(field_percent);
    let ammeter_percent =
        third_percent.max(FIELD_INSTRUMENT_PERCENT * AMMETER_RANGE_PERCENT / 100.0);
    let as_left_percent =
        cell.reference_accuracy_percent + calibrator_percent.hypot(ammeter_percent);
    let drift_percent =
        cell.drift_percent_url_per_year * (cell.upper_range_limit_pa / cell.span_pa).abs();
    FivePointLimits {
        calibrator_percent,
        ammeter_percent,
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
    /// How far the level is let go, m.
    pub move_m: f64,
    /// Time from the end of the dead time until the level has moved so far and the output goes back, s.
    pub return_after_s: f64,
}

/// The loop as a bump test needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BumpLoop {
    /// Process gain of the indicated level, 1/s.
    pub process_gain_per_s: f64,
    /// Height of the level span, m.
    pub span_m: f64,
    /// Allowed deviation, m.
    pub allowed_deviation_m: f64,
    /// Deadband plus resolution of the valve, ratio.
    pub valve_lost_ratio: f64,
    /// Output at which the level stands still, ratio.
    pub steady_output_ratio: f64,
}

/// Sizes a bump test so that a ramp of one minute moves the level by the smaller of half the allowed deviation and 2 %
/// of span, within 1 to 25 % of output, not past 80 % of the way to the nearer end of the output, and never less than
/// twice what the valve may swallow.
///
/// ```text
/// dL/dt = k' * S * du
/// m     = min(D / 2, 0.02 S)
/// du    = m / (k' * S * 60 s)
/// ```
///
/// | symbol | name | unit |
/// |--------|------|------|
/// | k' | `process_gain_per_s`: process gain | 1/s |
/// | S | `span_m`: height of the level span | m |
/// | D | `allowed_deviation_m`: allowed deviation | m |
/// | m | how far the level is let go | m |
/// | du | step of the output | - |
///
/// **Source:** definition of an integrating process's gain, as in S. Skogestad, J. Process Control 13 (2003) 291-309.
/// **Checked by:** `property_bump_moves_what_it_says`, `practice_bump_size`
pub fn bump_test(of: BumpLoop) -> BumpTest {
    let slope_per_ratio_m_s = of.process_gain_per_s * of.span_m;
    let move_m = (of.allowed_deviation_m / 2.0).min(BUMP_MOVE_RATIO * of.span_m);
    let wanted = move_m / (slope_per_ratio_m_s * BUMP_RAMP_S);
    let (smallest, largest) = BUMP_STEP_RATIO;
    let room = BUMP_ROOM_SHARE * of.steady_output_ratio.min(1.0 - of.steady_output_ratio);
    let largest = largest.min(room).max(smallest);
    let step_ratio = wanted
        .clamp(smallest, largest)
        .max(2.0 * of.valve_lost_ratio);
    let slope_m_s = slope_per_ratio_m_s * step_ratio;
    BumpTest {
        step_ratio,
        slope_m_s,
        move_m,
        return_after_s: move_m / slope_m_s,
    }
}

/// Whether a bump test's dead time can be judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeadTimeJudgement {
    /// It is judged by its limit.
    Judged,
    /// What the limit leaves above the forecast is less than a person times by hand.
    TooShort,
    /// The level moves less in it than the panel resolves.
    TooSmall,
}

/// Whether the dead time of a bump test can be judged by its limit, [`BUMP_ALLOWANCE_RATIO`] above the forecast.
///
/// **Source:** common practice: [`HAND_TIMING_S`] and [`PANEL_RESOLUTION_RATIO`].
/// **Checked by:** `practice_dead_time_is_judged_where_it_can_be_read`
pub fn dead_time_judgement(test: BumpTest, dead_time_s: f64, span_m: f64) -> DeadTimeJudgement {
    // Written so that NaN is not judged.
    if !(test.slope_m_s * dead_time_s >= PANEL_RESOLUTION_RATIO * span_m) {
        DeadTimeJudgement::TooSmall
    } else if !(dead_time_s * BUMP_ALLOWANCE_RATIO >= HAND_TIMING_S) {
        DeadTimeJudgement::TooShort
    } else {
        DeadTimeJudgement::Judged
    }
}

/// When a response has come to stay within a limit, s: the last time of the curve at which it lay outside. `None` when
/// the curve ends outside, or has no point.
///
/// **Checked by:** `practice_settled_when_it_no_longer_leaves`
pub fn settled_after_s(response: &[(f64, f64)], limit_m: f64) -> Option<f64> {
    let (_, last_m) = response.last()?;
    let outside = |m: f64| !(m.abs() <= limit_m);
    if outside(*last_m) {
        return None;
    }
    Some(
        response
            .iter()
            .rev()
            .find(|(_, m)| outside(*m))
            .map_or(0.0, |(s, _)| *s),
    )
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
#[path = "commissioning_tests.rs"]
mod tests;
