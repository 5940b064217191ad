//! Tests of the JSON Schema.

use super::*;
use toml::de::{DeTable, DeValue};

fn json_of(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => json!(text.as_ref()),
        DeValue::Integer(number) => json!(number.as_str().parse::<i64>().unwrap()),
        DeValue::Float(number) => json!(number.as_str().parse::<f64>().unwrap()),
        DeValue::Boolean(flag) => json!(flag),
        DeValue::Datetime(time) => json!({ "datetime": time.to_string() }),
        DeValue::Array(items) => items.iter().map(|item| json_of(item.get_ref())).collect(),
        DeValue::Table(table) => json_of_table(table),
    }
}

fn json_of_table(table: &DeTable<'_>) -> Value {
    let fields: Map<_, _> = table
        .iter()
        .map(|(key, value)| (key.get_ref().to_string(), json_of(value.get_ref())))
        .collect();
    Value::Object(fields)
}

fn json_of_text(text: &str) -> Value {
    json_of_table(DeTable::parse(text).unwrap().get_ref())
}

fn faults(instance: &Value) -> Vec<String> {
    jsonschema::draft202012::new(&json_schema())
        .unwrap()
        .iter_errors(instance)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

const LAUNDRY: &str = include_str!("../../../../examples/laundry-shell-boiler.toml");
const PAPER_MILL: &str = include_str!("../../../../examples/paper-mill-drum-boiler.toml");
const DISTRICT: &str = include_str!("../../../../examples/district-deaerator.toml");
const BREWERY: &str = include_str!("../../../../examples/brewery-feed-tank.toml");
const INHERITED: &str = include_str!("../../../../examples/inherited-cold-range.toml");

/// The schema against the published meta-schema of draft 2020-12, as the crate jsonschema holds it.
#[test]
fn crosscheck_schema_is_valid_by_its_own_meta_schema() {
    let schema = json_schema();
    assert!(
        jsonschema::meta::validate(&schema).is_ok(),
        "{:?}",
        jsonschema::meta::validate(&schema)
    );
}

#[test]
fn practice_examples_pass() {
    for (name, text) in [
        ("laundry", LAUNDRY),
        ("paper mill", PAPER_MILL),
        ("district", DISTRICT),
        ("brewery", BREWERY),
        ("inherited", INHERITED),
    ] {
        let found = faults(&json_of_text(text));
        assert!(found.is_empty(), "{name}: {found:#?}");
    }
}

#[test]
fn practice_what_is_wrong_fails_at_its_place() {
    for (was, becomes, place) in [
        (
            "pot-lip = \"30 1/2 in\"",
            "pot-lip = \"30 1/2\"",
            "/reference-leg/pot-lip",
        ),
        (
            "pot-lip = \"30 1/2 in\"",
            "pot-lip = 30.5",
            "/reference-leg/pot-lip",
        ),
        (
            "normal = \"125 psi(g)\"",
            "normal = \"125 psi\"",
            "/pressures/normal",
        ),
        (
            "normal = \"125 psi(g)\"",
            "normal = \"NaN psi(g)\"",
            "/pressures/normal",
        ),
        (
            "normal = \"125 psi(g)\"",
            "normal = \"1,250 psi(g)\"",
            "/pressures/normal",
        ),
        (
            "normal = \"125 psi(g)\"",
            "nornal = \"125 psi(g)\"",
            "/pressures",
        ),
        (
            "stroke-time = \"30 s\"",
            "stroke-time = \"-30 s\"",
            "/feedwater/stroke-time",
        ),
        (
            "stroke-time = \"30 s\"",
            "stroke-time = \"30 in\"",
            "/feedwater/stroke-time",
        ),
        (
            "\"-150 inH2O(68 degF)\"",
            "\"-150 inH2O\"",
            "/cell/lower-range-limit",
        ),
        ("form = \"ideal\"", "form = \"idael\"", "/controller/form"),
        (
            "linearisation-points = 10",
            "linearisation-points = 1",
            "/controller/linearisation-points",
        ),
        (
            "vacuum-breaker = false",
            "vacuum-breaker = \"no\"",
            "/vessel/vacuum-breaker",
        ),
        ("tag = \"LIC-101\"", "tag = \" \"", "/loop/tag"),
        ("tag = \"LIC-101\"", "tag = \"LIC\\u001b101\"", "/loop/tag"),
        (
            "tag = \"LIC-101\"",
            "tag = \"LIC-101 on the panel by the door of boiler 1\"",
            "/loop/tag",
        ),
        ("latitude = \"41", "latitude = \"141", "/site/latitude"),
        ("tag = \"LIC-101\"", "", "/loop"),
        ("set-point = \"15 in\"", "", "/limits"),
        ("low-cutoff = \"8 in\"", "", "/limits"),
        ("pot-lip = \"30 1/2 in\"", "", "/reference-leg"),
        ("safety-valve = \"150 psi(g)\"", "", "/pressures"),
        ("highest-heated-surface = \"3 in\"", "", "/elevations"),
        (
            "polarity = \"bottom-on-high\"",
            "polarity = \"wet-leg-on-high\"",
            "/cell",
        ),
        ("[[person]]", "[[persons]]", ""),
        ("[site]", "[site]\nheight = \"3 m\"", "/site"),
    ] {
        assert!(LAUNDRY.contains(was), "{was} is no longer in the example");
        let found = faults(&json_of_text(&LAUNDRY.replacen(was, becomes, 1)));
        assert!(
            found
                .iter()
                .any(|fault| fault.starts_with(&format!("{place}: "))),
            "{becomes} instead of {was}: {found:#?}"
        );
    }
}

#[test]
fn practice_a_found_gain_needs_a_reset() {
    let was = "reset = \"80 s/repeat\"";
    assert!(INHERITED.contains(was));
    assert!(
        faults(&json_of_text(&INHERITED.replacen(
            was,
            "reset = \"none\"",
            1
        )))
        .is_empty()
    );
    let found = faults(&json_of_text(&INHERITED.replacen(was, "", 1)));
    assert!(
        found.iter().any(|fault| fault.starts_with("/as-found: ")),
        "{found:#?}"
    );
}

#[test]
fn property_every_condition_in_words_is_in_the_schema() {
    for key in SECTIONS.iter().flat_map(|section| section.keys) {
        if let Need::When(words) = key.need {
            assert!(condition(words).is_some(), "{}: {words}", key.path);
        }
    }
}

/// Texts that people write, with what the reader says to each: schema and reader agree.
#[test]
fn crosscheck_patterns_agree_with_the_reader() {
    use crate::keys::Sign;
    use crate::quantity_text::{Dimension, parse};
    let texts = [
        "30 in",
        "30in",
        "30\u{a0}in",
        "30\u{202f}in",
        "30\u{2009}in",
        "30\tin",
        "30\u{feff}in",
        "30\u{a0}1/2\u{a0}in",
        "3\u{a0}ft\u{a0}4\u{a0}in",
        "125\u{a0}psi\u{a0}(g)",
        "41.5 deg",
        "90 deg",
        "-8 deg",
        "041 deg",
        " 30 in ",
        "-30 in",
        "+30 in",
        "\u{2212}30 in",
        "30 1/2 in",
        "1/2 in",
        "3 ft 4 1/2 in",
        "3ft4in",
        "3 ft",
        ".5 m",
        "5. m",
        "1e3 mm",
        "1e+3 mm",
        "30",
        "in",
        "",
        "30 inch",
        "30 IN",
        "3,5 m",
        "1/0 in",
        "30 in in",
        "NaN in",
        "inf m",
        "0x10 in",
        "125 psi(g)",
        "125 psi (g)",
        "125 psig",
        "125 psi",
        "-0.2 bar(g)",
        "989 mbar(a)",
        "5 kPa",
        "5 Pa",
        "-24.5 inH2O(68 degF)",
        "-24.5 inH2O (68degF)",
        "10 mmH2O",
        "200 degF",
        "-10 degC",
        "300 K",
        "12 delta degC",
        "80 s/repeat",
        "80 s / repeat",
        "2 repeats/min",
        "22 %",
        "22%",
        "1.5 %/%",
        "4 mA",
        "300 bhp",
        "30 gpm(US)",
        "30 gpm",
        "12 t/h",
        "960 kg/m3",
        "\u{0663} in",
        "30 \u{043c}",
    ];
    for dimension in Dimension::ALL {
        let schema =
            json!({ "type": "string", "pattern": pattern::quantity(dimension, Sign::Any) });
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        for text in texts {
            assert_eq!(
                validator.is_valid(&json!(text)),
                parse(text, dimension).is_ok(),
                "`{text}` as {}",
                dimension.words()
            );
        }
        for unit in dimension.units() {
            assert!(
                validator.is_valid(&json!(format!("1.5 {}", unit.name))),
                "{}",
                unit.name
            );
        }
    }
}
