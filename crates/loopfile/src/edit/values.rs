//! Every key of a loop file with what stands in a text at its place.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::EditError;
use super::layout::mark_bytes;
use super::path::block_path;
use super::value_text::{Items, items, moved, shown};
use crate::keys::{Key, SECTIONS, Section};
use crate::placeholders::{Marks, without_mark};
use crate::read::parse;
use crate::text;

/// What a file says of one key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The key.
    pub key: &'static Key,
    /// Its path, blocks counted from 1.
    pub path: String,
    /// The value as a person reads it, lists by lines; `None` where the key is absent.
    pub text: Option<String>,
    /// Where the value stands, quotes and brackets with it, from the file's first byte.
    pub span: Option<Range<usize>>,
    /// Where the key stands.
    pub key_span: Option<Range<usize>>,
    /// Marked as an invented example.
    pub is_invented: bool,
    /// The remark behind the value, without its hash and without the mark of an invented example.
    pub remark: Option<String>,
    pub(super) items: Option<Items>,
}

/// One block of a section, or a section that is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// The section.
    pub section: &'static Section,
    /// Its path, `duty[2]` or `vessel`; of a repeated section that is not there, without number.
    pub path: String,
    /// Counted from 1; 0 when the section is not there.
    pub number: usize,
    /// Where its header stands.
    pub span: Option<Range<usize>>,
    /// Its keys, in the order in which they are written.
    pub keys: Vec<Standing>,
}

impl Block {
    /// True when it is in the file.
    pub const fn is_there(&self) -> bool {
        self.number > 0
    }
}

/// All of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Values {
    /// In the order in which sections are written; a section that is not there has one block.
    pub blocks: Vec<Block>,
}

impl Values {
    /// The key at a path.
    pub fn get(&self, path: &str) -> Option<&Standing> {
        self.standing().find(|standing| standing.path == path)
    }

    /// All keys of all blocks.
    pub fn standing(&self) -> impl Iterator<Item = &Standing> {
        self.blocks.iter().flat_map(|block| &block.keys)
    }

    /// Blocks of a section that are in the file.
    pub fn of_section(&self, section: &str) -> impl Iterator<Item = &Block> {
        self.blocks
            .iter()
            .filter(move |block| block.is_there() && block.section.name == section)
    }
}

/// Reads what stands at every key, also in a file that has problems.
///
/// # Errors
/// [`EditError::NotToml`] with the problems of a text that is no TOML, is too large, too deep or no UTF-8.
pub fn values(text: &str) -> Result<Values, EditError> {
    let (body, mark) = text::checked(text.as_bytes()).map_err(EditError::NotToml)?;
    debug_assert_eq!(mark, mark_bytes(text));
    let table = parse(body).map_err(EditError::NotToml)?;
    let marks = Marks::of(text);
    let file = File { text, mark, marks };
    let mut blocks = Vec::new();
    for section in SECTIONS {
        let found = tables(table.get_ref(), section, mark);
        if found.is_empty() {
            blocks.push(file.block(section, 0, None, None));
        }
        for (number, (inside, span)) in (1..).zip(found) {
            blocks.push(file.block(section, number, Some(inside), Some(span)));
        }
    }
    Ok(Values { blocks })
}

type Found<'a, 't> = Vec<(&'a DeTable<'t>, Range<usize>)>;

/// The tables of a section, also where its header has the wrong kind of brackets.
fn tables<'a, 't>(root: &'a DeTable<'t>, section: &Section, mark: usize) -> Found<'a, 't> {
    let mut inside = root;
    let mut names = section.name.split('.').peekable();
    while let Some(name) = names.next() {
        let Some(value) = inside.get(name) else {
            return Vec::new();
        };
        match value.get_ref() {
            DeValue::Table(table) if names.peek().is_some() => inside = table,
            DeValue::Table(table) => return vec![(table, moved(value, mark))],
            DeValue::Array(items) if names.peek().is_none() => {
                return items
                    .iter()
                    .filter_map(|item| Some((item.get_ref().as_table()?, moved(item, mark))))
                    .collect();
            }
            _ => return Vec::new(),
        }
    }
    Vec::new()
}

/// A text on its way to its values.
struct File<'t> {
    text: &'t str,
    /// Bytes of its byte order mark.
    mark: usize,
    marks: Marks,
}

impl File<'_> {
    fn block(
        &self,
        section: &'static Section,
        number: usize,
        inside: Option<&DeTable<'_>>,
        span: Option<Range<usize>>,
    ) -> Block {
        let path = if number == 0 {
            section.name.to_owned()
        } else {
            block_path(section, number)
        };
        let keys = section
            .keys
            .iter()
            .map(|key| self.standing(key, format!("{path}.{}", key.name()), inside))
            .collect();
        Block {
            section,
            path,
            number,
            span,
            keys,
        }
    }

    fn standing(&self, key: &'static Key, path: String, inside: Option<&DeTable<'_>>) -> Standing {
        let found = inside.and_then(|inside| inside.get_key_value(key.name()));
        let Some((name, value)) = found else {
            return Standing {
                key,
                path,
                text: None,
                span: None,
                key_span: None,
                is_invented: false,
                remark: None,
                items: None,
            };
        };
        let span = moved(value, self.mark);
        let written = self.text.get(span.clone()).unwrap_or_default();
        Standing {
            key,
            path,
            text: Some(shown(key.kind, value.get_ref(), written)),
            key_span: Some(moved(name, self.mark)),
            is_invented: self.marks.at(&span).is_some(),
            remark: remark_after(self.text, span.end)
                .map(|remark| without_mark(&self.text[remark]))
                .map(|remark| remark.trim_start_matches('#').trim().to_owned())
                .filter(|remark| !remark.is_empty()),
            items: items(value.get_ref(), self.mark),
            span: Some(span),
        }
    }
}

/// Where the remark stands that follows a value on its line, without line end.
pub(super) fn remark_after(text: &str, value_end: usize) -> Option<Range<usize>> {
    let rest = text.get(value_end..)?.split('\n').next()?;
    let remark = rest.trim_start();
    let start = value_end + rest.len() - remark.len();
    remark
        .starts_with('#')
        .then(|| start..start + remark.trim_end().len())
}
