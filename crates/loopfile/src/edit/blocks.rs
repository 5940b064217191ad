//! Blocks of repeated sections, and sections, added and taken away as whole lines.

use super::EditError;
use super::change::spliced;
use super::layout::{Kind, Layout, line_end};
use super::path::block_path;
use super::values::{Block, Values, values};
use crate::keys::{SECTIONS, Section, section as section_of};

/// The text with a new, empty block behind the last of its section, or with a section that was not there, where its
/// order says.
///
/// # Errors
/// [`EditError`]; [`EditError::AlreadyThere`] for a section that may be there once.
pub fn add_block(text: &str, section: &str) -> Result<String, EditError> {
    let section = known(section)?;
    let before = values(text)?;
    let layout = Layout::of(text);
    let headers = layout.headers(section.name);
    if !section.repeated && !headers.is_empty() {
        return Err(EditError::AlreadyThere(section.name.to_owned()));
    }
    let place = match headers.last() {
        Some(last) => Some(layout.block_end(*last)),
        None => example_end(&layout, section).or_else(|| predecessor_end(&layout, section)),
    };
    let end = line_end(text);
    let header = if section.repeated {
        format!("[[{}]]{end}", section.name)
    } else {
        format!("[{}]{end}", section.name)
    };
    let (at, new) = match place {
        Some(line) => {
            let at = layout.start(line);
            let is_close = matches!(
                layout.lines.get(line).map(|line| &line.kind),
                Some(Kind::Header(_))
            );
            let blank = if is_close { "" } else { end };
            let opening = if text[..at].ends_with('\n') { "" } else { end };
            (at, format!("{opening}{blank}{header}"))
        }
        None => {
            let first = (0..layout.lines.len())
                .find(|index| matches!(layout.lines[*index].kind, Kind::Header(_)))
                .map_or(layout.lines.len(), |first| layout.remarks_above(first));
            let at = layout.start(first);
            let is_last = first == layout.lines.len();
            let opening = if is_last && !text.is_empty() && !text[..at].ends_with('\n') {
                end
            } else {
                ""
            };
            let blank = if is_last { "" } else { end };
            (at, format!("{opening}{header}{blank}"))
        }
    };
    let after = spliced(text, vec![(at..at, new)]);
    checked(&before, &after, section, |_| false)?;
    Ok(after)
}

/// The text without a block; `number` counts from 1 and is 1 for a section that is there once. Sections inside it go
/// with it; remarks above its header stay.
///
/// # Errors
/// [`EditError`]; [`EditError::InTextOnly`] for a block without a header of its own.
pub fn remove_block(text: &str, section: &str, number: usize) -> Result<String, EditError> {
    let section = known(section)?;
    let before = values(text)?;
    let path = || block_path(section, number);
    if !before
        .of_section(section.name)
        .any(|block| block.number == number)
    {
        return Err(EditError::NoBlock(path()));
    }
    let layout = Layout::of(text);
    let own = layout.headers(section.name);
    let own = number
        .checked_sub(1)
        .and_then(|index| own.get(index).copied());
    let inner = SECTIONS
        .iter()
        .filter(|inner| is_inside(inner, section))
        .flat_map(|inner| layout.headers(inner.name));
    let splices: Vec<_> = own
        .into_iter()
        .chain(inner)
        .map(|header| {
            let is_after_blank = header > 0 && layout.lines[header - 1].kind == Kind::Blank;
            let first = if is_after_blank { header - 1 } else { header };
            let span = layout.start(first)..layout.start(layout.block_end(header));
            (span, String::new())
        })
        .collect();
    let after = spliced(text, splices);
    checked(&before, &after, section, |block| {
        is_inside(block.section, section)
            || (block.section.name == section.name && block.number == number)
    })
    .map_err(|_| EditError::InTextOnly(path()))?;
    Ok(after)
}

fn known(section: &str) -> Result<&'static Section, EditError> {
    section_of(section).ok_or_else(|| EditError::Unknown(section.chars().take(80).collect()))
}

fn is_inside(inner: &Section, outer: &Section) -> bool {
    inner
        .name
        .strip_prefix(outer.name)
        .is_some_and(|rest| rest.starts_with('.'))
}

/// Behind the remarks that show how this section would be written, `#[line]` and what follows it.
fn example_end(layout: &Layout<'_>, section: &Section) -> Option<usize> {
    let is_example = |index: usize| {
        let line = &layout.text[layout.lines[index].span.clone()];
        line.trim()
            .strip_prefix('#')
            .map(|rest| rest.trim().trim_start_matches('['))
            .and_then(|rest| rest.strip_prefix(section.name))
            .is_some_and(|rest| rest.starts_with(']'))
            && line.contains('[')
    };
    let is_remark = |index: &usize| layout.lines[*index].kind == Kind::Remark;
    let last = (0..layout.lines.len())
        .rev()
        .find(|index| is_remark(index) && is_example(*index))?;
    (last..layout.lines.len())
        .find(|index| !is_remark(index))
        .or(Some(layout.lines.len()))
}

/// Behind the last block of the section that is nearest before this one.
fn predecessor_end(layout: &Layout<'_>, section: &Section) -> Option<usize> {
    SECTIONS
        .iter()
        .rev()
        .skip_while(|other| other.name != section.name)
        .skip(1)
        .find_map(|other| layout.headers(other.name).last().copied())
        .map(|header| layout.block_end(header))
}

/// Refuses a change that touched any other block.
fn checked(
    before: &Values,
    after: &str,
    section: &Section,
    is_gone: impl Fn(&Block) -> bool,
) -> Result<(), EditError> {
    let refused = || EditError::InTextOnly(section.name.to_owned());
    let after = values(after).map_err(|_| refused())?;
    let said = |block: &Block| {
        let keys: Vec<_> = block
            .keys
            .iter()
            .filter(|standing| standing.text.is_some())
            .map(|standing| {
                (
                    standing.key.path,
                    standing.text.clone(),
                    standing.is_invented,
                    standing.remark.clone(),
                )
            })
            .collect();
        (!keys.is_empty()).then_some(keys)
    };
    let kept: Vec<_> = before
        .blocks
        .iter()
        .filter(|block| !is_gone(block))
        .filter_map(said)
        .collect();
    let are: Vec<_> = after.blocks.iter().filter_map(said).collect();
    if kept == are { Ok(()) } else { Err(refused()) }
}
