//! Tests of the feedwater sheet.

use super::*;
use crate::description::VesselKind;
use crate::description::feed_system::{
    Header, LinePart, Loss, Recirculation, ReferenceDrop, ReturnFlow, ValveSide,
};
use crate::example_loop::{kelvin, psig, shell_boiler};
use crate::feedwater::example_sheet::feed_system;
use crate::feedwater::sheets::Cavitation;
use crate::feedwater::sizes::generic_sizes;
use crate::finding::Severity;
use crate::quantity::AbsolutePressure;

fn described() -> Loop {
    let mut the_loop = shell_boiler();
    let mut system = feed_system();
    system.valve.sizes = generic_sizes();
    system.valve.sizes_are_generic = true;
    system.line.parts = vec![LinePart {
        name: "discharge".into(),
        side: ValveSide::Before,
        loss: Loss::Pipe {
            inside_diameter_m: 0.05,
            length_m: 20.0,
            roughness_m: 4.5e-5,
            fittings_k: 6.0,
        },
        shared: false,
        temperature_rise_k: 0.0,
    }];
    the_loop.feedwater.full_valve_flow_source = "assumed".into();
    the_loop.feed_system = Some(system);
    the_loop
}

fn sheet(the_loop: &Loop) -> FeedwaterSheet {
    feedwater_sheet(the_loop).unwrap().unwrap()
}

fn system(the_loop: &mut Loop) -> &mut FeedSystem {
    the_loop.feed_system.as_mut().unwrap()
}

fn has(sheet: &FeedwaterSheet, code: &str) -> bool {
    sheet.findings.iter().any(|finding| finding.code == code)
}

#[test]
fn property_no_survey_no_sheet_and_a_draining_valve_is_refused() {
    assert_eq!(feedwater_sheet(&shell_boiler()), Ok(None));
    let mut the_loop = described();
    the_loop.feedwater.service = ValveService::Outflow;
    assert_eq!(feedwater_sheet(&the_loop), Err(FeedwaterError::Drains));
}

#[test]
fn property_drops_close_at_every_duty() {
    let sheet = sheet(&described());
    assert_eq!(sheet.duties.len(), 6);
    for duty in &sheet.duties {
        let drop = duty.inlet_pressure_pa - duty.outlet_pressure_pa;
        assert!(
            (drop / duty.pressure_drop_pa - 1.0).abs() < 1e-9,
            "{}",
            duty.name
        );
        let head = 101_325.0 + duty.density_kg_m3 * 9.806_65 * (3.0 + duty.pump_head_m.unwrap());
        let static_pa = duty.density_kg_m3 * 9.806_65 * 2.0;
        let sum = duty.vessel_pressure_pa
            + static_pa
            + duty.friction_pa.0
            + duty.friction_pa.1
            + duty.pressure_drop_pa;
        assert!((head / sum - 1.0).abs() < 1e-9, "{}", duty.name);
    }
    // The largest drop is at shut-off, the largest with flow at start-up.
    let drops: Vec<f64> = sheet
        .duties
        .iter()
        .map(|duty| duty.pressure_drop_pa)
        .collect();
    assert!(drops[5] > drops[4] && drops[4] > drops[2] && drops[2] > drops[0]);
    // The same flow against 25 psi more.
    assert!((drops[0] - drops[3] - 25.0 * 6_894.757).abs() < 50.0);
}

#[test]
fn practice_the_choice_stands_between_its_neighbours() {
    let sheet = sheet(&described());
    let chosen = sheet.candidates.iter().find(|one| one.chosen).unwrap();
    assert_eq!(chosen.name, sheet.chosen_name);
    assert!(chosen.fits, "{}", sheet.choice_words);
    let travel = sheet.duties[0].travel_percent.unwrap();
    assert!((60.0..=80.0).contains(&travel), "{travel}");
    assert!(has(&sheet, "valve-sizes-are-generic"));
    assert!(sheet.installed.full_flow_kg_s > 1.65);
    // Gain at each duty of the largest one's pressures lies on the curve.
    let gain = sheet.duties[0].installed_gain_ratio.unwrap();
    let curve = &sheet.installed.curve;
    let below = curve
        .iter()
        .rfind(|point| point.travel_percent <= travel)
        .unwrap()
        .gain_ratio;
    let above = curve
        .iter()
        .find(|point| point.travel_percent >= travel)
        .unwrap()
        .gain_ratio;
    assert!((below.min(above) - 0.02..=below.max(above) + 0.02).contains(&gain));
}

