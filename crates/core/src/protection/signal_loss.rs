//! The table of failures: where each ends, how soon, and what catches it.

use crate::description::{InputFault, Loop, ValveService};
use crate::finding::{Finding, Severity};
use crate::protection::ProtectionError;
use crate::protection::failure::{Chain, Failure, Panel, ValveEnd, follow};
use crate::protection::inventory::{
    balanced_flow_kg_s, contents_in_service, extreme_duties, mass_between_kg,
};
use crate::protection::sheets::{BothWays, FailureRow, Outcome};
use crate::quantity::TrueLevel;
use crate::working::Working;

/// Name of the overflow: the one catch that is not a trip.
const OVERFLOW: &str = "overflow";

/// What stops a falling or a rising level, independent of this loop.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Catch {
    name: &'static str,
    level_m: f64,
}

/// Where and how soon a level ends that leaves the set point.
struct Ends {
    low: Option<Catch>,
    high: Option<Catch>,
    /// Mass from set point down to the low catch, kg.
    down_kg: Option<f64>,
    /// Mass from set point up to the high catch, kg.
    up_kg: Option<f64>,
    /// Largest and smallest flow through the valve that holds the level, kg/s.
    largest_kg_s: f64,
    smallest_kg_s: f64,
    full_valve_kg_s: f64,
    service: ValveService,
}

/// How soon, and to what; `minutes` is `None` with the reason in `to`.
struct Deadline {
    minutes: Option<f64>,
    to: String,
}

impl Ends {
    fn of(described: &Loop, full_valve_kg_s: f64) -> Result<Self, ProtectionError> {
        let (low, high) = (low_catch(described)?, high_catch(described)?);
        let contents = contents_in_service(described, described.pressures.normal)?;
        let (largest, smallest) = extreme_duties(described)?;
        let set_point = TrueLevel::from_m(described.limits.set_point_m);
        let between = |catch: Option<Catch>, is_low: bool| {
            catch
                .map(|catch| {
                    let mark = TrueLevel::from_m(catch.level_m);
                    if is_low {
                        mass_between_kg(described, contents, set_point, mark)
                    } else {
                        mass_between_kg(described, contents, mark, set_point)
                    }
                })
                .transpose()
        };
        if !(full_valve_kg_s > 0.0 && full_valve_kg_s.is_finite()) {
            return Err(ProtectionError::FullValveFlow {
                flow_kg_s: full_valve_kg_s,
            });
        }
        Ok(Self {
            low,
            high,
            down_kg: between(low, true)?,
            up_kg: between(high, false)?,
            largest_kg_s: balanced_flow_kg_s(described, largest),
            smallest_kg_s: balanced_flow_kg_s(described, smallest),
            full_valve_kg_s,
            service: described.feedwater.service,
        })
    }

    /// Net flows that let the level fall and rise, at the worst duty, kg/s.
    ///
    /// A closed valve leaves the largest flow unbalanced, an open one the full flow less the smallest; one that
    /// stays where it is leaves the difference of the duties.
    fn net_kg_s(&self, valve: ValveEnd) -> (f64, f64) {
        let closed = self.largest_kg_s;
        let open = self.full_valve_kg_s - self.smallest_kg_s;
        let stays = self.largest_kg_s - self.smallest_kg_s;
        match (valve, self.service) {
            (ValveEnd::Stays, _) => (stays, stays),
            (_, ValveService::Inflow) => (closed, open),
            (_, ValveService::Outflow) => (open, closed),
        }
    }

    fn falling(&self, net_kg_s: f64) -> Deadline {
        match (self.low, self.down_kg) {
            (Some(catch), Some(mass_kg)) => deadline(catch, mass_kg, net_kg_s),
            _ => Deadline {
                minutes: None,
                to: "no trip described below the set point".to_owned(),
            },
        }
    }

    fn rising(&self, net_kg_s: f64) -> Deadline {
        match (self.high, self.up_kg) {
            (Some(catch), Some(mass_kg)) => deadline(catch, mass_kg, net_kg_s),
            _ => Deadline {
                minutes: None,
                to: "no trip or overflow described above the set point".to_owned(),
            },
        }
    }

    /// Worst deadline of a chain.
    fn deadline(&self, chain: &Chain) -> Deadline {
        let (down_kg_s, up_kg_s) = self.net_kg_s(chain.valve);
        let (falling, rising) = (self.falling(down_kg_s), self.rising(up_kg_s));
        match chain.outcome {
            Outcome::Starves => falling,
            Outcome::Floods => rising,
            Outcome::Drifts => {
                let sooner = match (falling.minutes, rising.minutes) {
                    (Some(falling_min), Some(rising_min)) if rising_min < falling_min => rising,
                    (None, Some(_)) => rising,
                    _ => falling,
                };
                sooner.on_condition(drift_condition(chain))
            }
        }
    }

