//! Findings on NPSH, the pump's curve, pipe and valve that are not turbulent: told on one side of their limit and not on the other.

use super::feedwater_sheet;
use super::sheets::FeedwaterSheet;
use crate::description::Loop;
use crate::description::feed_system::{
    FeedSystem, LinePart, Loss, Pump, Supply, ValveSide, ValveSize,
};
use crate::example_loop::shell_boiler;
use crate::feedwater::example_sheet::feed_system;
use crate::feedwater::sizes::generic_sizes;
use crate::finding::Severity;
use crate::water::water_viscosity_pa_s;
use std::f64::consts::PI;

/// The sheet of an invented boiler after a change.
fn sheet(change: impl FnOnce(&mut Loop)) -> FeedwaterSheet {
    let mut the_loop = shell_boiler();
    let mut system = feed_system();
    system.valve.sizes = generic_sizes();
    the_loop.feed_system = Some(system);
    change(&mut the_loop);
    feedwater_sheet(&the_loop).unwrap().unwrap()
}

fn system(the_loop: &mut Loop) -> &mut FeedSystem {
    the_loop.feed_system.as_mut().unwrap()
}

fn pump(the_loop: &mut Loop) -> &mut Pump {
    match &mut system(the_loop).supply {
        Supply::Pump(pump) => pump,
        Supply::Header(_) => panic!("the example has a pump"),
    }
}

fn severity(sheet: &FeedwaterSheet, code: &str) -> Option<Severity> {
    let found = sheet.findings.iter().find(|one| one.code == code);
    found.map(|one| one.severity)
}

const NPSH: [&str; 2] = ["npsh-is-short", "npsh-margin-is-small"];

/// Steam tables at 85 degC (IAPWS R7-97 in round figures): 57.87 kPa, 968.6 kg/m3: (101 325 - 57 870)/(968.6 x 9.80665) + 3 = 7.575 m
/// stand at the pump. The margin of 1.1 is common practice.
#[test]
fn published_npsh_is_told_below_what_is_required_and_below_its_margin() {
    let available_m = sheet(|_| {}).duties[0].npsh_available_m.unwrap();
    assert!((available_m - 7.575).abs() < 0.01, "{available_m}");
    for (required_m, expected) in [
        (1.001 * available_m, [Some(Severity::Stop), None]),
        (0.999 * available_m, [None, Some(Severity::Warn)]),
        (1.001 * available_m / 1.1, [None, Some(Severity::Warn)]),
        (0.999 * available_m / 1.1, [None, None]),
    ] {
        let sheet = sheet(|the_loop| {
            for point in &mut pump(the_loop).curve {
                point.npsh_required_m = Some(required_m);
            }
        });
        let found = NPSH.map(|code| severity(&sheet, code));
        assert_eq!(found, expected, "{required_m} m required");
    }
}

/// Where nothing is known of what the pump wants, less than nothing is short all the same.
#[test]
fn property_npsh_below_nothing_is_short_without_a_requirement() {
    let available_m = sheet(|_| {}).duties[0].npsh_available_m.unwrap();
    for (lower_m, expected) in [
        (available_m + 0.01, Some(Severity::Stop)),
        (available_m - 0.01, None),
    ] {
        let sheet = sheet(|the_loop| pump(the_loop).suction_surface_above_pump_m -= lower_m);
        assert_eq!(severity(&sheet, NPSH[0]), expected, "{lower_m} m lower");
    }
}

/// The curve of the example ends at 3 L/s.
#[test]
fn property_a_duty_past_the_end_of_the_curve_is_told() {
    let density_kg_m3 = sheet(|_| {}).duties[0].density_kg_m3;
    for (share, expected) in [(1.002, Some(Severity::Warn)), (0.998, None)] {
        let sheet = sheet(|the_loop| {
            let duty = &mut the_loop.duties[0];
            duty.steam_kg_s = share * 3e-3 * density_kg_m3 - duty.blowdown_kg_s;
        });
        assert_eq!(severity(&sheet, "pump-beyond-its-curve"), expected);
    }
}

