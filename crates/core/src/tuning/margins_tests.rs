//! Checks of the margins; every row for k' = θ = 1 unless it says otherwise.

use std::f64::consts::FRAC_PI_2;

use proptest::prelude::*;

use super::super::{process, rules};
use super::*;
use process::{IntegratingProcess, SelfRegulatingProcess};

fn unit() -> IntegratingProcess {
    IntegratingProcess::new(1.0, 1.0).unwrap()
}

fn stable(plant: impl Into<Plant>, settings: PidSettings) -> Margins {
    match robustness(plant.into(), settings).unwrap() {
        Robustness::Stable(margins) => margins,
        Robustness::Unstable(why) => panic!("{settings:?}: {why}"),
    }
}

/// `expect` is Ms, Mt, gain margin, phase margin in degrees, delay margin over dead time.
fn check(plant: impl Into<Plant>, settings: PidSettings, expect: [f64; 5]) {
    let margins = stable(plant, settings);
    let own = [
        margins.max_sensitivity_ratio,
        margins.max_complementary_ratio,
        margins.gain_margin_ratio,
        margins.phase_margin_deg,
        margins.delay_margin_s,
    ];
    for ((own, expect), tolerance) in own
        .into_iter()
        .zip(expect)
        .zip([1e-3, 1e-3, 1e-3, 0.05, 1e-3])
    {
        assert!(
            (own - expect).abs() < tolerance,
            "{settings:?}: {own} instead of {expect}: {margins:?}"
        );
    }
}

/// Skogestad, J. Process Control 13 (2003) 291-309, margins of the integrating case at τc = θ: gain margin 2.96, phase
/// margin 46.9°, Ms 1.70, Mt 1.30, delay margin 1.59; compared to the printed digits.
#[test]
fn published_simc_integrating() {
    let margins = stable(unit(), rules::simc_pi(unit(), 1.0).unwrap());
    assert!((margins.gain_margin_ratio - 2.96).abs() < 0.006);
    assert!((margins.phase_margin_deg - 46.9).abs() < 0.06);
    assert!((margins.max_sensitivity_ratio - 1.70).abs() < 0.006);
    assert!((margins.max_complementary_ratio - 1.30).abs() < 0.006);
    assert!((margins.delay_margin_s - 1.59).abs() < 0.006);
}

/// Skogestad 2003, margins of the self-regulating case, Ti = T, τc = θ: 3.14, 61.4°, 1.59, 1.00, 2.14. There
/// L = e^(−θs)/(2θs), so the gain margin printed 3.14 is π.
#[test]
fn published_simc_self_regulating() {
    let process = SelfRegulatingProcess::new(1.0, 3.0, 1.0).unwrap();
    let margins = stable(
        process,
        rules::simc_pi_self_regulating(process, 1.0).unwrap(),
    );
    assert!((margins.gain_margin_ratio - PI).abs() < 0.006);
    assert!((margins.phase_margin_deg - 61.4).abs() < 0.06);
    assert!((margins.max_sensitivity_ratio - 1.59).abs() < 0.006);
    assert!((margins.max_complementary_ratio - 1.00).abs() < 0.006);
    assert!((margins.delay_margin_s - 2.14).abs() < 0.006);
}

