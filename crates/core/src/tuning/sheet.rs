//! The tuning sheet: settings from geometry, with the window they may lie in, and found or habitual settings judged beside them.

use crate::controller::forms::{FormError, PidForm, PidSettings};
use crate::description::{AsFoundSettings, Loop, VesselKind};
use crate::feedwater::load_travel::load_travel;
use crate::feedwater::sheets::FeedwaterSheet;
use crate::feedwater::valve_gain::{full_valve_flow_kg_s, full_valve_flow_source};
use crate::finding::{Finding, Severity};
use crate::measurement::sheets::RangeSheet;
use crate::tuning::dead_time::{computed_parts, dead_time_parts, dead_time_s};
use crate::tuning::findings::{Facts, tuning_findings};
use crate::tuning::judge::{Bench, JudgeError, judge};
use crate::tuning::measured::{MeasuredUse, scale, take_measured};
use crate::tuning::process::RuleError;
use crate::tuning::process_gain::{ProcessGainError, duty_gains};
use crate::tuning::sheets::{Judged, TuningSheet};
use crate::tuning::window::{Window, settings_at, window};
use crate::tuning::workings::tuning_workings;
use crate::water::WaterError;

/// Largest Ms accepted. SIMC with τc = θ has 1.7035 (Skogestad 2003, table 4: 1.70).
pub const MAX_SENSITIVITY_LIMIT: f64 = 1.71;

/// Habit: a band of 25 % of span (common practice: 20 to 30 %).
const HABIT_GAIN_RATIO: f64 = 4.0;

/// Habit: a reset of 90 s (common practice: one to two minutes).
const HABIT_RESET_S: f64 = 90.0;

/// Shortest dead time that is reckoned with, s: below it no valve moves.
const LEAST_DEAD_TIME_S: f64 = 0.1;

