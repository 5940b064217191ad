//! The drum boiler's trajectories after steps, as JSON, for `validation/motion`, which solves the same balances with another solver.
//!
//! Each case: the sizes, what acts on the boiler from the first instant, and rows of time, V_wt, p, αr, V_sd and the mixture's level
//! as the paper counts it. All in SI.
#![allow(
    clippy::unwrap_used,
    reason = "an example that cannot go on has failed"
)]

use std::fmt::Write as _;
use std::io::Write as _;

use halfglass_core::dynamics::drum::{DrumBoiler, DrumLoad, DrumParameters};
use halfglass_core::dynamics::vessel::{Boundary, VesselModel};
use halfglass_core::quantity::TrueLevel;

/// Rows of a case, besides the first.
const ROWS: usize = 60;

type Change = fn(&mut Boundary);

fn main() {
    let at_working_point = DrumLoad {
        pressure_pa: 8.5e6,
        steam_kg_s: 50.4195,
        blowdown_kg_s: 0.0,
        feed_enthalpy_j_kg: 1_047_008.75,
        level: TrueLevel::from_m(0.260_290_33),
    };
    let low_pressure = DrumLoad {
        pressure_pa: 2.0e6,
        steam_kg_s: 20.0,
        feed_enthalpy_j_kg: 8.0e5,
        ..at_working_point
    };
    let cases: [(&str, &DrumLoad, f64, f64, f64, Change); 6] = [
        ("more fuel", &at_working_point, 100e3, 600.0, 0.05, |b| {
            b.heat_w += 10e6;
        }),
        ("more steam", &at_working_point, 100e3, 300.0, 0.05, |b| {
            b.steam_kg_s += 10.0;
        }),
        (
            "less steam, no drum metal",
            &at_working_point,
            0.0,
            300.0,
            0.05,
            |b| {
                b.steam_kg_s -= 10.0;
            },
        ),
        (
            "more and colder feed",
            &at_working_point,
            100e3,
            300.0,
            0.01,
            |b| {
                b.feed_kg_s += 10.0;
                b.feed_enthalpy_j_kg = 1.0e6;
            },
        ),
        (
            "less fuel at low pressure",
            &low_pressure,
            100e3,
            120.0,
            0.02,
            |b| {
                b.heat_w *= 0.9;
            },
        ),
        ("all three", &at_working_point, 100e3, 300.0, 0.01, |b| {
            b.heat_w += 5e6;
            b.steam_kg_s += 8.0;
            b.feed_kg_s += 4.0;
        }),
    ];
    let cases: Vec<String> = cases
        .into_iter()
        .map(|(name, load, drum_metal_kg, duration_s, moves, change)| {
            case(name, load, drum_metal_kg, (duration_s, moves), change)
        })
        .collect();
    let mut out = std::io::stdout().lock();
    writeln!(out, "[{}]", cases.join(",\n")).unwrap();
}

/// One case; `moves` is by how much, relative, the pressure must at least have moved at the end.
fn case(
    name: &str,
    load: &DrumLoad,
    drum_metal_kg: f64,
    (duration_s, moves): (f64, f64),
    change: Change,
) -> String {
    let parameters = DrumParameters {
        drum_metal_kg,
        ..DrumParameters::published_160_mw()
    };
    let (mut boiler, mut boundary) = DrumBoiler::steady(parameters, load).unwrap();
    change(&mut boundary);
    let mut rows = Vec::new();
    for index in 0..=ROWS {
        let state = boiler.state();
        rows.push(format!(
            "[{},{},{},{},{},{}]",
            duration_s * index as f64 / ROWS as f64,
            state.water_m3,
            state.pressure_pa,
            state.quality,
            state.drum_steam_m3,
            boiler.mixture_level_m().unwrap()
        ));
        if index < ROWS {
            boiler.advance(&boundary, duration_s / ROWS as f64).unwrap();
        }
    }
    let mut sizes = String::new();
    for (key, value) in [
        ("drum_volume_m3", parameters.drum_volume_m3),
        ("riser_volume_m3", parameters.riser_volume_m3),
        ("downcomer_volume_m3", parameters.downcomer_volume_m3),
        ("drum_area_m2", parameters.drum_area_m2),
        ("downcomer_area_m2", parameters.downcomer_area_m2),
        ("total_metal_kg", parameters.total_metal_kg),
        ("riser_metal_kg", parameters.riser_metal_kg),
        ("drum_metal_kg", parameters.drum_metal_kg),
        (
            "metal_heat_capacity_j_kg_k",
            parameters.metal_heat_capacity_j_kg_k,
        ),
        ("friction", parameters.friction),
        ("beta", parameters.beta),
        ("steam_residence_s", parameters.steam_residence_s),
        ("undisturbed_steam_m3", parameters.undisturbed_steam_m3),
        ("gravity_m_s2", parameters.gravity_m_s2),
    ] {
        write!(
            sizes,
            "{}\"{key}\":{value}",
            if sizes.is_empty() { "" } else { "," }
        )
        .unwrap();
    }
    format!(
        "{{\"name\":\"{name}\",\"moves\":{moves},\"sizes\":{{{sizes}}},\"boundary\":{{\"feed_kg_s\":{},\"feed_enthalpy_j_kg\":{},\"steam_kg_s\":{},\"heat_w\":{}}},\"samples\":[{}]}}",
        boundary.feed_kg_s,
        boundary.feed_enthalpy_j_kg,
        boundary.steam_kg_s,
        boundary.heat_w,
        rows.join(",")
    )
}
