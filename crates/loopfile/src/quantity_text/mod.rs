//! A quantity as a person writes it: a number and a unit, `30 in`, `3 ft 4 1/2 in`, `125 psi(g)`, `-29.9 inH2O(68 degF)`.
//!
//! The unit is mandatory and never guessed: where a unit has more than one meaning, the answer is a refusal that
//! names the choices.

mod meant;
mod number;
mod units;

pub use units::{Basis, Dimension, Unit};

use thiserror::Error;

/// A quantity read: SI value, and what the unit said about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// Value in the dimension's SI unit (see [`Dimension`] and [`Basis`]).
    pub value: f64,
    /// What the unit said beside the size.
    pub basis: Basis,
}

/// Why a text is not a quantity.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing written.
    #[error("is empty; {wanted} is needed")]
    Empty {
        /// What is needed.
        wanted: &'static str,
    },
    /// No number in front.
    #[error("does not begin with a number")]
    NumberMissing,
    /// A decimal comma or a thousands separator.
    #[error("has a comma, which some read as a decimal sign and some as thousands")]
    Comma,
    /// Division by zero or a broken fraction.
    #[error("has a fraction that cannot be read, `{fraction}`")]
    Fraction {
        /// As written.
        fraction: String,
    },
    /// NaN or infinity.
    #[error("is not a finite number")]
    NotFinite,
    /// A number beyond what can be held or could be meant.
    #[error("is too large to be meant")]
    TooLarge,
    /// No unit.
    #[error("has no unit; {wanted} needs one")]
    UnitMissing {
        /// What is needed.
        wanted: &'static str,
        /// Units to choose from.
        choices: Vec<&'static str>,
    },
    /// A unit with several meanings.
    #[error("leaves open {question}")]
    UnitAmbiguous {
        /// What the unit does not say.
        question: &'static str,
        /// Units to choose from.
        choices: Vec<&'static str>,
    },
    /// A unit of another kind of quantity.
    #[error("is {found}; {wanted} is needed")]
    WrongKind {
        /// What the unit measures.
        found: &'static str,
        /// What is needed.
        wanted: &'static str,
        /// Units to choose from.
        choices: Vec<&'static str>,
    },
    /// Not a unit known here.
    #[error("has the unit `{unit}`, which is not known here")]
    UnitUnknown {
        /// As written.
        unit: String,
        /// Units that were probably meant.
        meant: Vec<&'static str>,
        /// Units to choose from.
        choices: Vec<&'static str>,
    },
    /// Feet and inches that do not add up to one length.
    #[error("cannot be read as feet and inches: {why}")]
    FeetAndInches {
        /// What does not fit.
        why: &'static str,
    },
    /// Repeats of zero, which have no reset time.
    #[error("is zero, which is no reset time")]
    ZeroRate,
}

impl QuantityError {
    /// Stable code of the problem.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Empty { .. } | Self::NumberMissing => "number-missing",
            Self::Comma => "number-has-comma",
            Self::Fraction { .. } => "fraction-unreadable",
            Self::NotFinite => "number-not-finite",
            Self::TooLarge => "number-too-large",
            Self::UnitMissing { .. } => "unit-missing",
            Self::UnitAmbiguous { .. } => "unit-ambiguous",
            Self::WrongKind { .. } => "unit-of-another-kind",
            Self::UnitUnknown { .. } => "unit-unknown",
            Self::FeetAndInches { .. } => "feet-and-inches-unreadable",
            Self::ZeroRate => "reset-rate-zero",
        }
    }

    /// The way out, if there is one to name.
    pub fn help(&self) -> Option<String> {
        match self {
            Self::Empty { .. } | Self::NumberMissing => {
                Some("write a number and a unit, for instance `30 in`".to_owned())
            }
            Self::Comma => Some("write a decimal point and no thousands separator".to_owned()),
            Self::Fraction { .. } => Some("write for instance `20 1/4 in`".to_owned()),
            Self::FeetAndInches { .. } => Some("write for instance `3 ft 4 1/2 in`".to_owned()),
            Self::UnitUnknown { meant, .. } if !meant.is_empty() => Some(did_you_mean(meant)),
            Self::UnitAmbiguous { choices, .. } => Some(did_you_mean(choices)),
            Self::UnitMissing { choices, .. }
            | Self::WrongKind { choices, .. }
            | Self::UnitUnknown { choices, .. } => {
                Some(format!("write one of {}", choices.join(", ")))
            }
            Self::ZeroRate => Some("for no integral action write \"none\"".to_owned()),
            Self::NotFinite | Self::TooLarge => {
                Some("write the number that was read, with its unit".to_owned())
            }
        }
    }
}

fn did_you_mean(choices: &[&str]) -> String {
    let quoted: Vec<_> = choices.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => format!("did you mean {last}?"),
        Some((last, others)) => format!("did you mean {} or {last}?", others.join(", ")),
        None => "write another unit".to_owned(),
    }
}

/// Beyond this, in the unit written or in SI, a number is a slip of the keyboard.
const LARGEST: f64 = 1e15;

/// Reads a quantity of a known kind.
///
/// # Errors
/// [`QuantityError`] for anything that is not one number with one unit of that kind.
pub fn parse(text: &str, dimension: Dimension) -> Result<Quantity, QuantityError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty {
            wanted: dimension.words(),
        });
    }
    let (number, rest) = number::leading(text)?;
    if matches!(dimension, Dimension::Length | Dimension::Gain)
        && number::has_digit_after_feet(rest)
    {
        let value = number::feet_and_inches(number, rest)?;
        let basis = match dimension {
            Dimension::Gain => Basis::BandLevel,
            _ => Basis::Plain,
        };
        return Ok(Quantity { value, basis });
    }
    if matches!(dimension, Dimension::Length) && meant::has_feet_and_inch_marks(rest.trim_start()) {
        return Err(QuantityError::FeetAndInches {
            why: "feet and inches are written with their units, `ft` and `in`",
        });
    }
    let unit = unit(rest, dimension)?;
    from_number(number, unit)
}

