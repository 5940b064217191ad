//! What was saved over: looked at, taken away, brought back.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{LoopName, MOST_VERSIONS, Revision, Saved, Version, VersionId};

use crate::frame::{Frame, in_address, loop_address, page};
use crate::pages::file::version_id;
use crate::pages::folder::{LocalTime, standing};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

#[derive(Template)]
#[template(path = "versions.html")]
struct VersionsPage {
    frame: Frame,
    base: String,
    /// The present text: when it was saved, its hash, how it stands.
    changed: LocalTime,
    short: String,
    seen: String,
    standing: String,
    standing_class: &'static str,
    rows: Vec<Row>,
    /// The version that undo brings back, by its time.
    undo: Option<LocalTime>,
    most: usize,
    refusal: Option<Refusal>,
}

struct Row {
    id: VersionId,
    replaced: LocalTime,
    bytes: u64,
    is_present: bool,
    compare: String,
}

#[derive(Template)]
#[template(path = "version.html")]
struct VersionPage {
    frame: Frame,
    base: String,
    id: VersionId,
    replaced: LocalTime,
    seen: String,
    text: String,
}

/// The text that the person saw when pressing the button.
#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Seen {
    #[serde(default)]
    seen: String,
}

/// `GET /loops/{name}/versions`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    list(bench, LoopName::new(&name)?, None, chosen).await
}

/// `GET /loops/{name}/versions/{id}`: its text.
pub(crate) async fn text(
    State(bench): State<Arc<Workbench>>,
    Path((name, id)): Path<(String, String)>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let id = version_id(&id)?;
    run_aside(move || {
        let present = bench.folder.read(&name)?;
        let versions = bench.folder.versions(&name)?;
        let version = versions
            .into_iter()
            .find(|version| version.id == id)
            .ok_or_else(|| Refusal::not_found("there is no such version"))?;
        let stored = bench.folder.version(&name, &id)?;
        let replaced = LocalTime::of(version.replaced);
        let title = format!("{name} until {}", replaced.words);
        page(&VersionPage {
            frame: Frame::of_loop(&name, title, "versions", chosen),
            base: loop_address(&name),
            id,
            replaced,
            seen: present.revision.to_string(),
            text: String::from_utf8_lossy(&stored.bytes).into_owned(),
        })
    })
    .await
}

/// `POST /loops/{name}/versions/{id}/bring-back`: then the list of versions.
pub(crate) async fn bring_back(
    State(bench): State<Arc<Workbench>>,
    Path((name, id)): Path<(String, String)>,
    chosen: Preferences,
    form: Result<Form<Seen>, FormRejection>,
) -> Result<Response, Refusal> {
    let id = version_id(&id)?;
    replaced(bench, &name, Some(id), &form?.0, chosen).await
}

/// `POST /loops/{name}/undo`: then the list of versions.
pub(crate) async fn undo(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    form: Result<Form<Seen>, FormRejection>,
) -> Result<Response, Refusal> {
    replaced(bench, &name, None, &form?.0, chosen).await
}

/// Puts a version, or what undo takes, in the place of the present text, where that is still the one that was seen.
async fn replaced(
    bench: Arc<Workbench>,
    name: &str,
    id: Option<VersionId>,
    seen: &Seen,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(name)?;
    let seen = match seen.seen.as_str() {
        "" => None,
        seen => Some(Revision::parse(seen).ok_or_else(|| {
            Refusal::bad(
                "seen",
                "the form does not say which text was seen",
                "Load the page again and send it from there.",
            )
        })?),
    };
    let saved = run_aside({
        let (bench, name) = (Arc::clone(&bench), name.clone());
        move || {
            let seen = match seen {
                Some(seen) => seen,
                None => bench.folder.read(&name)?.revision,
            };
            Ok(match id {
                Some(id) => bench.folder.bring_back(&name, &id, &seen)?,
                None => bench.folder.undo(&name, &seen)?,
            })
        }
    })
    .await;
    let refusal = match saved {
        Ok(Saved::Whole(_)) => {
            return Ok(Redirect::to(&format!("{}/versions", loop_address(&name))).into_response());
        }
        Ok(Saved::ChangedOnDisk(_)) => Refusal::new(
            StatusCode::CONFLICT,
            "changed-on-disk",
            "the file has changed since this page was shown, so nothing was brought back",
            "Look at what it is now, below; then press again.",
        ),
        Err(refusal) if refusal.status == StatusCode::NOT_FOUND => return Err(refusal),
        Err(refusal) => refusal,
    };
    let status = refusal.status;
    let page = list(bench, name, Some(refusal), chosen).await?;
    Ok((status, page).into_response())
}

async fn list(
    bench: Arc<Workbench>,
    name: LoopName,
    refusal: Option<Refusal>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    run_aside(move || {
        let present = bench.folder.read(&name)?;
        let versions = bench.folder.versions(&name)?;
        let (standing, standing_class) = standing(&bench.designed(&present.bytes));
        let is_present =
            |version: &Version| present.revision.as_str().starts_with(version.id.short());
        page(&VersionsPage {
            base: loop_address(&name),
            changed: LocalTime::of_file(present.modified),
            short: present.revision.short().to_owned(),
            seen: present.revision.to_string(),
            standing,
            standing_class,
            undo: versions
                .iter()
                .find(|version| !is_present(version))
                .map(|version| LocalTime::of(version.replaced)),
            rows: versions
                .iter()
                .map(|version| row(&name, version, is_present(version)))
                .collect(),
            most: MOST_VERSIONS,
            refusal,
            frame: Frame::of_loop(&name, format!("Versions of {name}"), "versions", chosen),
        })
    })
    .await
}

fn row(name: &LoopName, version: &Version, is_present: bool) -> Row {
    Row {
        id: version.id.clone(),
        replaced: LocalTime::of(version.replaced),
        bytes: version.bytes,
        is_present,
        compare: format!(
            "/compare?a={}&b={}",
            in_address(&format!("{name}@{}", version.id.as_str())),
            in_address(name.as_str())
        ),
    }
}
