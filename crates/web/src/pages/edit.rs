//! A loop edited by parts: the list of parts, and a form for each, made from the keys of the loop file.
//!
//! The form holds the draft, the whole text with all that was typed before, and the hash of the file that it was made
//! from: adding a block, checking and saving need nothing of the server but the file itself.

mod fields;
pub(crate) mod parts;

use std::sync::Arc;

use askama::Template;
use axum::Json;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{LoopName, Revision, Stored};
use halfglass_loopfile::edit;

use super::conflict;
use super::draft::{Judged, Kept, Told, Unmade, judged, not_made, save, with_typed};
use super::typed::{Typed, as_json};
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};
use fields::SectionFields;
use parts::{PARTS, Part};

#[derive(Template)]
#[template(path = "edit.html")]
struct ListPage {
    frame: Frame,
    base: String,
    seen: String,
    rows: Vec<Row>,
    judged: Judged,
}

struct Row {
    part: &'static Part,
    problems: usize,
    invented: usize,
    /// Nothing of it stands in the file.
    is_absent: bool,
}

#[derive(Template)]
#[template(path = "edit_part.html")]
struct PartPage {
    frame: Frame,
    base: String,
    part: &'static Part,
    before: Option<&'static Part>,
    after: Option<&'static Part>,
    sections: Vec<SectionFields>,
    judged: Judged,
    revision: String,
    draft: String,
    /// The draft is not what the file holds.
    is_unsaved: bool,
    said: &'static str,
    refusal: Option<Refusal>,
    unplaced: Vec<Unmade>,
}

/// What a page says of what came before it.
#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct After {
    #[serde(default)]
    pub(crate) after: String,
}

impl After {
    pub(crate) fn words(&self) -> &'static str {
        match self.after.as_str() {
            "save" => "Saved. The text before it is kept as a version.",
            "left" => "What you typed was left out. This is what is on disk.",
            _ => "",
        }
    }
}

/// A draft on its way to a page.
pub(crate) struct Draft {
    pub(crate) text: String,
    pub(crate) revision: Revision,
    pub(crate) unmade: Vec<Unmade>,
    pub(crate) refusal: Option<Refusal>,
    pub(crate) said: &'static str,
}

impl Draft {
    /// A file as it is on disk.
    pub(crate) fn of_file(stored: &Stored) -> Result<Self, Refusal> {
        Ok(Self {
            text: text_of(stored)?,
            revision: stored.revision.clone(),
            unmade: Vec::new(),
            refusal: None,
            said: "",
        })
    }
}

/// The text of a file.
pub(crate) fn text_of(stored: &Stored) -> Result<String, Refusal> {
    let no_text = || {
        Refusal::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not-text",
            "the file is not UTF-8 text, so that it cannot be edited here",
            "Save it as UTF-8 in the editor that made it.",
        )
    };
    if stored.bytes.contains(&0) {
        return Err(no_text());
    }
    String::from_utf8(stored.bytes.clone()).map_err(|_| no_text())
}

/// `GET /loops/{name}/edit`: the parts.
pub(crate) async fn list(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let stored = bench.folder.read(&name)?;
        let judged = judged(&bench, &text_of(&stored)?);
        let Some(values) = &judged.values else {
            return Ok(Redirect::to(&format!("{}/text", loop_address(&name))).into_response());
        };
        let rows = PARTS
            .iter()
            .map(|part| {
                let blocks = || {
                    values.blocks.iter().filter(|block| {
                        block.is_there() && part.sections.contains(&block.section.name)
                    })
                };
                let problems = judged.problems.iter();
                Row {
                    part,
                    problems: problems.filter(|told| told.part == part.id).count(),
                    invented: blocks()
                        .flat_map(|block| &block.keys)
                        .filter(|standing| standing.is_invented)
                        .count(),
                    is_absent: blocks().next().is_none(),
                }
            })
            .collect();
        page(&ListPage {
            frame: Frame::of_loop(&name, format!("Edit {name}"), "edit", chosen),
            base: loop_address(&name),
            seen: stored.revision.to_string(),
            rows,
            judged,
        })
    })
    .await
}

/// `GET /loops/{name}/edit/{part}`: the form of a part.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path((name, part)): Path<(String, String)>,
    after: Result<Query<After>, QueryRejection>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let part = known(&part)?;
    run_aside(move || {
        let draft = Draft {
            said: after.map_or("", |Query(after)| after.words()),
            ..Draft::of_file(&bench.folder.read(&name)?)?
        };
        part_page(&bench, &name, part, draft, chosen)
    })
    .await
}

pub(crate) fn known(part: &str) -> Result<&'static Part, Refusal> {
    parts::of_id(part).ok_or_else(|| Refusal::not_found("a loop has no such part"))
}

