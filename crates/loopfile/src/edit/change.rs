//! One key changed: its value, its line, its mark.

use std::collections::BTreeMap;
use std::ops::Range;

use super::EditError;
use super::blocks::add_block;
use super::layout::{Kind as LineKind, Layout, line_end};
use super::path::{Place, block_path};
use super::value_text::{Items, lines, literal, quoted_as};
use super::values::{Standing, Values, values};
use crate::keys::{Kind, Section};
use crate::placeholders::{Marks, without_mark};

/// Bytes and what stands there instead.
type Splice = (Range<usize>, String);

/// The text with a key set to what was typed, without quotes; a list by lines. An absent key is added behind its
/// neighbours, an absent section where its order says. A changed value is no invented example any more and loses its
/// mark; a value set to itself changes nothing.
///
/// # Errors
/// [`EditError`]; [`EditError::NoBlock`] for a block further on than the next new one.
pub fn set(text: &str, path: &str, typed: &str) -> Result<String, EditError> {
    let place = Place::of(path)?;
    let before = values(text)?;
    let Some(standing) = before.get(path) else {
        return add_key(
            &add_missing_block(text, &before, &place)?,
            path,
            &place,
            typed,
        );
    };
    let (Some(shown), Some(span)) = (&standing.text, &standing.span) else {
        let text = add_missing_block(text, &before, &place)?;
        return add_key(&text, path, &place, typed);
    };
    if *shown == typed || *shown == typed.replace("\r\n", "\n") {
        return Ok(text.to_owned());
    }
    let mut splices = value_splices(text, path, standing, span, typed)?;
    splices.extend(mark_splice(text, &before, standing));
    let after = spliced(text, splices);
    checked(&before, &after, path, true)?;
    Ok(after)
}

/// The text with a key's line taken away. An absent key changes nothing.
///
/// # Errors
/// [`EditError`]; [`EditError::InTextOnly`] for a key that does not stand on a line of its own.
pub fn remove(text: &str, path: &str) -> Result<String, EditError> {
    let place = Place::of(path)?;
    let before = values(text)?;
    let Some(at) = before
        .get(path)
        .and_then(|standing| standing.key_span.clone())
    else {
        return Ok(text.to_owned());
    };
    let layout = Layout::of(text);
    let line = layout
        .line_of(at.start)
        .map(|line| &layout.lines[line])
        .filter(|line| matches!(&line.kind, LineKind::Entry(name) if name == place.key.name()))
        .ok_or_else(|| EditError::InTextOnly(path.to_owned()))?;
    let after = spliced(text, vec![(line.span.clone(), String::new())]);
    checked(&before, &after, path, false)?;
    Ok(after)
}

/// The text with a value's mark of an invented example taken away: the value was looked up and holds.
///
/// # Errors
/// [`EditError`]; [`EditError::InTextOnly`] where the mark is one of several values.
pub fn confirm(text: &str, path: &str) -> Result<String, EditError> {
    Place::of(path)?;
    let before = values(text)?;
    let standing = before
        .get(path)
        .filter(|standing| standing.text.is_some())
        .ok_or_else(|| EditError::NoBlock(path.to_owned()))?;
    if !standing.is_invented {
        return Ok(text.to_owned());
    }
    let splice = mark_splice(text, &before, standing)
        .ok_or_else(|| EditError::InTextOnly(path.to_owned()))?;
    let after = spliced(text, vec![splice]);
    checked(&before, &after, path, true)?;
    Ok(after)
}

fn value_splices(
    text: &str,
    path: &str,
    standing: &Standing,
    span: &Range<usize>,
    typed: &str,
) -> Result<Vec<Splice>, EditError> {
    let kind = standing.key.kind;
    if let (true, Some(items)) = (kind.is_list(), &standing.items) {
        return list_splices(text, path, kind, items, span, typed);
    }
    let before = text.get(span.clone()).unwrap_or_default();
    let literal = match kind {
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => literal(kind, typed),
        kind if kind.is_list() => literal(kind, typed),
        _ => quoted_as(typed.trim(), before),
    };
    Ok(vec![(span.clone(), literal)])
}

