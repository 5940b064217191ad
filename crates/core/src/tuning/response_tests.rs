//! Checks of the load response; every row for k' = θ = 1 unless it says otherwise.

use std::f64::consts::{E, PI};

use proptest::prelude::*;

use super::super::rules;
use super::*;

const STEP: LoadStep = LoadStep {
    load_ratio: 1.0,
    settle_band_ratio: 0.05,
};

fn process(gain_per_s: f64, dead_time_s: f64) -> IntegratingProcess {
    IntegratingProcess::new(gain_per_s, dead_time_s).unwrap()
}

/// Peak and its time from the method of steps in exact rational arithmetic (piecewise polynomials, worked
/// out apart from this code); IAE from an independent simulation, to 0.2 %.
fn check(settings: Result<PidSettings, rules::RuleError>, area_s: f64, peak: f64, time_s: f64) {
    let own = load_step_response(process(1.0, 1.0), settings.unwrap(), STEP).unwrap();
    let own_area_s = own.integral_absolute_error_s.unwrap();
    assert!(
        (own_area_s / area_s - 1.0).abs() < 2e-3,
        "{own_area_s} instead of {area_s}"
    );
    assert!(
        (own.peak_deviation_ratio - peak).abs() < 2e-6,
        "{} instead of {peak}",
        own.peak_deviation_ratio
    );
    assert!(
        (own.peak_time_s - time_s).abs() < 1e-3,
        "{} instead of {time_s}",
        own.peak_time_s
    );
}

#[test]
fn crosscheck_rules_on_the_unit_process() {
    let unit = process(1.0, 1.0);
    check(rules::simc_pi(unit, 1.0), 16.0, 1.961_134, 3.031_19);
    check(rules::simc_pi(unit, 1.5), 25.0, 2.254_462, 3.844_25);
    check(rules::simc_pi(unit, 2.0), 36.0, 2.576_704, 4.784_40);
    check(rules::tyreus_luyben_pi(unit), 18.039, 1.995_059, 3.130_95);
    check(rules::ziegler_nichols_pi(unit), 5.613, 1.630_728, 2.211_11);
    check(rules::amigo_pi(unit), 38.286, 2.510_924, 4.664_53);
    check(rules::lambda_pi(unit, 1.0), 5.667, 1.591_255, 2.127_68);
    check(rules::lambda_pi(unit, 2.0), 9.0, 1.825_628, 2.655_93);
    check(rules::lambda_pi(unit, 3.0), 16.0, 2.092_944, 3.335_99);
    check(rules::lambda_pi(unit, 10.0), 121.0, 4.478_793, 10.026_63);
}

/// Integral of the error = Ti/Kc per unit of load, from ∫y' = 0: equal to the IAE while y keeps its sign.
#[test]
fn published_error_integral_is_reset_over_gain() {
    for derivative_s in [0.0, 0.3] {
        let settings = PidSettings::ideal(0.4, Some(12.0), derivative_s).unwrap();
        let own = load_step_response(process(1.0, 1.0), settings, STEP).unwrap();
        assert!(
            (own.integral_absolute_error_s.unwrap() - 30.0).abs() < 1e-4,
            "{own:?}"
        );
    }
}

/// Method of steps by hand, θ = 1, k' = 1, P with Kc = 0.5: y = t, then y = t − (t−1)²/4 up to t = 2, then
/// plus (t−2)³/24 up to t = 3.
#[test]
fn published_method_of_steps_by_hand() {
    let own = load_step_response(
        process(1.0, 1.0),
        PidSettings::ideal(0.5, None, 0.0).unwrap(),
        STEP,
    )
    .unwrap();
    let by_hand =
        |t: f64| t - 0.25 * (t - 1.0).max(0.0).powi(2) + (t - 2.0).max(0.0).powi(3) / 24.0;
    let mut seen = 0;
    for point in own.curve.iter().take_while(|point| point.time_s <= 3.0) {
        assert!(
            (point.deviation_ratio - by_hand(point.time_s)).abs() < 1e-10,
            "{point:?}"
        );
        seen += 1;
    }
    assert!(seen > 5);
}

/// The same by hand with derivative, where the output jumps at once: u(0) = Kd.
#[test]
fn published_method_of_steps_with_derivative_jump() {
    let settings = PidSettings::parallel(0.5, 0.0, 0.25).unwrap();
    let own = load_step_response(process(1.0, 1.0), settings, STEP).unwrap();
    assert!((own.curve[0].output_ratio - 0.25).abs() < 1e-12);
    let mut seen = 0;
    for point in own.curve.iter().take_while(|point| point.time_s <= 2.0) {
        let late_s = (point.time_s - 1.0).max(0.0);
        let expect = point.time_s - 0.25 * late_s - 0.25 * late_s * late_s;
        assert!(
            (point.deviation_ratio - expect).abs() < 1e-10,
            "{point:?} {expect}"
        );
        seen += 1;
    }
    assert!(seen > 3);
}

