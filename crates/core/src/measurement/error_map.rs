//! The error map: what the panel and the glass say against what the vessel holds, over conditions, pressures and leg
//! temperatures, for the chosen range.

use super::compensation::compensation;
use super::error::MeasurementError;
use super::error_grid::error_grid_percent;
use super::glass::{self, GlassAt};
use super::range::QUARTERS_PERCENT;
use super::sheets::{Condition, ErrorCurve, ErrorMapSheet, ErrorPoint, Range, RangeSheet};
use super::{condition, error_map_findings, signal, workings};
use crate::description::Loop;
use crate::quantity::{AbsolutePressure, TrueLevel};

/// Steps of level in the table, 0 to 100 % of span.
const LEVEL_STEPS: u32 = 10;
/// Steps of pressure along a curve.
const PRESSURE_STEPS: u32 = 40;
/// Steps of leg temperature over the band.
const LEG_STEPS: u32 = 8;
/// Levels of a leg row, percent of span.
pub const LEG_ROW_PERCENT: [f64; 3] = [0.0, 50.0, 100.0];

/// The error-map sheet of a loop, for the chosen range of its range sheet.
///
/// # Errors
/// [`MeasurementError`] when a condition cannot be computed.
pub fn error_map_sheet(
    described: &Loop,
    range_sheet: &RangeSheet,
) -> Result<ErrorMapSheet, MeasurementError> {
    let range = range_sheet.chosen;
    let conditions = condition::named(described)?;
    let mut points = Vec::new();
    for condition in &conditions {
        points.extend(table(described, range, condition)?);
    }
    let start_up = condition::start_up(described);
    let glass = GlassAt::of(described, &range_sheet.normal)?;
    let mut sheet = ErrorMapSheet {
        range,
        points,
        curves: curves(described, range)?,
        cold_errors: cold_errors(described, range, &start_up)?,
        panel_ends: signal::panel_ends(&described.cell),
        leg_rows: leg_rows(described, range)?,
        compensation: compensation(described, range)?,
        glass_card: glass::card(described, range, &start_up, &range_sheet.normal)?,
        glass_water_k: glass.as_ref().map(|glass| glass.water_k),
        conditions,
        findings: Vec::new(),
        workings: Vec::new(),
    };
    sheet.findings = error_map_findings::findings(described, range_sheet, &sheet)?;
    if let Some(glass) = &glass {
        let level = TrueLevel::from_m(described.limits.set_point_m);
        sheet
            .workings
            .push(workings::glass(&range_sheet.normal, glass, level));
    }
    if let Some(table) = &sheet.compensation {
        sheet.workings.extend(workings::compensation(table));
    }
    sheet.workings.extend(workings::readings(described, &sheet));
    Ok(sheet)
}

/// One condition by tenths of the span.
fn table(
    described: &Loop,
    range: Range,
    condition: &Condition,
) -> Result<Vec<ErrorPoint>, MeasurementError> {
    let span = described.range.span;
    let cell = condition::cell_at(described, condition)?;
    let glass = GlassAt::of(described, condition)?;
    (0..=LEVEL_STEPS)
        .map(|step| {
            let percent = 100.0 * f64::from(step) / f64::from(LEVEL_STEPS);
            let true_level = TrueLevel::from_percent(percent, span);
            let wanted = cell.indicated(range, span, true_level)?;
            let (indicated, clipped) = signal::clipped(&described.cell, span, wanted);
            Ok(ErrorPoint {
                condition: condition.clone(),
                true_level,
                indicated,
                clipped,
                glass: glass.as_ref().and_then(|glass| glass.shows(true_level)),
            })
        })
        .collect()
}

/// Errors over pressure, from boiling at 0 gauge (or the lowest pressure held, if less) to the safety valve, at the
/// surveyed leg temperature. A vented tank has no curves.
fn curves(described: &Loop, range: Range) -> Result<Vec<ErrorCurve>, MeasurementError> {
    if !described.vessel.kind.holds_steam() {
        return Ok(Vec::new());
    }
    let span = described.range.span;
    let atmosphere_pa = described.site.atmosphere.pa();
    let low_pa = atmosphere_pa.min(described.pressures.lowest_sustained.pa());
    let high_pa = described.pressures.safety_valve.pa();
    let leg_k = condition::described_leg_k(described);
    let pressures: Vec<AbsolutePressure> = (0..=PRESSURE_STEPS)
        .map(|step| {
            let share = f64::from(step) / f64::from(PRESSURE_STEPS);
            AbsolutePressure::from_pa(low_pa + share * (high_pa - low_pa))
        })
        .collect();
    let levels = QUARTERS_PERCENT.map(|percent| TrueLevel::from_percent(percent, span));
    let errors = error_grid_percent(described, range, &pressures, &[leg_k], &levels)?;
    Ok(QUARTERS_PERCENT
        .into_iter()
        .enumerate()
        .map(|(column, true_percent)| ErrorCurve {
            true_percent,
            points: pressures
                .iter()
                .copied()
                .zip(errors.iter().skip(column).step_by(levels.len()).copied())
                .collect(),
        })
        .collect())
}

/// Errors of the cold vessel at quarters of the span.
fn cold_errors(
    described: &Loop,
    range: Range,
    start_up: &Condition,
) -> Result<Vec<(f64, f64)>, MeasurementError> {
    let span = described.range.span;
    let cell = condition::cell_at(described, start_up)?;
    QUARTERS_PERCENT
        .into_iter()
        .map(|percent| {
            let level = TrueLevel::from_percent(percent, span);
            Ok((percent, cell.error_percent(range, span, level)?))
        })
        .collect()
}

/// Errors over the band of leg temperatures at normal pressure.
fn leg_rows(described: &Loop, range: Range) -> Result<Vec<(f64, [f64; 3])>, MeasurementError> {
    let span = described.range.span;
    let (low_k, high_k) = described.leg_temperature_band_k;
    let legs_k: Vec<f64> = (0..=LEG_STEPS)
        .map(|step| low_k + (high_k - low_k) * f64::from(step) / f64::from(LEG_STEPS))
        .collect();
    let levels = LEG_ROW_PERCENT.map(|percent| TrueLevel::from_percent(percent, span));
    let normal = [described.pressures.normal];
    let errors = error_grid_percent(described, range, &normal, &legs_k, &levels)?;
    let (rows, _) = errors.as_chunks::<3>();
    Ok(legs_k.into_iter().zip(rows.iter().copied()).collect())
}

#[cfg(test)]
#[path = "error_map_tests.rs"]
mod tests;
