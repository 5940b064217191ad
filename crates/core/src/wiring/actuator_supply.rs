//! Power to the actuator: voltage drop while it runs and while it starts, fuse, longest run, the controller's output.
//!
//! ```text
//! U = U_min − R·S/U    so    U = (U_min + √(U_min² − 4·R·S)) / 2      R = 2·r·L
//! L_max = (U_min − U_act)·U_act / (2·r·S)      U_act at least U_min/2
//! ```
//!
//! U_min is the supply's own lowest voltage, U that at the actuator, U_act the lowest at which it works. Loads are of
//! constant VA (W with direct current): where the voltage falls the current rises. Where 4·R·S exceeds U_min² the wires
//! cannot carry the load at all.
//!
//! **Source:** Ohm's law. **Departures:** with alternating current the drop is taken as if load and cable were resistive,
//! which is the largest it can be for the cable's resistance; reactance of conductors up to 2.5 mm2 is below 2 % of their
//! resistance.

use super::conductor::{both_wires_ohm, resistance_ohm_per_m};
use super::error::{WiringError, not_negative, positive};
use super::sheets::{ActuatorPower, OutputBurden};
use crate::description::wiring::{ActuatorSupply, OutputLoop};

/// Standard ratings, A: IEC 60127 up to 6.3, IEC 60269 above (from memory, not confirmed).
const FUSE_RATINGS_A: [f64; 27] = [
    0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0,
    5.0, 6.3, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0,
];
/// Fuse over running current (common practice).
const FUSE_OVER_RUNNING: f64 = 1.25;
/// A time-lag fuse holds this many times its rating for the seconds of a start (common practice).
const START_OVER_FUSE: f64 = 2.0;

/// Rating wanted, A: 1.25 times the running current, and half the starting current for a time-lag fuse.
pub(super) fn fuse_wanted_a(running_a: f64, starting_a: f64) -> f64 {
    (FUSE_OVER_RUNNING * running_a).max(starting_a / START_OVER_FUSE)
}

/// Smallest standard rating that is large enough, A.
pub(super) fn standard_fuse_a(wanted_a: f64) -> Result<f64, WiringError> {
    FUSE_RATINGS_A
        .into_iter()
        .find(|rating_a| *rating_a >= wanted_a)
        .ok_or(WiringError::NoFuse {
            wanted_a,
            largest_a: FUSE_RATINGS_A[FUSE_RATINGS_A.len() - 1],
        })
}

/// Volts at a load of constant VA behind a resistance, and its current, A. Without a working point: 0 V, and the current
/// at which the wires pass the most power.
fn at_load(supply_v: f64, wire_ohm: f64, load_va: f64) -> (f64, f64) {
    let square = supply_v * supply_v - 4.0 * wire_ohm * load_va;
    if square >= 0.0 {
        let volts = 0.5 * (supply_v + square.sqrt());
        (volts, load_va / volts)
    } else {
        (0.0, 0.5 * supply_v / wire_ohm)
    }
}

/// The actuator's power.
pub(super) fn actuator_power(supply: &ActuatorSupply) -> Result<ActuatorPower, WiringError> {
    let nominal_v = positive("actuator's supply voltage", supply.voltage_v, "V")?;
    let lowest_v = positive("actuator's lowest voltage", supply.lowest_v, "V")?;
    if !(lowest_v <= nominal_v) {
        return Err(WiringError::Order {
            low_name: "actuator's lowest voltage",
            low: lowest_v,
            high_name: "actuator's supply voltage",
            high: nominal_v,
            unit: "V",
        });
    }
    let supply_lowest_v = positive(
        "lowest voltage of the actuator's supply",
        supply.supply_lowest_v,
        "V",
    )?;
    if !(supply_lowest_v <= nominal_v) {
        return Err(WiringError::Order {
            low_name: "lowest voltage of the actuator's supply",
            low: supply_lowest_v,
            high_name: "actuator's supply voltage",
            high: nominal_v,
            unit: "V",
        });
    }
    let running_va = positive("actuator's running load", supply.running_va, "VA")?;
    let starting_va = positive("actuator's starting load", supply.inrush_va, "VA")?;
    let ohm_per_m = resistance_ohm_per_m(supply.cable.conductor, supply.cable.temperature_k)?;
    let wire_ohm = both_wires_ohm(&supply.cable)?;
    let (running_v, running_a) = at_load(supply_lowest_v, wire_ohm, running_va);
    let (starting_v, starting_a) = at_load(supply_lowest_v, wire_ohm, starting_va);
    let by_rule = standard_fuse_a(fuse_wanted_a(running_a, starting_a));
    let (fuse_a, fuse_is_proposed) = match supply.fuse_a {
        Some(fitted_a) => (positive("fuse", fitted_a, "A")?, false),
        None => (by_rule.clone()?, true),
    };
    let kind = if supply.alternating {
        "a.c., drop taken as resistive"
    } else {
        "d.c."
    };
    let fuse = if fuse_is_proposed {
        format!(
            "Proposed fuse {fuse_a} A, time-lag: at least 1.25 times the running and half the starting current (common practice). Its conductors must be allowed to carry it by the local code."
        )
    } else {
        let by_rule = by_rule.map_or_else(
            |_| "more than any standard rating here".to_owned(),
            |by_rule_a| format!("{by_rule_a} A"),
        );
        format!(
            "Fuse fitted: {fuse_a} A; the rule of this sheet (time-lag, at least 1.25 times the running and half the starting current, common practice) gives {by_rule}."
        )
    };
    let told = |volts: f64| {
        if volts > 0.0 {
            format!("{volts:.2} V")
        } else {
            "no working point (the wires cannot carry the load)".to_owned()
        }
    };
    let words = format!(
        "{nominal_v} V {kind}, load of constant VA, at the supply's lowest {supply_lowest_v:.2} V: {} at the actuator while it runs, {} while it starts; it wants {lowest_v} V. {fuse}",
        told(running_v),
        told(starting_v),
    );
    let least_v = lowest_v.max(0.5 * supply_lowest_v);
    let heaviest_va = running_va.max(starting_va);
    let drop_percent = |volts: f64| 100.0 * (supply_lowest_v - volts) / nominal_v;
    Ok(ActuatorPower {
        wire_ohm,
        current_a: (running_a, starting_a),
        at_terminals_v: (running_v, starting_v),
        drop_percent: (drop_percent(running_v), drop_percent(starting_v)),
        longest_run_m: ((supply_lowest_v - least_v) * least_v / (2.0 * ohm_per_m * heaviest_va))
            .max(0.0),
        fuse_a,
        fuse_is_proposed,
        words,
    })
}

/// What the controller's output has to drive.
pub(super) fn output_burden(output: &OutputLoop) -> Result<OutputBurden, WiringError> {
    let input_ohm = not_negative("actuator's input resistance", output.input_ohm, "ohm")?;
    Ok(OutputBurden {
        load_ohm: input_ohm + both_wires_ohm(&output.cable)?,
        largest_ohm: positive(
            "largest load of the controller's output",
            output.largest_load_ohm,
            "ohm",
        )?,
    })
}
