//! The loop as described, every default filled in.

use halfglass_core::description::{
    Accuracy, AsFound, FailPosition, InputFault, Loop, Paper, ReferenceLeg, UnitSystem,
    ValveService, VesselKind,
};
use serde_json::{Value, json};

use super::measurement::{polarity, range_method};
use super::{feed_system, surveyed};
use crate::wording;

pub(super) fn described(described: &Loop) -> Value {
    let identity = &described.identity;
    let elevations = &described.elevations;
    json!({
        "tag": identity.tag,
        "service": identity.service,
        "plant": identity.plant,
        "units": match identity.units {
            UnitSystem::Us => "us",
            UnitSystem::Si => "si",
        },
        "water_column": identity.water_column.reference(),
        "paper": match identity.paper {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
        },
        "notes": identity.notes,
        "site": {
            "altitude_m": described.site.altitude_m,
            "atmosphere_pa_abs": described.site.atmosphere.pa(),
            "gravity_m_s2": described.site.gravity_m_s2,
            "ambient_lowest_k": described.site.ambient_lowest_k,
            "ambient_highest_k": described.site.ambient_highest_k,
        },
        "vessel": vessel(described),
        "elevations": {
            "upper_tap_m": elevations.upper_tap_m,
            "highest_heated_surface_m": elevations.highest_heated_surface_m,
            "overflow_m": elevations.overflow_m,
        },
        "reference_leg": reference_leg(&described.reference_leg),
        "working_leg_k": described.working_leg_temperature_k,
        "leg_lowest_k": described.leg_temperature_band_k.0,
        "leg_highest_k": described.leg_temperature_band_k.1,
        "glass": described.glass.as_ref().map(|glass| json!({
            "lower_connection_m": glass.lower_connection_m,
            "visible_bottom_m": glass.visible_bottom_m,
            "visible_top_m": glass.visible_top_m,
            "water_k": glass.water_temperature_k,
        })),
        "cell": cell(described),
        "range": {
            "at_0_percent_m": described.range.span.at_0_percent_m,
            "at_100_percent_m": described.range.span.at_100_percent_m,
            "method": range_method(described.range.method),
            "high_error_limit_percent": described.range.high_error_limit_percent,
            "high_error_weight_ratio": described.range.high_error_weight,
            "low_error_weight_ratio": described.range.low_error_weight,
            "bench_k": described.range.bench_temperature_k,
        },
        "pressures": {
            "start_up_pa_abs": described.pressures.start_up.pa(),
            "lowest_sustained_pa_abs": described.pressures.lowest_sustained.pa(),
            "normal_pa_abs": described.pressures.normal.pa(),
            "highest_pa_abs": described.pressures.highest.pa(),
            "safety_valve_pa_abs": described.pressures.safety_valve.pa(),
            "start_up_water_k": described.pressures.start_up_water_k,
        },
        "duties": described.duties.iter().map(|duty| json!({
            "name": duty.name,
            "steam_kg_s": duty.steam_kg_s,
            "blowdown_kg_s": duty.blowdown_kg_s,
            "feed_k": duty.feed_temperature_k,
            "pressure_pa_abs": duty.pressure.pa(),
        })).collect::<Vec<_>>(),
        "feedwater": feedwater(described),
        "feed_system": described.feed_system.as_ref().map(feed_system::feed_system),
        "wiring": described.wiring.as_ref().map(surveyed::wiring),
        "uncertainty": surveyed::uncertainty(&described.uncertainty),
        "controller": controller(described),
        "limits": limits(described),
        "as_found": described.as_found.as_ref().map(as_found),
        "measured": described.measured.as_ref().map(|process| json!({
            "test": super::plant_test::test_word(process.test),
            "date": process.date,
            "duty": process.duty,
            "span_time_s": process.span_time_s,
            "dead_time_s": process.delay_s,
        })),
        "people": described.people.iter().map(|person| json!({
            "role": person.role,
            "name": person.name,
        })).collect::<Vec<_>>(),
        "instruments": described.instruments.iter().map(|instrument| json!({
            "name": instrument.name,
            "serial": instrument.serial,
            "due": instrument.due,
            "accuracy_pa": instrument.accuracy.and_then(|accuracy| match accuracy {
                Accuracy::Pressure { pa } => Some(pa),
                Accuracy::Current { .. } => None,
            }),
            "accuracy_ma": instrument.accuracy.and_then(|accuracy| match accuracy {
                Accuracy::Current { ma } => Some(ma),
                Accuracy::Pressure { .. } => None,
            }),
        })).collect::<Vec<_>>(),
    })
}

