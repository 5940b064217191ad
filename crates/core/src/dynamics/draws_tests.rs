//! Draws: threads, bands, worst draw, what was drawn, conclusions.

use super::*;
use crate::design::design;
use crate::dynamics::plant::plant;
use crate::dynamics::scan::Elements;
use crate::dynamics::scenario::{Event, Happening, RangeChoice, SettingsChoice, StartAt};
use crate::example_loop::shell_boiler;
use crate::finding::Severity;

fn load_step(described: &Loop, to_ratio: f64, duration_s: f64) -> Scenario {
    let most = super::super::start::largest(described).unwrap().steam_kg_s;
    let least = described
        .duties
        .iter()
        .min_by(|a, b| a.steam_kg_s.total_cmp(&b.steam_kg_s))
        .unwrap();
    assert!(least.steam_kg_s < most);
    Scenario {
        name: "step".into(),
        purpose: "a load step".into(),
        duration_s,
        start_duty: Some(least.name.clone()),
        start: StartAt::Duty,
        range: RangeChoice::Chosen,
        settings: SettingsChoice::Chosen,
        elements: Elements::One,
        noise_percent: 0.1,
        seed: 1,
        bubble_rise_ratio: 0.5,
        events: vec![Event {
            time_s: 30.0,
            happening: Happening::Load {
                share_ratio: to_ratio,
                within_s: 5.0,
            },
        }],
    }
}

#[test]
fn property_threads_do_not_change_the_answer_and_the_seed_does() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let scenario = load_step(&described, 0.8, 240.0);
    let on = |threads, seed| draws_on(threads, &described, &sheets, &scenario, (12, seed)).unwrap();
    let one = on(1, 7);
    assert_eq!(one, on(2, 7));
    assert_eq!(one, on(5, 7));
    assert_ne!(one.true_band, on(2, 8).true_band);
}

/// Bands are ordered, hold the worst draw's own run, and the run as assumed lies among draws that surround its inputs.
#[test]
fn property_bands_hold_the_draws() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let scenario = load_step(&described, 0.9, 600.0);
    let found = draws(&described, &sheets, &scenario, 40, 1).unwrap();
    assert_eq!(found.count, 40);
    assert_eq!(found.ended, 0);
    assert_eq!(found.times_s.len(), found.true_band.len());
    assert_eq!(found.times_s.len(), found.indicated_band.len());
    for band in &found.true_band {
        let ordered = [band.lowest, band.p05, band.middle, band.p95, band.highest];
        assert!(ordered.windows(2).all(|pair| pair[0] <= pair[1]));
    }
    let of_worst = &found.worst.run.summary;
    let reach_m = |highest: f64, lowest: f64| highest.max(-lowest);
    let worst_m = reach_m(of_worst.highest_m.0, of_worst.lowest_m.0);
    let band_m = reach_m(found.highest_m.highest, found.lowest_m.lowest);
    assert!((worst_m - band_m).abs() < 1e-12, "{worst_m} {band_m}");
    assert_eq!(found.worst.drawn.len(), found.inputs.len());
    for (input, value) in &found.worst.drawn {
        let (low, high) = input.ends();
        assert!((low..=high).contains(value));
    }

    let mut as_assumed = plant(&described, &scenario).unwrap();
    let middle = run(&described, &sheets, &scenario, as_assumed.vessel.as_mut()).unwrap();
    let widest = found
        .true_band
        .iter()
        .map(|band| band.highest.m() - band.lowest.m())
        .fold(0.0, f64::max);
    assert!(widest > 1e-4, "nothing that was drawn acts: {widest}");
    for sample in &middle.samples {
        let index = found
            .times_s
            .iter()
            .position(|time_s| (time_s - sample.time_s).abs() < 1e-9);
        if let Some(index) = index {
            let band = found.true_band[index];
            assert!(sample.true_level.m() > band.lowest.m() - 0.2 * widest);
            assert!(sample.true_level.m() < band.highest.m() + 0.2 * widest);
        }
    }
}

/// With what moves bubbles alone left free, the spread goes with it: slow bubbles swell most (drift flux, as in `drift`).
#[test]
fn property_every_input_is_listed_with_its_ends_and_weighed() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let found = draws(
        &described,
        &sheets,
        &load_step(&described, 0.9, 300.0),
        60,
        3,
    )
    .unwrap();
    let names: Vec<&str> = found
        .inputs
        .iter()
        .map(|input| input.assumption.input)
        .collect();
    for name in ["draws.bubble-rise", "draws.metal", "draws.stroke-time"] {
        assert!(names.contains(&name), "{names:?}");
    }
    assert!(
        found
            .inputs
            .iter()
            .any(|input| input.correlation.is_some_and(|size| size.abs() > 0.3)),
        "{:?}",
        found.inputs
    );
    assert!(
        found
            .inputs
            .iter()
            .all(|input| input.correlation.is_none_or(|size| size.abs() <= 1.0))
    );
}

#[test]
fn property_conclusions_follow_the_draws() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let quiet = Scenario {
        events: Vec::new(),
        ..load_step(&described, 0.9, 120.0)
    };
    let mut found = draws(&described, &sheets, &quiet, 4, 1).unwrap();
    let codes = |found: &Draws| -> Vec<&str> {
        draws_conclusions(&described, found)
            .iter()
            .map(|finding| finding.code)
            .collect()
    };
    assert_eq!(codes(&found), ["draws-hold"]);
    found.outside = 1;
    assert_eq!(codes(&found), ["draws-leave-the-deviation"]);
    let trip = found
        .passed
        .iter_mut()
        .find(|mark| !mark.mark.contains("alarm"))
        .unwrap();
    trip.draws = 2;
    let both = draws_conclusions(&described, &found);
    assert_eq!(both[0].code, "draws-pass-a-trip");
    assert_eq!(both[0].severity, Severity::Warn);
    assert!(both[0].what.contains("2 of 4"), "{}", both[0].what);
    found.ended = 1;
    assert!(codes(&found).contains(&"draws-leave-the-model"));
}

/// A stopped pump: every draw empties the vessel past its low marks, and the worst is furthest past a trip.
#[test]
fn practice_a_stopped_pump_passes_the_low_marks_in_every_draw() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let mut scenario = load_step(&described, 1.0, 1800.0);
    scenario.start_duty = None;
    scenario.events = vec![Event {
        time_s: 10.0,
        happening: Happening::Pump { runs: false },
    }];
    let found = draws(&described, &sheets, &scenario, 6, 1).unwrap();
    let low = found
        .passed
        .iter()
        .find(|mark| mark.mark == described.vessel.kind.first_low_trip())
        .unwrap();
    assert_eq!(low.draws, 6);
    assert!(low.nearest_true_m < 0.0);
    let codes: Vec<&str> = draws_conclusions(&described, &found)
        .iter()
        .map(|finding| finding.code)
        .collect();
    assert!(codes.contains(&"draws-pass-a-trip"), "{codes:?}");
}
