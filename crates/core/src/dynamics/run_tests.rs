//! Tests of a run on a vessel of straight walls whose pressure stands still.

use super::*;
use crate::design::design;
use crate::dynamics::drift::Drift;
use crate::dynamics::error::DynamicsError;
use crate::dynamics::scan::Elements;
use crate::dynamics::scan::Mode;
use crate::dynamics::scenario::{Event, Happening};
use crate::dynamics::scenario::{RangeChoice, SettingsChoice, StartAt};
use crate::dynamics::shell::ShellBoiler;
use crate::dynamics::shell_from_loop::{shell_plant, steady_duty};
use crate::dynamics::start::start_duty;
use crate::dynamics::vessel::{Boundary, VesselView};
use crate::example_loop::shell_boiler;
use crate::quantity::TrueLevel;

/// Water at saturation between straight walls: dh/dt = (feed − steam − drawn)/(ρ·A).
struct Straight {
    pressure_pa: f64,
    level_m: f64,
    area_m2: f64,
    state: crate::water::SaturatedWater,
}

impl Straight {
    fn of(described: &Loop) -> Self {
        let pressure_pa = described.pressures.normal.pa();
        Self {
            pressure_pa,
            level_m: described.limits.set_point_m,
            area_m2: 6.0,
            state: crate::water::SaturatedWater::at_pressure_pa(pressure_pa).unwrap(),
        }
    }
}

impl VesselModel for Straight {
    fn advance(&mut self, boundary: &Boundary, duration_s: f64) -> Result<(), DynamicsError> {
        let net = boundary.feed_kg_s - boundary.steam_kg_s - boundary.drawn_kg_s;
        self.level_m += net * duration_s / (self.state.liquid_density_kg_m3 * self.area_m2);
        if self.level_m < -0.5 {
            return Err(DynamicsError::Left { why: "dry".into() });
        }
        Ok(())
    }

    fn view(&self) -> Result<VesselView, DynamicsError> {
        Ok(VesselView {
            pressure_pa: self.pressure_pa,
            water_temperature_k: self.state.temperature_k,
            is_boiling: true,
            true_level: TrueLevel::from_m(self.level_m),
            mixture_surface_m: self.level_m,
            void_ratio: 0.0,
            water_density_kg_m3: self.state.liquid_density_kg_m3,
            vapour_density_kg_m3: self.state.vapour_density_kg_m3,
            steam_enthalpy_j_kg: self.state.vapour_enthalpy_j_kg,
            mass_kg: 0.0,
            energy_j: 0.0,
            overflow_kg_s: 0.0,
        })
    }

    fn slow_bubbles(&mut self, _: f64) -> Result<(), DynamicsError> {
        Ok(())
    }
}

