//! How much water stands in the vessel, what it weighs, and how fast it comes and goes.

use crate::description::{Duty, Loop, ValveService};
use crate::protection::ProtectionError;
use crate::quantity::{AbsolutePressure, TrueLevel};
use crate::water::{compressed_water_density_kg_m3, saturated_densities};

/// Densities on both sides of the water's surface, kg/m3.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Contents {
    /// Water.
    pub(super) liquid_kg_m3: f64,
    /// Steam over it; 0 in a vented tank, whose air comes and goes freely and is not part of the balance.
    pub(super) steam_kg_m3: f64,
}

impl Contents {
    /// Mass that must leave for a cubic metre of water to disappear: steam takes the water's place.
    pub(super) fn exchange_kg_m3(self) -> f64 {
        self.liquid_kg_m3 - self.steam_kg_m3
    }
}

/// What the vessel holds at a pressure in service: boiling water under steam, or the tank's water under air.
pub(super) fn contents_in_service(
    described: &Loop,
    pressure: AbsolutePressure,
) -> Result<Contents, ProtectionError> {
    match described.vessel.water_temperature_k {
        Some(water_k) if !described.vessel.kind.holds_steam() => Ok(Contents {
            liquid_kg_m3: compressed_water_density_kg_m3(water_k, pressure.pa())?,
            steam_kg_m3: 0.0,
        }),
        None if !described.vessel.kind.holds_steam() => {
            Err(ProtectionError::WaterTemperatureMissing)
        }
        _ => {
            let saturated = saturated_densities(pressure.pa())?;
            Ok(Contents {
                liquid_kg_m3: saturated.liquid_kg_m3,
                steam_kg_m3: saturated.vapour_kg_m3,
            })
        }
    }
}

/// Water volume under a level, less what internals displace, m3.
pub(super) fn water_volume_m3(described: &Loop, level: TrueLevel) -> Result<f64, ProtectionError> {
    let vessel = &described.vessel;
    Ok(vessel.shell.volume_with_internals_m3(
        &vessel.internals,
        level.m() + vessel.lower_tap_above_bottom_m,
    )?)
}

/// Level of a water volume.
pub(super) fn level_of_volume(
    described: &Loop,
    volume_m3: f64,
) -> Result<TrueLevel, ProtectionError> {
    let vessel = &described.vessel;
    let height_m = vessel
        .shell
        .height_for_volume_with_internals_m(&vessel.internals, volume_m3)?;
    Ok(TrueLevel::from_m(
        height_m - vessel.lower_tap_above_bottom_m,
    ))
}

/// Volume of the whole vessel, less internals, m3.
pub(super) fn capacity_m3(described: &Loop) -> f64 {
    described
        .vessel
        .shell
        .capacity_with_internals_m3(&described.vessel.internals)
}

/// Mass that leaves while the level falls from one mark to another (or enters while it rises: negative), kg.
///
/// ```text
/// m = (ρl − ρv)·[V(upper) − V(lower)]
/// ```
///
/// **Source:** mass balance at constant pressure; steam fills the room that water leaves.
/// **Checked by:** `property_straight_vessel_minutes_are_exact`.
pub(super) fn mass_between_kg(
    described: &Loop,
    contents: Contents,
    upper: TrueLevel,
    lower: TrueLevel,
) -> Result<f64, ProtectionError> {
    let volume_m3 = water_volume_m3(described, upper)? - water_volume_m3(described, lower)?;
    Ok(contents.exchange_kg_m3() * volume_m3)
}

/// Flow through the control valve that holds the level at a duty, kg/s.
///
/// A feed valve replaces steam and blowdown; a drain valve passes the outflow itself.
pub(super) fn balanced_flow_kg_s(described: &Loop, duty: &Duty) -> f64 {
    match described.feedwater.service {
        ValveService::Inflow => duty.steam_kg_s + duty.blowdown_kg_s,
        ValveService::Outflow => duty.steam_kg_s,
    }
}

/// Duties with the largest and the smallest flow through the control valve.
pub(super) fn extreme_duties(described: &Loop) -> Result<(&Duty, &Duty), ProtectionError> {
    let flow = |duty: &&Duty| balanced_flow_kg_s(described, duty);
    let by_flow = |a: &&Duty, b: &&Duty| flow(a).total_cmp(&flow(b));
    let largest = described.duties.iter().max_by(by_flow);
    let smallest = described.duties.iter().min_by(by_flow);
    let (Some(largest), Some(smallest)) = (largest, smallest) else {
        return Err(ProtectionError::NoDuty);
    };
    for duty in &described.duties {
        let flow_kg_s = balanced_flow_kg_s(described, duty);
        if !(flow_kg_s >= 0.0 && flow_kg_s.is_finite()) {
            return Err(ProtectionError::DutyFlow {
                duty: duty.name.clone(),
                flow_kg_s,
            });
        }
    }
    if balanced_flow_kg_s(described, largest) <= 0.0 {
        return Err(ProtectionError::DutyFlow {
            duty: largest.name.clone(),
            flow_kg_s: balanced_flow_kg_s(described, largest),
        });
    }
    Ok((largest, smallest))
}
