//! Range, error map, compensation, glass.

use halfglass_core::description::{Loop, Polarity, RangeMethod};
use halfglass_core::measurement::sheets::{
    Condition, ErrorMapSheet, Range, RangeSheet, Reading, TestPoint,
};
use serde_json::{Value, json};

use crate::wording;

/// Polarity as a word without spaces.
pub(super) const fn polarity(polarity: Polarity) -> &'static str {
    match polarity {
        Polarity::BottomOnHigh => "bottom-on-high",
        Polarity::WetLegOnHigh => "wet-leg-on-high",
    }
}

/// How a range is chosen as a word.
pub(super) const fn range_method(method: RangeMethod) -> &'static str {
    match method {
        RangeMethod::Normal => "normal",
        RangeMethod::Best => "best",
    }
}

/// A range's two ends.
pub(super) fn ends(range: Range) -> Value {
    json!({ "lrv_pa": range.lrv_pa, "urv_pa": range.urv_pa })
}

pub(super) fn range(described: &Loop, sheet: &RangeSheet) -> Value {
    let (best, equalised) = (&sheet.best, sheet.equalised);
    json!({
        "polarity": polarity(sheet.polarity),
        "lrv_pa": sheet.hot.lrv_pa,
        "urv_pa": sheet.hot.urv_pa,
        "bench_lrv_pa": sheet.bench.lrv_pa,
        "bench_urv_pa": sheet.bench.urv_pa,
        "bench_readings": readings(&sheet.bench_readings),
        "best_lrv_pa": best.range.lrv_pa,
        "best_urv_pa": best.range.urv_pa,
        "best_worst_error_percent": best.worst_error_percent,
        "hot_worst_error_percent": best.hot_worst_error_percent,
        "bench_worst_error_percent": best.bench_worst_error_percent,
        "best_held_by_high_limit": best.held_by_high_limit,
        "best_active": best.active.iter().map(|(condition, true_level, error_percent)| json!({
            "condition": condition.name,
            "pressure_pa_abs": condition.pressure.pa(),
            "reference_leg_k": condition.reference_leg_k,
            "true_level_m": true_level.m(),
            "error_percent": error_percent,
        })).collect::<Vec<_>>(),
        "method": range_method(sheet.method),
        "set_lrv_pa": sheet.chosen.lrv_pa,
        "set_urv_pa": sheet.chosen.urv_pa,
        "cell_4_ma_end_pa": sheet.cell_ends_pa.0,
        "cell_20_ma_end_pa": sheet.cell_ends_pa.1,
        "span_pa": sheet.span_pa,
        "turndown_ratio": sheet.turndown_ratio,
        "reversal": wording::reversal_word(described.cell.reversal),
        "equalised_percent": equalised.percent,
        "equalised_wanted_ma": equalised.wanted_ma,
        "equalised_current_ma": equalised.current_ma,
        "equalised_clipped": equalised.clipped,
        "test_points": sheet.test_points.iter().map(test_point).collect::<Vec<_>>(),
        "as_found": sheet.as_found.as_ref().map(|found| json!({
            "lrv_pa": found.range.lrv_pa,
            "urv_pa": found.range.urv_pa,
            "worst_error_percent": found.worst_error_percent,
            "looks_cold": found.looks_cold,
            "readings": readings(&found.readings),
        })),
        "pot_lip_sensitivity_ratio": sheet.pot_lip_sensitivity_ratio,
        "normal": condition(&sheet.normal),
        "densities": {
            "liquid_kg_m3": sheet.densities.liquid,
            "vapour_kg_m3": sheet.densities.vapour,
            "reference_above_kg_m3": sheet.densities.reference_above,
            "reference_below_kg_m3": sheet.densities.reference_below,
            "working_below_kg_m3": sheet.densities.working_below,
        },
    })
}

