//! The current loop: what the cell has to drive, what is left at its terminals, where it starves.
//!
//! ```text
//! V_cell = V_supply − I·(R_receivers + R_wires + R_barrier) − V_barrier
//! R_max  = (V_lowest − V_lift-off − V_barrier) / I_highest
//! ```
//!
//! **Source:** Ohm's law; limits of the current by NAMUR NE 43 (from memory, not confirmed).

use super::conductor::{both_wires_ohm, neighbours, resistance_ohm_per_m, words};
use super::error::{WiringError, not_negative, positive};
use super::sheets::{ConductorRow, LoopVolts, SignalLoop};
use crate::description::Cell;
use crate::description::wiring::Wiring;
use crate::measurement::signal;

/// Least loop resistance that digital communication by HART is usually given, ohm (from memory; its minimum is 230).
pub(super) const DIGITAL_LEAST_OHM: f64 = 250.0;

/// What is left for receivers, wires and barrier, and the current that it must carry.
struct Headroom {
    volts: f64,
    highest_a: f64,
    apart_from_wires_ohm: f64,
}

impl Headroom {
    fn of(wiring: &Wiring) -> Self {
        let (barrier_ohm, barrier_v) = barrier(wiring);
        Self {
            volts: wiring.supply_lowest_v - wiring.cell_lift_off_v - barrier_v,
            highest_a: wiring.highest_current_ma / 1000.0,
            apart_from_wires_ohm: receivers_ohm(wiring) + barrier_ohm,
        }
    }

    fn burden_max_ohm(&self) -> f64 {
        (self.volts / self.highest_a).max(0.0)
    }

    fn longest_run_m(&self, ohm_per_m: f64) -> f64 {
        ((self.burden_max_ohm() - self.apart_from_wires_ohm) / (2.0 * ohm_per_m)).max(0.0)
    }
}

fn barrier(wiring: &Wiring) -> (f64, f64) {
    wiring.barrier.as_ref().map_or((0.0, 0.0), |barrier| {
        (barrier.resistance_ohm, barrier.drop_v)
    })
}

fn receivers_ohm(wiring: &Wiring) -> f64 {
    wiring
        .receivers
        .iter()
        .map(|receiver| receiver.resistance_ohm)
        .sum()
}

/// Refuses what is not a current loop.
fn check(cell: &Cell, wiring: &Wiring) -> Result<(), WiringError> {
    positive("lowest supply voltage", wiring.supply_lowest_v, "V")?;
    positive("highest supply voltage", wiring.supply_highest_v, "V")?;
    positive("cell's lift-off voltage", wiring.cell_lift_off_v, "V")?;
    positive("cell's largest voltage", wiring.cell_highest_v, "V")?;
    positive("cell's highest current", wiring.highest_current_ma, "mA")?;
    positive("cell's fault current", cell.fault_ma, "mA")?;
    for receiver in &wiring.receivers {
        not_negative("receiver's resistance", receiver.resistance_ohm, "ohm")?;
    }
    if let Some(barrier) = &wiring.barrier {
        not_negative("barrier's resistance", barrier.resistance_ohm, "ohm")?;
        not_negative("barrier's drop", barrier.drop_v, "V")?;
    }
    for (low_name, low, high_name, high, unit) in [
        (
            "lowest supply voltage",
            wiring.supply_lowest_v,
            "highest supply voltage",
            wiring.supply_highest_v,
            "V",
        ),
        (
            "cell's lift-off voltage",
            wiring.cell_lift_off_v,
            "cell's largest voltage",
            wiring.cell_highest_v,
            "V",
        ),
        (
            "20 mA",
            20.0,
            "cell's highest current",
            wiring.highest_current_ma,
            "mA",
        ),
    ] {
        let ordered = high >= low;
        if !ordered {
            return Err(WiringError::Order {
                low_name,
                low,
                high_name,
                high,
                unit,
            });
        }
    }
    Ok(())
}

/// Currents that are looked at, rising.
fn currents(cell: &Cell, wiring: &Wiring) -> Vec<(f64, &'static str)> {
    let (low_ma, high_ma) = cell.saturation_ma;
    let mut currents = vec![
        (low_ma, "low saturation"),
        (4.0, "4 mA"),
        (20.0, "20 mA"),
        (high_ma, "high saturation"),
        (cell.fault_ma, "alarm"),
        (wiring.highest_current_ma, "highest current"),
    ];
    currents.sort_by(|one, other| one.0.total_cmp(&other.0));
    currents
}

/// The signal loop of the survey.
pub(super) fn signal_loop(cell: &Cell, wiring: &Wiring) -> Result<SignalLoop, WiringError> {
    check(cell, wiring)?;
    let wire_ohm = both_wires_ohm(&wiring.cable)?;
    let ohm_per_m = resistance_ohm_per_m(wiring.cable.conductor, wiring.cable.temperature_k)?;
    let (barrier_ohm, barrier_v) = barrier(wiring);
    let headroom = Headroom::of(wiring);
    let burden_ohm = wire_ohm + headroom.apart_from_wires_ohm;
    let volts = currents(cell, wiring)
        .into_iter()
        .map(|(current_ma, what)| {
            let lost_v = current_ma / 1000.0 * burden_ohm + barrier_v;
            let at_cell_v = wiring.supply_lowest_v - lost_v;
            LoopVolts {
                current_ma,
                what,
                lost_v,
                at_cell_v,
                at_cell_highest_v: wiring.supply_highest_v - lost_v,
                margin_v: at_cell_v - wiring.cell_lift_off_v,
            }
        })
        .collect();
    let starves_ma = if burden_ohm > 0.0 {
        (1000.0 * headroom.volts / burden_ohm).max(0.0)
    } else if headroom.volts < 0.0 {
        0.0
    } else {
        f64::INFINITY
    };
    let clip_current_ma = (starves_ma < wiring.highest_current_ma).then_some(starves_ma);
    Ok(SignalLoop {
        wire_ohm,
        receivers_ohm: receivers_ohm(wiring),
        barrier_ohm,
        burden_ohm,
        burden_max_ohm: headroom.burden_max_ohm(),
        burden_least_ohm: wiring.digital.then_some(DIGITAL_LEAST_OHM),
        volts,
        clip_current_ma,
        clip_percent: clip_current_ma.map(|current_ma| signal::percent(cell, current_ma)),
        longest_run_m: headroom.longest_run_m(ohm_per_m),
        run_m: wiring.cable.length_m,
        conductor_ohm_per_km: 1000.0 * ohm_per_m,
        conductor_words: words(wiring.cable.conductor),
    })
}

/// The same loop on other conductors of its series.
pub(super) fn other_conductors(wiring: &Wiring) -> Result<Vec<ConductorRow>, WiringError> {
    let headroom = Headroom::of(wiring);
    neighbours(wiring.cable.conductor)
        .into_iter()
        .map(|conductor| {
            let ohm_per_m = resistance_ohm_per_m(conductor, wiring.cable.temperature_k)?;
            Ok(ConductorRow {
                name: words(conductor),
                ohm_per_km: 1000.0 * ohm_per_m,
                longest_run_m: headroom.longest_run_m(ohm_per_m),
            })
        })
        .collect()
}
