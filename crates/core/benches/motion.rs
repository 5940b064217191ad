//! A loop in motion: a drum boiler's day scan by scan, beside the vessel's model alone without the loop around it, which is the limit;
//! and an hour drawn many times over on all cores.
//!
//! The ratio of `loop_in_motion` to `vessel_alone` is what controller, cell, valve and ledger cost.

use divan::counter::ItemsCount;
use halfglass_core::description::Loop;
use halfglass_core::design::{Sheets, design};
use halfglass_core::dynamics::draws::draws;
use halfglass_core::dynamics::drum::{DrumBoiler, DrumSteam};
use halfglass_core::dynamics::drum_from_loop::{drum_load, drum_parameters};
use halfglass_core::dynamics::motion::Motion;
use halfglass_core::dynamics::plant::plant;
use halfglass_core::dynamics::scan::Elements;
use halfglass_core::dynamics::scenario::{
    Event, Happening, RangeChoice, Scenario, SettingsChoice, StartAt,
};
use halfglass_core::dynamics::vessel::VesselModel;

const DRUM: &str = include_str!("../../../examples/paper-mill-drum-boiler.toml");
const SHELL: &str = include_str!("../../../examples/laundry-shell-boiler.toml");
const DAY_S: f64 = 86_400.0;
const SCAN_S: f64 = 0.25;
/// Draws of an hour in one go.
const DRAWS: usize = 20;

fn main() {
    divan::main();
}

fn described(text: &str) -> (Loop, Sheets) {
    let Ok(mut described) = halfglass_loopfile::read(text.as_bytes()) else {
        panic!("an example is no loop file");
    };
    described.controller.sample_time_s = SCAN_S;
    let sheets = design(&described).expect("an example has sheets");
    (described, sheets)
}

/// The load goes down and comes back, hour by hour.
fn scenario(duration_s: f64) -> Scenario {
    let events = (0..(duration_s / 3600.0).ceil() as u32)
        .map(|hour| Event {
            time_s: 3600.0 * f64::from(hour) + 300.0,
            happening: Happening::Load {
                share_ratio: if hour % 2 == 0 { 0.8 } else { 1.0 },
                within_s: 60.0,
            },
        })
        .collect();
    Scenario {
        name: "bench".into(),
        purpose: "loads that go and come".into(),
        duration_s,
        start_duty: None,
        start: StartAt::Duty,
        range: RangeChoice::Chosen,
        settings: SettingsChoice::Chosen,
        elements: Elements::One,
        noise_percent: 0.0,
        seed: 1,
        bubble_rise_ratio: 0.5,
        events,
    }
}

mod drum_day {
    use super::*;

    #[divan::bench(sample_count = 3, sample_size = 1)]
    fn loop_in_motion(bencher: divan::Bencher<'_, '_>) {
        let (described, sheets) = described(DRUM);
        let scenario = scenario(DAY_S);
        bencher.bench_local(|| {
            let vessel = plant(&described, &scenario).expect("a duty").vessel;
            let mut motion = Motion::new(&described, &sheets, &scenario, vessel).expect("a start");
            for _ in 0..(DAY_S / SCAN_S) as u32 {
                motion.step().expect("a day within the model");
            }
            motion.levels()
        });
    }

    #[divan::bench(sample_count = 3, sample_size = 1)]
    fn vessel_alone(bencher: divan::Bencher<'_, '_>) {
        let (described, _) = described(DRUM);
        let (parameters, _) = drum_parameters(&described, DrumSteam::Even).expect("a drum");
        let load = drum_load(&described, &described.duties[0]).expect("a duty");
        bencher.bench_local(|| {
            let (mut boiler, boundary) = DrumBoiler::steady(parameters, &load).expect("a balance");
            for _ in 0..(DAY_S / SCAN_S) as u32 {
                boiler
                    .advance(&boundary, SCAN_S)
                    .expect("a day within the model");
            }
            boiler.state()
        });
    }
}

/// Draws of one hour on all cores; items are draws.
#[divan::bench(args = ["drum", "shell"], sample_count = 2, sample_size = 1)]
fn hour_drawn(bencher: divan::Bencher<'_, '_>, kind: &str) {
    let (described, sheets) = described(if kind == "drum" { DRUM } else { SHELL });
    let scenario = scenario(3600.0);
    bencher
        .counter(ItemsCount::new(DRAWS))
        .bench_local(|| draws(&described, &sheets, &scenario, DRAWS, 1).expect("draws"));
}
