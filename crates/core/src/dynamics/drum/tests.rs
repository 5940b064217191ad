//! The published unit's numbers, conservation, signs and refinement.
//!
//! "Re-implementations": constants that public Modelica and Python codings of the paper's unit carry. Coefficients, eigenvalues and
//! responses: the paper's equations solved independently in Python with IF97 properties.

use super::*;
use crate::water::{SaturatedWater, compressed_water_enthalpy_j_kg};

/// Working point of the re-implementations: 8.5 MPa, αr 0.051.
fn published(drum_metal_kg: f64) -> (DrumBoiler, Boundary) {
    let parameters = DrumParameters {
        drum_metal_kg,
        ..DrumParameters::published_160_mw()
    };
    // Lower tap at 0.7 m of the paper's level; water alone stands at 0.96029033 m.
    let load = DrumLoad {
        pressure_pa: 8.5e6,
        steam_kg_s: 50.4195,
        blowdown_kg_s: 0.0,
        feed_enthalpy_j_kg: 1_047_008.75,
        level: TrueLevel::from_m(0.960_290_33 - 0.7),
    };
    DrumBoiler::steady(parameters, &load).unwrap()
}

fn close(what: &str, found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{what}: {found} against {expected}"
    );
}

#[test]
fn crosscheck_steady_state() {
    let (boiler, boundary) = published(100e3);
    let state = boiler.state();
    let water = boiler.line.at(8.5e6).unwrap();
    let void = Void::of(&water, state.quality);
    close("V_wt", state.water_m3, 57.2, 1e-5);
    close("alpha_r", state.quality, 0.051, 1e-5);
    close("V_sd", state.drum_steam_m3, 4.9, 1e-5);
    close("mean void", void.mean, 0.270_43, 2e-5);
    let circulation = circulation_kg_s(boiler.parameters(), &water, &void);
    close("q_dc", circulation, 1194.5, 1e-5);
    close("Q", boundary.heat_w, 85_912_379.9, 1e-6);
    close("l", boiler.mixture_level_m().unwrap(), 1.205_290_33, 1e-6);
    let view = boiler.view().unwrap();
    close("true level", view.true_level.m(), 0.260_290_33, 1e-9);
    close("surface", view.mixture_surface_m, 0.505_290_33, 2e-6);
    let scales = [57.2, 8.5e6, 0.051, 4.9];
    for (rate, scale) in boiler.rates(&state, &boundary).unwrap().iter().zip(scales) {
        assert!(rate.abs() < 1e-9 * scale, "{rate}");
    }
}

#[test]
fn crosscheck_coefficients() {
    for (drum_metal_kg, e42) in [(0.0, 4.8515e-4), (100e3, 8.1007e-4)] {
        let e = published(drum_metal_kg).0.coefficients().unwrap();
        for (what, found, expected) in [
            ("e11", e.e11, 668.02),
            ("e12", e.e12, -7.8037e-4),
            ("e21", e.e21, 8.313e8),
            ("e22", e.e22, 2391.4),
            ("e32", e.e32, 1581.4),
            ("e33", e.e33, 1.5192e10),
            ("e42", e.e42, e42),
            ("e43", e.e43, -5987.9),
            ("e44", e.e44, 45.608),
        ] {
            close(what, found, expected, 1e-4);
        }
    }
}

