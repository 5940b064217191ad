//! The elevation's table as JSON for the page's script: temperatures in K and levels in m above the lower tap, each with
//! the linear map to what the reader sees, so that the script converts nothing by itself.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::Blind;
use halfglass_core::measurement::elevation::{
    ElevationReading, ElevationStep, ElevationTable, GlassReading,
};
use halfglass_core::measurement::signal::current_ma;
use halfglass_core::quantity::AbsolutePressure;
use halfglass_core::water::saturation_pressure_pa;
use serde_json::{Map, Value, json};

use super::{BLIND_NOTE, PERCENT_DECIMALS, SATURATED_NOTE, decimals_of, passable, said, templates};
use crate::units::{DisplayUnits, current_text};

/// Places on the way at which the pressure is given: straight lines between them are off by less than what is printed.
const PRESSURES: usize = 400;

/// A linear map from SI to what the reader sees.
fn linear(of: impl Fn(f64) -> (f64, &'static str), printed: &str) -> Value {
    let (at_zero, unit) = of(0.0);
    json!({
        "scale": of(1.0).0 - at_zero,
        "offset": at_zero,
        "decimals": decimals_of(printed),
        "unit": unit,
    })
}

/// The table, the words and the maps.
pub fn table_json(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    table: &ElevationTable,
) -> Value {
    let span = described.range.span;
    let steps: Vec<Value> = table
        .steps
        .iter()
        .map(|step| {
            json!({
                "water_k": step.condition.water_k,
                "saturation_k": step.saturation_k,
                "flashes_above_k": step.leg_limits.flashes_above_k,
                "freezes_below_k": step.leg_limits.freezes_below_k,
                "condenses_below_k": step.leg_limits.condenses_below_k,
                "panel_percent": step.indicated_percent.iter().map(|ends| ends.map(rounded)).collect::<Vec<_>>(),
                "glass_m": step.glass_m,
            })
        })
        .collect();
    let words: Map<String, Value> = templates(described)
        .into_iter()
        .map(|template| {
            (
                template.key.to_owned(),
                json!({"gravity": template.gravity.word(), "text": template.text}),
            )
        })
        .collect();
    let order: Vec<&str> = templates(described)
        .into_iter()
        .map(|template| template.key)
        .collect();
    let at_zero_ma = current_ma(&described.cell, 0.0);
    json!({
        "legs_k": table.legs_k,
        "weighed_m": table.weighed_m,
        "vessel_m": [sheets.level_map.shell_bottom_m, sheets.level_map.shell_top_m],
        "span_m": [span.at_0_percent_m, span.at_100_percent_m],
        "panel_ends_percent": [table.panel_ends.low_percent, table.panel_ends.high_percent],
        "current_ma": {
            "scale": (current_ma(&described.cell, 100.0) - at_zero_ma) / 100.0,
            "offset": at_zero_ma,
            "decimals": decimals_of(current_text(0.0).trim_end_matches(" mA")),
            "unit": "mA",
        },
        "percent_decimals": PERCENT_DECIMALS,
        "visible_m": table.visible_m,
        "heated_m": described.elevations.highest_heated_surface_m,
        "passable": passable(described, sheets).into_iter().map(|(mark, is_high)| {
            json!({"name": mark.name, "m": mark.true_level.m(), "high": is_high})
        }).collect::<Vec<_>>(),
        "steps": steps,
        "pressure": pressures(described, units, table),
        "level": linear(|m| units.level(m), &units.level_number(0.0)),
        "temperature": linear(|k| units.temperature(k), &units.temperature_number(0.0)),
        "freezing_k": 273.15,
        "notes": {"blind": BLIND_NOTE, "saturated": SATURATED_NOTE},
        "words": words,
        "order": order,
        "worst_departure_percent": table.worst_departure_percent,
    })
}

/// Ten-thousandths of a percent of span are beyond what is printed.
fn rounded(percent: f64) -> f64 {
    (percent * 1e4).round() / 1e4
}

/// Gauge pressure at even steps of the water temperature from boiling to the safety valve; a tank's is said in words.
fn pressures(described: &Loop, units: &DisplayUnits, table: &ElevationTable) -> Value {
    let cold = described.pressures.start_up;
    if !described.vessel.kind.holds_steam() {
        return json!({"words": "open to the air"});
    }
    let last_k = table
        .steps
        .last()
        .map_or(f64::NAN, |step| step.condition.water_k);
    // The first step that boils, to rounding.
    let boils = |step: &&ElevationStep| step.condition.water_k > step.saturation_k - 1e-6;
    let from_k = table
        .steps
        .iter()
        .find(boils)
        .map_or(last_k, |step| step.condition.water_k);
    let values: Vec<f64> = (0..=PRESSURES)
        .map(|index| from_k + (last_k - from_k) * index as f64 / PRESSURES as f64)
        .filter_map(|k| saturation_pressure_pa(k).ok())
        .map(|pa| units.pressure_gauge(AbsolutePressure::from_pa(pa)).0)
        .collect();
    json!({
        "from_k": from_k,
        "to_k": last_k,
        "values": values,
        "below": units.pressure_gauge(cold).0,
        "decimals": decimals_of(&units.pressure_gauge_number(cold)),
        "unit": units.pressure_gauge_unit(),
    })
}

/// One reading, computed and not read off the table.
pub fn at_json(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    reading: &ElevationReading,
) -> Value {
    let span = described.range.span;
    let words = said(described, sheets, units, reading);
    let values: Map<String, Value> = words
        .values
        .iter()
        .map(|(name, value)| ((*name).to_owned(), json!(value)))
        .collect();
    json!({
        "water_k": reading.condition.water_k,
        "leg_k": reading.condition.reference_leg_k,
        "level_m": reading.true_level.m(),
        "wanted_percent": reading.wanted_percent,
        "panel_percent": reading.panel.percent(span),
        "current_ma": reading.current_ma,
        "saturated": reading.saturated,
        "saturation_k": reading.saturation_k,
        "flashes": reading.legs.flashes,
        "freezes": reading.legs.freezes,
        "condenses": reading.legs.condenses,
        "blind": reading.blind.map(|blind| match blind {
            Blind::Above => "above",
            Blind::Below => "below",
        }),
        "glass": match reading.glass {
            Some(GlassReading::Stands(level)) => json!(level.m()),
            Some(GlassReading::Empty) => json!("empty"),
            Some(GlassReading::Full) => json!("full"),
            None => Value::Null,
        },
        "values": values,
        "sentences": words.sentences.iter().map(|sentence| {
            json!({"key": sentence.key, "gravity": sentence.gravity.word(), "text": sentence.text})
        }).collect::<Vec<_>>(),
    })
}
