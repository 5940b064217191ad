//! Tests of the commissioning limits and steps.

use super::*;
use proptest::prelude::*;

fn bench_cell() -> BenchCell {
    BenchCell {
        reference_accuracy_percent: 0.1,
        drift_percent_url_per_year: 0.1,
        upper_range_limit_pa: 60_000.0,
        span_pa: 6_000.0,
        largest_push_pa: 6_000.0,
    }
}

#[test]
fn practice_five_point_limits() {
    // A 0.15 % cell, drift 0.1 % of URL a year, turndown 10: instruments 0.05 % each (0.025 % of twice the span), 0.0707 %
    // together.
    let limits = five_point_limits(BenchCell {
        reference_accuracy_percent: 0.15,
        ..bench_cell()
    });
    assert!((limits.calibrator_percent - 0.05).abs() < 1e-6);
    assert!((limits.ammeter_percent - 0.05).abs() < 1e-6);
    assert!((limits.as_left_percent - 0.220_711).abs() < 1e-6);
    assert!((limits.as_found_percent - 1.220_711).abs() < 1e-6);
    assert!(limits.uncertainty_ratio() > TEST_UNCERTAINTY_RATIO);
}

#[test]
fn practice_no_better_than_a_field_set() {
    // 0.025 % of 18 kPa, twice a push of 9 kPa, is 4.5 Pa, 0.075 % of a 6 kPa span; 0.025 % of 20 mA is 0.005 mA, 0.03125 % of 16 mA.
    let limits = five_point_limits(BenchCell {
        reference_accuracy_percent: 0.04,
        largest_push_pa: 9_000.0,
        ..bench_cell()
    });
    assert!((limits.calibrator_percent - 0.075).abs() < 1e-9);
    assert!((limits.ammeter_percent - 0.031_25).abs() < 1e-9);
    assert!((limits.as_left_percent - 0.121_25).abs() < 1e-6);
    assert!(limits.uncertainty_ratio() < TEST_UNCERTAINTY_RATIO);
}

#[test]
fn practice_settled_when_it_no_longer_leaves() {
    let swing = [
        (0.0, 0.0),
        (10.0, -9.0),
        (20.0, 1.0),
        (30.0, 4.0),
        (40.0, 2.0),
    ];
    assert_eq!(settled_after_s(&swing, 3.0), Some(30.0));
    assert_eq!(settled_after_s(&swing, 1.0), None);
    assert_eq!(settled_after_s(&swing, 10.0), Some(0.0));
    assert_eq!(settled_after_s(&[], 1.0), None);
}

#[test]
fn published_root_sum_of_squares() {
    // JCGM 100:2008 5.1.2: independent parts add in squares; 3, 4 and 12 make 13.
    let parts = ComparisonParts {
        glass_reading_m: 3.0,
        survey_m: 0.0,
        pot_lip_m: 4.0,
        cell_m: 12.0,
        leg_temperature_m: 0.0,
        glass_temperature_m: 0.0,
    };
    assert!((parts.limit_m() - 13.0).abs() < 1e-12);
}

fn bump_loop() -> BumpLoop {
    BumpLoop {
        process_gain_per_s: 0.0005,
        span_m: 0.762,
        allowed_deviation_m: 0.0381,
        valve_lost_ratio: 0.005,
        steady_output_ratio: 0.5,
    }
}

#[test]
fn practice_bump_size() {
    // k' 0.0005 1/s, 0.762 m span: 15.24 mm in 60 s would want 67 % of output, so 25 % it is: 160 s.
    let slow = bump_test(bump_loop());
    assert!((slow.step_ratio - 0.25).abs() < 1e-12);
    assert!((slow.slope_m_s - 9.525e-5).abs() < 1e-9);
    assert!((slow.return_after_s - 160.0).abs() < 1e-6);
    // At 90 % of output there are 10 % of room: 8 % are used.
    let near_the_end = BumpLoop {
        steady_output_ratio: 0.9,
        ..bump_loop()
    };
    assert!((bump_test(near_the_end).step_ratio - 0.08).abs() < 1e-12);
    // A lively vessel gets the least step, unless the valve would swallow it.
    let lively = |valve_lost_ratio| BumpLoop {
        process_gain_per_s: 0.1,
        valve_lost_ratio,
        ..bump_loop()
    };
    assert!((bump_test(lively(0.0)).step_ratio - 0.01).abs() < 1e-12);
    assert!((bump_test(lively(0.01)).step_ratio - 0.02).abs() < 1e-12);
}

