//! The water side, the wires and the uncertainty of the examples arrive in SI, whole, with their defaults listed.

use halfglass_core::description::Loop;
use halfglass_core::description::feed_system::{
    Actuator, Bypass, Characteristic, LeakageClass, Loss, Recirculation, Supply, ValveSide,
    ValveStyle,
};
use halfglass_core::description::uncertainty::{Distribution, UncertaintySource};
use halfglass_core::description::wiring::Conductor;
use halfglass_loopfile::read;

const LAUNDRY: &str = include_str!("../../../examples/laundry-shell-boiler.toml");
const PAPER_MILL: &str = include_str!("../../../examples/paper-mill-drum-boiler.toml");
const DISTRICT: &str = include_str!("../../../examples/district-deaerator.toml");
const BREWERY: &str = include_str!("../../../examples/brewery-feed-tank.toml");
const INHERITED: &str = include_str!("../../../examples/inherited-cold-range.toml");
const BARE: &str = include_str!("fixtures/boiler.toml");

#[track_caller]
fn described(text: &str) -> Loop {
    read(text.as_bytes()).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[track_caller]
fn near(left: f64, right: f64) {
    assert!(
        (left - right).abs() <= 1e-9 * right.abs(),
        "{left} is not {right}"
    );
}

/// Litres a second in a gallon (US) a minute, from 3.785 411 784 L (NIST SP 811 B.8).
const GPM_L_S: f64 = 3.785_411_784 / 60.0;

#[test]
fn practice_the_laundrys_water_side_arrives_in_si() {
    let described = described(LAUNDRY);
    let system = described.feed_system.expect("surveyed");
    let Supply::Pump(pump) = &system.supply else {
        panic!("a pump")
    };
    assert_eq!((pump.running, pump.standby), (1, 1));
    near(pump.curve[2].flow_m3_s, 20.0 * GPM_L_S / 1000.0);
    near(pump.curve[2].head_m, 416.0 * 0.3048);
    near(pump.curve[2].npsh_required_m.unwrap(), 4.0 * 0.3048);
    assert!(pump.curve[0].npsh_required_m.is_none());
    near(pump.suction_surface.pa(), described.site.atmosphere.pa());
    let Recirculation::Continuous { flow_m3_s } = pump.recirculation else {
        panic!("continuous")
    };
    near(flow_m3_s, 5.0 * GPM_L_S / 1000.0);
    // 22 gpm(US) of water at 200 degF: 963.2 kg/m3 (IAPWS-IF97 at 93.3 degC and the boiler's pressure).
    let loss = pump.suction_loss.unwrap();
    near(loss.drop_pa, 0.3 * 6_894.757_293_168_361);
    let density = loss.flow_kg_s / (22.0 * GPM_L_S / 1000.0);
    assert!((density - 963.6).abs() < 0.8, "{density}");

    assert!(matches!(system.line.parts[0].loss, Loss::Pipe { .. }));
    assert!(matches!(system.line.parts[1].loss, Loss::Reference(_)));
    assert_eq!(system.line.parts[1].side, ValveSide::After);
    near(system.valve.pipe_wall_m, 0.145 * 0.0254);

    // 1 Cv is 0.865 m3/h (IEC 60534-1).
    let sizes = &system.valve.sizes;
    assert!(!system.valve.sizes_are_generic);
    near(sizes[2].rated_kv_m3_h, 11.6 * 0.865);
    near(sizes[2].seat_diameter_m.unwrap(), 0.025);
    assert_eq!(system.valve.leakage, LeakageClass::IV);
    assert_eq!(
        system.valve.characteristic,
        Characteristic::EqualPercentage { rangeability: 50.0 }
    );
    let Actuator::Linear {
        rated_force_n,
        flow_opens: true,
        ..
    } = system.actuator
    else {
        panic!("linear, flow opens")
    };
    near(rated_force_n, 450.0 * 4.448_221_615_260_5);
    assert_eq!(system.station.interlocks_kept.len(), 2);
}

#[test]
fn practice_the_other_water_sides_say_what_they_show() {
    let mill = described(PAPER_MILL).feed_system.unwrap();
    near(mill.line.parts[2].temperature_rise_k, 30.0);
    assert!(matches!(
        mill.actuator,
        Actuator::Linear { balanced: true, .. }
    ));

    let district = described(DISTRICT).feed_system.unwrap();
    assert!(matches!(district.supply, Supply::Header(header) if header.droop.is_some()));
    assert_eq!(district.valve.style, ValveStyle::EccentricPlugOpen);
    let Characteristic::Table(rows) = &district.valve.characteristic else {
        panic!("a table")
    };
    assert_eq!(rows.len(), 11);
    near(rows[5].1, 0.26);
    assert!(
        matches!(district.actuator, Actuator::Rotary { rated_torque_n_m, .. } if rated_torque_n_m > 79.0)
    );
    near(district.returns[0].share_of_outflow, 0.2);

    let brewery = described(BREWERY);
    let tank = brewery.feed_system.unwrap();
    assert!(tank.valve.sizes_are_generic);
    let kv: Vec<_> = tank
        .valve
        .sizes
        .iter()
        .map(|size| size.rated_kv_m3_h)
        .collect();
    assert!(kv.is_sorted() && kv.len() == 14, "{kv:?}");
    assert!(
        tank.valve
            .sizes
            .iter()
            .all(|size| size.name.contains("generic"))
    );
    assert_eq!(tank.station.bypass, Bypass::None);
    let told: Vec<_> = brewery.assumptions.iter().map(|one| one.input).collect();
    for path in ["valve.size.rated-kv", "line.pipe-wall"] {
        assert!(told.contains(&path), "{path} not in {told:?}");
    }

    let inherited = described(INHERITED).feed_system.unwrap();
    let fitted = inherited.valve.fitted.unwrap();
    near(fitted.rated_kv_m3_h, 29.0 * 0.865);
    assert!(!inherited.station.isolating_valves);
}

#[test]
fn practice_the_wires_arrive() {
    let laundry = described(LAUNDRY).wiring.unwrap();
    assert_eq!(laundry.cell_terminals, ["plus", "minus"]);
    near(laundry.highest_current_ma, 21.5);
    assert!(laundry.digital && !laundry.powered_by_controller);
    let actuator = laundry.actuator_supply.unwrap();
    assert!(actuator.alternating);
    near(actuator.fuse_a.unwrap(), 2.0);
    near(actuator.supply_lowest_v, 21.6);
    near(actuator.cable.length_m, 120.0 * 0.3048);
    near(laundry.output.unwrap().largest_load_ohm, 600.0);

    let conductors = [LAUNDRY, PAPER_MILL, DISTRICT, BREWERY, INHERITED]
        .map(|text| described(text).wiring.unwrap().cable.conductor);
    let metric = |area_mm2, flexible, tinned| Conductor::Metric {
        area_mm2,
        flexible,
        tinned,
    };
    assert_eq!(
        conductors,
        [
            Conductor::Awg {
                gauge: 18,
                stranded: true
            },
            metric(1.5, true, true),
            metric(1.0, false, false),
            metric(0.75, true, false),
            Conductor::Awg {
                gauge: 22,
                stranded: false
            },
        ]
    );
    let district = described(DISTRICT).wiring.unwrap();
    assert_eq!(district.receivers.len(), 2);
    assert!(!district.actuator_supply.unwrap().alternating);
    let barrier = described(PAPER_MILL).wiring.unwrap().barrier.unwrap();
    near(barrier.resistance_ohm, 22.0);

    // What the inherited loop does not say.
    let inherited = described(INHERITED);
    let told: Vec<_> = inherited.assumptions.iter().map(|one| one.input).collect();
    for path in ["wiring.highest-current", "wiring.cable-temperature"] {
        assert!(told.contains(&path), "{path} not in {told:?}");
    }
    near(inherited.wiring.unwrap().highest_current_ma, 23.0);
}

#[test]
fn practice_effects_are_kept_for_each_kelvin_and_pascal() {
    let survey = described(LAUNDRY).uncertainty;
    let of = |source| {
        let mut found = survey.inputs.iter().filter(|one| one.source == source);
        let first = found.next().expect("there");
        assert!(found.next().is_none(), "{source:?} once");
        first
    };
    let zero = of(UncertaintySource::AmbientZero);
    near(zero.half_width, 0.05 / (50.0 / 1.8));
    assert!(!zero.assumed);
    near(
        of(UncertaintySource::StaticSpan).half_width,
        0.1 / 6_894_757.293_168_361,
    );
    let calibrator = of(UncertaintySource::Calibrator);
    assert_eq!(calibrator.distribution, Distribution::NormalK2);
    near(of(UncertaintySource::ReferenceAccuracy).half_width, 0.075);
    // 80 to 150 degF: 35 K/1.8 to each side.
    let leg = of(UncertaintySource::LegTemperature);
    near(leg.half_width, 35.0 / 1.8);
    assert!(leg.assumed);
    assert!(
        survey
            .inputs
            .iter()
            .all(|one| one.source != UncertaintySource::WaterTemperature)
    );
    assert!(survey.zeroed_at_pressure && survey.zero_readings_ma.is_empty());
}

#[test]
fn practice_sources_that_do_not_apply_are_absent() {
    let tank = described(BREWERY).uncertainty;
    let has = |source| tank.inputs.iter().any(|one| one.source == source);
    for (source, expected) in [
        (UncertaintySource::WaterTemperature, true),
        (UncertaintySource::WorkingLegTemperature, true),
        (UncertaintySource::GlassReading, true),
        (UncertaintySource::LegHeight, false),
        (UncertaintySource::LegTemperature, false),
        (UncertaintySource::VesselPressure, false),
        (UncertaintySource::StaticZero, false),
    ] {
        assert_eq!(has(source), expected, "{source:?}");
    }
    let start = LAUNDRY.find("[glass]").unwrap();
    let end = LAUNDRY.find("[cell]").unwrap();
    let without_glass = described(&(LAUNDRY[..start].to_owned() + &LAUNDRY[end..])).uncertainty;
    assert!(without_glass.inputs.iter().all(|one| !matches!(
        one.source,
        UncertaintySource::GlassTemperature
            | UncertaintySource::GlassConnection
            | UncertaintySource::GlassReading
    )));
}

/// A loop of the first kind, without water side and wires, stays whole.
#[test]
fn practice_a_loop_without_them_has_none() {
    let bare = described(BARE);
    assert!(bare.feed_system.is_none() && bare.wiring.is_none());
    let told: Vec<_> = bare.assumptions.iter().map(|one| one.input).collect();
    assert!(told.contains(&"uncertainty.leg-height"), "{told:?}");
    assert!(
        !told.iter().any(|path| ["supply", "line", "valve", "wiring"]
            .iter()
            .any(|section| path.starts_with(&format!("{section}.")))),
        "{told:?}"
    );
    for one in &bare.uncertainty.inputs {
        assert!(one.half_width > 0.0, "{one:?}");
    }
    // Nothing that guards people, boiler or pump is ever filled in.
    for path in [
        "valve.leakage-class",
        "station.interlocks-kept",
        "actuator.rated-force",
    ] {
        assert!(!told.contains(&path), "{path}");
    }
}