/// The SI value of a number in a unit.
///
/// # Errors
/// [`QuantityError::TooLarge`], [`QuantityError::NotFinite`], [`QuantityError::ZeroRate`].
pub fn from_number(number: f64, unit: &Unit) -> Result<Quantity, QuantityError> {
    if number.is_nan() || number.is_infinite() {
        return Err(QuantityError::NotFinite);
    }
    let scaled = number * unit.scale + unit.offset;
    let value = match unit.basis {
        Basis::Reciprocal if scaled.abs() < f64::MIN_POSITIVE => {
            return Err(QuantityError::ZeroRate);
        }
        Basis::Reciprocal => 1.0 / scaled,
        _ => scaled,
    };
    if !(number.abs() <= LARGEST && value.abs() <= LARGEST) {
        return Err(QuantityError::TooLarge);
    }
    Ok(Quantity {
        value,
        basis: unit.basis,
    })
}

/// The inverse of [`from_number`]: the number that this unit puts before an SI value, as text with the unit.
pub fn text(value: f64, unit: &Unit) -> String {
    let scaled = match unit.basis {
        Basis::Reciprocal => 1.0 / value,
        _ => value,
    };
    format!("{} {}", (scaled - unit.offset) / unit.scale, unit.name)
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// Finds the unit of a kind; spaces inside the unit do not matter, capitals do.
fn unit(written: &str, dimension: Dimension) -> Result<&'static Unit, QuantityError> {
    let written = written.trim();
    let choices = || dimension.units().iter().map(|unit| unit.name).collect();
    if written.is_empty() {
        return Err(QuantityError::UnitMissing {
            wanted: dimension.words(),
            choices: choices(),
        });
    }
    let key = squeezed(written);
    let named = |unit: &&'static Unit| squeezed(unit.name) == key;
    if let Some(unit) = dimension.units().iter().find(named) {
        return Ok(unit);
    }
    if let Some((question, candidates)) = ambiguity(&key, dimension) {
        let choices = dimension
            .units()
            .iter()
            .map(|unit| unit.name)
            .filter(|name| candidates.iter().any(|start| name.starts_with(start)))
            .collect();
        return Err(QuantityError::UnitAmbiguous { question, choices });
    }
    let unknown = |meant| QuantityError::UnitUnknown {
        unit: written.chars().take(40).collect(),
        meant,
        choices: choices(),
    };
    let meant = meant::meant(&key, dimension);
    if !meant.is_empty() {
        return Err(unknown(meant));
    }
    if let Some(found) = Dimension::ALL
        .into_iter()
        .find(|other| *other != dimension && other.units().iter().any(|unit| named(&unit)))
    {
        return Err(QuantityError::WrongKind {
            found: found.words(),
            wanted: dimension.words(),
            choices: choices(),
        });
    }
    let nearest = dimension
        .units()
        .iter()
        .map(|unit| {
            let distance =
                strsim::jaro_winkler(&key.to_lowercase(), &squeezed(unit.name).to_lowercase());
            (unit.name, distance)
        })
        .filter(|(_, likeness)| *likeness > 0.82)
        .max_by(|left, right| left.1.total_cmp(&right.1))
        .map(|(name, _)| name);
    Err(unknown(nearest.into_iter().collect()))
}

/// Units with more than one meaning in this kind: the open question, and how the choices begin.
fn ambiguity(key: &str, dimension: Dimension) -> Option<(&'static str, &'static [&'static str])> {
    const GAUGE: &str = "whether it is gauge or absolute";
    const COLUMN: &str = "which water the column is of";
    const GALLON: &str = "whether the gallons are US or imperial";
    Some(match (dimension, key) {
        (Dimension::Pressure, "psi") => (GAUGE, &["psi("]),
        (Dimension::Pressure, "bar") => (GAUGE, &["bar("]),
        (Dimension::Pressure, "kPa") => (GAUGE, &["kPa("]),
        (Dimension::Pressure, "MPa") => (GAUGE, &["MPa("]),
        (Dimension::Pressure, "mbar") => (GAUGE, &["mbar("]),
        (
            Dimension::DifferentialPressure | Dimension::Accuracy,
            "inH2O" | "inWC" | "inwc" | "in.w.c." | "\"H2O",
        ) => (COLUMN, &["inH2O("]),
        (Dimension::DifferentialPressure | Dimension::Accuracy, "mmH2O" | "mmWC" | "mmWG") => {
            (COLUMN, &["mmH2O("])
        }
        (Dimension::Flow | Dimension::Blowdown, "gpm" | "GPM" | "gal/min") => (GALLON, &["gpm("]),
        (Dimension::Volume, "gal") => (GALLON, &["gal("]),
        (Dimension::Flow, "hp" | "HP") => (
            "whether boiler horsepower is meant, 34.5 lb/h from and at 212 degF",
            &["bhp"],
        ),
        (Dimension::TemperatureDifference, "degC" | "degF") => (
            "that a difference is meant, not a temperature",
            &["delta", "K"],
        ),
        _ => return None,
    })
}

#[cfg(test)]
mod tests;
