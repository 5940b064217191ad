//! Tank and deaerator: conservation over a day, refinement, limit cases.

use std::sync::Arc;

use super::*;
use crate::description::VesselKind;
use crate::dynamics::deaerator::deaerator_plant;
use crate::dynamics::drift::Drift;
use crate::dynamics::shell::ShellBoiler;
use crate::example_loop::{kelvin, psig, shell_boiler, vented_tank};

fn tank() -> Tank {
    let mut described = vented_tank();
    described.vessel.lower_tap_above_bottom_m = 0.05;
    Tank::of(&described, TrueLevel::from_m(1.6), None)
        .unwrap()
        .0
}

fn deaerator() -> ShellBoiler {
    let mut described = shell_boiler();
    described.vessel.kind = VesselKind::Deaerator;
    described.elevations.overflow_m = Some(0.45);
    described.pressures.safety_valve = psig(15.0);
    let (plant, _) = deaerator_plant(&described, Drift::Slow).unwrap();
    ShellBoiler::still(Arc::new(plant), 1.36e5, TrueLevel::from_m(0.25)).unwrap()
}

/// Feed, draw, heat and steam of a scan of a day that swings, overflowing at times.
fn boundary(time_s: f64, steam_kg_s: f64) -> Boundary {
    let swing = (time_s / 3000.0).sin();
    Boundary {
        feed_kg_s: 2.0 + 1.5 * swing,
        feed_enthalpy_j_kg: 2.5e5,
        steam_kg_s: 0.0,
        drawn_kg_s: 1.9 - 0.5 * swing + steam_kg_s,
        heat_w: if steam_kg_s > 0.0 { 0.0 } else { 1.5e5 },
        blown_steam_kg_s: steam_kg_s * (1.0 + 0.4 * swing),
        blown_steam_enthalpy_j_kg: 2.69e6,
    }
}

/// What the flows brought, summed by hand beside the model, is what the model holds: mass and energy to 1e-6 over a day.
fn closes(
    vessel: &mut dyn VesselModel,
    scan_s: f64,
    steam_kg_s: f64,
    liquid: impl Fn(&VesselView) -> f64,
) {
    let start = vessel.view().unwrap();
    let (mut mass_kg, mut energy_j) = (start.mass_kg, start.energy_j);
    let mut overflowed = false;
    for index in 0..(86_400.0 / scan_s) as u32 {
        let boundary = boundary(f64::from(index) * scan_s, steam_kg_s);
        let before = vessel.view().unwrap();
        vessel.advance(&boundary, scan_s).unwrap();
        let after = vessel.view().unwrap();
        overflowed |= after.overflow_kg_s > 0.1;
        // What leaves does so at a state that moves within the scan: mean of both ends.
        let over = 0.5 * (before.overflow_kg_s + after.overflow_kg_s);
        let leaves = 0.5 * (liquid(&before) + liquid(&after));
        mass_kg +=
            scan_s * (boundary.feed_kg_s + boundary.blown_steam_kg_s - boundary.drawn_kg_s - over);
        energy_j += scan_s
            * (boundary.heat_w
                + boundary.feed_kg_s * boundary.feed_enthalpy_j_kg
                + boundary.blown_steam_kg_s * boundary.blown_steam_enthalpy_j_kg
                - (boundary.drawn_kg_s + over) * leaves);
    }
    let end = vessel.view().unwrap();
    assert!(overflowed);
    assert!(
        (end.mass_kg / mass_kg - 1.0).abs() < 1e-6,
        "{} {mass_kg}",
        end.mass_kg
    );
    assert!(
        (end.energy_j / energy_j - 1.0).abs() < 1e-6,
        "{} {energy_j}",
        end.energy_j
    );
}

#[test]
fn property_a_day_of_a_tank_conserves_mass_and_energy() {
    closes(&mut tank(), 0.5, 0.0, |view| view.steam_enthalpy_j_kg);
}

#[test]
fn property_a_day_of_a_deaerator_conserves_mass_and_energy() {
    let line = crate::water::SaturationLine::between(1e4, 3e5).unwrap();
    closes(&mut deaerator(), 2.0, 0.2, |view| {
        line.at(view.pressure_pa).unwrap().at.liquid_enthalpy_j_kg
    });
}

