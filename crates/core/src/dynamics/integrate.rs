//! Fixed-step Runge-Kutta of the fourth order, with the step halved to see its error.
//!
//! **Source:** Hairer, Nørsett & Wanner, *Solving Ordinary Differential Equations I* (1993), II.1 (classical method), II.4
//! (step doubling). Inputs are held within a step, as a sampled controller holds them.
//! **Checked by:** `published_classical_method_is_of_fourth_order`, `property_error_is_told`.

/// One step of the classical method.
///
/// # Errors
/// What `rates` returns.
pub fn step<const N: usize, E>(
    state: &[f64; N],
    step_s: f64,
    rates: &mut impl FnMut(&[f64; N]) -> Result<[f64; N], E>,
) -> Result<[f64; N], E> {
    let along = |slope: &[f64; N], part: f64| -> [f64; N] {
        std::array::from_fn(|i| state[i] + part * step_s * slope[i])
    };
    let first = rates(state)?;
    let second = rates(&along(&first, 0.5))?;
    let third = rates(&along(&second, 0.5))?;
    let fourth = rates(&along(&third, 1.0))?;
    Ok(std::array::from_fn(|i| {
        state[i] + step_s / 6.0 * (first[i] + 2.0 * (second[i] + third[i]) + fourth[i])
    }))
}

/// Goes on for a time in so many equal steps.
///
/// # Errors
/// What `rates` returns.
pub fn advance<const N: usize, E>(
    state: &[f64; N],
    duration_s: f64,
    steps: u32,
    rates: &mut impl FnMut(&[f64; N]) -> Result<[f64; N], E>,
) -> Result<[f64; N], E> {
    let step_s = duration_s / f64::from(steps.max(1));
    let mut now = *state;
    for _ in 0..steps.max(1) {
        now = step(&now, step_s, rates)?;
    }
    Ok(now)
}

/// Steps that a duration needs where the fastest motion has this time constant: four in each.
pub fn steps_for(duration_s: f64, fastest_s: f64) -> u32 {
    let wanted = (4.0 * duration_s / fastest_s).ceil();
    // NaN and nothing make one step.
    if wanted > 1.0 {
        wanted.min(1e6) as u32
    } else {
        1
    }
}

/// Largest error of a duration taken in so many steps, against half of them, relative to `scale`: of the fourth order, hence a
/// fifteenth of the difference.
///
/// # Errors
/// What `rates` returns.
pub fn error_ratio<const N: usize, E>(
    state: &[f64; N],
    scale: &[f64; N],
    duration_s: f64,
    steps: u32,
    rates: &mut impl FnMut(&[f64; N]) -> Result<[f64; N], E>,
) -> Result<f64, E> {
    let fine = advance(state, duration_s, 2 * steps, rates)?;
    let coarse = advance(state, duration_s, steps, rates)?;
    Ok((0..N)
        .map(|i| (fine[i] - coarse[i]).abs() / (15.0 * scale[i].abs()))
        .fold(0.0, f64::max))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn swing(state: &[f64; 2]) -> Result<[f64; 2], Infallible> {
        Ok([state[1], -state[0]])
    }

    /// cos t: halving the step divides the error by 16.
    #[test]
    fn published_classical_method_is_of_fourth_order() {
        let error = |steps| {
            let Ok([found, _]) = advance(&[1.0, 0.0], 2.0, steps, &mut swing);
            (found - 2.0_f64.cos()).abs()
        };
        let ratio = error(20) / error(40);
        assert!((ratio - 16.0).abs() < 1.0, "{ratio}");
    }

    #[test]
    fn property_error_is_told() {
        let Ok([found, _]) = advance(&[1.0, 0.0], 2.0, 40, &mut swing);
        let Ok(told) = error_ratio(&[1.0, 0.0], &[1.0, 1.0], 2.0, 20, &mut swing);
        let true_error = (found - 2.0_f64.cos()).abs();
        assert!(
            told > 0.5 * true_error && told < 4.0 * true_error,
            "{told} {true_error}"
        );
    }

    #[test]
    fn property_steps_for_nothing_is_one() {
        assert_eq!(steps_for(f64::NAN, 1.0), 1);
        assert_eq!(steps_for(1.0, 0.5), 8);
    }
}
