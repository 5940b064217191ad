//! Files: list, read, write, delete.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::{IntoResponse, Response};
use halfglass_core::finding::Severity;
use halfglass_folder::{LoopName, Revision, Saved, Stored};
use serde::Deserialize;
use serde_json::{Value, json};

use super::body::{ApiRefusal, Named, Sent};
use crate::frame::in_address;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// `GET /loops`.
pub(super) async fn list(State(bench): State<Arc<Workbench>>) -> Result<Json<Value>, ApiRefusal> {
    Ok(Json(
        run_aside(move || {
            let listing = bench.folder.list()?;
            let mut loops = Vec::with_capacity(listing.loops.len());
            let mut refused = listing.refused;
            for listed in listing.loops {
                match bench.folder.read(&listed.name) {
                    Ok(stored) => loops.push(entry(&bench, &listed.name, &stored)),
                    Err(error) => refused.push((listed.name.file_name(), error.to_string())),
                }
            }
            let refused: Vec<Value> = refused
                .into_iter()
                .map(|(file, why)| json!({ "file": file, "why": why }))
                .collect();
            Ok(json!({ "loops": loops, "refused": refused }))
        })
        .await?,
    ))
}

fn entry(bench: &Workbench, name: &LoopName, stored: &Stored) -> Value {
    let designed = bench.designed(&stored.bytes);
    let identity = designed.described().map(|described| &described.identity);
    let [stop, warn, note] =
        [Severity::Stop, Severity::Warn, Severity::Note].map(|severity| designed.count(severity));
    json!({
        "name": name.as_str(),
        "revision": stored.revision.as_str(),
        "modified": modified(stored),
        "tag": identity.map(|identity| &identity.tag),
        "service": identity.map(|identity| &identity.service),
        "vessel": designed.described().map(|d| halfglass_report::vessel_kind(d.vessel.kind)),
        "problems": designed.problems().len(),
        "findings": designed.sheets().map(|_| json!({ "stop": stop, "warn": warn, "note": note })),
    })
}

fn modified(stored: &Stored) -> Option<String> {
    jiff::Timestamp::try_from(stored.modified)
        .ok()
        .map(|time| time.to_string())
}

/// `GET /loops/{name}`.
pub(super) async fn show(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
) -> Result<Json<Value>, ApiRefusal> {
    Ok(Json(
        run_aside(move || {
            let stored = bench.folder.read(&name)?;
            text_of(&name, &stored)
        })
        .await?,
    ))
}

fn text_of(name: &LoopName, stored: &Stored) -> Result<Value, Refusal> {
    let text = std::str::from_utf8(&stored.bytes).map_err(|error| {
        Refusal::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not-text",
            format!(
                "the file is not UTF-8 text after {} bytes",
                error.valid_up_to()
            ),
            "Save it as UTF-8.",
        )
    })?;
    Ok(json!({
        "name": name.as_str(),
        "revision": stored.revision.as_str(),
        "modified": modified(stored),
        "text": text,
    }))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NewLoop {
    name: String,
    text: String,
}

/// `POST /loops`.
pub(super) async fn create(
    State(bench): State<Arc<Workbench>>,
    Sent(sent): Sent<NewLoop>,
) -> Result<Response, ApiRefusal> {
    let name = LoopName::new(&sent.name)?;
    let (name, revision) = run_aside(move || {
        let revision = bench.folder.create(&name, sent.text.as_bytes())?;
        Ok((name, revision))
    })
    .await?;
    Ok((
        StatusCode::CREATED,
        [(
            LOCATION,
            format!("/api/v1/loops/{}", in_address(name.as_str())),
        )],
        Json(json!({ "name": name.as_str(), "revision": revision.as_str() })),
    )
        .into_response())
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Edited {
    text: String,
    /// Revision that was edited.
    edited: String,
}

/// `PUT /loops/{name}`.
pub(super) async fn save(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
    Sent(sent): Sent<Edited>,
) -> Result<Response, ApiRefusal> {
    let edited = Revision::parse(&sent.edited).ok_or_else(|| {
        Refusal::bad(
            "revision",
            "`edited` is not a revision: 64 hexadecimal digits",
            "Send the revision of the text that was edited, as GET gave it.",
        )
    })?;
    Ok(run_aside(move || {
        Ok(match bench.folder.save(&name, sent.text.as_bytes(), &edited)? {
            Saved::Whole(revision) => Json(json!({
                "name": name.as_str(),
                "revision": revision.as_str(),
            }))
            .into_response(),
            Saved::ChangedOnDisk(stored) => {
                let body = json!({
                    "error": {
                        "code": "changed-on-disk",
                        "what": "the file has changed since it was read; nothing was written",
                        "remedy": "Look at both texts, choose, and send again with the revision on disk.",
                    },
                    "on_disk": text_of(&name, &stored)?,
                });
                (StatusCode::CONFLICT, Json(body)).into_response()
            }
        })
    })
    .await?)
}

/// `DELETE /loops/{name}`: into the trash folder.
pub(super) async fn delete(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
) -> Result<StatusCode, ApiRefusal> {
    run_aside(move || Ok(bench.folder.trash(&name)?)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// `GET /loops/{name}/versions`.
pub(super) async fn versions(
    State(bench): State<Arc<Workbench>>,
    Named(name): Named,
) -> Result<Json<Value>, ApiRefusal> {
    Ok(Json(
        run_aside(move || {
            // A loop that is not there has no versions to speak of.
            bench.folder.read(&name)?;
            let versions: Vec<Value> = bench
                .folder
                .versions(&name)?
                .into_iter()
                .map(|version| {
                    json!({
                        "id": version.id.as_str(),
                        "replaced": version.replaced.to_string(),
                    })
                })
                .collect();
            Ok(json!({ "name": name.as_str(), "versions": versions }))
        })
        .await?,
    ))
}
