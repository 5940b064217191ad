//! A test on the plant: a record uploaded or typed, what it shows, and its process taken into the loop file with its date.
//!
//! Nothing is kept on the server between looking and accepting: the record travels in the page, and what is accepted is fitted
//! anew from it, against the very text of the loop file that was looked at.

use std::sync::Arc;

use askama::Template;
use axum::extract::multipart::MultipartRejection;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_core::description::{Loop, PlantTest};
use halfglass_core::design::Sheets;
use halfglass_core::identify::sheet::{TestError, TestSheet, test_sheet};
use halfglass_loopfile::edit::set_measured;
use halfglass_loopfile::{
    AskedColumns, LARGEST_RECORD_BYTES, Taken, Trend, line_and_column, read_trend,
};
use halfglass_report::block::Block;
use halfglass_report::cautions;
use halfglass_report::sections::{cannot_tell_remedy, measured_words, plant_test};
use jiff::civil::Date;

use super::draft::{Kept, not_made, save};
use super::edit::{After, text_of};
use super::upload::{LARGEST_FIELD_BYTES, Unread, at_most, kept, kept_bytes, words};
use crate::blocks::DrawnSheet;
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Opened, Workbench, run_aside};

/// How a record was taken: its word in the form, and what a person reads.
const HOW: [(&str, &str); 3] = [
    ("bump", "Bump test, logged: a CSV file"),
    ("relay", "Relay test, logged: a CSV file"),
    ("readings", "Bump test, noted by hand"),
];

/// Options of the terminal that are fields of this page.
const FIELDS_OF_OPTIONS: [(&str, &str); 5] = [
    ("--time-column", "“Column of time”"),
    ("--level-column", "“Column of level”"),
    ("--output-column", "“Column of output”"),
    ("--relay", "“Relay test”"),
    ("--bump", "“Bump test”"),
];

/// What the form brought.
#[derive(Debug, Default, PartialEq, Eq)]
struct Brought {
    how: String,
    /// A file chosen now or kept from the last try, with its name.
    file: Option<(String, Vec<u8>)>,
    /// Typed readings.
    readings: String,
    time_column: String,
    level_column: String,
    output_column: String,
    duty: String,
    date: String,
    revision: String,
    is_accepted: bool,
}

impl Brought {
    async fn read(mut form: Multipart) -> Result<Self, Refusal> {
        let mut brought = Self::default();
        let (mut chosen, mut kept, mut kept_name) = (None, None, String::new());
        while let Some(field) = form
            .next_field()
            .await
            .map_err(|error| refused(Unread::Form(error.status())))?
        {
            let name = field.name().unwrap_or_default().to_owned();
            let short = match name.as_str() {
                "record" => {
                    let file_name = field.file_name().unwrap_or_default().to_owned();
                    let bytes = at_most(field, LARGEST_RECORD_BYTES).await;
                    let bytes = bytes.map_err(refused)?;
                    // A form without a chosen file sends an empty one without a name.
                    if !file_name.is_empty() || !bytes.is_empty() {
                        chosen = Some((file_name, bytes));
                    }
                    continue;
                }
                "kept" => {
                    let bytes = at_most(field, 3 * LARGEST_RECORD_BYTES).await;
                    kept = Some(kept_bytes(&bytes.map_err(refused)?));
                    continue;
                }
                "readings" => {
                    let bytes = at_most(field, LARGEST_RECORD_BYTES).await;
                    let bytes = bytes.map_err(refused)?;
                    brought.readings = String::from_utf8_lossy(&bytes).into_owned();
                    continue;
                }
                "kept-name" => &mut kept_name,
                "how" => &mut brought.how,
                "time-column" => &mut brought.time_column,
                "level-column" => &mut brought.level_column,
                "output-column" => &mut brought.output_column,
                "duty" => &mut brought.duty,
                "date" => &mut brought.date,
                "revision" => &mut brought.revision,
                "act" => {
                    brought.is_accepted = words(field).await.map_err(refused)? == "accept";
                    continue;
                }
                _ => {
                    at_most(field, LARGEST_FIELD_BYTES).await.map_err(refused)?;
                    continue;
                }
            };
            words(field)
                .await
                .map_err(refused)?
                .trim()
                .clone_into(short);
        }
        brought.file = chosen.or(kept.map(|bytes| (kept_name, bytes)));
        Ok(brought)
    }

    fn is_how(&self, how: &str) -> bool {
        self.how == how
    }

    fn is_duty(&self, duty: &str) -> bool {
        self.duty == duty
    }

    fn taken(&self) -> (Taken, PlantTest) {
        match self.how.as_str() {
            "relay" => (Taken::Trend, PlantTest::Relay),
            "readings" => (Taken::Readings, PlantTest::Bump),
            _ => (Taken::Trend, PlantTest::Bump),
        }
    }