fn vessel(described: &Loop) -> Value {
    let vessel = &described.vessel;
    let set_point_m = vessel.lower_tap_above_bottom_m + described.limits.set_point_m;
    let (shell, internals) = (&vessel.shell, &vessel.internals);
    json!({
        "kind": match vessel.kind {
            VesselKind::ShellBoiler => "shell-boiler",
            VesselKind::DrumBoiler => "drum-boiler",
            VesselKind::Deaerator => "deaerator",
            VesselKind::VentedTank => "vented-tank",
        },
        "orientation": wording::orientation(vessel.shell.orientation()),
        "inside_diameter_m": vessel.shell.inside_diameter_m(),
        "straight_length_m": vessel.shell.straight_length_m(),
        "heads": wording::head(vessel.shell.head()),
        "head_depth_m": vessel.shell.head_depth_m(),
        "lower_tap_above_bottom_m": vessel.lower_tap_above_bottom_m,
        "circuit_volume_m3": vessel.circuit_volume_m3,
        "internals": vessel.internals.table().iter().map(|point| json!({
            "height_m": point.height_m,
            "displaced_ratio": point.displaced_fraction,
        })).collect::<Vec<_>>(),
        "water_k": vessel.water_temperature_k,
        "vacuum_breaker": vessel.vacuum_breaker,
        "shell_capacity_m3": shell.capacity_m3(),
        "shell_volume_at_set_point_m3": shell.volume_m3(set_point_m).ok(),
        "shell_surface_at_set_point_m2": shell.free_surface_m2(set_point_m).ok(),
        "water_volume_at_set_point_m3": shell.volume_with_internals_m3(internals, set_point_m).ok(),
        "free_surface_at_set_point_m2": shell.free_surface_with_internals_m2(internals, set_point_m).ok(),
    })
}

/// All keys for every kind; what a kind does not have is `null`.
fn reference_leg(leg: &ReferenceLeg) -> Value {
    let mut value = json!({
        "kind": "none",
        "pot_lip_m": null,
        "top_k": null,
        "bottom_k": null,
        "below_tap_k": null,
        "gas_k": null,
        "lower_seal_m": null,
        "upper_seal_m": null,
        "fill_fluid": null,
        "reference_capillary_k": null,
        "working_capillary_k": null,
    });
    match leg {
        ReferenceLeg::None => {}
        ReferenceLeg::Wet {
            pot_lip_m,
            temperature,
            below_tap_k,
        } => {
            value["kind"] = json!("wet");
            value["pot_lip_m"] = json!(pot_lip_m);
            value["top_k"] = json!(temperature.top_k);
            value["bottom_k"] = json!(temperature.bottom_k);
            value["below_tap_k"] = json!(below_tap_k);
        }
        ReferenceLeg::Dry { temperature_k } => {
            value["kind"] = json!("dry");
            value["gas_k"] = json!(temperature_k);
        }
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            fluid,
            reference_capillary_k,
            working_capillary_k,
        } => {
            value["kind"] = json!("sealed");
            value["lower_seal_m"] = json!(lower_seal_m);
            value["upper_seal_m"] = json!(upper_seal_m);
            value["fill_fluid"] = json!(fluid.name());
            value["reference_capillary_k"] = json!(reference_capillary_k);
            value["working_capillary_k"] = json!(working_capillary_k);
        }
    }
    value
}

