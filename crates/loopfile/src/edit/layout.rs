//! The lines of a loop file: blank, remark, header, or a key with its value, which may take several.

use std::ops::Range;

use crate::text::end_of_string;

const BYTE_ORDER_MARK: &str = "\u{feff}";

/// What a line is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Kind {
    Blank,
    Remark,
    /// `[name]` or `[[name]]`; the name without quotes and blanks.
    Header(String),
    /// Key and value with all their lines; the key as written.
    Entry(String),
}

/// One of them, with its line end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) span: Range<usize>,
    pub(super) kind: Kind,
}

/// The lines of a text that is TOML.
#[derive(Debug)]
pub(super) struct Layout<'t> {
    pub(super) text: &'t str,
    pub(super) lines: Vec<Line>,
}

impl<'t> Layout<'t> {
    pub(super) fn of(text: &'t str) -> Self {
        let mut lines = Vec::new();
        let mut at = mark_bytes(text);
        while at < text.len() {
            let line = line_at(text, at);
            at = line.span.end;
            lines.push(line);
        }
        Self { text, lines }
    }

    /// Indexes of the headers of this name, in order.
    pub(super) fn headers(&self, name: &str) -> Vec<usize> {
        let is_it = |line: &Line| matches!(&line.kind, Kind::Header(found) if found == name);
        (0..self.lines.len())
            .filter(|index| is_it(&self.lines[*index]))
            .collect()
    }

    /// Index of the next header after this line, or the number of lines.
    pub(super) fn next_header(&self, after: usize) -> usize {
        (after + 1..self.lines.len())
            .find(|index| matches!(self.lines[*index].kind, Kind::Header(_)))
            .unwrap_or(self.lines.len())
    }

    /// Index after the last line that belongs to the block of this header: its keys and the remarks that follow them
    /// without a blank line, unless those lead straight to the next header, whose they are then.
    pub(super) fn block_end(&self, header: usize) -> usize {
        let next = self.next_header(header);
        let last = (header..next)
            .rev()
            .find(|index| !matches!(self.lines[*index].kind, Kind::Blank | Kind::Remark))
            .unwrap_or(header);
        let after = (last + 1..next)
            .find(|index| self.lines[*index].kind == Kind::Blank)
            .unwrap_or(next);
        if after == next && next < self.lines.len() {
            last + 1
        } else {
            after
        }
    }

    /// Index of the first of the remarks that stand straight above this header.
    pub(super) fn remarks_above(&self, header: usize) -> usize {
        (0..header)
            .rev()
            .take_while(|index| self.lines[*index].kind == Kind::Remark)
            .last()
            .unwrap_or(header)
    }

    /// Byte at which this line begins; the end of the text for the line after the last.
    pub(super) fn start(&self, line: usize) -> usize {
        self.lines
            .get(line)
            .map_or(self.text.len(), |line| line.span.start)
    }

    /// Index of the line that holds a byte.
    pub(super) fn line_of(&self, byte: usize) -> Option<usize> {
        let after = self.lines.partition_point(|line| line.span.start <= byte);
        after.checked_sub(1)
    }
}

/// Bytes of the byte order mark.
pub(super) fn mark_bytes(text: &str) -> usize {
    if text.starts_with(BYTE_ORDER_MARK) {
        BYTE_ORDER_MARK.len()
    } else {
        0
    }
}

/// The line end that the file uses first; a plain one where it has none.
pub(super) fn line_end(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

fn line_at(text: &str, start: usize) -> Line {
    let bytes = text.as_bytes();
    let (mut at, mut depth) = (start, 0_usize);
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'#' => {
                at = bytes[at..]
                    .iter()
                    .position(|&byte| byte == b'\n')
                    .map_or(bytes.len(), |length| at + length);
                continue;
            }
            b'"' | b'\'' => at = end_of_string(bytes, at),
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            b'\n' if depth == 0 => break,
            _ => {}
        }
        at += 1;
    }
    let span = start..(at + 1).min(text.len());
    let trimmed = text[span.clone()].trim();
    let kind = match trimmed.chars().next() {
        None => Kind::Blank,
        Some('#') => Kind::Remark,
        Some('[') => Kind::Header(header_name(trimmed)),
        Some(_) => Kind::Entry(bare(trimmed.split('=').next().unwrap_or_default())),
    };
    Line { span, kind }
}

fn header_name(line: &str) -> String {
    let name = line.trim_start_matches('[');
    name.split(']')
        .next()
        .unwrap_or_default()
        .split('.')
        .map(bare)
        .collect::<Vec<_>>()
        .join(".")
}

fn bare(name: &str) -> String {
    name.trim()
        .trim_matches(|quote| matches!(quote, '"' | '\''))
        .to_owned()
}
