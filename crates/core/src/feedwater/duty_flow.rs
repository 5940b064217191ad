//! A duty of the chosen valve: pressures, sizing, what the drop does to the water, travel and gain.

use crate::description::feed_system::{FeedSystem, Supply};
use crate::feedwater::cavitation::{
    Throttling, after_valve, cavitation, consequence, incipient_ratio_at, pressure_ratio, sigma,
    velocity_m_s,
};
use crate::feedwater::duties::ValveDuty;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::noise::{NoiseCase, NoiseError, sound_level_dba};
use crate::feedwater::selection::{Assessed, Bench};
use crate::feedwater::sheets::{Cavitation, DutyFlow, DutyKind, FlowRegime};
use crate::feedwater::sizing::{Sizing, SizingError, required_kv};
use crate::feedwater::supply::Source;
use crate::feedwater::system::{AtValve, System};
use crate::reader_units::ReaderUnits;
use crate::water::{WaterError, compressed_water_sound_speed_m_s};

/// What the outlet holds where the water flashes.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Outlet {
    /// Mass fraction of steam.
    steam_ratio: f64,
    /// Velocity in the pipe after the valve, m/s.
    velocity_m_s: f64,
}

/// The duty at `index` with the chosen valve.
///
/// # Errors
/// [`FeedwaterError`].
pub(crate) fn duty_flow(
    bench: &Bench<'_>,
    feed_system: &FeedSystem,
    chosen: &Assessed,
    index: usize,
    units: ReaderUnits,
) -> Result<DutyFlow, FeedwaterError> {
    let (duty, system) = (&bench.duties[index], &bench.systems[index]);
    let at = system.at_flow(duty.flow_kg_s);
    let flow_m3_s = duty.flow_kg_s / system.density_kg_m3;
    let sizing = sizing_of(bench, chosen, index)?;
    let shut = duty.kind == DutyKind::ShutOff;
    let flashing = !shut && at.outlet_pressure_pa < system.vapour_pressure_pa;
    let water = |source| FeedwaterError::Water {
        duty: duty.name.clone(),
        source,
    };
    let incipient_ratio = chosen.factors.incipient_ratio(sizing.kv_m3_h);
    let incipient_pressure_ratio = incipient_ratio_at(incipient_ratio, at.inlet_pressure_pa);
    let class = if shut {
        Cavitation::None
    } else {
        cavitation(&Throttling {
            inlet_pressure_pa: at.inlet_pressure_pa,
            outlet_pressure_pa: at.outlet_pressure_pa,
            vapour_pressure_pa: system.vapour_pressure_pa,
            choked_drop_pa: sizing.choked_drop_pa,
            incipient_pressure_ratio,
        })
    };
    // Choked by vapour: the levels of the method are not backed by its tests there.
    let noise_dba = if shut || flashing || sizing.choked || class >= Cavitation::Severe {
        None
    } else {
        let case = NoiseCase {
            flow_kg_s: duty.flow_kg_s,
            inlet_pressure_pa: at.inlet_pressure_pa,
            outlet_pressure_pa: at.outlet_pressure_pa,
            vapour_pressure_pa: system.vapour_pressure_pa,
            density_kg_m3: system.density_kg_m3,
            sound_speed_m_s: compressed_water_sound_speed_m_s(
                duty.valve_temperature_k,
                at.inlet_pressure_pa,
            )
            .map_err(water)?,
            kv_m3_h: sizing.kv_m3_h,
            recovery_factor: chosen.factors.recovery_factor,
            style_modifier: chosen.factors.style_modifier,
            incipient_ratio,
            acoustic_exponent: chosen.factors.acoustic_exponent,
            bore_m: chosen.size.bore_m,
            seat_diameter_m: chosen.size.seat_diameter_m.unwrap_or(chosen.size.bore_m),
            pipe_inside_m: bench.line.pipe_after_valve_m,
            pipe_wall_m: bench.valve.pipe_wall_m,
        };
        match sound_level_dba(&case) {
            Ok(level) => Some(level),
            Err(NoiseError::OutsideMethod { .. }) => None,
            Err(source) => {
                return Err(FeedwaterError::Noise {
                    duty: duty.name.clone(),
                    source,
                });
            }
        }
    };
    let outlet = outlet(bench, duty, system, at).map_err(water)?;
    let (npsh_available_m, npsh_required_m) = npsh(system, at);
    let mut found = DutyFlow {
        name: duty.name.clone(),
        kind: duty.kind,
        flow_kg_s: duty.flow_kg_s,
        flow_m3_s,
        water_temperature_k: duty.valve_temperature_k,
        density_kg_m3: system.density_kg_m3,
        kinematic_viscosity_m2_s: system.kinematic_viscosity_m2_s,
        vessel_pressure_pa: duty.vessel_pressure_pa,
        pump_flow_m3_s: at.supply.pump_flow_m3_s,
        pump_head_m: at.supply.head_m,
        speed_with_valve_open_percent: speed_percent(bench, feed_system, chosen, index),
        npsh_available_m,
        npsh_required_m,
        inlet_pressure_pa: at.inlet_pressure_pa,
        outlet_pressure_pa: at.outlet_pressure_pa,
        pressure_drop_pa: at.drop_pa,
        friction_pa: at.friction_pa,
        vapour_pressure_pa: system.vapour_pressure_pa,
        critical_ratio_factor: sizing.critical_ratio_factor,
        choked_drop_pa: sizing.choked_drop_pa,
        kv_required_m3_h: sizing.kv_m3_h,
        regime: sizing.regime,
        reynolds: sizing.reynolds,
        piping_factor: sizing.piping_factor,
        piping_recovery_factor: sizing.piping_recovery_factor,
        choked: sizing.choked,
        flashing,
        cavitation: class,
        sigma: sigma(
            at.inlet_pressure_pa,
            at.outlet_pressure_pa,
            system.vapour_pressure_pa,
        ),
        pressure_ratio: pressure_ratio(
            at.inlet_pressure_pa,
            at.outlet_pressure_pa,
            system.vapour_pressure_pa,
        ),
        incipient_pressure_ratio,
        noise_dba,
        inlet_velocity_m_s: velocity_m_s(duty.flow_kg_s, system.density_kg_m3, chosen.size.bore_m),
        outlet_velocity_m_s: outlet.velocity_m_s,
        flash_steam_ratio: outlet.steam_ratio,
        travel_percent: chosen.candidate.travel_percent[index],
        installed_gain_ratio: chosen.gains[index],
        words: String::new(),
    };
    found.words = words(&found, duty, units);
    Ok(found)
}