/// The form of a part with a draft in it.
pub(crate) fn part_page(
    bench: &Workbench,
    name: &LoopName,
    part: &'static Part,
    draft: Draft,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let judged = judged(bench, &draft.text);
    let base = loop_address(name);
    let Some(values) = &judged.values else {
        return Ok(Redirect::to(&format!("{base}/text")).into_response());
    };
    let sections = fields::sections(part, values, &judged, &draft.unmade);
    let place = PARTS.iter().position(|known| known == part).unwrap_or(0);
    let status = draft
        .refusal
        .as_ref()
        .map_or(StatusCode::OK, |refusal| refusal.status);
    let mut frame = Frame::of_loop(name, part.words, "edit", chosen);
    frame.address = format!("{base}/edit/{}", part.id);
    let on_page = |unmade: &Unmade| {
        let mut fields = sections
            .iter()
            .flat_map(|section| &section.blocks)
            .flat_map(|block| block.shown.iter().chain(&block.more));
        fields.any(|field| field.path == unmade.path)
    };
    let unplaced = draft
        .unmade
        .iter()
        .filter(|unmade| !on_page(unmade))
        .cloned()
        .collect();
    let page = page(&PartPage {
        frame,
        part,
        before: place.checked_sub(1).and_then(|place| PARTS.get(place)),
        after: PARTS.get(place + 1),
        sections,
        is_unsaved: Revision::of(draft.text.as_bytes()) != draft.revision,
        revision: draft.revision.to_string(),
        draft: as_json(&draft.text),
        said: draft.said,
        refusal: draft.refusal,
        unplaced,
        judged,
        base,
    })?;
    Ok((status, page).into_response())
}

/// What a form of a part asks for.
enum Act {
    Save,
    Add(String),
    Remove(String, usize),
}

impl Act {
    fn of(typed: &Typed) -> Result<Self, Refusal> {
        let mut words = typed.get("act").split(':');
        match (words.next(), words.next(), words.next()) {
            (Some("" | "save"), None, _) => Ok(Self::Save),
            (Some("add"), Some(section), None) => Ok(Self::Add(section.to_owned())),
            (Some("remove"), Some(section), Some(number)) if number.parse::<usize>().is_ok() => Ok(
                Self::Remove(section.to_owned(), number.parse().unwrap_or_default()),
            ),
            _ => Err(Refusal::bad(
                "act",
                "the form asks for something that is not known",
                "Load the page again and send it from there.",
            )),
        }
    }
}

/// `POST /loops/{name}/edit/{part}`: saved, or shown again with a block more or less.
pub(crate) async fn change(
    State(bench): State<Arc<Workbench>>,
    Path((name, part)): Path<(String, String)>,
    chosen: Preferences,
    typed: Typed,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let part = known(&part)?;
    run_aside(move || {
        let (text, unmade) = with_typed(&typed.text("draft")?, &typed)?;
        let mut draft = Draft {
            text,
            revision: typed.revision()?,
            unmade,
            refusal: None,
            said: "",
        };
        let changed = match Act::of(&typed)? {
            Act::Add(section) => edit::add_block(&draft.text, &section),
            Act::Remove(section, number) => edit::remove_block(&draft.text, &section, number),
            Act::Save => return saved(&bench, &name, part, draft, &typed, chosen),
        };
        match changed {
            Ok(text) => draft.text = text,
            Err(error) => draft.refusal = Some(not_made(&error)),
        }
        part_page(&bench, &name, part, draft, chosen)
    })
    .await
}

fn saved(
    bench: &Arc<Workbench>,
    name: &LoopName,
    part: &'static Part,
    mut draft: Draft,
    typed: &Typed,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    if !draft.unmade.is_empty() {
        draft.refusal = Some(Refusal::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not-changed",
            "one value could not be put into the file, so nothing was saved",
            "What is marked below is changed in the file's text only.",
        ));
        return part_page(bench, name, part, draft, chosen);
    }
    let back = format!("{}/edit/{}", loop_address(name), part.id);
    match save(bench, name, &draft.text, &draft.revision) {
        Ok(Kept::Whole) => Ok(done(&back, typed)),
        Ok(Kept::Conflict(disk)) => {
            conflict::arises(name, &draft.text, disk.as_deref(), part.id, typed, chosen)
        }
        Err(refusal) if typed.wants_json => Ok(refusal.into_json()),
        Err(refusal) => {
            draft.refusal = Some(refusal);
            part_page(bench, name, part, draft, chosen)
        }
    }
}

/// The answer to a save that was done: the page again, or its address for a script.
pub(crate) fn done(back: &str, typed: &Typed) -> Response {
    let address = format!("{back}?after=save");
    if typed.wants_json {
        Json(serde_json::json!({ "saved": true, "address": address })).into_response()
    } else {
        Redirect::to(&address).into_response()
    }
}

/// Where a problem is mended: a field of this page, one of another part, or a line of the text.
pub(crate) fn mended_at(told: &Told, base: &str, here: &str) -> String {
    match (told.part, told.path.as_str()) {
        ("", _) => format!("{base}/text#l-{}", told.line),
        (part, "") if part == here => format!("#b-{}", told.block),
        (part, path) if part == here => format!("#f-{path}"),
        (part, "") => format!("{base}/edit/{part}#b-{}", told.block),
        (part, path) => format!("{base}/edit/{part}#f-{path}"),
    }
}
