//! The values of a loop file, each of its kind and with its place, before anything is made of them.
//!
//! Everything that [`crate::keys`] knows is checked here: names, kinds, units, signs, what must always be there.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::keys::{self, Key, Kind, Need, Section, Sign};
use crate::problem::{Label, Problem};
use crate::quantity_text::{self, Basis, Dimension, Quantity};

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
#[derive(Debug, Default)]
pub(crate) struct Entries {
    values: BTreeMap<String, Entry>,
    sections: BTreeMap<String, Range<usize>>,
    counts: BTreeMap<&'static str, usize>,
    end: usize,
}

impl Entries {
    /// Walks the parsed text; returns what is there and all problems met.
    pub(crate) fn collect(table: &DeTable<'_>, end: usize) -> (Self, Vec<Problem>) {
        let mut walk = Walk {
            entries: Self {
                end,
                ..Self::default()
            },
            problems: Vec::new(),
        };
        walk.children("", "", table);
        for section in keys::SECTIONS.iter().filter(|section| section.required) {
            if walk.entries.count(section.name) == 0 {
                walk.section_missing(section);
            }
        }
        let Walk { entries, problems } = walk;
        (entries, problems)
    }

    /// The value at a path, also an unreadable one.
    pub(crate) fn get(&self, path: &str) -> Option<&Entry> {
        self.values.get(path)
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

struct Walk {
    entries: Entries,
    problems: Vec<Problem>,
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
            if let Some(section) = keys::section(&child) {
                self.section(section, &path, key.span(), value);
            } else if let Some(known) = keys::key(&child) {
                self.value(known, path, value);
            } else {
                let problem = if name.is_empty() {
                    unknown_at_top(key, value)
                } else {
                    unknown_key(name, key)
                };
                self.problems.push(problem);
            }
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
            if !table.contains_key(key.name()) && !self.is_full() {
                self.problems.push(
                    Problem::new(
                        "key-missing",
                        format!("`{}` is missing: {}", key.path, lower_first(key.doc)),
                        Label::new(span.clone(), format!("`{}` belongs here", key.name())),
                    )
                    .help(example(key)),
                );
            }
        }
    }

    fn section_missing(&mut self, section: &Section) {
        let needed: Vec<_> = section
            .keys
            .iter()
            .filter(|key| key.need == Need::Required)
            .map(|key| key.name())
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
        let value = read_value(key, value).unwrap_or_else(|problem| {
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

/// How to write a key, from its example.
pub(crate) fn example(key: &Key) -> String {
    let name = key.name();
    match key.kind {
        Kind::Word(words) => format!("write {name} = \"...\" with one of {}", words.join(", ")),
        Kind::Quantity(..) | Kind::QuantityOrNone(..) | Kind::Text => {
            format!("write for instance {name} = \"{}\"", key.us)
        }
        Kind::Texts => format!("write for instance {name} = [\"{}\"]", key.us),
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => {
            format!("write for instance {name} = {}", key.us)
        }
    }
}

/// First letter small, unless the first word is an abbreviation.
pub(crate) fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}

fn as_written(value: &DeValue<'_>) -> String {
    let text = match value {
        DeValue::String(text) => text.to_string(),
        DeValue::Integer(number) => number.as_str().to_owned(),
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(value) => value.to_string(),
        DeValue::Datetime(value) => value.to_string(),
        DeValue::Array(_) => "[...]".to_owned(),
        DeValue::Table(_) => "{...}".to_owned(),
    };
    if text.chars().count() > 60 {
        text.chars().take(57).chain("...".chars()).collect()
    } else {
        text
    }
}

fn nearest<'a>(name: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    // Longer names are not meant as any of ours, and comparing them costs the square of their length.
    if name.len() > 60 {
        return None;
    }
    candidates
        .map(|candidate| (candidate, strsim::jaro_winkler(name, candidate)))
        .filter(|(_, likeness)| *likeness > 0.85)
        .max_by(|left, right| left.1.total_cmp(&right.1))
        .map(|(candidate, _)| candidate)
}

fn unknown_at_top(
    key: &Spanned<std::borrow::Cow<'_, str>>,
    value: &Spanned<DeValue<'_>>,
) -> Problem {
    let name: String = key.get_ref().chars().take(60).collect();
    let is_table = match value.get_ref() {
        DeValue::Table(_) => true,
        DeValue::Array(items) => items.iter().any(|item| item.get_ref().is_table()),
        _ => false,
    };
    let tops = keys::SECTIONS
        .iter()
        .map(|section| section.name)
        .filter(|name| !name.contains('.'));
    if is_table {
        let problem = Problem::new(
            "section-unknown",
            format!("a loop file has no section `{name}`"),
            Label::new(key.span(), "not known"),
        );
        return match nearest(&name, tops.clone()) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem.help(format!(
                "sections are {}",
                tops.collect::<Vec<_>>().join(", ")
            )),
        };
    }
    let problem = Problem::new(
        "key-outside-section",
        format!("the key `{name}` stands outside any section"),
        Label::new(key.span(), "before the first section"),
    );
    match home_of(&name) {
        Some(home) => problem.help(format!("it belongs in [{home}]")),
        None => problem.help("every key belongs in a section such as [loop]"),
    }
}

fn home_of(name: &str) -> Option<&'static str> {
    keys::SECTIONS
        .iter()
        .find(|section| section.keys.iter().any(|key| key.name() == name))
        .map(|section| section.name)
}

