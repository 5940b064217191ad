//! A root between two ends at which a function has opposite signs.
//!
//! **Method:** ITP (interpolate, truncate, project): Oliveira and Takahashi, ACM Trans. Math. Softw. 47 (2021) 5. Never more steps than
//! bisection plus one, as few as the secant method on a smooth function.

use thiserror::Error;

/// Why there is no root to give.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum RootError {
    /// Both ends have the same sign, or one of them is no number.
    #[error("no root between {low} and {high}: the function is {at_low} and {at_high} there")]
    NotBracketed {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
        /// Function at the low end.
        at_low: f64,
        /// Function at the high end.
        at_high: f64,
    },
    /// The function is no number inside the bracket.
    #[error("the function is no number at {at}")]
    NotANumber {
        /// Where.
        at: f64,
    },
}

/// Root of `function` between `low` and `high`, to `tolerance` (absolute, in the unit of the argument) or to the last digits of an `f64`,
/// whichever is coarser.
///
/// **Checked by:** `property_root_of_a_cube`, `property_refuses_ends_of_one_sign`, `property_no_more_steps_than_bisection`.
///
/// # Errors
/// [`RootError`] when the ends do not bracket a root or the function is not finite.
pub fn bracketed_root(
    mut function: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Result<f64, RootError> {
    let (at_low, at_high) = (function(low), function(high));
    if at_low == 0.0 {
        return Ok(low);
    }
    if at_high == 0.0 {
        return Ok(high);
    }
    if !(low < high && at_low.is_finite() && at_high.is_finite() && at_low * at_high.signum() < 0.0)
    {
        return Err(RootError::NotBracketed {
            low,
            high,
            at_low,
            at_high,
        });
    }
    let sign = at_high.signum();
    let (mut a, mut b, mut fa, mut fb) = (low, high, at_low * sign, at_high * sign);
    let half_width = (0.5 * tolerance).max(2.0 * f64::EPSILON * low.abs().max(high.abs()));
    let halvings = ((b - a) / (2.0 * half_width)).log2().ceil().max(0.0);
    let mut slack = half_width * (halvings + 1.0).exp2();
    let truncation = 0.2 / (b - a);
    while b - a > 2.0 * half_width {
        let middle = 0.5 * (a + b);
        let reach = slack - 0.5 * (b - a);
        let secant = (fb * a - fa * b) / (fb - fa);
        let to_middle = (middle - secant).signum();
        let truncate = truncation * (b - a) * (b - a);
        let truncated = if truncate <= (middle - secant).abs() {
            secant + to_middle * truncate
        } else {
            middle
        };
        let x = if (truncated - middle).abs() <= reach {
            truncated
        } else {
            middle - to_middle * reach
        };
        let value = sign * function(x);
        if !value.is_finite() {
            return Err(RootError::NotANumber { at: x });
        }
        if value > 0.0 {
            (b, fb) = (x, value);
        } else if value < 0.0 {
            (a, fa) = (x, value);
        } else {
            return Ok(x);
        }
        slack *= 0.5;
    }
    Ok(0.5 * (a + b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn property_root_of_a_cube(root in -50.0..50.0_f64, falling in any::<bool>()) {
            let sign = if falling { -1.0 } else { 1.0 };
            let found = bracketed_root(|x| sign * (x.powi(3) - root.powi(3)), -60.0, 61.0, 1e-9)?;
            prop_assert!((found - root).abs() < 1e-8, "{found} for {root}");
        }

        #[test]
        fn property_no_more_steps_than_bisection(root in 0.01..0.99_f64, power in 1..40_i32) {
            let mut calls = 0;
            bracketed_root(|x| { calls += 1; (x / root).powi(power) - 1.0 }, 0.0, 1.0, 1e-9)?;
            prop_assert!(calls <= 2 + 30 + 2, "{calls} calls");
        }
    }

    #[test]
    fn property_refuses_ends_of_one_sign() {
        for (low, high) in [(1.0, 2.0), (2.0, 1.0), (f64::NAN, 2.0), (-2.0, -1.0)] {
            let refused = bracketed_root(|x| x * x * x + 0.0, low, high, 1e-9);
            assert!(
                matches!(refused, Err(RootError::NotBracketed { .. })),
                "{low} {high}: {refused:?}"
            );
        }
        let hole = bracketed_root(
            |x| if x.abs() < 0.9 { f64::NAN } else { x },
            -1.0,
            1.0,
            1e-9,
        );
        assert!(matches!(hole, Err(RootError::NotANumber { .. })));
    }
}