/// Independent frequency sweep; SIMC, Ziegler-Nichols and AMIGO rows also with python-control 0.10.2
/// (10th-order Padé), four digits equal. Ziegler-Nichols PI is published with Ms 2.83, gain margin 1.86-1.87.
#[test]
fn crosscheck_rules_on_the_unit_process() {
    let process = unit();
    check(
        process,
        rules::simc_pi(process, 1.0).unwrap(),
        [1.7035, 1.2994, 2.9634, 46.86, 1.5897],
    );
    check(
        process,
        rules::simc_pi(process, 1.5).unwrap(),
        [1.5039, 1.2429, 3.7528, 52.76, 2.2371],
    );
    check(
        process,
        rules::simc_pi(process, 2.0).unwrap(),
        [1.3933, 1.2193, 4.5408, 56.69, 2.8845],
    );
    check(
        process,
        rules::tyreus_luyben_pi(process).unwrap(),
        [1.6667, 1.2670, 3.0557, 48.54, 1.6935],
    );
    check(
        process,
        rules::ziegler_nichols_pi(process).unwrap(),
        [2.8310, 2.3569, 1.8680, 24.92, 0.5723],
    );
    check(
        process,
        rules::amigo_pi(process).unwrap(),
        [1.4101, 1.1900, 4.3428, 57.72, 2.8179],
    );
    check(
        process,
        rules::lambda_pi(process, 1.0).unwrap(),
        [3.2918, 2.8072, 1.7122, 21.19, 0.4562],
    );
    check(
        process,
        rules::lambda_pi(process, 2.0).unwrap(),
        [1.9538, 1.5645, 2.5529, 37.56, 1.1168],
    );
    check(
        process,
        rules::lambda_pi(process, 3.0).unwrap(),
        [1.6128, 1.3554, 3.3539, 46.43, 1.7683],
    );
    check(
        process,
        rules::lambda_pi(process, 10.0).unwrap(),
        [1.1814, 1.1978, 8.8684, 64.86, 6.3046],
    );
    check(
        process,
        rules::amigo_pid(process).unwrap(),
        [1.4065, 1.2331, 3.5208, 61.20, 2.3705],
    );
    check(
        process,
        rules::improved_simc_pid(process, 1.0).unwrap(),
        [1.4639, 1.2190, 3.4670, 56.50, 1.8896],
    );
    check(
        process,
        rules::ziegler_nichols_pid(process).unwrap(),
        [2.2916, 1.9222, 1.7923, 32.61, 0.6030],
    );
}

/// Independent frequency sweep.
#[test]
fn crosscheck_self_regulating() {
    let quick = SelfRegulatingProcess::new(2.0, 3.0, 1.0).unwrap();
    check(
        quick,
        rules::simc_pi_self_regulating(quick, 1.0).unwrap(),
        [1.5905, 1.0, PI, 61.35, 2.142],
    );
    let slow = SelfRegulatingProcess::new(0.5, 20.0, 1.0).unwrap();
    let margins = stable(slow, rules::simc_pi_self_regulating(slow, 1.0).unwrap());
    assert!((margins.max_sensitivity_ratio - 1.6512).abs() < 1e-3);
    assert!((margins.gain_margin_ratio - 3.0347).abs() < 1e-3);
    assert!((margins.phase_margin_deg - 52.51).abs() < 0.05);
}

/// P on k'e^(−θs)/s in closed form: ωc = Kc·k', PM = 90° − ωcθ, GM = π/(2·Kc·k'·θ).
#[test]
fn published_proportional_only_closed_form() {
    let process = IntegratingProcess::new(0.02, 5.0).unwrap();
    let margins = stable(process, PidSettings::ideal(4.0, None, 0.0).unwrap());
    assert!((margins.gain_crossover_rad_s.unwrap() - 0.08).abs() < 1e-14);
    assert!((margins.phase_margin_deg - (90.0 - 0.4_f64.to_degrees())).abs() < 1e-9);
    assert!((margins.gain_margin_ratio - FRAC_PI_2 / 0.4).abs() < 1e-9);
    assert!((margins.delay_margin_s - (FRAC_PI_2 / 0.08 - 5.0)).abs() < 1e-9);
    assert!((margins.phase_crossover_rad_s.unwrap() - FRAC_PI_2 / 5.0).abs() < 1e-12);
    assert!(margins.least_gain_ratio.abs() < 1e-300);
}

