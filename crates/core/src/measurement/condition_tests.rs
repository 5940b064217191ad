//! Tests of the conditions and their densities.

use super::*;
use crate::description::{LegTemperature, ReferenceLeg};
use crate::example_loop::{drum_boiler, kelvin, psig, shell_boiler, vented_tank};
use crate::quantity::TrueLevel;
use crate::water::FillFluid;
use proptest::prelude::*;

/// Python package iapws 1.5.5 (IAPWS-IF97): saturation at 125 psi(g); compressed water at 50 degC.
#[test]
fn crosscheck_densities_at_125_psig() {
    let described = shell_boiler();
    let (d, state) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!((d.liquid - 888.8553).abs() < 1e-4, "{d:?}");
    assert!((d.vapour - 4.96451).abs() < 1e-5, "{d:?}");
    // 988.05 at 50 degC and 1 atm, 4.4e-10 /Pa compressibility x 0.862 MPa = +0.37.
    assert!((d.reference_above - 988.42).abs() < 0.03, "{d:?}");
    assert!((d.reference_above - d.working_below).abs() < 1e-9);
    assert_eq!(state, LegState::default());
}

#[test]
fn practice_start_up_is_cold_water_under_air() {
    let described = shell_boiler();
    let condition = start_up(&described);
    // Surveyed leg 50 degC, cold vessel in a house of 10 to 40 degC.
    assert!((condition.reference_leg_k - kelvin(25.0)).abs() < 1e-9);
    let (d, state) = densities(&described, &condition).unwrap();
    assert!((d.liquid - 998.2).abs() < 0.05, "{d:?}");
    // Moist air at 20 degC, 1 atm: 1.194 kg/m3 (dry 1.204).
    assert!((d.vapour - 1.194).abs() < 2e-3, "{d:?}");
    assert_eq!(state, LegState::default());
}

/// Legs surveyed colder than the mean ambient stay as cold; warm fill water does not reach the legs.
#[test]
fn practice_start_up_legs_are_no_warmer_than_surveyed() {
    let mut described = shell_boiler();
    described.pressures.start_up_water_k = kelvin(80.0);
    assert!((start_up(&described).reference_leg_k - kelvin(25.0)).abs() < 1e-9);
    if let ReferenceLeg::Wet { temperature, .. } = &mut described.reference_leg {
        (temperature.top_k, temperature.bottom_k) = (kelvin(21.0), kelvin(21.0));
    }
    assert!((start_up(&described).reference_leg_k - kelvin(21.0)).abs() < 1e-9);
}

#[test]
fn practice_vented_tank_has_two_conditions_and_air() {
    let described = vented_tank();
    let names: Vec<_> = named(&described)
        .unwrap()
        .into_iter()
        .map(|c| c.name)
        .collect();
    assert_eq!(names, [START_UP, NORMAL]);
    let (d, _) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!((d.liquid - 971.8).abs() < 0.05, "{d:?}");
    assert!(
        (d.vapour - d.reference_above).abs() < 1e-12 && (d.vapour - 1.18).abs() < 0.01,
        "{d:?}"
    );
}

#[test]
fn property_leg_gradient_mean_lies_between_its_ends() {
    let described = drum_boiler();
    let condition = normal(&described).unwrap();
    // Linear from 90 degC at the lip (0.62 m) to 35 degC at the cell (-0.3048 m): 53.13 degC at the tap.
    let tap_k = kelvin(35.0 + 55.0 * 0.3048 / (0.62 + 0.3048));
    assert!((condition.reference_leg_k - 0.5 * (kelvin(90.0) + tap_k)).abs() < 1e-9);
    let (d, _) = densities(&described, &condition).unwrap();
    let pa = condition.pressure.pa();
    let at = |k| compressed_water_density_kg_m3(k, pa).unwrap();
    assert!(at(kelvin(90.0)) < d.reference_above && d.reference_above < at(tap_k));
    assert!(at(tap_k) < d.reference_below && d.reference_below < at(kelvin(35.0)));
}

