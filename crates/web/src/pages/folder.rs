//! The folder: its loops, how they stand, when they were changed, and what can be done with each.

use std::sync::Arc;

use askama::Template;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::response::Response;
use halfglass_core::finding::Severity;
use halfglass_folder::{LoopName, TrashId};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::designed::Designed;
use crate::frame::{Frame, in_address, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

#[derive(Template)]
#[template(path = "folder.html")]
struct FolderPage {
    frame: Frame,
    folder: String,
    sought: String,
    rows: Vec<Row>,
    /// Loops there are, found or not.
    all: usize,
    /// Files that end like loops and are none, each with the reason.
    refused: Vec<(String, String)>,
    /// The loop that was deleted just now, while it is in the trash.
    deleted: Option<TrashId>,
    in_trash: usize,
}

struct Row {
    name: LoopName,
    address: String,
    compare: String,
    tag: String,
    service: String,
    vessel: &'static str,
    standing: String,
    standing_class: &'static str,
    changed: LocalTime,
}

/// A time as this machine's clock shows it, and as a program reads it.
#[derive(Debug, Clone)]
pub(crate) struct LocalTime {
    pub(crate) words: String,
    pub(crate) exact: String,
}

impl LocalTime {
    pub(crate) fn of(time: Timestamp) -> Self {
        let local = time.to_zoned_datetime(TimeZone::system());
        Self {
            words: local.strftime("%Y-%m-%d %H:%M:%S").to_string(),
            exact: local.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string(),
        }
    }

    pub(crate) fn of_file(time: std::time::SystemTime) -> Self {
        Timestamp::try_from(time).map_or_else(
            |_| Self {
                words: "unknown".to_owned(),
                exact: String::new(),
            },
            Self::of,
        )
    }
}

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Asked {
    #[serde(default)]
    q: String,
    #[serde(default)]
    deleted: String,
}

/// `GET /`: the loops of the folder, or those that hold the words sought.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    asked: Result<Query<Asked>, QueryRejection>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let Query(asked) = asked.map_err(|_| {
        Refusal::bad(
            "query",
            "the address asks in a way that is not known",
            "Go back to the list of loops.",
        )
    })?;
    let (rows, refused, trashed) = run_aside({
        let bench = Arc::clone(&bench);
        move || {
            let (rows, refused) = rows(&bench)?;
            Ok((rows, refused, bench.folder.trashed()?))
        }
    })
    .await?;
    let words = asked.q.to_lowercase();
    let all = rows.len();
    let rows = rows.into_iter().filter(|row| row.holds(&words)).collect();
    let deleted =
        TrashId::parse(&asked.deleted).filter(|id| trashed.iter().any(|trashed| trashed.id == *id));
    page(&FolderPage {
        frame: Frame::new("Loops", chosen, "/"),
        folder: bench.folder.path().display().to_string(),
        sought: asked.q,
        rows,
        all,
        refused,
        deleted,
        in_trash: trashed.len(),
    })
}

impl Row {
    /// Whether every one of the words stands in the row.
    fn holds(&self, words: &str) -> bool {
        let all = format!(
            "{} {} {} {} {}",
            self.name, self.tag, self.service, self.vessel, self.standing
        )
        .to_lowercase();
        words.split_whitespace().all(|word| all.contains(word))
    }
}

type Rows = (Vec<Row>, Vec<(String, String)>);

fn rows(bench: &Workbench) -> Result<Rows, Refusal> {
    let listing = bench.folder.list()?;
    let mut rows = Vec::with_capacity(listing.loops.len());
    let mut refused = listing.refused;
    for listed in listing.loops {
        let stored = match bench.folder.read(&listed.name) {
            Ok(stored) => stored,
            Err(error) => {
                refused.push((listed.name.file_name(), Refusal::from(error).what));
                continue;
            }
        };
        let designed = bench.designed(&stored.bytes);
        let described = designed.described();
        let (standing, standing_class) = standing(&designed);
        rows.push(Row {
            address: loop_address(&listed.name),
            compare: format!("/compare?a={}", in_address(listed.name.as_str())),
            tag: described.map_or_else(String::new, |d| d.identity.tag.clone()),
            service: described.map_or_else(String::new, |d| d.identity.service.clone()),
            vessel: described.map_or("", |d| halfglass_report::vessel_kind(d.vessel.kind)),
            standing,
            standing_class,
            changed: LocalTime::of_file(stored.modified),
            name: listed.name,
        });
    }
    Ok((rows, refused))
}

/// How a loop stands, in words and as a class.
pub(crate) fn standing(designed: &Designed) -> (String, &'static str) {
    match designed {
        Designed::Problems(problems) => (
            format!("{} in the file", counted(problems.len(), "problem")),
            "stop",
        ),
        Designed::NoSheets(_, reason) => (format!("no sheets: {reason}"), "stop"),
        Designed::Sheets(_) => {
            let [stop, warn, note] = [Severity::Stop, Severity::Warn, Severity::Note]
                .map(|severity| designed.count(severity));
            let words: Vec<String> = [(stop, "stop"), (warn, "warning"), (note, "note")]
                .into_iter()
                .filter(|(count, _)| *count > 0)
                .map(|(count, word)| counted(count, word))
                .collect();
            match (stop, warn, note) {
                (0, 0, 0) => ("no findings".to_owned(), "fine"),
                (0, 0, _) => (words.join(", "), "fine"),
                (0, _, _) => (words.join(", "), "warn"),
                _ => (words.join(", "), "stop"),
            }
        }
    }
}

/// `1 note`, `2 notes`.
fn counted(count: usize, word: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {word}{ending}")
}
