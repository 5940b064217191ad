//! What the files make: sheets, problems, comparisons.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use halfglass_folder::Revision;
use serde::Deserialize;
use serde_json::{Value, json};

use super::body::{ApiRefusal, Asked, Named, Sent};
use crate::designed::Designed;
use crate::pages::compare::{Side, compared};
use crate::preferences::Preferences;
use crate::workbench::{Workbench, run_aside};

/// `GET /loops/{name}/sheets`: as `halfglass sheet --json` prints them.
pub(super) async fn sheets(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
) -> Result<Response, ApiRefusal> {
    Ok(run_aside(move || {
        let stored = bench.folder.read(&name)?;
        let designed = bench.designed(&stored.bytes);
        Ok(match designed.sheets() {
            Some((described, sheets)) => Json(halfglass_report::json::json(
                described,
                sheets,
                &name.file_name(),
                stored.revision.as_str(),
            ))
            .into_response(),
            None => no_sheets(&stored.bytes, &designed),
        })
    })
    .await?)
}

fn no_sheets(bytes: &[u8], designed: &Designed) -> Response {
    let body = json!({
        "error": {
            "code": "no-sheets",
            "what": "the loop file has problems, so there are no sheets",
            "remedy": "Mend the problems.",
        },
        "problems": problems_of(bytes, designed),
    });
    (StatusCode::UNPROCESSABLE_ENTITY, Json(body)).into_response()
}

/// Problems as `halfglass check --json` prints them.
fn problems_of(bytes: &[u8], designed: &Designed) -> Vec<Value> {
    match designed {
        Designed::Sheets(_) => Vec::new(),
        Designed::Problems(problems) => problems
            .iter()
            .map(|problem| halfglass_loopfile::problem_json(bytes, problem))
            .collect(),
        Designed::NoSheets(_, why) => vec![json!({ "code": "cannot-compute", "message": why })],
    }
}

fn verdict(bytes: &[u8], designed: &Designed) -> Value {
    let findings = designed
        .sheets()
        .map_or_else(Vec::new, |both| halfglass_report::json::findings(both.1));
    json!({
        "revision": Revision::of(bytes).as_str(),
        "problems": problems_of(bytes, designed),
        "findings": findings,
    })
}

/// `GET /loops/{name}/problems`: problems and findings.
pub(super) async fn problems(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
) -> Result<Json<Value>, ApiRefusal> {
    Ok(Json(
        run_aside(move || {
            let stored = bench.folder.read(&name)?;
            Ok(verdict(&stored.bytes, &bench.designed(&stored.bytes)))
        })
        .await?,
    ))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Text {
    text: String,
}

/// `POST /check`: problems and findings of a text that is no file.
pub(super) async fn check(
    State(bench): State<Arc<Workbench>>,
    Sent(sent): Sent<Text>,
) -> Result<Json<Value>, ApiRefusal> {
    Ok(Json(
        run_aside(move || {
            let bytes = sent.text.as_bytes();
            Ok(verdict(bytes, &bench.designed(bytes)))
        })
        .await?,
    ))
}

#[derive(Debug, Deserialize)]
pub(super) struct Two {
    a: String,
    b: String,
}

/// `GET /compare?a=NAME&b=NAME@VERSION`.
pub(super) async fn compare(
    State(bench): State<Arc<Workbench>>,
    Asked(two): Asked<Two>,
) -> Result<Json<Value>, ApiRefusal> {
    let sides = [Side::parse(&two.a)?, Side::parse(&two.b)?];
    Ok(Json(
        run_aside(move || {
            let [a, b] = sides;
            let compared = compared(&bench, &a, &b, Preferences::default())?;
            let rows = |rows: &[halfglass_report::compare::Difference]| -> Vec<Value> {
                rows.iter()
                    .map(|row| json!({ "what": row.what, "a": row.first, "b": row.second }))
                    .collect()
            };
            let sheets: Vec<Value> = compared
                .sheets
                .iter()
                .map(|section| {
                    json!({ "id": section.id, "title": section.title, "differences": rows(&section.rows) })
                })
                .collect();
            Ok(json!({
                "a": a.to_string(),
                "b": b.to_string(),
                "inputs": rows(&compared.inputs),
                "sheets": sheets,
                "without_sheets": compared.without_sheets,
            }))
        })
        .await?,
    ))
}
