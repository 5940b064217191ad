//! What an engineer should notice on the uncertainty sheet.

use super::sheets::{Budget, UncertaintySheet};
use crate::description::Loop;
use crate::finding::{Finding, Severity};
use crate::quantity::TrueLevel;

/// Share of assumed inputs from which the result rests on them, percent of the variance.
const RESTS_ON_ASSUMPTIONS_PERCENT: f64 = 50.0;
/// A known error larger than this is told, percent of span.
const KNOWN_ERROR_PERCENT: f64 = 0.1;

/// All findings; `known_error_percent` is what the panel is wrong by at the set point with nothing off.
pub(super) fn findings(
    described: &Loop,
    sheet: &UncertaintySheet,
    known_error_percent: f64,
) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(alarm_near_cutoff(described, sheet));
    found.extend(known_error(known_error_percent));
    found.extend(assumed(&sheet.panel));
    for (budget, whose) in [
        (Some(&sheet.panel), "panel"),
        (sheet.glass.as_ref(), "glass"),
    ] {
        found.extend(budget.and_then(|budget| trials_disagree(budget, whose)));
    }
    if described.glass.is_some() && sheet.glass.is_none() {
        found.push(Finding {
            severity: Severity::Note,
            code: "set-point-not-in-glass",
            what: "At the set point and the normal condition the water does not stand in the visible glass.".into(),
            consequence: "The glass cannot check the panel there.".into(),
            remedy: "Compare panel and glass at a level that the glass shows.".into(),
            input: "glass.visible-bottom",
        });
    }
    found
}

/// Low alarm and first low trip nearer to each other than the panel can tell.
fn alarm_near_cutoff(described: &Loop, sheet: &UncertaintySheet) -> Option<Finding> {
    let alarm_m = described.limits.low_alarm_m?;
    let trip_m = described.limits.low_cutoff_m?;
    let at_alarm = sheet
        .levels
        .iter()
        .find(|row| row.level == TrueLevel::from_m(alarm_m))?;
    let apart_m = alarm_m - trip_m;
    let told_apart = at_alarm.panel_m_k2 < apart_m;
    let apart_percent = 100.0 * apart_m / described.range.span.height_m();
    (!told_apart).then(|| Finding {
        severity: Severity::Warn,
        code: "low-alarm-within-uncertainty",
        what: format!(
            "The low alarm stands {apart_percent:.1} % of span above the {}; the panel is uncertain by ±{:.1} % there (k = 2).",
            described.vessel.kind.first_low_trip(),
            at_alarm.panel_percent_k2
        ),
        consequence: "The trip may act before the alarm has sounded. The trip itself does not depend on this loop, and this loop does not prove it.".into(),
        remedy: "Raise the low alarm, or halve what dominates the budget.".into(),
        input: "limits.low-alarm",
    })
}

fn known_error(percent: f64) -> Option<Finding> {
    (percent.abs() > KNOWN_ERROR_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: "known-error-not-in-uncertainty",
        what: format!("At the set point the chosen range reads {percent:+.1} % of span at the normal condition with every input as surveyed."),
        consequence: "That error is known and is no part of the uncertainty: the panel is off by both.".into(),
        remedy: "Take it from the error map when panel and glass are compared, or choose the range that is exact at the normal condition.".into(),
        input: "range.method",
    })
}

fn assumed(panel: &Budget) -> Option<Finding> {
    let share: f64 = panel
        .lines
        .iter()
        .filter(|line| line.assumed)
        .map(|line| line.share_percent)
        .sum();
    let first = panel.lines.iter().find(|line| line.assumed)?;
    (share > RESTS_ON_ASSUMPTIONS_PERCENT).then(|| Finding {
        severity: Severity::Note,
        code: "uncertainty-rests-on-assumptions",
        what: format!("{share:.0} % of the panel's variance comes from widths that nobody surveyed, most of it from the {}.", first.name),
        consequence: "The uncertainty is a guess of the right size, not a result.".into(),
        remedy: "Write the cell's data and what was measured of legs and pressures.".into(),
        input: "uncertainty",
    })
}

fn trials_disagree(budget: &Budget, whose: &str) -> Option<Finding> {
    (!budget.monte_carlo.agrees).then(|| {
        let (unit, factor) = if whose == "panel" {
            (" % of span", 1.0)
        } else {
            (" mm", 1_000.0)
        };
        let (low, high) = budget.monte_carlo.interval_95;
        let (low, high) = (factor * low, factor * high);
        let half = factor * budget.k_95 * budget.combined;
        let off = (low + half).abs().max((high - half).abs());
        Finding {
            severity: Severity::Note,
            code: "budget-and-trials-disagree",
            what: format!(
                "For the {whose} the trials give {low:+.3} to {high:+.3}{unit} at 95 %, the budget ±{half:.3}{unit}: an end is off by {off:.3}{unit}, {:.0} % of the half width.",
                100.0 * off / half
            ),
            consequence: "One input that is not normal, or not linear, dominates, so that k = 2 does not cover 95 % as a normal distribution would.".into(),
            remedy: "Quote the interval of the trials.".into(),
            input: "uncertainty",
        }
    })
}
