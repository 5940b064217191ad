//! The water side as described: supply, line, valve, actuator, station, returns.

use halfglass_core::description::feed_system::{
    Actuator, Bypass, Characteristic, ControlValve, FeedSystem, Header, Line, Loss, Pump,
    Recirculation, ReferenceDrop, Supply, ValveSide, ValveSize,
};
use serde_json::{Value, json};

use crate::wording;

pub(super) fn feed_system(system: &FeedSystem) -> Value {
    let (kind, pump_data, header_data) = match &system.supply {
        Supply::Pump(supply) => ("pump", Some(pump(supply)), None),
        Supply::Header(supply) => ("header", None, Some(header(*supply))),
    };
    let station = &system.station;
    json!({
        "supply": { "kind": kind, "pump": pump_data, "header": header_data },
        "line": line(&system.line),
        "valve": valve(&system.valve),
        "actuator": actuator(system.actuator),
        "station": {
            "bypass": match station.bypass {
                Bypass::None => "none",
                Bypass::Hand { .. } => "hand",
            },
            "bypass_kv_m3_h": match station.bypass {
                Bypass::None => None,
                Bypass::Hand { kv_m3_h } => kv_m3_h,
            },
            "isolating_valves": station.isolating_valves,
            "replaces_on_off": station.replaces_on_off,
            "interlocks_kept": station.interlocks_kept,
        },
        "returns": system.returns.iter().map(|row| json!({
            "name": row.name,
            "share_of_outflow_ratio": row.share_of_outflow,
            "water_k": row.temperature_k,
            "pressure_pa_abs": row.pressure.pa(),
        })).collect::<Vec<_>>(),
    })
}

fn drop_at_flow(drop: &ReferenceDrop) -> Value {
    json!({ "drop_pa": drop.drop_pa, "flow_kg_s": drop.flow_kg_s })
}

fn pump(pump: &Pump) -> Value {
    let (recirculation, recirculation_flow_m3_s) = match pump.recirculation {
        Recirculation::None => ("none", None),
        Recirculation::Continuous { flow_m3_s } => ("continuous", Some(flow_m3_s)),
        Recirculation::Automatic => ("automatic", None),
    };
    json!({
        "curve": pump.curve.iter().map(|point| json!({
            "flow_m3_s": point.flow_m3_s,
            "head_m": point.head_m,
            "npsh_required_m": point.npsh_required_m,
        })).collect::<Vec<_>>(),
        "running_number": pump.running,
        "standby_number": pump.standby,
        "suction_surface_pa_abs": pump.suction_surface.pa(),
        "suction_surface_above_pump_m": pump.suction_surface_above_pump_m,
        "suction_loss": pump.suction_loss.as_ref().map(drop_at_flow),
        "minimum_flow_m3_s": pump.minimum_flow_m3_s,
        "recirculation": recirculation,
        "recirculation_flow_m3_s": recirculation_flow_m3_s,
        "other_flow_kg_s": pump.other_flow_kg_s,
        "variable_speed": pump.variable_speed,
    })
}

fn header(header: Header) -> Value {
    json!({
        "pressure_pa_abs": header.pressure.pa(),
        "droop": header.droop.as_ref().map(drop_at_flow),
    })
}

fn line(line: &Line) -> Value {
    json!({
        "parts": line.parts.iter().map(|part| {
            let (reference, pipe) = match &part.loss {
                Loss::Reference(drop) => (Some(drop_at_flow(drop)), None),
                Loss::Pipe { inside_diameter_m, length_m, roughness_m, fittings_k } => (
                    None,
                    Some(json!({
                        "inside_diameter_m": inside_diameter_m,
                        "length_m": length_m,
                        "roughness_m": roughness_m,
                        "fittings_loss_ratio": fittings_k,
                    })),
                ),
            };
            json!({
                "name": part.name,
                "side": match part.side {
                    ValveSide::Before => "before",
                    ValveSide::After => "after",
                },
                "loss_at_flow": reference,
                "pipe": pipe,
                "shared": part.shared,
                "heats_by_k": part.temperature_rise_k,
            })
        }).collect::<Vec<_>>(),
        "valve_above_supply_m": line.valve_above_supply_m,
        "inlet_above_supply_m": line.inlet_above_supply_m,
        "pipe_before_valve_m": line.pipe_before_valve_m,
        "pipe_after_valve_m": line.pipe_after_valve_m,
    })
}

fn size(size: &ValveSize) -> Value {
    json!({
        "name": size.name,
        "rated_kv_m3_h": size.rated_kv_m3_h,
        "bore_m": size.bore_m,
        "seat_diameter_m": size.seat_diameter_m,
    })
}

fn valve(valve: &ControlValve) -> Value {
    let none: &[(f64, f64)] = &[];
    let (kind, rangeability, points) = match &valve.characteristic {
        Characteristic::Linear { rangeability } => ("linear", Some(rangeability), none),
        Characteristic::EqualPercentage { rangeability } => {
            ("equal-percentage", Some(rangeability), none)
        }
        Characteristic::QuickOpening { rangeability } => {
            ("quick-opening", Some(rangeability), none)
        }
        Characteristic::Table(points) => ("table", None, points.as_slice()),
    };
    json!({
        "style": wording::valve_style(valve.style),
        "recovery_factor_ratio": valve.recovery_factor,
        "style_modifier_ratio": valve.style_modifier,
        "incipient_pressure_ratio": valve.incipient_ratio,
        "characteristic": {
            "kind": kind,
            "rangeability_ratio": rangeability,
            "points": points.iter().map(|(travel, share)| json!({
                "travel_ratio": travel,
                "coefficient_ratio": share,
            })).collect::<Vec<_>>(),
        },
        "sizes": valve.sizes.iter().map(size).collect::<Vec<_>>(),
        "sizes_are_generic": valve.sizes_are_generic,
        "fitted": valve.fitted.as_ref().map(size),
        "throttling_limit_pa": valve.throttling_limit_pa,
        "shut_off_limit_pa": valve.shut_off_limit_pa,
        "leakage_class": wording::leakage_class(valve.leakage),
        "pipe_wall_m": valve.pipe_wall_m,
    })
}

/// All keys for every kind; what a kind does not have is `null`.
fn actuator(actuator: Actuator) -> Value {
    let mut value = json!({
        "kind": "linear",
        "rated_force_n": null,
        "packing_friction_n": null,
        "balanced": null,
        "flow_opens": null,
        "rated_torque_n_m": null,
        "breakaway_torque_n_m": null,
        "running_torque_n_m": null,
    });
    match actuator {
        Actuator::Linear {
            rated_force_n,
            packing_friction_n,
            balanced,
            flow_opens,
        } => {
            value["rated_force_n"] = json!(rated_force_n);
            value["packing_friction_n"] = json!(packing_friction_n);
            value["balanced"] = json!(balanced);
            value["flow_opens"] = json!(flow_opens);
        }
        Actuator::Rotary {
            rated_torque_n_m,
            breakaway_torque_n_m,
            running_torque_n_m,
        } => {
            value["kind"] = json!("rotary");
            value["rated_torque_n_m"] = json!(rated_torque_n_m);
            value["breakaway_torque_n_m"] = json!(breakaway_torque_n_m);
            value["running_torque_n_m"] = json!(running_torque_n_m);
        }
    }
    value
}
