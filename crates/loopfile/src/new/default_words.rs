//! Defaults in words, in the units that the file is written in.
//!
//! The declarations of the keys tell them once, metric; where a rounded US value is usual it stands in brackets behind,
//! and is taken as it stands.

use std::borrow::Cow;

use halfglass_core::description::UnitSystem;

use crate::quantity_text::{Dimension, parse};
use crate::words::short;

/// Metric unit of the declarations, its kind, and the unit that a US file has for it.
const US: &[(&str, Dimension, &str)] = &[
    ("mm", Dimension::Length, "in"),
    ("degC", Dimension::Temperature, "degF"),
    ("K", Dimension::TemperatureDifference, "delta degF"),
    ("kPa(a)", Dimension::Pressure, "psi(a)"),
    ("MPa", Dimension::DifferentialPressure, "psi"),
    ("m/s2", Dimension::Acceleration, "ft/s2"),
];

/// A default in words, in these units.
pub(super) fn in_units(default: &'static str, units: UnitSystem) -> Cow<'static, str> {
    let words: Vec<&str> = default.split(' ').collect();
    let mut told: Vec<String> = Vec::new();
    let mut changed = false;
    let mut at = 0;
    while at < words.len() {
        let Some((us, end)) = words.get(at + 1).and_then(|unit| in_us(words[at], unit)) else {
            told.push(words[at].to_owned());
            at += 1;
            continue;
        };
        // `25 mm (1 in)`: the pair in brackets is the US value.
        let pair = match (words.get(at + 2), words.get(at + 3)) {
            (Some(number), Some(unit)) if number.starts_with('(') => unit
                .split_once(')')
                .map(|(unit, rest)| (format!("{} {unit}", &number[1..]), rest)),
            _ => None,
        };
        match (units, pair) {
            (UnitSystem::Us, Some((pair, rest))) => {
                told.push(format!("{pair}{rest}"));
                (changed, at) = (true, at + 4);
            }
            (UnitSystem::Si, Some((_, rest))) => {
                told.push(format!("{} {}{rest}", words[at], words[at + 1]));
                (changed, at) = (true, at + 4);
            }
            (UnitSystem::Us, None) => {
                told.push(format!("{us}{end}"));
                (changed, at) = (true, at + 2);
            }
            (UnitSystem::Si, None) => {
                told.push(words[at].to_owned());
                told.push(words[at + 1].to_owned());
                at += 2;
            }
        }
    }
    if changed {
        told.join(" ").into()
    } else {
        default.into()
    }
}

/// A metric quantity in the US unit, with the mark that followed it.
fn in_us<'a>(number: &str, unit: &'a str) -> Option<(String, &'a str)> {
    let bare = unit.trim_end_matches([',', ';', ':']);
    let (name, dimension, us) = US.iter().find(|(name, ..)| *name == bare)?;
    let si = parse(&format!("{number} {name}"), *dimension).ok()?.value;
    let us = dimension.units().iter().find(|unit| unit.name == *us)?;
    Some((
        format!("{} {}", short((si - us.offset) / us.scale), us.name),
        &unit[bare.len()..],
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::{Need, SECTIONS};

    /// NIST SP 811 (2008), B.8: 1 in 25.4 mm, 1 psi 6894.757 Pa, 1 ft/s2 0.3048 m/s2; a degree Fahrenheit 5/9 K.
    #[test]
    fn published_defaults_in_us_units() {
        for (default, us) in [
            ("20 degC", "68 degF"),
            ("3.5 kPa(a)", "0.5076 psi(a)"),
            ("0.1 % for each 28 K", "0.1 % for each 50.4 delta degF"),
            (
                "0.1 % for each 7 MPa; closed vessels only",
                "0.1 % for each 1015 psi; closed vessels only",
            ),
            ("9.803 m/s2", "32.16 ft/s2"),
            ("25 mm (1 in)", "1 in"),
            ("3 mm (0.12 in); with a glass", "0.12 in; with a glass"),
            (
                "50 degC, or the highest ambient where that is higher",
                "122 degF, or the highest ambient where that is higher",
            ),
            (
                "half the band of leg temperatures, or 15 K",
                "half the band of leg temperatures, or 27 delta degF",
            ),
            ("20 s", "20 s"),
        ] {
            assert_eq!(in_units(default, UnitSystem::Us), us);
        }
        assert_eq!(in_units("25 mm (1 in)", UnitSystem::Si), "25 mm");
        assert_eq!(
            in_units("3 mm (0.12 in); with a glass", UnitSystem::Si),
            "3 mm; with a glass"
        );
    }

    /// No default of a US file is left metric, none of a metric file speaks of inches.
    #[test]
    fn practice_every_default_speaks_the_file_s_units() {
        let mut converted = 0;
        for key in SECTIONS.iter().flat_map(|section| section.keys) {
            let Need::Default(default) = key.need else {
                continue;
            };
            let has = |units, names: &[&str]| {
                in_units(default, units)
                    .split(' ')
                    .any(|word| names.contains(&word.trim_matches(['(', ')', ',', ';', ':'])))
            };
            let metric = ["mm", "degC", "K", "MPa", "m/s2", "kPa(a", "m", "kPa", "bar"];
            assert!(!has(UnitSystem::Us, &metric), "{}: {default}", key.path);
            assert!(
                !has(UnitSystem::Si, &["in", "degF", "psi", "ft"]) || !default.contains('('),
                "{}: {default}",
                key.path
            );
            converted += usize::from(in_units(default, UnitSystem::Us) != default);
        }
        assert!(converted > 10, "{converted}");
    }
}
