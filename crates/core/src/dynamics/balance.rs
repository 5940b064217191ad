//! What enters a vessel that stands still at a duty: through the valve, by returns beside it, and as heat or heating steam.
//!
//! **Source:** mass and energy balance; a deaerator's as in [`crate::feedwater::duties`]. **Departures:** losses to the room are
//! the heating's own affair. **Checked by:** `property_balance_closes`.

use super::error::DynamicsError;
use crate::description::feed_system::ReturnFlow;
use crate::description::{Duty, Loop, VesselKind};
use crate::feedwater::duties::deaerator_make_up;
use crate::water::{
    SaturatedWater, WaterError, compressed_water_enthalpy_j_kg, saturation_pressure_pa,
    saturation_temperature_k,
};

/// Pressure that water is taken to be under at least, over that of its own boiling: no bubbles in the feed pipe.
const ABOVE_BOILING: f64 = 1.0 + 1e-6;

/// Specific enthalpy of water at a temperature, K, and a pressure, Pa; hotter than it boils there it comes from a higher pressure,
/// and keeps its enthalpy as it flashes, J/kg.
///
/// # Errors
/// [`WaterError`] for a temperature that liquid water does not have.
pub(super) fn liquid_enthalpy_j_kg(
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, WaterError> {
    let least_pa = saturation_pressure_pa(temperature_k)? * ABOVE_BOILING;
    compressed_water_enthalpy_j_kg(temperature_k, pressure_pa.max(least_pa))
}

/// Returns beside the valve: they come with what leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Returns {
    /// Share of the outflow that they bring.
    pub share_ratio: f64,
    /// Their mean specific enthalpy, J/kg.
    pub enthalpy_j_kg: f64,
}

impl Returns {
    /// Of a loop; a boiler has none beside its valve.
    pub(super) fn of(described: &Loop) -> Result<Self, WaterError> {
        let (mut share_ratio, mut brought) = (0.0, 0.0);
        for flow in returns(described) {
            let temperature_k = flow
                .temperature_k
                .min(saturation_temperature_k(flow.pressure.pa())?);
            share_ratio += flow.share_of_outflow;
            brought += flow.share_of_outflow
                * compressed_water_enthalpy_j_kg(temperature_k, flow.pressure.pa())?;
        }
        Ok(Self {
            share_ratio,
            enthalpy_j_kg: if share_ratio > 0.0 {
                brought / share_ratio
            } else {
                0.0
            },
        })
    }
}

fn returns(described: &Loop) -> &[ReturnFlow] {
    match &described.feed_system {
        Some(system) if !described.vessel.kind.is_fired() => &system.returns,
        _ => &[],
    }
}

/// What enters at a duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Balance {
    /// Through the valve, kg/s.
    pub valve_kg_s: f64,
    /// Its specific enthalpy, J/kg.
    pub valve_enthalpy_j_kg: f64,
    /// Returns, kg/s.
    pub returns_kg_s: f64,
    /// Their specific enthalpy, J/kg.
    pub returns_enthalpy_j_kg: f64,
    /// Into the water, W: a burner's, a coil's, or what heating steam gives as it condenses. Below zero: what must be vented.
    pub heat_w: f64,
    /// Heating steam of a deaerator, kg/s; below zero: vented.
    pub steam_kg_s: f64,
}

