//! Sheets as JSON: SI numbers, the unit in every key, the same keys whatever the loop.
//!
//! Every path is documented in `docs/src/json.md`. A number without bound and a value that does not apply are `null`.

mod control;
mod described;
mod draws;
mod feed_system;
mod feedwater;
mod measurement;
mod motion;
mod plant_test;
mod proof;
mod protection;
mod surveyed;
mod wires;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::finding::Finding;
use halfglass_core::working::Working;
use serde_json::{Value, json};

use crate::units::DisplayUnits;

pub use draws::draws;
pub use motion::{COLUMNS, SampleColumn, motion};
pub use plant_test::plant_test;
pub use proof::proof;

/// Version of the format: raised when a path goes away or changes its meaning.
pub const VERSION: u32 = 1;

/// The whole envelope of one loop file: its name as given and the SHA-256 of its bytes, hexadecimal.
pub fn json(described: &Loop, sheets: &Sheets, file: &str, sha256: &str) -> Value {
    let map = &sheets.error_map;
    let mut envelope = json!({
        "format": "halfglass-sheets",
        "version": VERSION,
        "file": file,
        "sha256": sha256,
        "revision": described.identity.revision,
        "loop": described::described(described),
        "range": measurement::range(described, &sheets.range),
        "error_map": measurement::error_map(described, map),
        "error_map_range": measurement::ends(map.range),
        "error_curves": measurement::error_curves(map),
        "leg_errors": measurement::leg_errors(map),
        "compensation": measurement::compensation(map),
        "glass": measurement::glass(described, map),
        "uncertainty": sheets.uncertainty.as_ref().map(wires::uncertainty),
        "feedwater": sheets.feedwater.as_ref().map(feedwater::feedwater),
        "wiring": sheets.wiring.as_ref().map(wires::wiring),
        "bill": wires::bill(&crate::bill::bill(described, sheets, &DisplayUnits::of(described))),
        "settings": control::settings(&sheets.settings),
        "tuning": control::tuning(&sheets.tuning),
        "signal_loss": protection::signal_loss(&sheets.signal_loss),
        "level_map": protection::level_map(described, &sheets.level_map),
        "findings": findings(sheets),
        "assumptions": sheets.assumptions.iter().map(|row| json!({
            "input": row.input,
            "value": row.value,
            "why": row.why,
        })).collect::<Vec<_>>(),
        "placeholders": described.placeholders,
        "workings": workings(sheets),
    });
    drop_signs_of_zero(&mut envelope);
    envelope
}

/// A negative zero would be read as a direction: written as 0.
fn drop_signs_of_zero(value: &mut Value) {
    match value {
        Value::Number(number) => {
            let is_zero = number
                .as_f64()
                .is_some_and(|value| value.abs() < f64::MIN_POSITIVE);
            if number.is_f64() && is_zero {
                *value = json!(0.0);
            }
        }
        Value::Array(values) => values.iter_mut().for_each(drop_signs_of_zero),
        Value::Object(map) => map.values_mut().for_each(drop_signs_of_zero),
        _ => {}
    }
}

/// Findings, gravest first.
pub fn findings(sheets: &Sheets) -> Vec<Value> {
    sheets.findings.iter().map(finding_json).collect()
}

fn finding_json(finding: &Finding) -> Value {
    let text = [&finding.what, &finding.consequence, &finding.remedy]
        .into_iter()
        .filter(|words| !words.is_empty())
        .map(String::as_str)
        .collect::<Vec<_>>()
        .join(" ");
    json!({
        "severity": finding.severity.word(),
        "code": finding.code,
        "text": text,
        "what": finding.what,
        "consequence": finding.consequence,
        "remedy": finding.remedy,
        "input": or_null(finding.input),
    })
}

fn workings(sheets: &Sheets) -> Vec<Value> {
    let none = Vec::new();
    [
        ("range", &sheets.range.workings),
        ("error-map", &sheets.error_map.workings),
        (
            "uncertainty",
            sheets
                .uncertainty
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        (
            "feedwater",
            sheets
                .feedwater
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        (
            "wiring",
            sheets
                .wiring
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        ("settings", &sheets.settings.workings),
        ("tuning", &sheets.tuning.workings),
        ("signal-loss", &sheets.signal_loss.workings),
    ]
    .into_iter()
    .flat_map(|(sheet, workings)| workings.iter().map(move |working| one(sheet, working)))
    .collect()
}

fn one(sheet: &str, working: &Working) -> Value {
    json!({
        "sheet": sheet,
        "title": working.title,
        "formula": working.formula,
        "inputs": working.inputs.iter().map(|input| json!({
            "symbol": input.symbol,
            "name": input.name,
            "value": input.value,
            "unit": input.unit,
        })).collect::<Vec<_>>(),
        "result": working.result,
        "unit": working.unit,
        "source": working.source,
        "validity": working.validity,
    })
}

/// Empty text says nothing: `null`.
fn or_null(text: &str) -> Option<&str> {
    (!text.is_empty()).then_some(text)
}

#[cfg(test)]
#[path = "json_tests.rs"]
mod tests;
