//! Acceptance limits in the loop's units, every one rounded down.

use halfglass_core::commissioning::{
    ALARM_PERCENT, ComparisonParts, FIELD_INSTRUMENT_PERCENT, FivePointLimits, GLASS_READING_M,
    LEG_TEMPERATURE_K, LOOP_CHECK_PERCENT, MA_PER_PERCENT, SURVEY_M, TEST_UNCERTAINTY_RATIO,
    five_point_limits_at, glass_temperature_effect_m, rounded_down,
};
use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::design::Sheets;
use halfglass_core::measurement::MeasurementError;
use halfglass_core::measurement::condition::{cell_at, start_up};
use halfglass_core::measurement::sheets::{Condition, Range};
use halfglass_core::quantity::TrueLevel;
use halfglass_report::units::{DisplayUnits, number};

use crate::pack::PackError;

/// Metres in a sixteenth of an inch.
const M_PER_SIXTEENTH: f64 = 0.0254 / 16.0;

/// Least limit that is printed in steps that a person reads off a scale, m; a smaller one keeps two digits.
const LEAST_READABLE_M: f64 = 0.005;

/// What the steps accept.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits<'a> {
    /// Five-point limits of the range to set, percent of span.
    pub(crate) five_point: FivePointLimits,
    /// Five-point limits of the range that the cell is found at, percent of that span; those of the range to set where
    /// none is described.
    pub(crate) five_point_found: FivePointLimits,
    /// Panel against glass, cold, m.
    pub(crate) cold_comparison_m: f64,
    /// Panel against glass, at pressure, m.
    pub(crate) hot_comparison_m: f64,
    span_m: f64,
    span_pa: f64,
    units: &'a DisplayUnits,
}

/// A limit with its unit, rounded down to two digits.
fn limit_text(value: f64, unit: &str) -> String {
    let (rounded, decimals) = rounded_down(value, 2);
    format!("{} {unit}", number(rounded, decimals))
}

/// Whole steps in a limit, rounded down; one part in 1e9 is no loosening that a print could show.
fn whole_steps(value: f64, step: f64) -> f64 {
    (value / step * (1.0 + 1e-9)).floor()
}

/// The range that the cell was found at, if it was read.
pub(crate) fn found_range(described: &Loop) -> Option<Range> {
    let (lrv_pa, urv_pa) = described.as_found.as_ref()?.range_pa?;
    ((urv_pa - lrv_pa).abs() > 0.0).then_some(Range { lrv_pa, urv_pa })
}

impl<'a> Limits<'a> {
    /// The limits of a loop.
    ///
    /// # Errors
    /// [`PackError::Limit`] when the glass's water, [`PackError::ColdLegs`] when the cold legs lie outside the tables.
    pub(crate) fn of(
        described: &Loop,
        sheets: &Sheets,
        units: &'a DisplayUnits,
    ) -> Result<Self, PackError> {
        let span_m = described.range.span.height_m();
        let five_point = five_point_limits_at(described, sheets.range.chosen);
        let cold = ComparisonParts {
            glass_reading_m: GLASS_READING_M,
            survey_m: SURVEY_M,
            pot_lip_m: sheets.range.pot_lip_sensitivity_ratio.unwrap_or(0.0).abs() * SURVEY_M,
            cell_m: five_point.as_left_percent / 100.0 * span_m,
            leg_temperature_m: ambient_effect_m(described, sheets.range.chosen)
                .map_err(PackError::ColdLegs)?,
            glass_temperature_m: 0.0,
        };
        let glass_temperature_m = match (&described.glass, sheets.error_map.glass_water_k) {
            (Some(glass), Some(glass_k)) if described.vessel.kind.holds_steam() => {
                glass_temperature_effect_m(
                    described.limits.set_point_m - glass.lower_connection_m,
                    glass_k,
                    described.pressures.normal.pa(),
                    sheets.range.densities.liquid,
                    sheets.range.densities.vapour,
                )
                .map_err(PackError::Limit)?
                .abs()
            }
            _ => 0.0,
        };
        Ok(Self {
            five_point,
            five_point_found: found_range(described)
                .map_or(five_point, |found| five_point_limits_at(described, found)),
            cold_comparison_m: cold.limit_m(),
            hot_comparison_m: ComparisonParts {
                leg_temperature_m: leg_effect_percent(sheets) / 100.0 * span_m,
                glass_temperature_m,
                ..cold
            }
            .limit_m(),
            span_m,
            span_pa: sheets.range.span_pa,
            units,
        })
    }

    /// A level difference that a person judges at a scale or a panel: twentieths of an inch, whole millimetres.
    /// What is smaller than anybody reads keeps two digits.
    pub(crate) fn level(&self, m: f64) -> String {
        let (value, unit) = self.units.level(m);
        if !(m >= LEAST_READABLE_M) {
            return limit_text(value, unit);
        }
        match self.units.system {
            UnitSystem::Us => format!("{} {unit}", number(whole_steps(value, 0.05) * 0.05, 2)),
            UnitSystem::Si => format!("{} {unit}", number(whole_steps(value, 1.0), 0)),
        }
    }

    /// A share of the set span as a differential.
    pub(crate) fn differential(&self, percent: f64) -> String {
        let (value, unit) = self.units.differential(percent / 100.0 * self.span_pa);
        limit_text(value, &unit)
    }

    /// A share of the signal span as a current.
    pub(crate) fn current(&self, percent: f64) -> String {
        limit_text(percent * MA_PER_PERCENT, "mA")
    }