fn scenario(events: Vec<Event>) -> Scenario {
    Scenario {
        name: "test".into(),
        purpose: "test".into(),
        duration_s: 7200.0,
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

fn at(time_s: f64, happening: Happening) -> Event {
    Event { time_s, happening }
}

fn done(scenario: &Scenario) -> Run {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    run(&described, &sheets, scenario, &mut Straight::of(&described)).unwrap()
}

#[test]
fn property_nothing_happens_where_nothing_happens() {
    let run = done(&scenario(Vec::new()));
    assert!(run.ended.is_none());
    assert!(
        run.summary.highest_m.0.abs() < 1e-3 && run.summary.lowest_m.0.abs() < 1e-3,
        "{:?}",
        run.summary
    );
    assert!(run.summary.reversals_per_hour < 3.0);
}

/// Conservation: the level at the end is what flowed in less what flowed out.
#[test]
fn property_level_comes_back_after_a_load_step_and_indicated_is_true_with_the_hot_range() {
    let run = done(&scenario(vec![at(
        600.0,
        Happening::Load {
            share_ratio: 0.7,
            within_s: 30.0,
        },
    )]));
    let last = run.samples.last().unwrap();
    let described = shell_boiler();
    assert!(run.summary.highest_m.0 > 1e-3, "{:?}", run.summary);
    assert!(
        (last.true_level.m() - described.limits.set_point_m).abs()
            < 0.2 * run.summary.highest_m.0.max(0.005)
    );
    assert!(
        run.summary.worst_indication_m.abs() < 1e-4,
        "{:?}",
        run.summary
    );
    assert_eq!(
        run.events[0],
        (600.0, "load to 70 % of the largest duty".into())
    );
}

/// Ranged on the cold bench the panel reads low at pressure, so that the loop holds the vessel too high.
#[test]
fn practice_cold_range_holds_the_vessel_too_high() {
    let mut cold = scenario(Vec::new());
    cold.range = RangeChoice::Bench;
    let run = done(&cold);
    let last = run.samples.last().unwrap();
    assert!(last.true_level.m() - last.indicated.m() > 0.02, "{last:?}");
    assert!(run.summary.highest_m.0 > 0.02, "{:?}", run.summary);
}

#[test]
fn property_pump_trip_passes_the_low_marks_and_cuts_the_burner_off() {
    let mut trip = scenario(vec![at(60.0, Happening::Pump { runs: false })]);
    trip.duration_s = 36_000.0;
    let run = done(&trip);
    let low: Vec<_> = run
        .summary
        .approaches
        .iter()
        .filter(|mark| mark.is_low)
        .collect();
    assert!(low.iter().all(|mark| mark.passed_s.is_some()), "{low:?}");
    assert!(
        low.windows(2)
            .all(|pair| pair[0].passed_s <= pair[1].passed_s)
    );
    assert!(run.ended.is_some(), "runs dry");
    assert!(run.samples.last().unwrap().heat_w < 0.1 * run.samples[0].heat_w);
}

#[test]
fn property_lost_signal_shows_its_current() {
    let run = done(&scenario(vec![at(60.0, Happening::Signal { lost: true })]));
    let described = shell_boiler();
    let expected = crate::measurement::signal::percent(&described.cell, described.cell.fault_ma);
    let shown = run
        .samples
        .last()
        .unwrap()
        .indicated
        .percent(described.range.span);
    assert!((shown - expected).abs() < 1e-9, "{shown} {expected}");
}

#[test]
fn property_same_seed_same_run() {
    let mut noisy = scenario(Vec::new());
    noisy.noise_percent = 0.5;
    let (one, again) = (done(&noisy), done(&noisy));
    assert_eq!(one, again);
    noisy.seed = 2;
    assert_ne!(one, done(&noisy));
}

#[test]
fn property_bad_scenarios_are_refused() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let mut bad = vec![scenario(vec![at(8000.0, Happening::Auto)])];
    bad.push(scenario(vec![
        at(100.0, Happening::Auto),
        at(50.0, Happening::Auto),
    ]));
    for change in [
        |s: &mut Scenario| s.duration_s = f64::NAN,
        |s: &mut Scenario| s.start_duty = Some("nobody".into()),
        |s: &mut Scenario| s.range = RangeChoice::AsFound,
        |s: &mut Scenario| s.settings = SettingsChoice::AsFound,
        |s: &mut Scenario| {
            s.settings = SettingsChoice::Stated {
                gain_ratio: -1.0,
                reset_s: None,
            }
        },
    ] {
        let mut scenario = scenario(Vec::new());
        change(&mut scenario);
        bad.push(scenario);
    }
    for scenario in bad {
        let refused = run(
            &described,
            &sheets,
            &scenario,
            &mut Straight::of(&described),
        );
        assert!(refused.is_err(), "{scenario:?}");
    }
}

fn boiler_run(scenario: &Scenario) -> Run {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let duty = start_duty(&described, scenario).unwrap();
    let (plant, _) = shell_plant(&described, Drift::Between(scenario.bubble_rise_ratio)).unwrap();
    let steady = steady_duty(&described, duty).unwrap();
    let (mut boiler, _) = ShellBoiler::steady(std::sync::Arc::new(plant), &steady).unwrap();
    run(&described, &sheets, scenario, &mut boiler).unwrap()
}

/// A shell boiler at rest stays at rest: every part starts in balance with every other.
#[test]
fn property_a_shell_boiler_starts_in_balance() {
    let run = boiler_run(&scenario(Vec::new()));
    assert!(run.ended.is_none(), "{:?}", run.ended);
    let (high, low) = (run.summary.highest_m.0, run.summary.lowest_m.0);
    assert!(high < 2e-3 && low > -2e-3, "{:?}", run.summary);
    let (least_pa, most_pa) = run.summary.pressures_pa;
    assert!(most_pa / least_pa < 1.003, "{least_pa} {most_pa}");
}

/// More steam: pressure falls, bubbles push the level up at first, and the chosen settings bring it back.
#[test]
fn property_a_shell_boiler_swells_and_is_held_by_the_chosen_settings() {
    let mut up = scenario(vec![at(
        600.0,
        Happening::Load {
            share_ratio: 1.0,
            within_s: 5.0,
        },
    )]);
    up.start_duty = Some(shell_boiler().duties.last().unwrap().name.clone());
    let run = boiler_run(&up);
    assert!(run.ended.is_none(), "{:?}", run.ended);
    let level = |time_s: f64| {
        let sample = run
            .samples
            .iter()
            .find(|sample| sample.time_s >= time_s)
            .unwrap();
        sample.true_level.m()
    };
    assert!(
        level(620.0) > level(590.0) + 1e-3,
        "swells: {} {}",
        level(620.0),
        level(590.0)
    );
    let trips = run
        .summary
        .approaches
        .iter()
        .filter(|mark| mark.mark.contains("cutoff"));
    assert!(trips.clone().count() > 0);
    for mark in trips {
        assert!(mark.passed_s.is_none(), "{mark:?}");
    }
}

/// From hand back to auto nothing jumps, with the feed flow the controller then listens to.
#[test]
fn regression_auto_gives_no_bump_with_three_elements() {
    let described = shell_boiler();
    let sheets = design(&described).unwrap();
    let mut quiet = scenario(Vec::new());
    quiet.elements = Elements::Three;
    let mut motion = Motion::new(&described, &sheets, &quiet, Straight::of(&described)).unwrap();
    let step_for = |motion: &mut Motion<'_, Straight>, seconds: f64| {
        for _ in 0..(seconds / motion.scan_s()) as u32 {
            motion.step().unwrap();
        }
    };
    step_for(&mut motion, 60.0);
    let output_percent = motion.output_percent();
    motion.apply(Happening::Hand { output_percent }).unwrap();
    step_for(&mut motion, 30.0);
    assert_eq!(motion.mode(), Mode::Hand);
    motion.apply(Happening::Auto).unwrap();
    assert_eq!(motion.mode(), Mode::Auto);
    motion.step().unwrap();
    let bump = motion.output_percent() - output_percent;
    assert!(bump.abs() < 0.5, "{bump}");
    step_for(&mut motion, 60.0);
    let moved = motion.output_percent() - output_percent;
    assert!(moved.abs() < 2.0, "{moved}");
}

