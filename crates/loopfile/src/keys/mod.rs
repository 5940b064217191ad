//! Every section and key of a loop file, declared once: kind of value, whether it is needed, what it means, an example.
//!
//! The reader checks names and values against it, the JSON Schema and the commented file of a new loop are written
//! from it.

mod control;
mod found;
mod measuring;
mod plant;
mod scenario;
mod supply;
mod uncertainty;
mod valve;
mod wiring;

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
    /// A list of exactly two free texts, which may be empty.
    TextPair,
    /// A list of texts, each with a number and a unit.
    Quantities(Dimension, Sign),
    /// A whole number within limits.
    Integer(i64, i64),
    /// A bare number, zero or more.
    Ratio,
    /// true or false.
    Bool,
}

impl Kind {
    /// True for what stands in square brackets.
    pub(crate) const fn is_list(self) -> bool {
        matches!(self, Kind::Texts | Kind::TextPair | Kind::Quantities(..))
    }

    /// The items of an example or an answer of this kind, which commas part where they cannot belong to an item.
    pub(crate) fn items(self, text: &str) -> Vec<&str> {
        match self {
            Kind::TextPair | Kind::Quantities(..) => text.split(',').map(str::trim).collect(),
            _ => vec![text],
        }
    }
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
    supply::SUPPLY,
    supply::SUPPLY_POINT,
    supply::LINE,
    supply::LINE_PART,
    valve::VALVE,
    valve::VALVE_SIZE,
    valve::VALVE_TRAVEL,
    valve::ACTUATOR,
    valve::STATION,
    valve::RETURN,
    control::CONTROLLER,
    control::DEVICE_MARKS,
    control::LIMITS,
    found::AS_FOUND,
    found::MEASURED,
    wiring::WIRING,
    wiring::RECEIVER,
    wiring::BARRIER,
    wiring::ACTUATOR_SUPPLY,
    wiring::OUTPUT,
    uncertainty::UNCERTAINTY,
    uncertainty::DISTRIBUTION,
    control::PERSON,
    control::INSTRUMENT,
];

/// What one kind of file may say.
#[derive(Debug, Clone, Copy)]
pub struct Catalog {
    /// What such a file is called: `a loop file`.
    pub file: &'static str,
    /// Its sections in the order they are written.
    pub sections: &'static [Section],
}

/// The loop file.
pub const LOOP_FILE: Catalog = Catalog {
    file: "a loop file",
    sections: SECTIONS,
};

/// The scenario file.
pub const SCENARIO_FILE: Catalog = Catalog {
    file: "a scenario file",
    sections: &[scenario::SCENARIO, scenario::EVENT, scenario::VARIANT],
};

impl Catalog {
    /// The section of a name.
    pub fn section(&self, name: &str) -> Option<&'static Section> {
        self.sections.iter().find(|section| section.name == name)
    }

    /// The key of a path without indexes.
    pub fn key(&self, path: &str) -> Option<&'static Key> {
        self.sections
            .iter()
            .flat_map(|section| section.keys)
            .find(|key| key.path == path)
    }
}

/// Sections that describe one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Group {
    /// These stand in a file together or not at all.
    pub(crate) together: &'static [&'static str],
    /// These stand beside them only.
    pub(crate) beside: &'static [&'static str],
}

/// What may be left out as a whole but not in part.
pub(crate) const GROUPS: &[Group] = &[
    Group {
        together: &[
            "supply",
            "line",
            "line.part",
            "valve",
            "actuator",
            "station",
        ],
        beside: &["supply.point", "valve.size", "valve.travel", "return"],
    },
    Group {
        together: &["wiring", "wiring.receiver"],
        beside: &["wiring.barrier", "wiring.actuator-supply", "wiring.output"],
    },
];

/// The group that a section belongs to.
pub(crate) fn group(section: &str) -> Option<&'static Group> {
    GROUPS
        .iter()
        .find(|group| group.together.contains(&section) || group.beside.contains(&section))
}

/// The loop file's section of a name.
pub fn section(name: &str) -> Option<&'static Section> {
    LOOP_FILE.section(name)
}

/// The loop file's key of a path without indexes.
pub fn key(path: &str) -> Option<&'static Key> {
    LOOP_FILE.key(path)
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
const DROP: Kind = Kind::Quantity(Dimension::DifferentialPressure, Sign::Positive);
const VOLTAGE: Kind = Kind::Quantity(Dimension::Voltage, Sign::Positive);
const RESISTANCE: Kind = Kind::Quantity(Dimension::Resistance, Sign::NotNegative);
const POWER: Kind = Kind::Quantity(Dimension::ApparentPower, Sign::Positive);
const FORCE: Kind = Kind::Quantity(Dimension::Force, Sign::Positive);
const TORQUE: Kind = Kind::Quantity(Dimension::Torque, Sign::Positive);
const COEFFICIENT: Kind = Kind::Quantity(Dimension::FlowCoefficient, Sign::Positive);
const DIFFERENCE: Kind = Kind::Quantity(Dimension::TemperatureDifference, Sign::NotNegative);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity_text::parse;
    use std::collections::BTreeSet;

    #[test]
    fn practice_keys_are_unique_and_sit_in_their_section() {
        let mut seen = BTreeSet::new();
        for section in LOOP_FILE.sections.iter().chain(SCENARIO_FILE.sections) {
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
                    Kind::TextPair => assert_eq!(key.kind.items(example).len(), 2, "{}", key.path),
                    Kind::Quantities(dimension, _) => {
                        for item in key.kind.items(example) {
                            parse(item, dimension)
                                .unwrap_or_else(|e| panic!("{} = {item}: {e}", key.path));
                        }
                    }
                }
            }
        }
    }
}