fn condition(condition: &Condition) -> Value {
    json!({
        "condition": condition.name,
        "pressure_pa_abs": condition.pressure.pa(),
        "water_k": condition.water_k,
        "reference_leg_k": condition.reference_leg_k,
    })
}

fn readings(readings: &[Reading]) -> Vec<Value> {
    readings
        .iter()
        .map(|reading| {
            json!({
                "true_level_m": reading.true_level.m(),
                "indicated_level_m": reading.indicated.m(),
                "indicated_level_percent": reading.indicated_percent,
            })
        })
        .collect()
}

fn test_point(point: &TestPoint) -> Value {
    json!({
        "level_percent": point.percent,
        "true_level_m": point.true_level.m(),
        "differential_pa": point.differential_pa,
        "port": wording::port(point.port),
        "magnitude_pa": point.magnitude_pa,
        "current_ma": point.current_ma,
    })
}

pub(super) fn error_map(described: &Loop, map: &ErrorMapSheet) -> Vec<Value> {
    let span = described.range.span;
    map.points
        .iter()
        .map(|point| {
            json!({
                "condition": point.condition.name,
                "pressure_pa_abs": point.condition.pressure.pa(),
                "water_k": point.condition.water_k,
                "reference_leg_k": point.condition.reference_leg_k,
                "true_level_m": point.true_level.m(),
                "true_level_percent": point.true_level.percent(span),
                "indicated_level_m": point.indicated.m(),
                "indicated_level_percent": point.indicated.percent(span),
                "clipped": point.clipped,
                "glass_level_m": point.glass.map(|level| level.m()),
            })
        })
        .collect()
}

pub(super) fn error_curves(map: &ErrorMapSheet) -> Vec<Value> {
    map.curves
        .iter()
        .map(|curve| {
            json!({
                "true_level_percent": curve.true_percent,
                "points": curve.points.iter().map(|(pressure, error_percent)| json!({
                    "pressure_pa_abs": pressure.pa(),
                    "error_percent": error_percent,
                })).collect::<Vec<_>>(),
            })
        })
        .collect()
}

pub(super) fn leg_errors(map: &ErrorMapSheet) -> Vec<Value> {
    map.leg_rows
        .iter()
        .map(|(leg_k, [empty, half, full])| {
            json!({
                "reference_leg_k": leg_k,
                "error_at_0_percent": empty,
                "error_at_50_percent": half,
                "error_at_100_percent": full,
            })
        })
        .collect()
}

pub(super) fn compensation(map: &ErrorMapSheet) -> Option<Value> {
    let table = map.compensation.as_ref()?;
    let pressures: Vec<f64> = table.points.iter().map(|point| point.0.pa()).collect();
    Some(json!({
        "points": table.points.iter().map(|(pressure, gain, offset)| json!({
            "pressure_pa_abs": pressure.pa(),
            "gain_m_per_pa": gain,
            "offset_m": offset,
        })).collect::<Vec<_>>(),
        "worst_error_m": table.worst_error_m,
        "rows": table.rows.iter().flat_map(|(differential_pa, levels)| {
            levels.iter().zip(&pressures).map(move |(level, pressure_pa)| json!({
                "differential_pa": differential_pa,
                "pressure_pa_abs": pressure_pa,
                "true_level_m": level.m(),
            }))
        }).collect::<Vec<_>>(),
    }))
}

pub(super) fn glass(described: &Loop, map: &ErrorMapSheet) -> Option<Value> {
    described.glass.as_ref()?;
    let span = described.range.span;
    Some(json!({
        "water_k": map.glass_water_k,
        "card": map.glass_card.iter().map(|line| json!({
            "glass_level_m": line.glass.m(),
            "true_level_cold_m": line.true_cold.m(),
            "true_level_hot_m": line.true_hot.m(),
            "indicated_level_hot_m": line.indicated_hot.m(),
            "indicated_level_hot_percent": line.indicated_hot.percent(span),
        })).collect::<Vec<_>>(),
    }))
}