#[test]
fn practice_dead_time_is_judged_where_it_can_be_read() {
    // 25 % of 8 s are the 2 s that a person reads; 1 % of a 1 m span in 10 s is ten times what a panel resolves.
    let test = |slope_m_s| BumpTest {
        step_ratio: 0.1,
        slope_m_s,
        move_m: 0.02,
        return_after_s: 20.0,
    };
    assert_eq!(
        dead_time_judgement(test(1e-3), 10.0, 1.0),
        DeadTimeJudgement::Judged
    );
    assert_eq!(
        dead_time_judgement(test(1e-3), 7.9, 1.0),
        DeadTimeJudgement::TooShort
    );
    assert_eq!(
        dead_time_judgement(test(1e-5), 10.0, 1.0),
        DeadTimeJudgement::TooSmall
    );
    assert_eq!(
        dead_time_judgement(test(f64::NAN), 10.0, 1.0),
        DeadTimeJudgement::TooSmall
    );
}

#[test]
fn crosscheck_glass_temperature_effect() {
    // CoolProp 8.0.0, IF97::Water, 1 MPa: saturated 887.1275 and 5.1454 kg/m3; 935.3129 kg/m3 at 403.03 K and
    // 951.4548 kg/m3 at 383.03 K. 0.5 m * 16.1419 / 881.9821 = 9.1509 mm.
    let effect = glass_temperature_effect_m(0.5, 403.03, 1.0e6, 887.1275, 5.1454).unwrap();
    assert!((effect - 9.1509e-3).abs() < 1e-6, "{effect}");
}

proptest! {
    #[test]
    fn property_limits_grow_with_turndown(
        accuracy in 0.01..1.0f64, drift in 0.0..1.0f64, span in 100.0..10_000.0f64, factor in 1.01..20.0f64,
    ) {
        let cell = BenchCell {
            reference_accuracy_percent: accuracy,
            drift_percent_url_per_year: drift,
            upper_range_limit_pa: 62_000.0,
            span_pa: span,
            largest_push_pa: span,
        };
        let wide = five_point_limits(BenchCell { span_pa: span * factor, ..cell });
        let narrow = five_point_limits(cell);
        prop_assert!(narrow.as_found_percent >= wide.as_found_percent);
        prop_assert!(wide.as_left_percent <= wide.as_found_percent);
        // 0.025 % of the range, twice the span here, is never undercut.
        prop_assert!(narrow.calibrator_percent >= 2.0 * FIELD_INSTRUMENT_PERCENT);
    }

    #[test]
    fn property_a_cooler_glass_reads_lower(height in 0.05..1.5f64, glass_k in 330.0..440.0f64) {
        let effect = glass_temperature_effect_m(height, glass_k, 1.0e6, 887.1, 5.14).unwrap();
        prop_assert!(effect > 0.0);
    }

    #[test]
    fn property_bump_moves_what_it_says(
        gain in 1e-5..1e-1f64, span in 0.1..3.0f64, deviation in 0.005..0.3f64, lost in 0.0..0.02f64, output in 0.0..1.0f64,
    ) {
        let bump = bump_test(BumpLoop {
            process_gain_per_s: gain,
            span_m: span,
            allowed_deviation_m: deviation,
            valve_lost_ratio: lost,
            steady_output_ratio: output,
        });
        prop_assert!((bump.slope_m_s * bump.return_after_s / bump.move_m - 1.0).abs() < 1e-9);
        prop_assert!(bump.move_m <= deviation / 2.0 && bump.move_m <= 0.02 * span + 1e-12);
        prop_assert!(bump.step_ratio >= 2.0 * lost);
        prop_assert!(bump.step_ratio <= 0.25);
    }

    #[test]
    fn property_rounding_never_loosens(limit in 1e-6..1e4f64) {
        let (rounded, _) = rounded_down(limit, 2);
        prop_assert!(rounded <= limit * (1.0 + 1e-8));
        prop_assert!(rounded >= limit * 0.9);
    }
}

#[test]
fn practice_rounded_down_keeps_what_is_exact() {
    for (limit, digits, expect, decimals) in [
        (0.02, 2, 0.02, 3),
        (0.015_625, 2, 0.015, 3),
        (0.199_9, 1, 0.1, 1),
        (12.7, 2, 12.0, 0),
        (0.0, 2, 0.0, 0),
        (f64::NAN, 2, 0.0, 0),
    ] {
        let (rounded, places) = rounded_down(limit, digits);
        assert!((rounded - expect).abs() < 1e-12, "{limit}: {rounded}");
        assert_eq!(places, decimals, "{limit}");
    }
}
