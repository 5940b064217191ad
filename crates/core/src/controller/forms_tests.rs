//! Checks of the forms.

use super::*;
use proptest::prelude::*;

fn is_close(left: f64, right: f64, relative: f64) -> bool {
    (left - right).abs() <= relative * right.abs().max(f64::MIN_POSITIVE)
}

fn check(settings: TimeSettings, expect: (f64, f64, f64), relative: f64) {
    let (gain_ratio, reset_s, derivative_s) = expect;
    assert!(
        is_close(settings.gain_ratio(), gain_ratio, relative),
        "{settings:?}"
    );
    assert!(
        is_close(settings.reset_s().unwrap(), reset_s, relative),
        "{settings:?}"
    );
    assert!(
        is_close(settings.derivative_s(), derivative_s, relative),
        "{settings:?}"
    );
}

/// Skogestad 2003: f = 1 + Td/Ti.
#[test]
fn published_series_to_ideal() {
    let series = PidSettings::series(2.0, Some(10.0), 2.0).unwrap();
    check(series.to_ideal().unwrap(), (2.4, 12.0, 1.666_667), 5e-7);
}

/// Åström & Hägglund 2006, chapter 3: Ti ≥ 4·Td; digits from the formula in exact arithmetic.
#[test]
fn published_ideal_to_series() {
    let ideal = PidSettings::ideal(1.0, Some(8.0), 0.5).unwrap();
    check(
        ideal.to_series().unwrap(),
        (0.933_012_70, 7.464_101_62, 0.535_898_38),
        9.4e-9,
    );
}

/// Definition of the parallel form: Kp = Kc, Ki = Kc/Ti, Kd = Kc·Td.
#[test]
fn published_ideal_to_parallel() {
    let gains = PidSettings::ideal(2.4, Some(12.0), 5.0 / 3.0)
        .unwrap()
        .to_parallel();
    assert!(is_close(gains.proportional_ratio(), 2.4, 1e-15));
    assert!(is_close(gains.integral_per_s(), 0.2, 1e-15));
    assert!(is_close(gains.integral_per_min(), 12.0, 1e-15));
    assert!(is_close(gains.derivative_s(), 4.0, 1e-15));
    assert!(is_close(gains.derivative_min(), 4.0 / 60.0, 1e-15));
}

#[test]
fn published_series_refuses_complex_zeros_and_says_why() {
    let limit = PidSettings::ideal(1.0, Some(8.0), 2.0).unwrap();
    check(limit.to_series().unwrap(), (0.5, 4.0, 4.0), 1e-15);
    let beyond = PidSettings::ideal(1.0, Some(8.0), 2.001).unwrap();
    let error = beyond.to_form(PidForm::Series).unwrap_err();
    assert!(matches!(
        error,
        FormError::DerivativeAboveQuarterOfReset { .. }
    ));
    assert!(
        error
            .to_string()
            .contains("more than a quarter of the reset time 8 s"),
        "{error}"
    );
}

#[test]
fn published_integral_only_has_no_ideal_form() {
    let settings = PidSettings::parallel(0.0, 0.1, 0.0).unwrap();
    assert_eq!(settings.to_ideal(), Err(FormError::NoProportionalPart));
}

#[test]
fn published_impossible_settings_are_refused() {
    for gain_ratio in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(PidSettings::ideal(gain_ratio, None, 0.0).is_err());
    }
    for reset_s in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(PidSettings::series(1.0, Some(reset_s), 0.0).is_err());
    }
    assert!(PidSettings::ideal(1.0, None, f64::NAN).is_err());
    assert!(PidSettings::parallel(0.0, 0.0, 0.0).is_err());
    assert!(PidSettings::parallel(1.0, f64::NAN, 0.0).is_err());
}

proptest! {
    #[test]
    fn property_series_survives_ideal_and_parallel(
        gain_ratio in 0.01..100.0f64, reset_s in 0.1..10_000.0f64, share in 0.0..0.999f64,
    ) {
        // Only Td <= Ti comes back as written: the two factors of a series form commute.
        let series = PidSettings::series(gain_ratio, Some(reset_s), share * reset_s).unwrap();
        let parallel = series.to_form(PidForm::Ideal).unwrap().to_form(PidForm::Parallel).unwrap();
        let back = parallel.to_series().unwrap();
        prop_assert!(is_close(back.gain_ratio(), gain_ratio, 1e-6));
        prop_assert!(is_close(back.reset_s().unwrap(), reset_s, 1e-6));
        prop_assert!((back.derivative_s() - share * reset_s).abs() <= 1e-6 * reset_s);
    }

    #[test]
    fn property_forms_agree_at_every_frequency(
        gain_ratio in 0.01..100.0f64, reset_s in 0.1..1000.0f64, share in 0.0..2.0f64, turns in 0.01..100.0f64,
    ) {
        let derivative_s = share * reset_s;
        let w_rad_s = turns / reset_s;
        let gains = PidSettings::series(gain_ratio, Some(reset_s), derivative_s).unwrap().to_parallel();
        // (1 + 1/(jw Ti))(1 + jw Td), expanded by hand
        let real = gain_ratio * (1.0 + derivative_s / reset_s);
        let imaginary = gain_ratio * (w_rad_s * derivative_s - 1.0 / (w_rad_s * reset_s));
        prop_assert!(is_close(gains.proportional_ratio(), real, 1e-12));
        let own = gains.derivative_s() * w_rad_s - gains.integral_per_s() / w_rad_s;
        prop_assert!((own - imaginary).abs() <= 1e-12 * real.max(imaginary.abs()).max(gain_ratio * turns.max(1.0 / turns)));
    }

    #[test]
    fn property_span_change_keeps_output_per_metre(
        gain_ratio in 0.01..100.0f64, old_m in 0.05..5.0f64, new_m in 0.05..5.0f64,
    ) {
        let after = gain_after_span_change(gain_ratio, old_m, new_m).unwrap();
        prop_assert!(is_close(after / new_m, gain_ratio / old_m, 1e-12));
    }
}
