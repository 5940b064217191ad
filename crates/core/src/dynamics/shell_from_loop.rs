//! A shell boiler's model from its loop: vessel and taps as surveyed, the rest sensible from size and listed.
//!
//! **Source:** thin-wall thickness t = p·D/(2·f); the rest is common practice, from memory, and said so in the assumptions.
//! **Checked by:** `property_assumptions_are_listed`.

use std::f64::consts::PI;

use crate::description::{Duty, Loop, VesselKind};
use crate::finding::Assumption;
use crate::quantity::TrueLevel;
use crate::water::compressed_water_enthalpy_j_kg;

use super::drift::{Drift, DriftTable};
use super::error::DynamicsError;
use super::height_table::HeightTable;
use super::saturated::SaturatedVessel;
use super::shell::{ShellPlant, SteadyDuty};

/// Density of steel, kg/m3.
const STEEL_KG_M3: f64 = 7_850.0;
/// Specific heat of carbon steel at boiler temperatures, J/(kg K).
pub(super) const STEEL_J_KG_K: f64 = 500.0;
/// Stress that shell plate is designed for, Pa.
const PLATE_STRESS_PA: f64 = 100e6;
/// Thinnest shell plate, m.
const THINNEST_PLATE_M: f64 = 0.006;
/// Furnace, tubes and tube sheets weigh about as much as the shell.
const METAL_PER_SHELL: f64 = 2.0;
/// Share of heat below the lower tap where no internals are surveyed.
const HEAT_BELOW_TAP: f64 = 0.9;

/// A shell boiler's fixed properties, and what was assumed for them.
///
/// # Errors
/// [`DynamicsError`] for another kind of vessel, or where the vessel is none.
pub fn shell_plant(
    the_loop: &Loop,
    drift: Drift,
) -> Result<(ShellPlant, Vec<Assumption>), DynamicsError> {
    if the_loop.vessel.kind != VesselKind::ShellBoiler {
        return Err(DynamicsError::NoSteadyState {
            why: "this vessel is no shell boiler".into(),
        });
    }
    let heights = HeightTable::of_vessel(&the_loop.vessel)?;
    let safety_pa = the_loop.pressures.safety_valve.pa();
    let metal_kg = METAL_PER_SHELL * shell_plate_kg(the_loop);
    let below = heat_below_tap_ratio(the_loop, &heights);
    // Above the safety valve's pressure, for a run in which it should have opened.
    let vessel = SaturatedVessel::new(heights, 1.5 * safety_pa, metal_kg * STEEL_J_KG_K)?;
    let drift = DriftTable::new(drift, &vessel.line, the_loop.site.gravity_m_s2)?;
    let plant = ShellPlant::new(vessel, drift, below, 1.0)?;
    let assumption = |input, value, why| Assumption { input, value, why };
    Ok((
        plant,
        vec![
            assumption(
                "simulation.metal-mass",
                format!("{metal_kg:.0} kg"),
                "shell plate for the safety valve's pressure, twice for furnace and tubes (common practice): it slows the pressure by about a tenth",
            ),
            assumption(
                "simulation.heat-below-tap",
                format!("{:.0} %", 100.0 * below),
                "share of the tubes' volume below the lower tap, or 90 % without internals: it decides how much steam stands below the tap",
            ),
            assumption(
                "simulation.feed-below-tap",
                "100 %".into(),
                "feed pipes end below the water: cold feed takes bubbles away below the tap",
            ),
            assumption(
                "simulation.drift",
                "slow to fast".into(),
                "how fast bubbles rise is known only as a range: every result is a band",
            ),
        ],
    ))
}

/// A duty of the loop at its set point.
///
/// # Errors
/// [`DynamicsError::Water`] where the feed is no water at that pressure.
pub fn steady_duty(the_loop: &Loop, duty: &Duty) -> Result<SteadyDuty, DynamicsError> {
    let pressure_pa = duty.pressure.pa();
    Ok(SteadyDuty {
        pressure_pa,
        steam_kg_s: duty.steam_kg_s,
        drawn_kg_s: duty.blowdown_kg_s,
        feed_enthalpy_j_kg: compressed_water_enthalpy_j_kg(duty.feed_temperature_k, pressure_pa)?,
        true_level: TrueLevel::from_m(the_loop.limits.set_point_m),
    })
}

/// Shell and ends as plate for the safety valve's pressure, kg.
pub(super) fn shell_plate_kg(the_loop: &Loop) -> f64 {
    let shell = &the_loop.vessel.shell;
    let (diameter, length) = (shell.inside_diameter_m(), shell.straight_length_m());
    let gauge_pa = the_loop.pressures.safety_valve.pa() - the_loop.site.atmosphere.pa();
    let plate_m = (gauge_pa * diameter / (2.0 * PLATE_STRESS_PA)).max(THINNEST_PLATE_M);
    let surface_m2 = PI * diameter * length + 0.5 * PI * diameter.powi(2);
    STEEL_KG_M3 * plate_m * surface_m2
}

/// Displaced volume below the lower tap over all of it.
fn heat_below_tap_ratio(the_loop: &Loop, heights: &HeightTable) -> f64 {
    let vessel = &the_loop.vessel;
    let tap_m = vessel.lower_tap_above_bottom_m;
    let bare = |z_m: f64| vessel.shell.volume_m3(z_m).unwrap_or(0.0);
    let all = vessel.shell.capacity_m3() - heights.capacity_m3();
    let below = bare(tap_m) - heights.volume_m3(0.0);
    if all > 1e-6 * vessel.shell.capacity_m3() {
        (below / all).clamp(0.0, 1.0)
    } else {
        HEAT_BELOW_TAP
    }
}