/// Alarms by the panel and trips by the vessel are told with their times, in the order in which the level passes them.
#[test]
fn property_marks_passed_are_told() {
    let mut trip = scenario(vec![at(60.0, Happening::Pump { runs: false })]);
    trip.duration_s = 36_000.0;
    let told = done(&trip).events;
    let place = |text: &str| {
        told.iter()
            .position(|(_, what)| what.starts_with(text))
            .unwrap()
    };
    assert_eq!(place("feed pump stops"), 0);
    assert!(place("low alarm") < place("first low-water cutoff"));
    assert!(place("first low-water cutoff") < place("second low-water cutoff"));
    assert!(told.windows(2).all(|pair| pair[0].0 <= pair[1].0));
}

/// What the controller is set to do with an input out of range is what it does, and the signal's return gives no bump.
#[test]
fn property_lost_signal_drives_the_output_as_set() {
    use crate::description::InputFault;
    for (fault, expected) in [
        (InputFault::HoldOutput, None),
        (InputFault::OutputLow, Some(0.0)),
        (InputFault::OutputHigh, Some(100.0)),
    ] {
        let mut described = shell_boiler();
        described.controller.input_fault = fault;
        let sheets = design(&described).unwrap();
        let lost = scenario(Vec::new());
        let mut motion = Motion::new(&described, &sheets, &lost, Straight::of(&described)).unwrap();
        let before = motion.output_percent();
        motion.apply(Happening::Signal { lost: true }).unwrap();
        motion.step().unwrap();
        assert!((motion.output_percent() - expected.unwrap_or(before)).abs() < 1e-9);
        let sample = motion.sample().unwrap();
        assert!((sample.current_ma - described.cell.fault_ma).abs() < 1e-9);
        motion.apply(Happening::Signal { lost: false }).unwrap();
        let held = motion.output_percent();
        motion.step().unwrap();
        assert!((motion.output_percent() - held).abs() < 2.0);
    }
}
