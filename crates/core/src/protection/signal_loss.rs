//! The table of failures: where each ends, how soon, and what catches it.

use crate::description::Loop;
use crate::feedwater::sheets::FeedwaterSheet;
use crate::finding::Finding;
use crate::protection::ProtectionError;
use crate::protection::deadline::{Catch, Ends, OVERFLOW, workings_of};
use crate::protection::failure::{Chain, Failure, Panel, ValveEnd, follow};
use crate::protection::sheets::{FailureRow, Outcome};
use crate::protection::signal_loss_findings::{broken_signal_taken_for_level, not_caught};
use crate::working::Working;

/// All failures, followed to the vessel.
///
/// Minutes run from the set point at the worst duty: a valve that no longer feeds against the largest load, a valve
/// fully open against the smallest.
pub(super) fn failure_rows(
    described: &Loop,
    feedwater: Option<&FeedwaterSheet>,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Vec<FailureRow>, ProtectionError> {
    let ends = Ends::of(described, feedwater)?;
    let followed: Vec<(Failure, Chain)> = Failure::ALL
        .into_iter()
        .map(|failure| (failure, follow(described, failure)))
        .collect();
    let rows: Vec<FailureRow> = followed
        .iter()
        .map(|(failure, chain)| {
            let deadline = ends.deadline(chain);
            FailureRow {
                failure: failure.name(&described.cell),
                controller_does: chain.controller_does.clone(),
                valve_does: valve_words(chain.valve).to_owned(),
                outcome: chain.outcome,
                minutes: deadline.minutes,
                minutes_to: deadline.to,
                both_ways: ends.both_ways(chain),
                caught_by: caught_by(described, &ends, chain),
            }
        })
        .collect();
    workings.extend(workings_of(&ends));
    findings.extend(not_caught(described, &ends, &rows, Outcome::Starves));
    findings.extend(not_caught(described, &ends, &rows, Outcome::Floods));
    findings.extend(broken_signal_taken_for_level(described, &followed, &rows));
    Ok(rows)
}

const fn valve_words(valve: ValveEnd) -> &'static str {
    match valve {
        ValveEnd::Open => "opens fully",
        ValveEnd::Closed => "closes",
        ValveEnd::Stays => "stays where it is",
        ValveEnd::Wanders => "wanders with the output",
    }
}

/// What warns first and what stops the level at last. A trip is named as described, never vouched for.
fn caught_by(described: &Loop, ends: &Ends, chain: &Chain) -> String {
    const CONDITION: &str = "only if independent of this loop and proved";
    let stops = |catch: Option<Catch>| catch.map_or("nothing", |catch| catch.name);
    let last = match chain.outcome {
        Outcome::Starves => stops(ends.low).to_owned(),
        Outcome::Floods => stops(ends.high).to_owned(),
        Outcome::Drifts => format!("falling: {}; rising: {}", stops(ends.low), stops(ends.high)),
    };
    let by_trip = |catch: Option<Catch>| catch.is_some_and(|catch| catch.name != OVERFLOW);
    let needs_trip = match chain.outcome {
        Outcome::Starves => by_trip(ends.low),
        Outcome::Floods => by_trip(ends.high),
        Outcome::Drifts => by_trip(ends.low) || by_trip(ends.high),
    };
    let first = if chain.detected {
        "the controller's input-fault alarm, if it is wired; then "
    } else {
        warns_first(described, chain)
    };
    if needs_trip {
        format!("{first}{last}, {CONDITION}")
    } else {
        format!("{first}{last}")
    }
}

/// What the alarms that take this loop's signal do.
fn warns_first(described: &Loop, chain: &Chain) -> &'static str {
    let (low, high) = (
        described.limits.low_alarm_m.is_some(),
        described.limits.high_alarm_m.is_some(),
    );
    let has_alarm = match chain.outcome {
        Outcome::Starves => low,
        Outcome::Floods => high,
        Outcome::Drifts => low || high,
    };
    match chain.panel {
        Panel::SaysLow if low => "only a false low alarm warns; then ",
        Panel::SaysHigh if high => "only a false high alarm warns; then ",
        Panel::Follows if has_alarm => "the alarm; then ",
        _ if has_alarm => "no alarm on this loop's signal; ",
        _ => "",
    }
}

#[cfg(test)]
#[path = "signal_loss_tests.rs"]
mod tests;
