//! SI values in words, in the units a person reads: for assumptions and messages.

use halfglass_core::description::UnitSystem;

use crate::quantity_text::{self, Dimension};

/// A number with four significant digits and no trailing zeros.
pub(crate) fn short(value: f64) -> String {
    if !(value.abs() >= f64::MIN_POSITIVE && value.is_finite()) {
        return if value.is_finite() {
            "0"
        } else {
            "not a number"
        }
        .to_owned();
    }
    let digits = 3 - value.abs().log10().floor().clamp(-9.0, 15.0) as i32;
    let decimals = usize::try_from(digits.max(0)).unwrap_or(0);
    let factor = 10_f64.powi(digits);
    let text = format!("{:.decimals$}", (value * factor).round() / factor);
    match text.split_once('.') {
        Some((whole, decimals)) => {
            let decimals = decimals.trim_end_matches('0');
            if decimals.is_empty() {
                whole.to_owned()
            } else {
                format!("{whole}.{decimals}")
            }
        }
        None => text,
    }
}

/// A value with the unit a person of this unit system reads.
pub(crate) fn quantity(value: f64, dimension: Dimension, units: UnitSystem) -> String {
    let us = matches!(units, UnitSystem::Us);
    let name = match dimension {
        Dimension::Length if us => "in",
        Dimension::Length => "mm",
        Dimension::Temperature if us => "degF",
        Dimension::Temperature => "degC",
        Dimension::TemperatureDifference if us => "delta degF",
        Dimension::Flow | Dimension::Blowdown if us => "lb/h",
        Dimension::Flow | Dimension::Blowdown => "kg/h",
        Dimension::Pressure if us => "psi(a)",
        Dimension::Pressure => "bar(a)",
        Dimension::Density if us => "lb/ft3",
        Dimension::DifferentialPressure | Dimension::Accuracy if us => "inH2O(68 degF)",
        Dimension::DifferentialPressure | Dimension::Accuracy => "kPa",
        _ => dimension.units().first().map_or("", |unit| unit.name),
    };
    match dimension.units().iter().find(|unit| unit.name == name) {
        Some(unit) => {
            let text = quantity_text::text(value, unit);
            match text.split_once(' ') {
                Some((number, unit)) => {
                    format!(
                        "{} {unit}",
                        number.parse().map_or_else(|_| number.to_owned(), short)
                    )
                }
                None => text,
            }
        }
        None => short(value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_words_a_person_reads() {
        assert_eq!(short(0.1 + 0.2), "0.3");
        assert_eq!(short(123_456.0), "123500");
        assert_eq!(short(-0.012_345_6), "-0.01235");
        assert_eq!(short(0.0), "0");
        assert_eq!(short(20.0), "20");
        assert_eq!(quantity(0.762, Dimension::Length, UnitSystem::Us), "30 in");
        assert_eq!(quantity(0.762, Dimension::Length, UnitSystem::Si), "762 mm");
        assert_eq!(
            quantity(323.15, Dimension::Temperature, UnitSystem::Us),
            "122 degF"
        );
        assert_eq!(quantity(20.0, Dimension::Time, UnitSystem::Si), "20 s");
        assert_eq!(quantity(1.0, Dimension::Percent, UnitSystem::Si), "1 %");
    }
}
