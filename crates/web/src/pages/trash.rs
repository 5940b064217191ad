//! Deleted loops: into the trash, and back.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{LoopName, TrashId};

use crate::frame::{Frame, in_address, loop_address, page};
use crate::pages::folder::LocalTime;
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

#[derive(Template)]
#[template(path = "trash.html")]
struct TrashPage {
    frame: Frame,
    rows: Vec<Row>,
    refusal: Option<Refusal>,
}

impl TrashPage {
    /// The refusal, where it is of a loop that is not listed.
    fn of_no_row(&self) -> Option<&Refusal> {
        let refusal = self.refusal.as_ref();
        refusal.filter(|_| self.rows.iter().all(|row| !row.is_refused))
    }
}

struct Row {
    id: String,
    address: String,
    name: LoopName,
    deleted: LocalTime,
    /// Name to restore it under.
    typed: String,
    /// What was typed here is refused.
    is_refused: bool,
}

#[derive(Template)]
#[template(path = "trashed.html")]
struct TrashedPage {
    frame: Frame,
    id: TrashId,
    deleted: LocalTime,
    text: String,
}

#[derive(Debug, Clone, Default, serde::Deserialize)]
pub(crate) struct Restoring {
    #[serde(default)]
    id: String,
    /// Empty is the old name.
    #[serde(default)]
    name: String,
}

/// `GET /trash`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    list(bench, None, chosen).await
}

/// `GET /trash/{id}`: the text of a deleted loop, to be looked at before it is restored.
pub(crate) async fn text(
    State(bench): State<Arc<Workbench>>,
    Path(id): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    run_aside(move || {
        let none = || Refusal::not_found("there is no such loop in the trash");
        let id = TrashId::parse(&id).ok_or_else(none)?;
        let mut trashed = bench.folder.trashed()?.into_iter();
        let found = trashed.find(|trashed| trashed.id == id).ok_or_else(none)?;
        let stored = bench.folder.trashed_text(&id)?;
        let address = format!("/trash/{}", in_address(&id.to_string()));
        page(&TrashedPage {
            frame: Frame::new(format!("{}, deleted", id.name()), chosen, &address),
            id,
            deleted: LocalTime::of(found.deleted),
            text: String::from_utf8_lossy(&stored.bytes).into_owned(),
        })
    })
    .await
}

/// `POST /loops/{name}/delete`: then the list, which offers to restore it.
pub(crate) async fn delete(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let id = bench.folder.trash(&name)?;
        let address = format!("/?deleted={}", in_address(&id.to_string()));
        Ok(Redirect::to(&address).into_response())
    })
    .await
}

/// `POST /trash/restore`: then the loop's page.
pub(crate) async fn restore(
    State(bench): State<Arc<Workbench>>,
    chosen: Preferences,
    form: Result<Form<Restoring>, FormRejection>,
) -> Result<Response, Refusal> {
    let Form(typed) = form?;
    let ended = run_aside({
        let (bench, typed) = (Arc::clone(&bench), typed.clone());
        move || {
            let id = TrashId::parse(&typed.id)
                .ok_or_else(|| Refusal::not_found("there is no such loop in the trash"))?;
            let name = match typed.name.trim() {
                "" => id.name().clone(),
                name => LoopName::typed(name)?,
            };
            bench.folder.restore(&id, &name)?;
            Ok(name)
        }
    })
    .await;
    match ended {
        Ok(name) => Ok(Redirect::to(&loop_address(&name)).into_response()),
        Err(refusal) => {
            let status = refusal.status;
            let page = list(bench, Some((typed, refusal)), chosen).await?;
            Ok((status, page).into_response())
        }
    }
}

async fn list(
    bench: Arc<Workbench>,
    refused: Option<(Restoring, Refusal)>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let trashed = run_aside(move || Ok(bench.folder.trashed()?)).await?;
    let rows = trashed
        .into_iter()
        .map(|trashed| {
            let id = trashed.id.to_string();
            let typed = refused
                .as_ref()
                .filter(|(typed, _)| typed.id == id && !typed.name.trim().is_empty())
                .map(|(typed, _)| typed.name.clone());
            Row {
                address: format!("/trash/{}", in_address(&id)),
                is_refused: refused.as_ref().is_some_and(|(typed, _)| typed.id == id),
                typed: typed.unwrap_or_else(|| trashed.id.name().to_string()),
                name: trashed.id.name().clone(),
                deleted: LocalTime::of(trashed.deleted),
                id,
            }
        })
        .collect();
    page(&TrashPage {
        frame: Frame::new("Trash", chosen, "/trash"),
        rows,
        refusal: refused.map(|(_, refusal)| refusal),
    })
}