/// Critically damped, no dead time: y = k'·D·t·e^(−t/λ), peak k'·D·λ/e = 0.367879 k'·D·λ at t = λ.
#[test]
fn published_ideal_peak_at_the_arrest_time() {
    let (gain_per_s, arrest_s, load_ratio) = (0.002, 150.0, 0.3);
    let unit = process(gain_per_s, 0.0);
    let settings = rules::lambda_pi(unit, arrest_s).unwrap();
    let ideal = settings.to_ideal().unwrap();
    let (gain_ratio, reset_s) = (ideal.gain_ratio(), ideal.reset_s().unwrap());
    assert!((ideal_damping_ratio(gain_per_s, gain_ratio, reset_s) - 1.0).abs() < 1e-12);
    let expect = gain_per_s * load_ratio * arrest_s / E;
    let peak = ideal_peak(gain_per_s, gain_ratio, reset_s, load_ratio);
    assert!(
        (peak.deviation_ratio / expect - 1.0).abs() < 1e-12
            && (peak.time_s / arrest_s - 1.0).abs() < 1e-12
    );
    let step = LoadStep {
        load_ratio,
        settle_band_ratio: 0.05,
    };
    let own = load_step_response(unit, settings, step).unwrap();
    assert!(
        (own.peak_deviation_ratio / expect - 1.0).abs() < 1e-6,
        "{} {expect}",
        own.peak_deviation_ratio
    );
    assert!((own.peak_time_s / arrest_s - 1.0).abs() < 1e-3);
    // Averaging PI: the same peak written as (2/e)·D/Kc.
    assert!((expect / (2.0 / E * load_ratio / gain_ratio) - 1.0).abs() < 1e-12);
    // t·e^(1−t) = 0.05 at t = 5.7439 (root of the closed solution).
    assert!(
        (own.settle_time_s / arrest_s - 5.7439).abs() < 0.02,
        "{}",
        own.settle_time_s / arrest_s
    );
}

/// y = (k'·D/ωd)·e^(−at)·sin(ωd·t): ∫|y| = (k'·D/ωn²)·coth(π·a/(2·ωd)).
#[test]
fn published_ideal_oscillating_response() {
    let settings = PidSettings::ideal(1.0, Some(1.0), 0.0).unwrap();
    let own = load_step_response(process(1.0, 0.0), settings, STEP).unwrap();
    let (decay, turn) = (0.5, 0.75_f64.sqrt());
    let area_s = 1.0 / (PI * decay / (2.0 * turn)).tanh();
    assert!((own.integral_absolute_error_s.unwrap() / area_s - 1.0).abs() < 1e-4);
    // ωd·t = acos(ζ) = π/3
    let time_s = PI / 3.0 / turn;
    assert!((own.peak_time_s / time_s - 1.0).abs() < 1e-3);
    assert!((own.peak_deviation_ratio / (-decay * time_s).exp() - 1.0).abs() < 1e-6);
}

/// P-only, no dead time: y = (D/Kc)·(1 − e^(−Kc·k'·t)).
#[test]
fn published_proportional_only_leaves_an_offset() {
    let settings = PidSettings::ideal(4.0, None, 0.0).unwrap();
    let step = LoadStep {
        load_ratio: -0.2,
        settle_band_ratio: 0.05,
    };
    let own = load_step_response(process(0.01, 0.0), settings, step).unwrap();
    assert!((own.final_deviation_ratio + 0.05).abs() < 1e-15);
    assert!((own.peak_deviation_ratio + 0.05).abs() < 1e-15 && own.peak_time_s.is_infinite());
    assert!(own.integral_absolute_error_s.is_none());
    assert!(
        (own.settle_time_s / (20.0_f64.ln() / 0.04) - 1.0).abs() < 0.01,
        "{}",
        own.settle_time_s
    );
}

#[test]
fn published_unstable_and_impossible_input_is_refused() {
    let unit = process(1.0, 1.0);
    let fast = PidSettings::ideal(2.0, Some(8.0), 0.0).unwrap();
    assert!(matches!(
        load_step_response(unit, fast, STEP),
        Err(ResponseError::Unstable(_))
    ));
    let good = rules::simc_pi(unit, 1.0).unwrap();
    for load_ratio in [0.0, f64::NAN, f64::INFINITY] {
        assert!(load_step_response(unit, good, LoadStep { load_ratio, ..STEP }).is_err());
    }
    for settle_band_ratio in [0.0, 1.1, f64::NAN] {
        assert!(
            load_step_response(
                unit,
                good,
                LoadStep {
                    settle_band_ratio,
                    ..STEP
                }
            )
            .is_err()
        );
    }
    let tiny = process(1.0, 1e-9);
    let slow = PidSettings::ideal(0.5, Some(8.0), 0.0).unwrap();
    assert!(matches!(
        load_step_response(tiny, slow, STEP),
        Err(ResponseError::TooManySteps { .. })
    ));
}

