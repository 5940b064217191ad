//! Tests of the valve in its system.

use super::*;
use crate::description::feed_system::{
    FeedSystem, Header, LinePart, Loss, ReferenceDrop, Supply, ValveSide,
};
use crate::example_loop::{kelvin, shell_boiler};
use crate::feedwater::duties::ValveDuty;
use crate::feedwater::example_sheet::feed_system;
use crate::feedwater::sheets::DutyKind;
use crate::quantity::AbsolutePressure;
use proptest::prelude::*;

fn duty(vessel_pressure_pa: f64) -> ValveDuty {
    ValveDuty {
        name: "test".into(),
        kind: DutyKind::Stated,
        flow_kg_s: 1.0,
        heating_steam_kg_s: None,
        vessel_pressure_pa,
        supply_temperature_k: kelvin(85.0),
        valve_temperature_k: kelvin(85.0),
        feed_temperature_k: kelvin(85.0),
    }
}

fn size(rated_kv_m3_h: f64) -> ValveSize {
    ValveSize {
        name: "test".into(),
        rated_kv_m3_h,
        bore_m: 0.05,
        seat_diameter_m: None,
    }
}

fn solved(system: &FeedSystem, vessel_pa: f64) -> System {
    System::of(&shell_boiler(), system, &duty(vessel_pa)).unwrap()
}

/// Constant header and a line that loses by the square: q = 1/√(1 − N + N/φ²) in closed form, N the valve's share of the drop with
/// the valve open. Values for φ = 0.5 and for φ = 0.141 42 (equal percentage, rangeability 50, half travel).
#[test]
fn published_installed_characteristic() {
    let table = Characteristic::Table(vec![(0.0, 0.01), (0.5, 0.5), (1.0, 1.0)]);
    let equal = Characteristic::EqualPercentage { rangeability: 50.0 };
    for (share, at_half, at_equal) in [
        (1.0, 0.5, 0.141_42),
        (0.5, 0.632_46, 0.198_03),
        (0.3, 0.725_48, 0.252_38),
        (0.1, 0.877_06, 0.411_69),
    ] {
        // Kv 10 at 1.5 kg/s takes its drop; header and line give the rest.
        let mut system = feed_system();
        system.line.inlet_above_supply_m = system.line.valve_above_supply_m;
        system.line.valve_above_supply_m = 0.0;
        system.line.inlet_above_supply_m = 0.0;
        let header = |pa| {
            Supply::Header(Header {
                pressure: AbsolutePressure::from_pa(pa),
                droop: None,
            })
        };
        system.supply = header(1.5e6);
        let density = solved(&system, 9e5).density_kg_m3;
        let flow: f64 = 1.5;
        let drop =
            (3600.0 * flow / density / 10.0).powi(2) * density / REFERENCE_DENSITY_KG_M3 * 1e5;
        system.line.parts = vec![LinePart {
            name: "line".into(),
            side: ValveSide::Before,
            loss: Loss::Reference(ReferenceDrop {
                drop_pa: drop * (1.0 / share - 1.0),
                flow_kg_s: flow,
            }),
            shared: false,
            temperature_rise_k: 0.0,
        }];
        system.supply = header(9e5 + drop / share);
        let found = solved(&system, 9e5);
        for (characteristic, expected) in [(&table, at_half), (&equal, at_equal)] {
            let valve = ValveInSystem::new(&found, characteristic, &size(10.0), 1.0, &system.line);
            let open = valve.flow(1.0).unwrap().flow_kg_s;
            // Density is that of 1.5 MPa up to the header's pressure: 1e-4.
            assert!((open / flow - 1.0).abs() < 3e-4, "{open}");
            let half = valve.flow(0.5).unwrap().flow_kg_s;
            assert!(
                (half / open - expected).abs() < 1e-4,
                "{share}: {}",
                half / open
            );
            let authority = valve.installed((0.5, 1.0)).unwrap().authority_ratio;
            assert!((authority - share).abs() < 3e-4, "{authority} {share}");
        }
    }
}

#[test]
fn property_no_flow_where_the_supply_does_not_reach() {
    let system = feed_system();
    let found = solved(&system, 5e6);
    let characteristic = Characteristic::Linear { rangeability: 30.0 };
    let valve = ValveInSystem::new(&found, &characteristic, &size(10.0), 0.9, &system.line);
    assert!(valve.flow(1.0).unwrap().flow_kg_s.abs() <= 0.0);
    assert!(valve.installed((0.1, 1.0)).unwrap().full_flow_kg_s.abs() <= 0.0);
}

proptest! {
    #[test]
    fn property_flow_rises_with_travel_and_size(
        kv in 0.5_f64..60.0, vessel in 1.1e5_f64..1.3e6, line in 1e3_f64..2e5, recovery in 0.5_f64..0.95, kind in 0..3,
    ) {
        let mut system = feed_system();
        system.line.parts = vec![LinePart {
            name: "line".into(),
            side: ValveSide::After,
            loss: Loss::Reference(ReferenceDrop { drop_pa: line, flow_kg_s: 1.5 }),
            shared: false,
            temperature_rise_k: 0.0,
        }];
        let found = solved(&system, vessel);
        let characteristic = match kind {
            0 => Characteristic::Linear { rangeability: 30.0 },
            1 => Characteristic::EqualPercentage { rangeability: 50.0 },
            _ => Characteristic::Table(vec![(0.0, 0.01), (0.3, 0.1), (0.7, 0.5), (1.0, 1.0)]),
        };
        let valve = ValveInSystem::new(&found, &characteristic, &size(kv), recovery, &system.line);
        let flows = valve.flows(CURVE_POINTS).unwrap();
        prop_assert!(flows.windows(2).all(|pair| pair[1].1.flow_kg_s > pair[0].1.flow_kg_s));
        for (travel, at) in &flows {
            let alone = valve.flow(*travel).unwrap();
            prop_assert!((alone.flow_kg_s / at.flow_kg_s - 1.0).abs() < 1e-11);
        }
        let larger = ValveInSystem::new(&found, &characteristic, &size(1.1 * kv), recovery, &system.line);
        prop_assert!(larger.flow(1.0).unwrap().flow_kg_s > valve.flow(1.0).unwrap().flow_kg_s);
    }

    #[test]
    fn property_gain_is_the_difference(
        kv in 0.5_f64..60.0, vessel in 1.1e5_f64..1.3e6, travel in 0.05_f64..0.95, recovery in 0.5_f64..0.95,
    ) {
        let system = feed_system();
        let found = solved(&system, vessel);
        let characteristic = Characteristic::EqualPercentage { rangeability: 50.0 };
        let valve = ValveInSystem::new(&found, &characteristic, &size(kv), recovery, &system.line);
        let at = valve.flow(travel).unwrap();
        let step = 1e-5;
        let (low, high) = (valve.flow(travel - step).unwrap(), valve.flow(travel + step).unwrap());
        let measured = (high.flow_kg_s - low.flow_kg_s) / (2.0 * step);
        let between = low.slope_kg_s.min(high.slope_kg_s)..=low.slope_kg_s.max(high.slope_kg_s);
        // Within the step the flow may begin to choke or the curve end: then the slope is one of two.
        prop_assert!((measured / at.slope_kg_s - 1.0).abs() < 1e-5 || between.contains(&measured), "{measured} {}", at.slope_kg_s);
    }
}
