//! Largest value of a smooth function over an interval: fine samples, then golden section around the best one.

use super::error::MeasurementError;

/// Golden-section steps: the bracket shrinks by 0.618^40 = 4e-9; the value at a smooth peak is then exact to rounding.
const GOLDEN_STEPS: usize = 40;

/// Where a function is largest on `low..=high`, and how large. `samples` intervals must be fine enough that the
/// function has one peak within any two of them; the ends count.
///
/// **Source:** Kiefer, Sequential minimax search for a maximum, Proc. AMS 4 (1953) 502-506.
/// **Checked by:** `property_finds_peaks_inside_and_at_the_ends`.
///
/// # Errors
/// Whatever the function returns.
pub(super) fn largest(
    low: f64,
    high: f64,
    samples: u32,
    mut value: impl FnMut(f64) -> Result<f64, MeasurementError>,
) -> Result<(f64, f64), MeasurementError> {
    let step = (high - low) / f64::from(samples);
    let mut best = (low, value(low)?);
    let mut best_at = 0;
    for i in 1..=samples {
        let x = if i == samples {
            high
        } else {
            low + step * f64::from(i)
        };
        let y = value(x)?;
        if y > best.1 {
            best = (x, y);
            best_at = i;
        }
    }
    let mut a = low + step * f64::from(best_at.saturating_sub(1));
    let mut b = (low + step * f64::from(best_at + 1)).min(high);
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let mut c = b - ratio * (b - a);
    let mut d = a + ratio * (b - a);
    let (mut at_c, mut at_d) = (value(c)?, value(d)?);
    for _ in 0..GOLDEN_STEPS {
        if at_c > at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - ratio * (b - a);
            at_c = value(c)?;
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + ratio * (b - a);
            at_d = value(d)?;
        }
        if b - a <= f64::EPSILON * (a.abs() + b.abs()) {
            break;
        }
    }
    for found in [(c, at_c), (d, at_d)] {
        if found.1 > best.1 {
            best = found;
        }
    }
    Ok(best)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_finds_peaks_inside_and_at_the_ends() {
        let peak = |at: f64| largest(-1.0, 3.0, 16, |x| Ok(-(x - at).powi(2))).unwrap().0;
        for at in [-0.9, 0.0, 0.123_456_789, 1.0, 2.99] {
            assert!((peak(at) - at).abs() < 1e-7, "{at}: {}", peak(at));
        }
        for (at, end) in [(-5.0, -1.0), (7.0, 3.0)] {
            assert!((peak(at) - end).abs() < 1e-12, "{at}");
        }
    }

    #[test]
    fn property_an_interval_without_width_is_its_one_point() {
        assert_eq!(largest(2.0, 2.0, 4, Ok).unwrap(), (2.0, 2.0));
    }
}
