//! The wires and the uncertain inputs as described.

use halfglass_core::description::uncertainty::{UncertaintySource, UncertaintySurvey};
use halfglass_core::description::wiring::{BarrierKind, CableRun, Conductor, Wiring};
use serde_json::{Value, json};

use super::or_null;
use crate::wording;

/// A terminal's own mark for each pole; `null`: to be filled in.
fn poles(marks: &[String; 2]) -> Value {
    json!({ "plus": or_null(&marks[0]), "minus": or_null(&marks[1]) })
}

/// All keys for every kind; what a kind does not have is `null`.
fn conductor(conductor: Conductor) -> Value {
    let mut value = json!({
        "kind": "awg",
        "awg_number": null,
        "stranded": null,
        "area_mm2": null,
        "flexible": null,
        "tinned": null,
        "conductor_ohm_per_km": null,
    });
    match conductor {
        Conductor::Awg { gauge, stranded } => {
            value["awg_number"] = json!(gauge);
            value["stranded"] = json!(stranded);
        }
        Conductor::Metric {
            area_mm2,
            flexible,
            tinned,
        } => {
            value["kind"] = json!("metric");
            value["area_mm2"] = json!(area_mm2);
            value["flexible"] = json!(flexible);
            value["tinned"] = json!(tinned);
        }
        Conductor::Stated { ohm_per_m } => {
            value["kind"] = json!("stated");
            value["conductor_ohm_per_km"] = json!(1_000.0 * ohm_per_m);
        }
    }
    value
}

fn cable(run: &CableRun) -> Value {
    json!({
        "mark": or_null(&run.mark),
        "conductor": conductor(run.conductor),
        "length_m": run.length_m,
        "conductor_highest_k": run.temperature_k,
    })
}

pub(super) fn wiring(wires: &Wiring) -> Value {
    json!({
        "supply_lowest_v": wires.supply_lowest_v,
        "supply_highest_v": wires.supply_highest_v,
        "powered_by_controller": wires.powered_by_controller,
        "supply_terminals": poles(&wires.supply_terminals),
        "cell_lift_off_v": wires.cell_lift_off_v,
        "cell_highest_v": wires.cell_highest_v,
        "cell_terminals": poles(&wires.cell_terminals),
        "highest_current_ma": wires.highest_current_ma,
        "receivers": wires.receivers.iter().map(|receiver| json!({
            "name": receiver.name,
            "resistance_ohm": receiver.resistance_ohm,
            "terminals": poles(&receiver.terminals),
        })).collect::<Vec<_>>(),
        "cable": cable(&wires.cable),
        "barrier": wires.barrier.as_ref().map(|barrier| json!({
            "name": barrier.name,
            "kind": match barrier.kind {
                BarrierKind::Barrier => "barrier",
                BarrierKind::Surge => "surge",
                BarrierKind::Isolator => "isolator",
            },
            "resistance_ohm": barrier.resistance_ohm,
            "constant_drop_v": barrier.drop_v,
            "largest_working_v": barrier.largest_working_v,
        })),
        "digital": wires.digital,
        "shield_earth": or_null(&wires.shield_earth),
        "output": wires.output.as_ref().map(|output| json!({
            "largest_load_ohm": output.largest_load_ohm,
            "input_ohm": output.input_ohm,
            "cable": cable(&output.cable),
            "controller_terminals": poles(&output.controller_terminals),
            "actuator_terminals": poles(&output.actuator_terminals),
        })),
        "actuator_supply": wires.actuator_supply.as_ref().map(|supply| json!({
            "nominal_v": supply.voltage_v,
            "supply_lowest_v": supply.supply_lowest_v,
            "alternating": supply.alternating,
            "actuator_lowest_v": supply.lowest_v,
            "running_va": supply.running_va,
            "starting_va": supply.inrush_va,
            "cable": cable(&supply.cable),
            "source_va": supply.source_va,
            "fuse_a": supply.fuse_a,
            "signal_isolated": supply.signal_isolated,
            "terminals": supply.terminals.iter().map(|mark| or_null(mark)).collect::<Vec<_>>(),
        })),
    })
}

pub(super) fn uncertainty(survey: &UncertaintySurvey) -> Value {
    json!({
        "inputs": survey.inputs.iter().map(|input| json!({
            "source": wording::uncertainty_source(input.source),
            "half_width_value": input.half_width,
            "unit": unit(input.source),
            "distribution": wording::distribution(input.distribution),
            "assumed": input.assumed,
        })).collect::<Vec<_>>(),
        "calibration_interval_years": survey.calibration_interval_years,
        "ambient_swing_k": survey.ambient_swing_k,
        "zeroed_at_pressure": survey.zeroed_at_pressure,
        "leg_correlation_ratio": survey.leg_correlation,
        "zero_readings_ma": survey.zero_readings_ma,
    })
}

/// Unit of an input's half width.
const fn unit(source: UncertaintySource) -> &'static str {
    match source {
        UncertaintySource::ReferenceAccuracy => "% of span",
        UncertaintySource::AmbientZero => "% of upper range limit per K",
        UncertaintySource::AmbientSpan => "% of reading per K",
        UncertaintySource::StaticZero => "% of upper range limit per Pa",
        UncertaintySource::StaticSpan => "% of reading per Pa",
        UncertaintySource::Drift => "% of upper range limit per year",
        UncertaintySource::Receiver => "% of its span",
        UncertaintySource::Calibrator | UncertaintySource::VesselPressure => "Pa",
        UncertaintySource::LegHeight
        | UncertaintySource::GlassConnection
        | UncertaintySource::GlassReading => "m",
        UncertaintySource::LegTemperature
        | UncertaintySource::WorkingLegTemperature
        | UncertaintySource::WaterTemperature
        | UncertaintySource::GlassTemperature => "K",
    }
}
