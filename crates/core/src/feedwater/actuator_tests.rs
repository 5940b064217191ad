//! Actuator force and torque against statics by hand.

use std::f64::consts::PI;

use proptest::prelude::*;

use super::actuator::{ActuatorError, actuator_sheet};
use crate::description::feed_system::{Actuator, LeakageClass, ValveSize};
use crate::example_loop::shell_boiler;
use crate::feedwater::example_sheet::feed_system;
use crate::feedwater::sheets::ActuatorSheet;
use crate::finding::Finding;

fn size(seat_diameter_m: Option<f64>) -> ValveSize {
    ValveSize {
        name: "DN 40".into(),
        rated_kv_m3_h: 16.0,
        bore_m: 0.04,
        seat_diameter_m,
    }
}

fn with(actuator: Actuator, seat_m: Option<f64>, drop_pa: f64) -> (ActuatorSheet, Vec<Finding>) {
    let mut system = feed_system();
    system.actuator = actuator;
    system.valve.leakage = LeakageClass::IV;
    actuator_sheet(&shell_boiler(), &system, &size(seat_m), drop_pa).unwrap()
}

const fn stem(rated_force_n: f64, balanced: bool, flow_opens: bool) -> Actuator {
    Actuator::Linear {
        rated_force_n,
        packing_friction_n: 300.0,
        balanced,
        flow_opens,
    }
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code).collect()
}

/// Statics by hand: seat 30 mm is 706.86 mm2, 20 bar on it 1413.7 N; circumference 94.25 mm at 7 N/mm 659.7 N.
#[test]
fn practice_forces_by_hand() {
    let (against, _) = with(stem(3_000.0, false, true), Some(0.03), 2e6);
    assert!((against.from_drop - 1_413.72).abs() < 0.01, "{against:?}");
    assert!((against.seat_load_n - 659.73).abs() < 0.01);
    assert!((against.required - (1_413.72 + 659.73 + 300.0)).abs() < 0.01);
    assert!((against.margin_ratio - 3_000.0 / 2_373.45).abs() < 1e-4 && against.enough);
    // Flow shuts: the drop more than presses the seat, lifting the plug decides.
    let (with_flow, findings) = with(stem(3_000.0, false, false), Some(0.03), 2e6);
    assert!((with_flow.from_drop + 1_413.72).abs() < 0.01);
    assert!(
        (with_flow.required - 1_713.72).abs() < 0.01,
        "{with_flow:?}"
    );
    assert_eq!(codes(&findings), ["plug-may-slam"]);
    // Balanced: a tenth of the force.
    let (balanced, findings) = with(stem(3_000.0, true, true), Some(0.03), 2e6);
    assert!((balanced.from_drop - 141.37).abs() < 0.01);
    assert_eq!(codes(&findings), Vec::<&str>::new());
}

#[test]
fn practice_margin_is_judged_in_three_steps() {
    for (rated_n, code) in [
        (2_373.0, Some("actuator-too-weak")),
        (2_374.0, Some("actuator-margin-small")),
        (2_966.0, Some("actuator-margin-small")),
        (2_967.0, None),
    ] {
        let (sheet, findings) = with(stem(rated_n, false, true), Some(0.03), 2e6);
        assert_eq!(codes(&findings).first().copied(), code, "{rated_n}");
        assert_eq!(sheet.enough, code.is_none());
    }
}

#[test]
fn practice_rotary_valve_takes_the_larger_torque() {
    let rotary = |breakaway_torque_n_m, running_torque_n_m| Actuator::Rotary {
        rated_torque_n_m: 50.0,
        breakaway_torque_n_m,
        running_torque_n_m,
    };
    let (breaks, findings) = with(rotary(40.0, 25.0), None, 2e6);
    assert!(breaks.is_torque && breaks.enough && findings.is_empty());
    assert!((breaks.margin_ratio - 1.25).abs() < 1e-12);
    let (runs, findings) = with(rotary(40.0, 60.0), None, 2e6);
    assert!((runs.required - 60.0).abs() < 1e-12);
    assert_eq!(codes(&findings), ["actuator-too-weak"]);
}

#[test]
fn practice_unknown_seat_is_said_and_the_bore_used() {
    let (sheet, findings) = with(stem(9_000.0, false, true), None, 1e6);
    assert!((sheet.from_drop - 0.25 * PI * 0.04 * 0.04 * 1e6).abs() < 1e-9);
    assert!(
        sheet.words.contains("the bore stands in"),
        "{}",
        sheet.words
    );
    assert_eq!(codes(&findings), ["seat-diameter-assumed"]);
}

#[test]
fn property_what_is_no_quantity_is_refused() {
    let (the_loop, mut system) = (shell_boiler(), feed_system());
    for drop_pa in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            actuator_sheet(&the_loop, &system, &size(None), drop_pa),
            Err(ActuatorError::Drop { .. })
        ));
    }
    assert!(matches!(
        actuator_sheet(&the_loop, &system, &size(Some(f64::NAN)), 1e6),
        Err(ActuatorError::Seat { .. })
    ));
    system.actuator = stem(f64::NAN, false, true);
    assert!(matches!(
        actuator_sheet(&the_loop, &system, &size(None), 1e6),
        Err(ActuatorError::Strength { .. })
    ));
}

proptest! {
    #[test]
    fn property_needed_force_rises_with_drop_and_rescales(
        seat_m in 0.01_f64..0.2, drop_pa in 1e4_f64..1e7, more in 1.01_f64..2.0, opens: bool, balanced: bool,
    ) {
        let needed = |drop_pa: f64| with(stem(1e4, balanced, opens), Some(seat_m), drop_pa).0;
        let (low, high) = (needed(drop_pa), needed(more * drop_pa));
        prop_assert!((high.from_drop / low.from_drop - more).abs() < 1e-9);
        if opens {
            prop_assert!(high.required > low.required);
        } else {
            // Never more than shutting without any drop, or lifting against it.
            let bare = needed(0.0).required;
            prop_assert!(low.required <= bare.max(300.0 - low.from_drop) + 1e-6);
        }
    }
}
