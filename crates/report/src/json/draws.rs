//! Draws of a scenario as JSON, under the envelope of its runs.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::draws::{Band, Draws, Spread, draws_conclusions};
use serde_json::{Value, json};

use super::{drop_signs_of_zero, finding_json};
use crate::sections::LabelledDraws;

/// The list `draws` of the envelope.
pub fn draws(described: &Loop, of_runs: &[LabelledDraws]) -> Value {
    let mut list = Value::Array(of_runs.iter().map(|run| one(described, run)).collect());
    drop_signs_of_zero(&mut list);
    list
}

fn one(described: &Loop, LabelledDraws { label, draws }: &LabelledDraws) -> Value {
    let summary = &draws.worst.run.summary;
    json!({
        "label": label,
        "simulation": true,
        "count": draws.count,
        "seed": draws.seed,
        "ended": draws.ended,
        "outside": draws.outside,
        "inputs": draws.inputs.iter().map(|input| json!({
            "input": input.assumption.input,
            "value": input.assumption.value,
            "why": input.assumption.why,
            "correlation": input.correlation,
        })).collect::<Vec<_>>(),
        "spread": {
            "highest_true_above_set_point_m": spread(&draws.highest_m),
            "lowest_true_above_set_point_m": spread(&draws.lowest_m),
            "outside_allowed_s": spread(&draws.outside_s),
            "reversals_per_hour": spread(&draws.reversals_per_hour),
        },
        "marks": draws.passed.iter().map(|mark| json!({
            "mark": mark.mark,
            "draws": mark.draws,
            "nearest_true_m": mark.nearest_true_m,
            "nearest_indicated_m": mark.nearest_indicated_m,
        })).collect::<Vec<_>>(),
        "worst": {
            "number": draws.worst.number,
            "drawn": draws.worst.drawn.iter().map(|(input, value)| json!({
                "what": input.words(),
                "value": value,
            })).collect::<Vec<_>>(),
            "highest_true_above_set_point_m": summary.highest_m.0,
            "lowest_true_above_set_point_m": summary.lowest_m.0,
            "outside_allowed_s": summary.outside_s,
            "approaches": summary.approaches.iter().map(|approach| json!({
                "mark": approach.mark,
                "nearest_true_m": approach.nearest_true_m,
                "nearest_indicated_m": approach.nearest_indicated_m,
                "passed_s": approach.passed_s,
            })).collect::<Vec<_>>(),
        },
        "conclusions": draws_conclusions(described, draws).iter().map(finding_json).collect::<Vec<_>>(),
        "bands": bands(draws),
    })
}

fn spread(spread: &Spread) -> Value {
    json!({
        "lowest": spread.lowest,
        "p05": spread.p05,
        "middle": spread.middle,
        "p95": spread.p95,
        "highest": spread.highest,
    })
}

/// A list a quantity, as samples have it.
fn bands(draws: &Draws) -> Value {
    fn lists<L: Copy>(bands: &[Band<L>], m: impl Fn(L) -> f64) -> Value {
        let list =
            |of: fn(&Band<L>) -> L| -> Vec<f64> { bands.iter().map(|band| m(of(band))).collect() };
        json!({
            "lowest_m": list(|band| band.lowest),
            "p05_m": list(|band| band.p05),
            "middle_m": list(|band| band.middle),
            "p95_m": list(|band| band.p95),
            "highest_m": list(|band| band.highest),
        })
    }
    json!({
        "time_s": draws.times_s,
        "true_level": lists(&draws.true_band, |level| level.m()),
        "indicated_level": lists(&draws.indicated_band, |level| level.m()),
    })
}
