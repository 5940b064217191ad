//! The file's text as it is, with the same problems at their lines.

use std::sync::Arc;

use askama::Template;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use halfglass_folder::{FolderError, LoopName, Revision};
use halfglass_loopfile::LARGEST_FILE_BYTES;
use similar::{ChangeTag, TextDiff};

use super::conflict;
use super::draft::{Judged, Kept, Told, judged, not_toml, save};
use super::edit::{After, done, text_of};
use super::typed::{Typed, too_large};
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// Lines shown before and after the one that has a problem.
const AROUND: usize = 2;
const BYTE_ORDER_MARK: char = '\u{feff}';

#[derive(Template)]
#[template(path = "text.html")]
struct TextPage {
    frame: Frame,
    base: String,
    text: String,
    lines: usize,
    judged: Judged,
    places: Vec<Place>,
    revision: String,
    is_unsaved: bool,
    said: &'static str,
    refusal: Option<Refusal>,
}

/// A problem with the lines around it.
struct Place {
    told: Told,
    around: Vec<(usize, String)>,
}

/// `GET /loops/{name}/text`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    after: Result<Query<After>, QueryRejection>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let stored = bench.folder.read(&name)?;
        let text = plain_ends(&text_of(&stored)?);
        let said = after.map_or("", |Query(after)| after.words());
        text_page(&bench, &name, text, &stored.revision, None, said, chosen)
    })
    .await
}

/// The page with a text in it, its line ends plain.
pub(crate) fn text_page(
    bench: &Workbench,
    name: &LoopName,
    text: String,
    revision: &Revision,
    refusal: Option<Refusal>,
    said: &'static str,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let judged = judged(bench, &text);
    let lines: Vec<&str> = text.split('\n').collect();
    let places = judged
        .problems
        .iter()
        .map(|told| {
            let first = told.line.saturating_sub(AROUND).max(1);
            let last = (told.line + AROUND).min(lines.len());
            let shown = |line: usize| {
                let text = lines.get(line - 1).copied().unwrap_or_default();
                (line, text.chars().take(200).collect())
            };
            Place {
                told: told.clone(),
                around: (first..=last).map(shown).collect(),
            }
        })
        .collect();
    let is_unsaved = bench.folder.read(name).map_or(true, |stored| {
        stored.revision != *revision
            || text_of(&stored).map_or(true, |disk| plain_ends(&disk) != text)
    });
    let status = refusal
        .as_ref()
        .map_or(StatusCode::OK, |refusal| refusal.status);
    let count = lines.len();
    let page = page(&TextPage {
        frame: Frame::of_loop(name, format!("Text of {name}"), "text", chosen),
        base: loop_address(name),
        lines: count,
        text,
        judged,
        places,
        revision: revision.to_string(),
        is_unsaved,
        said,
        refusal,
    })?;
    Ok((status, page).into_response())
}

/// `POST /loops/{name}/text`: saved, in the line ends of the file.
pub(crate) async fn change(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    typed: Typed,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let revision = typed.revision()?;
        let plain = plain_ends(typed.get("text"));
        if plain.len() > LARGEST_FILE_BYTES {
            return Err(too_large());
        }
        let disk = match bench.folder.read(&name) {
            Ok(stored) => text_of(&stored)?,
            Err(FolderError::Missing(_)) => String::new(),
            Err(error) => return Err(error.into()),
        };
        let text = with_ends_of(&disk, &plain);
        let refusal = match save(&bench, &name, &text, &revision) {
            Ok(Kept::Whole) => {
                return Ok(done(&format!("{}/text", loop_address(&name)), &typed));
            }
            Ok(Kept::Conflict(disk)) => {
                return conflict::arises(&name, &text, disk.as_deref(), "text", &typed, chosen);
            }
            Err(refusal) => refusal,
        };
        if typed.wants_json && refusal.code != not_toml().code {
            return Ok(refusal.into_json());
        }
        text_page(&bench, &name, plain, &revision, Some(refusal), "", chosen)
    })
    .await
}

/// The text as a browser shows it: plain line ends, no byte order mark.
pub(crate) fn plain_ends(text: &str) -> String {
    text.trim_start_matches(BYTE_ORDER_MARK)
        .replace("\r\n", "\n")
}

/// What was typed, with the byte order mark and the line ends of the file: a line that was not touched keeps its own,
/// a new one gets the first.
fn with_ends_of(file: &str, plain: &str) -> String {
    let mark = if file.starts_with(BYTE_ORDER_MARK) {
        BYTE_ORDER_MARK.to_string()
    } else {
        String::new()
    };
    let ends: Vec<&str> = file
        .split_inclusive('\n')
        .filter(|line| line.ends_with('\n'))
        .map(|line| if line.ends_with("\r\n") { "\r\n" } else { "\n" })
        .collect();
    let first = ends.first().copied().unwrap_or("\n");
    if ends.iter().all(|end| *end == first) {
        return mark + &plain.replace('\n', first);
    }
    let before = plain_ends(file);
    let mut text = mark;
    let diff = TextDiff::from_lines(before.as_str(), plain);
    for change in diff.iter_all_changes() {
        let end = match (change.tag(), change.old_index()) {
            (ChangeTag::Delete, _) => continue,
            (ChangeTag::Equal, Some(line)) => ends.get(line).copied().unwrap_or(first),
            _ => first,
        };
        match change.value().strip_suffix('\n') {
            Some(line) => {
                text.push_str(line);
                text.push_str(end);
            }
            None => text.push_str(change.value()),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_lines_keep_their_ends() {
        for (file, plain, expected) in [
            ("a\nb\n", "a\nc\n", "a\nc\n"),
            ("a\r\nb\r\n", "a\nc\nd", "a\r\nc\r\nd"),
            (
                "\u{feff}a\r\nb\nc\r\n",
                "a\nb\nx\nc\n",
                "\u{feff}a\r\nb\nx\r\nc\r\n",
            ),
            ("", "a\n", "a\n"),
        ] {
            assert_eq!(with_ends_of(file, plain), expected);
            assert_eq!(with_ends_of(file, &plain_ends(file)), file);
        }
    }
}
