//! Tests of the best range.

use super::*;
use crate::description::Polarity;
use crate::example_loop::{M_PER_IN, drum_boiler, kelvin, psig, shell_boiler, vented_tank};
use crate::measurement::condition;
use crate::quantity::AbsolutePressure;
use proptest::prelude::*;

fn hot_range(described: &Loop) -> Range {
    let normal = condition::normal(described).unwrap();
    condition::cell_at(described, &normal)
        .unwrap()
        .exact_range(described.range.span)
        .unwrap()
}

fn best(described: &Loop) -> (Vec<Extreme>, Line, f64) {
    let extremes = extremes(described, hot_range(described)).unwrap();
    let (line, worst) = fit(&extremes, wish(described)).unwrap();
    (extremes, line, worst)
}

/// A band of 0 to 150 psi(g), leg at one temperature.
fn wide_band() -> Loop {
    let mut described = shell_boiler();
    described.pressures.lowest_sustained = psig(0.0);
    described.pressures.highest = psig(150.0);
    described.leg_temperature_band_k = (kelvin(50.0), kelvin(50.0));
    described
}

/// Is the origin in the convex hull of these plane vectors: no open half-plane holds them all.
fn hull_holds_origin(vectors: &[(f64, f64)]) -> bool {
    // A separating direction, if there is one, can be turned until it is square to one of the vectors.
    let scale = vectors.iter().map(|v| v.0.hypot(v.1)).fold(0.0, f64::max);
    !vectors
        .iter()
        .flat_map(|v| [(-v.1, v.0), (v.1, -v.0)])
        .any(|direction| {
            let dots: Vec<f64> = vectors
                .iter()
                .map(|v| v.0 * direction.0 + v.1 * direction.1)
                .collect();
            let slack = 1e-7 * scale * scale;
            dots.iter().all(|dot| *dot > -slack) && {
                // All on one closed side; separated unless the vectors on the line point both ways.
                let on_line: Vec<f64> = vectors
                    .iter()
                    .zip(&dots)
                    .filter(|(_, dot)| dot.abs() <= slack)
                    .map(|(v, _)| v.0 * direction.1 - v.1 * direction.0)
                    .collect();
                !(on_line.iter().any(|along| *along > slack)
                    && on_line.iter().any(|along| *along < -slack))
            }
        })
}

/// Vectors s·w·(1, u) of the active errors, and (1, u) of the active limits.
fn active_vectors(extremes: &[Extreme], wish: Wish, line: Line, worst: f64) -> Vec<(f64, f64)> {
    let mut vectors = Vec::new();
    for extreme in extremes {
        let error = line.error(extreme);
        let u = extreme.hot_share;
        for (sign, weight) in [(1.0, wish.high_weight), (-1.0, wish.low_weight)] {
            if extreme.weighed && (worst - sign * weight * error).abs() < ACTIVE {
                vectors.push((sign * weight, sign * weight * u));
            }
        }
        if extreme.limited && (wish.high_limit - error).abs() < ACTIVE {
            vectors.push((1.0, u));
        }
    }
    vectors
}

#[test]
fn property_hull_test_tells_inside_from_outside() {
    assert!(hull_holds_origin(&[(1.0, 0.0), (-1.0, 1.0), (-1.0, -1.0)]));
    assert!(hull_holds_origin(&[(1.0, 0.5), (-1.0, -0.5)]));
    assert!(!hull_holds_origin(&[(1.0, 0.0), (1.0, 1.0), (0.1, -1.0)]));
    assert!(!hull_holds_origin(&[(1.0, 0.0)]));
}

#[test]
fn property_one_condition_gives_back_the_hot_range() {
    let mut described = shell_boiler();
    described.pressures.lowest_sustained = described.pressures.normal;
    described.pressures.highest = described.pressures.normal;
    described.leg_temperature_band_k = (kelvin(50.0), kelvin(50.0));
    let hot = hot_range(&described);
    let found = best_range(&described, hot, hot).unwrap().0;
    assert!(found.worst_error_percent.abs() < 1e-8, "{found:?}");
    assert!(!found.held_by_high_limit, "the limit costs nothing here");
    assert!(
        (found.range.lrv_pa - hot.lrv_pa).abs() < 1e-6
            && (found.range.urv_pa - hot.urv_pa).abs() < 1e-6
    );
    let tank = vented_tank();
    let hot = hot_range(&tank);
    assert!(best_range(&tank, hot, hot).is_ok());
}

