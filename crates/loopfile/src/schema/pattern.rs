//! Regular expressions (ECMA 262) for quantities, so that an editor marks a missing unit while the file is written.
//!
//! They are a shade narrower than the reader, which also takes spaces inside a unit: what they accept the reader reads,
//! but for signs and sizes that only arithmetic can tell.

use crate::keys::Sign;
use crate::quantity_text::Dimension;

/// What a person or an editor puts between number and unit: space, tab, no-break, thin and narrow no-break space.
const BLANK: &str = "[ \t\u{a0}\u{2009}\u{202f}]";
const DECIMAL: &str = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)";
/// Degrees of arc, at most 90.
const LATITUDE: &str = r"0*(?:90(?:\.0*)?|[0-8]?[0-9](?:\.[0-9]*)?|\.[0-9]+)";

fn fraction() -> String {
    format!("(?:[0-9]+{BLANK}+)?[0-9]+/[1-9][0-9]*")
}

/// What a quantity of this kind looks like, from the first to the last character.
pub(super) fn quantity(dimension: Dimension, sign: Sign) -> String {
    let units: Vec<_> = dimension
        .units()
        .iter()
        .map(|unit| escaped(unit.name))
        .collect();
    let fraction = fraction();
    let number = match dimension {
        Dimension::Angle => format!("(?:{fraction}|{LATITUDE})"),
        _ => format!(r"(?:{fraction}|{DECIMAL}(?:[eE][+-]?[0-9]+)?)"),
    };
    let mut forms = format!(r"{number}{BLANK}*(?:{})", units.join("|"));
    if matches!(dimension, Dimension::Length | Dimension::Gain) {
        forms = format!(r"(?:{forms}|[0-9]+{BLANK}*ft{BLANK}*(?:{fraction}|{DECIMAL}){BLANK}*in)");
    }
    format!("^{BLANK}*{}{forms}{BLANK}*$", signs(dimension, sign))
}

/// Which signs may stand in front. A temperature above absolute zero may be negative as written.
fn signs(dimension: Dimension, sign: Sign) -> &'static str {
    match (dimension, sign) {
        (Dimension::Temperature, _) | (_, Sign::Any) => "[-+\u{2212}]?",
        _ => r"\+?",
    }
}

/// A unit's name as it may be written: spaces before a bracket and around a stroke are free.
fn escaped(name: &str) -> String {
    let blanks = format!("{BLANK}*");
    let mut pattern = String::new();
    for character in name.chars() {
        match character {
            '(' => pattern.push_str(&format!(r"{blanks}\({blanks}")),
            ')' => pattern.push_str(&format!(r"{blanks}\)")),
            '/' => pattern.push_str(&format!("{blanks}/{blanks}")),
            ' ' => pattern.push_str(&blanks),
            letter if letter.is_ascii_alphanumeric() || letter == '%' => pattern.push(letter),
            other => {
                pattern.push('\\');
                pattern.push(other);
            }
        }
    }
    pattern
}