    /// A share in percent.
    pub(crate) fn percent(&self, percent: f64) -> String {
        limit_text(percent, "%")
    }

    /// The lowest and highest current accepted around a wanted one, to a microampere, never wider than the limit.
    pub(crate) fn current_window(&self, wanted_ma: f64, percent: f64) -> String {
        let (tolerance, _) = rounded_down(percent * MA_PER_PERCENT, 2);
        let tolerance = whole_steps(tolerance, 0.001) * 0.001;
        format!(
            "{} to {}",
            number(wanted_ma - tolerance, 3),
            number(wanted_ma + tolerance, 3)
        )
    }

    /// What a loop check accepts, with the same in level.
    pub(crate) fn loop_check(&self) -> String {
        self.percent_and_level(LOOP_CHECK_PERCENT)
    }

    /// How far from its set value an alarm may sound, with the same in level.
    pub(crate) fn alarm(&self) -> String {
        self.percent_and_level(ALARM_PERCENT)
    }

    fn percent_and_level(&self, percent: f64) -> String {
        let (value, unit) = self.units.level(percent / 100.0 * self.span_m);
        format!(
            "± {} (± {})",
            self.percent(percent),
            limit_text(value, unit)
        )
    }

    /// A surveyed elevation: 1/8 in, 3 mm.
    pub(crate) fn survey(&self) -> String {
        match self.units.system {
            UnitSystem::Us => format!("{} in", sixteenths(whole_steps(SURVEY_M, M_PER_SIXTEENTH))),
            UnitSystem::Si => format!("{} mm", number(whole_steps(SURVEY_M, 0.001), 0)),
        }
    }

    /// A difference of temperature.
    pub(crate) fn temperature_difference(&self, k: f64) -> String {
        match self.units.system {
            UnitSystem::Us => format!("{} degF", number(k * 1.8, 0)),
            UnitSystem::Si => format!("{} degC", number(k, 0)),
        }
    }

    /// How good the bench's instruments are against the limit.
    pub(crate) fn bench_ratio_words(&self) -> String {
        let ratio = self.five_point.uncertainty_ratio();
        if ratio >= TEST_UNCERTAINTY_RATIO {
            "That is a quarter of the as-left limit or better.".to_owned()
        } else {
            format!(
                "That is what a good field set does, {FIELD_INSTRUMENT_PERCENT} % of a range up to twice the largest push [common practice]. A quarter of \
                 the accuracy would ask for more, so the limit counts the instruments in, and the ratio is {} to 1 only: better instruments \
                 prove more.",
                self.ratio(ratio)
            )
        }
    }

    /// A test uncertainty ratio, rounded down to a tenth.
    pub(crate) fn ratio(&self, ratio: f64) -> String {
        number((ratio * 10.0 * (1.0 + 1e-9)).floor() / 10.0, 1)
    }

    /// What the bench needs.
    pub(crate) fn bench_instruments(&self) -> String {
        let five = self.five_point;
        format!(
            "pressure calibrator within {}, ammeter within {}",
            self.differential(five.calibrator_percent),
            self.current(five.ammeter_percent),
        )
    }
}

/// Sixteenths of an inch as a fraction in its lowest terms.
fn sixteenths(count: f64) -> String {
    let mut parts = [count, 16.0];
    while parts[1] > 1.5 && (parts[0] % 2.0).abs() < 0.5 {
        parts = parts.map(|part| part / 2.0);
    }
    if parts[1] < 1.5 {
        number(parts[0], 0)
    } else {
        format!("{}/{}", number(parts[0], 0), number(parts[1], 0))
    }
}

/// What the legs of a cold vessel move the reading by when they stand anywhere in the ambient band, m: the largest
/// difference from the reading that the start-up condition states, over the level span.
fn ambient_effect_m(described: &Loop, range: Range) -> Result<f64, MeasurementError> {
    let span = described.range.span;
    let stated = start_up(described);
    let at = |condition: &Condition| {
        let cell = cell_at(described, condition)?;
        [0.0, 100.0]
            .into_iter()
            .map(|percent| {
                let level = TrueLevel::from_percent(percent, span);
                cell.indicated(range, span, level).map(|shown| shown.m())
            })
            .collect::<Result<Vec<f64>, MeasurementError>>()
    };
    let as_stated = at(&stated)?;
    let site = &described.site;
    let mut largest_m = 0.0_f64;
    for reference_leg_k in [site.ambient_lowest_k, site.ambient_highest_k] {
        let shown = at(&Condition {
            reference_leg_k,
            ..stated.clone()
        })?;
        for (one_m, other_m) in shown.iter().zip(&as_stated) {
            largest_m = largest_m.max((one_m - other_m).abs());
        }
    }
    Ok(largest_m)
}

/// What 10 K of leg temperature moves the reading at normal pressure, percent of span, from the error map.
fn leg_effect_percent(sheets: &Sheets) -> f64 {
    let rows = &sheets.error_map.leg_rows;
    rows.iter()
        .zip(rows.iter().skip(1))
        .flat_map(|(cool, warm)| {
            let step_k = (warm.0 - cool.0).abs();
            (0..3).map(move |index| {
                ((warm.1[index] - cool.1[index]) / step_k * LEG_TEMPERATURE_K).abs()
            })
        })
        .filter(|effect| effect.is_finite())
        .fold(0.0, f64::max)
}

#[cfg(test)]
#[path = "limits_tests.rs"]
mod tests;
