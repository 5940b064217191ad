//! The values of a loop file or a scenario file, each of its kind and with its place, before anything is made of them.
//!
//! Everything that [`crate::keys`] knows is checked here: names, kinds, units, signs, what must always be there.

use std::collections::BTreeMap;
use std::ops::Range;

use halfglass_core::description::UnitSystem;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::entry_value::read_value;
use crate::keys::{Catalog, Key, Kind, Need, Section};
use crate::near_miss::{unknown_at_top, unknown_key};
use crate::problem::{Label, Problem};
use crate::quantity_text::Quantity;

/// Most problems worth printing: a file with more is not a loop file.
const MOST_PROBLEMS: usize = 100;

/// A value of its kind.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value {
    Quantity(Quantity),
    /// The word `none` where a quantity may be none.
    NoQuantity,
    Word(&'static str),
    Text(String),
    Texts(Vec<String>),
    Quantities(Vec<Quantity>),
    Integer(i64),
    Ratio(f64),
    Bool(bool),
    /// There, but wrong; the problem is reported.
    Unreadable,
}

/// A value and its place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Entry {
    pub(crate) value: Value,
    /// As written, without quotes.
    pub(crate) text: String,
    pub(crate) span: Range<usize>,
}

/// All values by path; in repeated sections with the index, `duty[0].name`.
#[derive(Debug)]
pub(crate) struct Entries {
    /// What such a file may say.
    pub(crate) catalog: Catalog,
    values: BTreeMap<String, Entry>,
    sections: BTreeMap<String, Range<usize>>,
    counts: BTreeMap<&'static str, usize>,
    end: usize,
}

impl Entries {
    /// Walks the parsed text; returns what is there and all problems met.
    pub(crate) fn collect(
        catalog: Catalog,
        table: &DeTable<'_>,
        end: usize,
    ) -> (Self, Vec<Problem>) {
        let mut walk = Walk {
            entries: Self {
                catalog,
                values: BTreeMap::new(),
                sections: BTreeMap::new(),
                counts: BTreeMap::new(),
                end,
            },
            problems: Vec::new(),
            units: units_of(table),
        };
        walk.children("", "", table);
        for section in catalog.sections.iter().filter(|section| section.required) {
            if walk.entries.count(section.name) == 0 {
                walk.section_missing(section);
            }
        }
        let Walk {
            entries, problems, ..
        } = walk;
        (entries, problems)
    }

    /// The value at a path, also an unreadable one.
    pub(crate) fn get(&self, path: &str) -> Option<&Entry> {
        self.values.get(path)
    }

    /// Paths and places of all values.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &Range<usize>)> {
        self.values
            .iter()
            .map(|(path, entry)| (path.as_str(), &entry.span))
    }

    /// How often a section is there.
    pub(crate) fn count(&self, section: &str) -> usize {
        self.counts.get(section).copied().unwrap_or(0)
    }

    /// Where a section is, or else the end of the file.
    pub(crate) fn section_span(&self, prefix: &str) -> Range<usize> {
        self.sections
            .get(prefix)
            .cloned()
            .unwrap_or(self.end..self.end)
    }
}

/// The units a file asks for, for examples in help; SI while it does not say.
fn units_of(table: &DeTable<'_>) -> UnitSystem {
    let word = table
        .get("loop")
        .and_then(|section| section.get_ref().as_table())
        .and_then(|section| section.get("units"))
        .and_then(|units| units.get_ref().as_str());
    match word {
        Some("us") => UnitSystem::Us,
        _ => UnitSystem::Si,
    }
}

struct Walk {
    entries: Entries,
    problems: Vec<Problem>,
    units: UnitSystem,
}

impl Walk {
    fn is_full(&self) -> bool {
        self.problems.len() >= MOST_PROBLEMS
    }

    /// Keys of one table: `name` is the section's dotted name, `prefix` the same with indexes.
    fn children(&mut self, name: &str, prefix: &str, table: &DeTable<'_>) {
        let mut children: Vec<_> = table.iter().collect();
        children.sort_by_key(|(key, _)| key.span().start);
        for (key, value) in children {
            if self.is_full() {
                return;
            }
            let child = joined(name, key.get_ref());
            let path = joined(prefix, key.get_ref());
            if let Some(section) = self.entries.catalog.section(&child) {
                self.section(section, &path, key.span(), value);
            } else if let Some(known) = self.entries.catalog.key(&child) {
                self.value(known, path, value);
            } else if name.is_empty() {
                self.unknown_at_top(key, value, table);
            } else {
                self.unknown_key(name, prefix, key, value);
            }
        }
    }

    /// Reports the name; what was meant, if it is near, is then taken as there, so that it is not missing too.
    fn unknown_key(
        &mut self,
        section: &str,
        prefix: &str,
        key: &Spanned<DeString<'_>>,
        value: &Spanned<DeValue<'_>>,
    ) {
        let (problem, meant) = unknown_key(&self.entries.catalog, section, key);
        self.problems.push(problem);
        if let Some(meant) = meant {
            self.entries
                .values
                .entry(joined(prefix, meant))
                .or_insert_with(|| Entry {
                    value: Value::Unreadable,
                    text: as_written(value.get_ref()),
                    span: value.span(),
                });
        }
    }

    /// As for keys: a section of a nearly right name is read as the one that was meant.
    fn unknown_at_top(
        &mut self,
        key: &Spanned<DeString<'_>>,
        value: &Spanned<DeValue<'_>>,
        table: &DeTable<'_>,
    ) {
        let (problem, meant) = unknown_at_top(&self.entries.catalog, key, value);
        self.problems.push(problem);
        if let Some(section) = meant
            .filter(|meant| !table.contains_key(*meant))
            .and_then(|meant| self.entries.catalog.section(meant))
        {
            self.section(section, section.name, key.span(), value);
        }
    }

