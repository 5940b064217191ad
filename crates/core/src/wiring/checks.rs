//! What an engineer should notice on the wiring sheet.

use super::actuator_supply::{fuse_wanted_a, standard_fuse_a};
use super::connections::shield_at_both_ends;
use super::sheets::{ActuatorPower, SignalLoop, WiringSheet};
use crate::description::wiring::{ActuatorSupply, BarrierKind, Wiring};
use crate::description::{Cell, Loop};
use crate::finding::{Finding, Severity};
use crate::measurement::signal;
use crate::reader_units::ReaderUnits;

/// Valid currents by NAMUR NE 43, mA (from memory, not confirmed).
const VALID_MA: (f64, f64) = (3.8, 20.5);
/// At or below the first, or at or above the second, a current says failure by NAMUR NE 43, mA (from memory).
const FAILURE_MA: (f64, f64) = (3.6, 21.0);
/// Most that digital communication by HART is usually given, ohm (from memory).
const DIGITAL_MOST_OHM: f64 = 600.0;
/// Its minimum, ohm (from memory).
const DIGITAL_MINIMUM_OHM: f64 = 230.0;
/// A fuse more times the rule's than this is told (common practice).
const FUSE_OVER_RULE: f64 = 2.0;
/// Rounding of voltages and currents that are compared with limits as written.
const ROUNDING: f64 = 1e-9;

fn finding(
    severity: Severity,
    code: &'static str,
    input: &'static str,
    texts: [String; 3],
) -> Finding {
    let [what, consequence, remedy] = texts;
    Finding {
        severity,
        code,
        what,
        consequence,
        remedy,
        input,
    }
}

/// All findings of the wiring sheet.
pub(super) fn findings(described: &Loop, wiring: &Wiring, sheet: &WiringSheet) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(starved(&described.cell, wiring, &sheet.signal));
    found.extend(too_long(ReaderUnits::of(described), &sheet.signal));
    voltages(wiring, &sheet.signal, &mut found);
    digital(&sheet.signal, &mut found);
    currents(&described.cell, wiring, &mut found);
    earth(wiring, &mut found);
    actuator(ReaderUnits::of(described), wiring, sheet, &mut found);
    found
}

/// The loop cannot drive its highest current.
fn starved(cell: &Cell, wiring: &Wiring, loop_: &SignalLoop) -> Option<Finding> {
    let clip_ma = loop_.clip_current_ma?;
    let percent = loop_.clip_percent?;
    let remedy = format!(
        "Bring the burden of {:.0} ohm below {:.0} ohm: thicker wires, fewer or lower receivers, another barrier; or raise the supply.",
        loop_.burden_ohm, loop_.burden_max_ohm
    );
    if clip_ma <= 4.0 {
        return Some(finding(
            Severity::Stop,
            "loop-does-not-start",
            "wiring.supply-lowest",
            [
                format!(
                    "At the lowest supply of {:.1} V the cell does not get its {:.1} V even at 4 mA.",
                    wiring.supply_lowest_v, wiring.cell_lift_off_v
                ),
                "The cell does not start: the panel shows no level at all.".into(),
                remedy,
            ],
        ));
    }
    if clip_ma < 20.0 {
        let falling = signal::is_falling(cell);
        let (side, danger) = if falling {
            (
                "lower",
                "low water would look like a level in range, and the controller would not feed against it",
            )
        } else {
            (
                "higher",
                "the controller would keep feeding a vessel that is already full, and a high alarm above it never comes",
            )
        };
        return Some(finding(
            Severity::Stop,
            "loop-starved",
            "wiring.supply-lowest",
            [
                format!(
                    "At the lowest supply the loop clips at {clip_ma:.2} mA, which is {percent:.1} % of span."
                ),
                format!("The panel would never show a {side} level: {danger}."),
                remedy,
            ],
        ));
    }
    Some(finding(
        Severity::Warn,
        "loop-starved-above-span",
        "wiring.supply-lowest",
        [
            format!(
                "At the lowest supply the loop clips at {clip_ma:.2} mA: the cell cannot drive its {:.2} mA.",
                wiring.highest_current_ma
            ),
            "A saturated or failed cell may not be told from a level at the end of the span."
                .into(),
            remedy,
        ],
    ))
}

