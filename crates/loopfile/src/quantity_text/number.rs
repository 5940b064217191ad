//! The number in front of a unit: decimal, fraction (`20 1/4`), or feet with inches.

use super::QuantityError;
use super::units::{FOOT_M, INCH_M};

/// The number at the front of a text, and what follows it.
pub(super) fn leading(text: &str) -> Result<(f64, &str), QuantityError> {
    let (sign, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(body) => (-1.0, body.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let word: String = body
        .chars()
        .take_while(char::is_ascii_alphabetic)
        .collect::<String>()
        .to_ascii_lowercase();
    if matches!(word.as_str(), "nan" | "inf" | "infinity") {
        return Err(QuantityError::NotFinite);
    }
    let (whole, rest) = decimal(body)?;
    if let Some(denominator) = rest.strip_prefix('/') {
        let (value, rest) = fraction(body, whole, denominator)?;
        return Ok((sign * value, rest));
    }
    // A second number after a space belongs to the first only as a fraction: `20 1/4`.
    let after = rest.trim_start();
    if after.len() < rest.len()
        && after.starts_with(|c: char| c.is_ascii_digit())
        && let Ok((numerator, tail)) = decimal(after)
        && let Some(denominator) = tail.strip_prefix('/')
    {
        let (value, rest) = fraction(after, numerator, denominator)?;
        return Ok((sign * (whole + value), rest));
    }
    Ok((sign * whole, rest))
}

fn fraction<'t>(
    written: &'t str,
    numerator: f64,
    denominator: &'t str,
) -> Result<(f64, &'t str), QuantityError> {
    let broken = || QuantityError::Fraction {
        fraction: written.chars().take(20).collect(),
    };
    let (denominator, rest) = decimal(denominator).map_err(|_| broken())?;
    if !(denominator >= 1.0 && numerator.fract().abs() < f64::MIN_POSITIVE) {
        return Err(broken());
    }
    Ok((numerator / denominator, rest))
}

/// An unsigned decimal number with optional exponent.
fn decimal(text: &str) -> Result<(f64, &str), QuantityError> {
    let bytes = text.as_bytes();
    let digits = |from: usize| {
        bytes[from..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count()
    };
    let mut end = digits(0);
    let mut count = end;
    if bytes.get(end) == Some(&b'.') {
        let decimals = digits(end + 1);
        count += decimals;
        end += 1 + decimals;
    }
    if count == 0 {
        return Err(QuantityError::NumberMissing);
    }
    if bytes.get(end) == Some(&b',') {
        return Err(QuantityError::Comma);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = bytes
            .get(end + 1 + signed..)
            .map_or(0, |_| digits(end + 1 + signed));
        if exponent > 0 {
            end += 1 + signed + exponent;
        }
    }
    // The grammar above is a subset of Rust's, so parsing fails for nothing; infinity is overflow.
    match text[..end].parse::<f64>() {
        Ok(value) if value.is_finite() => Ok((value, &text[end..])),
        Ok(_) => Err(QuantityError::TooLarge),
        Err(_) => Err(QuantityError::NumberMissing),
    }
}

/// True for `ft 4 in` and its like: a unit of feet with something after it that begins with a number.
pub(super) fn has_digit_after_feet(rest: &str) -> bool {
    rest.trim_start().strip_prefix("ft").is_some_and(|inches| {
        inches
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit())
    })
}

/// Metres of `feet` and the inches in `rest`, which begins with `ft`. The sign of the feet is the whole length's.
pub(super) fn feet_and_inches(feet: f64, rest: &str) -> Result<f64, QuantityError> {
    if feet.fract().abs() > 0.0 {
        return Err(QuantityError::FeetAndInches {
            why: "the feet before inches must be whole",
        });
    }
    let rest = rest.trim_start().strip_prefix("ft").unwrap_or(rest);
    let (inches, unit) = leading(rest.trim_start())?;
    if unit.trim() != "in" {
        return Err(QuantityError::FeetAndInches {
            why: "after feet come inches with the unit `in`",
        });
    }
    if !(0.0..12.0).contains(&inches) {
        return Err(QuantityError::FeetAndInches {
            why: "inches after feet run from 0 to under 12",
        });
    }
    let magnitude = feet.abs() * FOOT_M + inches * INCH_M;
    let value = if feet.is_sign_negative() {
        -magnitude
    } else {
        magnitude
    };
    if value.abs() > super::LARGEST {
        return Err(QuantityError::TooLarge);
    }
    Ok(value)
}
