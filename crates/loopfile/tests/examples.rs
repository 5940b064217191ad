//! Every example reads, and reads as what it says.

use halfglass_core::description::{Loop, Polarity, ReferenceLeg, Reversal, UnitSystem, VesselKind};
use halfglass_core::finding::Severity;
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
        // Invented plants, but whole ones: none is a draft.
        assert!(described.placeholders.is_empty(), "{name}");
        assert!(
            text.lines().take(4).any(|line| line.contains("invented")),
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
        78.0 * 0.0254
    ));
    assert!(is_near(described.cell.below_lower_tap_m, 48.0 * 0.0254));
    assert!(is_near(
        described.cell.lower_range_limit_pa,
        -150.0 * 248.641
    ));
    // 125 psi over the standard atmosphere at 650 ft (198.12 m): 98 967 Pa (ISO 2533, between its rows 101 325 Pa at
    // 0 m and 98 945 Pa at 200 m).
    let over_air = described.pressures.normal.pa() - 125.0 * 6_894.757_293_168;
    assert!((over_air - 98_967.0).abs() < 15.0, "{over_air}");
    // 300 boiler horsepower: 300 x 33 475 Btu/h over 1193.4 - 168.3 Btu/lb (steam tables at 139.4 psi(a) and 200 degF,
    // from memory) is 9 797 lb/h.
    let steam_lb_h = described.duties[0].steam_kg_s / 0.453_592_37 * 3600.0;
    assert!((steam_lb_h / 9_797.0 - 1.0).abs() < 0.003, "{steam_lb_h}");
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
    assert!(is_near(*pot_lip_m, 30.5 * 0.0254));
    assert!(is_near(temperature.bottom_k, temperature.top_k));
    // Heights of internals count from the lower tap in the file, from the bottom in the core.
    assert!(is_near(
        described.vessel.internals.table()[0].height_m,
        6.0 * 0.0254
    ));
    assert!(!described.people.is_empty() && !described.instruments.is_empty());
}

#[test]
fn practice_other_examples_say_what_they_show() {
    let drum = example("paper-mill-drum-boiler");
    assert_eq!(drum.cell.polarity, Polarity::WetLegOnHigh);
    assert_eq!(drum.cell.reversal, Reversal::InCell);
    assert!(!drum.feedwater.rising_output_opens);
    assert!(is_near(drum.vessel.circuit_volume_m3.unwrap(), 5.5));
    assert!(is_near(
        drum.elevations.highest_heated_surface_m.unwrap(),
        -0.06
    ));

    let deaerator = example("district-deaerator");
    // 42 m3/h of water at 70 degC: 977.8 kg/m3 (IAPWS R7-97).
    let density = deaerator.feedwater.full_valve_flow_kg_s / (42.0 / 3600.0);
    assert!((density - 977.8).abs() < 0.2, "{density}");
    assert!(
        deaerator
            .feedwater
            .full_valve_flow_source
            .starts_with("stated in the loop file")
    );

    let tank = example("brewery-feed-tank");
    assert!(matches!(tank.reference_leg, ReferenceLeg::None));
    assert!(tank.elevations.upper_tap_m.is_none());
    assert!(is_near(
        tank.pressures.normal.pa(),
        tank.site.atmosphere.pa()
    ));
    assert!(is_near(tank.vessel.water_temperature_k.unwrap(), 358.15));

    let inherited = example("inherited-cold-range");
    let found = inherited.as_found.unwrap();
    let (low, high) = found.range_pa.unwrap();
    assert!(is_near(low, -24.5 * 248.641) && is_near(high, -0.5 * 248.641));
    let settings = found.settings.unwrap();
    assert!(is_near(settings.gain_ratio, 100.0 / 22.0) && is_near(settings.reset_s.unwrap(), 80.0));
}

/// The inherited loop with only what is never defaulted.
fn bare() -> Loop {
    let text: String = EXAMPLES[4]
        .1
        .lines()
        .filter(|line| {
            ![
                "altitude",
                "latitude",
                "lowest-sustained",
                "highest =",
                "full-valve-flow",
                "stroke-time",
                "deadband",
                "swell-time",
                "sample-time",
                "filter",
                "allowed-deviation",
                "largest-load-change",
                "blowdown",
                "[working-leg]",
                "temperature = \"115",
            ]
            .iter()
            .any(|start| line.starts_with(start))
        })
        .map(|line| format!("{line}\n"))
        .collect();
    read(text.as_bytes()).expect("defaults fill the rest")
}

#[test]
fn practice_what_a_survey_lacks_is_listed() {
    let inherited = bare();
    let told: Vec<_> = inherited.assumptions.iter().map(|one| one.input).collect();
    for path in [
        "site.altitude",
        "site.atmosphere",
        "site.gravity",
        "site.ambient-lowest",
        "vessel.vacuum-breaker",
        "reference-leg.below-tap-temperature",
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
    assert_eq!(
        value("reference-leg.below-tap-temperature"),
        "the leg's own profile"
    );
    assert_eq!(value("range.level-at-100"), "24 in");
    // 1.25 x 9200.
    assert_eq!(value("feedwater.full-valve-flow"), "11500 lb/h");
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

/// Paper goes with the units where the file does not say.
#[test]
fn practice_paper_goes_with_the_units() {
    for (name, text) in EXAMPLES {
        let text: String = text
            .lines()
            .filter(|line| !line.starts_with("paper ="))
            .map(|line| format!("{line}\n"))
            .collect();
        let described = read(text.as_bytes()).unwrap_or_else(|problems| panic!("{problems:?}"));
        let expected = match described.identity.units {
            UnitSystem::Us => "letter",
            UnitSystem::Si => "a4",
        };
        let told: Vec<_> = described
            .assumptions
            .iter()
            .filter(|one| one.input == "loop.paper")
            .map(|one| one.value.as_str())
            .collect();
        assert_eq!(told, [expected], "{name}");
    }
}

#[test]
fn practice_every_example_goes_through_to_its_sheets() {
    for (name, _) in EXAMPLES {
        let sheets = halfglass_core::design::design(&example(name))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        let codes: Vec<_> = sheets.findings.iter().map(|finding| finding.code).collect();
        let stops: Vec<_> = sheets
            .findings
            .iter()
            .filter(|finding| finding.severity == Severity::Stop)
            .map(|finding| &finding.what)
            .collect();
        assert!(stops.is_empty(), "{name}: {stops:?}");
        for code in ["range-is-cold", "as-found-reset-too-fast"] {
            assert_eq!(
                codes.contains(&code),
                name == "inherited-cold-range",
                "{name}: {codes:?}"
            );
        }
        assert!(!codes.contains(&"leg-outside-band"), "{name}");
    }
}
