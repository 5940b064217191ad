//! What an engineer should notice about the tuning.

use crate::description::Loop;
use crate::feedwater::sheets::FeedwaterSheet;
use crate::feedwater::valve_gain::valve_gain;
use crate::finding::{Finding, Severity};
use crate::protection::heating_steam::most_condensed;
use crate::tuning::judge::Bench;
use crate::tuning::measured::{MeasuredUse, measured_findings};
use crate::tuning::sheet::load_flow;
use crate::tuning::sheets::Judged;
use crate::tuning::window::Window;
use crate::water::WaterError;

/// What the findings and workings look at.
pub(crate) struct Facts<'a> {
    pub(crate) the_loop: &'a Loop,
    pub(crate) measured: Option<&'a MeasuredUse>,
    pub(crate) feedwater: Option<&'a FeedwaterSheet>,
    pub(crate) full_valve_flow_kg_s: f64,
    pub(crate) bench: &'a Bench<'a>,
    pub(crate) window: Window,
    pub(crate) largest_flow_kg_s: f64,
    pub(crate) fastest: &'a Judged,
    pub(crate) chosen: &'a Judged,
    pub(crate) habit: &'a Judged,
    pub(crate) as_found: Option<&'a Judged>,
}

/// All tuning findings.
pub(crate) fn tuning_findings(facts: &Facts<'_>) -> Result<Vec<Finding>, WaterError> {
    let mut findings = Vec::new();
    findings.extend(full_valve_flow(facts));
    findings.extend(worst_gain_taken(facts));
    findings.extend(closed_window(facts));
    if let Some(as_found) = facts.as_found {
        findings.extend(bad_settings(as_found, facts, "as-found.gain"));
    }
    findings.extend(habit(facts));
    findings.extend(condensing_steam(facts.the_loop)?);
    if let Some(used) = facts.measured {
        findings.extend(measured_findings(used));
        return Ok(findings);
    }
    findings.push(Finding {
        severity: Severity::Note,
        code: "tuning-is-forecast",
        what: "Every tuning figure is a FORECAST from geometry; no bump test has confirmed it.".into(),
        consequence: format!(
            "{}; {}deadband and valve gain are the least known, and the margins move with them.",
            if facts.feedwater.is_none() {
                "The valve is taken as linear up to its full flow until its characteristic is described"
            } else {
                "The valve's gain at each duty is that of its described characteristic in the described system"
            },
            if facts.the_loop.vessel.kind.holds_steam() { "swell time, " } else { "" }
        ),
        remedy: "Make the bump test of the step list in normal service and compare the process gain and dead time with this sheet.".into(),
        input: "",
    });
    Ok(findings)
}

/// Steam that condenses into a deaerator and that the process gain does not count.
fn condensing_steam(the_loop: &Loop) -> Result<Option<Finding>, WaterError> {
    Ok(most_condensed(the_loop)?.map(|most| Finding {
        severity: Severity::Note,
        code: "heating-steam-adds-water",
        what: format!("Each kilogram of feed condenses up to {:.1} % of its mass of heating steam (duty {}); the process gain counts the feed alone.", 100.0 * most.ratio, most.duty),
        consequence: "The level rises faster by that share than this sheet says, once the steam has followed the feed; the minutes to flooding on the loss-of-signal sheet count it.".into(),
        remedy: "Expect a bump test to give a process gain larger by up to that share, and enter what it gives.".into(),
        input: "duty.feed-temperature",
    }))
}

fn full_valve_flow(facts: &Facts<'_>) -> Option<Finding> {
    let ratio = facts.full_valve_flow_kg_s / facts.largest_flow_kg_s;
    (ratio < 1.05).then(|| Finding {
        severity: if ratio < 1.0 { Severity::Stop } else { Severity::Warn },
        code: "valve-cannot-keep-up",
        what: format!("The fully open valve passes {:.0} % of the largest flow leaving the vessel.", 100.0 * ratio),
        consequence: if ratio < 1.0 {
            "At the largest duty the level falls whatever the controller does.".into()
        } else {
            "At the largest duty there is nothing left to bring the level back with.".into()
        },
        remedy: "Check the full-valve flow at the largest duty; size the valve for the largest flow with some in hand.".into(),
        input: if facts.feedwater.is_none() { "feedwater.full-valve-flow" } else { "valve.size" },
    })
}

/// Duties that the open valve does not reach: the largest gain of the characteristic stands in.
fn worst_gain_taken(facts: &Facts<'_>) -> Option<Finding> {
    let names: Vec<&str> = facts
        .bench
        .duties
        .iter()
        .filter(|duty| valve_gain(facts.feedwater, &duty.name).is_some_and(|gain| gain.is_worst))
        .map(|duty| duty.name.as_str())
        .collect();
    (!names.is_empty()).then(|| Finding {
        severity: Severity::Warn,
        code: "valve-gain-worst-taken",
        what: format!(
            "The installed valve has no travel, and so no gain, at: {}; the largest gain of its characteristic is used there.",
            names.join(", ")
        ),
        consequence: "The settings come out slower than they may need to be.".into(),
        remedy: "Choose a valve and supply that reach every duty; the feedwater sheet says what is short.".into(),
        input: "valve.size",
    })
}

