//! Checks of [`super::Internals`].

use super::*;
use crate::vessel::{HeadKind, Orientation};
use proptest::prelude::*;

fn internals(rows: &[(f64, f64)]) -> Result<Internals, VesselError> {
    let rows = rows
        .iter()
        .map(|&(height_m, displaced_fraction)| DisplacementPoint {
            height_m,
            displaced_fraction,
        })
        .collect();
    Internals::new(rows)
}

fn lying(head: HeadKind) -> Shell {
    Shell::new(Orientation::Horizontal, 1.2, 3.6, head).unwrap()
}

#[test]
fn property_no_internals_change_nothing() {
    let shell = lying(HeadKind::FLANGED_AND_DISHED);
    for z in [0.0, 0.3, 0.7, 1.2] {
        let bare = shell.volume_m3(z).unwrap();
        let with = shell
            .volume_with_internals_m3(&Internals::none(), z)
            .unwrap();
        assert!((bare - with).abs() <= 0.0, "{z} m");
        let bare = shell.free_surface_m2(z).unwrap();
        let with = shell
            .free_surface_with_internals_m2(&Internals::none(), z)
            .unwrap();
        assert!((bare - with).abs() <= 0.0, "{z} m");
    }
}

#[test]
fn property_one_row_takes_the_same_share_everywhere() {
    let shell = lying(HeadKind::Ellipsoidal2To1);
    let tubes = internals(&[(0.4, 0.3)]).unwrap();
    for z in [0.1, 0.4, 1.1] {
        let got = shell.volume_with_internals_m3(&tubes, z).unwrap();
        assert!(
            (got / shell.volume_m3(z).unwrap() - 0.7).abs() < 1e-12,
            "{z} m"
        );
    }
}

/// Worked by hand: a standing cylinder of 1 m2 and 2 m height, displaced fraction rising from 0 to
/// 0.5 between 0.5 m and 1.5 m, so V(2) = 0.5 + (1 - 0.25) + 0.5 * 0.5 = 1.5 m3.
#[test]
fn property_hand_worked_cylinder() {
    let diameter_m = (4.0 / std::f64::consts::PI).sqrt();
    let shell = Shell::new(Orientation::Vertical, diameter_m, 2.0, HeadKind::Flat).unwrap();
    let tubes = internals(&[(0.5, 0.0), (1.5, 0.5)]).unwrap();
    for (z, volume, surface) in [
        (0.5, 0.5, 1.0),
        (1.0, 0.9375, 0.75),
        (1.5, 1.25, 0.5),
        (2.0, 1.5, 0.5),
    ] {
        let got = shell.volume_with_internals_m3(&tubes, z).unwrap();
        assert!((got - volume).abs() < 1e-12, "{z} m: {got} m3");
        let got = shell.free_surface_with_internals_m2(&tubes, z).unwrap();
        assert!((got - surface).abs() < 1e-12, "{z} m: {got} m2");
    }
}

#[test]
fn property_bad_tables_and_heights_are_refused() {
    for rows in [
        [(0.2, 0.1), (0.2, 0.2)],
        [(0.3, 0.1), (0.2, 0.2)],
        [(f64::NAN, 0.1), (0.2, 0.2)],
        [(0.2, 0.1), (f64::INFINITY, 0.2)],
    ] {
        let err = internals(&rows).unwrap_err();
        assert!(
            matches!(err, VesselError::InternalsNotAscending { .. }),
            "{err}"
        );
    }
    for fraction in [f64::NAN, -0.01, 1.0, 1.5] {
        let err = internals(&[(0.2, 0.1), (0.3, fraction)]).unwrap_err();
        assert!(
            matches!(err, VesselError::DisplacedFraction { row: 2, .. }),
            "{err}"
        );
    }
    let shell = lying(HeadKind::Flat);
    let none = Internals::none();
    for z in [f64::NAN, -0.1, 1.3] {
        assert!(shell.volume_with_internals_m3(&none, z).is_err(), "{z} m");
        assert!(
            shell.free_surface_with_internals_m2(&none, z).is_err(),
            "{z} m"
        );
        assert!(
            shell
                .height_for_volume_with_internals_m(&none, z * 10.0)
                .is_err(),
            "{z}"
        );
    }
}

fn any_internals() -> impl Strategy<Value = Internals> {
    prop::collection::vec((0.01_f64..0.5, 0.0_f64..0.9), 0..6).prop_map(|steps| {
        let mut height_m = -0.1;
        let rows = steps.into_iter().map(|(step, displaced_fraction)| {
            height_m += step;
            DisplacementPoint {
                height_m,
                displaced_fraction,
            }
        });
        Internals::new(rows.collect()).unwrap()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn property_volume_with_internals(
        tubes in any_internals(), share in 0.02_f64..0.98, shell in 0_usize..4,
    ) {
        let shell = [
            lying(HeadKind::FLANGED_AND_DISHED),
            lying(HeadKind::Flat),
            lying(HeadKind::Conical { depth_ratio: 0.3 }),
            Shell::new(Orientation::Vertical, 1.0, 1.0, HeadKind::FLANGED_AND_DISHED).unwrap(),
        ][shell];
        let z = share * shell.height_m();
        let got = shell.volume_with_internals_m3(&tubes, z).unwrap();
        // Slices of the free surface, by the midpoint rule.
        let n = 4000;
        let step = z / f64::from(n);
        let slices: f64 = (0..n)
            .map(|i| (f64::from(i) + 0.5) * step)
            .map(|z| shell.free_surface_with_internals_m2(&tubes, z).unwrap())
            .sum();
        prop_assert!((got / (slices * step) - 1.0).abs() < 2e-5, "{got} against {}", slices * step);

        let slope = (shell.volume_with_internals_m3(&tubes, z + 1e-5).unwrap()
            - shell.volume_with_internals_m3(&tubes, z - 1e-5).unwrap()) / 2e-5;
        let surface = shell.free_surface_with_internals_m2(&tubes, z).unwrap();
        prop_assert!((slope / surface - 1.0).abs() < 5e-3, "{slope} against {surface}");

        let back = shell.height_for_volume_with_internals_m(&tubes, got).unwrap();
        prop_assert!((back - z).abs() < 1e-9, "{back} against {z}");
    }
}