/// The same band solved by scipy 1.17.1 (linprog, HiGHS dual simplex) over densities of iapws 1.5.5 (IAPWS-IF97) on a
/// grid of 71 pressures by 41 leg temperatures, both ends of the span, limit 0 at empty and at the low alarm.
#[test]
fn crosscheck_best_range_of_the_shell_boiler() {
    let described = shell_boiler();
    let hot = hot_range(&described);
    assert!((hot.lrv_pa + 4_899.367_031).abs() < 1e-5 && (hot.urv_pa + 496.018_964).abs() < 1e-5);
    let found = best_range(&described, hot, hot).unwrap().0;
    assert!(
        (found.range.lrv_pa + 4_861.225_670).abs() < 1e-5,
        "{found:?}"
    );
    assert!((found.range.urv_pa + 470.158_706).abs() < 1e-5, "{found:?}");
    assert!(
        (found.worst_error_percent - 2.110_716_421).abs() < 1e-8,
        "{found:?}"
    );
    assert!(
        found.held_by_high_limit && found.active.len() == 3,
        "{found:?}"
    );
}

/// Unlimited, a band of 0 to 150 psi(g) over 30 in reads about 1.2 in high at empty, 125 psi(g): computed from first principles.
#[test]
fn crosscheck_unlimited_fit_reads_high_near_empty() {
    let mut described = wide_band();
    described.range.high_error_limit_percent = 100.0;
    let (_, line, worst) = best(&described);
    let at_empty = 30.0 * line.alpha;
    assert!((1.0..1.4).contains(&at_empty), "{at_empty} in of 30");
    // With the limit at 0 the same point may not read high at all.
    described.range.high_error_limit_percent = 0.0;
    let (extremes, line, limited_worst) = best(&described);
    assert!(
        extremes
            .iter()
            .filter(|e| e.limited)
            .all(|e| line.error(e) < 1e-10)
    );
    assert!(limited_worst > worst, "{limited_worst} {worst}");
    let found = best_range(&described, hot_range(&described), hot_range(&described))
        .unwrap()
        .0;
    assert!(
        found.held_by_high_limit && !found.active.is_empty(),
        "{found:?}"
    );
}

#[test]
fn property_polarity_does_not_change_the_best_range_but_its_sign() {
    let described = wide_band();
    let mut mirrored = described.clone();
    mirrored.cell.polarity = Polarity::WetLegOnHigh;
    let (a, b) = (hot_range(&described), hot_range(&mirrored));
    let (one, other) = (
        best_range(&described, a, a).unwrap().0,
        best_range(&mirrored, b, b).unwrap().0,
    );
    assert!(
        (one.range.lrv_pa + other.range.lrv_pa).abs() < 1e-6,
        "{one:?} {other:?}"
    );
    assert!((one.range.urv_pa + other.range.urv_pa).abs() < 1e-6);
    assert!((one.worst_error_percent - other.worst_error_percent).abs() < 1e-9);
}

/// The extremes are those of a fine grid of conditions, and the limit holds at every one of them at and below the alarm.
#[test]
fn property_holds_over_a_fine_grid_of_the_band() {
    for mut described in [wide_band(), drum_boiler()] {
        described.leg_temperature_band_k.1 += 5.0;
        let hot = hot_range(&described);
        let found = best_range(&described, hot, hot).unwrap().0;
        let span = described.range.span;
        let (low, high) = (
            described.pressures.lowest_sustained.pa(),
            described.pressures.highest.pa(),
        );
        let mut worst = 0.0_f64;
        for i in 0..=30 {
            let pressure = AbsolutePressure::from_pa(low + (high - low) * f64::from(i) / 30.0);
            for j in 0..=6 {
                let legs = described.leg_temperature_band_k;
                let leg_k = legs.0 + (legs.1 - legs.0) * f64::from(j) / 6.0;
                let at = condition::in_service(&described, "grid", pressure, leg_k).unwrap();
                let cell = condition::cell_at(&described, &at).unwrap();
                for inch in 0..=20 {
                    let level = TrueLevel::from_m(f64::from(inch) * M_PER_IN);
                    let error = cell.error_percent(found.range, span, level).unwrap();
                    worst = worst.max(error.abs());
                    if level.m() <= described.limits.low_alarm_m.unwrap() {
                        assert!(error < 1e-6, "{error} % at {level:?}, {at:?}");
                    }
                }
            }
        }
        assert!(
            worst <= found.worst_error_percent + 1e-6,
            "{worst} {found:?}"
        );
        assert!(
            worst > found.worst_error_percent - 0.05,
            "{worst} {found:?}"
        );
        assert!(
            found.worst_error_percent <= found.hot_worst_error_percent + 1e-9
                || found.held_by_high_limit
        );
    }
}

