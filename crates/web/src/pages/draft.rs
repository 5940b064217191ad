//! A text on its way to the file: what was typed put into it, what the reader says of it, and its save.

use std::sync::Arc;

use halfglass_core::finding::Finding;
use halfglass_folder::{FolderError, LoopName, Revision, Saved, Stored};
use halfglass_loopfile::edit::{self, EditError, Values};
use halfglass_loopfile::{Problem, line_and_column};
use serde::Serialize;

use super::edit::parts;
use super::typed::Typed;
use crate::designed::Designed;
use crate::refusal::Refusal;
use crate::workbench::Workbench;

/// A problem as the pages tell it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Told {
    pub(crate) code: &'static str,
    pub(crate) message: String,
    pub(crate) help: String,
    pub(crate) line: usize,
    pub(crate) column: usize,
    /// Path of the key it belongs to; empty for none.
    pub(crate) path: String,
    /// Path of its block.
    pub(crate) block: String,
    /// Paths of other keys that take part.
    pub(crate) also: Vec<String>,
    /// The part that it is mended in; empty for what is mended in the text.
    pub(crate) part: &'static str,
}

/// A finding beside the key that causes it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Noticed {
    pub(crate) severity: &'static str,
    pub(crate) code: &'static str,
    pub(crate) words: String,
    /// Path without block numbers; empty for none.
    pub(crate) path: &'static str,
}

/// What is said of a text.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Judged {
    pub(crate) problems: Vec<Told>,
    pub(crate) findings: Vec<Noticed>,
    /// One sentence.
    pub(crate) summary: String,
    /// The sheets were computed too, so that the findings are this text's.
    pub(crate) is_computed: bool,
    #[serde(skip)]
    pub(crate) values: Option<Values>,
}

/// Reads and computes a text, and finds the key of each problem.
pub(crate) fn judged(bench: &Workbench, text: &str) -> Judged {
    let designed = bench.designed(text.as_bytes());
    let values = edit::values(text).ok();
    let problems = all_told(text, values.as_ref(), designed.problems());
    let findings = designed.sheets().map_or_else(Vec::new, |(_, sheets)| {
        sheets.findings.iter().map(noticed).collect()
    });
    let summary = summary(&designed, problems.len(), values.is_some());
    Judged {
        problems,
        findings,
        summary,
        is_computed: true,
        values,
    }
}

/// Reads a text and computes no sheets, which takes twenty times as long: what is asked while a person types.
pub(crate) fn read_only(text: &str) -> Judged {
    let values = edit::values(text).ok();
    let read =
        halfglass_loopfile::read(text.as_bytes()).map_or_else(|problems| problems, |_| Vec::new());
    let problems = all_told(text, values.as_ref(), &read);
    Judged {
        findings: Vec::new(),
        summary: if problems.is_empty() {
            "No problems; findings are being computed.".to_owned()
        } else {
            problems_summary(problems.len(), values.is_some())
        },
        is_computed: !problems.is_empty(),
        problems,
        values,
    }
}

fn all_told(text: &str, values: Option<&Values>, problems: &[Problem]) -> Vec<Told> {
    let problems = problems.iter();
    problems
        .map(|problem| told(text, values, problem))
        .collect()
}

fn summary(designed: &Designed, problems: usize, is_toml: bool) -> String {
    match designed {
        Designed::Problems(_) => problems_summary(problems, is_toml),
        Designed::NoSheets(_, reason) => format!("No problems, but no sheets: {reason}."),
        Designed::Sheets(_) => {
            let (standing, _) = super::folder::standing(designed);
            format!("No problems; {standing}.")
        }
    }
}

fn problems_summary(problems: usize, is_toml: bool) -> String {
    match (problems, is_toml) {
        (_, false) => "The text cannot be read: it cannot be saved until it is mended.".to_owned(),
        (1, _) => "1 problem. It can be saved as a draft; there are no sheets until it is mended."
            .to_owned(),
        _ => format!(
            "{problems} problems. It can be saved as a draft; there are no sheets until they are mended."
        ),
    }
}

