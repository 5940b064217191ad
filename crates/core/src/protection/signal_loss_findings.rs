//! What an engineer should notice in the table of failures.

use crate::description::{InputFault, Loop};
use crate::finding::{Finding, Severity};
use crate::protection::deadline::Ends;
use crate::protection::failure::{Chain, Failure};
use crate::protection::sheets::{FailureRow, Outcome};

/// Failures that starve or flood the vessel with nothing to stop it.
pub(super) fn not_caught(
    described: &Loop,
    ends: &Ends,
    rows: &[FailureRow],
    outcome: Outcome,
) -> Option<Finding> {
    let starves = outcome == Outcome::Starves;
    let catch = if starves { ends.low } else { ends.high };
    let failures: Vec<&str> = rows
        .iter()
        .filter(|row| row.outcome == outcome)
        .map(|row| row.failure.as_str())
        .collect();
    if catch.is_some() || failures.is_empty() {
        return None;
    }
    let fired = described.vessel.kind.is_fired();
    let failures = failures.join(", ");
    Some(if starves {
        Finding {
            severity: if fired { Severity::Stop } else { Severity::Warn },
            code: "starving-not-caught",
            what: format!("Nothing is described that stops a falling level after: {failures}."),
            consequence: if fired {
                "The heated surface runs dry with the burner lit."
            } else {
                "The vessel runs empty, and the pumps it feeds run dry."
            }
            .to_owned(),
            remedy: if fired {
                "Describe the independent low-water cutoff, or fit one: local code decides what it must be."
            } else {
                "Describe the independent low-level trip of the pumps, or fit one."
            }
            .to_owned(),
            input: "limits.low-cutoff",
        }
    } else {
        Finding {
            severity: Severity::Warn,
            code: "flooding-not-caught",
            what: format!("Nothing is described that stops a rising level after: {failures}."),
            consequence: if described.vessel.kind.holds_steam() {
                "Water leaves with the steam and strikes what is downstream."
            } else {
                "The tank runs over."
            }
            .to_owned(),
            remedy: "Fit a high-level trip that is independent of this loop, or choose fail positions and input-fault behaviour that do not flood.".to_owned(),
            input: "limits.high-trip",
        }
    })
}

/// A dead signal that the controller takes for a level.
pub(super) fn broken_signal_taken_for_level(
    described: &Loop,
    followed: &[(Failure, Chain)],
    rows: &[FailureRow],
) -> Option<Finding> {
    if described.controller.input_fault != InputFault::NotDetected {
        return None;
    }
    let (_, row) = followed
        .iter()
        .zip(rows)
        .find(|((failure, _), _)| *failure == Failure::SignalBroken)?;
    let end = if row.outcome == Outcome::Starves {
        "starves"
    } else {
        "floods"
    };
    let minutes = row.minutes.map_or(String::new(), |minutes| {
        format!(" within {minutes:.1} min at the worst duty")
    });
    Some(Finding {
        severity: Severity::Warn,
        code: "broken-signal-taken-for-level",
        what: format!(
            "The controller does not detect an input out of range: with the signal loop broken it {}.",
            row.controller_does
        ),
        consequence: format!("The valve {} and the vessel {end}{minutes}.", row.valve_does),
        remedy: "Let the controller detect an input out of range, choose what its output then does, and wire an alarm to it.".to_owned(),
        input: "controller.input-fault",
    })
}
