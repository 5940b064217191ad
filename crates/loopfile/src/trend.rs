//! A record of a test from text: a trend as a plotter or a controller exports it, or readings noted with a stopwatch.
//!
//! ```text
//! bytes -> delimiter -> columns by name -> cells (time, level, output) -> Record, or every problem with its place
//! ```
//!
//! A trend has a head that names its columns. Noted readings may have none; then their columns are time, level, output, an output
//! is written in the row in which it changes, and that row's time is the step's own.

mod cells;
mod columns;

use std::ops::Range;

use csv::{ByteRecord, ReaderBuilder};
use halfglass_core::identify::Record;
use halfglass_core::identify::steps::OutputStep;

use crate::problem::{Label, Problem};
use cells::{Clock, level, percent};
pub use columns::AskedColumns;
use columns::{Columns, Scale, match_columns};

/// Largest record read, bytes: days of a test logged every few seconds.
pub const LARGEST_RECORD_BYTES: usize = crate::LARGEST_FILE_BYTES;

/// Problems told of one file: the rest is like them.
const MOST_PROBLEMS: usize = 8;

/// How a record was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// Logged: an output in every row, known to the time between two rows.
    Trend,
    /// Noted by hand: an output where it changes, at that row's own time.
    Readings,
}

/// A record and what it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// The record. Levels are INDICATED, percent of span.
    pub record: Record,
    /// Names of the columns of time, level, output, as the head has them.
    pub columns: [String; 3],
    /// Rows left out because their level is empty.
    pub left_out: usize,
    /// The first time as it is written.
    pub first_time: String,
}

impl Trend {
    /// `241 readings from 2026-11-27T10:00:00Z`, and how many rows were left out.
    pub fn taken_words(&self) -> String {
        let left_out = match self.left_out {
            0 => String::new(),
            1 => "; 1 row without a level left out".into(),
            many => format!("; {many} rows without a level left out"),
        };
        format!(
            "{} readings from {}{left_out}",
            self.record.readings(),
            self.first_time
        )
    }
}

/// A cell: its text and where it stands.
#[derive(Debug, Clone)]
struct Cell {
    text: String,
    span: Range<usize>,
}

/// Reads a record of a test.
///
/// # Errors
/// Problems with their places, the first few of many alike.
pub fn read_trend(bytes: &[u8], taken: Taken, asked: &AskedColumns) -> Result<Trend, Vec<Problem>> {
    if bytes.len() > LARGEST_RECORD_BYTES {
        return Err(vec![
            Problem::new(
                "record-too-large",
                format!(
                    "the record has more than {LARGEST_RECORD_BYTES} bytes, the most that are read"
                ),
                Label::new(0..0, "this record"),
            )
            .help("keep the hour of the test and its head, or fewer readings"),
        ]);
    }
    let rows = rows(bytes)?;
    let Some(first) = rows.first() else {
        return Err(vec![
            Problem::new(
                "record-empty",
                "the record is empty",
                Label::new(0..0, "nothing here"),
            )
            .help("a head that names the columns, then a row a reading: time, level, output"),
        ]);
    };
    let has_head = !(taken == Taken::Readings && cells::begins_with_number(&first[0].text));
    let columns = if has_head {
        match_columns(first, asked).map_err(|problem| vec![*problem])?
    } else {
        Columns::in_order()
    };
    let body = if has_head { &rows[1..] } else { &rows[..] };
    Body::read(body, first.len(), &columns, taken).and_then(|body| body.into_trend(columns, taken))
}

/// Rows of cells; empty rows and remarks (`#`) left out.
fn rows(bytes: &[u8]) -> Result<Vec<Vec<Cell>>, Vec<Problem>> {
    let mark = if bytes.starts_with(b"\xef\xbb\xbf") {
        3
    } else {
        0
    };
    if bytes.iter().take(4_000).any(|&byte| byte == 0) {
        return Err(vec![
            Problem::new(
                "record-not-text",
                "the record is no plain text, or is UTF-16",
                Label::new(0..0, "here"),
            )
            .help("export it as CSV, in UTF-8"),
        ]);
    }
    let text = &bytes[mark..];
    let delimiter = delimiter(text);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .delimiter(delimiter)
        .from_reader(text);
    let mut rows = Vec::new();
    let mut record = ByteRecord::new();
    loop {
        match reader.read_byte_record(&mut record) {
            Ok(false) => return Ok(rows),
            Ok(true) => {}
            Err(error) => {
                return Err(vec![Problem::new(
                    "record-not-text",
                    format!("the record cannot be read: {error}"),
                    Label::new(0..0, "here"),
                )]);
            }
        }
        let start = record
            .position()
            .map_or(0, |position| position.byte() as usize);
        // The place of a quoted cell is found by its text, from where the last one ended.
        let mut at = start;
        let cells: Vec<Cell> = record
            .iter()
            .map(|field| {
                let found = find(&text[at..], field).map_or(at, |offset| at + offset);
                at = found + field.len();
                Cell {
                    text: decoded(field).trim().to_owned(),
                    span: mark + found..mark + at,
                }
            })
            .collect();
        if cells.iter().any(|cell| !cell.text.is_empty()) {
            rows.push(cells);
        }
    }
}

fn find(text: &[u8], wanted: &[u8]) -> Option<usize> {
    if wanted.is_empty() {
        return Some(0);
    }
    text.windows(wanted.len()).position(|part| part == wanted)
}

