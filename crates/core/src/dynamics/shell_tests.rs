//! Shell boiler: limit cases, conservation, refinement, and which way the cell's level goes.

use super::*;
use crate::description::Loop;
use crate::dynamics::drift::{Drift, DriftTable};
use crate::dynamics::height_table::HeightTable;
use crate::dynamics::shell_from_loop::{shell_plant, steady_duty};
use crate::dynamics::shell_swell::{
    Step, inverse_time_s, longest_swell_time_s, swell_inverse_time_s,
};
use crate::example_loop::shell_boiler;
use crate::vessel::{HeadKind, Internals, Orientation, Shell};

fn at_duty(the_loop: &Loop, drift: Drift, duty: usize) -> (ShellBoiler, Boundary) {
    let (plant, _) = shell_plant(the_loop, drift).unwrap();
    let duty = steady_duty(the_loop, &the_loop.duties[duty]).unwrap();
    ShellBoiler::steady(Arc::new(plant), &duty).unwrap()
}

fn levels(mut boiler: ShellBoiler, boundary: &Boundary, seconds: u32) -> Vec<f64> {
    (0..seconds)
        .map(|_| {
            boiler.advance(boundary, 1.0).unwrap();
            boiler.view().unwrap().true_level.m()
        })
        .collect()
}

#[test]
fn property_a_duty_stays_where_it_is() {
    let the_loop = shell_boiler();
    for drift in [Drift::Slow, Drift::Fast] {
        for duty in 0..3 {
            let (mut boiler, boundary) = at_duty(&the_loop, drift, duty);
            let before = boiler.view().unwrap();
            assert!((before.true_level.m() - the_loop.limits.set_point_m).abs() < 1e-9);
            assert!(before.mixture_surface_m > before.true_level.m());
            for _ in 0..600 {
                boiler.advance(&boundary, 1.0).unwrap();
            }
            let after = boiler.view().unwrap();
            assert!((after.true_level.m() - before.true_level.m()).abs() < 1e-7);
            assert!((after.pressure_pa / before.pressure_pa - 1.0).abs() < 1e-7);
        }
    }
}

#[test]
fn property_without_load_the_water_is_still() {
    let the_loop = shell_boiler();
    let (plant, _) = shell_plant(&the_loop, Drift::Slow).unwrap();
    let mut duty = steady_duty(&the_loop, &the_loop.duties[0]).unwrap();
    (duty.steam_kg_s, duty.drawn_kg_s) = (0.0, 0.0);
    let (boiler, _) = ShellBoiler::steady(Arc::new(plant), &duty).unwrap();
    let view = boiler.view().unwrap();
    assert!((view.mixture_surface_m - view.true_level.m()).abs() < 1e-9);
    assert!(view.void_ratio.abs() < 1e-12);
    assert!(boiler.submerged_steam_kg().0.abs() < 1e-12);
}

/// Steam up: pressure falls, water flashes, bubbles below the tap lift water over it: the cell's level rises first, falls later.
#[test]
fn property_steam_step_swells_then_empties() {
    let (boiler, mut boundary) = at_duty(&shell_boiler(), Drift::Slow, 1);
    let start = boiler.view().unwrap();
    boundary.steam_kg_s *= 1.1;
    let found = levels(boiler.clone(), &boundary, 60);
    assert!(
        found[2] > start.true_level.m() && found[20] > found[2],
        "{found:?}"
    );
    let mut later = boiler;
    for _ in 0..60 {
        later.advance(&boundary, 1.0).unwrap();
    }
    assert!(later.view().unwrap().pressure_pa < start.pressure_pa);
    let late = levels(later, &boundary, 60);
    assert!(late[59] < late[0], "{late:?}");
}

/// Colder and more feed: bubbles below the tap condense: the cell's level falls first, then rises with the mass.
#[test]
fn property_cold_feed_shrinks_then_fills() {
    let (boiler, mut boundary) = at_duty(&shell_boiler(), Drift::Slow, 1);
    let start = boiler.view().unwrap().true_level.m();
    boundary.feed_kg_s *= 1.1;
    boundary.feed_enthalpy_j_kg = 80e3;
    let found = levels(boiler, &boundary, 2_000);
    assert!(found[4] < start, "{:?}", &found[..10]);
    assert!(found[1_999] > found[300], "{} {}", found[300], found[1_999]);
}

/// Nothing below the tap and straight walls: bubbles above the tap weigh on it as before, so no step of steam lifts the cell's level.
#[test]
fn property_straight_walls_without_room_below_do_not_swell() {
    let the_loop = shell_boiler();
    let shell = Shell::new(Orientation::Vertical, 2.0, 3.0, HeadKind::Flat).unwrap();
    let heights = HeightTable::new(&shell, &Internals::none(), 0.0).unwrap();
    let vessel = SaturatedVessel::new(heights, 2e6, 3e6).unwrap();
    let drift = DriftTable::new(Drift::Slow, &vessel.line, 9.806_65).unwrap();
    let plant = Arc::new(ShellPlant::new(vessel, drift, 0.0, 0.0).unwrap());
    let mut duty = steady_duty(&the_loop, &the_loop.duties[1]).unwrap();
    duty.true_level = TrueLevel::from_m(1.5);
    let (boiler, mut boundary) = ShellBoiler::steady(plant, &duty).unwrap();
    let start = boiler.view().unwrap();
    boundary.steam_kg_s *= 1.2;
    let mut before = start.true_level.m();
    for level in levels(boiler.clone(), &boundary, 60) {
        assert!(level < before, "{level} {before}");
        before = level;
    }
    // The mixture surface does swell.
    let mut after = boiler;
    for _ in 0..10 {
        after.advance(&boundary, 1.0).unwrap();
    }
    assert!(after.view().unwrap().mixture_surface_m > start.mixture_surface_m);
}

