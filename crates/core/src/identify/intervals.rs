//! A value with its interval, and how many readings a record is worth when its noise remembers itself.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Coverage of every interval.
const COVERAGE: f64 = 0.95;

/// A value and the interval that holds the true one in 95 of 100 tests, if the model holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    pub(super) fn around(value: f64, half_width: f64) -> Self {
        Self {
            value,
            low: value - half_width,
            high: value + half_width,
        }
    }

    /// Half of its width.
    pub fn half_width(self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// Does it hold this value.
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

/// Two-sided Student's t for the coverage.
pub(super) fn student_factor(degrees_of_freedom: f64) -> f64 {
    student_quantile(0.5 + 0.5 * COVERAGE, degrees_of_freedom)
}

/// Student's t quantile; normal beyond 10⁵ degrees of freedom, where it differs by 1.2·10⁻⁵.
pub(super) fn student_quantile(probability: f64, degrees_of_freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom.clamp(1.0, 1e5))
        .map_or(f64::INFINITY, |t| t.inverse_cdf(probability))
}

/// Readings too few for a correlation to be told from chance.
const FEWEST_FOR_CORRELATION: usize = 20;

/// Residuals smaller than this, %, are rounding and have no noise to remember: no transmitter resolves as much.
pub(super) const ROUNDING_PERCENT: f64 = 1e-4;

/// How many readings of this noise tell as much as one of white noise; 1 for white noise, never less. The larger of two:
///
/// ```text
/// τ = −1 + 2·Σ (ρ₂ₖ + ρ₂ₖ₊₁)    while the pair is positive
/// τ = (1 + ρ)/(1 − ρ),    ρ = (ρ₁ + p/n)/(1 − (p + 2)/n)
/// ```
///
/// The second is that of first-order noise, with what fitting p numbers takes from ρ₁ given back: the known bias is
/// (1 + 3ρ)/n for a fitted mean and (2 + 4ρ)/n for a fitted line, continued here as (p + (p + 2)ρ)/n.
///
/// **Source:** initial positive sequence, Geyer, Statistical Science 7 (1992) 473-483; bias, Marriott and Pope, Biometrika 41
/// (1954) 390-402 (both from memory, not confirmed). **Departures:** fewer than 20 readings count as white.
/// **Checked by:** `property_readings_per_independent_reading`, `property_intervals_cover`.
pub(super) fn readings_per_independent(residuals: &[f64], fitted: usize) -> f64 {
    let n = residuals.len() as f64;
    if residuals.len() < FEWEST_FOR_CORRELATION {
        return 1.0;
    }
    let mean = residuals.iter().sum::<f64>() / n;
    let lagged = |lag: usize| -> f64 {
        residuals[lag..]
            .iter()
            .zip(residuals)
            .map(|(later, earlier)| (later - mean) * (earlier - mean))
            .sum()
    };
    let variance = lagged(0);
    if !(variance > n * ROUNDING_PERCENT * ROUNDING_PERCENT) {
        return 1.0;
    }
    let mut sum = -1.0;
    for pair in 0..residuals.len() / 4 {
        let both = (lagged(2 * pair) + lagged(2 * pair + 1)) / variance;
        if !(both > 0.0) {
            break;
        }
        sum += 2.0 * both;
    }
    let p = fitted as f64;
    let memory = ((lagged(1) / variance + p / n) / (1.0 - (p + 2.0) / n)).clamp(0.0, 0.99);
    sum.max((1.0 + memory) / (1.0 - memory)).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identify::simulated::Noise;

    #[test]
    fn published_student_factor() {
        // JCGM 100:2008 table G.2, p = 95 %: 10 degrees 2.23, 50 degrees 2.01.
        for (degrees, factor) in [(10.0, 2.23), (50.0, 2.01), (1e9, 1.960)] {
            assert!((student_factor(degrees) - factor).abs() < 5e-3, "{degrees}");
        }
    }

    #[test]
    fn property_readings_per_independent_reading() {
        // First-order noise of correlation r: (1 + r)/(1 − r), by summing its geometric autocorrelation.
        for (memory, expect) in [(0.0, 1.0), (0.5, 3.0), (0.8, 9.0)] {
            let mut noise = Noise::new(11, 1.0, memory);
            let residuals: Vec<f64> = (0..20_000).map(|_| noise.draw()).collect();
            let found = readings_per_independent(&residuals, 0);
            assert!((found / expect - 1.0).abs() < 0.15, "{memory}: {found}");
        }
    }
}
