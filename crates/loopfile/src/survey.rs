//! What a survey gives and what it leaves open: values with their places, requirements, defaults as assumptions, and
//! checks between two values that show both places.

use std::ops::Range;

use halfglass_core::description::UnitSystem;
use halfglass_core::finding::Assumption;
use halfglass_core::quantity::{AbsolutePressure, GaugePressure};

use crate::entries::{Entries, Entry, Value, example, meaning};
use crate::keys::{self, Kind, Need};
use crate::problem::{Label, Problem};
use crate::quantity_text::{Basis, Dimension, Quantity};
use crate::words;

/// A value, where it stands and how it was written.
#[derive(Debug, Clone)]
pub(crate) struct Located<T> {
    pub(crate) value: T,
    pub(crate) span: Range<usize>,
    pub(crate) path: String,
    pub(crate) text: String,
}

impl<T> Located<T> {
    fn new(path: &str, entry: &Entry, value: T) -> Self {
        Self {
            value,
            span: entry.span.clone(),
            path: path.to_owned(),
            text: entry.text.clone(),
        }
    }

    pub(crate) fn map<U>(self, change: impl FnOnce(T) -> U) -> Located<U> {
        Located {
            value: change(self.value),
            span: self.span,
            path: self.path,
            text: self.text,
        }
    }

    /// Its path as people count blocks.
    pub(crate) fn shown(&self) -> String {
        keys::counted_from_one(&self.path)
    }

    pub(crate) fn label(&self, text: impl Into<String>) -> Label {
        Label::new(self.span.clone(), text)
    }
}

/// Entries on their way to a loop.
pub(crate) struct Survey<'e> {
    pub(crate) entries: &'e Entries,
    pub(crate) problems: Vec<Problem>,
    pub(crate) assumptions: Vec<Assumption>,
    pub(crate) units: UnitSystem,
    /// Local atmosphere once known.
    pub(crate) atmosphere: AbsolutePressure,
}