    /// The record's bytes: typed readings before a file where they are what was asked for.
    fn bytes(&self) -> Option<&[u8]> {
        let file = self.file.as_ref().map(|(_, bytes)| bytes.as_slice());
        let is_typed = self.how == "readings" && !self.readings.trim().is_empty();
        if is_typed {
            Some(self.readings.as_bytes())
        } else {
            file
        }
    }

    fn columns(&self) -> AskedColumns {
        let asked = |name: &str| (!name.is_empty()).then(|| name.to_owned());
        AskedColumns {
            time: asked(&self.time_column),
            level: asked(&self.level_column),
            output: asked(&self.output_column),
        }
    }
}

/// What is wrong with a record.
#[derive(Debug, PartialEq, Eq)]
struct Wrong {
    /// `Line 3, column 7`; empty where it is the whole record.
    place: String,
    message: String,
    help: String,
}

/// A record as it was fitted.
struct Fitted {
    trend: Trend,
    sheet: TestSheet,
}

struct Shown {
    svg: String,
    sheet: DrawnSheet,
    record_words: String,
    columns: String,
    is_usable: bool,
    /// The record, kept for its acceptance.
    kept: String,
    duty: String,
}

#[derive(Template)]
#[template(path = "plant_test.html")]
struct PlantTestPage {
    frame: Frame,
    brought: Brought,
    /// Name of the file that is kept in the page, and its bytes.
    kept_file: Option<(String, String)>,
    duties: Vec<String>,
    /// The test that the loop file holds, in words; empty for none.
    standing: String,
    manual_first: &'static str,
    wrong: Vec<Wrong>,
    refusal: Option<Refusal>,
    is_done: bool,
    shown: Option<Shown>,
    revision: String,
}

impl PlantTestPage {
    fn of(opened: &Opened, brought: Brought, chosen: Preferences) -> Result<Self, Refusal> {
        let (described, sheets) = opened.sheets()?;
        Ok(Self {
            frame: Frame::of_loop(&opened.name, "Test on the plant", "test", chosen),
            kept_file: brought
                .file
                .as_ref()
                .map(|(name, bytes)| (name.clone(), kept(bytes))),
            brought,
            duties: (described.duties.iter())
                .map(|duty| duty.name.clone())
                .collect(),
            standing: (sheets.tuning.measured.as_ref()).map_or_else(String::new, measured_words),
            manual_first: cautions::manual_first(described.vessel.kind, described.glass.is_some()),
            wrong: Vec::new(),
            refusal: None,
            is_done: false,
            shown: None,
            revision: opened.stored.revision.to_string(),
        })
    }

    fn answer(self) -> Result<Response, Refusal> {
        let status = match &self.refusal {
            Some(refusal) => refusal.status,
            None if !self.wrong.is_empty() => StatusCode::UNPROCESSABLE_ENTITY,
            None => StatusCode::OK,
        };
        Ok((status, page(&self)?).into_response())
    }
}

/// `GET /loops/{name}/test`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(after): Query<After>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    let mut page = PlantTestPage::of(&opened, Brought::default(), chosen)?;
    page.is_done = after.after == "accept" && !page.standing.is_empty();
    page.answer()
}

