//! Tests of pumps and header.

use super::*;
use crate::description::feed_system::PumpPoint;
use crate::quantity::AbsolutePressure;
use proptest::prelude::*;

const M_PER_FT: f64 = 0.3048;
const M3_S_PER_GPM: f64 = 6.309_02e-5;

fn point(flow_m3_s: f64, head_m: f64) -> PumpPoint {
    PumpPoint {
        flow_m3_s,
        head_m,
        npsh_required_m: None,
    }
}

pub(super) fn pump(points: Vec<PumpPoint>) -> Pump {
    Pump {
        curve: points,
        running: 1,
        standby: 0,
        suction_surface: AbsolutePressure::from_pa(101_325.0),
        suction_surface_above_pump_m: 3.0,
        suction_loss: None,
        minimum_flow_m3_s: None,
        recirculation: Recirculation::None,
        other_flow_kg_s: 0.0,
        variable_speed: false,
    }
}

fn three() -> Vec<PumpPoint> {
    vec![point(0.0, 140.0), point(2e-3, 130.0), point(4e-3, 100.0)]
}

fn pumps(pump: &Pump) -> Pumps {
    Pumps::of(pump, 970.0, 9.806_65).unwrap()
}

/// Crane TP-410, example 7-33: 400 gpm and 126 ft at 3500 rpm become 194.3 gpm and 29.73 ft at 1700 rpm.
#[test]
fn published_affinity_laws() {
    let curve = PumpCurve::through(&[
        point(0.0, 150.0 * M_PER_FT),
        point(400.0 * M3_S_PER_GPM, 126.0 * M_PER_FT),
        point(600.0 * M3_S_PER_GPM, 96.0 * M_PER_FT),
    ])
    .unwrap();
    let head_m = curve.head_at_speed(194.286 * M3_S_PER_GPM, 1700.0 / 3500.0);
    assert!((head_m / M_PER_FT / 29.726 - 1.0).abs() < 1e-4, "{head_m}");
    let ratio = curve
        .speed_ratio(194.286 * M3_S_PER_GPM, 29.726 * M_PER_FT)
        .unwrap();
    assert!((ratio * 3500.0 / 1700.0 - 1.0).abs() < 1e-4, "{ratio}");
}

/// Crane TP-410, example 7-32: water at 60 degF under 5 psi(g), 25 ft of lift, 6 ft of suction loss: 13.9 ft.
#[test]
fn published_npsh_with_lift() {
    let vapour_pa = crate::water::saturation_pressure_pa(288.706).unwrap();
    let density = 999.0;
    let mut described = pump(three());
    described.suction_surface = AbsolutePressure::from_pa((14.7 + 5.0) * 6_894.757);
    described.suction_surface_above_pump_m = -25.0 * M_PER_FT;
    let flow_m3_s = 2e-3;
    described.suction_loss = Some(crate::description::feed_system::ReferenceDrop {
        drop_pa: 6.0 * M_PER_FT * density * 9.806_65,
        flow_kg_s: flow_m3_s * density,
    });
    let pumps = Pumps::of(&described, density, 9.806_65).unwrap();
    let npsh_ft = pumps.npsh_available_m(flow_m3_s, vapour_pa) / M_PER_FT;
    assert!((npsh_ft / 13.887 - 1.0).abs() < 0.01, "{npsh_ft}");
}

/// Parabola 140 − 0·q − ... through three points, by hand: at q = 1e-3, 140 − 2.5e6·q² ... = 137.5 m.
#[test]
fn published_three_points_are_a_parabola() {
    let curve = PumpCurve::through(&three()).unwrap();
    for (flow, head) in [(1e-3, 137.5), (3e-3, 117.5), (0.0, 140.0), (4e-3, 100.0)] {
        assert!((curve.head(flow).0 - head).abs() < 1e-9, "{flow}");
    }
    // Through its end it goes on as the same parabola, this one being A − B·q².
    assert!((curve.head(5e-3).0 - 77.5).abs() < 1e-9);
}

#[test]
fn property_curves_that_cannot_be_are_refused() {
    for points in [
        vec![point(0.0, 10.0), point(1.0, 9.0)],
        vec![point(0.0, 10.0), point(0.0, 9.0), point(1.0, 8.0)],
        vec![point(0.0, 10.0), point(1.0, f64::NAN), point(2.0, 8.0)],
        vec![point(f64::NAN, 10.0), point(1.0, 9.0), point(2.0, 8.0)],
        vec![point(0.0, 10.0), point(1.0, 8.0), point(2.0, 9.0)],
    ] {
        assert!(PumpCurve::through(&points).is_err(), "{points:?}");
    }
    let mut described = pump(three());
    described.running = 0;
    assert!(Pumps::of(&described, 970.0, 9.8).is_err());
}