#[test]
fn property_too_hot_leg_is_flagged_and_taken_at_saturation() {
    let mut described = shell_boiler();
    described.reference_leg = ReferenceLeg::Wet {
        pot_lip_m: 0.508,
        temperature: LegTemperature {
            top_k: kelvin(150.0),
            bottom_k: kelvin(150.0),
        },
        below_tap_k: None,
    };
    let condition = in_service(&described, "low", psig(10.0), kelvin(150.0)).unwrap();
    let (d, state) = densities(&described, &condition).unwrap();
    assert!(state.flashes && !state.freezes);
    assert!((d.reference_above - d.liquid).abs() < 1e-4, "{d:?}");
    let (_, state) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!(!state.flashes);
}

#[test]
fn property_freezing_leg_is_flagged() {
    let described = drum_boiler();
    // Mean 12 degC shifts the whole leg, its cell end below 0 degC.
    let condition = in_service(&described, "winter", psig(125.0), kelvin(12.0)).unwrap();
    assert!(densities(&described, &condition).unwrap().1.freezes);
}

#[test]
fn practice_dry_leg_on_steam_condenses() {
    let mut described = shell_boiler();
    described.reference_leg = ReferenceLeg::Dry {
        temperature_k: kelvin(60.0),
    };
    let (d, state) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!(state.condenses);
    assert!((d.reference_above - d.vapour).abs() < 1e-12);
    described.reference_leg = ReferenceLeg::Dry {
        temperature_k: kelvin(250.0),
    };
    let (d, state) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!(!state.condenses && d.reference_above < d.vapour);
}

#[test]
fn property_sealed_system_uses_its_fill() {
    let mut described = shell_boiler();
    let fluid = FillFluid::silicone_oil_50_cst();
    described.reference_leg = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m: 0.5,
        fluid,
        reference_capillary_k: kelvin(25.0),
        working_capillary_k: kelvin(50.0),
    };
    let (d, _) = densities(&described, &normal(&described).unwrap()).unwrap();
    assert!((d.reference_above - 960.0).abs() < 1e-9 && (d.working_below - 936.0).abs() < 1e-9);
    let hot = in_service(&described, "hot", psig(125.0), kelvin(200.0)).unwrap();
    assert!(matches!(
        densities(&described, &hot),
        Err(MeasurementError::FillFluid(_))
    ));
}

#[test]
fn property_refuses_water_that_would_boil_and_nan() {
    let described = vented_tank();
    let condition = Condition {
        water_k: kelvin(120.0),
        ..normal(&described).unwrap()
    };
    assert!(densities(&described, &condition).is_err());
    let condition = Condition {
        water_k: f64::NAN,
        ..condition
    };
    assert!(densities(&described, &condition).is_err());
    let described = shell_boiler();
    let condition = Condition {
        reference_leg_k: f64::NAN,
        ..normal(&described).unwrap()
    };
    assert!(densities(&described, &condition).is_err());
}

/// A wet leg shortened to nothing, with no steam, is a vented tank without air.
#[test]
fn property_vented_is_the_limit_of_no_vapour_and_no_leg() {
    let described = vented_tank();
    let condition = normal(&described).unwrap();
    let open = cell_at(&described, &condition).unwrap();
    let mut wet = open;
    wet.densities.vapour = 0.0;
    wet.densities.reference_above = 0.0;
    wet.densities.reference_below = 0.0;
    wet.geometry.reference_top_m = 3.7;
    wet.geometry.highest_m = 3.7;
    let level = TrueLevel::from_m(1.2);
    let (a, b) = (
        open.differential_pa(level).unwrap(),
        wet.differential_pa(level).unwrap(),
    );
    let air = 9.806_65 * open.densities.vapour * (1.2 + described.cell.below_lower_tap_m);
    assert!((b - a - air).abs() < 1e-9, "{a} {b} {air}");
}

proptest! {
    #[test]
    fn property_vapour_over_cold_water_joins_steam(gauge in 0.0_f64..150.0) {
        let described = shell_boiler();
        let boiling = in_service(&described, "boiling", psig(gauge), kelvin(50.0)).unwrap();
        let nearly = Condition { water_k: boiling.water_k - 0.01, ..boiling.clone() };
        let (at, below) = (densities(&described, &boiling).unwrap().0, densities(&described, &nearly).unwrap().0);
        prop_assert!((at.vapour / below.vapour - 1.0).abs() < 1e-3, "{at:?} {below:?}");
        prop_assert!((at.liquid / below.liquid - 1.0).abs() < 1e-4);
    }
}
