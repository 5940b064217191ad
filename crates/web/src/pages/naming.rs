//! A loop under another name: renamed, or duplicated.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{Folder, FolderError, LoopName};

use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// What is done under the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Act {
    Duplicate,
    Rename,
}

#[derive(Template)]
#[template(path = "naming.html")]
struct NamingPage {
    frame: Frame,
    /// What happens, one sentence.
    lead: &'static str,
    action: String,
    button: &'static str,
    typed: String,
    back: String,
    refusal: Option<Refusal>,
}

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Named {
    #[serde(default)]
    name: String,
}

/// `GET /loops/{name}/duplicate`: the form, with a name that is free.
pub(crate) async fn show_duplicate(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let (name, free) = run_aside(move || {
        bench.folder.read(&name)?;
        let free = free_name(&bench.folder, &name)?;
        Ok((name, free))
    })
    .await?;
    form_page(Act::Duplicate, &name, free, None, chosen)
}

/// `GET /loops/{name}/rename`: the form, with the present name.
pub(crate) async fn show_rename(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let name = run_aside(move || {
        bench.folder.read(&name)?;
        Ok(name)
    })
    .await?;
    form_page(Act::Rename, &name, name.to_string(), None, chosen)
}

/// `POST /loops/{name}/duplicate`: then the duplicate's page.
pub(crate) async fn duplicate(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    form: Result<Form<Named>, FormRejection>,
) -> Result<Response, Refusal> {
    done(Act::Duplicate, bench, &name, form?.0.name, chosen).await
}

/// `POST /loops/{name}/rename`: then the loop's page under its new name.
pub(crate) async fn rename(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    form: Result<Form<Named>, FormRejection>,
) -> Result<Response, Refusal> {
    done(Act::Rename, bench, &name, form?.0.name, chosen).await
}

async fn done(
    act: Act,
    bench: Arc<Workbench>,
    name: &str,
    typed: String,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(name)?;
    let ended = run_aside({
        let (name, typed) = (name.clone(), typed.clone());
        move || {
            let other = LoopName::typed(&typed)?;
            match act {
                Act::Duplicate => bench.folder.duplicate(&name, &other).map(|_| ()),
                Act::Rename => bench.folder.rename(&name, &other),
            }?;
            Ok(other)
        }
    })
    .await;
    match ended {
        Ok(other) => Ok(Redirect::to(&loop_address(&other)).into_response()),
        Err(refusal) => {
            let status = refusal.status;
            let page = form_page(act, &name, typed, Some(refusal), chosen)?;
            Ok((status, page).into_response())
        }
    }
}

fn form_page(
    act: Act,
    name: &LoopName,
    typed: String,
    refusal: Option<Refusal>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let base = loop_address(name);
    let (tail, title, lead, button) = match act {
        Act::Duplicate => (
            "duplicate",
            format!("Duplicate {name}"),
            "The copy has the present text. Its versions begin with it; those of this loop stay here.",
            "Duplicate",
        ),
        Act::Rename => (
            "rename",
            format!("Rename {name}"),
            "The file gets the name, and its versions move along.",
            "Rename",
        ),
    };
    let mut frame = Frame::new(title, chosen, "");
    frame.address = format!("{base}/{tail}");
    page(&NamingPage {
        action: frame.address.clone(),
        frame,
        lead,
        button,
        typed,
        back: base,
        refusal,
    })
}

/// A name that is free for a copy.
fn free_name(folder: &Folder, name: &LoopName) -> Result<String, FolderError> {
    let listing = folder.list()?;
    let is_free = |wanted: &LoopName| {
        !listing
            .loops
            .iter()
            .any(|listed| listed.name.is_same_but_for_case(wanted))
    };
    let suggestions = (1..100).map(|count| match count {
        1 => format!("{name} copy"),
        _ => format!("{name} copy {count}"),
    });
    Ok(suggestions
        .filter_map(|suggested| LoopName::new(&suggested).ok())
        .find(is_free)
        .map_or_else(String::new, |free| free.to_string()))
}