#[test]
fn property_pumps_in_parallel_share_the_flow_and_others_take_theirs() {
    let mut described = pump(three());
    let one = pumps(&described).at_flow(1.5);
    described.running = 2;
    let two = pumps(&described).at_flow(3.0);
    assert!((one.pressure_pa / two.pressure_pa - 1.0).abs() < 1e-14);
    described.other_flow_kg_s = 1.0;
    let with_others = pumps(&described).at_flow(2.0);
    assert!((with_others.pressure_pa / two.pressure_pa - 1.0).abs() < 1e-14);
}

#[test]
fn property_recirculation_adds_to_the_pump_alone() {
    let mut described = pump(three());
    described.minimum_flow_m3_s = Some(8e-4);
    described.recirculation = Recirculation::Automatic;
    let shut = pumps(&described).at_flow(0.0);
    assert!((shut.pump_flow_m3_s.unwrap() - 8e-4).abs() < 1e-15);
    let open = pumps(&described).at_flow(2.0);
    assert!((open.pump_flow_m3_s.unwrap() - 2.0 / 970.0).abs() < 1e-15);
    described.recirculation = Recirculation::Continuous { flow_m3_s: 5e-4 };
    let at = pumps(&described).at_flow(2.0);
    let expected = 2.0 / 970.0 + 5e-4 * (at.head_m.unwrap() / 140.0).sqrt();
    assert!((at.pump_flow_m3_s.unwrap() / expected - 1.0).abs() < 1e-12);
}

#[test]
fn property_npsh_required_is_straight_between_points_and_unknown_past_them() {
    let mut points = three();
    points[1].npsh_required_m = Some(2.0);
    points[2].npsh_required_m = Some(4.0);
    let pumps = pumps(&pump(points));
    assert!((pumps.npsh_required_m(3e-3).unwrap() - 3.0).abs() < 1e-12);
    assert!((pumps.npsh_required_m(1e-3).unwrap() - 2.0).abs() < 1e-12);
    assert_eq!(pumps.npsh_required_m(4.1e-3), None);
}

proptest! {
    #[test]
    fn property_curve_passes_its_points_and_falls(drops in prop::collection::vec(0.5_f64..30.0, 3..8)) {
        let mut head = 300.0;
        let mut points = vec![point(0.0, head)];
        for (index, drop) in drops.iter().enumerate() {
            head -= drop;
            points.push(point(1e-3 * (index as f64 + 1.0).powf(1.3), head));
        }
        let curve = PumpCurve::through(&points).unwrap();
        for point in &points {
            prop_assert!((curve.head(point.flow_m3_s).0 - point.head_m).abs() < 1e-9);
        }
        let end = 1.2 * curve.end_flow_m3_s();
        let mut before = f64::INFINITY;
        for index in 0..200 {
            let flow = end * f64::from(index) / 200.0;
            let (head, slope) = curve.head(flow);
            prop_assert!(head < before + 1e-12);
            before = head;
            let step = 1e-9;
            let measured = (curve.head(flow + step).0 - curve.head(flow - step).0) / (2.0 * step);
            prop_assert!((measured - slope).abs() < 1e-3 * slope.abs() + 2.0, "{measured} {slope}");
        }
    }

    #[test]
    fn property_supply_slope_is_the_difference(flow in 0.2_f64..4.0, recirculated in 0.0_f64..8e-4) {
        let mut described = pump(three());
        described.suction_loss = Some(crate::description::feed_system::ReferenceDrop { drop_pa: 4e3, flow_kg_s: 3.0 });
        described.recirculation = Recirculation::Continuous { flow_m3_s: recirculated };
        let pumps = pumps(&described);
        let step = 1e-5;
        let measured = (pumps.at_flow(flow + step).pressure_pa - pumps.at_flow(flow - step).pressure_pa) / (2.0 * step);
        let slope = pumps.at_flow(flow).slope_pa_s_kg;
        prop_assert!((measured / slope - 1.0).abs() < 1e-4, "{measured} {slope}");
    }

    #[test]
    fn property_speed_holds_the_pressure(flow in 0.2_f64..3.0, share in 0.3_f64..1.0) {
        let pumps = pumps(&pump(three()));
        let pressure = 101_325.0 + share * (pumps.at_flow(flow).pressure_pa - 101_325.0);
        let ratio = pumps.speed_ratio(flow, pressure).unwrap();
        prop_assert!(ratio <= 1.0 + 1e-12);
        let head = pumps.curve.head_at_speed(flow / 970.0, ratio);
        let got = 101_325.0 + 970.0 * 9.806_65 * (3.0 + head);
        prop_assert!((got / pressure - 1.0).abs() < 1e-9);
    }
}
