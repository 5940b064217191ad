//! Answers of a survey, each checked when it is given.

use std::collections::BTreeMap;

use halfglass_core::description::{UnitSystem, VesselKind};
use thiserror::Error;
use toml::de::DeTable;

use crate::entry_value::read_value;
use crate::keys::{self, Key, Kind, SECTIONS, Section};

/// Most blocks of one repeated section that answers may fill.
const MOST_BLOCKS: usize = 50;

/// Why an answer is not taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum AnswerError {
    /// No such key.
    #[error("a loop file has no key `{path}`{}", did_you_mean(.nearest))]
    UnknownKey {
        /// As asked.
        path: String,
        /// A key with a like name.
        nearest: Option<&'static str>,
    },
    /// An index where there is one section only, or one that counts too far.
    #[error("`{path}`: {why}")]
    Index {
        /// As asked.
        path: String,
        /// What is wrong with the index.
        why: String,
    },
    /// The text is not a value of the key's kind.
    #[error("{message}{}", with_help(.help))]
    Value {
        /// What is wrong.
        message: String,
        /// What to write instead.
        help: Option<String>,
    },
}

fn did_you_mean(nearest: &Option<&'static str>) -> String {
    nearest.map_or_else(String::new, |near| format!("; did you mean `{near}`?"))
}

fn with_help(help: &Option<String>) -> String {
    help.as_ref()
        .map_or_else(String::new, |help| format!("; {help}"))
}

/// What is known of a loop so far.
#[derive(Debug, Clone)]
pub struct Answers {
    /// Kind of vessel: decides which keys the file has.
    pub kind: VesselKind,
    /// Units of the examples, and of the sheets.
    pub units: UnitSystem,
    /// TOML value by place; in repeated sections with the index.
    values: BTreeMap<String, String>,
    /// Items of lists that add up, by place.
    lists: BTreeMap<String, Vec<String>>,
}

impl Answers {
    /// Nothing answered but these two.
    pub fn new(kind: VesselKind, units: UnitSystem) -> Self {
        Self {
            kind,
            units,
            values: BTreeMap::new(),
            lists: BTreeMap::new(),
        }
    }

    /// Takes an answer as a person writes it: `30 in`, `bottom-on-high`, `LIC-101`. A path is that of the key, for
    /// instance `elevations.upper-tap`; in a repeated section it means the first block, or the one of its number:
    /// `duty[2].outflow` is the second duty's. A second answer replaces the first, but notes add up.
    ///
    /// # Errors
    /// [`AnswerError`] for a key that is not there or a text that is not of its kind.
    pub fn set(&mut self, path: &str, text: &str) -> Result<(), AnswerError> {
        let place = Place::of(path)?;
        let value = checked(place.key, self.units, text)?;
        match place.key.path {
            "vessel.kind" => self.kind = kind_of(text.trim()).unwrap_or(self.kind),
            "loop.units" if text.trim() == "us" => self.units = UnitSystem::Us,
            "loop.units" => self.units = UnitSystem::Si,
            _ => {}
        }
        let value = match place.key.kind {
            Kind::Texts => {
                let items = self.lists.entry(place.path()).or_default();
                items.push(value);
                format!("[{}]", items.join(", "))
            }
            kind if kind.is_list() => format!("[{value}]"),
            _ => value,
        };
        self.values.insert(place.path(), value);
        Ok(())
    }

    /// True when this was answered.
    pub fn is_set(&self, path: &str) -> bool {
        Place::of(path).is_ok_and(|place| self.values.contains_key(&place.path()))
    }

    /// Takes an answer back: the default, or the invented example, holds again.
    pub fn take_back(&mut self, path: &str) {
        if let Ok(place) = Place::of(path) {
            self.values.remove(&place.path());
        }
    }

    /// The answer as text.
    pub fn written(&self, path: &str) -> Option<String> {
        let place = Place::of(path).ok()?;
        let value = self.values.get(&place.path())?;
        let line = format!("value = {value}");
        let table = DeTable::parse(&line).ok()?;
        match table.get_ref().get("value")?.get_ref() {
            toml::de::DeValue::String(text) => Some(text.to_string()),
            _ => Some(value.clone()),
        }
    }

    /// The TOML value answered, of the block of this index.
    pub(super) fn value(&self, section: &Section, index: usize, key: &Key) -> Option<&str> {
        let place = Place {
            section,
            index,
            key,
        };
        self.values.get(&place.path()).map(String::as_str)
    }

    /// How many blocks of a section the answers need.
    pub(super) fn blocks(&self, section: &Section) -> usize {
        let most = if section.repeated { MOST_BLOCKS } else { 1 };
        (0..most)
            .rev()
            .find(|index| {
                section
                    .keys
                    .iter()
                    .any(|key| self.value(section, *index, key).is_some())
            })
            .map_or(0, |last| last + 1)
    }
}

struct Place<'k> {
    section: &'k Section,
    index: usize,
    key: &'k Key,
}