#[test]
fn property_what_is_wrong_is_told() {
    let find = |code: &str, change: &dyn Fn(&mut Loop)| {
        let mut the_loop = described();
        assert!(!has(&sheet(&the_loop), code), "{code} without its cause");
        change(&mut the_loop);
        let sheet = sheet(&the_loop);
        assert!(has(&sheet, code), "{code}: {:#?}", sheet.findings);
    };
    let size = |kv: f64, bore: f64| {
        Some(ValveSize {
            name: "fitted".into(),
            rated_kv_m3_h: kv,
            bore_m: bore,
            seat_diameter_m: None,
        })
    };
    find("valve-too-small", &|the_loop| {
        system(the_loop).valve.fitted = size(1.6, 0.02);
    });
    find("valve-oversized", &|the_loop| {
        system(the_loop).valve.fitted = size(40.0, 0.05);
    });
    find("low-load-throttles-beside-the-seat", &|the_loop| {
        system(the_loop).valve.fitted = size(40.0, 0.05);
    });
    find("throttling-limit-exceeded", &|the_loop| {
        system(the_loop).valve.throttling_limit_pa = Some(1e5);
    });
    find("shut-off-limit-exceeded", &|the_loop| {
        system(the_loop).valve.shut_off_limit_pa = Some(1e6);
    });
    find("npsh-is-short", &|the_loop| {
        if let Supply::Pump(pump) = &mut system(the_loop).supply {
            pump.curve[0].npsh_required_m = Some(30.0);
            pump.curve[2].npsh_required_m = Some(40.0);
        }
    });
    find("pipe-after-valve-is-fast", &|the_loop| {
        system(the_loop).line.pipe_after_valve_m = 0.019;
    });
    find("valve-flashes", &|the_loop| {
        for duty in &mut the_loop.duties {
            duty.feed_temperature_k = kelvin(110.0);
        }
        if let Supply::Pump(pump) = &mut system(the_loop).supply {
            pump.suction_surface = AbsolutePressure::from_pa(150_000.0);
        }
    });
    find("full-valve-flow-differs", &|the_loop| {
        the_loop.feedwater.full_valve_flow_source = "stated".into();
        the_loop.feedwater.full_valve_flow_kg_s = 9.0;
    });
    find("pump-beyond-its-curve", &|the_loop| {
        the_loop.duties[0].steam_kg_s = 3.0;
    });
    find("speed-could-control", &|the_loop| {
        if let Supply::Pump(pump) = &mut system(the_loop).supply {
            pump.variable_speed = true;
        }
    });
    find("returns-are-not-counted", &|the_loop| {
        system(the_loop).returns = vec![ReturnFlow {
            name: "condensate".into(),
            share_of_outflow: 0.5,
            temperature_k: kelvin(80.0),
            pressure: psig(20.0),
        }];
    });
}

#[test]
fn property_speed_with_the_valve_open_falls_with_the_load() {
    let mut the_loop = described();
    if let Supply::Pump(pump) = &mut system(&mut the_loop).supply {
        pump.variable_speed = true;
        pump.recirculation = Recirculation::Automatic;
    }
    let duties = sheet(&the_loop).duties;
    let speed = |index: usize| duties[index].speed_with_valve_open_percent.unwrap();
    assert!(speed(0) > speed(1) && speed(1) > speed(2) && speed(2) > speed(4));
    assert!(
        speed(0) < speed(3)
            && speed(3) < 100.0
            && duties[5].speed_with_valve_open_percent.is_none()
    );
}

#[test]
fn property_supply_that_does_not_reach_says_by_how_much() {
    let mut the_loop = described();
    system(&mut the_loop).supply = Supply::Header(Header {
        pressure: psig(120.0),
        droop: Some(ReferenceDrop {
            drop_pa: 1e4,
            flow_kg_s: 1.0,
        }),
    });
    let error = feedwater_sheet(&the_loop).unwrap_err();
    assert!(matches!(error, FeedwaterError::NoDrop { .. }), "{error}");
    assert!(error.to_string().contains("“maximum”"), "{error}");
}

