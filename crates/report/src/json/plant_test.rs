//! A test on the plant as JSON.

use halfglass_core::description::{Loop, PlantTest};
use halfglass_core::identify::sheet::{Fit, TestSheet};
use halfglass_core::identify::{Interval, Record};
use serde_json::{Value, json};

use super::control::judged;
use super::drop_signs_of_zero;

/// The envelope of a test: `record` is the name of the record's file.
pub fn plant_test(
    described: &Loop,
    sheet: &TestSheet,
    record: (&str, &Record),
    file: &str,
    sha256: &str,
) -> Value {
    let (record_file, record) = record;
    let fit = &sheet.fit;
    let output = fit.output();
    let bump = match fit {
        Fit::Bump(bump) => Some(bump),
        Fit::Relay(_) => None,
    };
    let relay = match fit {
        Fit::Bump(_) => None,
        Fit::Relay(relay) => Some(relay),
    };
    let mut envelope = json!({
        "format": "halfglass-plant-test",
        "version": super::VERSION,
        "file": file,
        "sha256": sha256,
        "record": record_file,
        "tag": described.identity.tag,
        "test": test_word(sheet.measured.test),
        "usable": sheet.usable(),
        "right_way": sheet.right_way,
        "doubts": fit.doubts().iter().map(|doubt| doubt.code()).collect::<Vec<_>>(),
        "duty": sheet.measured.duty,
        "mean_output_percent": sheet.mean_output_percent,
        "gain_per_s": interval(fit.gain_per_s()),
        "dead_time_s": interval(fit.delay_s()),
        "span_time_s": sheet.measured.span_time_s,
        "computed_gain_per_s": sheet.tuning.measured.as_ref().map(|used| used.computed_gain_per_s),
        "computed_dead_time_s": sheet.tuning.measured.as_ref().map(|used| used.computed_delay_s),
        "split": bump.and_then(|bump| bump.split).map(|split| json!({
            "dead_time_s": interval(split.dead_time_s),
            "swell_s": interval(split.swell_s),
        })),
        "drift_percent_s": bump.map(|bump| interval(bump.drift_percent_s)),
        "noise_percent": bump.map(|bump| bump.noise_percent),
        "readings": record.readings(),
        "period_s": relay.map(|relay| relay.period_s),
        "balance_percent": relay.map(|relay| relay.balance_percent),
        "output": {
            "first_percent": output.first_percent,
            "steps": output.steps.iter().map(|step| json!({
                "time_s": step.time_s,
                "output_percent": step.output_percent,
            })).collect::<Vec<_>>(),
        },
        "samples": record.time_s().iter().enumerate().map(|(index, time_s)| json!({
            "time_s": time_s,
            "indicated_percent": record.indicated_level_percent()[index],
            "fitted_percent": bump.map(|bump| bump.fitted_percent[index]),
        })).collect::<Vec<_>>(),
        "settings": judged(&sheet.tuning.chosen),
        "settings_computed": judged(&sheet.computed.chosen),
    });
    drop_signs_of_zero(&mut envelope);
    envelope
}

/// As the loop file says it.
pub(super) const fn test_word(test: PlantTest) -> &'static str {
    match test {
        PlantTest::Bump => "bump",
        PlantTest::Relay => "relay",
    }
}

fn interval(interval: Interval) -> Value {
    json!({ "value": interval.value, "low": interval.low, "high": interval.high })
}