/// A list changes item by item, so that what stands between its items stays.
fn list_splices(
    text: &str,
    path: &str,
    kind: Kind,
    items: &Items,
    span: &Range<usize>,
    typed: &str,
) -> Result<Vec<Splice>, EditError> {
    let wanted = lines(kind, typed);
    let mut splices: Vec<Splice> = Vec::new();
    for (index, (wanted, present)) in wanted.iter().zip(&items.texts).enumerate() {
        if wanted != present {
            let place = items.spans[index].clone();
            let literal = quoted_as(wanted, &text[place.clone()]);
            splices.push((place, literal));
        }
    }
    let (had, has) = (items.texts.len(), wanted.len());
    let Some(last) = items.spans.last() else {
        return Ok(vec![(span.clone(), literal(kind, typed))]);
    };
    if has > had {
        let new = wanted[had..].iter().map(|item| quoted_as(item, ""));
        splices.extend(appended(text, last, span, &new.collect::<Vec<_>>()));
    } else if has < had {
        let gone = match has.checked_sub(1) {
            Some(kept) => items.spans[kept].end..last.end,
            None => span.start + 1..last.end,
        };
        let mut between = text[gone.clone()].to_owned();
        for place in items.spans[has..].iter().rev() {
            between.replace_range(place.start - gone.start..place.end - gone.start, "");
        }
        // A remark between items may be about any of them.
        if between.contains('#') {
            return Err(EditError::InTextOnly(path.to_owned()));
        }
        splices.push((gone, String::new()));
        if has == 0 {
            return Ok(vec![(span.clone(), "[]".to_owned())]);
        }
    }
    Ok(splices)
}

/// New items behind the last: on lines of their own where the last one has its own line.
fn appended(text: &str, last: &Range<usize>, list: &Range<usize>, new: &[String]) -> Vec<Splice> {
    let line_ends = text[last.end..].find('\n').map(|length| last.end + length);
    let Some(newline) = line_ends.filter(|newline| *newline < list.end) else {
        return vec![(last.end..last.end, format!(", {}", new.join(", ")))];
    };
    let end = if text[..newline].ends_with('\r') {
        newline - 1
    } else {
        newline
    };
    let line = text[..last.start].rfind('\n').map_or(0, |at| at + 1);
    let before = &text[line..last.start];
    let indent = &before[..before.len() - before.trim_start().len()];
    let has_comma = text[last.end..end].trim_start().starts_with(',');
    let mut splices = Vec::new();
    if !has_comma {
        splices.push((last.end..last.end, ",".to_owned()));
    }
    let new: Vec<_> = new
        .iter()
        .map(|item| format!("{}{indent}{item}", line_end(text)))
        .collect();
    let mut new = new.join(",");
    if has_comma {
        new.push(',');
    }
    splices.push((end..end, new));
    splices
}

/// Takes the mark of an invented example away, unless it is also that of another value.
fn mark_splice(text: &str, all: &Values, standing: &Standing) -> Option<Splice> {
    let marks = Marks::of(text);
    let mark = marks.at(standing.span.as_ref()?)?;
    let is_shared = all.standing().any(|other| {
        other.path != standing.path
            && other
                .span
                .as_ref()
                .is_some_and(|span| marks.at(span) == Some(mark))
    });
    if is_shared {
        return None;
    }
    let line = text[mark..].split('\n').next()?;
    let end = mark + line.trim_end().len();
    let left = without_mark(&text[mark..end]);
    let start = if left.is_empty() {
        text[..mark].trim_end_matches([' ', '\t']).len()
    } else {
        mark
    };
    Some((start..end, left))
}

