//! Every example reads, and reads as what it says.

use halfglass_core::description::{Loop, Polarity, ReferenceLeg, Reversal, VesselKind};
use halfglass_loopfile::{line_and_column, read};

/// The examples that ship, by file name.
const EXAMPLES: [(&str, &str); 5] = [
    (
        "laundry-shell-boiler",
        include_str!("../../../examples/laundry-shell-boiler.toml"),
    ),
    (
        "paper-mill-drum-boiler",
        include_str!("../../../examples/paper-mill-drum-boiler.toml"),
    ),
    (
        "district-deaerator",
        include_str!("../../../examples/district-deaerator.toml"),
    ),
    (
        "brewery-feed-tank",
        include_str!("../../../examples/brewery-feed-tank.toml"),
    ),
    (
        "inherited-cold-range",
        include_str!("../../../examples/inherited-cold-range.toml"),
    ),
];

#[track_caller]
fn example(name: &str) -> Loop {
    let (_, text) = EXAMPLES
        .iter()
        .find(|(known, _)| *known == name)
        .expect("known example");
    read(text.as_bytes()).unwrap_or_else(|problems| {
        let told: Vec<_> = problems
            .iter()
            .map(|problem| {
                let (line, column) = line_and_column(text.as_bytes(), problem.primary.span.start);
                format!("{line}:{column} {problem}")
            })
            .collect();
        panic!("{name}:\n{}", told.join("\n"))
    })
}

fn is_near(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * right.abs().max(1.0)
}

#[test]
fn practice_every_example_reads_and_says_it_is_invented() {
    for (name, text) in EXAMPLES {
        let described = example(name);
        assert!(described.identity.plant.contains("(invented)"), "{name}");
        assert!(
            text.lines().take(2).any(|line| line.contains("invented")),
            "{name}"
        );
    }
}

#[test]
fn practice_laundry_values_arrive_in_si() {
    let described = example("laundry-shell-boiler");
    assert_eq!(described.vessel.kind, VesselKind::ShellBoiler);
    assert!(is_near(
        described.vessel.shell.inside_diameter_m(),
        96.0 * 0.0254
    ));
    assert!(is_near(described.cell.below_lower_tap_m, 40.5 * 0.0254));
    assert!(is_near(
        described.cell.lower_range_limit_pa,
        -150.0 * 248.641
    ));
    assert!(is_near(
        described.limits.second_low_cutoff_m.unwrap(),
        5.5 * 0.0254
    ));
    // 125 psi over the standard atmosphere at 650 ft (198.12 m): 98 962 Pa (ISO 2533 by linear interpolation of
    // its table, 101 325 Pa at 0 m and 98 945 Pa at 200 m).
    let over_air = described.pressures.normal.pa() - 125.0 * 6_894.757_293_168;
    assert!((over_air - 98_962.0).abs() < 15.0, "{over_air}");
    // 400 boiler horsepower: 400 x 33 475 Btu/h over 1193.5 - 188.5 Btu/lb (steam tables at 139.4 psi(a) and 220 degF,
    // from memory) is 13 320 lb/h.
    let steam_lb_h = described.duties[0].steam_kg_s / 0.453_592_37 * 3600.0;
    assert!((steam_lb_h / 13_320.0 - 1.0).abs() < 0.005, "{steam_lb_h}");
    assert!(is_near(
        described.duties[0].blowdown_kg_s,
        0.04 * described.duties[0].steam_kg_s
    ));
    let ReferenceLeg::Wet {
        pot_lip_m,
        temperature,
        ..
    } = &described.reference_leg
    else {
        panic!("wet")
    };
    assert!(is_near(*pot_lip_m, 31.0 * 0.0254));
    assert!(is_near(temperature.bottom_k, 308.15));
    // Heights of internals count from the lower tap in the file, from the bottom in the core.
    assert!(is_near(
        described.vessel.internals.table()[0].height_m,
        38.0 * 0.0254
    ));
    assert_eq!(described.people.len(), 3);
    assert_eq!(described.instruments.len(), 3);
}

