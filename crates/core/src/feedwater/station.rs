//! What stands around the valve, and what follows when the valve loses its signal or its power: sentences in order.

use crate::description::feed_system::{Bypass, FeedSystem, Supply};
use crate::description::{FailPosition, Loop, ValveService};
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Bypass Kv over rated Kv above which a hand can flood the vessel faster than the valve (no source).
const LARGE_BYPASS_RATIO: f64 = 1.2;

/// Why there are no words on the station.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StationError {
    /// The bypass's Kv is no flow coefficient.
    #[error("Kv of the bypass is {kv_m3_h} m3/h: more than 0 is wanted")]
    BypassKv {
        /// Kv, m3/h.
        kv_m3_h: f64,
    },
}

/// Sentences on fail positions, bypass, isolating valves and what stays of an on/off system, with cautions.
///
/// # Errors
/// [`StationError`].
pub fn station_words(
    the_loop: &Loop,
    system: &FeedSystem,
) -> Result<(Vec<String>, Vec<Finding>), StationError> {
    let valve = &the_loop.feedwater;
    let mut words = vec![
        fail_words(the_loop, "control signal", valve.on_signal_loss),
        fail_words(the_loop, "actuator power", valve.on_power_loss),
    ];
    let mut findings = Vec::new();
    if valve.on_signal_loss != valve.on_power_loss {
        words.push(
            "The two losses end in different positions: the label on the valve must say both."
                .into(),
        );
    }
    findings.extend(fails_towards_harm(the_loop));
    words.push(bypass_words(
        system,
        ReaderUnits::of(the_loop),
        &mut findings,
    )?);
    if system.station.isolating_valves {
        words.push("Isolating valves stand on both sides: shut, locked, drained and vented before the valve is opened; hot water under pressure flashes.".into());
    } else {
        words.push("No isolating valves: the valve can be worked on only with vessel and feed line cold and without pressure.".into());
        findings.push(Finding {
            severity: Severity::Note,
            code: "valve-cannot-be-isolated",
            what: "The control valve has no isolating valves on both sides.".into(),
            consequence: "Every repair of it takes the vessel out of service.".into(),
            remedy: "Fit isolating valves, with a drain between, if the codes and the licensed person agree.".into(),
            input: "station.isolating-valves",
        });
    }
    if system.station.replaces_on_off {
        words.extend(on_off_words(the_loop, system, &mut findings));
    }
    if let Supply::Pump(pump) = &system.supply {
        words.push(match pump.standby {
            0 => "No pump stands by: when the running one fails the level falls, and nothing in this loop ends it, only a proved, independent trip can.".into(),
            1 => "One pump stands by: what starts it (pressure, a failed partner, a hand) is no part of this loop; it must start against the position in which it finds the valve.".into(),
            count => format!("{count} pumps stand by: what starts them (pressure, a failed partner, a hand) is no part of this loop; they must start against the position in which they find the valve."),
        });
    }
    words.push("Which fail position, bypass and stop or check valves are allowed is for the local codes, the vessel's maker and the licensed person to say; this sheet only says what follows.".into());
    Ok((words, findings))
}

fn position(fail: FailPosition) -> &'static str {
    match fail {
        FailPosition::Last => "stays where it is",
        FailPosition::Open => "opens",
        FailPosition::Closed => "shuts",
    }
}

/// Does this position let the level rise (`Some(true)`) or fall; `None`: stays.
fn level_rises(service: ValveService, fail: FailPosition) -> Option<bool> {
    match (fail, service) {
        (FailPosition::Last, _) => None,
        (FailPosition::Open, ValveService::Inflow)
        | (FailPosition::Closed, ValveService::Outflow) => Some(true),
        _ => Some(false),
    }
}

fn fail_words(the_loop: &Loop, lost: &str, fail: FailPosition) -> String {
    let kind = the_loop.vessel.kind;
    let low = if the_loop.limits.low_cutoff_m.is_some() {
        format!("the {}", kind.first_low_trip())
    } else {
        "no such trip is described".to_owned()
    };
    let high = if the_loop.limits.high_trip_m.is_some() {
        "the high-level trip"
    } else {
        "no such trip is described, and an alarm only calls somebody"
    };
    let follows = match level_rises(the_loop.feedwater.service, fail) {
        None => "the flow stays as it was; the level drifts with the load, up or down, and nothing tells of it before an alarm".to_owned(),
        Some(true) => format!("the level rises; nothing in this loop ends it, only a proved, independent trip can ({high})"),
        Some(false) => format!("the level falls; nothing in this loop ends it, only a proved, independent trip can ({low})"),
    };
    format!(
        "On loss of the {lost} the valve {}: {follows}.",
        position(fail)
    )
}