fn too_long(units: ReaderUnits, loop_: &SignalLoop) -> Option<Finding> {
    let short_enough = loop_.run_m <= loop_.longest_run_m;
    (!short_enough).then(|| {
        finding(
            Severity::Warn,
            "signal-run-too-long",
            "wiring.cable.length",
            [
                if loop_.longest_run_m > 0.0 {
                    format!(
                        "The signal cable runs {}; with {} the loop carries {}.",
                        units.run(loop_.run_m),
                        loop_.conductor_words,
                        units.run(loop_.longest_run_m)
                    )
                } else {
                    format!(
                        "The signal cable runs {}; the receivers alone leave the loop no room for any run.",
                        units.run(loop_.run_m)
                    )
                },
                "At the lowest supply the highest currents of the cell do not come through.".into(),
                if loop_.longest_run_m > 0.0 {
                    "Take a thicker conductor from the table, or make room in the burden.".into()
                } else {
                    "Make room in the burden: fewer or lower receivers, another barrier, or a higher supply; no conductor is thick enough.".into()
                },
            ],
        )
    })
}

fn voltages(wiring: &Wiring, loop_: &SignalLoop, found: &mut Vec<Finding>) {
    if let Some(barrier) = &wiring.barrier
        && let Some(largest_v) = barrier.largest_working_v
        && !(wiring.supply_highest_v <= largest_v)
    {
        let (beyond, other) = match barrier.kind {
            BarrierKind::Barrier => (
                "Beyond it the barrier conducts to earth: the signal reads wrong, its fuse may blow, and its protection is in question.",
                "a barrier for this voltage by its certificate",
            ),
            BarrierKind::Surge => (
                "Beyond it the protector conducts to earth: the signal reads wrong, and it may be used up.",
                "a protector for this voltage",
            ),
            BarrierKind::Isolator => (
                "Beyond it the isolator may be damaged, and the signal is lost.",
                "an isolator for this voltage",
            ),
        };
        found.push(finding(
            Severity::Stop,
            "barrier-voltage-exceeded",
            "wiring.barrier",
            [
                format!(
                    "The supply may reach {:.1} V; {} works up to {largest_v:.1} V.",
                    wiring.supply_highest_v, barrier.name
                ),
                beyond.into(),
                format!("Regulate the supply below it, or fit {other}."),
            ],
        ));
    }
    let highest_v = loop_
        .volts
        .iter()
        .map(|volts| volts.at_cell_highest_v)
        .fold(f64::NEG_INFINITY, f64::max);
    if !(highest_v <= wiring.cell_highest_v + ROUNDING) {
        found.push(finding(
            Severity::Stop,
            "cell-voltage-exceeded",
            "wiring.supply-highest",
            [
                format!("At the highest supply the cell sees {highest_v:.1} V; it stands {:.1} V.", wiring.cell_highest_v),
                "The cell may be damaged.".into(),
                "Lower the supply, or fit a cell for this voltage; a resistor does not protect it at low current.".into(),
            ],
        ));
    }
}

fn digital(loop_: &SignalLoop, found: &mut Vec<Finding>) {
    let Some(least_ohm) = loop_.burden_least_ohm else {
        return;
    };
    if !(loop_.burden_ohm >= least_ohm) {
        let below = if loop_.burden_ohm < DIGITAL_MINIMUM_OHM {
            format!("below the minimum of {DIGITAL_MINIMUM_OHM:.0} ohm")
        } else {
            format!(
                "above the minimum of {DIGITAL_MINIMUM_OHM:.0} ohm, but below the usual {least_ohm:.0} ohm"
            )
        };
        found.push(finding(
            Severity::Warn,
            "burden-too-low-for-digital",
            "wiring.digital",
            [
                format!("The loop has {:.0} ohm, {below}, for digital communication.", loop_.burden_ohm),
                "A communicator on the loop may not be heard by the cell.".into(),
                format!("Add a resistor of {:.0} ohm at the receiver, if the burden allows it ({:.0} ohm at most).", (least_ohm - loop_.burden_ohm).ceil(), loop_.burden_max_ohm),
            ],
        ));
    } else if loop_.burden_ohm > DIGITAL_MOST_OHM {
        found.push(finding(
            Severity::Note,
            "burden-high-for-digital",
            "wiring.digital",
            [
                format!("The loop has {:.0} ohm; digital communication is usually given {DIGITAL_MOST_OHM:.0} ohm at most.", loop_.burden_ohm),
                "With the cable's capacitance the carrier may be damped.".into(),
                "Try communication from the cabinet before relying on it.".into(),
            ],
        ));
    }
}