fn unknown_key(section: &str, key: &Spanned<std::borrow::Cow<'_, str>>) -> Problem {
    let name: String = key.get_ref().chars().take(60).collect();
    let problem = Problem::new(
        "key-unknown",
        format!("[{section}] has no key `{name}`"),
        Label::new(key.span(), "not known here"),
    );
    let names = keys::section(section)
        .into_iter()
        .flat_map(|section| section.keys)
        .map(Key::name);
    if let Some(near) = nearest(&name, names.clone()) {
        return problem.help(format!("did you mean `{near}`?"));
    }
    if let Some(home) = home_of(&name) {
        return problem.help(format!("it belongs in [{home}]"));
    }
    problem.help(format!(
        "its keys are {}",
        names.collect::<Vec<_>>().join(", ")
    ))
}

fn read_value(key: &Key, value: &Spanned<DeValue<'_>>) -> Result<Value, Box<Problem>> {
    let name = key.path;
    let written = as_written(value.get_ref());
    let here = |text: &str| Label::new(value.span(), text);
    let wrong_type = |wanted: &str| {
        Box::new(
            Problem::new(
                "value-kind",
                format!("`{name}` is {wanted}, not {}", type_words(value.get_ref())),
                here("of another kind"),
            )
            .help(example(key)),
        )
    };
    match (key.kind, value.get_ref()) {
        (Kind::QuantityOrNone(..), DeValue::String(text)) if text.trim() == "none" => {
            Ok(Value::NoQuantity)
        }
        (
            Kind::Quantity(dimension, sign) | Kind::QuantityOrNone(dimension, sign),
            DeValue::String(text),
        ) => {
            let quantity = quantity_text::parse(text, dimension).map_err(|error| {
                let problem = Problem::new(
                    error.code(),
                    format!("`{name}`: `{written}` {error}"),
                    here("here"),
                );
                Box::new(match error.help() {
                    Some(help) => problem.help(help),
                    None => problem,
                })
            })?;
            check_sign(name, &written, dimension, sign, quantity, value.span())?;
            Ok(Value::Quantity(quantity))
        }
        (
            Kind::Quantity(dimension, _) | Kind::QuantityOrNone(dimension, _),
            DeValue::Integer(_) | DeValue::Float(_),
        ) => {
            let unit = dimension.units().first().map_or("", |unit| unit.name);
            let names: Vec<_> = dimension.units().iter().map(|unit| unit.name).collect();
            Err(Box::new(
                Problem::new(
                    "unit-missing",
                    format!(
                        "`{name}`: {written} has no unit; {} needs one",
                        dimension.words()
                    ),
                    here("a bare number"),
                )
                .help(format!(
                    "write it as text, \"{written} {unit}\"; units are {}",
                    names.join(", ")
                )),
            ))
        }
        (Kind::Quantity(dimension, _) | Kind::QuantityOrNone(dimension, _), _) => Err(wrong_type(
            &format!("{} written as text", dimension.words()),
        )),
        (Kind::Word(words), DeValue::String(text)) => words
            .iter()
            .find(|word| **word == text.as_ref())
            .map(|word| Value::Word(word))
            .ok_or_else(|| {
                let problem = Problem::new(
                    "word-unknown",
                    format!("`{name}` cannot be `{written}`"),
                    here("not one of its words"),
                );
                let choices = words.join(", ");
                Box::new(match nearest(text, words.iter().copied()) {
                    Some(near) => {
                        problem.help(format!("did you mean `{near}`? It takes {choices}"))
                    }
                    None => problem.help(format!("it takes {choices}")),
                })
            }),
        (Kind::Word(_), _) => Err(wrong_type("a word in quotes")),
        (Kind::Text, DeValue::String(text)) if text.trim().is_empty() => Err(Box::new(
            Problem::new(
                "text-empty",
                format!("`{name}` is empty"),
                here("nothing written"),
            )
            .help(example(key)),
        )),
        (Kind::Text, DeValue::String(text)) => Ok(Value::Text(text.trim().to_owned())),
        (Kind::Text, _) => Err(wrong_type("text in quotes")),
        (Kind::Texts, DeValue::Array(items)) => items
            .iter()
            .map(|item| item.get_ref().as_str().map(str::to_owned))
            .collect::<Option<Vec<_>>>()
            .map(Value::Texts)
            .ok_or_else(|| wrong_type("a list of texts in quotes")),
        (Kind::Texts, _) => Err(wrong_type("a list of texts in quotes")),
        (Kind::Integer(low, high), DeValue::Integer(number)) => {
            i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .filter(|number| (low..=high).contains(number))
                .map(Value::Integer)
                .ok_or_else(|| {
                    Box::new(Problem::new(
                        "number-out-of-range",
                        format!("`{name}`: {written} is not between {low} and {high}"),
                        here("out of range"),
                    ))
                })
        }
        (Kind::Integer(..), _) => Err(wrong_type("a whole number")),
        (Kind::Ratio, DeValue::Integer(_) | DeValue::Float(_)) => {
            let number = match value.get_ref() {
                DeValue::Integer(number) => number.as_str().parse::<f64>(),
                DeValue::Float(number) => number.as_str().parse::<f64>(),
                _ => return Err(wrong_type("a bare number")),
            };
            number
                .ok()
                .filter(|number| (0.0..=1e6).contains(number))
                .map(Value::Ratio)
                .ok_or_else(|| {
                    Box::new(Problem::new(
                        "number-out-of-range",
                        format!("`{name}`: {written} is not a number from 0 to 1000000"),
                        here("out of range"),
                    ))
                })
        }
        (Kind::Ratio, _) => Err(wrong_type("a bare number")),
        (Kind::Bool, DeValue::Boolean(value)) => Ok(Value::Bool(*value)),
        (Kind::Bool, _) => Err(wrong_type("true or false, without quotes")),
    }
}

fn type_words(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

fn check_sign(
    name: &str,
    written: &str,
    dimension: Dimension,
    sign: Sign,
    quantity: Quantity,
    span: Range<usize>,
) -> Result<(), Box<Problem>> {
    let value = quantity.value;
    let (code, fault) = match (dimension, sign) {
        (Dimension::Temperature, _) if value.is_nan() || value <= 0.0 => {
            ("temperature-below-zero-kelvin", "is below absolute zero")
        }
        (Dimension::Pressure, _) if quantity.basis == Basis::Absolute && value < 0.0 => {
            ("pressure-below-vacuum", "is below vacuum")
        }
        (_, Sign::Positive) if value.is_nan() || value <= 0.0 => {
            ("number-not-positive", "must be more than zero")
        }
        (_, Sign::NotNegative) if value.is_nan() || value < 0.0 => {
            ("number-negative", "must not be negative")
        }
        (_, Sign::Share) if !(0.0..=100.0).contains(&value) => {
            ("share-out-of-range", "must lie between 0 % and 100 %")
        }
        _ => return Ok(()),
    };
    Err(Box::new(Problem::new(
        code,
        format!("`{name}`: `{written}` {fault}"),
        Label::new(span, "here"),
    )))
}