/// Sizing with the chosen body; where that body cannot pass the flow, of a bare valve, so that the sheet still says what is wanted.
fn sizing_of(bench: &Bench<'_>, chosen: &Assessed, index: usize) -> Result<Sizing, FeedwaterError> {
    let error = match &chosen.sizings[index] {
        Ok(sizing) => return Ok(*sizing),
        Err(error) => error,
    };
    let refuse = |source: SizingError| FeedwaterError::Sizing {
        duty: bench.duties[index].name.clone(),
        source,
    };
    match error {
        SizingError::FittingsTakeTheDrop { .. } | SizingError::BoreAbovePipe { .. } => {
            let mut body = bench.body(&chosen.size, &chosen.factors);
            body.pipe_before_m = body.bore_m;
            body.pipe_after_m = body.bore_m;
            required_kv(&bench.flowing(index), &body).map_err(refuse)
        }
        other => Err(refuse(other.clone())),
    }
}

/// Steam after the valve, and the velocity of the mixture.
fn outlet(
    bench: &Bench<'_>,
    duty: &ValveDuty,
    system: &System,
    at: AtValve,
) -> Result<Outlet, WaterError> {
    let pipe_m = bench.line.pipe_after_valve_m;
    let (steam_ratio, density_kg_m3) = if at.outlet_pressure_pa < system.vapour_pressure_pa {
        let after = after_valve(
            duty.valve_temperature_k,
            at.inlet_pressure_pa,
            at.outlet_pressure_pa,
        )?;
        (after.steam_ratio, after.mixture_density_kg_m3)
    } else {
        (0.0, system.density_kg_m3)
    };
    Ok(Outlet {
        steam_ratio,
        velocity_m_s: velocity_m_s(duty.flow_kg_s, density_kg_m3, pipe_m),
    })
}

