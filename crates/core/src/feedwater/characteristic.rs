//! Inherent characteristic: the share of the rated flow coefficient at a travel, and back.
//!
//! **Source:** IEC 60534-2-4 for the linear and equal percentage forms and their allowed deviation.
//! The linear and equal percentage forms give φ0 just off the seat (h = 0); the shut valve passes its leakage only.
//! A table is joined by a monotone cubic (Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300), whose slope is continuous, so
//! that an installed gain does not come in steps.

use super::root::{RootError, bracketed_root};
use crate::description::feed_system::Characteristic;
use thiserror::Error;

/// Tolerance of the travel found in a table.
const TRAVEL_TOLERANCE: f64 = 1e-13;
/// Rounding allowed at 0 and 1.
const ROUNDING: f64 = 1e-12;

/// Why a characteristic gives no answer.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum CharacteristicError {
    /// Travel outside 0 to 1.
    #[error("travel is {travel}; it must lie between 0 and 1")]
    Travel {
        /// Travel as a share of rated.
        travel: f64,
    },
    /// The valve controls nothing so small.
    #[error(
        "a coefficient of {relative_coefficient:.6} of rated lies below {least:.6}, the least that the valve controls"
    )]
    BelowControllable {
        /// Share of the rated coefficient asked for.
        relative_coefficient: f64,
        /// Least.
        least: f64,
    },
    /// The open valve passes less.
    #[error("a coefficient of {relative_coefficient:.6} of rated lies above the open valve's")]
    AboveRated {
        /// Share of the rated coefficient asked for.
        relative_coefficient: f64,
    },
    /// Rangeability not above 1.
    #[error("rangeability is {rangeability}; it must be above 1, up to 1000")]
    Rangeability {
        /// As given.
        rangeability: f64,
    },
    /// A table that does not rise from travel 0 to (1, 1).
    #[error(
        "table point {index}: travel and share must rise from travel 0 to travel 1 and share 1"
    )]
    Table {
        /// First point out of order, from 0.
        index: usize,
    },
    /// Root finding.
    #[error(transparent)]
    Root(#[from] RootError),
}

/// Allowed deviation of a measured relative coefficient φ from the stated one, as a ratio: 0.1·(1/φ)^0.2.
///
/// **Source:** IEC 60534-2-4. **Checked by:** `published_allowed_deviation`.
#[must_use]
pub fn allowed_deviation_ratio(relative_coefficient: f64) -> f64 {
    0.1 * relative_coefficient.recip().powf(0.2)
}

impl Characteristic {
    /// Is it in order: rangeability above 1, a table that rises from travel 0 to (1, 1).
    ///
    /// # Errors
    /// [`CharacteristicError::Rangeability`] or [`CharacteristicError::Table`].
    pub fn check(&self) -> Result<(), CharacteristicError> {
        match self {
            Self::Linear { rangeability }
            | Self::EqualPercentage { rangeability }
            | Self::QuickOpening { rangeability } => {
                if !(*rangeability > 1.0 && *rangeability <= 1000.0) {
                    return Err(CharacteristicError::Rangeability {
                        rangeability: *rangeability,
                    });
                }
            }
            Self::Table(points) => {
                let at = |index| Err(CharacteristicError::Table { index });
                match points.first() {
                    Some((travel, share)) if travel.abs() <= ROUNDING && *share >= 0.0 => {}
                    _ => return at(0),
                }
                for (index, pair) in points.windows(2).enumerate() {
                    if !(pair[1].0 > pair[0].0 && pair[1].1 > pair[0].1) {
                        return at(index + 1);
                    }
                }
                match points.last() {
                    Some((travel, share))
                        if (travel - 1.0).abs() <= ROUNDING && (share - 1.0).abs() <= ROUNDING => {}
                    _ => return at(points.len().saturating_sub(1)),
                }
            }
        }
        Ok(())
    }

    /// φ0, the least share of the rated coefficient that the valve controls.
    #[must_use]
    pub fn least_coefficient(&self) -> f64 {
        match self {
            Self::Linear { rangeability }
            | Self::EqualPercentage { rangeability }
            | Self::QuickOpening { rangeability } => rangeability.recip(),
            Self::Table(points) => points.first().map_or(f64::NAN, |(_, share)| *share),
        }
    }

    /// φ, share of the rated coefficient at a travel from 0 to 1.
    ///
    /// ```text
    /// linear            φ = φ0 + (1 − φ0)·h
    /// equal percentage  φ = φ0·exp(n·h), n = ln(1/φ0)
    /// quick opening     φ = max(√h, φ0)
    /// ```
    ///
    /// **Source:** IEC 60534-2-4; quick opening: common practice, the standard names the form without an equation.
    /// **Checked by:** `published_equal_percentage_tables`, `property_travel_is_the_inverse`.
    ///
    /// # Errors
    /// [`CharacteristicError`]: travel outside 0 to 1, or a characteristic not in order.
    pub fn relative_coefficient(&self, travel: f64) -> Result<f64, CharacteristicError> {
        self.value_and_slope(travel).map(|(value, _)| value)
    }