/// A small valve fully open passes less than the end of the curve, a large one more.
#[test]
fn property_the_open_valve_past_the_end_of_the_curve_is_told() {
    let with = |kv: f64| {
        sheet(|the_loop| {
            system(the_loop).valve.fitted = Some(ValveSize {
                name: "fitted".into(),
                rated_kv_m3_h: kv,
                bore_m: 0.04,
                seat_diameter_m: None,
            });
        })
    };
    let passes =
        |sheet: &FeedwaterSheet| sheet.installed.full_flow_kg_s / sheet.duties[0].density_kg_m3;
    let (mut low, mut high) = (3.0, 40.0);
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if passes(&with(middle)) > 3e-3 {
            high = middle;
        } else {
            low = middle;
        }
    }
    for (kv, expected) in [(1.001 * high, Some(Severity::Note)), (0.999 * low, None)] {
        let found = severity(&with(kv), "pump-runs-out-at-full-valve");
        assert_eq!(found, expected, "Kv {kv}");
    }
}

/// A parabola through 150 m, h and 115 m at 0, 1.5 and 3 L/s leaves no flow with the slope (4h - 3 x 150 - 115)/(3 L/s): it rises above
/// h = 141.25 m.
#[test]
fn property_a_curve_that_rises_is_told() {
    for (head_m, expected) in [(141.3, Some(Severity::Note)), (141.2, None)] {
        let sheet = sheet(|the_loop| pump(the_loop).curve[1].head_m = head_m);
        assert_eq!(severity(&sheet, "pump-curve-rises"), expected, "{head_m}");
    }
}

/// Re = 4w/(pi D mu) between 2000 and 4000, the limits of transition in a round pipe.
#[test]
fn property_a_pipe_in_transition_is_told_between_its_limits() {
    let plain = sheet(|_| {});
    let low_fire = &plain.duties[2];
    let viscosity_pa_s =
        water_viscosity_pa_s(low_fire.water_temperature_k, low_fire.inlet_pressure_pa).unwrap();
    for (reynolds, expected) in [
        (1_980.0, None),
        (2_020.0, Some(Severity::Note)),
        (3_960.0, Some(Severity::Note)),
        (4_040.0, None),
    ] {
        let sheet = sheet(|the_loop| {
            system(the_loop).line.parts = vec![LinePart {
                name: "wide pipe".into(),
                side: ValveSide::Before,
                loss: Loss::Pipe {
                    inside_diameter_m: 4.0 * low_fire.flow_kg_s / (PI * viscosity_pa_s * reynolds),
                    length_m: 2.0,
                    roughness_m: 4.5e-5,
                    fittings_k: 0.0,
                },
                shared: false,
                temperature_rise_k: 0.0,
            }];
        });
        let found = severity(&sheet, "pipe-flow-is-in-transition");
        assert_eq!(found, expected, "Re {reynolds}");
    }
}

/// IEC 60534-2-1: turbulent from a valve Reynolds number of 10 000 on; it is in proportion to Fd.
#[test]
fn published_a_valve_below_a_reynolds_number_of_10_000_is_told() {
    let with = |modifier: f64| {
        sheet(|the_loop| {
            system(the_loop).valve.style_modifier = Some(modifier);
            system(the_loop).valve.fitted = Some(generic_sizes()[8].clone());
        })
    };
    let at_one = with(1.0);
    let least = at_one
        .duties
        .iter()
        .filter(|duty| duty.reynolds > 0.0)
        .map(|duty| duty.reynolds)
        .fold(f64::INFINITY, f64::min);
    for (reynolds, expected) in [(9_950.0, Some(Severity::Note)), (10_050.0, None)] {
        let found = severity(&with(reynolds / least), "valve-flow-is-not-turbulent");
        assert_eq!(found, expected, "Rev {reynolds}");
    }
}