/// The Jacobian is a triangle of blocks: water and pressure, then αr, then V_sd.
#[test]
fn crosscheck_eigenvalues() {
    let (boiler, boundary) = published(100e3);
    let at = boiler.state().to_array();
    let mut jacobian = [[0.0; 4]; 4];
    for column in 0..4 {
        let step = 1e-5 * at[column];
        let rates = |sign: f64| {
            let mut moved = at;
            moved[column] += sign * step;
            boiler
                .rates(&DrumState::from_array(moved), &boundary)
                .unwrap()
        };
        let (high, low) = (rates(1.0), rates(-1.0));
        for row in 0..4 {
            jacobian[row][column] = (high[row] - low[row]) / (2.0 * step);
        }
    }
    for (row, column) in [(0, 2), (0, 3), (1, 2), (1, 3), (2, 3)] {
        let scaled = jacobian[row][column] * at[column] / at[row];
        assert!(scaled.abs() < 1e-9, "{row} {column} {scaled}");
    }
    close("V_sd", jacobian[3][3], -1.0 / 12.0, 1e-4);
    close("alpha_r", jacobian[2][2], -0.149_09, 1e-4);
    let trace = jacobian[0][0] + jacobian[1][1];
    let determinant = jacobian[0][0] * jacobian[1][1] - jacobian[0][1] * jacobian[1][0];
    let root = (0.25 * trace * trace - determinant).sqrt();
    close("pressure", 0.5 * trace + root, 2.36e-4, 2e-3);
    assert!((0.5 * trace - root).abs() < 1e-8, "{}", 0.5 * trace - root);
}

type Disturbance = fn(&mut Boundary);

const MORE_FUEL: Disturbance = |boundary| boundary.heat_w += 10e6;
const MORE_STEAM: Disturbance = |boundary| boundary.steam_kg_s += 10.0;
const MORE_COLD_FEED: Disturbance = |boundary| {
    boundary.feed_kg_s += 10.0;
    boundary.feed_enthalpy_j_kg = 4.2e5;
};