/// What the cell's limits mean to a receiver that follows NAMUR NE 43.
fn currents(cell: &Cell, wiring: &Wiring, found: &mut Vec<Finding>) {
    let (low_ma, high_ma) = cell.saturation_ma;
    let within = low_ma >= VALID_MA.0 - ROUNDING && high_ma <= VALID_MA.1 + ROUNDING;
    if !within {
        found.push(finding(
            Severity::Warn,
            "saturation-outside-valid-current",
            "cell.saturation",
            [
                format!("The cell saturates at {low_ma:.2} and {high_ma:.2} mA; NAMUR NE 43 counts {} to {} mA as a measurement.", VALID_MA.0, VALID_MA.1),
                "A receiver that follows it may take a level beyond the span for a failed cell.".into(),
                "Set the cell's saturation within these limits, or the receiver's limits outside them.".into(),
            ],
        ));
    }
    let says_failure =
        cell.fault_ma <= FAILURE_MA.0 + ROUNDING || cell.fault_ma >= FAILURE_MA.1 - ROUNDING;
    if !says_failure {
        found.push(finding(
            Severity::Warn,
            "fault-current-reads-as-level",
            "cell.fault-current",
            [
                format!("On its own fault the cell drives {:.2} mA; NAMUR NE 43 wants {} mA or less, or {} mA or more.", cell.fault_ma, FAILURE_MA.0, FAILURE_MA.1),
                format!("A failed cell reads as a level of {:.1} %.", signal::percent(cell, cell.fault_ma)),
                "Set the cell's fault current beyond these limits.".into(),
            ],
        ));
    }
    if wiring.highest_current_ma < cell.fault_ma.max(high_ma) {
        found.push(finding(
            Severity::Warn,
            "highest-current-below-alarm",
            "wiring.highest-current",
            [
                format!(
                    "The burden is judged at {:.2} mA, but the cell drives up to {:.2} mA.",
                    wiring.highest_current_ma,
                    cell.fault_ma.max(high_ma)
                ),
                "The largest burden and the longest run are too favourable.".into(),
                "Write the cell's highest alarm current.".into(),
            ],
        ));
    }
}

fn earth(wiring: &Wiring, found: &mut Vec<Finding>) {
    let place = &wiring.shield_earth;
    if shield_at_both_ends(place) {
        found.push(finding(
            Severity::Warn,
            "shield-earthed-at-both-ends",
            "wiring.shield-earth",
            [
                format!("The shield's earth is as found: \u{201c}{place}\u{201d}."),
                "Current between two earths flows through the shield and disturbs the signal.".into(),
                "To be changed: lift the field end, cut it back and insulate it; keep the cabinet's.".into(),
            ],
        ));
    } else if place.trim().is_empty() {
        found.push(finding(
            Severity::Note,
            "shield-earth-not-surveyed",
            "wiring.shield-earth",
            [
                "Where the shield is earthed is not surveyed.".into(),
                "The list of wires leaves the place open.".into(),
                "Look in the cabinet and write it down.".into(),
            ],
        ));
    }
}

/// A fuse is there to protect the source and to blow on a fault: neither where it is much larger than the rule's.
fn fuse_too_large(supply: &ActuatorSupply, power: &ActuatorPower) -> Option<Finding> {
    let (running_a, starting_a) = power.current_a;
    let by_rule_a = standard_fuse_a(fuse_wanted_a(running_a, starting_a)).ok()?;
    let source_a = supply
        .source_va
        .map(|source_va| source_va / supply.voltage_v);
    let (severity, what, consequence) = match source_a {
        Some(source_a) if !(power.fuse_a <= source_a + ROUNDING) => (
            Severity::Warn,
            format!(
                "The fuse is {} A; its source of {:.0} VA gives {source_a:.2} A at {} V.",
                power.fuse_a,
                supply.voltage_v * source_a,
                supply.voltage_v
            ),
            "It does not protect the source: an overload burns the transformer before the fuse blows.",
        ),
        _ if !(power.fuse_a <= FUSE_OVER_RULE * by_rule_a + ROUNDING) => (
            Severity::Note,
            format!(
                "The fuse is {} A; by the rule of this sheet {by_rule_a} A would do.",
                power.fuse_a
            ),
            "A stalled or failing actuator may burn without blowing it.",
        ),
        _ => return None,
    };
    Some(finding(
        severity,
        "actuator-fuse-large",
        "wiring.actuator-supply.fuse",
        [
            what,
            consequence.into(),
            format!(
                "Fit {by_rule_a} A time-lag (1.25 times the running and half the starting current at least; common practice), where the source, the conductors and local code allow it."
            ),
        ],
    ))
}

