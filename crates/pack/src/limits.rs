//! Acceptance limits in the loop's units, every one rounded down.

use halfglass_core::commissioning::{
    ComparisonParts, FivePointLimits, GLASS_READING_M, LEG_TEMPERATURE_K, LOOP_CHECK_PERCENT,
    SURVEY_M, five_point_limits, glass_temperature_effect_m, rounded_down,
};
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::sheets::ErrorPoint;
use halfglass_report::units::{DisplayUnits, number};

use crate::pack::PackError;

/// Milliamperes in a percent of span.
const MA_PER_PERCENT: f64 = 0.16;

/// What the steps accept.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits<'a> {
    /// Five-point limits, percent of span.
    pub(crate) five_point: FivePointLimits,
    /// Panel against glass, cold, m.
    pub(crate) cold_comparison_m: f64,
    /// Panel against glass, at pressure, m.
    pub(crate) hot_comparison_m: f64,
    span_pa: f64,
    units: &'a DisplayUnits,
}

/// A limit with its unit, rounded down to two digits.
fn limit_text(value: f64, unit: &str) -> String {
    let (rounded, decimals) = rounded_down(value, 2);
    format!("{} {unit}", number(rounded, decimals))
}

impl<'a> Limits<'a> {
    /// The limits of a loop.
    ///
    /// # Errors
    /// [`PackError::Limit`] when the glass's water lies outside the steam tables.
    pub(crate) fn of(
        described: &Loop,
        sheets: &Sheets,
        units: &'a DisplayUnits,
    ) -> Result<Self, PackError> {
        let cell = &described.cell;
        let span_m = described.range.span.height_m();
        let five_point = five_point_limits(
            cell.reference_accuracy_percent,
            cell.drift_percent_url_per_year,
            cell.upper_range_limit_pa
                .abs()
                .max(cell.lower_range_limit_pa.abs()),
            sheets.range.span_pa,
        );
        let parts = ComparisonParts {
            glass_reading_m: GLASS_READING_M,
            survey_m: SURVEY_M,
            pot_lip_m: sheets.range.pot_lip_sensitivity_ratio.unwrap_or(0.0).abs() * SURVEY_M,
            cell_m: five_point.as_left_percent / 100.0 * span_m,
            leg_temperature_m: leg_effect_percent(sheets) / 100.0 * span_m,
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
            cold_comparison_m: parts.limit_m(),
            hot_comparison_m: ComparisonParts {
                glass_temperature_m,
                ..parts
            }
            .limit_m(),
            span_pa: sheets.range.span_pa,
            units,
        })
    }

    /// A level difference.
    pub(crate) fn level(&self, m: f64) -> String {
        let (value, unit) = self.units.level(m);
        limit_text(value, unit)
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
        let tolerance = (tolerance * 1_000.0 * (1.0 + 1e-9)).floor() / 1_000.0;
        format!(
            "{} to {}",
            number(wanted_ma - tolerance, 3),
            number(wanted_ma + tolerance, 3)
        )
    }

    /// What a loop check accepts, with the same in level.
    pub(crate) fn loop_check(&self, span_m: f64) -> String {
        format!(
            "± {} (± {})",
            self.percent(LOOP_CHECK_PERCENT),
            self.level(LOOP_CHECK_PERCENT / 100.0 * span_m),
        )
    }

    /// A surveyed elevation.
    pub(crate) fn survey(&self) -> String {
        self.level(SURVEY_M)
    }
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

/// Up to three levels of a condition at which panel and glass can be compared: about 30, 50 and 70 % of the span.
pub(crate) fn comparison_points<'s>(
    sheets: &'s Sheets,
    condition: &str,
    needs_glass: bool,
) -> Vec<&'s ErrorPoint> {
    let points: Vec<&ErrorPoint> = sheets
        .error_map
        .points
        .iter()
        .filter(|point| {
            point.condition.name == condition
                && !point.clipped
                && (point.glass.is_some() || !needs_glass)
        })
        .collect();
    let last = points.len().saturating_sub(1);
    let mut wanted: Vec<usize> = match points.len() {
        0 => Vec::new(),
        _ => vec![last / 4, last / 2, (3 * last).div_ceil(4)],
    };
    wanted.dedup();
    wanted
        .into_iter()
        .filter_map(|index| points.get(index).copied())
        .collect()
}

#[cfg(test)]
mod tests {
    use halfglass_core::design::design;

    use super::*;

    #[test]
    fn property_printed_limits_never_accept_more_than_computed() {
        for name in [
            "laundry-shell-boiler",
            "paper-mill-drum-boiler",
            "district-deaerator",
            "brewery-feed-tank",
            "inherited-cold-range",
        ] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
                .join(format!("../../examples/{name}.toml"));
            let described = halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap();
            let sheets = design(&described).unwrap();
            let units = DisplayUnits::of(&described);
            let limits = Limits::of(&described, &sheets, &units).unwrap();
            let printed = |text: &str| -> f64 { text.split(' ').next().unwrap().parse().unwrap() };
            let five = limits.five_point;
            for percent in [five.as_left_percent, five.as_found_percent] {
                assert!(
                    printed(&limits.percent(percent)) <= percent * (1.0 + 1e-8),
                    "{name}"
                );
                assert!(
                    printed(&limits.current(percent)) <= percent * 0.16 * (1.0 + 1e-8),
                    "{name}"
                );
                let window = limits.current_window(12.0, percent);
                let (low, high) = window.split_once(" to ").unwrap();
                let (low, high): (f64, f64) = (low.parse().unwrap(), high.parse().unwrap());
                assert!(high - 12.0 <= percent * 0.16 + 1e-9, "{name}: {window}");
                assert!(
                    (high + low - 24.0).abs() < 1e-9 && high > low,
                    "{name}: {window}"
                );
            }
            assert!(five.as_found_percent > five.as_left_percent, "{name}");
            assert!(
                limits.hot_comparison_m >= limits.cold_comparison_m,
                "{name}"
            );
            // A comparison that accepted a tenth of the span would prove nothing.
            assert!(
                limits.hot_comparison_m < 0.1 * described.range.span.height_m(),
                "{name}"
            );
            let points = comparison_points(
                &sheets,
                &sheets.range.normal.name,
                described.glass.is_some(),
            );
            assert!(points.len() >= 2, "{name}: nothing to compare");
        }
    }
}
