//! IEC 60534-2-4 forms as printed, and inverse.

use super::*;
use proptest::prelude::*;

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{found}, expected {expected}"
    );
}

// IEC 60534-2-4, equal percentage φ = φ0·exp(n·h), the usual printed tables (five digits), h = 0, 0.1 ... 1; printed from memory.
#[test]
fn published_equal_percentage_tables() {
    for (rangeability, table) in [
        (
            50.0,
            [
                0.02, 0.02958, 0.04373, 0.06467, 0.09564, 0.14142, 0.20913, 0.30925, 0.45731,
                0.67624, 1.0,
            ],
        ),
        (
            30.0,
            [
                0.03333, 0.04684, 0.06581, 0.09247, 0.12994, 0.18257, 0.25654, 0.36047, 0.5065,
                0.71169, 1.0,
            ],
        ),
    ] {
        let stated = Characteristic::EqualPercentage { rangeability };
        for (tenth, share) in (0u8..).zip(table) {
            near(
                stated
                    .relative_coefficient(f64::from(tenth) / 10.0)
                    .unwrap(),
                share,
                6e-6,
            );
        }
    }
}

// IEC 60534-2-4, φ = φ0 + m·h.
#[test]
fn published_linear_form() {
    let stated = Characteristic::Linear { rangeability: 50.0 };
    for (travel, share) in [(0.0, 0.02), (0.25, 0.265), (0.5, 0.51), (1.0, 1.0)] {
        near(stated.relative_coefficient(travel).unwrap(), share, 1e-12);
    }
}

// IEC 60534-2-4: ±10·(1/φ)^0.2 %; values from memory.
#[test]
fn published_allowed_deviation() {
    for (share, percent) in [
        (0.05, 18.206),
        (0.1, 15.849),
        (0.2, 13.797),
        (0.5, 11.487),
        (1.0, 10.0),
    ] {
        near(100.0 * allowed_deviation_ratio(share), percent, 6e-4);
    }
}

#[test]
fn practice_quick_opening_is_a_square_root_with_a_floor() {
    let stated = Characteristic::QuickOpening { rangeability: 20.0 };
    near(stated.relative_coefficient(0.25).unwrap(), 0.5, 1e-12);
    near(stated.relative_coefficient(0.001).unwrap(), 0.05, 1e-12);
    near(stated.slope(0.001).unwrap(), 0.0, 0.0);
    near(stated.travel(0.05).unwrap(), 0.0025, 1e-12);
}

// The printed table of R = 50 read as a table stays close to the curve it was taken from.
#[test]
fn property_table_follows_the_curve_it_came_from() {
    let curve = Characteristic::EqualPercentage { rangeability: 50.0 };
    let table = Characteristic::Table(
        (0..=10u8)
            .map(|i| f64::from(i) / 10.0)
            .map(|h| (h, curve.relative_coefficient(h).unwrap()))
            .collect(),
    );
    for step in 0..=200u8 {
        let travel = f64::from(step) / 200.0;
        let expected = curve.relative_coefficient(travel).unwrap();
        near(
            table.relative_coefficient(travel).unwrap(),
            expected,
            0.02 * expected,
        );
    }
}

#[test]
fn property_refuses_what_is_not_in_order() {
    for table in [
        vec![],
        vec![(0.0, 0.0)],
        vec![(0.1, 0.0), (1.0, 1.0)],
        vec![(0.0, 0.1), (0.5, 0.1), (1.0, 1.0)],
        vec![(0.0, 0.1), (0.5, 0.5), (0.5, 0.6), (1.0, 1.0)],
        vec![(0.0, 0.1), (1.0, 0.9)],
        vec![(0.0, f64::NAN), (1.0, 1.0)],
    ] {
        let stated = Characteristic::Table(table.clone());
        assert!(
            matches!(
                stated.relative_coefficient(0.5),
                Err(CharacteristicError::Table { .. })
            ),
            "{table:?}"
        );
    }
    for rangeability in [1.0, 0.0, -5.0, f64::NAN, 2000.0] {
        let stated = Characteristic::Linear { rangeability };
        assert!(stated.slope(0.5).is_err(), "{rangeability}");
    }
    let stated = Characteristic::Linear { rangeability: 50.0 };
    for travel in [-0.01, 1.01, f64::NAN] {
        assert!(stated.relative_coefficient(travel).is_err());
    }
    assert!(matches!(
        stated.travel(0.019),
        Err(CharacteristicError::BelowControllable { .. })
    ));
    assert!(matches!(
        stated.travel(1.01),
        Err(CharacteristicError::AboveRated { .. })
    ));
    assert!(stated.travel(f64::NAN).is_err());
}

fn any_characteristic() -> impl Strategy<Value = Characteristic> {
    let table = prop::collection::vec((0.01..1.0_f64, 0.01..1.0_f64), 1..8).prop_map(|steps| {
        let (travel_sum, share_sum) = steps
            .iter()
            .fold((0.0, 0.02), |sum, step| (sum.0 + step.0, sum.1 + step.1));
        let (mut travel, mut share) = (0.0, 0.02);
        let mut points = vec![(0.0, 0.02 / share_sum)];
        for step in &steps {
            travel += step.0;
            share += step.1;
            points.push((travel / travel_sum, share / share_sum));
        }
        Characteristic::Table(points)
    });
    prop_oneof![
        (2.0..200.0_f64).prop_map(|rangeability| Characteristic::Linear { rangeability }),
        (2.0..200.0_f64).prop_map(|rangeability| Characteristic::EqualPercentage { rangeability }),
        (2.0..200.0_f64).prop_map(|rangeability| Characteristic::QuickOpening { rangeability }),
        table,
    ]
}

proptest! {
    #[test]
    fn property_travel_is_the_inverse(stated in any_characteristic(), at in 0.0..=1.0_f64) {
        let least = stated.least_coefficient();
        let share = least + at * (1.0 - least);
        let travel = stated.travel(share)?;
        prop_assert!((stated.relative_coefficient(travel)? - share).abs() < 1e-9);
    }

    #[test]
    fn property_coefficient_rises_with_travel(
        stated in any_characteristic(), low in 0.0..1.0_f64, more in 0.001..1.0_f64,
    ) {
        let high = low + more * (1.0 - low);
        prop_assert!(stated.relative_coefficient(high)? >= stated.relative_coefficient(low)? - 1e-12);
    }

    #[test]
    fn property_slope_is_the_derivative(stated in any_characteristic(), at in 0.03..0.97_f64) {
        // Away from the corners of the quick opening form and of the table's second derivative.
        let floor = stated.least_coefficient();
        prop_assume!(!matches!(stated, Characteristic::QuickOpening { .. }) || at > floor * floor + 1e-3);
        let step = 1e-6;
        let rise = stated.relative_coefficient(at + step)? - stated.relative_coefficient(at - step)?;
        let slope = stated.slope(at)?;
        prop_assert!((rise / (2.0 * step) - slope).abs() < 1e-3 * (1.0 + slope), "{} {slope}", rise / (2.0 * step));
    }
}
