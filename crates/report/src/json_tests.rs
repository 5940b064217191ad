//! Every path is documented, every documented path is emitted, and the paths that programs rely on are there.

use std::collections::BTreeSet;

use super::*;
use crate::fixture;

const MANUAL: &str = include_str!("../../../docs/src/json.md");
const SHA256: &str = "0000000000000000000000000000000000000000000000000000000000000000";

fn envelope((described, sheets): &(Loop, Sheets)) -> Value {
    json(described, sheets, "invented.toml", SHA256)
}

fn all() -> Vec<Value> {
    fixture::all().iter().map(envelope).collect()
}

/// Paths of all keys: `a.b`, `list[].c`.
fn paths(value: &Value, prefix: &str, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let path = if prefix.is_empty() {
                    key.clone()
                } else {
                    format!("{prefix}.{key}")
                };
                into.insert(path.clone());
                paths(value, &path, into);
            }
        }
        Value::Array(values) => {
            for value in values {
                paths(value, &format!("{prefix}[]"), into);
            }
        }
        _ => {}
    }
}

fn emitted() -> BTreeSet<String> {
    let mut emitted = BTreeSet::new();
    for value in all() {
        paths(&value, "", &mut emitted);
    }
    emitted
}

/// The first column of the manual's tables.
fn documented() -> BTreeSet<String> {
    // Simulated runs have an object of their own, tested where it is printed.
    let (sheets, _) = MANUAL.split_once("## Simulated runs").unwrap();
    sheets
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`'))
        .map(|(path, _)| path.to_owned())
        .collect()
}

#[test]
fn property_manual_and_json_have_the_same_paths() {
    let (emitted, documented) = (emitted(), documented());
    let undocumented: Vec<_> = emitted.difference(&documented).collect();
    let never_emitted: Vec<_> = documented.difference(&emitted).collect();
    assert!(
        undocumented.is_empty(),
        "not in docs/src/json.md: {undocumented:#?}"
    );
    assert!(
        never_emitted.is_empty(),
        "documented but never emitted: {never_emitted:#?}"
    );
}

#[test]
fn practice_paths_that_programs_rely_on_exist() {
    let emitted = emitted();
    let mut wanted: Vec<String> = [
        "range.lrv_pa",
        "range.urv_pa",
        "range.bench_lrv_pa",
        "range.bench_urv_pa",
        "range.best_lrv_pa",
        "range.best_urv_pa",
        "range.best_worst_error_percent",
        "range.equalised_percent",
        "range.polarity",
        "error_map[].condition",
        "error_map[].pressure_pa_abs",
        "error_map[].reference_leg_k",
        "error_map[].true_level_m",
        "error_map[].indicated_level_m",
        "error_map[].clipped",
        "error_map[].glass_level_m",
        "tuning.duties[].name",
        "tuning.duties[].installed_gain_ratio",
        "tuning.duties[].process_gain_per_s",
        "tuning.full_valve_flow_source",
        "findings[].severity",
        "findings[].code",
        "findings[].text",
        "assumptions",
        "feedwater.chosen_kv_m3_h",
        "wiring.burden_max_ohm",
        "wiring.volts_at_4ma",
        "wiring.volts_at_20ma",
        "wiring.volts_at_alarm",
        "uncertainty.panel_percent_k2",
        "uncertainty.glass_m_k2",
        "uncertainty.budget[].share_percent",
    ]
    .map(String::from)
    .into();
    for key in [
        "name",
        "flow_kg_s",
        "pressure_drop_pa",
        "kv_required_m3_h",
        "choked",
        "flashing",
        "travel_percent",
        "installed_gain_ratio",
        "inlet_pressure_pa_abs",
        "outlet_pressure_pa_abs",
        "vapour_pressure_pa_abs",
        "density_kg_m3",
        "recovery_factor_ratio",
        "style_modifier_ratio",
    ] {
        wanted.push(format!("feedwater.duties[].{key}"));
    }
    for judged in ["chosen", "as_found"] {
        for key in [
            "gain_ratio",
            "reset_s",
            "max_sensitivity_ratio",
            "gain_margin_ratio",
            "phase_margin_deg",
            "damping_ratio",
            "peak_true_deviation_m",
        ] {
            wanted.push(format!("tuning.{judged}.{key}"));
        }
    }
    for path in wanted {
        assert!(emitted.contains(&path), "{path}");
    }
}

#[test]
fn property_absent_and_unbounded_are_null() {
    let bare = envelope(&fixture::bare());
    for pointer in [
        "/tuning/as_found",
        "/tuning/slowest",
        "/tuning/chosen/gain_margin_ratio",
        "/tuning/habit/max_sensitivity_ratio",
        "/compensation",
        "/glass",
        "/range/as_found",
        "/loop/glass",
        "/signal_loss/cold_fill",
        "/feedwater",
        "/wiring",
        "/uncertainty",
    ] {
        assert_eq!(bare.pointer(pointer), Some(&Value::Null), "{pointer}");
    }
    let full = envelope(&fixture::full());
    assert_eq!(
        full.pointer("/error_map/0/glass_level_m"),
        Some(&Value::Null)
    );
    assert!(full["error_map"][1]["glass_level_m"].is_f64());
}

/// A key holds a number exactly when it ends in a unit, so that no number is without one.
#[test]
fn property_every_number_has_its_unit_in_the_key() {
    const UNITS: [&str; 44] = [
        "_m2_s",
        "_mm2",
        "_va",
        "_years",
        "_pa",
        "_pa_abs",
        "_m",
        "_m2",
        "_m3",
        "_k",
        "_s",
        "_ma",
        "_kg",
        "_kg_s",
        "_kg_m3",
        "_m_s2",
        "_percent",
        "_ratio",
        "_deg",
        "_per_s",
        "_m_per_pa",
        "_m3_s",
        "_m3_h",
        "_m_s",
        "_n",
        "_n_m",
        "_dba",
        "_ohm",
        "_ohm_per_km",
        "_v",
        "_a",
        "_k2",
        // Volts at a current.
        "volts_at_4ma",
        "volts_at_20ma",
        "volts_at_alarm",
        "degrees_of_freedom",
        "trials",
        "seed",
        "number",
        "_k2_percent",
        "version",
        "linearisation_points",
        "value",
        "result",
    ];
    fn check(value: &Value, key: &str) {
        match value {
            Value::Number(_) => assert!(UNITS.iter().any(|unit| key.ends_with(unit)), "{key}"),
            Value::Object(map) => map.iter().for_each(|(key, value)| check(value, key)),
            Value::Array(values) => values.iter().for_each(|value| check(value, key)),
            _ => {}
        }
    }
    for value in all() {
        check(&value, "");
    }
}

#[test]
fn regression_words_of_the_envelope() {
    let full = envelope(&fixture::full());
    assert_eq!(full["format"], "halfglass-sheets");
    assert_eq!(full["version"], 1);
    assert_eq!(full["file"], "invented.toml");
    assert_eq!(full["sha256"], SHA256);
    assert_eq!(full["revision"], "3");
    assert_eq!(full["range"]["polarity"], "bottom-on-high");
    assert_eq!(
        full["findings"][0]["text"],
        "The as-found range was set for cold water. The panel reads low by 10 % when full. Set the hot range."
    );
}

/// A cell ranged on the bench with cold water: at 125 psi(g) the panel says about 90 % with the vessel full.
/// Common knowledge of the trade; the figure follows from IAPWS R7-97 densities.
#[test]
fn practice_cold_range_says_90_percent_when_full() {
    let envelope = envelope(&fixture::example_named("inherited-cold-range"));
    let readings = envelope["range"]["as_found"]["readings"]
        .as_array()
        .expect("as-found readings");
    let full = &readings[readings.len() - 1];
    let percent = full["indicated_level_percent"].as_f64().expect("a number");
    assert!((89.0..91.5).contains(&percent), "{percent}");
    assert_eq!(envelope["range"]["as_found"]["looks_cold"], true);
    let codes: Vec<_> = envelope["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|finding| finding["code"].as_str().expect("a code"))
        .collect();
    assert!(codes.contains(&"range-is-cold"), "{codes:?}");
    assert!(codes.contains(&"as-found-reset-too-fast"), "{codes:?}");
}

/// Text and JSON say the same range: inches of water at 68 degF of 248.641 Pa.
#[test]
fn property_text_and_json_agree() {
    let (described, sheets) = fixture::example_named("laundry-shell-boiler");
    let envelope = envelope(&(described.clone(), sheets.clone()));
    let units = crate::units::DisplayUnits::of(&described);
    let section = crate::section("range", &described, &sheets, &units).expect("id exists");
    let inches = envelope["range"]["set_lrv_pa"].as_f64().expect("a number") / 248.641;
    let words = format!("0 % at \u{2212}{:.2} inH2O (68 degF)", -inches);
    let crate::block::Block::Paragraph(first) = &section.blocks[0] else {
        panic!("the range sheet starts with words");
    };
    assert!(first.contains(&words), "{first} does not say {words}");
}

#[test]
fn property_no_negative_zero() {
    let (mut described, mut sheets) = fixture::full();
    described.elevations.overflow_m = Some(-0.0);
    sheets.tuning.chosen.response = vec![(0.0, -0.0)];
    let mut loops = fixture::all();
    loops.push((described, sheets));
    for both in &loops {
        let text = envelope(both).to_string();
        assert!(text.contains(":0.0,") && !text.contains("-0.0,") && !text.contains("-0.0}"));
    }
}

/// The valve that does not fit is in the bill as one to buy; what was read on site stands.
#[test]
fn practice_the_bill_says_what_stands_and_what_is_to_buy() {
    let envelope = envelope(&fixture::example_named("inherited-cold-range"));
    let standing = |what: &str| {
        let bill = envelope["bill"].as_array().expect("a bill");
        let item = bill.iter().find(|item| {
            item["what"]
                .as_str()
                .is_some_and(|words| words.starts_with(what))
        });
        item.expect(what)["standing"].clone()
    };
    assert_eq!(standing("control valve"), "to-buy");
    assert_eq!(standing("differential-pressure cell"), "fitted");
    assert_eq!(standing("root valve"), Value::Null);
}

/// Kinematic viscosity of water by temperature as handbooks print it, degC and 1e-6 m2/s, to 2 %; common knowledge, from memory.
#[test]
fn practice_viscosity_at_the_duties_is_that_of_water() {
    const TABLE: [(f64, f64); 10] = [
        (10.0, 1.307),
        (20.0, 1.004),
        (40.0, 0.658),
        (60.0, 0.474),
        (70.0, 0.413),
        (80.0, 0.364),
        (90.0, 0.326),
        (100.0, 0.294),
        (110.0, 0.268),
        (120.0, 0.247),
    ];
    for name in [
        "laundry-shell-boiler",
        "brewery-feed-tank",
        "paper-mill-drum-boiler",
    ] {
        let envelope = envelope(&fixture::example_named(name));
        let duties = envelope["feedwater"]["duties"].as_array().expect("duties");
        assert!(!duties.is_empty(), "{name}");
        for duty in duties {
            let number = |key: &str| duty[key].as_f64().expect("a number");
            let celsius = number("water_k") - 273.15;
            let pair = TABLE
                .windows(2)
                .find(|pair| (pair[0].0..=pair[1].0).contains(&celsius))
                .expect("within the table");
            let share = (celsius - pair[0].0) / (pair[1].0 - pair[0].0);
            // Straight between the logarithms.
            let expected = 1e-6 * pair[0].1 * (pair[1].1 / pair[0].1).powf(share);
            let found = number("kinematic_viscosity_m2_s");
            assert!(
                (found / expected - 1.0).abs() < 0.02,
                "{name} at {celsius} degC: {found}, not {expected}"
            );
        }
    }
}
