//! What an engineer should notice on the error map.

use super::error::MeasurementError;
use super::glass::GlassAt;
use super::sheets::{Condition, ErrorMapSheet, RangeSheet};
use super::{cell::CellAt, condition};
use crate::description::Loop;
use crate::finding::{Finding, Severity};
use crate::quantity::TrueLevel;

/// Errors smaller than this are not worth a finding, percent of span.
const NOTICEABLE_PERCENT: f64 = 1.0;
/// Compensation error worth a finding, percent of span.
const COARSE_TABLE_PERCENT: f64 = 0.5;

/// All findings of the error map.
pub(super) fn findings(
    described: &Loop,
    range_sheet: &RangeSheet,
    sheet: &ErrorMapSheet,
) -> Result<Vec<Finding>, MeasurementError> {
    let mut found = Vec::new();
    for condition in &sheet.conditions {
        let ends = ends_percent(described, sheet, condition)?;
        found.extend(at_condition(condition, ends));
    }
    found.extend(clipped(sheet));
    found.extend(legs(sheet));
    glass(described, range_sheet, &mut found)?;
    found.extend(coarse_table(described, sheet));
    Ok(found)
}

/// Errors at 0 % and 100 % true, percent of span: an error is linear in level, so nothing between is worse.
fn ends_percent(
    described: &Loop,
    sheet: &ErrorMapSheet,
    condition: &Condition,
) -> Result<(f64, f64), MeasurementError> {
    let span = described.range.span;
    let cell: CellAt = condition::cell_at(described, condition)?;
    let error =
        |percent| cell.error_percent(sheet.range, span, TrueLevel::from_percent(percent, span));
    Ok((error(0.0)?, error(100.0)?))
}

/// The largest error at a named condition, if it is worth a finding.
fn at_condition(condition: &Condition, (empty, full): (f64, f64)) -> Option<Finding> {
    let highest = empty.max(full);
    let lowest = empty.min(full);
    let cold = condition.name == condition::START_UP;
    let where_low = if empty <= full {
        "near empty"
    } else {
        "near full"
    };
    let but_low = if lowest < -0.05 {
        format!(", and {:.1} % low {where_low}", -lowest)
    } else {
        String::new()
    };
    let compare = "Go by the glass, with the cutoffs proved, and not by the panel at this condition; compensate the reading where the condition lasts.";
    if highest > NOTICEABLE_PERCENT {
        let (code, when) = if cold {
            (
                "reads-high-cold",
                "with the vessel cold at start-up".to_owned(),
            )
        } else {
            (
                "reads-high-at-pressure",
                format!("at {} pressure", condition.name),
            )
        };
        return Some(Finding {
            severity: Severity::Warn,
            code,
            what: format!("The panel reads up to {highest:.1} % of span high {when}{but_low}."),
            consequence: "There is less water than the panel says, and the controller holds the level too low by that much.".into(),
            remedy: compare.into(),
            input: "pressures",
        });
    }
    (lowest < -NOTICEABLE_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: if cold { "reads-low-cold" } else { "reads-low-at-pressure" },
        what: format!("The panel reads up to {:.1} % of span low {where_low} at the condition {}.", -lowest, condition.name),
        consequence: "There is more water than the panel says, and the controller holds the level too high by that much: carry-over.".into(),
        remedy: compare.into(),
        input: "pressures",
    })
}

fn clipped(sheet: &ErrorMapSheet) -> Option<Finding> {
    let mut names: Vec<&str> = Vec::new();
    for point in sheet.points.iter().filter(|point| point.clipped) {
        if !names.contains(&point.condition.name.as_str()) {
            names.push(&point.condition.name);
        }
    }
    (!names.is_empty()).then(|| Finding {
        severity: Severity::Note,
        code: "panel-pegged",
        what: format!(
            "Inside the level span the signal saturates at: {}.",
            names.join("; ")
        ),
        consequence: "The panel stands still there while the level moves.".into(),
        remedy: "Read the glass there, or choose a range that does not saturate.".into(),
        input: "cell.saturation",
    })
}

fn legs(sheet: &ErrorMapSheet) -> Option<Finding> {
    let largest = (0..3)
        .map(|i| {
            let errors = sheet.leg_rows.iter().map(|(_, errors)| errors[i]);
            let high = errors.clone().fold(f64::NEG_INFINITY, f64::max);
            high - errors.fold(f64::INFINITY, f64::min)
        })
        .fold(0.0, f64::max);
    (largest > NOTICEABLE_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: "leg-temperature-moves-reading",
        what: format!("Over the band of leg temperatures the reading moves by {largest:.1} % of span at normal pressure."),
        consequence: "A warm leg reads high, a cold one low, with the water standing still.".into(),
        remedy: "Measure the leg temperature in service, route and insulate both legs alike, and narrow the band to what was measured.".into(),
        input: "leg-temperature-band",
    })
}

fn glass(
    described: &Loop,
    range_sheet: &RangeSheet,
    found: &mut Vec<Finding>,
) -> Result<(), MeasurementError> {
    let Some(glass) = GlassAt::of(described, &range_sheet.normal)? else {
        return Ok(());
    };
    let span = described.range.span;
    let set_point = TrueLevel::from_m(described.limits.set_point_m);
    if glass.shows(set_point).is_none() {
        found.push(Finding {
            severity: Severity::Warn,
            code: "set-point-outside-glass",
            what: "At normal pressure the glass cannot show the water at the set point.".into(),
            consequence: "The panel cannot be compared with the glass in normal service.".into(),
            remedy: "Move the set point into the visible glass, or correct the glass elevations."
                .into(),
            input: "limits.set-point",
        });
        return Ok(());
    }
    let glass_percent = glass.stands_at(set_point).percent(span) - set_point.percent(span);
    if glass_percent.abs() > NOTICEABLE_PERCENT / 2.0 {
        found.push(Finding {
            severity: Severity::Note,
            code: "glass-reads-low",
            what: format!("With the water at the set point at normal pressure the glass stands {:.1} % of span lower.", -glass_percent),
            consequence: "Panel and glass differ although both are sound.".into(),
            remedy: "Compare them by the glass card, and do not trim the cell to the glass.".into(),
            input: "glass",
        });
    }
    let Some(as_found) = range_sheet
        .as_found
        .as_ref()
        .filter(|found| found.looks_cold)
    else {
        return Ok(());
    };
    let cell = condition::cell_at(described, &range_sheet.normal)?;
    let panel_percent = cell.error_percent(as_found.range, span, set_point)?;
    if panel_percent < 0.0 && glass_percent < 0.0 {
        found.push(Finding {
            severity: Severity::Warn,
            code: "cold-range-agrees-with-glass",
            what: format!("With the range found, the panel reads {:.1} % and the glass {:.1} % of span low at the set point.", -panel_percent, -glass_percent),
            consequence: "They half agree, so that nobody notices that both are low.".into(),
            remedy: "Do not take their agreement for proof; set the range of the range sheet and use the glass card.".into(),
            input: "as-found.range",
        });
    }
    Ok(())
}

fn coarse_table(described: &Loop, sheet: &ErrorMapSheet) -> Option<Finding> {
    let table = sheet.compensation.as_ref()?;
    let percent = 100.0 * table.worst_error_m / described.range.span.height_m();
    (percent > COARSE_TABLE_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: "compensation-table-coarse",
        what: format!("With {} breakpoints the compensation tables are off by up to {percent:.1} % of span between them.", table.points.len()),
        consequence: "Compensation leaves that error.".into(),
        remedy: "Use more breakpoints if the device has them.".into(),
        input: "controller.linearisation-points",
    })
}
