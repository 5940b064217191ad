//! The uncertainty sheet: panel and glass at the set point, the panel over the span, what both together explain.

use super::budget::{Output, budget, expanded_k2};
use super::error::UncertaintyError;
use super::judge;
use super::model::Model;
use super::sheets::{Budget, LevelUncertainty, UncertaintySheet};
use crate::description::Loop;
use crate::measurement::sheets::RangeSheet;
use crate::quantity::TrueLevel;
use crate::working::Working;

/// Levels nearer than this are one row, m.
const SAME_LEVEL_M: f64 = 1e-6;

/// The uncertainty sheet of a loop, for the chosen range and the normal condition of its range sheet; `None` where no
/// input has an uncertainty.
///
/// # Errors
/// [`UncertaintyError`] for widths that are no numbers, inputs that the loop does not have, or a width that leads out of
/// the range of a formulation.
pub fn uncertainty_sheet(
    described: &Loop,
    range_sheet: &RangeSheet,
) -> Result<Option<UncertaintySheet>, UncertaintyError> {
    let survey = &described.uncertainty;
    if survey.inputs.is_empty() {
        return Ok(None);
    }
    let legs = survey.leg_correlation;
    if !(-1.0..=1.0).contains(&legs) {
        return Err(UncertaintyError::Correlation { value: legs });
    }
    let model = Model::of(described, range_sheet)?;
    let set_point = TrueLevel::from_m(described.limits.set_point_m);
    let sees_glass = model.glass_shows(set_point);
    let panel = budget(&model, Output::Panel, set_point, legs)?;
    let (glass, explained_disagreement_m) = if sees_glass {
        (
            Some(budget(&model, Output::Glass, set_point, legs)?),
            Some(expanded_k2(&model, Output::Disagreement, set_point, legs)?),
        )
    } else {
        (None, None)
    };
    let nothing_off = vec![0.0; model.inputs.len()];
    let known_error_percent =
        model.panel_percent(set_point, &nothing_off)? - set_point.percent(model.span());
    let mut sheet = UncertaintySheet {
        levels: levels(described, &model, legs)?,
        workings: workings(&panel, glass.as_ref(), explained_disagreement_m),
        panel,
        glass,
        explained_disagreement_m,
        findings: Vec::new(),
    };
    sheet.findings = judge::findings(described, &sheet, known_error_percent);
    Ok(Some(sheet))
}

/// Set point, alarms, trips and the span's ends where the cell weighs them, rising.
fn levels(
    described: &Loop,
    model: &Model,
    leg_correlation: f64,
) -> Result<Vec<LevelUncertainty>, UncertaintyError> {
    let (limits, span) = (&described.limits, described.range.span);
    let mut levels_m: Vec<f64> = [
        Some(limits.set_point_m),
        limits.low_alarm_m,
        limits.high_alarm_m,
        limits.low_cutoff_m,
        limits.second_low_cutoff_m,
        limits.high_trip_m,
        Some(span.at_0_percent_m),
        Some(0.5 * (span.at_0_percent_m + span.at_100_percent_m)),
        Some(span.at_100_percent_m),
    ]
    .into_iter()
    .flatten()
    .filter(|level_m| model.weighs(TrueLevel::from_m(*level_m)))
    .collect();
    levels_m.sort_by(f64::total_cmp);
    levels_m.dedup_by(|one, other| (*one - *other).abs() < SAME_LEVEL_M);
    levels_m
        .into_iter()
        .map(|level_m| {
            let level = TrueLevel::from_m(level_m);
            let panel_percent_k2 = expanded_k2(model, Output::Panel, level, leg_correlation)?;
            let glass_m_k2 = if model.glass_shows(level) {
                Some(expanded_k2(model, Output::Glass, level, leg_correlation)?)
            } else {
                None
            };
            Ok(LevelUncertainty {
                level,
                panel_percent_k2,
                panel_m_k2: panel_percent_k2 / 100.0 * span.height_m(),
                glass_m_k2,
            })
        })
        .collect()
}

fn workings(panel: &Budget, glass: Option<&Budget>, disagreement_m: Option<f64>) -> Vec<Working> {
    let of = |title: &str, budget: &Budget, unit: &'static str| {
        let mut working = Working::new(
            title,
            "U = 2·√( Σ (c·u)² + 2·r·(c·u)_ref·(c·u)_work )",
            budget.expanded_k2,
            unit,
            "JCGM 100:2008, 5.1.2, 5.2.2 and 6.2; checked by the trials of JCGM 101:2008",
            "normal condition, set point; known errors of the range are not in it",
        )
        .with(
            "r",
            "correlation of the legs' temperatures",
            budget.leg_correlation,
            "-",
        );
        for line in &budget.lines {
            working = working.with("c·u", line.name.clone(), line.contribution, unit);
        }
        working
    };
    let mut workings = vec![of("Expanded uncertainty of the panel (k = 2)", panel, "%")];
    workings.extend(glass.map(|budget| {
        of(
            "Expanded uncertainty of the level told by the glass (k = 2)",
            budget,
            "m",
        )
    }));
    workings.extend(disagreement_m.map(|disagreement_m| {
        Working::new(
            "Disagreement of panel and glass that the uncertainties explain (k = 2)",
            "U = 2·√( Σ ((c_panel − c_glass)·u)² + correlations )",
            disagreement_m,
            "m",
            "JCGM 100:2008, 5.1.2 and 5.2.2: what moves both, such as the vessel pressure, is counted once",
            "normal condition, set point; known errors of the range come on top",
        )
    }));
    workings
}
