//! Every section and key of a loop file, declared once: kind of value, whether it is needed, what it means, an example.
//!
//! The reader checks names and values against it, the JSON Schema and the commented file of a new loop are written
//! from it.

mod control;
mod measuring;
mod plant;

use crate::quantity_text::Dimension;

/// Which numbers a quantity may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Any finite number.
    Any,
    /// Zero or more.
    NotNegative,
    /// More than zero.
    Positive,
    /// 0 to 100.
    Share,
}

/// What stands after the equals sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Text with a number and a unit.
    Quantity(Dimension, Sign),
    /// A quantity, or the word `none`.
    QuantityOrNone(Dimension, Sign),
    /// One of these words.
    Word(&'static [&'static str]),
    /// Free text, not empty.
    Text,
    /// A list of free texts.
    Texts,
    /// A whole number within limits.
    Integer(i64, i64),
    /// A bare number, zero or more.
    Ratio,
    /// true or false.
    Bool,
}

/// Whether a key must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Always.
    Required,
    /// Under this condition, in words.
    When(&'static str),
    /// No: this is used instead, in words, and listed as an assumption.
    Default(&'static str),
    /// No: without it the loop simply has none.
    Optional,
}

/// A key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    /// Dotted path, for instance `vessel.kind`; in a repeated section without its index.
    pub path: &'static str,
    /// What stands after the equals sign.
    pub kind: Kind,
    /// Whether it must be there.
    pub need: Need,
    /// What it means, one line.
    pub doc: &'static str,
    /// Example in US units, without quotes.
    pub us: &'static str,
    /// Example in SI units, without quotes.
    pub si: &'static str,
}

impl Key {
    /// Its name inside its section.
    pub fn name(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }
}

/// A section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Section {
    /// Dotted name as in its header.
    pub name: &'static str,
    /// Written `[[name]]`, any number of times.
    pub repeated: bool,
    /// False when a loop can do without it.
    pub required: bool,
    /// What it is about.
    pub doc: &'static str,
    /// Its keys in the order they are written.
    pub keys: &'static [Key],
}

/// All sections in the order they are written.
pub const SECTIONS: &[Section] = &[
    plant::LOOP,
    plant::SITE,
    plant::VESSEL,
    plant::INTERNALS,
    plant::ELEVATIONS,
    measuring::REFERENCE_LEG,
    measuring::FILL_DENSITY,
    measuring::WORKING_LEG,
    measuring::GLASS,
    measuring::CELL,
    measuring::RANGE,
    measuring::PRESSURES,
    control::DUTY,
    control::FEEDWATER,
    control::CONTROLLER,
    control::DEVICE_MARKS,
    control::LIMITS,
    control::AS_FOUND,
    control::PERSON,
    control::INSTRUMENT,
];

/// The section of a name.
pub fn section(name: &str) -> Option<&'static Section> {
    SECTIONS.iter().find(|section| section.name == name)
}

/// The key of a path without indexes.
pub fn key(path: &str) -> Option<&'static Key> {
    SECTIONS
        .iter()
        .flat_map(|section| section.keys)
        .find(|key| key.path == path)
}

/// Where a path stands in the order in which files are written.
pub fn position(path: &str) -> usize {
    SECTIONS
        .iter()
        .flat_map(|section| section.keys)
        .position(|key| key.path == path)
        .unwrap_or(usize::MAX)
}

/// A path as people count: the second duty, `duty[1]` inside this crate, is their `duty[2]`.
pub(crate) fn counted_from_one(path: &str) -> String {
    let mut parts = path.split('[');
    let mut counted = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        counted.push('[');
        match part.split_once(']') {
            Some((index, rest)) => match index.parse::<usize>() {
                Ok(index) => counted.push_str(&format!("{}]{rest}", index + 1)),
                Err(_) => counted.push_str(part),
            },
            None => counted.push_str(part),
        }
    }
    counted
}

const fn entry(
    path: &'static str,
    kind: Kind,
    need: Need,
    us: &'static str,
    si: &'static str,
    doc: &'static str,
) -> Key {
    Key {
        path,
        kind,
        need,
        doc,
        us,
        si,
    }
}

/// A height or a signed length.
pub(crate) const LENGTH: Kind = Kind::Quantity(Dimension::Length, Sign::Any);
const SIZE: Kind = Kind::Quantity(Dimension::Length, Sign::Positive);
const TEMPERATURE: Kind = Kind::Quantity(Dimension::Temperature, Sign::Positive);
const PRESSURE: Kind = Kind::Quantity(Dimension::Pressure, Sign::Any);
const DIFFERENTIAL: Kind = Kind::Quantity(Dimension::DifferentialPressure, Sign::Any);
const FLOW: Kind = Kind::Quantity(Dimension::Flow, Sign::Positive);
const DURATION: Kind = Kind::Quantity(Dimension::Time, Sign::NotNegative);
const PERCENT: Kind = Kind::Quantity(Dimension::Percent, Sign::NotNegative);
const SHARE: Kind = Kind::Quantity(Dimension::Percent, Sign::Share);
const CURRENT: Kind = Kind::Quantity(Dimension::Current, Sign::NotNegative);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity_text::parse;
    use std::collections::BTreeSet;

    #[test]
    fn practice_keys_are_unique_and_sit_in_their_section() {
        let mut seen = BTreeSet::new();
        for section in SECTIONS {
            for key in section.keys {
                assert!(seen.insert(key.path), "{} twice", key.path);
                assert_eq!(
                    key.path,
                    format!("{}.{}", section.name, key.name()),
                    "{} in the wrong section",
                    key.path
                );
                assert!(
                    key.doc.len() >= 8 && !key.doc.ends_with('.'),
                    "{}",
                    key.path
                );
            }
        }
    }

    #[test]
    fn practice_blocks_are_counted_from_one() {
        for (path, counted) in [
            ("duty[0].name", "duty[1].name"),
            ("vessel.internals[9].height", "vessel.internals[10].height"),
            ("limits.set-point", "limits.set-point"),
        ] {
            assert_eq!(counted_from_one(path), counted);
        }
    }

    #[test]
    fn practice_examples_are_values_of_their_kind() {
        for key in SECTIONS.iter().flat_map(|section| section.keys) {
            for example in [key.us, key.si] {
                match key.kind {
                    Kind::Quantity(dimension, _) | Kind::QuantityOrNone(dimension, _) => {
                        parse(example, dimension)
                            .unwrap_or_else(|e| panic!("{} = {example}: {e}", key.path));
                    }
                    Kind::Word(words) => assert!(words.contains(&example), "{}", key.path),
                    Kind::Integer(low, high) => {
                        assert!(
                            (low..=high).contains(&example.parse().unwrap()),
                            "{}",
                            key.path
                        );
                    }
                    Kind::Ratio => assert!(example.parse::<f64>().unwrap() >= 0.0),
                    Kind::Bool => assert!(matches!(example, "true" | "false")),
                    Kind::Text | Kind::Texts => assert!(!example.is_empty(), "{}", key.path),
                }
            }
        }
    }
}
