//! A deaerator's store: boiling water under its own steam; make-up and returns meet the heating steam above it.
//!
//! The pool of `shell` without a heated surface: what enters is brought to saturation in the head, over the water, so that only a falling
//! pressure makes bubbles in the store. Where the heating steam is lost, cold make-up goes on condensing steam, the pressure falls, the
//! store flashes, and the bubbles below the lower tap lift water above it: the level at the cell swells while water is lost.
//!
//! **Source:** as `shell`; the spray brings make-up to saturation in the head: that is what a deaerator is for. **Departures:** no air:
//! below the atmosphere the pressure falls on, where a vacuum breaker would let air in; the head's own water and metal are left out.
//! **Checked by:** `tank_tests.rs`.

use super::drift::{Drift, DriftTable};
use super::error::DynamicsError;
use super::height_table::HeightTable;
use super::saturated::SaturatedVessel;
use super::shell::ShellPlant;
use super::shell_from_loop::{STEEL_J_KG_K, shell_plate_kg};
use super::tank::{loop_overflow, overflow_assumption};
use crate::description::{Loop, VesselKind};
use crate::finding::Assumption;

/// A deaerator's fixed properties, and what was assumed for them.
///
/// # Errors
/// [`DynamicsError`] for another kind of vessel, or where the vessel is none.
pub fn deaerator_plant(
    described: &Loop,
    drift: Drift,
) -> Result<(ShellPlant, Vec<Assumption>), DynamicsError> {
    if described.vessel.kind != VesselKind::Deaerator {
        return Err(DynamicsError::NoSteadyState {
            why: "this vessel is no deaerator".into(),
        });
    }
    let heights = HeightTable::of_vessel(&described.vessel)?;
    let metal_kg = shell_plate_kg(described);
    let highest_pa = 1.5 * described.pressures.safety_valve.pa();
    let vessel = SaturatedVessel::new(heights, highest_pa, metal_kg * STEEL_J_KG_K)?;
    let drift = DriftTable::new(drift, &vessel.line, described.site.gravity_m_s2)?;
    let mut plant = ShellPlant::new(vessel, drift, 0.0, 0.0)?;
    plant.feed_meets_steam_above = true;
    plant.overflow = loop_overflow(described);
    let mut assumptions = vec![
        Assumption {
            input: "simulation.metal-mass",
            value: format!("{metal_kg:.0} kg"),
            why: "assumed: shell plate for the safety valve's pressure, at least 6 mm (common practice): it slows the pressure a little",
        },
        Assumption {
            input: "simulation.head",
            value: "make-up and returns at saturation when they reach the store".into(),
            why: "assumed: the spray does its work at every load; what it does not heat would cool the store",
        },
        Assumption {
            input: "simulation.drift",
            value: "slow to fast".into(),
            why: "how fast bubbles rise is known only as a range: every result is a band",
        },
    ];
    assumptions.extend(plant.overflow.map(overflow_assumption));
    Ok((plant, assumptions))
}
