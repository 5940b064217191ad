//! What was understood of an answer, for the person who gave it to see at once.

use halfglass_core::description::UnitSystem;

use super::answers::Answers;
use super::questions::is_height;
use crate::keys::{self, Kind};
use crate::quantity_text::{self, Dimension, Quantity};

/// The answer as it was understood: a quantity in the unit of its example, a height with its datum.
pub fn understood(answers: &Answers, path: &str) -> Option<String> {
    let key = keys::key(path)?;
    let written = answers.written(path)?;
    let (Kind::Quantity(dimension, _) | Kind::QuantityOrNone(dimension, _)) = key.kind else {
        return Some(written);
    };
    let example = match answers.units {
        UnitSystem::Us => key.us,
        UnitSystem::Si => key.si,
    };
    let words = in_unit_of(&written, example, dimension).map_or_else(
        || written.clone(),
        |same| {
            if same == written {
                same
            } else {
                format!("{written} = {same}")
            }
        },
    );
    let datum = if is_height(key) {
        " above the lower tap"
    } else {
        ""
    };
    Some(words + datum)
}

/// The quantity in the unit that the example ends with; `None` where the two are of different kinds, mass flow and power
/// for instance. The way back from SI is read off the unit's own 0 and 1, which serves temperatures too.
fn in_unit_of(written: &str, example: &str, dimension: Dimension) -> Option<String> {
    let unit = example.split_whitespace().next_back()?;
    let read = |text: &str| quantity_text::parse(text, dimension).ok();
    let quantity: Quantity = read(written)?;
    let (zero, one) = (read(&format!("0 {unit}"))?, read(&format!("1 {unit}"))?);
    if quantity.basis != one.basis {
        return None;
    }
    let value = (quantity.value - zero.value) / (one.value - zero.value);
    let rounded = (value * 1000.0).round() / 1000.0;
    (rounded.is_finite() && rounded.abs() < 1e9).then(|| format!("{} {unit}", rounded + 0.0))
}