    fn section(
        &mut self,
        section: &'static Section,
        path: &str,
        key_span: Range<usize>,
        value: &Spanned<DeValue<'_>>,
    ) {
        match (section.repeated, value.get_ref()) {
            (false, DeValue::Table(table)) => {
                // A table made only by the header of its child has no place of its own.
                let span = if value.span().is_empty() {
                    key_span
                } else {
                    value.span()
                };
                self.table(section, path, span, table);
            }
            (true, DeValue::Array(items)) if items.iter().all(|item| item.get_ref().is_table()) => {
                if items.is_empty() {
                    self.entries.counts.insert(section.name, 0);
                }
                for (index, item) in items.iter().enumerate() {
                    if let (false, DeValue::Table(table)) = (self.is_full(), item.get_ref()) {
                        self.table(section, &format!("{path}[{index}]"), item.span(), table);
                    }
                }
            }
            (repeated, _) => {
                // Counted as there, so that it is not reported as missing too.
                *self.entries.counts.entry(section.name).or_default() += 1;
                let name = section.name;
                let header = if repeated {
                    format!("[[{name}]]")
                } else {
                    format!("[{name}]")
                };
                self.problems.push(
                    Problem::new(
                        "section-header",
                        format!("`{name}` is a section and is written {header}"),
                        Label::new(key_span, "written differently here"),
                    )
                    .help(format!(
                        "write {header} on a line of its own, its keys under it"
                    )),
                );
            }
        }
    }

    fn table(
        &mut self,
        section: &'static Section,
        path: &str,
        span: Range<usize>,
        table: &DeTable<'_>,
    ) {
        *self.entries.counts.entry(section.name).or_default() += 1;
        self.entries.sections.insert(path.to_owned(), span.clone());
        self.children(section.name, path, table);
        for key in section.keys.iter().filter(|key| key.need == Need::Required) {
            let is_there = self.entries.values.contains_key(&joined(path, key.name()));
            if !is_there && !self.is_full() {
                self.problems.push(
                    Problem::new(
                        "key-missing",
                        format!("`{}` is missing: {}", key.path, meaning(key)),
                        Label::new(span.clone(), format!("`{}` belongs here", key.name())),
                    )
                    .help(example(key, self.units)),
                );
            }
        }
    }

    fn section_missing(&mut self, section: &Section) {
        let needed: Vec<_> = section
            .keys
            .iter()
            .filter_map(|key| match key.need {
                Need::Required => Some(key.name().to_owned()),
                Need::When(condition) => Some(format!("{} when {condition}", key.name())),
                Need::Default(_) | Need::Optional => None,
            })
            .collect();
        let header = if section.repeated {
            format!("[[{}]]", section.name)
        } else {
            format!("[{}]", section.name)
        };
        let mut problem = Problem::new(
            "section-missing",
            format!(
                "the section {header} is missing: {}",
                lower_first(section.doc.trim_end_matches('.'))
            ),
            Label::new(
                self.entries.end..self.entries.end,
                "the file ends without it",
            ),
        );
        if !needed.is_empty() {
            problem = problem.help(format!("it needs {}", needed.join(", ")));
        }
        self.problems.push(problem);
    }

    fn value(&mut self, key: &'static Key, path: String, value: &Spanned<DeValue<'_>>) {
        let span = value.span();
        let text = as_written(value.get_ref());
        let value = read_value(key, self.units, value).unwrap_or_else(|problem| {
            self.problems.push(*problem);
            Value::Unreadable
        });
        self.entries
            .values
            .insert(path, Entry { value, text, span });
    }
}

fn joined(prefix: &str, name: &str) -> String {
    if prefix.is_empty() {
        name.to_owned()
    } else {
        format!("{prefix}.{name}")
    }
}

/// How to write a key, from its example in these units.
pub(crate) fn example(key: &Key, units: UnitSystem) -> String {
    let name = key.name();
    let value = match units {
        UnitSystem::Us => key.us,
        UnitSystem::Si => key.si,
    };
    match key.kind {
        Kind::Word(words) => format!("write {name} = \"...\" with one of {}", words.join(", ")),
        Kind::Quantity(..) | Kind::QuantityOrNone(..) | Kind::Text => {
            format!("write for instance {name} = \"{value}\"")
        }
        Kind::Texts | Kind::TextPair | Kind::Quantities(..) => {
            let items = key.kind.items(value).join("\", \"");
            format!("write for instance {name} = [\"{items}\"]")
        }
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => {
            format!("write for instance {name} = {value}")
        }
    }
}

/// What a key means, to follow a colon.
pub(crate) fn meaning(key: &Key) -> String {
    lower_first(key.doc.trim_end_matches("; never defaulted"))
}

/// First letter small, unless the first word is an abbreviation.
fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}

pub(crate) fn as_written(value: &DeValue<'_>) -> String {
    let text = match value {
        DeValue::String(text) => text.to_string(),
        DeValue::Integer(number) => number.as_str().to_owned(),
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(value) => value.to_string(),
        DeValue::Datetime(value) => value.to_string(),
        DeValue::Array(_) => "[...]".to_owned(),
        DeValue::Table(_) => "{...}".to_owned(),
    };
    // What a terminal would obey stands in no message.
    let shown = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    if text.chars().count() > 60 {
        text.chars()
            .take(57)
            .map(shown)
            .chain("...".chars())
            .collect()
    } else {
        text.chars().map(shown).collect()
    }
}