#[test]
fn property_half_the_step_changes_nothing() {
    let (mut coarse, mut fine) = (tank(), tank());
    for index in 0..3600 {
        let boundary = boundary(f64::from(index), 0.0);
        coarse.advance(&boundary, 1.0).unwrap();
        fine.advance_finer(&boundary, 1.0, 2).unwrap();
    }
    let (coarse, fine) = (coarse.view().unwrap(), fine.view().unwrap());
    assert!((coarse.true_level.m() - fine.true_level.m()).abs() < 1e-8);
    assert!((coarse.water_temperature_k - fine.water_temperature_k).abs() < 1e-7);
}

/// A tank that only fills rises by volume over area; one that runs over stands over its lip by what the weir law says.
#[test]
fn property_limits_of_a_tank() {
    let mut described = vented_tank();
    described.vessel.lower_tap_above_bottom_m = 0.05;
    described.elevations.overflow_m = Some(1.9);
    let (mut tank, _) = Tank::of(&described, TrueLevel::from_m(0.5), Some(kelvin(80.0))).unwrap();
    let stored = tank.view().unwrap();
    let still = Boundary {
        feed_kg_s: 0.0,
        feed_enthalpy_j_kg: stored.steam_enthalpy_j_kg,
        steam_kg_s: 0.0,
        drawn_kg_s: 0.0,
        heat_w: 0.0,
        blown_steam_kg_s: 0.0,
        blown_steam_enthalpy_j_kg: 0.0,
    };
    tank.advance(&still, 1000.0).unwrap();
    assert!((tank.view().unwrap().true_level.m() - 0.5).abs() < 1e-9);
    let feed_kg_s = described.feedwater.full_valve_flow_kg_s;
    let filling = Boundary { feed_kg_s, ..still };
    tank.advance(&filling, 100.0).unwrap();
    let volume_m3 = |level_m: f64| described.vessel.shell.volume_m3(0.05 + level_m).unwrap();
    let filled = volume_m3(tank.view().unwrap().true_level.m()) - volume_m3(0.5);
    let expected = 100.0 * feed_kg_s / stored.water_density_kg_m3;
    assert!(
        (filled / expected - 1.0).abs() < 1e-4,
        "{filled} {expected}"
    );
    for _ in 0..20_000 {
        tank.advance(&filling, 1.0).unwrap();
    }
    let over = tank.view().unwrap();
    assert!((over.overflow_kg_s / feed_kg_s - 1.0).abs() < 1e-6);
    assert!((over.true_level.m() - 1.9 - 0.05).abs() < 1e-6, "{over:?}");
    let boiling = Boundary {
        heat_w: 1e8,
        ..still
    };
    let boils = (0..100).find_map(|_| tank.advance(&boiling, 10.0).err());
    assert!(boils.is_some());
    assert!(Tank::of(&described, TrueLevel::from_m(0.5), Some(kelvin(150.0))).is_err());
}

/// Without bubbles below the tap a falling pressure does not lift the level at the cell; with them it does.
#[test]
fn property_deaerator_swells_only_while_it_flashes() {
    let mut deaerator = deaerator();
    let at = |deaerator: &ShellBoiler| deaerator.view().unwrap();
    let start = at(&deaerator);
    let quiet = Boundary {
        feed_kg_s: 0.0,
        feed_enthalpy_j_kg: 2.5e5,
        steam_kg_s: 0.0,
        drawn_kg_s: 0.0,
        heat_w: 0.0,
        blown_steam_kg_s: 0.0,
        blown_steam_enthalpy_j_kg: 2.69e6,
    };
    deaerator.advance(&quiet, 600.0).unwrap();
    assert!((at(&deaerator).true_level.m() - start.true_level.m()).abs() < 1e-9);
    let vented = Boundary {
        steam_kg_s: 0.15,
        ..quiet
    };
    deaerator.advance(&vented, 20.0).unwrap();
    let flashing = at(&deaerator);
    assert!(flashing.pressure_pa < start.pressure_pa);
    assert!(
        flashing.true_level.m() > start.true_level.m() + 1e-3,
        "{flashing:?}"
    );
    deaerator.advance(&quiet, 600.0).unwrap();
    let after = at(&deaerator);
    assert!(
        after.true_level.m() < start.true_level.m(),
        "the steam is gone: {after:?}"
    );
    assert!(after.void_ratio < 1e-6);
}
