//! The example loops through the scenarios that come with the program, and from cold.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot read its example has failed"
)]

use halfglass_core::description::{Loop, VesselKind};
use halfglass_core::design::design;
use halfglass_core::dynamics::plant::plant;
use halfglass_core::dynamics::run::{Run, run};
use halfglass_core::dynamics::scenario::{Event, Happening, Scenario, StartAt};
use halfglass_loopfile::{BUILT_IN, read_scenario};

const LOOPS: [(&str, &[u8]); 5] = [
    (
        "brewery-feed-tank",
        include_bytes!("../../../examples/brewery-feed-tank.toml"),
    ),
    (
        "district-deaerator",
        include_bytes!("../../../examples/district-deaerator.toml"),
    ),
    (
        "inherited-cold-range",
        include_bytes!("../../../examples/inherited-cold-range.toml"),
    ),
    (
        "laundry-shell-boiler",
        include_bytes!("../../../examples/laundry-shell-boiler.toml"),
    ),
    (
        "paper-mill-drum-boiler",
        include_bytes!("../../../examples/paper-mill-drum-boiler.toml"),
    ),
];

/// Runs a scenario; a long one with the longest scan, for the tests' time.
fn ran(described: &Loop, scenario: &Scenario) -> Run {
    let mut described = described.clone();
    if scenario.duration_s > 3000.0 {
        described.controller.sample_time_s = 1.0;
    }
    let sheets = design(&described).unwrap();
    let mut plant = plant(&described, scenario).unwrap();
    assert!(!plant.assumptions.is_empty());
    run(&described, &sheets, scenario, plant.vessel.as_mut()).unwrap()
}

fn built_in(name: &str) -> Vec<(String, Scenario)> {
    let (_, text) = BUILT_IN.iter().find(|(known, _)| *known == name).unwrap();
    read_scenario(text.as_bytes()).unwrap().runs
}

/// Each example goes through each built-in scenario to its end, or says honestly why not: only where somebody broke its water or signal.
#[test]
fn property_examples_run_through_every_scenario() {
    for (name, bytes) in LOOPS {
        let described = halfglass_loopfile::read(bytes).unwrap();
        for (scenario_name, _) in BUILT_IN {
            for (label, scenario) in built_in(scenario_name) {
                let run = ran(&described, &scenario);
                let last = run.samples.last().unwrap();
                assert!(last.true_level.m().is_finite() && last.pressure_pa > 0.0);
                match &run.ended {
                    None => assert!((last.time_s - scenario.duration_s).abs() < 1.5),
                    Some((time_s, why)) => {
                        assert!(
                            ["pump-trip", "lost-signal", "hot-leg", "stuck-valve"]
                                .contains(&scenario_name)
                                // Filled to its set point and not blown down, a drum swells full when it boils.
                                || (scenario_name == "cold-start"
                                    && described.vessel.kind == VesselKind::DrumBoiler),
                            "{name}, {scenario_name}, {label}: ended at {time_s} s: {why}"
                        );
                        assert!(!why.is_empty() && *time_s > 60.0);
                    }
                }
            }
        }
    }
}

/// From Monday morning's water to the load: every example comes to its pressure and holds its level there.
#[test]
fn property_examples_come_up_from_cold() {
    for (name, bytes) in LOOPS {
        let described = halfglass_loopfile::read(bytes).unwrap();
        let mut scenario = built_in("low-fire-hold")[0].1.clone();
        scenario.events.clear();
        scenario.start = StartAt::Cold {
            temperature_k: described.pressures.start_up_water_k,
            // A drum is filled low: water expands into it, and swells when its circuit begins to boil.
            level_m: (described.vessel.kind == VesselKind::DrumBoiler).then_some(0.13),
        };
        if described.vessel.kind == VesselKind::DrumBoiler {
            // And blown down while it swells, as is done (practice).
            for (time_s, flow_kg_s) in [(7600.0, 0.4), (12_000.0, 0.0)] {
                scenario.events.push(Event {
                    time_s,
                    happening: Happening::Blowdown { flow_kg_s },
                });
            }
        }
        scenario.start_duty = Some("normal".into());
        let run = ran(&described, &scenario);
        assert!(run.ended.is_none(), "{name}: {:?}", run.ended);
        let last = run.samples.last().unwrap();
        let normal_pa = described.pressures.normal.pa();
        assert!(
            (last.pressure_pa / normal_pa - 1.0).abs() < 0.03,
            "{name}: {last:?}"
        );
        let away_m = last.indicated.m() - described.limits.set_point_m;
        assert!(
            away_m.abs() < described.limits.allowed_deviation_m,
            "{name}: {last:?}"
        );
    }
}