fn actuator(units: ReaderUnits, wiring: &Wiring, sheet: &WiringSheet, found: &mut Vec<Finding>) {
    if let (Some(supply), Some(power)) = (&wiring.actuator_supply, &sheet.actuator) {
        let (running_v, starting_v) = power.at_terminals_v;
        let lowest_at_v = running_v.min(starting_v);
        if !(lowest_at_v >= supply.lowest_v - ROUNDING) {
            let when = if running_v < supply.lowest_v {
                "running"
            } else {
                "starting"
            };
            found.push(finding(
                Severity::Stop,
                "actuator-voltage-too-low",
                "wiring.actuator-supply.cable",
                [
                    format!("At the supply's lowest {:.1} V the actuator gets {lowest_at_v:.1} V while {when} and wants {:.1} V; its run is {}, the longest with this conductor {}.", supply.supply_lowest_v, supply.lowest_v, units.run(supply.cable.length_m), units.run(power.longest_run_m)),
                    "It stalls or drops out, and the valve stays where it is.".into(),
                    "Take a thicker conductor, put its transformer next to it, or a supply that holds its voltage (then write lowest-voltage).".into(),
                ],
            ));
        }
        let (running_a, starting_a) = power.current_a;
        if !power.fuse_is_proposed && !(power.fuse_a >= fuse_wanted_a(running_a, starting_a)) {
            let blows = power.fuse_a <= running_a;
            found.push(finding(
                if blows { Severity::Stop } else { Severity::Warn },
                "actuator-fuse-small",
                "wiring.actuator-supply.fuse",
                [
                    format!("The fuse is {} A; the actuator draws {running_a:.2} A running and {starting_a:.2} A starting.", power.fuse_a),
                    "It may blow in normal service, and the valve stays where it is.".into(),
                    "Fit a time-lag fuse of 1.25 times the running and half the starting current at least (common practice), if conductors and local code allow it.".into(),
                ],
            ));
        }
        found.extend(fuse_too_large(supply, power));
        if let Some(source_va) = supply.source_va
            && !(source_va >= supply.running_va.max(supply.inrush_va))
        {
            let runs = source_va >= supply.running_va;
            found.push(finding(
                if runs { Severity::Warn } else { Severity::Stop },
                "actuator-source-small",
                "wiring.actuator-supply.source",
                [
                    format!("The source is rated {source_va:.0} VA; the actuator takes {:.0} VA running and {:.0} VA starting.", supply.running_va, supply.inrush_va),
                    "Its voltage sags when the actuator starts, or it overheats.".into(),
                    "Fit a larger transformer or supply, or show from its data that it stands the start.".into(),
                ],
            ));
        }
        if !supply.signal_isolated {
            found.push(finding(
                Severity::Warn,
                "actuator-signal-not-isolated",
                "wiring.actuator-supply.signal-isolated",
                [
                    "The actuator's signal input is not isolated from its power.".into(),
                    "With a power side that is earthed, or shared with other actuators, current flows through the controller's output and the signal is wrong.".into(),
                    "Fit an isolator in the output loop, or give the actuator a transformer of its own.".into(),
                ],
            ));
        }
    }
    if let Some(output) = sheet.output
        && !(output.load_ohm <= output.largest_ohm + ROUNDING)
    {
        found.push(finding(
            Severity::Stop,
            "output-load-too-large",
            "wiring.output",
            [
                format!("The output loop has {:.0} ohm; the controller's output drives {:.0} ohm.", output.load_ohm, output.largest_ohm),
                "The valve cannot be driven to the end of its travel.".into(),
                "Shorten the run, take a thicker conductor, or fit an isolator that is supplied on its own.".into(),
            ],
        ));
    }
}
