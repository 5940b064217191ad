//! The wiring and uncertainty sheets, and the bill of material.

use halfglass_core::measurement::uncertainty::sheets::{Budget, Evaluation, UncertaintySheet};
use halfglass_core::wiring::sheets::{SignalLoop, WiringSheet};
use serde_json::{Value, json};

use crate::bill::{Item, Standing};
use crate::wording;

/// Volts at the cell at a current, where the sheet has that current.
fn volts_at(signal: &SignalLoop, current_ma: f64) -> Option<f64> {
    signal
        .volts
        .iter()
        .find(|point| (point.current_ma - current_ma).abs() < 1e-9)
        .map(|point| point.at_cell_v)
}

pub(super) fn wiring(sheet: &WiringSheet) -> Value {
    let signal = &sheet.signal;
    let alarm = signal
        .volts
        .iter()
        .max_by(|a, b| a.current_ma.total_cmp(&b.current_ma));
    json!({
        "burden_ohm": signal.burden_ohm,
        "burden_max_ohm": signal.burden_max_ohm,
        "burden_least_ohm": signal.burden_least_ohm,
        "wire_ohm": signal.wire_ohm,
        "receivers_ohm": signal.receivers_ohm,
        "barrier_ohm": signal.barrier_ohm,
        "volts_at_4ma": volts_at(signal, 4.0),
        "volts_at_20ma": volts_at(signal, 20.0),
        "volts_at_alarm": alarm.map(|point| point.at_cell_v),
        "volts": signal.volts.iter().map(|point| json!({
            "current_ma": point.current_ma,
            "what": point.what,
            "lost_v": point.lost_v,
            "at_cell_v": point.at_cell_v,
            "at_cell_highest_supply_v": point.at_cell_highest_v,
            "margin_v": point.margin_v,
        })).collect::<Vec<_>>(),
        "clip_current_ma": signal.clip_current_ma,
        "clip_percent": signal.clip_percent,
        "run_m": signal.run_m,
        "longest_run_m": signal.longest_run_m,
        "conductor": signal.conductor_words,
        "conductor_ohm_per_km": signal.conductor_ohm_per_km,
        "conductors": sheet.conductors.iter().map(|row| json!({
            "name": row.name,
            "conductor_ohm_per_km": row.ohm_per_km,
            "longest_run_m": row.longest_run_m,
        })).collect::<Vec<_>>(),
        "output": sheet.output.map(|output| json!({
            "load_ohm": output.load_ohm,
            "largest_ohm": output.largest_ohm,
        })),
        "actuator": sheet.actuator.as_ref().map(|power| json!({
            "wire_ohm": power.wire_ohm,
            "running_a": power.current_a.0,
            "starting_a": power.current_a.1,
            "at_terminals_running_v": power.at_terminals_v.0,
            "at_terminals_starting_v": power.at_terminals_v.1,
            "drop_running_percent": power.drop_percent.0,
            "drop_starting_percent": power.drop_percent.1,
            "longest_run_m": power.longest_run_m,
            "fuse_a": power.fuse_a,
            "fuse_is_proposed": power.fuse_is_proposed,
            "text": power.words,
        })),
        "connections": sheet.connections.iter().map(|wire| json!({
            "number": wire.number,
            "carries": wire.carries,
            "from_device": wire.from_device,
            "from_terminal": super::or_null(&wire.from_terminal),
            "cable": super::or_null(&wire.cable),
            "to_device": wire.to_device,
            "to_terminal": super::or_null(&wire.to_terminal),
            "remark": super::or_null(&wire.remark),
        })).collect::<Vec<_>>(),
        "earth": sheet.earth_words,
    })
}

pub(super) fn uncertainty(sheet: &UncertaintySheet) -> Value {
    json!({
        "panel_percent_k2": sheet.panel.expanded_k2,
        "glass_m_k2": sheet.glass.as_ref().map(|budget| budget.expanded_k2),
        "budget": lines(&sheet.panel, "percent"),
        "glass_budget": sheet.glass.as_ref().map(|budget| lines(budget, "m")),
        "panel": budget(&sheet.panel, "percent"),
        "glass": sheet.glass.as_ref().map(|glass| budget(glass, "m")),
        "levels": sheet.levels.iter().map(|row| json!({
            "true_level_m": row.level.m(),
            "panel_percent_k2": row.panel_percent_k2,
            "panel_m_k2": row.panel_m_k2,
            "glass_m_k2": row.glass_m_k2,
        })).collect::<Vec<_>>(),
        "explained_disagreement_m": sheet.explained_disagreement_m,
    })
}

fn lines(budget: &Budget, unit: &str) -> Vec<Value> {
    budget
        .lines
        .iter()
        .map(|line| {
            let mut value = json!({
                "name": line.name,
                "type": match line.evaluation {
                    Evaluation::A => "A",
                    Evaluation::B => "B",
                },
                "half_width_value": line.half_width,
                "distribution": line.distribution.map(wording::distribution),
                "standard_uncertainty_value": line.standard_uncertainty,
                "unit": line.unit,
                "degrees_of_freedom": finite(line.degrees_of_freedom),
                "sensitivity_value": line.sensitivity,
                "share_percent": line.share_percent,
                "assumed": line.assumed,
            });
            value[format!("contribution_{unit}")] = json!(line.contribution);
            value
        })
        .collect()
}

/// Without bound: `null`.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn budget(budget: &Budget, unit: &str) -> Value {
    let monte_carlo = &budget.monte_carlo;
    let mut value = json!({
        "true_level_m": budget.level.m(),
        "effective_degrees_of_freedom": finite(budget.effective_degrees_of_freedom),
        "coverage_percent": budget.coverage_percent,
        "k_95_ratio": budget.k_95,
        "leg_correlation_ratio": budget.leg_correlation,
        "monte_carlo": {
            "trials": monte_carlo.trials,
            "seed": monte_carlo.seed,
            "agrees": monte_carlo.agrees,
        },
        "halvings": budget.halvings.iter().map(|row| {
            let mut value = json!({ "name": row.name, "text": row.words });
            value[format!("expanded_k2_{unit}")] = json!(row.expanded_k2);
            value
        }).collect::<Vec<_>>(),
        "text": budget.words,
    });
    value[format!("combined_{unit}")] = json!(budget.combined);
    value[format!("expanded_k2_{unit}")] = json!(budget.expanded_k2);
    for (key, number) in [
        ("mean", monte_carlo.mean),
        ("standard_uncertainty", monte_carlo.standard_uncertainty),
        ("lowest_95", monte_carlo.interval_95.0),
        ("highest_95", monte_carlo.interval_95.1),
        ("tolerance", monte_carlo.tolerance),
    ] {
        value["monte_carlo"][format!("{key}_{unit}")] = json!(number);
    }
    value
}

pub(super) fn bill(items: &[Item]) -> Vec<Value> {
    items
        .iter()
        .map(|item| {
            json!({
                "number": item.number,
                "tag": super::or_null(&item.tag),
                "quantity": item.quantity,
                "standing": standing(item.standing),
                "what": item.what,
            })
        })
        .collect()
}

/// `null`: not surveyed.
const fn standing(standing: Standing) -> Option<&'static str> {
    match standing {
        Standing::Fitted => Some("fitted"),
        Standing::DoNotOrder => Some("do-not-order"),
        Standing::ToBuy => Some("to-buy"),
        Standing::NotSaid => None,
    }
}