#[test]
fn practice_other_examples_say_what_they_show() {
    let drum = example("paper-mill-drum-boiler");
    assert_eq!(drum.cell.polarity, Polarity::WetLegOnHigh);
    assert_eq!(drum.cell.reversal, Reversal::InCell);
    assert_eq!(
        drum.controller.device_marks[0],
        ("gain".to_owned(), "K".to_owned())
    );
    assert!(is_near(
        drum.elevations.highest_heated_surface_m.unwrap(),
        -0.24
    ));

    let deaerator = example("district-deaerator");
    // 24 m3/h of saturated water at 1.21 bar(a), 105 degC: about 954.7 kg/m3 (IAPWS R7-97).
    let density = deaerator.duties[0].steam_kg_s / (24.0 / 3600.0);
    assert!((density - 954.5).abs() < 1.5, "{density}");
    assert!(deaerator.limits.low_cutoff_m.is_some());

    let tank = example("brewery-feed-tank");
    assert!(matches!(tank.reference_leg, ReferenceLeg::None));
    assert!(tank.elevations.upper_tap_m.is_none());
    assert!(is_near(
        tank.pressures.normal.pa(),
        tank.site.atmosphere.pa()
    ));
    assert!(!tank.feedwater.rising_output_opens);
    // Water at 85 degC: 968.6 kg/m3 (IAPWS R7-97).
    let density = tank.duties[0].steam_kg_s / (9.0 / 3600.0);
    assert!((density - 968.6).abs() < 0.2, "{density}");

    let inherited = example("inherited-cold-range");
    let found = inherited.as_found.unwrap();
    let (low, high) = found.range_pa.unwrap();
    assert!(is_near(low, -25.0 * 248.641) && is_near(high, -248.641));
    let settings = found.settings.unwrap();
    assert!(is_near(settings.gain_ratio, 4.0) && is_near(settings.reset_s.unwrap(), 80.0));
}

#[test]
fn practice_what_a_survey_lacks_is_listed() {
    let inherited = example("inherited-cold-range");
    let told: Vec<_> = inherited.assumptions.iter().map(|one| one.input).collect();
    for path in [
        "site.altitude",
        "site.atmosphere",
        "site.gravity",
        "site.ambient-lowest",
        "vessel.vacuum-breaker",
        "reference-leg.lowest-temperature",
        "working-leg.temperature",
        "glass.water-temperature",
        "cell.fault-current",
        "cell.vacuum-limit",
        "range.level-at-100",
        "range.bench-temperature",
        "pressures.lowest-sustained",
        "pressures.highest",
        "duty.blowdown",
        "feedwater.full-valve-flow",
        "feedwater.stroke-time",
        "feedwater.deadband",
        "feedwater.swell-time",
        "controller.sample-time",
        "limits.allowed-deviation",
        "limits.largest-load-change",
    ] {
        assert!(told.contains(&path), "{path} not in {told:?}");
    }
    // Never defaulted, so never an assumption.
    for path in [
        "elevations.upper-tap",
        "reference-leg.pot-lip",
        "limits.low-cutoff",
        "pressures.safety-valve",
    ] {
        assert!(!told.contains(&path), "{path}");
    }
    assert!(
        inherited
            .feedwater
            .full_valve_flow_source
            .starts_with("assumed")
    );
    // 80 % of 125 psi(g), and midway from 125 to 150.
    let value = |path: &str| {
        let found = inherited.assumptions.iter().find(|one| one.input == path);
        found.unwrap().value.clone()
    };
    assert_eq!(value("pressures.lowest-sustained"), "100 psi(g)");
    assert_eq!(value("pressures.highest"), "137.5 psi(g)");
    assert_eq!(value("range.level-at-100"), "24 in");
    // 1.25 x 9600 x 1.03.
    assert_eq!(value("feedwater.full-valve-flow"), "12360 lb/h");
    // Half of the 3 in from set point to low alarm.
    assert_eq!(value("limits.allowed-deviation"), "1.5 in");
    // What is stated is not assumed.
    let laundry = example("laundry-shell-boiler");
    assert!(
        laundry
            .assumptions
            .iter()
            .all(|one| one.input != "site.altitude")
    );
}
