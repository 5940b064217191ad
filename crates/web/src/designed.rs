//! A text and what it makes: a loop with its sheets, or problems.

use halfglass_core::description::Loop;
use halfglass_core::design::{Sheets, design};
use halfglass_core::finding::Severity;
use halfglass_loopfile::Problem;

/// What a loop file's text makes.
#[derive(Debug)]
pub(crate) enum Designed {
    /// A loop and its sheets.
    Sheets(Box<(Loop, Sheets)>),
    /// The text has problems: there is no loop.
    Problems(Vec<Problem>),
    /// A loop whose sheets cannot be computed, with the reason.
    NoSheets(Box<Loop>, String),
}

impl Designed {
    /// Reads and computes.
    pub(crate) fn of(bytes: &[u8]) -> Self {
        match halfglass_loopfile::read(bytes) {
            Err(problems) => Designed::Problems(problems),
            Ok(described) => match design(&described) {
                Ok(sheets) => Designed::Sheets(Box::new((described, sheets))),
                Err(error) => Designed::NoSheets(Box::new(described), error.to_string()),
            },
        }
    }

    /// The loop, where the text makes one.
    pub(crate) fn described(&self) -> Option<&Loop> {
        match self {
            Designed::Sheets(both) => Some(&both.0),
            Designed::NoSheets(described, _) => Some(described),
            Designed::Problems(_) => None,
        }
    }

    /// Loop and sheets.
    pub(crate) fn sheets(&self) -> Option<(&Loop, &Sheets)> {
        match self {
            Designed::Sheets(both) => Some((&both.0, &both.1)),
            _ => None,
        }
    }

    /// Problems of the text.
    pub(crate) fn problems(&self) -> &[Problem] {
        match self {
            Designed::Problems(problems) => problems,
            _ => &[],
        }
    }

    /// How many findings of a severity stand.
    pub(crate) fn count(&self, severity: Severity) -> usize {
        self.sheets().map_or(0, |(_, sheets)| {
            sheets
                .findings
                .iter()
                .filter(|finding| finding.severity == severity)
                .count()
        })
    }
}
