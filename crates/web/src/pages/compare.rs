//! Two loops, or two versions of one, side by side: what differs in the file, and what that does to the results.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use halfglass_folder::{FolderError, LoopName, Stored, VersionId};
use halfglass_loopfile::edit;
use halfglass_report::compare::{Difference, SectionDifference, differences};

use crate::designed::Designed;
use crate::frame::{Frame, page};
use crate::pages::folder::LocalTime;
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// One side of a comparison: a loop, or an earlier version of it, `NAME` or `NAME@VERSION`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Side {
    name: LoopName,
    version: Option<VersionId>,
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.version {
            None => write!(f, "{}", self.name),
            Some(version) => write!(f, "{}@{}", self.name, version.as_str()),
        }
    }
}

impl Side {
    pub(crate) fn parse(text: &str) -> Result<Self, Refusal> {
        let (name, version) = match text.rsplit_once('@') {
            None => (text, None),
            Some((name, version)) => {
                let version = VersionId::parse(version).ok_or_else(|| {
                    Refusal::bad(
                        "version",
                        "what follows @ is no version of a loop",
                        "Take it from the page of versions.",
                    )
                })?;
                (name, Some(version))
            }
        };
        Ok(Self {
            name: LoopName::new(name)?,
            version,
        })
    }

    fn read(&self, bench: &Workbench) -> Result<Stored, FolderError> {
        match &self.version {
            None => bench.folder.read(&self.name),
            Some(version) => bench.folder.version(&self.name, version),
        }
    }

    /// As a page names it.
    fn words(&self) -> String {
        match &self.version {
            None => format!("{}, as it is now", self.name),
            Some(version) => format!("{}, text {}", self.name, version.short()),
        }
    }
}

/// What differs.
#[derive(Debug)]
pub(crate) struct Compared {
    /// Keys of the file by their path.
    pub(crate) inputs: Vec<Difference>,
    /// Values of the file that are the same in both.
    pub(crate) same_inputs: usize,
    /// Results, sheet by sheet.
    pub(crate) sheets: Vec<SectionDifference>,
    /// Why results are not compared; empty when they are.
    pub(crate) without_sheets: String,
}

/// Compares two sides. Both are shown in the units of the second, so that no result differs by its unit alone.
pub(crate) fn compared(
    bench: &Workbench,
    a: &Side,
    b: &Side,
    chosen: Preferences,
) -> Result<Compared, Refusal> {
    let (first, second) = (a.read(bench)?, b.read(bench)?);
    let designed = [&first, &second].map(|stored| bench.designed(&stored.bytes));
    let (sheets, without_sheets) = match (designed[0].sheets(), designed[1].sheets()) {
        (Some((first, of_first)), Some((second, of_second))) => {
            let units = chosen.units_of(second);
            let report = |described, sheets, system| {
                let units =
                    halfglass_report::units::DisplayUnits::of(described).with_system(system);
                halfglass_report::sections(described, sheets, &units)
            };
            (
                differences(
                    &report(first, of_first, units.system),
                    &report(second, of_second, units.system),
                ),
                String::new(),
            )
        }
        _ => (
            Vec::new(),
            [(a, &designed[0]), (b, &designed[1])]
                .into_iter()
                .filter_map(|(side, designed)| why_without_sheets(side, designed))
                .collect::<Vec<_>>()
                .join(" "),
        ),
    };
    let (in_first, in_second) = (values(&first), values(&second));
    let same = in_first.iter().filter(|value| in_second.contains(value));
    Ok(Compared {
        same_inputs: same.count(),
        inputs: inputs(&in_first, &in_second),
        sheets,
        without_sheets,
    })
}

fn why_without_sheets(side: &Side, designed: &Designed) -> Option<String> {
    match designed {
        Designed::Sheets(_) => None,
        Designed::Problems(problems) => Some(format!(
            "{}: no results, for the file has {} to mend first.",
            side.words(),
            counted(problems.len(), "problem")
        )),
        Designed::NoSheets(_, why) => Some(format!("{}: no results: {why}.", side.words())),
    }
}

fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// Values of a file in its order; none of a text that is no TOML.
fn values(stored: &Stored) -> Vec<(String, String)> {
    let text = String::from_utf8_lossy(&stored.bytes);
    edit::values(&text).map_or_else(
        |_| Vec::new(),
        |values| {
            values
                .standing()
                .filter_map(|standing| Some((standing.path.clone(), standing.text.clone()?)))
                .collect()
        },
    )
}

fn inputs(first: &[(String, String)], second: &[(String, String)]) -> Vec<Difference> {
    let by_path = |values: &[(String, String)]| -> BTreeMap<String, String> {
        values.iter().cloned().collect()
    };
    let (in_first, in_second) = (by_path(first), by_path(second));
    first
        .iter()
        .map(|(path, _)| path)
        .chain(
            second
                .iter()
                .map(|(path, _)| path)
                .filter(|path| !in_first.contains_key(*path)),
        )
        .filter(|path| in_first.get(*path) != in_second.get(*path))
        .map(|path| Difference {
            what: path.clone(),
            table: String::new(),
            first: in_first.get(path).cloned(),
            second: in_second.get(path).cloned(),
        })
        .collect()
}

