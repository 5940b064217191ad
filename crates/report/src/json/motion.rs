//! Simulated runs as JSON; every object says that it is simulated.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::conclusions::conclusions;
use halfglass_core::dynamics::run::{Run, Sample};
use halfglass_core::finding::Assumption;
use serde_json::{Value, json};

use super::{drop_signs_of_zero, finding_json};
use crate::sections::LabelledRun;

/// The envelope of a scenario's runs.
pub fn motion(
    described: &Loop,
    runs: &[LabelledRun],
    assumptions: &[Assumption],
    file: &str,
    sha256: &str,
) -> Value {
    let mut envelope = json!({
        "format": "halfglass-simulation",
        "version": super::VERSION,
        "simulation": true,
        "file": file,
        "sha256": sha256,
        "tag": described.identity.tag,
        "scenario": runs.first().map(|run| run.run.name.as_str()),
        "purpose": runs.first().map(|run| run.run.purpose.as_str()),
        "assumptions": assumptions.iter().map(|row| json!({
            "input": row.input,
            "value": row.value,
            "why": row.why,
        })).collect::<Vec<_>>(),
        "runs": runs.iter().map(|run| one(described, run)).collect::<Vec<_>>(),
    });
    drop_signs_of_zero(&mut envelope);
    envelope
}

fn one(described: &Loop, LabelledRun { label, run }: &LabelledRun) -> Value {
    let summary = &run.summary;
    let gains = run.settings.to_parallel();
    json!({
        "label": label,
        "simulation": true,
        "scan_s": run.scan_s,
        "gain_ratio": gains.proportional_ratio(),
        "integral_per_s": gains.integral_per_s(),
        "lrv_pa": run.range.lrv_pa,
        "urv_pa": run.range.urv_pa,
        "ended": run.ended.as_ref().map(|(time_s, why)| json!({ "time_s": time_s, "why": why })),
        "summary": {
            "duration_s": summary.duration_s,
            "highest_true_above_set_point_m": summary.highest_m.0,
            "highest_time_s": summary.highest_m.1,
            "lowest_true_above_set_point_m": summary.lowest_m.0,
            "lowest_time_s": summary.lowest_m.1,
            "outside_allowed_s": summary.outside_s,
            "absolute_error_m_s": summary.absolute_error_m_s,
            "worst_indicated_minus_true_m": summary.worst_indication_m,
            "reversals_per_hour": summary.reversals_per_hour,
            "strokes_per_hour": summary.strokes_per_hour,
            "pressure_lowest_pa": summary.pressures_pa.0,
            "pressure_highest_pa": summary.pressures_pa.1,
            "least_cover_m": summary.least_cover_m,
            "overflow_kg": summary.overflow_kg,
        },
        "approaches": summary.approaches.iter().map(|approach| json!({
            "mark": approach.mark,
            "mark_m": approach.mark_m,
            "nearest_true_m": approach.nearest_true_m,
            "nearest_time_s": approach.nearest_time_s,
            "nearest_indicated_m": approach.nearest_indicated_m,
            "passed_s": approach.passed_s,
        })).collect::<Vec<_>>(),
        "events": run.events.iter().map(|(time_s, what)| json!({ "time_s": time_s, "what": what })).collect::<Vec<_>>(),
        "conclusions": conclusions(described, run).iter().map(finding_json).collect::<Vec<_>>(),
        "samples": samples(run),
    })
}

/// A list a quantity, so that a plot takes them as they are.
fn samples(run: &Run) -> Value {
    let list = |of: &dyn Fn(&Sample) -> Option<f64>| -> Vec<Option<f64>> {
        run.samples.iter().map(of).collect()
    };
    let mut columns = serde_json::Map::new();
    for (name, of) in COLUMNS {
        columns.insert(name.to_owned(), json!(list(&of)));
    }
    Value::Object(columns)
}

/// A column of samples: its name with the unit, and what it holds. CSV and Parquet have the same.
pub type SampleColumn = (&'static str, fn(&Sample) -> Option<f64>);

/// The columns of samples. SIMULATION stands in the first column's place of every export.
pub const COLUMNS: [SampleColumn; 11] = [
    ("time_s", |s| Some(s.time_s)),
    ("true_level_m", |s| Some(s.true_level.m())),
    ("indicated_level_m", |s| Some(s.indicated.m())),
    ("glass_level_m", |s| s.glass.map(|glass| glass.m())),
    ("mixture_surface_m", |s| Some(s.mixture_surface_m)),
    ("pressure_pa", |s| Some(s.pressure_pa)),
    ("outflow_kg_s", |s| Some(s.outflow_kg_s)),
    ("feed_kg_s", |s| Some(s.feed_kg_s)),
    ("travel_percent", |s| Some(s.travel_percent)),
    ("output_percent", |s| Some(s.output_percent)),
    ("heat_w", |s| Some(s.heat_w)),
];
