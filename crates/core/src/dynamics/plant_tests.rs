//! Every kind of vessel: at rest it stays at rest; from cold it comes up; off fire it goes down into vacuum.

use super::*;
use crate::design::design;
use crate::dynamics::run::{Run, run};
use crate::dynamics::scan::Elements;
use crate::dynamics::scenario::{Event, Happening, RangeChoice, SettingsChoice};
use crate::example_loop::{drum_boiler, kelvin, psig, shell_boiler, vented_tank};
use crate::vessel::{HeadKind, Orientation, Shell};

fn drum() -> Loop {
    let mut drum = drum_boiler();
    drum.vessel.shell = Shell::new(Orientation::Horizontal, 1.2, 4.0, HeadKind::Flat).unwrap();
    drum.vessel.lower_tap_above_bottom_m = 0.3;
    drum
}

fn deaerator() -> Loop {
    let mut described = shell_boiler();
    described.vessel.kind = VesselKind::Deaerator;
    described.elevations.highest_heated_surface_m = None;
    described.elevations.overflow_m = Some(0.45);
    let pressures = &mut described.pressures;
    (pressures.lowest_sustained, pressures.normal) = (psig(3.0), psig(5.0));
    (pressures.highest, pressures.safety_valve) = (psig(7.0), psig(15.0));
    for duty in &mut described.duties {
        (duty.pressure, duty.feed_temperature_k) = (psig(5.0), kelvin(60.0));
    }
    described
}

fn tank() -> Loop {
    let mut described = vented_tank();
    described.vessel.lower_tap_above_bottom_m = 0.05;
    for duty in &mut described.duties {
        duty.feed_temperature_k = kelvin(45.0);
    }
    described
}

