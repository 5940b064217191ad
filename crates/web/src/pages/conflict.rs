//! The file is another than the one that was edited: both texts side by side, and the person chooses.

use std::sync::Arc;
use std::time::Duration;

use askama::Template;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{LoopName, Stored};
use halfglass_loopfile::edit;
use similar::{DiffOp, TextDiff};

use super::draft::{Kept, not_toml, save};
use super::edit::known;
use super::typed::{Typed, as_json};
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// Longest time for finding what differs; after it, larger stretches are told as different.
const LONGEST_SEARCH: Duration = Duration::from_millis(500);
/// Equal lines shown around what differs.
const AROUND: usize = 3;

#[derive(Template)]
#[template(path = "conflict.html")]
struct ConflictPage {
    frame: Frame,
    base: String,
    rows: Vec<Row>,
    /// Lines that differ.
    differ: usize,
    mine: String,
    /// Hash of the text on disk that is shown; empty when the file is gone.
    revision: String,
    back: String,
    other_name: String,
    refusal: Option<Refusal>,
}

/// One line of both texts.
#[derive(Debug, PartialEq, Eq)]
struct Row {
    disk: Option<(usize, String)>,
    mine: Option<(usize, String)>,
    /// What is the matter, in words; empty for equal lines.
    words: &'static str,
    /// Equal lines left out here.
    skipped: usize,
}

/// The answer to a save of a text whose file has changed.
pub(crate) fn arises(
    name: &LoopName,
    mine: &str,
    disk: Option<&Stored>,
    back: &str,
    typed: &Typed,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    if typed.wants_json {
        let body = Json(serde_json::json!({ "conflict": true }));
        return Ok((StatusCode::CONFLICT, body).into_response());
    }
    conflict_page(name, mine, disk, back, None, chosen)
}

fn conflict_page(
    name: &LoopName,
    mine: &str,
    disk: Option<&Stored>,
    back: &str,
    refusal: Option<(Refusal, String)>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let theirs = disk.map_or_else(String::new, |disk| {
        String::from_utf8_lossy(&disk.bytes).into_owned()
    });
    let rows = rows(&theirs, mine);
    let status = refusal
        .as_ref()
        .map_or(StatusCode::CONFLICT, |(refusal, _)| refusal.status);
    let (refusal, other_name) = match refusal {
        Some((refusal, typed)) => (Some(refusal), typed),
        None => (None, format!("{name} (mine)")),
    };
    let page = page(&ConflictPage {
        frame: Frame::of_loop(name, "The file has changed on disk", "edit", chosen),
        base: loop_address(name),
        differ: rows.iter().filter(|row| !row.words.is_empty()).count(),
        rows,
        mine: as_json(mine),
        revision: disk.map_or_else(String::new, |disk| disk.revision.to_string()),
        back: back.to_owned(),
        other_name,
        refusal,
    })?;
    Ok((status, page).into_response())
}

/// Both texts line by line, equal stretches cut short.
fn rows(disk: &str, mine: &str) -> Vec<Row> {
    let diff = TextDiff::configure()
        .timeout(LONGEST_SEARCH)
        .diff_lines(disk, mine);
    let ends = |line: &str| {
        let text = line.trim_end_matches(['\r', '\n']);
        let end = &line[text.len()..];
        // Lines that differ in their ends only would look equal.
        if end == "\r\n" {
            format!("{text}\u{240d}")
        } else {
            text.to_owned()
        }
    };
    let (old, new) = (diff.old_slices(), diff.new_slices());
    let left = |at: usize| Some((at + 1, ends(old[at])));
    let right = |at: usize| Some((at + 1, ends(new[at])));
    let mut rows = Vec::new();
    for op in diff.ops() {
        match *op {
            DiffOp::Equal {
                old_index,
                new_index,
                len,
            } => {
                let is_long = len > 2 * AROUND + 1;
                let cut = AROUND..len.saturating_sub(AROUND);
                let shown = |offset: &usize| !is_long || !cut.contains(offset);
                for offset in (0..len).filter(shown) {
                    if is_long && offset == cut.end {
                        rows.push(Row {
                            disk: None,
                            mine: None,
                            words: "",
                            skipped: cut.len(),
                        });
                    }
                    rows.push(Row {
                        disk: left(old_index + offset),
                        mine: right(new_index + offset),
                        words: "",
                        skipped: 0,
                    });
                }
            }
            _ => {
                let (old, new) = (op.old_range(), op.new_range());
                for offset in 0..old.len().max(new.len()) {
                    let disk = (offset < old.len())
                        .then(|| left(old.start + offset))
                        .flatten();
                    let mine = (offset < new.len())
                        .then(|| right(new.start + offset))
                        .flatten();
                    let words = match (&disk, &mine) {
                        (Some(_), None) => "only on disk",
                        (None, _) => "only in yours",
                        _ => "differs",
                    };
                    rows.push(Row {
                        disk,
                        mine,
                        words,
                        skipped: 0,
                    });
                }
            }
        }
    }
    rows
}

/// `POST /loops/{name}/conflict`: what the person chose.
pub(crate) async fn choose(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    typed: Typed,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let mine = typed.text("mine")?;
        edit::values(&mine).map_err(|_| not_toml())?;
        let back = match typed.get("part") {
            "text" => "text".to_owned(),
            part => format!("edit/{}", known(part)?.id),
        };
        let base = loop_address(&name);
        let to = |base: &str, after: &str| {
            Redirect::to(&format!("{base}/{back}?after={after}")).into_response()
        };
        let part = typed.get("part");
        let refused = |refusal: Refusal, typed_name: &str| {
            let disk = bench.folder.read(&name).ok();
            let refusal = Some((refusal, typed_name.to_owned()));
            conflict_page(&name, &mine, disk.as_ref(), part, refusal, chosen)
        };
        match typed.get("choice") {
            "disk" => Ok(to(&base, "left")),
            "mine" if typed.get("revision").is_empty() => {
                match bench.folder.create(&name, mine.as_bytes()) {
                    Ok(_) => Ok(to(&base, "save")),
                    Err(error) => refused(error.into(), ""),
                }
            }
            "mine" => match save(&bench, &name, &mine, &typed.revision()?) {
                Ok(Kept::Whole) => Ok(to(&base, "save")),
                Ok(Kept::Conflict(disk)) => {
                    conflict_page(&name, &mine, disk.as_deref(), part, None, chosen)
                }
                Err(refusal) => refused(refusal, ""),
            },
            "aside" => {
                let wanted = typed.get("as");
                let made = LoopName::typed(wanted)
                    .map_err(Refusal::from)
                    .and_then(|other| {
                        bench.folder.create(&other, mine.as_bytes())?;
                        Ok(other)
                    });
                match made {
                    Ok(other) => Ok(to(&loop_address(&other), "save")),
                    Err(refusal) => refused(refusal, wanted),
                }
            }
            _ => Err(Refusal::bad(
                "choice",
                "the form does not say which text is to stay",
                "Go back and choose one of the three.",
            )),
        }
    })
    .await
}