#[derive(Template)]
#[template(path = "compare.html")]
struct ComparePage {
    frame: Frame,
    choices: Vec<Choice>,
    /// As asked, so that a form shows it.
    asked: (String, String),
    shown: Option<Shown>,
}

/// Both sides by their words, and what differs.
struct Shown {
    first: String,
    second: String,
    compared: Compared,
}

impl Shown {
    /// What a person sets by: first, and said even where it does not differ.
    const FIRST: [(&'static str, &'static str); 2] = [("range", "Range"), ("settings", "Settings")];

    /// Title, what differs there, of the sheets that come first.
    fn first_sheets(&self) -> Vec<(&'static str, Option<&SectionDifference>)> {
        Self::FIRST
            .map(|(id, title)| {
                let mut sheets = self.compared.sheets.iter();
                (title, sheets.find(|section| section.id == id))
            })
            .into()
    }

    /// What differs in a sheet: its values, then its tables, each with its caption. Of a sheet that comes first the
    /// first table is open.
    fn groups<'a>(&self, section: &'a SectionDifference) -> Vec<Group<'a>> {
        let is_first = Self::FIRST.iter().any(|(first, _)| *first == section.id);
        let mut groups: Vec<Group<'a>> = Vec::new();
        for row in &section.rows {
            let short = row
                .what
                .strip_prefix(row.table.as_str())
                .unwrap_or_default();
            let short = short.strip_prefix(": ").unwrap_or(&row.what);
            match groups.iter_mut().find(|group| group.caption == row.table) {
                Some(group) => group.rows.push((short, row)),
                None => groups.push(Group {
                    caption: &row.table,
                    rows: vec![(short, row)],
                    is_open: false,
                }),
            }
        }
        groups.sort_by_key(|group| !group.caption.is_empty());
        let mut tables = groups.iter_mut().filter(|group| !group.caption.is_empty());
        if let Some(table) = tables.next().filter(|_| is_first) {
            table.is_open = true;
        }
        groups
    }

    /// The others that differ.
    fn other_sheets(&self) -> Vec<&SectionDifference> {
        let is_first = |id: &str| Self::FIRST.iter().any(|(first, _)| *first == id);
        let sheets = self.compared.sheets.iter();
        sheets.filter(|section| !is_first(section.id)).collect()
    }
}

/// What differs under one caption; the values of a sheet have none.
struct Group<'a> {
    caption: &'a str,
    /// Each with its name under the caption.
    rows: Vec<(&'a str, &'a Difference)>,
    is_open: bool,
}

/// What may be compared.
struct Choice {
    value: String,
    words: String,
}

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Two {
    #[serde(default)]
    a: String,
    #[serde(default)]
    b: String,
}

/// `GET /compare?a=NAME&b=NAME@VERSION`; without both it asks for them.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Query(two): Query<Two>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let sides = if two.a.is_empty() || two.b.is_empty() {
        None
    } else {
        Some((Side::parse(&two.a)?, Side::parse(&two.b)?))
    };
    let address = format!(
        "/compare?a={}&b={}",
        crate::frame::in_address(&two.a),
        crate::frame::in_address(&two.b)
    );
    let shown = run_aside(move || {
        let choices = choices(&bench)?;
        let words = |side: &Side| {
            let value = side.to_string();
            let offered = choices.iter().find(|choice| choice.value == value);
            offered.map_or_else(|| side.words(), |choice| choice.words.clone())
        };
        let shown = match &sides {
            Some((a, b)) => Some(Shown {
                first: words(a),
                second: words(b),
                compared: compared(&bench, a, b, chosen)?,
            }),
            None => None,
        };
        Ok(ComparePage {
            frame: Frame::new("Side by side", chosen, &address),
            asked: (two.a, two.b),
            choices,
            shown,
        })
    })
    .await?;
    page(&shown)
}

/// Every loop, and the newest versions of each.
fn choices(bench: &Workbench) -> Result<Vec<Choice>, Refusal> {
    const VERSIONS_OFFERED: usize = 20;
    let mut choices = Vec::new();
    for listed in bench.folder.list()?.loops {
        let now = Side {
            name: listed.name.clone(),
            version: None,
        };
        choices.push(Choice {
            value: now.to_string(),
            words: now.words(),
        });
        for version in bench
            .folder
            .versions(&listed.name)?
            .into_iter()
            .take(VERSIONS_OFFERED)
        {
            let side = Side {
                name: listed.name.clone(),
                version: Some(version.id.clone()),
            };
            choices.push(Choice {
                value: side.to_string(),
                words: format!(
                    "{}, until {}",
                    side.name,
                    LocalTime::of(version.replaced).words
                ),
            });
        }
    }
    Ok(choices)
}

#[cfg(test)]
#[path = "compare_tests.rs"]
mod tests;