#[test]
fn property_flashing_at_start_up_is_a_note_and_steam_is_reckoned() {
    let mut the_loop = described();
    for duty in &mut the_loop.duties {
        duty.feed_temperature_k = kelvin(110.0);
    }
    if let Supply::Pump(pump) = &mut system(&mut the_loop).supply {
        pump.suction_surface = AbsolutePressure::from_pa(150_000.0);
    }
    let sheet = sheet(&the_loop);
    let start_up = &sheet.duties[4];
    assert!(start_up.flashing && start_up.cavitation == Cavitation::Flashing);
    // Steam tables: (462.4 − 429.6)/2249.6 kJ/kg, from 15 bar and 110 degC to 1.106 bar.
    assert!(
        (start_up.flash_steam_ratio - 0.014_6).abs() < 2e-4,
        "{}",
        start_up.flash_steam_ratio
    );
    assert!(start_up.noise_dba.is_none() && start_up.outlet_velocity_m_s > 2.0);
    let finding = sheet
        .findings
        .iter()
        .find(|one| one.code == "valve-flashes")
        .unwrap();
    assert_eq!(finding.severity, Severity::Note);
    assert!(!sheet.duties[0].flashing);
}

#[test]
fn property_deaerator_passes_its_make_up() {
    let mut the_loop = described();
    the_loop.vessel.kind = VesselKind::Deaerator;
    let pressure = psig(5.0);
    the_loop.pressures.normal = pressure;
    for duty in &mut the_loop.duties {
        duty.pressure = pressure;
        duty.feed_temperature_k = kelvin(20.0);
    }
    let sheet = sheet(&the_loop);
    assert!(sheet.duties[0].flow_kg_s < 1.65 && sheet.duties[0].flow_kg_s > 1.3);
    assert!(
        sheet.duties[0].words.contains("Heating steam"),
        "{}",
        sheet.duties[0].words
    );
}

#[test]
fn property_leakage_and_workings_of_the_stem_are_on_the_sheet() {
    let sheet = sheet(&described());
    let leakage = sheet.leakage.as_ref().unwrap();
    let shut = sheet
        .duties
        .iter()
        .find(|duty| duty.kind == DutyKind::ShutOff)
        .unwrap();
    // Class IV: 0.01 % of the rated capacity at the drop of shut-off.
    let relative_density = shut.density_kg_m3 / 999.1;
    let capacity_m3_h =
        sheet.chosen_kv_m3_h * (shut.pressure_drop_pa / (1e5 * relative_density)).sqrt();
    let expected_kg_s = 1e-4 * capacity_m3_h / 3600.0 * shut.density_kg_m3;
    assert!(
        (leakage.leakage_kg_s / expected_kg_s - 1.0).abs() < 1e-3,
        "{leakage:?}"
    );
    for title in [
        "Force the actuator needs",
        "Rise of the level by leakage, nothing leaving",
    ] {
        assert!(
            sheet.workings.iter().any(|working| working.title == title),
            "{title}"
        );
    }
}

/// A boiler must be fed while its safety valves blow (common practice; the code in force says at which pressure).
#[test]
fn practice_a_supply_that_stops_short_is_told() {
    let code = "feed-falls-short-at-safety-valve-set";
    let mut the_loop = described();
    let good = sheet(&the_loop);
    assert!(!has(&good, code) && good.duties[3].kind == DutyKind::SafetyValve);
    // Above what the pump gives: no row, a finding, and the same choice.
    the_loop.pressures.safety_valve = psig(250.0);
    let short = sheet(&the_loop);
    assert!(has(&short, code) && !has(&short, "feed-falls-short-at-highest-pressure"));
    assert!(
        short
            .duties
            .iter()
            .all(|duty| duty.kind != DutyKind::SafetyValve)
    );
    assert_eq!(short.chosen_name, good.chosen_name);
    // Just under it: a row that no valve of the series passes changes no verdict.
    let drop_pa = good.duties[3].pressure_drop_pa;
    let set_pa = good.duties[3].vessel_pressure_pa + 0.98 * drop_pa;
    the_loop.pressures.safety_valve = AbsolutePressure::from_pa(set_pa);
    let tight = sheet(&the_loop);
    assert!(has(&tight, code) && !has(&tight, "valve-too-small"));
    assert!(tight.duties[3].travel_percent.is_none());
    assert!(tight.candidates.iter().any(|one| one.chosen && one.fits));
    assert!(
        tight
            .choice_words
            .contains("does not pass “safety-valve set”")
    );
    // A tank has no safety valve to feed against.
    the_loop.vessel.kind = VesselKind::VentedTank;
    assert!(!has(&sheet(&the_loop), code));
}