fn scenario(duration_s: f64, events: Vec<Event>) -> Scenario {
    Scenario {
        name: "made up".into(),
        purpose: "a test".into(),
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

fn ran(described: &Loop, scenario: &Scenario) -> Run {
    let mut described = described.clone();
    if scenario.duration_s > 20_000.0 {
        // Long runs need no short scan.
        described.controller.sample_time_s = 1.0;
    }
    let sheets = design(&described).unwrap();
    let mut plant = plant(&described, scenario).unwrap();
    assert!(!plant.assumptions.is_empty());
    run(&described, &sheets, scenario, plant.vessel.as_mut()).unwrap()
}

/// A run in which nothing happens moves nothing.
#[test]
fn property_every_vessel_stands_still() {
    for described in [shell_boiler(), drum(), deaerator(), tank()] {
        let kind = described.vessel.kind;
        let run = ran(&described, &scenario(3600.0, Vec::new()));
        assert!(run.ended.is_none(), "{kind:?} {:?}", run.ended);
        let summary = &run.summary;
        assert!(
            summary.highest_m.0 < 0.005 && summary.lowest_m.0 > -0.005,
            "{kind:?} {summary:?}"
        );
        let (low, high) = summary.pressures_pa;
        assert!(high / low < 1.005, "{kind:?} {low} {high}");
    }
}

/// From cold: the water expands on its way up, the boiler comes to its pressure and takes its load, and the level is held then.
#[test]
fn property_cold_boiler_comes_up() {
    for described in [shell_boiler(), drum(), deaerator(), tank()] {
        let kind = described.vessel.kind;
        let mut cold = scenario(12.0 * 3600.0, Vec::new());
        cold.start = StartAt::Cold {
            temperature_k: kelvin(20.0),
            level_m: None,
        };
        cold.start_duty = Some("normal".into());
        let run = ran(&described, &cold);
        assert!(run.ended.is_none(), "{kind:?} {:?}", run.ended);
        let (first, last) = (&run.samples[0], run.samples.last().unwrap());
        let duty = &described.duties[1];
        assert!(first.pressure_pa <= 1.02e5);
        assert!(
            (last.pressure_pa / duty.pressure.pa() - 1.0).abs() < 0.02,
            "{kind:?} {last:?}"
        );
        assert!(
            (last.outflow_kg_s / duty.steam_kg_s - 1.0).abs() < 0.02,
            "{kind:?} {last:?}"
        );
        let away = last.true_level.m() - described.limits.set_point_m;
        assert!(
            away.abs() < described.limits.allowed_deviation_m,
            "{kind:?} {away}"
        );
        if kind.is_fired() {
            assert!(run.summary.highest_m.0 > 0.01, "{kind:?}: water expands");
        }
    }
}

/// Fire off for a day: steam is drawn down to the atmosphere, then the vessel cools into vacuum.
#[test]
fn property_boiler_off_fire_goes_into_vacuum() {
    for described in [shell_boiler(), drum()] {
        let off = Event {
            time_s: 60.0,
            happening: Happening::Heat { lit: false },
        };
        let run = ran(&described, &scenario(24.0 * 3600.0, vec![off]));
        let kind = described.vessel.kind;
        assert!(run.ended.is_none(), "{kind:?} {:?}", run.ended);
        let last = run.samples.last().unwrap();
        assert!(last.pressure_pa < 0.98e5, "{kind:?} {last:?}");
        assert!(last.outflow_kg_s.abs() <= 0.0);
    }
}

/// The pressure control holds a drum boiler for six hours under a changing load.
#[test]
fn property_drum_pressure_is_held() {
    let load = |time_s: f64, share_ratio: f64| Event {
        time_s,
        happening: Happening::Load {
            share_ratio,
            within_s: 10.0,
        },
    };
    let events = vec![load(600.0, 0.7), load(7200.0, 1.0), load(12_000.0, 0.5)];
    let described = drum();
    let run = ran(&described, &scenario(6.0 * 3600.0, events));
    assert!(run.ended.is_none(), "{:?}", run.ended);
    let (low, high) = run.summary.pressures_pa;
    let normal = described.duties[0].pressure.pa();
    assert!(low > 0.9 * normal && high < 1.1 * normal, "{low} {high}");
    let late: Vec<f64> = run
        .samples
        .iter()
        .filter(|sample| sample.time_s > 18_000.0)
        .map(|sample| sample.pressure_pa)
        .collect();
    let spread = late.iter().copied().fold(f64::MIN, f64::max)
        - late.iter().copied().fold(f64::MAX, f64::min);
    assert!(spread < 1e-3 * normal, "{spread}");
}

/// Heating steam lost: the deaerator's pressure falls, its store flashes, and the level at the cell swells above what the water does.
#[test]
fn property_deaerator_swells_without_steam() {
    let off = Event {
        time_s: 60.0,
        happening: Happening::Heat { lit: false },
    };
    let described = deaerator();
    let run = ran(&described, &scenario(180.0, vec![off]));
    assert!(run.ended.is_none(), "{:?}", run.ended);
    let last = run.samples.last().unwrap();
    assert!(
        last.pressure_pa < 0.99 * run.samples[0].pressure_pa,
        "{last:?}"
    );
    assert!(run.summary.highest_m.0 > 1e-3, "{:?}", run.summary);
    assert!(
        last.mixture_surface_m > last.true_level.m() + 1e-3,
        "{last:?}"
    );
}

/// Foam: bubbles that rise at a fifth of their speed lift the mixture, and the cell's level with it.
#[test]
fn property_foam_lifts_the_level() {
    for described in [shell_boiler(), drum()] {
        let foam = Event {
            time_s: 60.0,
            happening: Happening::Foam { share_ratio: 0.6 },
        };
        let mut foaming = scenario(120.0, vec![foam]);
        foaming.start_duty = Some("normal".into());
        let run = ran(&described, &foaming);
        assert!(run.ended.is_none(), "{:?}", run.ended);
        assert!(run.summary.highest_m.0 > 2e-3, "{:?}", run.summary);
    }
    let foam = Event {
        time_s: 60.0,
        happening: Happening::Foam { share_ratio: 0.6 },
    };
    let described = tank();
    let run = ran(&described, &scenario(120.0, vec![foam]));
    assert!(run.ended.is_some(), "an open tank has no bubbles");
}
