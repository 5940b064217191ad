//! Tests of the cell equation.

use super::*;
use crate::water::{compressed_water_density_kg_m3, saturated_densities};
use proptest::prelude::*;

const PA_PER_PSI: f64 = 6_894.757_293_168;
const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;
const TAP_SPAN_M: f64 = 0.508;

fn geometry(polarity: Polarity) -> Geometry {
    Geometry {
        gravity_m_s2: 9.806_65,
        lowest_m: 0.0,
        highest_m: TAP_SPAN_M,
        reference_top_m: TAP_SPAN_M,
        cell_below_m: 0.0,
        polarity,
    }
}

fn saturated(psig: f64, leg_k: f64) -> Densities {
    let pressure_pa = STANDARD_ATMOSPHERE_PA + psig * PA_PER_PSI;
    let water = saturated_densities(pressure_pa).unwrap();
    let leg = compressed_water_density_kg_m3(leg_k, pressure_pa).unwrap();
    Densities {
        liquid: water.liquid_kg_m3,
        vapour: water.vapour_kg_m3,
        reference_above: leg,
        reference_below: leg,
        working_below: leg,
    }
}

/// 20 in between taps, leg at 100 degF, g = 9.80665 m/s2; arithmetic over densities of
/// CoolProp 8.0.0 (IAPWS-IF97), wet leg on the high port, Pa at 0, 50 and 100 %.
#[test]
fn crosscheck_wet_leg_differential() {
    let leg_k = (100.0 - 32.0) / 1.8 + 273.15;
    for (psig, expected) in [
        (0.0, [4944.20, 2558.49, 172.78]),
        (15.0, [4941.65, 2597.28, 252.90]),
        (100.0, [4928.18, 2702.80, 477.43]),
        (150.0, [4920.49, 2740.30, 560.11]),
        (250.0, [4905.19, 2797.36, 689.54]),
        (600.0, [4849.94, 2927.36, 1004.79]),
    ] {
        for (share, want) in [0.0, 0.5, 1.0].into_iter().zip(expected) {
            let got = differential_pa(
                &saturated(psig, leg_k),
                &geometry(Polarity::WetLegOnHigh),
                share * TAP_SPAN_M,
            )
            .unwrap();
            assert!(
                (got - want).abs() < 0.01,
                "{psig} psig {share}: {got} against {want}"
            );
        }
    }
}

/// Hydrostatics, column by column: a cell 0.7 m below the lower tap, seals at 0.1 m and 1.1 m, every column of a density of its own.
#[test]
fn property_every_column_weighs_on_its_own_side() {
    let densities = Densities {
        liquid: 880.0,
        vapour: 5.0,
        reference_above: 930.0,
        reference_below: 960.0,
        working_below: 1010.0,
    };
    let geometry = Geometry {
        gravity_m_s2: 9.8,
        lowest_m: 0.1,
        highest_m: 1.1,
        reference_top_m: 1.1,
        cell_below_m: 0.7,
        polarity: Polarity::BottomOnHigh,
    };
    let level_m_wanted = 0.4;
    let working = 5.0 * (1.1 - 0.4) + 880.0 * (0.4 - 0.1) + 1010.0 * (0.1 + 0.7);
    let reference = 930.0 * 1.1 + 960.0 * 0.7;
    let expected = 9.8 * (working - reference);
    let found = differential_pa(&densities, &geometry, level_m_wanted).unwrap();
    assert!((found - expected).abs() < 1e-9, "{found} {expected}");
    let back = level_m(&densities, &geometry, expected).unwrap();
    assert!((back - level_m_wanted).abs() < 1e-12, "{back}");
}

/// The same in inches of water at 68 degF, 150 psig: 19.7895, 11.0211, 2.2527.
#[test]
fn crosscheck_wet_leg_differential_in_inches_at_68_degf() {
    let leg_k = (100.0 - 32.0) / 1.8 + 273.15;
    for (share, inches) in [(0.0, 19.7895), (0.5, 11.0211), (1.0, 2.2527)] {
        let pa = differential_pa(
            &saturated(150.0, leg_k),
            &geometry(Polarity::WetLegOnHigh),
            share * TAP_SPAN_M,
        )
        .unwrap();
        let got = pa / crate::quantity::WaterColumn::At68DegF.pa_per_inch();
        assert!((got - inches).abs() < 1e-4, "{got} against {inches}");
    }
}

/// Common practice, no source: all-cold wet-leg range with the working leg on the high port runs
/// from minus the tap span in water column to 0.
#[test]
fn practice_cold_wet_leg_range_runs_from_minus_tap_span_to_zero() {
    let cold = Densities {
        liquid: 1000.0,
        vapour: 0.0,
        reference_above: 1000.0,
        reference_below: 1000.0,
        working_below: 1000.0,
    };
    let at = CellAt {
        geometry: geometry(Polarity::BottomOnHigh),
        densities: cold,
    };
    let range = at
        .exact_range(LevelSpan {
            at_0_percent_m: 0.0,
            at_100_percent_m: TAP_SPAN_M,
        })
        .unwrap();
    let inches = crate::quantity::WaterColumn::Conventional.pa_per_inch();
    assert!((range.lrv_pa / inches + 20.0).abs() < 1e-5, "{range:?}");
    assert!(range.urv_pa.abs() < 1e-9, "{range:?}");
}