/// A day of loads that change each quarter of an hour, feed and fire answering roughly: what went in less what went out is what is there.
#[test]
fn property_mass_and_energy_close_over_a_day() {
    let (mut boiler, steady) = at_duty(&shell_boiler(), Drift::Between(0.3), 1);
    let start = boiler.view().unwrap();
    let (mut mass, mut energy, mut through_kg, mut through_j) = (0.0, 0.0, 0.0, 0.0);
    for k in 0..86_400_u32 {
        let view = boiler.view().unwrap();
        let load = 1.0 + 0.3 * (f64::from(k / 900) * 2.4).sin();
        let boundary = Boundary {
            steam_kg_s: steady.steam_kg_s * load,
            feed_kg_s: (steady.feed_kg_s * (1.0 + 8.0 * (0.254 - view.true_level.m()))).max(0.0),
            heat_w: steady.heat_w * (1.0 + (start.pressure_pa - view.pressure_pa) / 2e5).max(0.0),
            ..steady
        };
        boiler.advance(&boundary, 1.0).unwrap();
        let after = boiler.view().unwrap();
        let steam_j_kg = 0.5 * (view.steam_enthalpy_j_kg + after.steam_enthalpy_j_kg);
        let drawn_j_kg = boiler
            .plant
            .vessel
            .line
            .at(0.5 * (view.pressure_pa + after.pressure_pa))
            .unwrap()
            .at
            .liquid_enthalpy_j_kg;
        mass += boundary.feed_kg_s - boundary.steam_kg_s - boundary.drawn_kg_s;
        energy += boundary.heat_w + boundary.feed_kg_s * boundary.feed_enthalpy_j_kg
            - boundary.steam_kg_s * steam_j_kg
            - boundary.drawn_kg_s * drawn_j_kg;
        through_kg += boundary.feed_kg_s;
        through_j += boundary.heat_w;
    }
    let end = boiler.view().unwrap();
    assert!((end.mass_kg - start.mass_kg - mass).abs() < 1e-9 * through_kg);
    assert!(
        (end.energy_j - start.energy_j - energy).abs() < 1e-6 * end.energy_j.abs().min(through_j)
    );
}

#[test]
fn property_finer_steps_change_nothing() {
    for drift in [Drift::Slow, Drift::Fast] {
        let (mut coarse, mut boundary) = at_duty(&shell_boiler(), drift, 0);
        let mut fine = coarse.clone();
        boundary.steam_kg_s *= 1.3;
        assert!(coarse.step_error_ratio(&boundary, 0.25).unwrap() < 1e-5);
        for _ in 0..240 {
            coarse.advance(&boundary, 0.25).unwrap();
            fine.advance_in(&boundary, 0.25, 8).unwrap();
            let (coarse, fine) = (coarse.view().unwrap(), fine.view().unwrap());
            assert!((coarse.true_level.m() - fine.true_level.m()).abs() < 1e-5);
            assert!((coarse.mixture_surface_m - fine.mixture_surface_m).abs() < 1e-5);
            assert!((coarse.pressure_pa / fine.pressure_pa - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn property_swell_time_is_that_of_its_own_asymptote() {
    let the_loop = shell_boiler();
    for duty in &the_loop.duties {
        let (low, high) = swell_inverse_time_s(&the_loop, duty).unwrap();
        let steam = inverse_time_s(&the_loop, duty, Step::Steam).unwrap();
        assert!(low < high && steam.0 < steam.1, "{low} {high} {steam:?}");
        // Slower bubbles hold more steam: a load swells for longer than with fast ones, and longer than the feed shrinks.
        assert!(steam.0 > 0.0 && steam.1 > high, "{low} {high} {steam:?}");
        // The longest of all is the longest of this duty or of another.
        assert!(longest_swell_time_s(&the_loop).unwrap() >= high - 1e-9);
    }
}

#[test]
fn property_assumptions_are_listed() {
    let (plant, assumptions) = shell_plant(&shell_boiler(), Drift::Slow).unwrap();
    assert_eq!(assumptions.len(), 4);
    assert!(plant.vessel.metal_capacity_j_k > 1e6);
    let mut tank = shell_boiler();
    tank.vessel.kind = crate::description::VesselKind::VentedTank;
    assert!(shell_plant(&tank, Drift::Slow).is_err());
}

#[test]
fn property_what_cannot_be_is_refused() {
    let (mut boiler, boundary) = at_duty(&shell_boiler(), Drift::Slow, 1);
    let before = boiler.view().unwrap();
    for wrong in [
        Boundary {
            feed_kg_s: f64::NAN,
            ..boundary
        },
        Boundary {
            drawn_kg_s: -1.0,
            ..boundary
        },
        Boundary {
            heat_w: f64::INFINITY,
            ..boundary
        },
    ] {
        assert!(boiler.advance(&wrong, 1.0).is_err());
    }
    assert!(boiler.advance(&boundary, f64::NAN).is_err());
    // Filled to the brim it ends, and stays as it was.
    let flood = Boundary {
        feed_kg_s: 1_000.0,
        ..boundary
    };
    assert!(boiler.advance(&flood, 60.0).is_err());
    assert_eq!(boiler.view().unwrap(), before);
}
