//! Checks of [`super::Shell`] against published tank volumes, and its properties.

use super::*;
use proptest::prelude::*;

const M_PER_IN: f64 = 0.0254;
/// US gallon: 231 cubic inches.
const M3_PER_GAL: f64 = 231.0 * M_PER_IN * M_PER_IN * M_PER_IN;

const CLOSED: f64 = 1e-8;
const TORISPHERICAL: f64 = 1e-6;

fn cap(depth_in: f64, diameter_in: f64) -> [HeadKind; 3] {
    let depth_ratio = depth_in / diameter_in;
    [
        HeadKind::Conical { depth_ratio },
        HeadKind::Ellipsoidal { depth_ratio },
        HeadKind::SphericalCap { depth_ratio },
    ]
}

fn check(shell: &Shell, z_m: f64, expected_m3: f64, tolerance: f64) {
    let got = shell.volume_m3(z_m).unwrap();
    assert!(
        (got / expected_m3 - 1.0).abs() <= tolerance,
        "{shell:?} at {z_m} m: {got} m3 against {expected_m3} m3"
    );
}

/// D. Jones, "Calculating Tank Volume" (tank of 108 in diameter, 156 in long), as recomputed with
/// Python package fluids 1.3.1; US gallons.
#[test]
fn published_lying_tank_volumes() {
    let [cone, ellipsoid, sphere] = cap(42.0, 108.0);
    for (head, tolerance, gallons) in [
        (
            cone,
            CLOSED,
            [2041.192358, 3648.490668, 6180.540774, 7296.981336],
        ),
        (
            ellipsoid,
            CLOSED,
            [2380.956542, 4203.695770, 7103.445236, 8407.391540],
        ),
        (
            sphere,
            CLOSED,
            [2303.961512, 4094.025626, 6935.163365, 8188.051253],
        ),
        (
            HeadKind::FLANGED_AND_DISHED,
            TORISPHERICAL,
            [2028.626671, 3534.997331, 5939.897910, 7069.994663],
        ),
    ] {
        let shell = Shell::new(
            Orientation::Horizontal,
            108.0 * M_PER_IN,
            156.0 * M_PER_IN,
            head,
        )
        .unwrap();
        for (height_in, gal) in [36.0, 54.0, 84.0, 108.0].into_iter().zip(gallons) {
            check(&shell, height_in * M_PER_IN, gal * M3_PER_GAL, tolerance);
        }
    }
}

/// The same source, standing tank of 132 in diameter; the straight length does not matter.
#[test]
fn published_standing_tank_volumes() {
    let [cone, ellipsoid, sphere] = cap(33.0, 132.0);
    for (head, tolerance, gallons) in [
        (cone, CLOSED, [250.674614, 2251.175536, 6516.560761]),
        (ellipsoid, CLOSED, [783.358168, 2902.831612, 7168.216838]),
        (sphere, CLOSED, [583.601835, 2658.460583, 6923.845809]),
        (
            HeadKind::FLANGED_AND_DISHED,
            TORISPHERICAL,
            [904.068828, 3036.761441, 7302.146667],
        ),
    ] {
        let shell = Shell::new(
            Orientation::Vertical,
            132.0 * M_PER_IN,
            200.0 * M_PER_IN,
            head,
        )
        .unwrap();
        for (height_in, gal) in [24.0, 60.0, 132.0].into_iter().zip(gallons) {
            check(&shell, height_in * M_PER_IN, gal * M3_PER_GAL, tolerance);
        }
    }
}