fn add_missing_block(text: &str, before: &Values, place: &Place) -> Result<String, EditError> {
    let section = place.section;
    let count = before.of_section(section.name).count();
    if place.block <= count && has_header(text, section, place.block) {
        Ok(text.to_owned())
    } else if place.block == count + 1
        || (count == 1 && !section.repeated && !is_inline(before, section, text))
    {
        add_block(text, section.name)
    } else if place.block <= count {
        Err(EditError::InTextOnly(block_path(section, place.block)))
    } else {
        Err(EditError::NoBlock(block_path(section, place.block)))
    }
}

fn has_header(text: &str, section: &Section, block: usize) -> bool {
    Layout::of(text).headers(section.name).len() >= block
}

/// True for a section that has keys and no header: it is written on one line, or with dotted keys.
fn is_inline(values: &Values, section: &Section, text: &str) -> bool {
    let has_keys = values
        .of_section(section.name)
        .any(|block| block.keys.iter().any(|standing| standing.text.is_some()));
    has_keys && !has_header(text, section, 1)
}

/// A new line for a key that is absent from a block that has a header.
fn add_key(text: &str, path: &str, place: &Place, typed: &str) -> Result<String, EditError> {
    let before = values(text)?;
    let layout = Layout::of(text);
    let headers = layout.headers(place.section.name);
    let header = *headers
        .get(place.block - 1)
        .ok_or_else(|| EditError::InTextOnly(path.to_owned()))?;
    let order = |name: &str| place.section.keys.iter().position(|key| key.name() == name);
    let own = order(place.key.name());
    let inside = header + 1..layout.next_header(header);
    let example = (inside.start..layout.block_end(header))
        .find(|index| is_example(&text[layout.lines[*index].span.clone()], place.key.name()));
    let neighbour = inside.clone().rev().find(|index| {
        matches!(&layout.lines[*index].kind, LineKind::Entry(name) if order(name).is_some() && order(name) < own)
    });
    let after = example.or(neighbour).unwrap_or(header);
    let indent = inside
        .filter(|index| matches!(layout.lines[*index].kind, LineKind::Entry(_)))
        .map(|index| &text[layout.lines[index].span.clone()])
        .map(|line| &line[..line.len() - line.trim_start().len()])
        .next()
        .unwrap_or_default();
    let end = line_end(text);
    let at = layout.lines[after].span.end;
    let opening = if text[..at].ends_with('\n') { "" } else { end };
    let line = format!(
        "{opening}{indent}{} = {}{end}",
        place.key.name(),
        literal(place.key.kind, typed)
    );
    let after = spliced(text, vec![(at..at, line)]);
    checked(&before, &after, path, true)?;
    Ok(after)
}

/// True for a remark that shows how this key would be written: `#damping = "1 s"`.
fn is_example(line: &str, key: &str) -> bool {
    line.trim_start()
        .strip_prefix('#')
        .and_then(|rest| rest.trim_start().strip_prefix(key))
        .is_some_and(|rest| rest.trim_start().starts_with('='))
}

pub(super) fn spliced(text: &str, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|(place, _)| (place.start, place.end));
    let mut changed = text.to_owned();
    for (place, new) in splices.into_iter().rev() {
        changed.replace_range(place, &new);
    }
    changed
}

/// Value, mark and remark of a key.
type Said<'v> = (&'v Option<String>, bool, &'v Option<String>);

fn said<'v>(values: &'v Values, but: &str) -> BTreeMap<&'v str, Said<'v>> {
    values
        .standing()
        .filter(|standing| standing.text.is_some() && standing.path != but)
        .map(|standing| {
            let said = (&standing.text, standing.is_invented, &standing.remark);
            (standing.path.as_str(), said)
        })
        .collect()
}

/// Refuses a change that touched anything but its key.
fn checked(before: &Values, after: &str, path: &str, is_there: bool) -> Result<(), EditError> {
    let after = values(after).map_err(|_| EditError::InTextOnly(path.to_owned()))?;
    let stands = after
        .get(path)
        .is_some_and(|standing| standing.text.is_some());
    if stands == is_there && said(before, path) == said(&after, path) {
        Ok(())
    } else {
        Err(EditError::InTextOnly(path.to_owned()))
    }
}