/// No dead time, PI, in closed form:
/// |1 + L|² = ((ω² − ωn²)² + (2ζωnω)²)/ω⁴ with ζ = 1 gives |S| = ω²/(ω² + ωn²) < 1: Ms = 1.
#[test]
fn published_no_dead_time_has_infinite_gain_margin() {
    let process = IntegratingProcess::new(0.01, 0.0).unwrap();
    let margins = stable(process, PidSettings::ideal(2.0, Some(200.0), 0.0).unwrap());
    assert!(margins.gain_margin_ratio.is_infinite() && margins.phase_crossover_rad_s.is_none());
    assert!((margins.max_sensitivity_ratio - 1.0).abs() < 1e-9);
    // ωc² = (a + √(a² + 4b))/2, a = (Kc·k')², b = (Kc·k'/Ti)²; ζ = 1: ωc = ωn·√(2 + √5)
    let crossover_rad_s = 0.01 * (2.0 + 5.0_f64.sqrt()).sqrt();
    assert!((margins.gain_crossover_rad_s.unwrap() - crossover_rad_s).abs() < 1e-14);
    assert!(
        (margins.phase_margin_deg - (crossover_rad_s * 200.0).atan().to_degrees()).abs() < 1e-9
    );
}

/// Closed form for P with inverse response and no dead time: closed-loop pole Kk'/(1 − Kk'τ).
#[test]
fn published_inverse_response_limits_the_gain() {
    let process = IntegratingProcess::new(0.1, 0.0).unwrap();
    let plant = Plant::with_inverse_response(process, 4.0).unwrap();
    let margins = stable(plant, PidSettings::ideal(1.0, None, 0.0).unwrap());
    assert!((margins.gain_margin_ratio - 2.5).abs() < 1e-12);
    assert!((margins.max_sensitivity_ratio - 1.0 / (1.0 - 0.4)).abs() < 1e-9);
    let too_much = robustness(plant, PidSettings::ideal(2.51, None, 0.0).unwrap()).unwrap();
    assert!(matches!(
        too_much,
        Robustness::Unstable(Instability::HighFrequencyGain { .. })
    ));
    let derivative = robustness(plant, PidSettings::ideal(0.1, None, 1.0).unwrap()).unwrap();
    assert!(matches!(
        derivative,
        Robustness::Unstable(Instability::HighFrequencyGain { .. })
    ));
}

/// Routh on s²(1 − Kk'τ) + s·Kk'(1 − τ/Ti) + Kk'/Ti: stable only for Ti > τ and Kk'τ < 1.
#[test]
fn published_inverse_response_routh() {
    let plant =
        Plant::with_inverse_response(IntegratingProcess::new(0.1, 0.0).unwrap(), 4.0).unwrap();
    for (gain_ratio, reset_s, expect) in [
        (1.0, 4.01, true),
        (1.0, 3.99, false),
        (2.49, 5.0, true),
        (2.51, 5.0, false),
    ] {
        let settings = PidSettings::ideal(gain_ratio, Some(reset_s), 0.0).unwrap();
        let own = robustness(plant, settings).unwrap().margins().is_some();
        assert_eq!(own, expect, "{gain_ratio} {reset_s}");
    }
}

#[test]
fn published_unstable_loops_are_called_unstable() {
    let process = unit();
    let ultimate = process.ultimate_point().unwrap().gain_ratio;
    for (gain_ratio, reset_s, derivative_s, expect) in [
        (ultimate * 0.999_999, None, 0.0, true),
        (ultimate * 1.000_001, None, 0.0, false),
        (0.5, Some(1.0), 0.0, false),
        (1e-3, Some(0.99), 0.0, false),
        (5.0, Some(8.0), 0.0, false),
        (50.0, Some(8.0), 0.0, false),
        (2.1, Some(8.0), 0.5, false),
    ] {
        let settings = PidSettings::ideal(gain_ratio, reset_s, derivative_s).unwrap();
        let own = robustness(process.into(), settings).unwrap();
        assert_eq!(own.margins().is_some(), expect, "{settings:?} {own:?}");
    }
    for settings in [
        PidSettings::parallel(0.0, 0.1, 0.0),
        PidSettings::parallel(0.0, 0.0, 0.1),
    ] {
        assert!(
            robustness(process.into(), settings.unwrap())
                .unwrap()
                .margins()
                .is_none()
        );
    }
}