/// NPSH available and required, m.
fn npsh(system: &System, at: AtValve) -> (Option<f64>, Option<f64>) {
    match (&system.source, at.supply.pump_flow_m3_s) {
        (Source::Pumps(pumps), Some(flow)) => (
            Some(pumps.npsh_available_m(flow, system.supply_vapour_pressure_pa)),
            pumps.npsh_required_m(flow),
        ),
        _ => (None, None),
    }
}

/// Speed that holds the duty with the chosen valve wide open, percent of rated; `None` where it cannot vary, without flow, or where
/// rated speed is not enough.
fn speed_percent(
    bench: &Bench<'_>,
    feed_system: &FeedSystem,
    chosen: &Assessed,
    index: usize,
) -> Option<f64> {
    let Supply::Pump(pump) = &feed_system.supply else {
        return None;
    };
    let (duty, system) = (&bench.duties[index], &bench.systems[index]);
    let Source::Pumps(pumps) = &system.source else {
        return None;
    };
    if !pump.variable_speed || !(duty.flow_kg_s > 0.0) {
        return None;
    }
    let open_pa = bench
        .valve_in_system(index, &chosen.size, &chosen.factors)
        .open_drop_pa(duty.flow_kg_s);
    let wanted_pa = system.pressure_wanted_pa(duty.flow_kg_s, open_pa);
    let ratio = pumps.speed_ratio(duty.flow_kg_s, wanted_pa)?;
    (ratio <= 1.0).then_some(100.0 * ratio)
}

/// What happens at the duty, in words.
fn words(found: &DutyFlow, duty: &ValveDuty, units: ReaderUnits) -> String {
    let mut words = Vec::new();
    if found.kind == DutyKind::ShutOff {
        return "No flow: the valve is shut against the whole pressure of the supply.".into();
    }
    words.push(
        match found.regime {
            FlowRegime::None => "No flow.",
            FlowRegime::Turbulent => "Turbulent flow.",
            FlowRegime::Choked => "Choked: a lower pressure after the valve brings no more flow.",
            FlowRegime::Transitional => "Between laminar and turbulent flow.",
            FlowRegime::Laminar => "Laminar flow.",
        }
        .to_owned(),
    );
    if found.flashing {
        words.push(format!(
            "{:.1} % of the water turns to steam and stays steam: two-phase flow of {} after the valve.",
            100.0 * found.flash_steam_ratio,
            units.velocity(found.outlet_velocity_m_s)
        ));
    } else {
        words.push(consequence(found.cavitation).into());
    }
    if found.cavitation == Cavitation::Severe && found.kind == DutyKind::StartUp {
        words.push("A start-up lasts hours: count them.".into());
    }
    if found.noise_dba.is_none() {
        words.push("No sound level is given for choked or flashing flow: ask the maker.".into());
    }
    match found.travel_percent {
        None => words.push("Even the open valve does not pass it.".into()),
        Some(travel) if !(travel > 0.0) => {
            words.push("Less than the valve can control: it opens and shuts.".into());
        }
        Some(_) => {}
    }
    if let Some(percent) = found.speed_with_valve_open_percent {
        words.push(format!(
            "With the valve wide open, {percent:.0} % of rated pump speed would hold it."
        ));
    }
    if let Some(steam) = duty.heating_steam_kg_s {
        words.push(if steam >= 0.0 {
            format!("Heating steam of {} brings the rest.", units.flow(steam))
        } else {
            format!(
                "Returns bring more heat than is wanted: {} of steam is vented.",
                units.flow(-steam)
            )
        });
    }
    words.retain(|sentence| !sentence.is_empty());
    words.join(" ")
}
