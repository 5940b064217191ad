//! Error map: points a second, beside the water calls that no map can do without.
//!
//! Peer: a bare loop of one saturation call (both densities) a pressure and one compressed-water call for the reference leg
//! and one for the working leg a pressure and leg temperature.
//! Run: `cargo bench -p halfglass-core --bench error_map`.
#![allow(clippy::unwrap_used, reason = "a bench that cannot compute has failed")]
#![allow(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    reason = "a bench has a clock and prints its ratios; the bans are for the library"
)]

use std::hint::black_box;
use std::time::{Duration, Instant};

use halfglass_core::description::Loop;
use halfglass_core::measurement::error_grid::error_grid_percent;
use halfglass_core::measurement::range_sheet;
use halfglass_core::measurement::sheets::Range;
use halfglass_core::quantity::{AbsolutePressure, TrueLevel};
use halfglass_core::water::{SubcooledWater, saturated_densities, saturation_temperature_k};

const PRESSURES: u32 = 200;
const LEGS: u32 = 20;
const LEVELS: u32 = 21;

struct Grid {
    described: Loop,
    range: Range,
    pressures: Vec<AbsolutePressure>,
    legs_k: Vec<f64>,
    levels: Vec<TrueLevel>,
}

fn even(count: u32, low: f64, high: f64) -> impl Iterator<Item = f64> {
    (0..count).map(move |step| low + (high - low) * f64::from(step) / f64::from(count - 1))
}

fn grid() -> Grid {
    let text = include_bytes!("../../../examples/laundry-shell-boiler.toml");
    let described = halfglass_loopfile::read(text).unwrap();
    let range = range_sheet(&described).unwrap().chosen;
    let span = described.range.span;
    Grid {
        range,
        pressures: even(PRESSURES, 1.2e5, 1.1e6)
            .map(AbsolutePressure::from_pa)
            .collect(),
        legs_k: even(LEGS, 290.0, 350.0).collect(),
        levels: even(LEVELS, 0.0, 100.0)
            .map(|percent| TrueLevel::from_percent(percent, span))
            .collect(),
        described,
    }
}

fn map(grid: &Grid) -> f64 {
    let errors = error_grid_percent(
        &grid.described,
        grid.range,
        &grid.pressures,
        &grid.legs_k,
        &grid.levels,
    )
    .unwrap();
    errors.iter().sum()
}

fn bare(grid: &Grid) -> f64 {
    let mut sum = 0.0;
    for pressure in &grid.pressures {
        let pressure_pa = pressure.pa();
        let saturated = saturated_densities(pressure_pa).unwrap();
        let water = SubcooledWater::at(pressure_pa, saturation_temperature_k(pressure_pa).unwrap())
            .unwrap();
        sum += saturated.liquid_kg_m3 + saturated.vapour_kg_m3;
        for leg_k in &grid.legs_k {
            sum +=
                water.density_kg_m3(*leg_k).unwrap() + water.density_kg_m3(*leg_k + 1.0).unwrap();
        }
    }
    sum
}

#[divan::bench]
fn error_map(bencher: divan::Bencher<'_, '_>) {
    let grid = grid();
    bencher
        .counter(divan::counter::ItemsCount::new(PRESSURES * LEGS * LEVELS))
        .bench_local(|| map(black_box(&grid)));
}

#[divan::bench]
fn bare_water_calls(bencher: divan::Bencher<'_, '_>) {
    let grid = grid();
    bencher
        .counter(divan::counter::ItemsCount::new(PRESSURES * LEGS * LEVELS))
        .bench_local(|| bare(black_box(&grid)));
}

fn median(mut run: impl FnMut() -> f64) -> Duration {
    let mut times: Vec<Duration> = (0..101)
        .map(|_| {
            let start = Instant::now();
            black_box(run());
            start.elapsed()
        })
        .collect();
    times.sort();
    times[50]
}

fn main() {
    divan::main();
    let grid = grid();
    let (ours, peer) = (median(|| map(&grid)), median(|| bare(&grid)));
    let points = f64::from(PRESSURES * LEGS * LEVELS);
    println!(
        "error map: {:.1} million points a second on one core; {:.2} times the bare water calls",
        points / ours.as_secs_f64() / 1e6,
        ours.as_secs_f64() / peer.as_secs_f64()
    );
}