fn closed_window(facts: &Facts<'_>) -> Option<Finding> {
    facts.window.slowest_s.is_none().then(|| Finding {
        severity: Severity::Warn,
        code: "tuning-window-closed",
        what: format!(
            "The fastest robust settings let the level go {:.1} times as far as allowed after the largest load change.",
            facts.fastest.peak_true_deviation_m / facts.bench.allowed_deviation_m
        ),
        consequence: "One element alone cannot hold this level as tightly as wanted.".into(),
        remedy: format!(
            "See the tuning sheet for what would open the window: shorter dead time, smaller load steps, {} feed-forward, or a wider allowance.",
            load_flow(facts.the_loop.vessel.kind)
        ),
        input: "limits.allowed-deviation",
    })
}

/// What is wrong with settings that are in use.
fn bad_settings(judged: &Judged, facts: &Facts<'_>, input: &'static str) -> Vec<Finding> {
    let mut findings = Vec::new();
    let times = reset_times(judged, facts.chosen);
    if !judged.stable {
        findings.push(Finding {
            severity: Severity::Stop,
            code: "as-found-unstable",
            what: format!(
                "With the {} settings the loop is forecast to be unstable.",
                judged.name
            ),
            consequence:
                "The level swings ever wider until the valve hits its ends or a trip acts.".into(),
            remedy: "Put the controller in manual and enter the settings of the settings sheet."
                .into(),
            input,
        });
    } else if !judged.robust {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "as-found-not-robust",
            what: format!(
                "With the {} settings Ms is {:.2}; {:.2} is the most accepted.",
                judged.name, judged.max_sensitivity_ratio, facts.bench.max_sensitivity_limit
            ),
            consequence: "A little more dead time, deadband or gain sets the loop swinging.".into(),
            remedy: "Enter the settings of the settings sheet.".into(),
            input,
        });
    }
    if judged.damping_ratio < 1.0 {
        findings.push(Finding {
            severity: if judged.damping_ratio < 0.5 { Severity::Warn } else { Severity::Note },
            code: "as-found-reset-too-fast",
            what: format!("The {} reset {times}; damping without dead time is {:.2}.", judged.name, judged.damping_ratio),
            consequence: "The level overshoots after every load change, and deadband or stiction keeps it rolling.".into(),
            remedy: "Slow the reset down first; the gain is rarely the trouble.".into(),
            input: "as-found.reset",
        });
    }
    if judged.stable && !judged.holds_deviation {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "as-found-too-slow",
            what: format!(
                "With the {} settings the largest load change moves the level {:.1} times as far as allowed.",
                judged.name,
                judged.peak_true_deviation_m / facts.bench.allowed_deviation_m
            ),
            consequence: "The level may reach an alarm on an ordinary load change.".into(),
            remedy: "Enter the settings of the settings sheet, or allow a larger deviation.".into(),
            input,
        });
    }
    findings
}

fn reset_times(judged: &Judged, chosen: &Judged) -> String {
    match (judged.reset_s, chosen.reset_s) {
        (Some(found_s), Some(chosen_s)) if found_s < chosen_s => format!(
            "is {:.0} times as fast as the computed one",
            chosen_s / found_s
        ),
        (Some(_), Some(_)) => {
            "is no faster than the computed one but the gain is low for it".into()
        }
        _ => "is not to be compared".into(),
    }
}

fn habit(facts: &Facts<'_>) -> Option<Finding> {
    let habit = facts.habit;
    (!habit.stable || habit.damping_ratio < 1.0 || !habit.robust).then(|| Finding {
        severity: Severity::Note,
        code: "habit-does-not-suit",
        what: format!(
            "The usual start (band 25 % of span, reset 90 s) would be {} here.",
            if !habit.stable {
                "unstable".to_owned()
            } else if habit.damping_ratio < 1.0 {
                format!("damped {:.2}", habit.damping_ratio)
            } else {
                format!("stable with Ms {:.1}", habit.max_sensitivity_ratio)
            }
        ),
        consequence: "Settings brought along from another vessel make this one swing.".into(),
        remedy: "Start from the settings sheet.".into(),
        input: "",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::VesselKind;
    use crate::example_loop::shell_boiler;

    #[test]
    fn practice_heating_steam_is_told_with_its_duty() {
        let mut the_loop = shell_boiler();
        assert_eq!(condensing_steam(&the_loop).unwrap(), None);
        the_loop.vessel.kind = VesselKind::Deaerator;
        let most = most_condensed(&the_loop).unwrap().unwrap();
        let finding = condensing_steam(&the_loop).unwrap().unwrap();
        let words = format!(
            "{:.1} % of its mass of heating steam (duty {})",
            100.0 * most.ratio,
            most.duty
        );
        assert!(finding.what.contains(&words), "{}", finding.what);
    }
}
