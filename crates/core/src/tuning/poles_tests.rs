//! Checks of the closed-loop poles.

use std::f64::consts::PI;

use super::*;
use crate::tuning::margins::robustness;
use proptest::prelude::*;

fn poles(
    dead_time_s: f64,
    gain_ratio: f64,
    reset_s: Option<f64>,
    derivative_s: f64,
) -> ClosedLoopPoles {
    let process = IntegratingProcess::new(1.0, dead_time_s).unwrap();
    closed_loop_poles(
        process,
        PidSettings::ideal(gain_ratio, reset_s, derivative_s).unwrap(),
    )
    .unwrap()
}

/// P with dead time: s·e^(sθ) = −Kk' is Lambert's W. At Kk'θ = 1/e the double root is −1/θ, above it
/// a pair; at π/2 the pair is ±j·π/(2θ). Corless et al., Adv. Comput. Math. 5 (1996) 329-359.
#[test]
fn published_lambert_w_poles() {
    let double = poles(2.0, 0.5 / std::f64::consts::E, None, 0.0).dominant;
    assert!((double.real_per_s + 0.5).abs() < 1e-6 && double.imaginary_rad_s < 1e-3);
    let marginal = poles(2.0, 0.25 * PI, None, 0.0).dominant;
    assert!(marginal.real_per_s.abs() < 1e-12);
    assert!((marginal.imaginary_rad_s - 0.25 * PI).abs() < 1e-12);
    assert!((marginal.period_s().unwrap() - 8.0).abs() < 1e-11);
    // W0(−1) = −0.318131505204764 + 1.337235701430689i
    let own = poles(1.0, 1.0, None, 0.0).dominant;
    assert!((own.real_per_s + 0.318_131_505_204_764).abs() < 1e-14);
    assert!((own.imaginary_rad_s - 1.337_235_701_430_689).abs() < 1e-14);
}

/// s² + Ks + K/Ti: ζ = 0.5·√(K·Ti).
#[test]
fn published_no_dead_time() {
    let own = poles(0.0, 0.5, Some(2.0), 0.0);
    assert!((own.dominant.damping_ratio() - 0.5).abs() < 1e-14);
    assert!((own.dominant.period_s().unwrap() - TAU / 0.1875_f64.sqrt()).abs() < 1e-12);
    assert!(
        poles(0.0, 0.5, Some(8.1), 0.0)
            .slowest_oscillation
            .is_none()
    );
}

/// For ever smaller dead time the poles tend to those without.
#[test]
fn property_small_dead_time_tends_to_none() {
    for (reset_s, derivative_s) in [(2.0, 0.0), (4.0, 0.2), (30.0, 0.0), (400.0, 0.1)] {
        let none = poles(0.0, 0.5, Some(reset_s), derivative_s).dominant;
        let small = poles(1e-6, 0.5, Some(reset_s), derivative_s).dominant;
        assert!(
            (none.real_per_s / small.real_per_s - 1.0).abs() < 1e-4,
            "{none:?} {small:?}"
        );
        assert!((none.imaginary_rad_s - small.imaginary_rad_s).abs() < 1e-4);
    }
}

#[test]
fn published_derivative_alone_holds_nothing() {
    let process = IntegratingProcess::new(1.0, 1.0).unwrap();
    let settings = PidSettings::parallel(0.0, 0.0, 0.5).unwrap();
    assert_eq!(
        closed_loop_poles(process, settings),
        Err(PoleError::NoRestoringAction)
    );
}

proptest! {
    /// Two independent roads to stability: poles and the phase at the crossover.
    #[test]
    fn property_poles_and_margins_agree_on_stability(
        gain_log in -5.0..0.4f64, reset_log in -0.3..5.0f64, derivative_s in 0.0..0.3f64, dead_time_log in -3.0..0.2f64,
    ) {
        let process = IntegratingProcess::new(1.0, 10.0_f64.powf(dead_time_log)).unwrap();
        let (gain_ratio, reset_s) = (10.0_f64.powf(gain_log), 10.0_f64.powf(reset_log));
        let settings = PidSettings::ideal(gain_ratio, Some(reset_s), derivative_s).unwrap();
        let is_stable = robustness(process.into(), settings).unwrap().margins().is_some();
        match closed_loop_poles(process, settings) {
            Ok(poles) => prop_assert_eq!(poles.dominant.real_per_s < 0.0, is_stable, "{:?}", poles),
            Err(PoleError::NoneDominates { ratio, .. }) => prop_assert!(is_stable || ratio >= 0.95),
            Err(error) => prop_assert!(false, "{error}"),
        }
    }
}