#[test]
fn property_weights_that_are_not_positive_are_refused() {
    let (extremes, ..) = best(&wide_band());
    for weight in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let wish = Wish {
            high_weight: weight,
            low_weight: 1.0,
            high_limit: 0.0,
        };
        assert!(fit(&extremes, wish).is_err(), "{weight}");
    }
    let wish = Wish {
        high_weight: 1.0,
        low_weight: 1.0,
        high_limit: f64::NAN,
    };
    assert!(fit(&extremes, wish).is_err());
    let mut described = wide_band();
    described.leg_temperature_band_k = (kelvin(50.0), kelvin(20.0));
    assert!(extremes_fail(&described));
}

/// Legs of unlike temperature far below the taps move the reading by more than the span.
#[test]
fn property_a_band_wider_than_the_span_is_refused() {
    let mut described = drum_boiler();
    described.cell.below_lower_tap_m = 611.0;
    let hot = hot_range(&described);
    let found = best_range(&described, hot, hot);
    assert!(
        matches!(found, Err(MeasurementError::BandTooWide { .. })),
        "{found:?}"
    );
}

fn extremes_fail(described: &Loop) -> bool {
    super::super::band::extremes(described, hot_range(described)).is_err()
}

fn any_loop() -> impl Strategy<Value = Loop> {
    (
        0.0_f64..200.0,
        1.0_f64..300.0,
        10.0_f64..60.0,
        0.1_f64..40.0,
        0.2_f64..5.0,
        -1.0_f64..6.0,
    )
        .prop_map(|(low, width, leg, leg_width, high_weight, limit)| {
            let mut described = shell_boiler();
            described.pressures.lowest_sustained = psig(low);
            described.pressures.highest = psig(low + width);
            described.pressures.normal = psig(low + 0.7 * width);
            described.leg_temperature_band_k = (kelvin(leg), kelvin(leg + leg_width));
            described.range.high_error_weight = high_weight;
            described.range.high_error_limit_percent = limit;
            described
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Kuhn-Tucker in the plane: at the optimum the active vectors s·w·(1, Δp), limits included, hold the origin.
    #[test]
    fn property_optimum_holds_the_origin_in_the_hull_of_its_active_vectors(described in any_loop()) {
        let (extremes, line, worst) = best(&described);
        let vectors = active_vectors(&extremes, wish(&described), line, worst);
        prop_assert!(vectors.len() >= 2, "{vectors:?}");
        prop_assert!(hull_holds_origin(&vectors), "{vectors:?}");
        prop_assert!(line.beta > 0.0);
        prop_assert!((line.worst(&extremes, wish(&described)) - worst).abs() < 1e-10);
    }

    /// Brute force: no neighbouring or far line that keeps the limit does better.
    #[test]
    fn property_no_other_line_is_better(described in any_loop(), turn in 0.0_f64..std::f64::consts::TAU, reach in -6.0_f64..-0.5) {
        let (extremes, line, worst) = best(&described);
        let wish = wish(&described);
        let step = 10.0_f64.powf(reach);
        for i in 0..24 {
            let angle = turn + f64::from(i) * std::f64::consts::TAU / 24.0;
            let other = Line { alpha: line.alpha + step * angle.cos(), beta: line.beta + step * angle.sin() };
            let allowed = extremes.iter().filter(|e| e.limited).all(|e| other.error(e) <= wish.high_limit);
            if allowed {
                prop_assert!(other.worst(&extremes, wish) >= worst - 1e-10, "{other:?} beats {line:?}");
            }
        }
    }

    #[test]
    fn property_line_and_range_are_inverse(alpha in -0.5_f64..0.5, beta in 0.5_f64..2.0) {
        let hot = Range { lrv_pa: -4900.0, urv_pa: -500.0 };
        let line = Line { alpha, beta };
        let back = Line::of_range(line.range(hot), hot).unwrap();
        prop_assert!((back.alpha - alpha).abs() < 1e-10 && (back.beta - beta).abs() < 1e-10);
    }
}
