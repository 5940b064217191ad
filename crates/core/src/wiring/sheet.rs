//! The wiring sheet: the current loop, the actuator's power, every wire, what was found.

use super::connections::shield_at_both_ends;
use super::error::WiringError;
use super::sheets::{ActuatorPower, SignalLoop, WiringSheet};
use super::{actuator_supply, checks, connections, signal_loop};
use crate::description::Loop;
use crate::description::wiring::{BarrierKind, Wiring};
use crate::working::Working;

/// The wiring sheet of a loop; `None` where its wires are not surveyed.
///
/// # Errors
/// [`WiringError`] for a conductor that is not known, or values that make no circuit.
pub fn wiring_sheet(described: &Loop) -> Result<Option<WiringSheet>, WiringError> {
    let Some(wiring) = &described.wiring else {
        return Ok(None);
    };
    let signal = signal_loop::signal_loop(&described.cell, wiring)?;
    let actuator = wiring
        .actuator_supply
        .as_ref()
        .map(actuator_supply::actuator_power)
        .transpose()?;
    let output = wiring
        .output
        .as_ref()
        .map(actuator_supply::output_burden)
        .transpose()?;
    let mut sheet = WiringSheet {
        conductors: signal_loop::other_conductors(wiring)?,
        connections: connections::connections(wiring),
        earth_words: earth_words(wiring),
        findings: Vec::new(),
        workings: workings(wiring, &signal, actuator.as_ref()),
        signal,
        actuator,
        output,
    };
    sheet.findings = checks::findings(described, wiring, &sheet);
    Ok(Some(sheet))
}

/// What the longest run leaves out where HART is wanted.
const HART_RUN: &str =
    "one way; 0 when none; resistance only: with HART the cable's capacitance may limit it sooner";

/// Earth and isolation, in order.
fn earth_words(wiring: &Wiring) -> Vec<String> {
    let mut words = vec![if wiring.shield_earth.is_empty() {
        "Earth each shield at one end only; where is not surveyed: write it in.".to_owned()
    } else if shield_at_both_ends(&wiring.shield_earth) {
        format!(
            "Shield earth as found: {}; to be changed: lift the field end, cut it back and insulate it.",
            wiring.shield_earth
        )
    } else {
        format!(
            "Shield earth: {}. Cut the shield back and insulate it at every other end.",
            wiring.shield_earth
        )
    }];
    if let Some(barrier) = &wiring.barrier {
        words.push(match barrier.kind {
            BarrierKind::Barrier => format!(
                "{}: its own earth and certificate decide what may be joined to its hazardous side; nothing here replaces the proof of intrinsic safety.",
                barrier.name
            ),
            BarrierKind::Surge => format!(
                "{}: join its earth to the cabinet's earth bar by the shortest way, by its data sheet; keep wires of the line side apart from those of the protected side.",
                barrier.name
            ),
            BarrierKind::Isolator => format!(
                "{}: its data sheet says which side may be earthed; its two sides must not be joined by a shield or an earth.",
                barrier.name
            ),
        });
    }
    if let Some(supply) = &wiring.actuator_supply {
        words.push(if supply.signal_isolated {
            "The actuator's signal input is isolated from its power: the output loop may be earthed at the controller.".to_owned()
        } else {
            "The actuator's signal input is NOT isolated from its power: fit an isolator in the output loop, or give the actuator a transformer of its own that is not earthed elsewhere.".to_owned()
        });
    }
    let missing = match (&wiring.output, &wiring.actuator_supply) {
        (None, None) => Some("Output and actuator power"),
        (None, Some(_)) => Some("Output"),
        (Some(_), None) => Some("Actuator power"),
        (Some(_), Some(_)) => None,
    };
    words.extend(
        missing.map(|what| format!("{what}: not surveyed: write the wires into the list.")),
    );
    if wiring.digital {
        words.push(
            "Longest run of the signal cable: resistance only; with HART the cable's capacitance may limit it sooner."
                .to_owned(),
        );
    }
    words.push(
        "Keep signal cables apart from power cables, in their own conduit. Isolate, lock out and prove dead before opening a terminal; the local electrical code decides."
            .to_owned(),
    );
    words
}

fn workings(
    wiring: &Wiring,
    signal: &SignalLoop,
    actuator: Option<&ActuatorPower>,
) -> Vec<Working> {
    let barrier_v = wiring
        .barrier
        .as_ref()
        .map_or(0.0, |barrier| barrier.drop_v);
    let mut workings = vec![
        Working::new(
            "Burden of the signal loop",
            "R = R_rec + 2·r·L + R_bar",
            signal.burden_ohm,
            "ohm",
            "Ohm's law",
            "direct current",
        )
        .with("R_rec", "receivers", signal.receivers_ohm, "ohm")
        .with(
            "r",
            format!("one conductor, {}", signal.conductor_words),
            signal.conductor_ohm_per_km / 1000.0,
            "ohm/m",
        )
        .with("L", "run one way", signal.run_m, "m")
        .with("R_bar", "barrier", signal.barrier_ohm, "ohm"),
        Working::new(
            "Largest burden at the lowest supply",
            "R_max = (V_min − V_lift − V_bar) / I_max",
            signal.burden_max_ohm,
            "ohm",
            "Ohm's law",
            "at the highest current that the cell drives; 0 where the supply does not lift the cell",
        )
        .with("V_min", "lowest supply", wiring.supply_lowest_v, "V")
        .with("V_lift", "cell's lift-off voltage", wiring.cell_lift_off_v, "V")
        .with("V_bar", "barrier's drop", barrier_v, "V")
        .with(
            "I_max",
            "highest current",
            wiring.highest_current_ma / 1000.0,
            "A",
        ),
        Working::new(
            "Longest run of the signal loop",
            "L_max = (R_max − R_rec − R_bar) / (2·r)",
            signal.longest_run_m,
            "m",
            "Ohm's law",
            if wiring.digital {
                HART_RUN
            } else {
                "one way; 0 when none"
            },
        )
        .with("R_max", "largest burden", signal.burden_max_ohm, "ohm")
        .with("R_rec", "receivers", signal.receivers_ohm, "ohm")
        .with("R_bar", "barrier", signal.barrier_ohm, "ohm")
        .with(
            "r",
            "one conductor",
            signal.conductor_ohm_per_km / 1000.0,
            "ohm/m",
        ),
    ];
    if let (Some(power), Some(supply)) = (actuator, &wiring.actuator_supply) {
        workings.push(
            Working::new(
                "Voltage at the actuator while it starts",
                "U_start = (U_min + √(U_min² − 4·R·S_start)) / 2",
                power.at_terminals_v.1,
                "V",
                "Ohm's law",
                "load of constant VA; load and cable taken as resistive; 0 where the wires cannot carry the load",
            )
            .with("U_min", "lowest voltage of its supply", supply.supply_lowest_v, "V")
            .with("R", "both wires", power.wire_ohm, "ohm")
            .with("S_start", "starting load", supply.inrush_va, "VA"),
        );
    }
    workings
}
