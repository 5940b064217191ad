//! A value as a person reads and types it, without quotes, and as it stands in the file.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::keys::Kind;

/// How a list is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Items {
    /// What each item holds.
    pub(super) texts: Vec<String>,
    /// Where each item stands, from the file's first byte.
    pub(super) spans: Vec<Range<usize>>,
}

/// The value as a person reads it: a text without quotes, a list by lines. What the key's kind would write otherwise,
/// and what no line can hold, is shown as it is written.
pub(super) fn shown(kind: Kind, value: &DeValue<'_>, written: &str) -> String {
    let decoded = match value {
        DeValue::String(text) if !kind.is_list() => text.to_string(),
        DeValue::Array(items) if kind.is_list() => {
            let texts: Option<Vec<_>> = items
                .iter()
                .map(|item| match item.get_ref() {
                    DeValue::String(text) if !text.contains(['\n', '\r']) => Some(text.as_ref()),
                    _ => None,
                })
                .collect();
            match texts {
                Some(texts) => texts.join("\n"),
                None => return written.to_owned(),
            }
        }
        _ => return written.to_owned(),
    };
    if means(kind, &decoded, value) {
        decoded
    } else {
        written.to_owned()
    }
}

/// True when the text, typed, would be written as a value that means this one.
fn means(kind: Kind, typed: &str, value: &DeValue<'_>) -> bool {
    let literal = literal(kind, typed);
    let Ok(written) = DeValue::parse(&literal) else {
        return false;
    };
    match (written.get_ref(), value) {
        (DeValue::String(written), DeValue::String(value)) => written == value,
        (DeValue::Array(written), DeValue::Array(value)) => {
            written.len() == value.len()
                && written.iter().zip(value.iter()).all(|(one, other)| {
                    one.get_ref().as_str().is_some()
                        && one.get_ref().as_str() == other.get_ref().as_str()
                })
        }
        _ => false,
    }
}

/// The items of a list, where every one is a text.
pub(super) fn items(value: &DeValue<'_>, mark: usize) -> Option<Items> {
    let DeValue::Array(items) = value else {
        return None;
    };
    let mut found = Items {
        texts: Vec::new(),
        spans: Vec::new(),
    };
    for item in items.iter() {
        found.texts.push(item.get_ref().as_str()?.to_owned());
        found.spans.push(moved(item, mark));
    }
    Some(found)
}

/// Where something stands, from the file's first byte.
pub(super) fn moved<T>(spanned: &Spanned<T>, mark: usize) -> Range<usize> {
    let span = spanned.span();
    span.start + mark..span.end + mark
}

/// What was typed as the lines of a list. Empty lines are none, but a mark of a pair may be empty.
pub(super) fn lines(kind: Kind, typed: &str) -> Vec<String> {
    let typed = typed.replace("\r\n", "\n");
    let mut lines: Vec<_> = typed
        .split('\n')
        .map(|line| line.trim().to_owned())
        .collect();
    if kind == Kind::TextPair {
        while lines.len() > 2 && lines.last().is_some_and(String::is_empty) {
            lines.pop();
        }
    } else {
        lines.retain(|line| !line.is_empty());
    }
    lines
}

/// What was typed, as it is written in the file. What is no number or no `true` and `false` is written as text, which
/// the reader then reports at its place.
pub(super) fn literal(kind: Kind, typed: &str) -> String {
    match kind {
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => {
            let typed = typed.trim();
            let is_plain = typed
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '+' | '-' | '_'));
            let is_of_kind = is_plain
                && DeValue::parse(typed).is_ok_and(|value| {
                    matches!(
                        (kind, value.get_ref()),
                        (Kind::Bool, DeValue::Boolean(_))
                            | (
                                Kind::Integer(..) | Kind::Ratio,
                                DeValue::Integer(_) | DeValue::Float(_)
                            )
                    )
                });
            if is_of_kind {
                typed.to_owned()
            } else {
                quoted(typed)
            }
        }
        kind if kind.is_list() => {
            let items: Vec<_> = lines(kind, typed).iter().map(|line| quoted(line)).collect();
            format!("[{}]", items.join(", "))
        }
        _ => quoted(typed.trim()),
    }
}

/// A text in double quotes.
pub(super) fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(character);
            }
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            control if control.is_control() => {
                quoted.push_str(&format!("\\u{:04X}", u32::from(control)));
            }
            other => quoted.push(other),
        }
    }
    quoted.push('"');
    quoted
}

/// The same, in the kind of quotes that stood there where they can hold it.
pub(super) fn quoted_as(text: &str, before: &str) -> String {
    let is_plain = before.starts_with('\'') && !before.starts_with("'''");
    if is_plain && !text.contains('\'') && !text.contains(char::is_control) {
        format!("'{text}'")
    } else {
        quoted(text)
    }
}