impl Place<'static> {
    fn of(path: &str) -> Result<Self, AnswerError> {
        let path = path.trim();
        let unknown = || AnswerError::UnknownKey {
            path: path.chars().take(80).collect(),
            nearest: nearest(path),
        };
        let (before, name) = path.rsplit_once('.').ok_or_else(unknown)?;
        let (section_name, index) = match before
            .strip_suffix(']')
            .and_then(|open| open.rsplit_once('['))
        {
            Some((section, index)) => (section, Some(index)),
            None => (before, None),
        };
        let section = keys::section(section_name).ok_or_else(unknown)?;
        let key = section
            .keys
            .iter()
            .find(|key| key.name() == name)
            .ok_or_else(unknown)?;
        let index = match index {
            None => 0,
            Some(_) if !section.repeated => {
                return Err(AnswerError::Index {
                    path: path.to_owned(),
                    why: format!("there is one [{section_name}] only; leave the index out"),
                });
            }
            Some(index) => index
                .parse::<usize>()
                .ok()
                .filter(|index| (1..=MOST_BLOCKS).contains(index))
                .map(|index| index - 1)
                .ok_or_else(|| AnswerError::Index {
                    path: path.to_owned(),
                    why: format!("blocks are counted from 1 to {MOST_BLOCKS}"),
                })?,
        };
        Ok(Self {
            section,
            index,
            key,
        })
    }
}

impl Place<'_> {
    fn path(&self) -> String {
        if self.section.repeated {
            format!("{}[{}].{}", self.section.name, self.index, self.key.name())
        } else {
            self.key.path.to_owned()
        }
    }
}

fn nearest(path: &str) -> Option<&'static str> {
    if path.len() > 80 {
        return None;
    }
    let keys = || SECTIONS.iter().flat_map(|section| section.keys);
    let name = path.rsplit('.').next().unwrap_or(path);
    let same_name = keys().find(|key| key.name() == name).map(|key| key.path);
    same_name.or_else(|| {
        keys()
            .map(|key| {
                let whole = strsim::jaro_winkler(path, key.path);
                let last = strsim::jaro_winkler(name, key.name());
                (key.path, whole.max(0.98 * last))
            })
            .filter(|(_, likeness)| *likeness > 0.85)
            .max_by(|left, right| left.1.total_cmp(&right.1))
            .map(|(path, _)| path)
    })
}

/// The word of a kind of vessel in a loop file.
pub(super) const fn kind_word(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler => "shell-boiler",
        VesselKind::DrumBoiler => "drum-boiler",
        VesselKind::Deaerator => "deaerator",
        VesselKind::VentedTank => "vented-tank",
    }
}

fn kind_of(word: &str) -> Option<VesselKind> {
    [
        VesselKind::ShellBoiler,
        VesselKind::DrumBoiler,
        VesselKind::Deaerator,
        VesselKind::VentedTank,
    ]
    .into_iter()
    .find(|kind| kind_word(*kind) == word)
}

/// The TOML value of a text, read as the reader of loop files does.
fn checked(key: &Key, units: UnitSystem, text: &str) -> Result<String, AnswerError> {
    let text = text.trim();
    let unreadable = || AnswerError::Value {
        message: format!(
            "`{}`: `{}` cannot be read",
            key.path,
            text.chars().take(60).collect::<String>()
        ),
        help: Some(crate::entries::example(key, units)),
    };
    let value = literal(key.kind, text).ok_or_else(unreadable)?;
    let line = match key.kind {
        kind if kind.is_list() => format!("value = [{value}]"),
        _ => format!("value = {value}"),
    };
    let table = DeTable::parse(&line).map_err(|_| unreadable())?;
    let spanned = table.get_ref().get("value").ok_or_else(unreadable)?;
    read_value(key, units, spanned).map_err(|problem| AnswerError::Value {
        message: problem.message,
        help: match (key.kind, problem.help) {
            // The units told may be many; the example is in those of the file.
            (Kind::Quantity(..) | Kind::QuantityOrNone(..), Some(help))
                if !help.contains("write for instance") =>
            {
                Some(format!(
                    "{help}; for instance {}",
                    units_example(key, units)
                ))
            }
            (_, help) => help,
        },
    })?;
    Ok(value)
}

const fn units_example(key: &Key, units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Us => key.us,
        UnitSystem::Si => key.si,
    }
}

/// A text as a TOML value of this kind; of a list, as one of its items.
pub(super) fn literal(kind: Kind, text: &str) -> Option<String> {
    let is_bare = text
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '+' | '-' | '_'));
    match kind {
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => {
            (is_bare && !text.is_empty()).then(|| text.to_owned())
        }
        _ => {
            let items: Vec<_> = kind.items(text).into_iter().map(quoted).collect();
            Some(items.join(", "))
        }
    }
}

fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(character);
            }
            control if control.is_control() => {
                quoted.push_str(&format!("\\u{:04X}", u32::from(control)));
            }
            other => quoted.push(other),
        }
    }
    quoted.push('"');
    quoted
}
