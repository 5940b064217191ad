//! What a person should conclude from many draws.

use super::Draws;
use crate::description::Loop;
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Below this size of the correlation an input is not named as what the deviation hangs on.
const WORTH_NAMING: f64 = 0.3;

/// Conclusions, gravest first; never empty. SIMULATION: they speak of the model and of the spreads that were drawn.
pub fn draws_conclusions(described: &Loop, draws: &Draws) -> Vec<Finding> {
    let units = ReaderUnits::of(described);
    let count = draws.count;
    let mut findings = Vec::new();
    if draws.ended > 0 {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "draws-leave-the-model",
            what: format!(
                "{} of {count} draws leave the model before the end",
                draws.ended
            ),
            consequence:
                "what would follow in them is not known; count them as a vessel out of hand".into(),
            remedy: "look at the worst draw, and soften the disturbance until none leaves".into(),
            input: "",
        });
    }
    for mark in draws.passed.iter().filter(|mark| mark.draws > 0) {
        let is_alarm = mark.mark.contains("alarm");
        findings.push(Finding {
            severity: if is_alarm { Severity::Note } else { Severity::Warn },
            code: if is_alarm { "draws-pass-an-alarm" } else { "draws-pass-a-trip" },
            what: format!(
                "in {} of {count} draws the TRUE level passes the {}, by {} at most",
                mark.draws,
                mark.mark,
                units.level((-mark.nearest_true_m).max(0.0))
            ),
            consequence: if mark.draws == count {
                "this happens whatever the unmeasured inputs are, as far as they were drawn".into()
            } else {
                "inputs that nobody measured decide whether it happens: one run that holds proves little".to_owned()
            },
            remedy: remedy(draws),
            input: "",
        });
    }
    let reach_m = draws.highest_m.highest.max(-draws.lowest_m.lowest);
    if draws.outside > 0 {
        findings.push(Finding {
            severity: Severity::Note,
            code: "draws-leave-the-deviation",
            what: format!(
                "in {} of {count} draws the TRUE level leaves the allowed deviation, and goes {} from the set point at worst",
                draws.outside,
                units.level(reach_m)
            ),
            consequence: "the loop is not sure to hold what is allowed in this scenario".into(),
            remedy: remedy(draws),
            input: "limits.allowed-deviation",
        });
    }
    if findings.is_empty() {
        findings.push(Finding {
            severity: Severity::Note,
            code: "draws-hold",
            what: format!(
                "in all of {count} draws the TRUE level stays within {} of the set point and passes no mark",
                units.level(reach_m)
            ),
            consequence: "the conclusion does not hang on inputs that nobody measured, as far as they were drawn".into(),
            remedy: "prove it at commissioning with a small step all the same: a model vouches for nothing".into(),
            input: "",
        });
    }
    findings.sort_by_key(|finding| finding.severity);
    findings
}

/// What to measure first.
fn remedy(draws: &Draws) -> String {
    let named = draws
        .inputs
        .iter()
        .filter_map(|input| Some((input, input.correlation?.abs())))
        .filter(|(_, size)| *size > WORTH_NAMING)
        .max_by(|left, right| left.1.total_cmp(&right.1));
    match named {
        Some((input, _)) => format!(
            "the deviation hangs most on the {}: learn that first, or choose settings that hold without knowing it",
            input
                .assumption
                .input
                .trim_start_matches("draws.")
                .replace('-', " ")
        ),
        None => "no drawn input stands out: slower loads, more elements or other settings are what is left".into(),
    }
}