/// `POST /loops/{name}/test`: what the record shows; with `act=accept` its process goes into the file.
pub(crate) async fn judge(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Response, Refusal> {
    let form = form.map_err(|rejection| refused(Unread::Form(rejection.status())))?;
    let brought = Brought::read(form).await;
    let opened = bench.open(&name).await?;
    run_aside(move || match brought {
        Ok(brought) => judged(&bench, &opened, brought, chosen),
        Err(refusal) => {
            let mut page = PlantTestPage::of(&opened, Brought::default(), chosen)?;
            page.refusal = Some(refusal);
            page.answer()
        }
    })
    .await
}

fn judged(
    bench: &Arc<Workbench>,
    opened: &Opened,
    brought: Brought,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let (described, sheets) = opened.sheets()?;
    let fitted = fitted(described, sheets, &brought);
    let mut page = PlantTestPage::of(opened, brought, chosen)?;
    let fitted = match fitted {
        Ok(fitted) => fitted,
        Err(wrong) => {
            page.wrong = wrong;
            return page.answer();
        }
    };
    if page.brought.is_accepted {
        match accept(bench, opened, &fitted.sheet, &page.brought) {
            Ok(()) => {
                let address = format!("{}/test?after=accept", loop_address(&opened.name));
                return Ok(Redirect::to(&address).into_response());
            }
            Err(refusal) => page.refusal = Some(refusal),
        }
    }
    if page.brought.date.is_empty() {
        // A record that is dated says when the test was made.
        let day = fitted.trend.first_time.get(..10).unwrap_or_default();
        if is_date(day) {
            page.brought.date = day.to_owned();
        }
    }
    let units = chosen.units_of(described);
    page.shown = Some(Shown {
        svg: halfglass_figure::plant_test(described, &fitted.trend.record, &fitted.sheet),
        sheet: DrawnSheet::of(
            &plant_test(described, &fitted.sheet, &units),
            &opened.name,
            (described, sheets),
            &units,
        ),
        record_words: fitted.trend.taken_words(),
        columns: fitted.trend.columns.join(", "),
        is_usable: fitted.sheet.usable(),
        kept: kept(page.brought.bytes().unwrap_or_default()),
        duty: fitted.sheet.measured.duty.clone(),
    });
    page.answer()
}

/// Reads and fits the record.
fn fitted(described: &Loop, sheets: &Sheets, brought: &Brought) -> Result<Fitted, Vec<Wrong>> {
    let wrong = |message: String, help: &str| {
        vec![Wrong {
            place: String::new(),
            message,
            help: on_page(help),
        }]
    };
    let Some(bytes) = brought.bytes() else {
        let help = "Choose a file, or say that it was noted by hand and type the readings.";
        return Err(wrong("no record is given".into(), help));
    };
    let (taken, test) = brought.taken();
    let trend = read_trend(bytes, taken, &brought.columns()).map_err(|problems| {
        let told = problems.into_iter().map(|problem| {
            let span = &problem.primary.span;
            let (line, column) = line_and_column(bytes, span.start);
            Wrong {
                place: if span.is_empty() {
                    String::new()
                } else {
                    format!("Line {line}, column {column}: ")
                },
                message: problem.message,
                help: on_page(&problem.help.unwrap_or_default()),
            }
        });
        told.collect::<Vec<_>>()
    })?;
    let duty = (!brought.duty.is_empty()).then_some(brought.duty.as_str());
    let date = if brought.date.is_empty() {
        "not dated"
    } else {
        brought.date.as_str()
    };
    match test_sheet(described, sheets, &trend.record, test, duty, date) {
        Ok(sheet) => Ok(Fitted { trend, sheet }),
        Err(TestError::CannotTell(why)) => Err(wrong(
            format!("the record cannot tell: {why}"),
            cannot_tell_remedy(why),
        )),
        Err(error @ (TestError::Duty(_) | TestError::DutyUnknown)) => Err(wrong(
            error.to_string(),
            "say under “Duty point” which one it was made at",
        )),
        Err(error) => Err(wrong(error.to_string(), "")),
    }
}

/// A way out in the words of this page instead of the terminal's.
fn on_page(help: &str) -> String {
    FIELDS_OF_OPTIONS
        .iter()
        .fold(help.to_owned(), |help, (option, field)| {
            help.replace(option, field)
        })
}

/// Writes the process into the file that was looked at, every other byte as it was.
fn accept(
    bench: &Arc<Workbench>,
    opened: &Opened,
    sheet: &TestSheet,
    brought: &Brought,
) -> Result<(), Refusal> {
    if !is_date(&brought.date) {
        return Err(Refusal::bad(
            "date",
            "the date of the test is missing, or is none",
            "Give it as year, month and day: 2026-11-27.",
        ));
    }
    if !sheet.usable() {
        return Err(Refusal::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not-usable",
            "the test is not taken into the file",
            "See below what is in doubt, and test again.",
        ));
    }
    let text = text_of(&opened.stored)?;
    let after = set_measured(&text, &sheet.measured).map_err(|error| not_made(&error))?;
    // Sent twice, as after a lost answer: it stands there already.
    if after == text {
        return Ok(());
    }
    let changed = || {
        Refusal::new(
            StatusCode::CONFLICT,
            "changed-on-disk",
            "the loop file has changed since this was computed, and nothing was written",
            "What is shown below is computed from the file as it is now: look again, then accept. The record is kept in this page.",
        )
    };
    if opened.stored.revision.to_string() != brought.revision {
        return Err(changed());
    }
    match save(bench, &opened.name, &after, &opened.stored.revision)? {
        Kept::Whole => Ok(()),
        Kept::Conflict(_) => Err(changed()),
    }
}

fn is_date(text: &str) -> bool {
    text.len() == 10 && text.parse::<Date>().is_ok()
}

fn refused(unread: Unread) -> Refusal {
    match unread {
        Unread::TooLarge(bytes) => Refusal::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "too-large",
            format!("the record has {bytes} bytes, and {LARGEST_RECORD_BYTES} are the most"),
            "Export the minutes of the test alone, or every few seconds.",
        ),
        Unread::Form(status) if status == StatusCode::PAYLOAD_TOO_LARGE => Refusal::new(
            status,
            "too-large",
            format!("the record is far larger than {LARGEST_RECORD_BYTES} bytes"),
            "Export the minutes of the test alone, or every few seconds.",
        ),
        Unread::Form(status) => Refusal::new(
            status,
            "form",
            "the form that was sent cannot be read",
            "Load the page again and send it from there.",
        ),
    }
}

#[cfg(test)]
#[path = "plant_test_tests.rs"]
mod tests;