/// UTF-8, or Latin-1 where it is none: every byte a character.
fn decoded(field: &[u8]) -> String {
    std::str::from_utf8(field).map_or_else(
        |_| field.iter().map(|&byte| char::from(byte)).collect(),
        str::to_owned,
    )
}

/// `;` or a tabulator where the first row that is no remark has one, else `,`.
fn delimiter(text: &[u8]) -> u8 {
    let head = text
        .split(|&byte| byte == b'\n')
        .find(|line| !line.trim_ascii().is_empty() && !line.starts_with(b"#"))
        .unwrap_or_default();
    [b';', b'\t']
        .into_iter()
        .find(|delimiter| head.contains(delimiter))
        .unwrap_or(b',')
}

/// The numbers of the rows.
#[derive(Default)]
struct Body {
    time_s: Vec<f64>,
    level_percent: Vec<f64>,
    /// An output a reading; the last one stands where a cell is empty.
    output_percent: Vec<f64>,
    /// Outputs where they are written, with their times.
    noted: Vec<OutputStep>,
    left_out: usize,
    first_time: String,
    /// Where the times stand.
    spans: Vec<Range<usize>>,
}

impl Body {
    fn read(
        rows: &[Vec<Cell>],
        width: usize,
        columns: &Columns,
        taken: Taken,
    ) -> Result<Self, Vec<Problem>> {
        let mut body = Self::default();
        let mut problems = Vec::new();
        let mut clock = Clock::new(columns.time_scale);
        for row in rows {
            if problems.len() >= MOST_PROBLEMS {
                break;
            }
            if let Err(problem) = body.take(row, width, columns, &mut clock, taken) {
                problems.push(*problem);
            }
        }
        if problems.is_empty() {
            Ok(body)
        } else {
            Err(problems)
        }
    }

    fn take(
        &mut self,
        row: &[Cell],
        width: usize,
        columns: &Columns,
        clock: &mut Clock,
        taken: Taken,
    ) -> Result<(), Box<Problem>> {
        if row.len() > width {
            return Err(Box::new(
                Problem::new(
                    "record-row-too-long",
                    format!("this row has {} cells, the first row {width}", row.len()),
                    Label::new(row[width].span.clone(), "one cell too many"),
                )
                .help("with decimal commas the cells stand apart by `;` or tabulators, not by `,`"),
            ));
        }
        let cell = |index: usize| row.get(index).filter(|cell| !cell.text.is_empty());
        let Some(time) = cell(columns.time) else {
            let span = row.first().map_or(0..0, |cell| cell.span.clone());
            return Err(Box::new(
                Problem::new(
                    "record-no-time",
                    "this row has no time",
                    Label::new(span, "here"),
                )
                .help("give its time, or take the row out"),
            ));
        };
        let time_s = clock.seconds(time)?;
        if self.first_time.is_empty() {
            self.first_time.clone_from(&time.text);
        }
        let output = cell(columns.output)
            .map(|cell| percent(cell, "output", columns.output_scale))
            .transpose()?;
        if let Some(output_percent) = output {
            self.noted.push(OutputStep {
                time_s,
                output_percent,
            });
        }
        let Some(shown) = cell(columns.level) else {
            // A row of a change alone has no level.
            if taken == Taken::Trend || output.is_none() {
                self.left_out += 1;
            }
            return Ok(());
        };
        let level_percent = level(shown, columns.level_scale)?;
        let Some(last) = self.noted.last() else {
            return Err(Box::new(
                Problem::new(
                    "record-no-output",
                    "no output is given up to this row",
                    Label::new(time.span.clone(), "this row"),
                )
                .help("write the output, percent, in the first row at least"),
            ));
        };
        self.output_percent.push(last.output_percent);
        self.time_s.push(time_s);
        self.level_percent.push(level_percent);
        self.spans.push(time.span.clone());
        Ok(())
    }

    fn into_trend(self, columns: Columns, taken: Taken) -> Result<Trend, Vec<Problem>> {
        if let Some(index) = self.time_s.windows(2).position(|pair| !(pair[1] > pair[0])) {
            return Err(vec![
                Problem::new(
                    "record-time-order",
                    "the time of this row is not later than that of the row before",
                    Label::new(self.spans[index + 1].clone(), "not later"),
                )
                .and(Label::new(self.spans[index].clone(), "than this"))
                .help("sort the rows by time, and take rows out that stand twice"),
            ]);
        }
        let record = match taken {
            Taken::Trend => Record::sampled(self.time_s, self.output_percent, self.level_percent),
            Taken::Readings => {
                let first_percent = self.noted.first().map_or(0.0, |step| step.output_percent);
                let mut steps: Vec<OutputStep> = Vec::new();
                for step in self.noted {
                    let before = steps
                        .last()
                        .map_or(first_percent, |step| step.output_percent);
                    if (step.output_percent - before).abs() > 0.0 {
                        steps.push(step);
                    }
                }
                Record::noted(self.time_s, self.level_percent, first_percent, steps)
            }
        }
        .map_err(|error| {
            vec![Problem::new(
                "record-unusable",
                error.to_string(),
                Label::new(0..0, "in this record"),
            )]
        })?;
        Ok(Trend {
            record,
            columns: columns.names,
            left_out: self.left_out,
            first_time: self.first_time,
        })
    }
}

#[cfg(test)]
#[path = "trend_tests.rs"]
mod tests;