fn told(text: &str, values: Option<&Values>, problem: &Problem) -> Told {
    let place = values
        .map(|values| values.place(problem))
        .unwrap_or_default();
    let (line, column) = line_and_column(text.as_bytes(), problem.primary.span.start);
    let block = place.block.unwrap_or_default();
    let section = place
        .key
        .as_deref()
        .and_then(|key| key.rsplit_once('.'))
        .map_or(block.as_str(), |(block, _)| block);
    Told {
        code: problem.code,
        message: problem.message.clone(),
        help: problem.help.clone().unwrap_or_default(),
        line,
        column,
        part: parts::of_section(section.split('[').next().unwrap_or_default())
            .map_or("", |part| part.id),
        path: place.key.unwrap_or_default(),
        block,
        also: place.also,
    }
}

fn noticed(finding: &Finding) -> Noticed {
    let sentences = [&finding.what, &finding.consequence, &finding.remedy];
    let words: Vec<String> = sentences
        .into_iter()
        .filter(|sentence| !sentence.is_empty())
        .map(|sentence| format!("{}.", sentence.trim_end_matches('.')))
        .collect();
    Noticed {
        severity: finding.severity.word(),
        code: finding.code,
        words: words.join(" "),
        path: finding.input,
    }
}

/// A change that could not be made, with what was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Unmade {
    pub(crate) path: String,
    pub(crate) typed: String,
    pub(crate) why: String,
}

/// The draft with what was typed into the form put in, key by key; only keys that differ are touched.
pub(crate) fn with_typed(draft: &str, typed: &Typed) -> Result<(String, Vec<Unmade>), Refusal> {
    let values = edit::values(draft).map_err(|error| not_made(&error))?;
    let mut text = draft.to_owned();
    let mut unmade = Vec::new();
    let mut make =
        |text: &mut String, path: &str, typed: &str, made: Result<String, EditError>| match made {
            Ok(made) => *text = made,
            Err(error) => unmade.push(Unmade {
                path: path.to_owned(),
                typed: typed.to_owned(),
                why: error.to_string(),
            }),
        };
    for (path, value) in typed.fields() {
        let Some(standing) = values.get(path) else {
            continue;
        };
        let value = value.replace("\r\n", "\n");
        let is_blank = value.trim().is_empty();
        let shown = standing.text.as_deref();
        let made = match shown {
            Some(shown) if shown == value => continue,
            None if is_blank => continue,
            Some(_) if is_blank => edit::remove(&text, path),
            _ => edit::set(&text, path, &value),
        };
        make(&mut text, path, &value, made);
    }
    for path in typed.all("confirm") {
        if values
            .get(path)
            .is_some_and(|standing| standing.is_invented)
        {
            let still_there = edit::values(&text).is_ok_and(|now| {
                now.get(path)
                    .is_some_and(|standing| standing.text.is_some())
            });
            if still_there {
                let made = edit::confirm(&text, path);
                make(&mut text, path, "", made);
            }
        }
    }
    Ok((text, unmade))
}

/// Why a change is refused.
pub(crate) fn not_made(error: &EditError) -> Refusal {
    Refusal::new(
        axum::http::StatusCode::UNPROCESSABLE_ENTITY,
        "not-changed",
        error.to_string(),
        "Nothing was written. Change it in the file's text.",
    )
}

/// How a save ended.
#[derive(Debug)]
pub(crate) enum Kept {
    /// The file holds the text.
    Whole,
    /// The file is another than the one that was edited, or gone; nothing was written.
    Conflict(Option<Box<Stored>>),
}

/// Saves a text over the one that it was made from. The same text sent twice, as after a lost answer, is saved once.
pub(crate) fn save(
    bench: &Arc<Workbench>,
    name: &LoopName,
    text: &str,
    edited: &Revision,
) -> Result<Kept, Refusal> {
    edit::values(text).map_err(|_| not_toml())?;
    match bench.folder.save(name, text.as_bytes(), edited) {
        Ok(Saved::Whole(_)) => Ok(Kept::Whole),
        Ok(Saved::ChangedOnDisk(present)) if present.bytes == text.as_bytes() => Ok(Kept::Whole),
        Ok(Saved::ChangedOnDisk(present)) => Ok(Kept::Conflict(Some(Box::new(present)))),
        Err(FolderError::Missing(_)) => Ok(Kept::Conflict(None)),
        Err(error) => Err(error.into()),
    }
}

/// A text that no form could open again is not saved.
pub(crate) fn not_toml() -> Refusal {
    Refusal::new(
        axum::http::StatusCode::UNPROCESSABLE_ENTITY,
        "not-toml",
        "the text cannot be read as TOML, so it was not saved",
        "Mend what is listed below and save again; all that was typed is kept in this page.",
    )
}