#[test]
fn property_nan_and_levels_outside_the_taps_are_refused() {
    let densities = saturated(125.0, 311.0);
    let geometry = geometry(Polarity::BottomOnHigh);
    for level in [f64::NAN, -0.01, TAP_SPAN_M + 0.01, f64::INFINITY] {
        assert!(
            differential_pa(&densities, &geometry, level).is_err(),
            "{level}"
        );
    }
    let nothing = Densities {
        liquid: 1.0,
        vapour: 1.0,
        ..densities
    };
    assert!(level_m(&nothing, &geometry, 0.0).is_err());
    assert!(
        percent_of_range(
            Range {
                lrv_pa: 1.0,
                urv_pa: 1.0
            },
            0.0
        )
        .is_err()
    );
}

proptest! {
    #[test]
    fn property_level_inverts_differential(
        psig in 0.0_f64..900.0, leg_k in 280.0_f64..370.0, share in 0.0_f64..1.0,
        below in -0.3_f64..3.0, bottom_on_high: bool,
    ) {
        let polarity = if bottom_on_high { Polarity::BottomOnHigh } else { Polarity::WetLegOnHigh };
        let geometry = Geometry { cell_below_m: below, ..geometry(polarity) };
        let densities = saturated(psig, leg_k);
        let level = share * TAP_SPAN_M;
        let dp = differential_pa(&densities, &geometry, level).unwrap();
        prop_assert!((level_m(&densities, &geometry, dp).unwrap() - level).abs() < 1e-12);
    }

    #[test]
    fn property_differential_is_monotonic_in_level(
        psig in 0.0_f64..900.0, a in 0.0_f64..0.5, step in 1e-6_f64..0.5,
    ) {
        let densities = saturated(psig, 311.0);
        let b = (a + step).min(TAP_SPAN_M);
        prop_assume!(b > a);
        let rising = geometry(Polarity::BottomOnHigh);
        prop_assert!(differential_pa(&densities, &rising, b).unwrap() > differential_pa(&densities, &rising, a).unwrap());
    }

    #[test]
    fn property_polarity_mirrors(psig in 0.0_f64..900.0, share in 0.0_f64..1.0, below in 0.0_f64..3.0) {
        let densities = Densities { working_below: 995.0, ..saturated(psig, 311.0) };
        let one = Geometry { cell_below_m: below, ..geometry(Polarity::BottomOnHigh) };
        let other = Geometry { polarity: Polarity::WetLegOnHigh, ..one };
        let level = share * TAP_SPAN_M;
        let sum = differential_pa(&densities, &one, level).unwrap() + differential_pa(&densities, &other, level).unwrap();
        prop_assert!(sum.abs() < 1e-9);
    }

    #[test]
    fn property_lengths_rescale_differential(scale in 0.01_f64..100.0, share in 0.0_f64..1.0, below in 0.0_f64..3.0, lowest in 0.0_f64..0.2) {
        let densities = Densities { working_below: 960.0, ..saturated(125.0, 311.0) };
        let one = Geometry { cell_below_m: below, lowest_m: lowest, ..geometry(Polarity::BottomOnHigh) };
        let large = Geometry {
            lowest_m: one.lowest_m * scale, highest_m: one.highest_m * scale,
            reference_top_m: one.reference_top_m * scale, cell_below_m: one.cell_below_m * scale, ..one
        };
        let level = lowest + share * (TAP_SPAN_M - lowest);
        let small = differential_pa(&densities, &one, level).unwrap();
        let scaled = differential_pa(&densities, &large, level * scale).unwrap();
        prop_assert!((scaled - small * scale).abs() < 1e-9 * (1.0 + scaled.abs().max(1e4 * scale)));
    }

    /// Legs alike below the tap: where the cell hangs does not matter.
    #[test]
    fn practice_cell_elevation_does_not_matter_while_legs_are_alike(below in -0.3_f64..5.0, share in 0.0_f64..1.0) {
        let densities = saturated(125.0, 311.0);
        let at_tap = geometry(Polarity::BottomOnHigh);
        let lower = Geometry { cell_below_m: below, ..at_tap };
        let level = share * TAP_SPAN_M;
        let apart = differential_pa(&densities, &at_tap, level).unwrap() - differential_pa(&densities, &lower, level).unwrap();
        prop_assert!(apart.abs() < 1e-8);
    }
}

/// Common practice, no source: a vented vessel needs the working leg only. Air is 0.12 % of it.
#[test]
fn practice_vented_vessel_needs_the_working_leg_only() {
    let open = Geometry {
        highest_m: f64::INFINITY,
        reference_top_m: 0.0,
        cell_below_m: 0.4,
        ..geometry(Polarity::BottomOnHigh)
    };
    let densities = |air: f64| Densities {
        liquid: 998.2,
        vapour: air,
        reference_above: air,
        reference_below: air,
        working_below: 998.2,
    };
    let without_air = differential_pa(&densities(0.0), &open, 1.1).unwrap();
    assert!((without_air - 9.806_65 * 998.2 * 1.5).abs() < 1e-9);
    let with_air = differential_pa(&densities(1.2), &open, 1.1).unwrap();
    let air_share = (without_air - with_air) / without_air;
    assert!((air_share - 1.2 / 998.2).abs() < 1e-9, "{air_share}");
}

/// 10 degC over 60 in of leg below the tap: 0.26 in of level (computed, 125 psig, legs near 40 degC).
#[test]
fn practice_unequal_legs_below_the_tap() {
    let even = saturated(125.0, 313.15);
    let warm = Densities {
        working_below: saturated(125.0, 323.15).working_below,
        ..even
    };
    let geometry = Geometry {
        cell_below_m: 60.0 * 0.0254,
        ..geometry(Polarity::BottomOnHigh)
    };
    let dp = differential_pa(&warm, &geometry, 0.25).unwrap();
    let moved_in = (0.25 - level_m(&even, &geometry, dp).unwrap()) / 0.0254;
    assert!((0.24..0.31).contains(&moved_in), "{moved_in}");
}
