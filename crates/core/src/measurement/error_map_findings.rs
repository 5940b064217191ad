//! What an engineer should notice on the error map.

use super::error::MeasurementError;
use super::glass::GlassAt;
use super::sheets::{Condition, ErrorMapSheet, PanelEnds, RangeSheet};
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
    let mut errors = Vec::new();
    for condition in &sheet.conditions {
        errors.push(ErrorAt::of(
            &condition.name,
            ends_percent(described, sheet, condition)?,
            sheet.panel_ends,
        ));
    }
    let (cold, in_service): (Vec<_>, Vec<_>) = errors
        .into_iter()
        .partition(|error| error.condition == condition::START_UP);
    for errors in [&cold, &in_service] {
        found.extend(reads_high(described, errors));
        found.extend(reads_low(described, errors));
    }
    found.extend(clipped(described, sheet));
    found.extend(legs(described, sheet));
    glass(described, range_sheet, &mut found)?;
    found.extend(coarse_table(described, sheet));
    Ok(found)
}

/// Errors at 0 % and 100 % true, percent of span, of a signal without ends: linear in level between.
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

/// Largest errors of the panel at a named condition, percent of span.
struct ErrorAt<'a> {
    condition: &'a str,
    highest: f64,
    lowest: f64,
    lowest_where: &'static str,
    /// Where the panel is pegged, in words; empty when nowhere.
    pegged: String,
}

impl<'a> ErrorAt<'a> {
    /// Without ends the error is linear in level and largest at an end of the span. A pegged panel stands still while the
    /// level moves, so that the error may also be largest where pegging begins.
    fn of(condition: &'a str, (empty, full): (f64, f64), ends: PanelEnds) -> Self {
        let slope = (full - empty) / 100.0;
        let begins = |says: f64| {
            let true_percent = (says - empty) / (1.0 + slope);
            (0.0..=100.0)
                .contains(&true_percent)
                .then_some(true_percent)
        };
        let (from_low, from_high) = (begins(ends.low_percent), begins(ends.high_percent));
        let (mut highest, mut lowest) = ((0.0, f64::NEG_INFINITY), (0.0, f64::INFINITY));
        for level in [Some(0.0), from_low, from_high, Some(100.0)]
            .into_iter()
            .flatten()
        {
            let (error, _) = ends.error_percent(level, empty + slope * level);
            if error > highest.1 {
                highest = (level, error);
            }
            if error < lowest.1 {
                lowest = (level, error);
            }
        }
        let high = from_high.map(|level| {
            format!(
                "at {:.1} % from {level:.1} % true level up",
                ends.high_percent
            )
        });
        let low = from_low.map(|level| {
            format!(
                "at {:.1} % from {level:.1} % true level down",
                ends.low_percent
            )
        });
        let pegged: Vec<String> = [high, low].into_iter().flatten().collect();
        Self {
            condition,
            highest: highest.1,
            lowest: lowest.1,
            lowest_where: if lowest.0 < 50.0 {
                "near empty"
            } else {
                "near full"
            },
            pegged: pegged.join(" and "),
        }
    }

    /// Where the panel is pegged, as the end of a sentence on this condition.
    fn pegged_words(&self) -> String {
        if self.pegged.is_empty() {
            String::new()
        } else if self.condition == condition::START_UP {
            format!("; it is pegged {}", self.pegged)
        } else {
            format!("; at {} it is pegged {}", self.condition, self.pegged)
        }
    }

    fn is_high(&self) -> bool {
        self.highest > NOTICEABLE_PERCENT
    }
}

/// Where a reading is to be had that is nearer to the truth.
fn compare(described: &Loop) -> String {
    let trips = if described.vessel.kind.is_fired() {
        "cutoffs"
    } else {
        "level trips"
    };
    match described.glass {
        Some(_) => format!(
            "Go by the glass with its glass card (a hot glass stands lower than the vessel's level), with the {trips} proved, and not by the panel there; compensate the reading where the condition lasts."
        ),
        None => format!(
            "Do not go by the panel alone there, and have the {trips} proved; compensate the reading where the condition lasts."
        ),
    }
}