/// An invented drum, 1.2 m by 3.6 m, computed with Python package fluids 1.3.1 and, for the
/// torispherical and ellipsoidal heads, with a separate Gauss quadrature. Heights for 2 m3 are roots
/// of that volume by scipy 1.17.1 (the package's own inverse is an approximation, 1e-7 m off).
#[test]
fn crosscheck_drum_volumes_and_their_inverse() {
    for (head, tolerance, volumes, height_for_2_m3) in [
        (
            HeadKind::Flat,
            CLOSED,
            [0.79598356, 2.03575204, 3.27552051, 4.07150408],
            0.591723802,
        ),
        (
            HeadKind::Ellipsoidal2To1,
            CLOSED,
            [0.86666940, 2.26194671, 3.65722402, 4.52389342],
            0.546302624,
        ),
        (
            HeadKind::FLANGED_AND_DISHED,
            TORISPHERICAL,
            [0.83795148, 2.17571832, 3.51348516, 4.35143664],
            0.562438504,
        ),
        (
            HeadKind::Hemispherical,
            CLOSED,
            [0.93735523, 2.48814138, 4.03892753, 4.97628276],
            0.510040890,
        ),
    ] {
        let shell = Shell::new(Orientation::Horizontal, 1.2, 3.6, head).unwrap();
        for (height_m, volume_m3) in [0.3, 0.6, 0.9, 1.2].into_iter().zip(volumes) {
            check(&shell, height_m, volume_m3, tolerance);
        }
        let height = shell.height_for_volume_m(2.0).unwrap();
        assert!(
            (height - height_for_2_m3).abs() <= tolerance,
            "{head:?}: {height}"
        );
    }
}

#[test]
fn property_bad_shells_and_heights_are_refused() {
    let new = |d, l| Shell::new(Orientation::Horizontal, d, l, HeadKind::Flat);
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0, 1200.0] {
        assert!(
            matches!(new(bad, 3.6), Err(VesselError::Dimension { .. })),
            "{bad} m"
        );
        assert!(
            matches!(new(1.2, bad), Err(VesselError::Dimension { .. })),
            "{bad} m"
        );
    }
    // Two hemispheres make a vessel of their own.
    let sphere = Shell::new(Orientation::Vertical, 1.2, 0.0, HeadKind::Hemispherical).unwrap();
    assert!((sphere.capacity_m3() - PI * 1.2_f64.powi(3) / 6.0).abs() < 1e-12);

    let shell = new(1.2, 3.6).unwrap();
    for z in [f64::NAN, f64::INFINITY, -0.001, 1.201] {
        assert!(
            matches!(shell.volume_m3(z), Err(VesselError::Height { .. })),
            "{z} m"
        );
        assert!(
            matches!(shell.free_surface_m2(z), Err(VesselError::Height { .. })),
            "{z} m"
        );
    }
    for v in [f64::NAN, f64::INFINITY, -0.001, 4.1] {
        assert!(
            matches!(
                shell.height_for_volume_m(v),
                Err(VesselError::Volume { .. })
            ),
            "{v} m3"
        );
    }
    assert_eq!(
        shell.volume_m3(1.5).unwrap_err().to_string(),
        "height 1.5 m is outside the vessel, 0 m to 1.2 m"
    );
}

#[test]
fn property_a_sphere_is_the_same_lying_and_standing() {
    let lying = Shell::new(Orientation::Horizontal, 1.2, 0.0, HeadKind::Hemispherical).unwrap();
    let standing = Shell::new(Orientation::Vertical, 1.2, 0.0, HeadKind::Hemispherical).unwrap();
    for z in [0.0, 0.1, 0.6, 0.75, 1.2] {
        let (a, b) = (lying.volume_m3(z).unwrap(), standing.volume_m3(z).unwrap());
        assert!((a - b).abs() < 1e-12, "{z} m: {a} against {b}");
        let (a, b) = (
            lying.free_surface_m2(z).unwrap(),
            standing.free_surface_m2(z).unwrap(),
        );
        assert!((a - b).abs() < 1e-12, "{z} m: {a} against {b}");
    }
}

