//! What a person should conclude from a run, in words, from what the run did to level, marks, heated surface and valve.
//!
//! **Source:** common practice for what counts as busy; marks, allowed deviation and heated surface are the loop's own.
//! **Checked by:** `property_each_conclusion_has_its_cause`.

use super::ringing::ringing;
use super::run::Run;
use crate::description::Loop;
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Reversals an hour above which a valve wears (common practice, from memory: a dozen or two are quiet).
pub const BUSY_REVERSALS_PER_HOUR: f64 = 60.0;
/// Difference between panel and vessel that a person should hear of, share of the level span.
const WRONG_PANEL_SHARE: f64 = 0.02;

/// Conclusions, gravest first. SIMULATION: they speak of the model and say so.
pub fn conclusions(described: &Loop, run: &Run) -> Vec<Finding> {
    let mut findings = Vec::new();
    let summary = &run.summary;
    let kind = described.vessel.kind;
    let units = ReaderUnits::of(described);
    if let Some((time_s, why)) = &run.ended {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "run-ended-early",
            what: format!("the run ends after {}: {why}", units.time(*time_s)),
            consequence: "what would follow lies outside the model and is not known".into(),
            remedy: "count what happens before as the answer, and the end as a vessel out of hand"
                .into(),
            input: "",
        });
    }
    if let Some(cover_m) = summary.least_cover_m
        && cover_m < 0.0
    {
        findings.push(Finding {
            severity: Severity::Stop,
            code: "heated-surface-bare",
            what: format!(
                "the mixture falls {} below the highest heated surface",
                units.level(-cover_m)
            ),
            consequence: "in the plant that surface would overheat; the cutoffs must have acted before, and this run does not prove that they do".into(),
            remedy: "raise the marks or slow the disturbance, and prove the cutoffs independently".into(),
            input: "elevations.highest-heated-surface",
        });
    }
    for approach in &summary.approaches {
        let Some(passed_s) = approach.passed_s else {
            continue;
        };
        let is_alarm = approach.mark.contains("alarm");
        findings.push(Finding {
            severity: if is_alarm { Severity::Note } else { Severity::Warn },
            code: if is_alarm { "alarm-passed" } else { "trip-passed" },
            what: format!(
                "the TRUE level passes the {} after {}, by {} at most",
                approach.mark,
                units.time(passed_s),
                units.level((-approach.nearest_true_m).max(0.0))
            ),
            consequence: if is_alarm {
                "somebody is called".into()
            } else if kind.is_fired() {
                "the burner stops, where the trip does what it must; this run does not prove that it does".into()
            } else {
                "what the trip protects stops, where it does what it must; this run does not prove that it does".into()
            },
            remedy: if approach.nearest_indicated_m > 0.0 {
                "the panel did not come that far: trust the glass and the trips, not the panel".into()
            } else {
                "see which disturbance did it, and what holds it: settings, valve, feed-forward, or the mark's place".into()
            },
            input: "",
        });
    }
    if summary.outside_s > 0.0 {
        findings.push(Finding {
            severity: Severity::Note,
            code: "outside-allowed-deviation",
            what: format!(
                "the TRUE level is outside the allowed deviation for {} of {}",
                units.time(summary.outside_s),
                units.time(summary.duration_s)
            ),
            consequence: "the loop does not hold its level through this scenario".into(),
            remedy: "compare with other settings, two or three elements, or a gentler load".into(),
            input: "limits.allowed-deviation",
        });
    }
    let span_m = described.range.span.height_m();
    if summary.worst_indication_m.abs() > WRONG_PANEL_SHARE * span_m {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "panel-away-from-vessel",
            what: format!(
                "the panel says {} {} than the vessel holds at worst",
                units.level(summary.worst_indication_m.abs()),
                if summary.worst_indication_m > 0.0 { "more" } else { "less" }
            ),
            consequence: if summary.worst_indication_m > 0.0 {
                "the controller holds the panel, so the vessel stands that much lower".into()
            } else {
                "the controller holds the panel, so the vessel stands that much higher".into()
            },
            remedy: "range the cell for the vessel's working pressure; compare glass and panel whenever a leg may be hot".into(),
            input: "range",
        });
    }
    if let Some(ringing) = ringing(&run.samples, described.limits.allowed_deviation_m) {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "level-rings",
            what: format!(
                "the TRUE level swings to and fro {} times on end, each swing {:.2} of the one before, once over in {}",
                ringing.swings,
                ringing.decay_ratio,
                units.time(ringing.period_s)
            ),
            consequence: "little stability is left: a larger load step, a stickier valve or fewer bubbles to damp it, and the loop hunts".into(),
            remedy: "a slower reset first, then the gain; play in valve and linkage feeds the swing too: see what the tuning sheet and its proof give".into(),
            input: "controller",
        });
    }
    if summary.reversals_per_hour > BUSY_REVERSALS_PER_HOUR {
        findings.push(Finding {
            severity: Severity::Note,
            code: "valve-busy",
            what: format!(
                "the valve turns round {:.0} times an hour",
                summary.reversals_per_hour
            ),
            consequence: "packing, linkage and actuator wear; noise or too quick settings drive it"
                .into(),
            remedy: "a lower gain, a filter, or a wider deadband against the noise".into(),
            input: "controller",
        });
    }
    findings.sort_by_key(|finding| finding.severity);
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::design;
    use crate::dynamics::scan::Elements;
    use crate::dynamics::scenario::{RangeChoice, Scenario, SettingsChoice, StartAt};
    use crate::example_loop::shell_boiler;
    use crate::quantity::TrueLevel;

    /// Each conclusion comes when its cause is put into a run that has none, and not before.
    #[test]
    fn property_each_conclusion_has_its_cause() {
        let described = shell_boiler();
        let sheets = design(&described).unwrap();
        let scenario = Scenario {
            name: "quiet".into(),
            purpose: "nothing happens".into(),
            duration_s: 600.0,
            start_duty: None,
            start: StartAt::Duty,
            range: RangeChoice::Chosen,
            settings: SettingsChoice::Chosen,
            elements: Elements::One,
            noise_percent: 0.0,
            seed: 1,
            bubble_rise_ratio: 0.5,
            events: Vec::new(),
        };
        let mut vessel = crate::dynamics::plant::plant(&described, &scenario).unwrap();
        let quiet =
            crate::dynamics::run::run(&described, &sheets, &scenario, vessel.vessel.as_mut())
                .unwrap();
        assert!(
            conclusions(&described, &quiet).is_empty(),
            "{:?}",
            conclusions(&described, &quiet)
        );
        let with = |change: &dyn Fn(&mut Run)| {
            let mut run = quiet.clone();
            change(&mut run);
            let codes: Vec<&str> = conclusions(&described, &run)
                .iter()
                .map(|f| f.code)
                .collect();
            codes
        };
        assert_eq!(
            with(&|run| run.ended = Some((3.0, "dry".into()))),
            ["run-ended-early"]
        );
        assert_eq!(
            with(&|run| run.summary.least_cover_m = Some(-0.01)),
            ["heated-surface-bare"]
        );
        assert_eq!(
            with(&|run| run.summary.outside_s = 5.0),
            ["outside-allowed-deviation"]
        );
        assert_eq!(
            with(&|run| run.summary.worst_indication_m = 0.05),
            ["panel-away-from-vessel"]
        );
        assert_eq!(
            with(&|run| run.summary.reversals_per_hour = 100.0),
            ["valve-busy"]
        );
        assert_eq!(
            with(&|run| {
                for (index, sample) in run.samples.iter_mut().enumerate() {
                    let swing_m = 0.01 * (0.05 * index as f64).cos();
                    sample.true_level = TrueLevel::from_m(swing_m);
                }
            }),
            ["level-rings"]
        );
        for (index, approach) in quiet.summary.approaches.iter().enumerate() {
            let code = if approach.mark.contains("alarm") {
                "alarm-passed"
            } else {
                "trip-passed"
            };
            assert_eq!(
                with(&|run| run.summary.approaches[index].passed_s = Some(10.0)),
                [code]
            );
        }
    }
}
