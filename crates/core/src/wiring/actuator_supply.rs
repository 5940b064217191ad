//! Power to the actuator: voltage drop while it runs and while it starts, fuse, longest run, the controller's output.
//!
//! ```text
//! I = S / U      ΔU = 2·r·L·I      L_max = (U − U_lowest) / (2·r·I_start)
//! ```
//!
//! **Source:** Ohm's law. **Departures:** the current is that of the nominal voltage; with alternating current the drop
//! is taken as if load and cable were resistive, which is the largest it can be for the cable's resistance; reactance of
//! conductors up to 2.5 mm2 is below 2 % of their resistance.

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
    let running_a = positive("actuator's running load", supply.running_va, "VA")? / nominal_v;
    let starting_a = positive("actuator's starting load", supply.inrush_va, "VA")? / nominal_v;
    let ohm_per_m = resistance_ohm_per_m(supply.cable.conductor, supply.cable.temperature_k)?;
    let wire_ohm = both_wires_ohm(&supply.cable)?;
    let drops_v = (running_a * wire_ohm, starting_a * wire_ohm);
    let heaviest_a = running_a.max(starting_a);
    let (fuse_a, fuse_is_proposed) = match supply.fuse_a {
        Some(fitted_a) => (positive("fuse", fitted_a, "A")?, false),
        None => (standard_fuse_a(fuse_wanted_a(running_a, starting_a))?, true),
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
        format!("Fuse fitted: {fuse_a} A.")
    };
    let words = format!(
        "{nominal_v} V {kind}: {:.2} V at the actuator while it runs, {:.2} V while it starts; it wants {lowest_v} V. {fuse}",
        nominal_v - drops_v.0,
        nominal_v - drops_v.1,
    );
    Ok(ActuatorPower {
        wire_ohm,
        current_a: (running_a, starting_a),
        at_terminals_v: (nominal_v - drops_v.0, nominal_v - drops_v.1),
        drop_percent: (100.0 * drops_v.0 / nominal_v, 100.0 * drops_v.1 / nominal_v),
        longest_run_m: (nominal_v - lowest_v) / (2.0 * ohm_per_m * heaviest_a),
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