#[test]
fn property_ideal_peak_is_continuous_at_critical_damping() {
    let at = |zeta: f64| ideal_peak(0.01, 2.0, 200.0 * zeta * zeta, 0.1);
    for offset in [0.9e-5, 1.1e-5] {
        let (below, above) = (at(1.0 - offset), at(1.0 + offset));
        let middle = at(1.0);
        let mean = 0.5 * (below.deviation_ratio + above.deviation_ratio);
        assert!((mean / middle.deviation_ratio - 1.0).abs() < 1e-9);
        assert!((0.5 * (below.time_s + above.time_s) / middle.time_s - 1.0).abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn property_peak_is_linear_in_load(load_ratio in 0.01..1.0f64, gain_ratio in 0.1..0.8f64, reset_s in 3.0..30.0f64) {
        let settings = PidSettings::ideal(gain_ratio, Some(reset_s), 0.0).unwrap();
        let unit = load_step_response(process(1.0, 1.0), settings, STEP).unwrap();
        let step = LoadStep { load_ratio: -load_ratio, ..STEP };
        let own = load_step_response(process(1.0, 1.0), settings, step).unwrap();
        prop_assert!((own.peak_deviation_ratio / unit.peak_deviation_ratio + load_ratio).abs() < 1e-12);
        prop_assert!((own.settle_time_s - unit.settle_time_s).abs() < 1e-12);
    }

    #[test]
    fn property_response_does_not_depend_on_the_unit_of_time(
        scale in 1e-3..1e3f64, gain_ratio in 0.1..0.8f64, reset_s in 3.0..30.0f64,
    ) {
        let one = load_step_response(
            process(1.0, 1.0), PidSettings::ideal(gain_ratio, Some(reset_s), 0.2).unwrap(), STEP).unwrap();
        let two = load_step_response(
            process(1.0 / scale, scale),
            PidSettings::ideal(gain_ratio, Some(reset_s * scale), 0.2 * scale).unwrap(), STEP).unwrap();
        prop_assert!((one.peak_deviation_ratio / two.peak_deviation_ratio - 1.0).abs() < 1e-5);
        prop_assert!((one.peak_time_s * scale / two.peak_time_s - 1.0).abs() < 1e-3);
        prop_assert!((one.settle_time_s * scale / two.settle_time_s - 1.0).abs() < 0.02);
    }

    /// A vanishing dead time joins the closed solution without one, for any damping, derivative included.
    #[test]
    fn property_small_dead_time_joins_the_closed_solution(zeta in 0.3..2.0f64, derivative_s in 0.0..0.5f64) {
        let settings = PidSettings::ideal(1.0, Some(4.0 * zeta * zeta), derivative_s).unwrap();
        let none = load_step_response(process(1.0, 0.0), settings, STEP).unwrap();
        let small = load_step_response(process(1.0, 1e-3), settings, STEP).unwrap();
        prop_assert!((none.peak_deviation_ratio / small.peak_deviation_ratio - 1.0).abs() < 5e-3);
        if derivative_s == 0.0 {
            let peak = ideal_peak(1.0, 1.0, 4.0 * zeta * zeta, 1.0);
            prop_assert!((none.peak_deviation_ratio / peak.deviation_ratio - 1.0).abs() < 1e-6);
        }
    }
}
proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn property_every_stable_loop_has_a_response(
        gain_log in -2.0..0.4f64, reset_log in -0.3..3.0f64, dead_time_log in -1.5..0.2f64, share in 0.0..0.4f64,
    ) {
        let dead_time_s = 10.0_f64.powf(dead_time_log);
        let settings = PidSettings::ideal(
            10.0_f64.powf(gain_log), Some(10.0_f64.powf(reset_log)), share * dead_time_s).unwrap();
        match load_step_response(process(1.0, dead_time_s), settings, STEP) {
            Ok(own) => {
                prop_assert!(own.peak_deviation_ratio >= dead_time_s * (1.0 - 1e-9));
                prop_assert!(own.settle_time_s > own.peak_time_s);
                prop_assert!(own.curve.len() > 50, "{}", own.curve.len());
                // The area is at least that of the signed error, Ti/Kc.
                let signed_s = 1.0 / settings.to_parallel().integral_per_s();
                prop_assert!(own.integral_absolute_error_s.unwrap() >= signed_s * (1.0 - 1e-3));
            }
            Err(ResponseError::Unstable(_) | ResponseError::TooManySteps { .. }) => {}
            Err(error) => prop_assert!(false, "{error}"),
        }
    }
}