pub(super) fn any_head() -> impl Strategy<Value = HeadKind> {
    prop_oneof![
        Just(HeadKind::Flat),
        Just(HeadKind::Ellipsoidal2To1),
        Just(HeadKind::Hemispherical),
        (0.02_f64..1.0).prop_map(|depth_ratio| HeadKind::Ellipsoidal { depth_ratio }),
        (0.02_f64..1.0).prop_map(|depth_ratio| HeadKind::Conical { depth_ratio }),
        (0.02_f64..0.5).prop_map(|depth_ratio| HeadKind::SphericalCap { depth_ratio }),
        (0.55_f64..1.5, 0.02_f64..0.3).prop_map(|(crown_ratio, knuckle_ratio)| {
            HeadKind::Torispherical {
                crown_ratio,
                knuckle_ratio,
            }
        }),
    ]
}

pub(super) fn any_shell() -> impl Strategy<Value = Shell> {
    let orientation = prop_oneof![Just(Orientation::Horizontal), Just(Orientation::Vertical)];
    (orientation, 0.3_f64..4.0, 0.1_f64..8.0, any_head())
        .prop_map(|(orientation, d, l, head)| Shell::new(orientation, d, l, head).unwrap())
}

proptest! {
    #[test]
    fn property_volume_rises_from_nothing_to_capacity(
        shell in any_shell(), low in 0.0_f64..0.999, step in 0.001_f64..0.5,
    ) {
        let at = |share: f64| shell.volume_m3(share * shell.height_m()).unwrap();
        prop_assert!(at(low) < at((low + step).min(1.0)));
        let capacity = shell.capacity_m3();
        prop_assert!(at(0.0).abs() < 1e-11 * capacity, "{}", at(0.0));
        prop_assert!((at(1.0) / capacity - 1.0).abs() < 1e-9, "{} {capacity}", at(1.0));
    }

    #[test]
    fn property_upper_half_mirrors_lower_half(shell in any_shell(), share in 0.0_f64..=1.0) {
        let at = |share: f64| shell.volume_m3(share * shell.height_m()).unwrap();
        let sum = at(share) + at(1.0 - share);
        prop_assert!((sum / shell.capacity_m3() - 1.0).abs() < 1e-9, "{sum}");
    }

    #[test]
    fn property_free_surface_is_the_derivative_of_volume(
        shell in any_shell(), share in 0.01_f64..0.99,
    ) {
        let height = shell.height_m();
        let (z, step) = (share * height, 1e-5 * height);
        let slope = (shell.volume_m3(z + step).unwrap() - shell.volume_m3(z - step).unwrap())
            / (2.0 * step);
        let surface = shell.free_surface_m2(z).unwrap();
        // A seam within the step (the corner of a cone, a knuckle) costs a little.
        prop_assert!((slope / surface - 1.0).abs() < 2e-3, "{slope} against {surface}");
        if shell.seams_m().iter().all(|seam| (seam - z).abs() > 0.02 * height) {
            prop_assert!((slope / surface - 1.0).abs() < 1e-6, "{slope} against {surface}");
        }
    }

    #[test]
    fn property_height_inverts_volume(shell in any_shell(), share in 0.001_f64..0.999) {
        let volume = share * shell.capacity_m3();
        let height = shell.height_for_volume_m(volume).unwrap();
        let back = shell.volume_m3(height).unwrap();
        prop_assert!((back / volume - 1.0).abs() < 1e-10, "{back} against {volume}");
    }

    #[test]
    fn property_rescaling_lengths(shell in any_shell(), share in 0.01_f64..0.99, s in 0.2_f64..5.0) {
        let scaled = Shell::new(
            shell.orientation(),
            s * shell.inside_diameter_m(),
            s * shell.straight_length_m(),
            shell.head(),
        ).unwrap();
        let z = share * shell.height_m();
        let volume = scaled.volume_m3(s * z).unwrap() / shell.volume_m3(z).unwrap();
        prop_assert!((volume / s.powi(3) - 1.0).abs() < 1e-9, "{volume}");
        let surface = scaled.free_surface_m2(s * z).unwrap() / shell.free_surface_m2(z).unwrap();
        prop_assert!((surface / s.powi(2) - 1.0).abs() < 1e-9, "{surface}");
    }
}