impl Balance {
    /// At a duty.
    ///
    /// # Errors
    /// [`DynamicsError::Water`] for water out of range; [`DynamicsError::NoSteadyState`] where the returns bring more than leaves, or for
    /// a tank whose temperature is not known.
    pub(super) fn of(described: &Loop, duty: &Duty) -> Result<Self, DynamicsError> {
        let pressure_pa = duty.pressure.pa();
        let feed = liquid_enthalpy_j_kg(duty.feed_temperature_k, pressure_pa)?;
        let back = Returns::of(described)?;
        let out_kg_s = duty.steam_kg_s + duty.blowdown_kg_s;
        let returns_kg_s = back.share_ratio * out_kg_s;
        let (valve_kg_s, heat_w, steam_kg_s) = match described.vessel.kind {
            VesselKind::ShellBoiler | VesselKind::DrumBoiler => {
                let at = SaturatedWater::at_pressure_pa(pressure_pa)?;
                let heat_w = duty.steam_kg_s * at.vapour_enthalpy_j_kg
                    + duty.blowdown_kg_s * at.liquid_enthalpy_j_kg
                    - out_kg_s * feed;
                (out_kg_s, heat_w, 0.0)
            }
            VesselKind::Deaerator => {
                let at = SaturatedWater::at_pressure_pa(pressure_pa)?;
                let (valve_kg_s, steam_kg_s) = deaerator_make_up(
                    out_kg_s,
                    returns(described),
                    duty.feed_temperature_k,
                    pressure_pa,
                )?;
                (
                    valve_kg_s,
                    steam_kg_s * at.evaporation_enthalpy_j_kg(),
                    steam_kg_s,
                )
            }
            VesselKind::VentedTank => {
                let stored = liquid_enthalpy_j_kg(stored_k(described)?, pressure_pa)?;
                let valve_kg_s = out_kg_s - returns_kg_s;
                let heat_w =
                    out_kg_s * stored - valve_kg_s * feed - returns_kg_s * back.enthalpy_j_kg;
                (valve_kg_s, heat_w, 0.0)
            }
        };
        if !(valve_kg_s >= 0.0) {
            return Err(DynamicsError::NoSteadyState {
                why: format!("returns bring more than leaves at duty “{}”", duty.name),
            });
        }
        Ok(Self {
            valve_kg_s,
            valve_enthalpy_j_kg: feed,
            returns_kg_s,
            returns_enthalpy_j_kg: back.enthalpy_j_kg,
            heat_w,
            steam_kg_s,
        })
    }
}

/// Temperature of a tank's stored water, K.
///
/// # Errors
/// [`DynamicsError::NoSteadyState`] where it is not known.
pub(super) fn stored_k(described: &Loop) -> Result<f64, DynamicsError> {
    described
        .vessel
        .water_temperature_k
        .ok_or_else(|| DynamicsError::NoSteadyState {
            why: "the temperature of the tank's water is not known".into(),
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{kelvin, psig, shell_boiler, vented_tank};
    use crate::feedwater::example_sheet::feed_system;

    /// Mass and energy in and out, each kind of vessel, with returns and without.
    #[test]
    fn property_balance_closes() {
        let mut deaerator = shell_boiler();
        deaerator.vessel.kind = VesselKind::Deaerator;
        for duty in &mut deaerator.duties {
            duty.pressure = psig(5.0);
            duty.feed_temperature_k = kelvin(40.0);
        }
        let with_returns = |mut described: Loop| {
            let mut system = feed_system();
            system.returns = vec![ReturnFlow {
                name: "condensate".into(),
                share_of_outflow: 0.3,
                temperature_k: kelvin(95.0),
                pressure: psig(3.0),
            }];
            described.feed_system = Some(system);
            described
        };
        for described in [
            shell_boiler(),
            deaerator.clone(),
            vented_tank(),
            with_returns(deaerator),
            with_returns(vented_tank()),
        ] {
            let duty = &described.duties[1];
            let found = Balance::of(&described, duty).unwrap();
            let (is_fired, out) = (
                described.vessel.kind.is_fired(),
                duty.steam_kg_s + duty.blowdown_kg_s,
            );
            let mass = found.valve_kg_s + found.returns_kg_s + found.steam_kg_s - out;
            assert!(mass.abs() < 1e-12, "{found:?}");
            let brought = found.valve_kg_s * found.valve_enthalpy_j_kg
                + found.returns_kg_s * found.returns_enthalpy_j_kg;
            let (kept, steam_w) = match described.vessel.water_temperature_k {
                Some(stored_k) => {
                    let stored = compressed_water_enthalpy_j_kg(stored_k, duty.pressure.pa());
                    (out * stored.unwrap(), found.heat_w)
                }
                None => {
                    let at = SaturatedWater::at_pressure_pa(duty.pressure.pa()).unwrap();
                    let steam = if is_fired { duty.steam_kg_s } else { 0.0 };
                    let left =
                        steam * at.vapour_enthalpy_j_kg + (out - steam) * at.liquid_enthalpy_j_kg;
                    let heat = if is_fired {
                        found.heat_w
                    } else {
                        found.steam_kg_s * at.vapour_enthalpy_j_kg
                    };
                    (left, heat)
                }
            };
            assert!(
                (brought + steam_w - kept).abs() < 1e-6 * kept,
                "{found:?} {kept}"
            );
        }
    }
}