/// Conditions where a list of errors applies, in words.
fn at_conditions(errors: &[&ErrorAt<'_>]) -> String {
    if errors
        .iter()
        .all(|error| error.condition == condition::START_UP)
    {
        return "with the vessel cold at start-up".to_owned();
    }
    let names: Vec<&str> = errors.iter().map(|error| error.condition).collect();
    format!("at: {}", names.join("; "))
}

/// Conditions at which the panel reads high, as one finding.
fn reads_high(described: &Loop, errors: &[ErrorAt<'_>]) -> Option<Finding> {
    let high: Vec<&ErrorAt<'_>> = errors.iter().filter(|error| error.is_high()).collect();
    let worst = high.iter().max_by(|a, b| a.highest.total_cmp(&b.highest))?;
    let lowest = high.iter().min_by(|a, b| a.lowest.total_cmp(&b.lowest))?;
    let but_low = if lowest.lowest < -0.05 {
        format!(
            ", and up to {:.1} % low {}",
            -lowest.lowest, lowest.lowest_where
        )
    } else {
        String::new()
    };
    let cold = worst.condition == condition::START_UP;
    Some(Finding {
        severity: Severity::Warn,
        code: if cold { "reads-high-cold" } else { "reads-high-at-pressure" },
        what: format!(
            "The panel reads up to {:.1} % of span high{but_low}, {}{}.",
            worst.highest,
            at_conditions(&high),
            worst.pegged_words()
        ),
        consequence: "There is less water than the panel says, and the controller holds the level too low by that much.".into(),
        remedy: compare(described),
        input: "pressures",
    })
}

/// Conditions at which the panel reads low and nowhere high, as one finding.
fn reads_low(described: &Loop, errors: &[ErrorAt<'_>]) -> Option<Finding> {
    let low: Vec<&ErrorAt<'_>> = errors
        .iter()
        .filter(|error| !error.is_high() && error.lowest < -NOTICEABLE_PERCENT)
        .collect();
    let worst = low.iter().min_by(|a, b| a.lowest.total_cmp(&b.lowest))?;
    let cold = worst.condition == condition::START_UP;
    Some(Finding {
        severity: Severity::Note,
        code: if cold {
            "reads-low-cold"
        } else {
            "reads-low-at-pressure"
        },
        what: format!(
            "The panel reads up to {:.1} % of span low {}, {}{}.",
            -worst.lowest,
            worst.lowest_where,
            at_conditions(&low),
            worst.pegged_words()
        ),
        consequence: format!(
            "There is more water than the panel says, and the controller holds the level too high by that much{}.",
            if described.vessel.kind.is_fired() {
                ": carry-over"
            } else {
                ""
            }
        ),
        remedy: compare(described),
        input: "pressures",
    })
}

fn clipped(described: &Loop, sheet: &ErrorMapSheet) -> Option<Finding> {
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
        remedy: match described.glass {
            Some(_) => "Read the glass there, or choose a range that does not saturate.",
            None => {
                "Measure the level another way there, or choose a range that does not saturate."
            }
        }
        .into(),
        input: "cell.saturation",
    })
}

fn legs(described: &Loop, sheet: &ErrorMapSheet) -> Option<Finding> {
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
        what: format!("Over the band of leg temperatures the reading moves by {largest:.1} % of span at {}.", described.vessel.kind.normal_state()),
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
            what: format!(
                "At {} the glass cannot show the water at the set point.",
                described.vessel.kind.normal_state()
            ),
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
            what: format!(
                "With the water at the set point at {} the glass stands {:.1} % of span lower.",
                described.vessel.kind.normal_state(),
                -glass_percent
            ),
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
