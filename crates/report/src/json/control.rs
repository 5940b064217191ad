//! Settings and tuning.

use halfglass_core::controller::sheets::{SettingValue, SettingsSheet};
use halfglass_core::tuning::sheets::{Judged, TuningSheet};
use serde_json::{Value, json};

use crate::wording;

pub(super) fn settings(sheet: &SettingsSheet) -> Value {
    json!({
        "form": wording::form(sheet.form),
        "action": wording::action(sheet.action),
        "action_steps": sheet.action_steps,
        "rows": sheet.rows.iter().map(|row| {
            let (value, unit, refused) = match &row.value {
                Ok(SettingValue::Number(value, unit)) => (json!(value), Some(*unit), None),
                Ok(SettingValue::LevelM(m)) => (json!(m), Some("m"), None),
                Ok(SettingValue::LevelBandM(m)) => (json!(m), Some("m"), None),
                Ok(SettingValue::Word(word)) => (json!(word), None, None),
                Err(why) => (Value::Null, None, Some(why)),
            };
            json!({
                "term": row.term,
                "name": row.name,
                "value": value,
                "unit": unit,
                "refused": refused,
                "device_mark": row.device_mark,
                "note": row.note,
            })
        }).collect::<Vec<_>>(),
        "other_forms": sheet.other_forms.iter().map(|(form, words)| json!({
            "form": wording::form(*form),
            "text": words.as_ref().ok(),
            "refused": words.as_ref().err(),
        })).collect::<Vec<_>>(),
        "gain_rescale_ratio": sheet.gain_rescale_ratio,
    })
}

pub(super) fn tuning(sheet: &TuningSheet) -> Value {
    json!({
        "forecast": true,
        "full_valve_flow_kg_s": sheet.full_valve_flow_kg_s,
        "full_valve_flow_source": sheet.full_valve_flow_source,
        "valve_taken_as_linear": sheet.valve_taken_as_linear,
        "load_change_ratio": sheet.load_change_ratio,
        "allowed_deviation_m": sheet.allowed_deviation_m,
        "max_sensitivity_limit_ratio": sheet.max_sensitivity_limit,
        "duties": sheet.duties.iter().map(|duty| json!({
            "name": duty.name,
            "installed_gain_ratio": duty.installed_gain_ratio,
            "process_gain_per_s": duty.process_gain_per_s,
            "indicated_gain_per_s": duty.indicated_gain_per_s,
            "free_surface_m2": duty.free_surface_m2,
            "liquid_density_kg_m3": duty.liquid_density_kg_m3,
        })).collect::<Vec<_>>(),
        "dead_time": sheet.dead_time.iter().map(|part| json!({
            "name": part.name,
            "time_s": part.seconds,
            "assumed": part.assumed,
        })).collect::<Vec<_>>(),
        "dead_time_s": sheet.dead_time_s,
        "measured": sheet.measured.as_ref().map(|used| json!({
            "test": super::plant_test::test_word(used.process.test),
            "date": used.process.date,
            "duty": used.process.duty,
            "gain_per_s": used.gain_per_s,
            "computed_gain_per_s": used.computed_gain_per_s,
            "gain_ratio": used.gain_ratio(),
            "computed_dead_time_s": used.computed_delay_s,
        })),
        "window_open": sheet.window_open,
        "window_text": sheet.window_words,
        "chosen": judged(&sheet.chosen),
        "slowest": sheet.slowest.as_ref().map(judged),
        "fastest": judged(&sheet.fastest),
        "as_found": sheet.as_found.as_ref().map(judged),
        "habit": judged(&sheet.habit),
    })
}

pub(super) fn judged(judged: &Judged) -> Value {
    json!({
        "name": judged.name,
        "gain_ratio": judged.gain_ratio,
        "reset_s": judged.reset_s,
        "derivative_s": judged.derivative_s,
        "stable": judged.stable,
        "max_sensitivity_ratio": judged.max_sensitivity_ratio,
        "gain_margin_ratio": judged.gain_margin_ratio,
        "phase_margin_deg": judged.phase_margin_deg,
        "delay_margin_s": judged.delay_margin_s,
        "damping_ratio": judged.damping_ratio,
        "period_s": judged.period_s,
        "peak_true_deviation_m": judged.peak_true_deviation_m,
        "time_of_peak_s": judged.time_of_peak_s,
        "holds_deviation": judged.holds_deviation,
        "robust": judged.robust,
        "response": judged.response.iter().map(|(time_s, deviation_m)| json!({
            "time_s": time_s,
            "true_deviation_m": deviation_m,
        })).collect::<Vec<_>>(),
    })
}