impl Survey<'_> {
    pub(crate) fn is_absent(&self, path: &str) -> bool {
        self.entries.get(path).is_none()
    }

    pub(crate) fn is_present(&self, path: &str) -> bool {
        self.entries.get(path).is_some()
    }

    fn read<T>(&self, path: &str, pick: impl FnOnce(&Value) -> Option<T>) -> Option<Located<T>> {
        let entry = self.entries.get(path)?;
        pick(&entry.value).map(|value| Located::new(path, entry, value))
    }

    pub(crate) fn quantity(&self, path: &str) -> Option<Located<Quantity>> {
        self.read(path, |value| match value {
            Value::Quantity(quantity) => Some(*quantity),
            _ => None,
        })
    }

    /// SI value of a quantity whose unit says nothing beside its size.
    pub(crate) fn number(&self, path: &str) -> Option<Located<f64>> {
        self.read(path, |value| match value {
            Value::Quantity(quantity) => Some(quantity.value),
            Value::Ratio(ratio) => Some(*ratio),
            _ => None,
        })
    }

    pub(crate) fn is_none_word(&self, path: &str) -> bool {
        self.entries
            .get(path)
            .is_some_and(|entry| entry.value == Value::NoQuantity)
    }

    pub(crate) fn word(&self, path: &str) -> Option<Located<&'static str>> {
        self.read(path, |value| match value {
            Value::Word(word) => Some(*word),
            _ => None,
        })
    }

    pub(crate) fn text(&self, path: &str) -> Option<Located<String>> {
        self.read(path, |value| match value {
            Value::Text(text) => Some(text.clone()),
            _ => None,
        })
    }

    pub(crate) fn texts(&self, path: &str) -> Vec<String> {
        match self.entries.get(path).map(|entry| &entry.value) {
            Some(Value::Texts(texts)) => texts.clone(),
            _ => Vec::new(),
        }
    }

    /// Two marks as typed, empty where there are none.
    pub(crate) fn pair(&self, path: &str) -> [String; 2] {
        <[String; 2]>::try_from(self.texts(path)).unwrap_or_default()
    }

    pub(crate) fn quantities(&self, path: &str) -> Option<Located<Vec<Quantity>>> {
        self.read(path, |value| match value {
            Value::Quantities(quantities) => Some(quantities.clone()),
            _ => None,
        })
    }

    pub(crate) fn integer(&self, path: &str) -> Option<Located<i64>> {
        self.read(path, |value| match value {
            Value::Integer(number) => Some(*number),
            _ => None,
        })
    }

    pub(crate) fn flag(&self, path: &str) -> Option<Located<bool>> {
        self.read(path, |value| match value {
            Value::Bool(flag) => Some(*flag),
            _ => None,
        })
    }

    /// A vessel pressure, absolute, and where it stands; a gauge pressure below vacuum is a problem.
    pub(crate) fn pressure(&mut self, path: &str) -> Option<Located<AbsolutePressure>> {
        let found = self.quantity(path)?;
        let pressure = match found.value.basis {
            Basis::Gauge => GaugePressure::from_pa(found.value.value).to_absolute(self.atmosphere),
            _ => AbsolutePressure::from_pa(found.value.value),
        };
        if pressure.pa() < 0.0 {
            self.problems.push(
                Problem::new(
                    "pressure-below-vacuum",
                    format!("`{}`: `{}` is below vacuum", found.shown(), found.text),
                    found.label("less than nothing"),
                )
                .help("the local atmosphere is the most that can be missing"),
            );
            return None;
        }
        Some(found.map(|_| pressure))
    }

    /// Reports a value that this loop needs and that is not there.
    pub(crate) fn require(&mut self, path: &'static str, why: &str) {
        if self.is_present(path) {
            return;
        }
        let Some(key) = self.entries.catalog.key(path) else {
            return;
        };
        let section = path.rsplit_once('.').map_or("", |(section, _)| section);
        self.problems.push(
            Problem::new(
                "key-missing",
                format!("`{path}` is missing: {} ({why})", meaning(key)),
                Label::new(
                    self.entries.section_span(section),
                    format!("`{}` belongs in [{section}]", key.name()),
                ),
            )
            .help(example(key, self.units)),
        );
    }

    /// Reports a value that has no meaning in this loop.
    pub(crate) fn refuse(&mut self, path: &str, why: &str) {
        if let Some(entry) = self.entries.get(path) {
            self.problems.push(
                Problem::new(
                    "key-not-for-this",
                    format!(
                        "`{}` has no meaning here: {why}",
                        keys::counted_from_one(path)
                    ),
                    Label::new(entry.span.clone(), "not used"),
                )
                .help("remove it, or correct what it disagrees with"),
            );
        }
    }

    pub(crate) fn assume(&mut self, input: &'static str, value: String, why: &'static str) {
        if !self.assumptions.iter().any(|known| known.input == input) {
            self.assumptions.push(Assumption { input, value, why });
        }
    }

    /// The stated value, or the default, listed as an assumption. `None` when what is stated cannot be read.
    pub(crate) fn number_or(
        &mut self,
        path: &'static str,
        default: f64,
        why: &'static str,
    ) -> Option<f64> {
        if self.is_present(path) {
            return self.number(path).map(|found| found.value);
        }
        let value = match self.entries.catalog.key(path).map(|key| key.kind) {
            Some(Kind::Quantity(dimension, _)) => words::quantity(default, dimension, self.units),
            _ => words::short(default),
        };
        self.assume(path, value, why);
        Some(default)
    }

    /// The stated word, or the default, listed as an assumption.
    pub(crate) fn word_or(
        &mut self,
        path: &'static str,
        default: &'static str,
        why: &'static str,
    ) -> Option<&'static str> {
        if self.is_present(path) {
            return self.word(path).map(|found| found.value);
        }
        debug_assert!(matches!(
            self.entries.catalog.key(path).map(|key| key.need),
            Some(Need::Default(_))
        ));
        self.assume(path, default.to_owned(), why);
        Some(default)
    }

    /// Says that one value must stand under another, showing both places. Missing values say nothing.
    pub(crate) fn check_below(
        &mut self,
        code: &'static str,
        low: Option<&Located<f64>>,
        high: Option<&Located<f64>>,
        equal_is_fine: bool,
        help: &str,
    ) {
        let (Some(low), Some(high)) = (low, high) else {
            return;
        };
        let fits = low.value < high.value || (equal_is_fine && low.value <= high.value);
        if fits {
            return;
        }
        let relation = if equal_is_fine {
            "is above"
        } else {
            "is not below"
        };
        self.problems.push(
            Problem::new(
                code,
                format!(
                    "`{}` at {} {relation} `{}` at {}",
                    low.shown(),
                    low.text,
                    high.shown(),
                    high.text
                ),
                low.label(format!("this {relation}")),
            )
            .and(high.label("this"))
            .help(help),
        );
    }

    pub(crate) fn length_words(&self, value_m: f64) -> String {
        words::quantity(value_m, Dimension::Length, self.units)
    }
}