/// Why there is no tuning sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TuningError {
    /// Process gain.
    #[error(transparent)]
    Gain(#[from] ProcessGainError),
    /// Judging.
    #[error(transparent)]
    Judge(#[from] JudgeError),
    /// Water properties of the heating steam are out of range.
    #[error("heating steam: {0}")]
    Water(#[from] WaterError),
    /// A rule.
    #[error(transparent)]
    Rule(#[from] RuleError),
    /// The as-found settings are no settings of the controller's form.
    #[error("as-found settings: {0}")]
    Form(#[from] FormError),
    /// The loop has no duty points, or none with flow.
    #[error("no duty point has a flow: the largest load change is a share of the largest flow")]
    NoFlow,
}

/// Computes the tuning sheet: with the installed valve where the feed system is described, else with a linear one.
///
/// # Errors
/// [`TuningError`].
pub fn tuning_sheet(
    the_loop: &Loop,
    range: &RangeSheet,
    feedwater: Option<&FeedwaterSheet>,
) -> Result<TuningSheet, TuningError> {
    let largest_flow_kg_s = the_loop
        .duties
        .iter()
        .map(|duty| duty.steam_kg_s + duty.blowdown_kg_s)
        .fold(0.0, f64::max);
    if !(largest_flow_kg_s > 0.0) {
        return Err(TuningError::NoFlow);
    }
    let full_valve_flow_kg_s = full_valve_flow_kg_s(the_loop, feedwater);
    let load_change_ratio =
        the_loop.limits.largest_load_change_ratio * largest_flow_kg_s / full_valve_flow_kg_s;
    let mut duties = duty_gains(the_loop, range.chosen, feedwater)?;
    let travel_ratio = feedwater.map(|sheet| load_travel_ratio(sheet, load_change_ratio));
    let computed_delay_s = dead_time_s(&computed_parts(the_loop, travel_ratio));
    let measured = take_measured(the_loop, &mut duties, computed_delay_s);
    let dead_time = dead_time_parts(the_loop, travel_ratio);
    let dead_time_s = dead_time_s(&dead_time).max(LEAST_DEAD_TIME_S);
    let bench = Bench {
        duties: &duties,
        dead_time_s,
        load_ratio: load_change_ratio,
        span_m: the_loop.range.span.height_m(),
        allowed_deviation_m: the_loop.limits.allowed_deviation_m,
        max_sensitivity_limit: MAX_SENSITIVITY_LIMIT,
    };

    let found = window(&bench)?;
    let fastest = judge(
        "fastest robust",
        settings_at(found.fastest_s, &bench)?,
        &bench,
    )?;
    let slowest = match found.slowest_s {
        Some(time_s) => Some(judge(
            "slowest that holds",
            settings_at(time_s, &bench)?,
            &bench,
        )?),
        None => None,
    };
    let chosen_time_s = chosen_time_s(found);
    let chosen = judge("chosen", settings_at(chosen_time_s, &bench)?, &bench)?;
    let habit = judge(
        "habit",
        PidSettings::ideal(HABIT_GAIN_RATIO, Some(HABIT_RESET_S), 0.0)?,
        &bench,
    )?;
    // What was found is a fact from site: where it cannot be judged the sheet says so and goes on.
    let (as_found, not_judged) = match the_loop.as_found.as_ref().and_then(|found| found.settings) {
        None => (None, None),
        Some(settings) => match judge_as_found(
            the_loop,
            settings,
            range,
            feedwater,
            (
                &bench,
                measured.as_ref().map_or(1.0, MeasuredUse::gain_ratio),
            ),
        ) {
            Ok(judged) => (Some(judged), None),
            Err(error) => (None, Some(as_found_not_judged(&error))),
        },
    };

    let facts = Facts {
        the_loop,
        measured: measured.as_ref(),
        feedwater,
        full_valve_flow_kg_s,
        bench: &bench,
        window: found,
        largest_flow_kg_s,
        fastest: &fastest,
        chosen: &chosen,
        habit: &habit,
        as_found: as_found.as_ref(),
    };
    let mut findings = tuning_findings(&facts)?;
    findings.extend(not_judged);
    let workings = tuning_workings(&facts, chosen_time_s, &dead_time, range);
    Ok(TuningSheet {
        full_valve_flow_kg_s,
        full_valve_flow_source: full_valve_flow_source(the_loop, feedwater),
        valve_taken_as_linear: feedwater.is_none(),
        load_change_ratio,
        allowed_deviation_m: bench.allowed_deviation_m,
        max_sensitivity_limit: MAX_SENSITIVITY_LIMIT,
        window_words: window_words(&facts),
        window_open: found.slowest_s.is_some(),
        slowest,
        fastest: fastest.clone(),
        chosen: chosen.clone(),
        as_found,
        habit: habit.clone(),
        measured,
        dead_time,
        dead_time_s,
        findings,
        workings,
        duties,
    })
}

/// Half the slowest closed-loop time, for a quiet valve with a factor of two in hand on a forecast; in a narrow window its
/// middle by ratio; the fastest robust one when the window is closed.
fn chosen_time_s(window: Window) -> f64 {
    window.slowest_s.map_or(window.fastest_s, |slowest_s| {
        (slowest_s / 2.0).max((window.fastest_s * slowest_s).sqrt())
    })
}

fn as_found_not_judged(error: &TuningError) -> Finding {
    Finding {
        severity: Severity::Warn,
        code: "as-found-not-judged",
        what: format!("The as-found settings cannot be judged: {error}."),
        consequence: "Nothing is known of how the loop behaves as it was found.".into(),
        remedy: "Read gain, reset and derivative from the controller again, with their units."
            .into(),
        input: "as-found.gain",
    }
}

/// The settings found, with the range found: a cold range changes the loop gain too.
fn judge_as_found(
    the_loop: &Loop,
    settings: AsFoundSettings,
    range: &RangeSheet,
    feedwater: Option<&FeedwaterSheet>,
    (bench, measured_ratio): (&Bench<'_>, f64),
) -> Result<Judged, TuningError> {
    let found_range = range
        .as_found
        .as_ref()
        .map_or(range.chosen, |found| found.range);
    let mut duties = duty_gains(the_loop, found_range, feedwater)?;
    scale(&mut duties, measured_ratio);
    let AsFoundSettings {
        gain_ratio,
        reset_s,
        derivative_s,
    } = settings;
    let settings = match the_loop.controller.form {
        PidForm::Ideal => PidSettings::ideal(gain_ratio, reset_s, derivative_s)?,
        PidForm::Series => PidSettings::series(gain_ratio, reset_s, derivative_s)?,
        PidForm::Parallel => PidSettings::parallel(
            gain_ratio,
            reset_s.map_or(0.0, |reset_s| gain_ratio / reset_s),
            gain_ratio * derivative_s,
        )?,
    };
    Ok(judge(
        "as found",
        settings,
        &Bench {
            duties: &duties,
            ..bench.clone()
        },
    )?)
}

/// Share of the stroke that the largest load change takes; the whole of it where the open valve passes less than the change.
fn load_travel_ratio(sheet: &FeedwaterSheet, load_change_ratio: f64) -> f64 {
    if load_change_ratio > 1.0 {
        return 1.0;
    }
    load_travel(&sheet.installed, &sheet.duties, load_change_ratio)
        .map_or(0.0, |travel| travel.share())
}

/// What a feed-forward would take: the flow that carries the load.
pub(crate) const fn load_flow(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "steam-flow"
    } else {
        "outflow"
    }
}

/// The window in words, or what would open it.
fn window_words(facts: &Facts<'_>) -> String {
    let reset = |closed_loop_s: f64| 4.0 * (closed_loop_s + facts.bench.dead_time_s) / 60.0;
    let Window {
        fastest_s,
        slowest_s,
        slowest_is_cap,
    } = facts.window;
    match slowest_s {
        Some(slowest_s) => format!(
            "Any reset from {:.1} to {:.1} min/repeat with its matching gain is robust and holds the allowed deviation{}; the chosen one keeps a factor of two in hand against the slow end (in a narrow window it lies in the middle, by ratio): no faster than the level needs, for the sake of a quiet valve.",
            reset(fastest_s),
            reset(slowest_s),
            if slowest_is_cap {
                " (the upper end is only the longest reset considered)"
            } else {
                ""
            },
        ),
        None => {
            let share = facts.bench.allowed_deviation_m / facts.fastest.peak_true_deviation_m;
            format!(
                "No settings are both robust and hold the allowed deviation: the fastest robust ones let the level go {:.1} times as far as allowed. Any one of these would open the window: a dead time of {:.0} s instead of {:.0} s (faster valve, less deadband, less filter), a largest load change of {:.0} % instead of {:.0} % of the largest flow, {} feed-forward that takes {:.0} % of the load change off the level loop, or an allowed deviation {:.1} times as large. A wider span does not help: the true level moves the same.",
                1.0 / share,
                facts.bench.dead_time_s * share,
                facts.bench.dead_time_s,
                100.0 * facts.the_loop.limits.largest_load_change_ratio * share,
                100.0 * facts.the_loop.limits.largest_load_change_ratio,
                load_flow(facts.the_loop.vessel.kind),
                100.0 * (1.0 - share),
                1.0 / share,
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::AsFound;
    use crate::example_loop;
    use crate::feedwater::example_sheet::feedwater_sheet;
    use crate::measurement::range_sheet;

    fn with_as_found(settings: AsFoundSettings) -> TuningSheet {
        let mut the_loop = example_loop::shell_boiler();
        the_loop.as_found = Some(AsFound {
            range_pa: None,
            settings: Some(settings),
        });
        let range = range_sheet(&the_loop).unwrap();
        tuning_sheet(&the_loop, &range, None).unwrap()
    }

    #[test]
    fn practice_the_chosen_settings_keep_a_factor_of_two_in_hand() {
        let the_loop = example_loop::shell_boiler();
        let range = range_sheet(&the_loop).unwrap();
        let sheet = tuning_sheet(&the_loop, &range, None).unwrap();
        let slowest = sheet.slowest.unwrap();
        assert!(sheet.window_open && sheet.chosen.robust && sheet.chosen.holds_deviation);
        let ratio = slowest.reset_s.unwrap() / sheet.chosen.reset_s.unwrap();
        assert!((1.8..=2.0).contains(&ratio), "{ratio}");
        assert!(sheet.chosen.peak_true_deviation_m < 0.6 * sheet.allowed_deviation_m);
    }

    #[test]
    fn property_settings_found_on_site_never_stop_the_sheet() {
        for (gain_ratio, reset_s, derivative_s) in [
            (1e-11, Some(80.0), 0.0),
            (4.0, Some(80.0), 2000.0),
            (1e6, Some(1e-3), 0.0),
            (4.0, Some(1e12), 0.0),
            (4.0, None, 0.0),
        ] {
            let sheet = with_as_found(AsFoundSettings {
                gain_ratio,
                reset_s,
                derivative_s,
            });
            let said = sheet
                .findings
                .iter()
                .any(|finding| finding.code == "as-found-not-judged");
            assert!(
                sheet.as_found.is_some() != said,
                "judged, or said why not: {gain_ratio} {reset_s:?} {derivative_s}"
            );
        }
    }

    /// A valve whose gain is 1 everywhere and whose flow is the surveyed one differs from no sheet by the stroke alone.
    #[test]
    fn property_a_linear_installed_valve_changes_the_stroke_part_alone() {
        let mut the_loop = example_loop::shell_boiler();
        the_loop.feedwater.stroke_time_s = 0.0;
        let range = range_sheet(&the_loop).unwrap();
        let gains = |gain: f64| {
            feedwater_sheet(
                2.2,
                &[
                    ("maximum", Some(gain)),
                    ("normal", Some(gain)),
                    ("low fire", Some(gain)),
                ],
            )
        };
        let bare = tuning_sheet(&the_loop, &range, None).unwrap();
        let linear = tuning_sheet(&the_loop, &range, Some(&gains(1.0))).unwrap();
        assert!(bare.valve_taken_as_linear && !linear.valve_taken_as_linear);
        assert!(linear.full_valve_flow_source.starts_with("installed: "));
        assert_eq!(linear.chosen, bare.chosen);
        // Twice the gain: half the controller gain, and the same peak of the level for the same load.
        let steep = tuning_sheet(&the_loop, &range, Some(&gains(2.0))).unwrap();
        assert!((2.0 * steep.fastest.gain_ratio / bare.fastest.gain_ratio - 1.0).abs() < 1e-6);
        let peak_ratio = steep.fastest.peak_true_deviation_m / bare.fastest.peak_true_deviation_m;
        assert!((peak_ratio - 1.0).abs() < 1e-6, "{peak_ratio}");
        // The stroke: from 1.0 kg/s down by 0.225 of 2.2 kg/s. The curve passes 2 % shut and 50 % half open, so that 0.225 takes
        // 0.225/0.96 of 40 s, half of it, whatever the gain at the duty.
        the_loop.feedwater.stroke_time_s = 40.0;
        let slow = tuning_sheet(&the_loop, &range, Some(&gains(0.5))).unwrap();
        let part = slow
            .dead_time
            .iter()
            .find(|part| part.name.contains("stroke"))
            .unwrap();
        assert!(
            (part.seconds - 0.5 * 40.0 * 0.225 / 0.96).abs() < 1e-9,
            "{}",
            part.seconds
        );
    }

    #[test]
    fn property_the_steepest_duty_bounds_the_gain_and_is_said_where_assumed() {
        let the_loop = example_loop::shell_boiler();
        let range = range_sheet(&the_loop).unwrap();
        let of = |low_fire| {
            let sheet = feedwater_sheet(
                2.2,
                &[
                    ("maximum", Some(0.6)),
                    ("normal", Some(0.6)),
                    ("low fire", low_fire),
                ],
            );
            tuning_sheet(&the_loop, &range, Some(&sheet)).unwrap()
        };
        let (even, steep, unknown) = (of(Some(0.6)), of(Some(1.8)), of(None));
        assert!((3.0 * steep.fastest.gain_ratio / even.fastest.gain_ratio - 1.0).abs() < 0.02);
        assert_eq!(
            steep.fastest.gain_ratio.to_bits(),
            unknown.fastest.gain_ratio.to_bits()
        );
        let codes = |sheet: &TuningSheet| -> Vec<&str> {
            sheet.findings.iter().map(|finding| finding.code).collect()
        };
        assert!(!codes(&steep).contains(&"valve-gain-worst-taken"));
        assert!(codes(&unknown).contains(&"valve-gain-worst-taken"));
        let linear = |sheet: &TuningSheet| {
            sheet
                .findings
                .iter()
                .any(|finding| finding.consequence.contains("taken as linear"))
        };
        assert!(!linear(&steep));
        assert!(linear(&tuning_sheet(&the_loop, &range, None).unwrap()));
    }
}