#[test]
fn crosscheck_step_responses() {
    let times_s = [1.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
    for (disturb, drum_metal_kg, expected_mm, pressure_pa) in [
        (
            MORE_FUEL,
            0.0,
            [2.73, 8.53, 9.50, 6.07, 2.01, 5.60, 15.15],
            9.124_11e6,
        ),
        (
            MORE_FUEL,
            100e3,
            [1.72, 4.21, 2.33, -4.21, -10.42, -6.97, 2.66],
            9.124_11e6,
        ),
        (
            MORE_STEAM,
            0.0,
            [7.16, 25.32, 33.65, 31.94, 6.33, -35.50, -115.68],
            7.594_07e6,
        ),
        (
            MORE_STEAM,
            100e3,
            [8.69, 31.87, 44.57, 47.72, 26.02, -14.52, -92.50],
            7.594_07e6,
        ),
    ] {
        let (mut boiler, mut boundary) = published(drum_metal_kg);
        let before_m = boiler.mixture_level_m().unwrap();
        disturb(&mut boundary);
        let mut now_s = 0.0;
        for (time_s, expected) in times_s.into_iter().zip(expected_mm) {
            boiler.advance(&boundary, time_s - now_s).unwrap();
            now_s = time_s;
            let found = 1e3 * (boiler.mixture_level_m().unwrap() - before_m);
            assert!(
                (found - expected).abs() < 0.05,
                "{time_s} s: {found} mm against {expected}"
            );
        }
        let found_pa = boiler.state().pressure_pa;
        close("p at 200 s", found_pa, pressure_pa, 1e-4);
    }
}

/// A steady day, and one of blowdown, blown steam, swings of all flows and 4 t too much fed. The burner holds the pressure, which by
/// itself runs away.
#[test]
fn property_a_day_conserves_mass_and_energy() {
    for swing in [0.0, 0.05] {
        let (mut boiler, steady) = published(100e3);
        let first = boiler.view().unwrap();
        let (mut mass_kg, mut energy_j) = (first.mass_kg, first.energy_j);
        let minutes = 24 * 60;
        for minute in 0..minutes {
            let part = f64::from(minute) / f64::from(minutes);
            let wave = swing * (24.0 * std::f64::consts::TAU * part).sin();
            let other = swing * (60.0 * std::f64::consts::TAU * part).sin();
            let boundary = Boundary {
                feed_kg_s: steady.feed_kg_s * (1.0 + 0.2 * wave) + swing,
                steam_kg_s: steady.steam_kg_s * (1.0 + other),
                drawn_kg_s: 4.0 * swing,
                blown_steam_kg_s: 4.0 * swing,
                blown_steam_enthalpy_j_kg: 2.7e6,
                heat_w: steady.heat_w * (1.0 + wave) - 20.0 * (boiler.state().pressure_pa - 8.5e6),
                ..steady
            };
            let mut balance = |view: &VesselView, factor: f64| {
                let water = SaturatedWater::at_pressure_pa(view.pressure_pa).unwrap();
                mass_kg += factor
                    * (boundary.feed_kg_s + boundary.blown_steam_kg_s
                        - boundary.steam_kg_s
                        - boundary.drawn_kg_s);
                energy_j += factor
                    * (boundary.heat_w
                        + boundary.feed_kg_s * boundary.feed_enthalpy_j_kg
                        + boundary.blown_steam_kg_s * boundary.blown_steam_enthalpy_j_kg
                        - boundary.steam_kg_s * view.steam_enthalpy_j_kg
                        - boundary.drawn_kg_s * water.liquid_enthalpy_j_kg);
            };
            // Simpson's rule over the minute.
            balance(&boiler.view().unwrap(), 10.0);
            boiler.advance(&boundary, 30.0).unwrap();
            balance(&boiler.view().unwrap(), 40.0);
            boiler.advance(&boundary, 30.0).unwrap();
            balance(&boiler.view().unwrap(), 10.0);
        }
        let last = boiler.view().unwrap();
        close("mass", last.mass_kg, mass_kg, 1e-6);
        close("energy", last.energy_j, energy_j, 1e-6);
        if swing > 0.0 {
            assert!((last.pressure_pa - 8.5e6).abs() > 1e3, "nothing moved");
        }
    }
}

#[test]
fn property_half_the_step_changes_nothing() {
    let (boiler, mut boundary) = published(100e3);
    MORE_STEAM(&mut boundary);
    let steps = integrate::steps_for(60.0, STEP_SHARE * boiler.fastest_s().unwrap());
    let run = |steps| {
        let mut boiler = boiler.clone();
        boiler.advance_in(&boundary, 60.0, steps).unwrap();
        boiler.state().to_array()
    };
    for (coarse, fine) in run(steps).into_iter().zip(run(2 * steps)) {
        close("state", coarse, fine, 1e-6);
    }
}

/// More steam drawn: the level swells before it falls. More cold feedwater: the surface shrinks before it rises.
#[test]
fn property_swell_and_shrink() {
    for steam in [DrumSteam::AboveTap, DrumSteam::Even] {
        let change = |disturb: Disturbance, time_s: f64| {
            let (mut boiler, mut boundary) = published(100e3);
            boiler.parameters.steam = steam;
            let before = boiler.view().unwrap();
            disturb(&mut boundary);
            boiler.advance(&boundary, time_s).unwrap();
            let after = boiler.view().unwrap();
            (
                after.mixture_surface_m - before.mixture_surface_m,
                after.true_level.m() - before.true_level.m(),
            )
        };
        let (surface, level) = change(MORE_STEAM, 5.0);
        assert!(surface > 0.02 && level > 0.0, "{surface} {level}");
        let (surface, level) = change(MORE_STEAM, 300.0);
        assert!(surface < -0.05 && level < -0.05, "{surface} {level}");
        let (surface, level) = change(MORE_COLD_FEED, 5.0);
        assert!(surface < -0.01, "{surface}");
        // Bubbles that stand above the tap weigh nothing on it: only those below it, dying, take weight away.
        assert_eq!(level < 0.0, steam == DrumSteam::Even, "{level}");
    }
}

/// What the true level says is what the steady state was asked for, wherever the steam stands.
#[test]
fn property_steady_state_stands_at_the_level_asked() {
    for steam in [DrumSteam::AboveTap, DrumSteam::Even] {
        let parameters = DrumParameters {
            steam,
            ..DrumParameters::published_160_mw()
        };
        for level_m in [-0.1, 0.0, 0.26, 0.4] {
            let load = DrumLoad {
                pressure_pa: 7.0e6,
                steam_kg_s: 40.0,
                blowdown_kg_s: 1.0,
                feed_enthalpy_j_kg: compressed_water_enthalpy_j_kg(510.0, 7.0e6).unwrap(),
                level: TrueLevel::from_m(level_m),
            };
            let (mut boiler, boundary) = DrumBoiler::steady(parameters, &load).unwrap();
            let found = boiler.view().unwrap().true_level.m();
            assert!((found - level_m).abs() < 1e-12, "{found}");
            boiler.advance(&boundary, 3_600.0).unwrap();
            let found = boiler.view().unwrap().true_level.m();
            assert!((found - level_m).abs() < 1e-6, "{found}");
        }
    }
}

#[test]
fn property_void_slopes_are_those_of_the_void() {
    let line = SaturationLine::between(1e4, 16e6).unwrap();
    for pressure_pa in [1e5, 1e6, 8.5e6] {
        for quality in [1e-9, 1e-7, 1e-5, 1e-3, 0.05, 0.9] {
            let at = |p: f64, a: f64| Void::of(&line.at(p).unwrap(), a).mean;
            let void = Void::of(&line.at(pressure_pa).unwrap(), quality);
            let (dp, da) = (1e-3 * pressure_pa, 1e-3 * quality);
            let per_pa =
                (at(pressure_pa + dp, quality) - at(pressure_pa - dp, quality)) / (2.0 * dp);
            let per_quality =
                (at(pressure_pa, quality + da) - at(pressure_pa, quality - da)) / (2.0 * da);
            close("per quality", void.per_quality, per_quality, 1e-5);
            // The closed form for pressure cancels near no steam, where it is next to nothing.
            assert!(
                (void.per_pa - per_pa).abs() <= 1e-5 * per_pa.abs() + 1e-12 / pressure_pa,
                "{pressure_pa} {quality}: {} {per_pa}",
                void.per_pa
            );
        }
    }
}

/// Burner out, nothing drawn, nothing fed: the risers' steam dies out, the books still close.
#[test]
fn property_burner_out_ends_no_run() {
    let (mut boiler, mut boundary) = published(100e3);
    boundary.heat_w = -2e5;
    boundary.steam_kg_s = 0.0;
    boundary.feed_kg_s = 0.0;
    let first = boiler.view().unwrap();
    boiler.advance(&boundary, 3_600.0).unwrap();
    let last = boiler.view().unwrap();
    close("mass", last.mass_kg, first.mass_kg, 1e-9);
    close(
        "energy",
        last.energy_j,
        first.energy_j - 2e5 * 3_600.0,
        1e-9,
    );
    let quality = boiler.state().quality;
    assert!((0.0..0.01).contains(&quality), "{quality}");
}

#[test]
fn property_what_is_no_boiler_is_refused() {
    let (mut boiler, boundary) = published(100e3);
    for (steam_kg_s, duration_s) in [(f64::NAN, 1.0), (-1.0, 1.0), (50.0, f64::NAN), (50.0, -1.0)] {
        let before = boiler.state();
        let boundary = Boundary {
            steam_kg_s,
            ..boundary
        };
        assert!(boiler.advance(&boundary, duration_s).is_err());
        assert_eq!(boiler.state(), before);
    }
    let unheated = Boundary {
        heat_w: f64::NAN,
        ..boundary
    };
    assert!(boiler.advance(&unheated, 1.0).is_err());
    let dry = Boundary {
        feed_kg_s: 0.0,
        ..boundary
    };
    let end = (0..10_000).find_map(|_| boiler.advance(&dry, 10.0).err());
    assert!(
        matches!(
            end,
            Some(DynamicsError::Left { .. } | DynamicsError::Water(_))
        ),
        "{end:?}"
    );
    let published = DrumParameters::published_160_mw();
    for parameters in [
        DrumParameters {
            drum_volume_m3: f64::NAN,
            ..published
        },
        DrumParameters {
            riser_metal_kg: 400e3,
            ..published
        },
        DrumParameters {
            lower_tap_above_centre_m: -3.0,
            ..published
        },
    ] {
        assert!(parameters.check().is_err());
    }
}
