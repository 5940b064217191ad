//! One value of a loop file, read as the kind that its key wants.

use std::ops::Range;

use halfglass_core::description::UnitSystem;
use toml::Spanned;
use toml::de::DeValue;

use crate::entries::{Value, as_written, example};
use crate::free_text;
use crate::keys::{Key, Kind, Sign};
use crate::near_miss::nearest;
use crate::problem::{Label, Problem};
use crate::quantity_text::{self, Basis, Dimension, Quantity};

pub(crate) fn read_value(
    key: &Key,
    units: UnitSystem,
    value: &Spanned<DeValue<'_>>,
) -> Result<Value, Box<Problem>> {
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
            .help(example(key, units)),
        )
    };
    match (key.kind, value.get_ref()) {
        (Kind::QuantityOrNone(..), DeValue::String(text)) if text.trim() == "none" => {
            Ok(Value::NoQuantity)
        }
        (
            Kind::Quantity(dimension, _) | Kind::QuantityOrNone(dimension, _),
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
            check_sign(key, units, &written, quantity, value.span())?;
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
                // A wrong guess here would turn the loop upside down: both meanings are told and none is guessed.
                if words.contains(&"bottom-on-high") {
                    return Box::new(problem.help(
                        "it takes bottom-on-high (the leg from the LOWER tap is on the high port) or wet-leg-on-high (the leg from the \
                         UPPER tap is on the high port): look which pipe goes to which port",
                    ));
                }
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
            .help(example(key, units)),
        )),
        (Kind::Text, DeValue::String(text)) => {
            free_text::checked(name, text, value.span()).map(Value::Text)
        }
        (Kind::Text, _) => Err(wrong_type("text in quotes")),
        (Kind::Texts, DeValue::Array(items)) => items
            .iter()
            .map(|item| match item.get_ref() {
                DeValue::String(text) => free_text::checked(name, text, item.span()),
                _ => Err(wrong_type("a list of texts in quotes")),
            })
            .collect::<Result<Vec<_>, _>>()
            .map(Value::Texts),
        (Kind::Texts, _) => Err(wrong_type("a list of texts in quotes")),
        (Kind::TextPair, DeValue::Array(items)) => {
            let texts = items
                .iter()
                .map(|item| match item.get_ref() {
                    DeValue::String(text) => free_text::checked(name, text, item.span()),
                    _ => Err(wrong_type("a list of two texts in quotes")),
                })
                .collect::<Result<Vec<_>, _>>()?;
            if texts.len() != 2 {
                return Err(Box::new(
                    Problem::new(
                        "terminals-not-two",
                        format!("`{name}` has {} marks, not two", texts.len()),
                        here("two are needed"),
                    )
                    .help(example(key, units)),
                ));
            }
            Ok(Value::Texts(texts))
        }
        (Kind::TextPair, _) => Err(wrong_type("a list of two texts in quotes")),
        (Kind::Quantities(dimension, sign), DeValue::Array(items)) => {
            let one = Key {
                kind: Kind::Quantity(dimension, sign),
                ..*key
            };
            let mut quantities = Vec::new();
            for item in items {
                match read_value(&one, units, item)? {
                    Value::Quantity(quantity) => quantities.push(quantity),
                    _ => return Err(wrong_type("a list of quantities in quotes")),
                }
            }
            Ok(Value::Quantities(quantities))
        }
        (Kind::Quantities(..), _) => Err(wrong_type("a list of quantities in quotes")),
        (Kind::Integer(low, high), DeValue::Integer(number)) => {
            i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .filter(|number| (low..=high).contains(number))
                .map(Value::Integer)
                .ok_or_else(|| {
                    Box::new(
                        Problem::new(
                            "number-out-of-range",
                            format!("`{name}`: {written} is not between {low} and {high}"),
                            here("out of range"),
                        )
                        .help(example(key, units)),
                    )
                })
        }
        (Kind::Integer(..), DeValue::Float(_)) => Err(Box::new(
            Problem::new(
                "value-kind",
                format!("`{name}` is a whole number without a decimal point, not {written}"),
                here("has a decimal point"),
            )
            .help(example(key, units)),
        )),
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
                    Box::new(
                        Problem::new(
                            "number-out-of-range",
                            format!("`{name}`: {written} is not a number from 0 to 1000000"),
                            here("out of range"),
                        )
                        .help(example(key, units)),
                    )
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

/// Kelvin that rounding leaves of absolute zero: -459.67 degF and -273.15 degC are not exact in binary.
const ZERO_KELVIN_K: f64 = 1e-9;

fn check_sign(
    key: &Key,
    units: UnitSystem,
    written: &str,
    quantity: Quantity,
    span: Range<usize>,
) -> Result<(), Box<Problem>> {
    let name = key.path;
    let (Kind::Quantity(dimension, sign) | Kind::QuantityOrNone(dimension, sign)) = key.kind else {
        return Ok(());
    };
    let value = quantity.value;
    let (code, fault, help) = match (dimension, sign) {
        (Dimension::Temperature, _) if value.abs() <= ZERO_KELVIN_K => (
            "temperature-below-zero-kelvin",
            "is absolute zero",
            Some("is the unit right?"),
        ),
        (Dimension::Temperature, _) if value.is_nan() || value <= 0.0 => (
            "temperature-below-zero-kelvin",
            "is below absolute zero",
            Some("is the unit right?"),
        ),
        (Dimension::Pressure, _) if quantity.basis == Basis::Absolute && value < 0.0 => (
            "pressure-below-vacuum",
            "is below vacuum",
            Some(
                "an absolute pressure is never negative; one under the air's is negative as gauge",
            ),
        ),
        (_, Sign::Positive) if value.is_nan() || value <= 0.0 => {
            ("number-not-positive", "must be more than zero", None)
        }
        (_, Sign::NotNegative) if value.is_nan() || value < 0.0 => (
            "number-negative",
            "must not be negative",
            Some("write its size, without a minus sign"),
        ),
        (_, Sign::Share) if !(0.0..=100.0).contains(&value) => {
            ("share-out-of-range", "must lie between 0 % and 100 %", None)
        }
        _ => return Ok(()),
    };
    Err(Box::new(
        Problem::new(
            code,
            format!("`{name}`: `{written}` {fault}"),
            Label::new(span, "here"),
        )
        .help(help.map_or_else(|| example(key, units), str::to_owned)),
    ))
}
