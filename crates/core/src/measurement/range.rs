//! The range sheet: hot, bench and best range, the cell's limits, the equalised reading, test points, what was found.

use super::band::check_band;
use super::best_range::best_range;
use super::cell::{CellAt, Geometry, percent_of_range};
use super::equalised::equalised;
use super::error::MeasurementError;
use super::sheets::{AsFoundRange, Densities, Range, RangeSheet, Reading};
use super::{condition, range_findings, signal, workings};
use crate::description::{Loop, RangeMethod, ReferenceLeg};
use crate::quantity::{IndicatedLevel, TrueLevel};

/// Levels that readings and test points are given at, percent of span.
pub const QUARTERS_PERCENT: [f64; 5] = [0.0, 25.0, 50.0, 75.0, 100.0];

/// A bench range further than this from the hot one can be told from it, percent of span.
const TELLS_APART_PERCENT: f64 = 1.0;

/// The range sheet of a loop.
///
/// # Errors
/// [`MeasurementError`] when the loop cannot be computed: the span reaches beyond the taps, a density is outside its
/// formulation, the geometry is not in order.
pub fn range_sheet(described: &Loop) -> Result<RangeSheet, MeasurementError> {
    check_band("the cell's saturation", described.cell.saturation_ma, "mA")?;
    let span = described.range.span;
    let normal = condition::normal(described)?;
    let geometry = Geometry::of(described)?;
    let (densities, _) = condition::densities(described, &normal)?;
    let cell = CellAt {
        geometry,
        densities,
    };
    let hot = cell.exact_range(span)?;
    let bench_cell = CellAt {
        geometry,
        densities: condition::bench_densities(described)?,
    };
    let bench = bench_cell.exact_range(span)?;
    let (best, extremes) = best_range(described, hot, bench)?;
    let chosen = match described.range.method {
        RangeMethod::Normal => hot,
        RangeMethod::Best => best.range,
    };
    let span_pa = (chosen.urv_pa - chosen.lrv_pa).abs();
    let mut test_points = Vec::new();
    for percent in QUARTERS_PERCENT {
        let differential_pa = chosen.lrv_pa + percent / 100.0 * (chosen.urv_pa - chosen.lrv_pa);
        let stands_for = cell.true_level(differential_pa)?;
        test_points.push(signal::test_point(
            &described.cell,
            chosen,
            percent,
            stands_for,
        ));
    }
    let as_found = match described.as_found.as_ref().and_then(|found| found.range_pa) {
        Some((lrv_pa, urv_pa)) => {
            let found = Range { lrv_pa, urv_pa };
            Some(judge(described, &cell, found, hot, bench)?)
        }
        None => None,
    };
    let mut sheet = RangeSheet {
        polarity: described.cell.polarity,
        densities,
        hot,
        bench,
        bench_readings: readings(described, &cell, bench)?,
        best,
        method: described.range.method,
        chosen,
        cell_ends_pa: signal::cell_ends_pa(&described.cell, chosen),
        span_pa,
        turndown_ratio: described.cell.upper_range_limit_pa / span_pa,
        equalised: equalised(described, chosen)?,
        test_points,
        as_found,
        pot_lip_sensitivity_ratio: pot_lip_sensitivity(described, &densities),
        normal,
        findings: Vec::new(),
        workings: Vec::new(),
    };
    sheet.findings = range_findings::findings(described, &sheet, &extremes)?;
    sheet.workings = workings::range(described, &sheet, &geometry, &bench_cell.densities);
    Ok(sheet)
}

/// What a range says at quarters of the true level.
fn readings(
    described: &Loop,
    cell: &CellAt,
    range: Range,
) -> Result<Vec<Reading>, MeasurementError> {
    let span = described.range.span;
    QUARTERS_PERCENT
        .into_iter()
        .map(|percent| {
            let true_level = TrueLevel::from_percent(percent, span);
            let indicated_percent = percent_of_range(range, cell.differential_pa(true_level)?)?;
            Ok(Reading {
                true_level,
                indicated: IndicatedLevel::from_percent(indicated_percent, span),
                indicated_percent,
            })
        })
        .collect()
}

/// How far the reading moves for a pot lip that is off, as a ratio: reads low when the lip is higher than surveyed.
///
/// ```text
/// |dy/dH| = (ρr − ρv) / (ρl − ρv)
/// ```
///
/// **Source:** derivative of the cell equation. **Checked by:** `practice_pot_one_inch_off`.
fn pot_lip_sensitivity(described: &Loop, densities: &Densities) -> Option<f64> {
    matches!(described.reference_leg, ReferenceLeg::Wet { .. }).then(|| {
        (densities.reference_above - densities.vapour) / (densities.liquid - densities.vapour)
    })
}

/// An as-found range judged at the normal condition.
fn judge(
    described: &Loop,
    cell: &CellAt,
    found: Range,
    hot: Range,
    bench: Range,
) -> Result<AsFoundRange, MeasurementError> {
    let readings = readings(described, cell, found)?;
    let mut worst_error_percent = 0.0_f64;
    for (reading, percent) in readings.iter().zip(QUARTERS_PERCENT) {
        let error = reading.indicated_percent - percent;
        if error.abs() > worst_error_percent.abs() {
            worst_error_percent = error;
        }
    }
    let to_hot = distance_percent(found, hot);
    let to_bench = distance_percent(found, bench);
    let runs_alike = (found.urv_pa - found.lrv_pa) * (hot.urv_pa - hot.lrv_pa) > 0.0;
    let tells_apart = distance_percent(bench, hot) > TELLS_APART_PERCENT;
    Ok(AsFoundRange {
        range: found,
        readings,
        worst_error_percent,
        looks_cold: runs_alike && tells_apart && to_bench < to_hot,
    })
}

/// How far apart two ranges are: the larger difference of their ends, percent of the second one's span.
fn distance_percent(one: Range, other: Range) -> f64 {
    let low = (one.lrv_pa - other.lrv_pa).abs();
    let high = (one.urv_pa - other.urv_pa).abs();
    100.0 * low.max(high) / (other.urv_pa - other.lrv_pa).abs()
}

#[cfg(test)]
#[path = "range_tests.rs"]
mod tests;