/// A fail position whose end no trip of the survey catches.
fn fails_towards_harm(the_loop: &Loop) -> Option<Finding> {
    let valve = &the_loop.feedwater;
    let rises = [valve.on_signal_loss, valve.on_power_loss]
        .into_iter()
        .any(|fail| level_rises(valve.service, fail) == Some(true));
    (rises && the_loop.limits.high_trip_m.is_none()).then(|| Finding {
        severity: Severity::Warn,
        code: "fails-full-without-trip",
        what: "The valve's fail position floods the vessel and no high-level trip is described.".into(),
        consequence: "Water goes over into the steam line or out of the vents.".into(),
        remedy: "Describe the high-level trip, fit one, or take another fail position if the codes allow it.".into(),
        input: "feedwater.on-power-loss",
    })
}

fn bypass_words(
    system: &FeedSystem,
    units: ReaderUnits,
    findings: &mut Vec<Finding>,
) -> Result<String, StationError> {
    Ok(match system.station.bypass {
        Bypass::None => {
            "No bypass: with the valve out of service nothing feeds the vessel.".to_owned()
        }
        Bypass::Hand { kv_m3_h: None } => "A hand bypass of unknown size: someone must stay at it with the gauge glass in sight for as long as it is open; no alarm of this loop stops a flow through it.".to_owned(),
        Bypass::Hand {
            kv_m3_h: Some(kv_m3_h),
        } => {
            if !(kv_m3_h > 0.0 && kv_m3_h.is_finite()) {
                return Err(StationError::BypassKv { kv_m3_h });
            }
            let rated = system.valve.fitted.as_ref().map(|size| size.rated_kv_m3_h);
            if let Some(rated) = rated
                && kv_m3_h > LARGE_BYPASS_RATIO * rated
            {
                findings.push(Finding {
                    severity: Severity::Note,
                    code: "bypass-larger-than-valve",
                    what: format!("The bypass passes {:.1} times what the control valve does, fully open.", kv_m3_h / rated),
                    consequence: "A hand on it fills the vessel faster than the loop ever could.".into(),
                    remedy: "Throttle it with a mark or stop, or take a bypass no larger than the valve (common practice).".into(),
                    input: "station.bypass",
                });
            }
            format!("A hand bypass of {}: someone must stay at it with the gauge glass in sight for as long as it is open; no alarm of this loop stops a flow through it.", units.coefficient(kv_m3_h))
        }
    })
}