/// A small self-regulating loop whose gain never reaches 1: |S| = |(1 + Ts)/(1 + Ts + kK e^(−θs))|.
#[test]
fn published_small_gain_is_stable_with_infinite_phase_margin() {
    let process = SelfRegulatingProcess::new(0.5, 10.0, 100.0).unwrap();
    let margins = stable(process, PidSettings::ideal(1.0, None, 0.0).unwrap());
    assert!(margins.phase_margin_deg.is_infinite() && margins.delay_margin_s.is_infinite());
    assert!(margins.max_sensitivity_ratio < 2.0 && margins.max_sensitivity_ratio > 1.5);
}

proptest! {
    #[test]
    fn property_margins_do_not_depend_on_the_unit_of_time(
        scale in 1e-4..1e4f64, gain_ratio in 0.05..0.9f64, reset_s in 4.0..40.0f64, share in 0.0..0.24f64,
    ) {
        let derivative_s = share * 1.5;
        let settings = PidSettings::ideal(gain_ratio, Some(reset_s), derivative_s).unwrap();
        let rescaled = PidSettings::ideal(gain_ratio, Some(reset_s * scale), derivative_s * scale).unwrap();
        let other = IntegratingProcess::new(1.0 / scale, scale).unwrap();
        let one = robustness(unit().into(), settings).unwrap().margins();
        let two = robustness(other.into(), rescaled).unwrap().margins();
        prop_assert_eq!(one.is_some(), two.is_some());
        if let (Some(one), Some(two)) = (one, two) {
            prop_assert!((one.max_sensitivity_ratio / two.max_sensitivity_ratio - 1.0).abs() < 1e-9);
            prop_assert!((one.gain_margin_ratio / two.gain_margin_ratio - 1.0).abs() < 1e-9);
            prop_assert!((one.phase_margin_deg - two.phase_margin_deg).abs() < 1e-7);
            prop_assert!((one.delay_margin_s * scale / two.delay_margin_s - 1.0).abs() < 1e-9);
        }
    }

    /// GM ≥ Ms/(Ms − 1) and PM ≥ 2·asin(1/(2Ms)): Åström & Hägglund 2006, chapter 4.
    #[test]
    fn property_sensitivity_bounds_gain_and_phase_margin(
        gain_ratio in 0.05..1.2f64, reset_s in 2.0..40.0f64, derivative_s in 0.0..0.6f64, tau_s in 0.0..0.5f64,
    ) {
        let settings = PidSettings::ideal(gain_ratio, Some(reset_s), if tau_s > 0.25 { 0.0 } else { derivative_s }).unwrap();
        let plant = Plant::with_inverse_response(unit(), if tau_s > 0.25 { tau_s } else { 0.0 }).unwrap();
        if let Some(margins) = robustness(plant, settings).unwrap().margins() {
            let peak = margins.max_sensitivity_ratio;
            prop_assert!(margins.gain_margin_ratio >= peak / (peak - 1.0) * (1.0 - 1e-7));
            prop_assert!(margins.phase_margin_deg >= 2.0 * (0.5 / peak).asin().to_degrees() - 1e-5);
        }
    }

    /// At the gain margin, and at the delay margin, the loop turns unstable.
    #[test]
    fn property_margins_are_where_stability_ends(
        gain_ratio in 0.05..1.2f64, reset_s in 2.0..40.0f64, derivative_s in 0.0..0.6f64,
    ) {
        let settings = |factor: f64| PidSettings::ideal(gain_ratio * factor, Some(reset_s), derivative_s).unwrap();
        if let Some(margins) = robustness(unit().into(), settings(1.0)).unwrap().margins() {
            let is_stable = |dead_time_s: f64, factor: f64| {
                let process = IntegratingProcess::new(1.0, dead_time_s).unwrap();
                robustness(process.into(), settings(factor)).unwrap().margins().is_some()
            };
            prop_assert!(is_stable(1.0, margins.gain_margin_ratio * (1.0 - 1e-6)));
            prop_assert!(!is_stable(1.0, margins.gain_margin_ratio * (1.0 + 1e-6)));
            prop_assert!(is_stable(1.0 + margins.delay_margin_s * (1.0 - 1e-6), 1.0));
            prop_assert!(!is_stable(1.0 + margins.delay_margin_s * (1.0 + 1e-6), 1.0));
        }
    }
}