    /// dφ/dh at a travel from 0 to 1; at the corner of the quick opening form and at its ends, the slope of the opening side.
    ///
    /// # Errors
    /// As [`Characteristic::relative_coefficient`].
    pub fn slope(&self, travel: f64) -> Result<f64, CharacteristicError> {
        self.value_and_slope(travel).map(|(_, slope)| slope)
    }

    /// Travel, 0 to 1, at a share of the rated coefficient.
    ///
    /// # Errors
    /// [`CharacteristicError::BelowControllable`] under φ0, [`CharacteristicError::AboveRated`] over 1, or a characteristic not in order.
    pub fn travel(&self, relative_coefficient: f64) -> Result<f64, CharacteristicError> {
        self.check()?;
        let least = self.least_coefficient();
        if !(relative_coefficient >= least * (1.0 - ROUNDING)) {
            return Err(CharacteristicError::BelowControllable {
                relative_coefficient,
                least,
            });
        }
        if !(relative_coefficient <= 1.0 + ROUNDING) {
            return Err(CharacteristicError::AboveRated {
                relative_coefficient,
            });
        }
        let share = relative_coefficient.clamp(least, 1.0);
        Ok(match self {
            Self::Linear { .. } => (share - least) / (1.0 - least),
            Self::EqualPercentage { rangeability } => (share / least).ln() / rangeability.ln(),
            Self::QuickOpening { .. } => share * share,
            Self::Table(points) => {
                let after = points
                    .partition_point(|(_, known)| *known < share)
                    .clamp(1, points.len() - 1);
                let (low, high) = (points[after - 1].0, points[after].0);
                bracketed_root(
                    |travel| table_value_and_slope(points, travel).0 - share,
                    low,
                    high,
                    TRAVEL_TOLERANCE,
                )?
            }
        }
        .clamp(0.0, 1.0))
    }

    pub(super) fn value_and_slope(&self, travel: f64) -> Result<(f64, f64), CharacteristicError> {
        self.check()?;
        if !(-ROUNDING..=1.0 + ROUNDING).contains(&travel) {
            return Err(CharacteristicError::Travel { travel });
        }
        let travel = travel.clamp(0.0, 1.0);
        let least = self.least_coefficient();
        Ok(match self {
            Self::Linear { .. } => (least + (1.0 - least) * travel, 1.0 - least),
            Self::EqualPercentage { rangeability } => {
                let n = rangeability.ln();
                let value = least * (n * travel).exp();
                (value, n * value)
            }
            Self::QuickOpening { .. } => {
                let value = travel.sqrt().max(least);
                if travel < least * least {
                    (value, 0.0)
                } else {
                    (value, 0.5 / value)
                }
            }
            Self::Table(points) => table_value_and_slope(points, travel),
        })
    }
}

/// Monotone cubic through the table, and its slope. The table is known to be in order.
fn table_value_and_slope(points: &[(f64, f64)], travel: f64) -> (f64, f64) {
    let after = points
        .partition_point(|(known, _)| *known <= travel)
        .clamp(1, points.len() - 1);
    let ((low, from), (high, to)) = (points[after - 1], points[after]);
    let width = high - low;
    let (leaving, arriving) = (
        width * knot_slope(points, after - 1),
        width * knot_slope(points, after),
    );
    let t = (travel - low) / width;
    let rise = to - from;
    // Hermite form on t = 0 to 1: from + leaving·t + b·t² + a·t³.
    let a = leaving + arriving - 2.0 * rise;
    let b = 3.0 * rise - 2.0 * leaving - arriving;
    (
        from + t * (leaving + t * (b + t * a)),
        (leaving + t * (2.0 * b + t * 3.0 * a)) / width,
    )
}

/// Slope at a point of the table: weighted harmonic mean of the two chords, at an end the chord.
fn knot_slope(points: &[(f64, f64)], index: usize) -> f64 {
    let chord = |from: usize| {
        let ((h0, s0), (h1, s1)) = (points[from], points[from + 1]);
        ((s1 - s0) / (h1 - h0), h1 - h0)
    };
    if index == 0 {
        return chord(0).0;
    }
    if index == points.len() - 1 {
        return chord(index - 1).0;
    }
    let ((before, width_before), (after, width_after)) = (chord(index - 1), chord(index));
    let (w1, w2) = (
        2.0 * width_after + width_before,
        width_after + 2.0 * width_before,
    );
    (w1 + w2) / (w1 / before + w2 / after)
}

#[cfg(test)]
#[path = "characteristic_tests.rs"]
mod tests;