fn cell(described: &Loop) -> Value {
    let cell = &described.cell;
    json!({
        "below_lower_tap_m": cell.below_lower_tap_m,
        "polarity": polarity(cell.polarity),
        "reversal": wording::reversal_word(cell.reversal),
        "lower_range_limit_pa": cell.lower_range_limit_pa,
        "upper_range_limit_pa": cell.upper_range_limit_pa,
        "minimum_span_pa": cell.minimum_span_pa,
        "reference_accuracy_percent": cell.reference_accuracy_percent,
        "drift_url_per_year_percent": cell.drift_percent_url_per_year,
        "vacuum_limit_pa_abs": cell.vacuum_limit.pa(),
        "static_limit_pa_abs": cell.static_limit.pa(),
        "saturation_low_ma": cell.saturation_ma.0,
        "saturation_high_ma": cell.saturation_ma.1,
        "fault_ma": cell.fault_ma,
        "damping_s": cell.damping_s,
    })
}

const fn fail_position(position: FailPosition) -> &'static str {
    match position {
        FailPosition::Last => "last",
        FailPosition::Open => "open",
        FailPosition::Closed => "closed",
    }
}

fn feedwater(described: &Loop) -> Value {
    let valve = &described.feedwater;
    json!({
        "service": match valve.service {
            ValveService::Inflow => "inflow",
            ValveService::Outflow => "outflow",
        },
        "rising_output_opens": valve.rising_output_opens,
        "full_valve_flow_kg_s": valve.full_valve_flow_kg_s,
        "full_valve_flow_source": valve.full_valve_flow_source,
        "stroke_time_s": valve.stroke_time_s,
        "deadband_percent": valve.deadband_percent,
        "resolution_percent": valve.resolution_percent,
        "swell_time_s": valve.swell_time_s,
        "on_signal_loss": fail_position(valve.on_signal_loss),
        "on_power_loss": fail_position(valve.on_power_loss),
    })
}

fn controller(described: &Loop) -> Value {
    let controller = &described.controller;
    json!({
        "form": wording::form(controller.form),
        "gain_unit": controller.gain_unit.symbol(),
        "reset_unit": controller.reset_unit.symbol(),
        "derivative_unit": controller.derivative_unit.symbol(),
        "sample_time_s": controller.sample_time_s,
        "filter_time_s": controller.filter_time_s,
        "linearisation_points": controller.linearisation_points,
        "input_fault": match controller.input_fault {
            InputFault::NotDetected => "not-detected",
            InputFault::HoldOutput => "hold-output",
            InputFault::OutputLow => "output-low",
            InputFault::OutputHigh => "output-high",
        },
        "device_marks": controller.device_marks.iter().map(|(term, mark)| json!({
            "term": term,
            "mark": mark,
        })).collect::<Vec<_>>(),
    })
}

fn limits(described: &Loop) -> Value {
    let limits = &described.limits;
    json!({
        "set_point_m": limits.set_point_m,
        "low_alarm_m": limits.low_alarm_m,
        "high_alarm_m": limits.high_alarm_m,
        "low_cutoff_m": limits.low_cutoff_m,
        "second_low_cutoff_m": limits.second_low_cutoff_m,
        "high_trip_m": limits.high_trip_m,
        "allowed_deviation_m": limits.allowed_deviation_m,
        "largest_load_change_ratio": limits.largest_load_change_ratio,
        "smallest_separation_m": limits.smallest_separation_m,
    })
}

fn as_found(found: &AsFound) -> Value {
    json!({
        "lrv_pa": found.range_pa.map(|ends| ends.0),
        "urv_pa": found.range_pa.map(|ends| ends.1),
        "settings": found.settings.map(|settings| json!({
            "gain_ratio": settings.gain_ratio,
            "reset_s": settings.reset_s,
            "derivative_s": settings.derivative_s,
        })),
    })
}