/// What stays of the on/off system.
fn on_off_words(the_loop: &Loop, system: &FeedSystem, findings: &mut Vec<Finding>) -> Vec<String> {
    let trip = the_loop.vessel.kind.first_low_trip();
    let mut words = vec![
        match &system.supply {
            Supply::Pump(_) => "This loop replaces on/off control of the pump: the pump now runs all the time, against the valve, and its level switch no longer starts and stops it.",
            Supply::Header(_) => "This loop replaces on/off control: the valve now throttles all the time, and the level switch no longer opens and shuts the feed.",
        }
        .to_owned(),
        format!("What stays as it was: the {trip} and every other independent trip, wired as before and never through this controller; their proof tests go on."),
    ];
    if system.station.interlocks_kept.is_empty() {
        words.push(
            "No interlock of the old system is written down as kept: walk down its wiring first."
                .into(),
        );
        findings.push(Finding {
            severity: Severity::Warn,
            code: "interlocks-not-listed",
            what: "On/off control is replaced and no interlock that stays is listed.".into(),
            consequence: "A contact that also stopped the burner or the pump may go with the switch that is taken out.".into(),
            remedy: "Trace every contact of the old level switch, list what stays, and have the licensed person agree before anything is disconnected.".into(),
            input: "station.interlocks-kept",
        });
    } else {
        words.push(format!(
            "Kept from the old system: {}.",
            system
                .station
                .interlocks_kept
                .iter()
                .map(|kept| kept.trim().trim_end_matches('.'))
                .collect::<Vec<_>>()
                .join("; ")
        ));
    }
    if matches!(&system.supply, Supply::Pump(pump) if pump.running > 0) {
        words.push("The pump's motor, seal and minimum flow were chosen for starting and stopping; now it must stand long hours at low flow.".into());
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::Header;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::feed_system;
    use crate::quantity::AbsolutePressure;

    fn said(the_loop: &Loop, system: &FeedSystem) -> (String, Vec<&'static str>) {
        let (words, findings) = station_words(the_loop, system).unwrap();
        (
            words.join("\n"),
            findings.iter().map(|finding| finding.code).collect(),
        )
    }

    #[test]
    fn practice_both_losses_are_told_with_what_follows() {
        let (mut the_loop, system) = (shell_boiler(), feed_system());
        the_loop.feedwater.on_signal_loss = FailPosition::Closed;
        the_loop.feedwater.on_power_loss = FailPosition::Open;
        let (words, codes) = said(&the_loop, &system);
        for part in [
            "loss of the control signal the valve shuts: the level falls; nothing in this loop ends it, only a proved, independent trip can (the first low-water cutoff)",
            "loss of the actuator power the valve opens: the level rises; nothing in this loop ends it, only a proved, independent trip can (the high-level trip)",
            "different positions",
            "local codes",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
        assert!(!codes.contains(&"fails-full-without-trip"));
        the_loop.limits.high_trip_m = None;
        assert!(
            said(&the_loop, &system)
                .1
                .contains(&"fails-full-without-trip")
        );
        // A drain valve does the opposite.
        the_loop.feedwater.service = ValveService::Outflow;
        assert!(
            said(&the_loop, &system)
                .0
                .contains("signal the valve shuts: the level rises")
        );
        the_loop.feedwater.on_signal_loss = FailPosition::Last;
        the_loop.feedwater.on_power_loss = FailPosition::Last;
        assert!(said(&the_loop, &system).0.contains("drifts with the load"));
    }

    #[test]
    fn practice_what_stays_of_on_off_is_listed_or_asked_for() {
        let (the_loop, mut system) = (shell_boiler(), feed_system());
        system.station.replaces_on_off = false;
        assert!(!said(&the_loop, &system).0.contains("on/off"));
        system.station.replaces_on_off = true;
        system.station.interlocks_kept = Vec::new();
        assert!(
            said(&the_loop, &system)
                .1
                .contains(&"interlocks-not-listed")
        );
        system.station.interlocks_kept = vec!["low-water cutoff stops the burner.".into()];
        let (words, codes) = said(&the_loop, &system);
        assert!(words.contains("Kept from the old system: low-water cutoff stops the burner."));
        assert!(!codes.contains(&"interlocks-not-listed"));
        assert!(words.contains("the pump now runs all the time"));
        system.supply = Supply::Header(Header {
            pressure: AbsolutePressure::from_pa(1.5e6),
            droop: None,
        });
        assert!(
            said(&the_loop, &system)
                .0
                .contains("the valve now throttles all the time")
        );
    }

    #[test]
    fn practice_bypass_and_isolation() {
        let (the_loop, mut system) = (shell_boiler(), feed_system());
        system.station.isolating_valves = false;
        system.station.bypass = Bypass::None;
        let (words, codes) = said(&the_loop, &system);
        assert!(words.contains("No bypass") && codes.contains(&"valve-cannot-be-isolated"));
        system.station.isolating_valves = true;
        system.station.bypass = Bypass::Hand {
            kv_m3_h: Some(30.0),
        };
        system.valve.fitted = Some(system.valve.sizes[0].clone());
        system.valve.sizes[0].rated_kv_m3_h = 16.0;
        let fitted_kv = system.valve.fitted.as_ref().unwrap().rated_kv_m3_h;
        let codes = said(&the_loop, &system).1;
        assert_eq!(
            codes.contains(&"bypass-larger-than-valve"),
            30.0 > 1.2 * fitted_kv
        );
        system.station.bypass = Bypass::Hand {
            kv_m3_h: Some(f64::NAN),
        };
        assert!(station_words(&the_loop, &system).is_err());
    }
}