    /// Both deadlines of a chain whose direction cannot be told.
    fn both_ways(&self, chain: &Chain) -> Option<BothWays> {
        if chain.outcome != Outcome::Drifts {
            return None;
        }
        let (down_kg_s, up_kg_s) = self.net_kg_s(chain.valve);
        let condition = drift_condition(chain);
        let falling = self.falling(down_kg_s).on_condition(condition);
        let rising = self.rising(up_kg_s).on_condition(condition);
        Some(BothWays {
            falling_minutes: falling.minutes,
            falling_to: falling.to,
            rising_minutes: rising.minutes,
            rising_to: rising.to,
        })
    }
}

impl Deadline {
    /// The same with what must happen for it to come.
    fn on_condition(self, condition: &str) -> Self {
        Self {
            to: match self.minutes {
                Some(_) => format!("{}, {condition}", self.to),
                None => self.to,
            },
            ..self
        }
    }
}

/// What must happen for a drifting level to reach a trip in the minutes told.
fn drift_condition(chain: &Chain) -> &'static str {
    if chain.valve == ValveEnd::Stays {
        "if the load goes from one end to the other"
    } else {
        "if the valve goes to its end"
    }
}

fn deadline(catch: Catch, mass_kg: f64, net_kg_s: f64) -> Deadline {
    if net_kg_s > 0.0 {
        Deadline {
            minutes: Some(mass_kg / net_kg_s / 60.0),
            to: catch.name.to_owned(),
        }
    } else {
        Deadline {
            minutes: None,
            to: format!("never to {}: the flows of all duties balance", catch.name),
        }
    }
}

fn low_catch(described: &Loop) -> Result<Option<Catch>, ProtectionError> {
    let limits = &described.limits;
    let kind = described.vessel.kind;
    let catch = [
        (kind.first_low_trip(), limits.low_cutoff_m),
        (kind.second_low_trip(), limits.second_low_cutoff_m),
    ]
    .into_iter()
    .find_map(|(name, level_m)| level_m.map(|level_m| Catch { name, level_m }));
    match catch {
        None => Ok(None),
        Some(catch) if catch.level_m < limits.set_point_m => Ok(Some(catch)),
        Some(catch) => Err(ProtectionError::TripSide {
            trip: catch.name,
            trip_m: catch.level_m,
            side: "below",
            set_point_m: limits.set_point_m,
        }),
    }
}

fn high_catch(described: &Loop) -> Result<Option<Catch>, ProtectionError> {
    let limits = &described.limits;
    let catch = [
        ("high trip", limits.high_trip_m),
        (OVERFLOW, described.elevations.overflow_m),
    ]
    .into_iter()
    .find_map(|(name, level_m)| level_m.map(|level_m| Catch { name, level_m }));
    match catch {
        None => Ok(None),
        Some(catch) if catch.level_m > limits.set_point_m => Ok(Some(catch)),
        Some(catch) => Err(ProtectionError::TripSide {
            trip: catch.name,
            trip_m: catch.level_m,
            side: "above",
            set_point_m: limits.set_point_m,
        }),
    }
}

/// All failures, followed to the vessel.
///
/// Minutes run from the set point at the worst duty: a valve that no longer feeds against the largest load, a valve
/// fully open against the smallest.
pub(super) fn failure_rows(
    described: &Loop,
    full_valve_kg_s: f64,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Vec<FailureRow>, ProtectionError> {
    let ends = Ends::of(described, full_valve_kg_s)?;
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

fn workings_of(ends: &Ends) -> Vec<Working> {
    // Both ends of the valve at once: the flows that a fully open and a closed valve leave unbalanced.
    let (down_kg_s, up_kg_s) = ends.net_kg_s(ValveEnd::Wanders);
    let valve_falls_open = ends.service == ValveService::Outflow;
    [
        (
            ends.low,
            ends.down_kg,
            down_kg_s,
            valve_falls_open,
            "starving",
        ),
        (
            ends.high,
            ends.up_kg,
            up_kg_s,
            !valve_falls_open,
            "flooding",
        ),
    ]
    .into_iter()
    .filter_map(|(catch, mass_kg, net_kg_s, valve_open, word)| {
        let (catch, mass_kg) = (catch?, mass_kg?);
        let working = Working::new(
            format!("Time from set point to {}, {word}", catch.name),
            if valve_open {
                "t = m / (w_full - w_smallest)"
            } else {
                "t = m / w_largest"
            },
            mass_kg / net_kg_s,
            "s",
            "mass balance at constant pressure",
            "valve at its end from the first moment; worst duty",
        )
        .with(
            "m",
            "mass between the two levels, water less the steam in its place",
            mass_kg,
            "kg",
        );
        (net_kg_s > 0.0).then(|| {
            if valve_open {
                working
                    .with(
                        "w_full",
                        "flow with the valve fully open",
                        ends.full_valve_kg_s,
                        "kg/s",
                    )
                    .with(
                        "w_smallest",
                        "smallest flow to balance",
                        ends.smallest_kg_s,
                        "kg/s",
                    )
            } else {
                working.with(
                    "w_largest",
                    "largest flow to balance",
                    ends.largest_kg_s,
                    "kg/s",
                )
            }
        })
    })
    .collect()
}

/// Failures that starve or flood the vessel with nothing to stop it.
fn not_caught(
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
fn broken_signal_taken_for_level(
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

#[cfg(test)]
#[path = "signal_loss_tests.rs"]
mod tests;
