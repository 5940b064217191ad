//! What is wrong with a loop file: code, message, the places in the text, and the way out.
//!
//! Drawing is the terminal's and the page's business; here are only byte ranges into the bytes that were read.

use std::fmt;
use std::ops::Range;

/// A place in the file and what to say about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Bytes of the file, from the first byte (a byte order mark counts).
    pub span: Range<usize>,
    /// What to say at this place.
    pub text: String,
}

impl Label {
    /// A place and its words.
    pub fn new(span: Range<usize>, text: impl Into<String>) -> Self {
        Self {
            span,
            text: text.into(),
        }
    }
}

/// One problem: while there is any, there is no loop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Stable kebab-case code, for instance `unit-missing`.
    pub code: &'static str,
    /// What is wrong, one sentence without full stop.
    pub message: String,
    /// Where to look first.
    pub primary: Label,
    /// Other places that take part.
    pub secondary: Vec<Label>,
    /// What to do about it.
    pub help: Option<String>,
}

impl Problem {
    /// A problem at one place.
    pub fn new(code: &'static str, message: impl Into<String>, primary: Label) -> Self {
        Self {
            code,
            message: message.into(),
            primary,
            secondary: Vec::new(),
            help: None,
        }
    }

    /// The same with another place that takes part.
    pub fn and(mut self, label: Label) -> Self {
        self.secondary.push(label);
        self
    }

    /// The same with the way out.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error[{}]: {}", self.code, self.message)
    }
}

impl std::error::Error for Problem {}

/// A problem of these bytes as JSON: code, message, line and column, help, and the other places that take part.
pub fn problem_json(bytes: &[u8], problem: &Problem) -> serde_json::Value {
    let (line, column) = line_and_column(bytes, problem.primary.span.start);
    let others: Vec<serde_json::Value> = problem
        .secondary
        .iter()
        .map(|label| {
            let (line, column) = line_and_column(bytes, label.span.start);
            serde_json::json!({ "line": line, "column": column, "text": label.text })
        })
        .collect();
    serde_json::json!({
        "code": problem.code,
        "message": problem.message,
        "line": line,
        "column": column,
        "help": problem.help,
        "others": others,
    })
}

/// Line and column of a byte, both counted from 1, the column in characters. A byte order mark has no column.
pub fn line_and_column(bytes: &[u8], offset: usize) -> (usize, usize) {
    let before = &bytes[..offset.min(bytes.len())];
    let line = 1 + before.iter().filter(|&&byte| byte == b'\n').count();
    let start = before
        .iter()
        .rposition(|&byte| byte == b'\n')
        .map_or(0, |newline| newline + 1);
    let text = String::from_utf8_lossy(&before[start..]);
    (
        line,
        1 + text.trim_start_matches('\u{feff}').chars().count(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regression_line_and_column() {
        let bytes = "\u{feff}ab\r\ncdé = 1\n".as_bytes();
        assert_eq!(line_and_column(bytes, 3), (1, 1));
        assert_eq!(line_and_column(bytes, 7), (2, 1));
        // é is two bytes and one column.
        assert_eq!(line_and_column(bytes, 11), (2, 4));
        assert_eq!(line_and_column(bytes, 9_999), (3, 1));
    }
}
