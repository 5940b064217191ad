//! Tests of the scenario reader.

use super::*;

const GOOD: &str = r#"
[scenario]
name = "Step"
purpose = "to see"
duration = "1 h"
noise = "0.5 %"
seed = 1
elements = 3
settings = "stated"
gain = "25 %"
reset = "80 s/repeat"

[[event]]
at = "10 min"
every = "20 min"
load = "60 %"
within = "30 s"

[[event]]
at = "5 min"
output = "40 %"

[[variant]]
label = "ranged cold"
range = "bench"
"#;

fn codes(text: &str) -> Vec<&'static str> {
    read_scenario(text.as_bytes())
        .expect_err(text)
        .iter()
        .map(|problem| problem.code)
        .collect()
}

#[test]
fn property_what_is_written_is_read() {
    let file = read_scenario(GOOD.as_bytes()).unwrap();
    assert_eq!(file.runs.len(), 2);
    let scenario = &file.runs[0].1;
    assert!((scenario.duration_s - 3600.0).abs() < 1e-9);
    assert!((scenario.noise_percent - 0.5).abs() < 1e-12);
    assert_eq!(scenario.elements, Elements::Three);
    assert_eq!(
        scenario.settings,
        SettingsChoice::Stated {
            gain_ratio: 4.0,
            reset_s: Some(80.0)
        }
    );
    let times: Vec<i64> = scenario
        .events
        .iter()
        .map(|event| event.time_s.round() as i64)
        .collect();
    assert_eq!(times, [300, 600, 1800, 3000]);
    assert_eq!(
        scenario.events[1].happening,
        Happening::Load {
            share_ratio: 0.6,
            within_s: 30.0
        }
    );
    assert_eq!(
        scenario.events[0].happening,
        Happening::Hand {
            output_percent: 40.0
        }
    );
    let (label, variant) = &file.runs[1];
    assert_eq!(label, "ranged cold");
    assert_eq!(variant.range, RangeChoice::Bench);
    assert_eq!(variant.events, scenario.events);
}

/// Every problem of this reader has a case below.
#[test]
fn property_every_mistake_is_told_at_its_place() {
    let mut untried: Vec<&str> = include_str!("../scenario.rs")
        .split("Problem::new(")
        .skip(1)
        .filter_map(|rest| rest.split('"').nth(1))
        .collect();
    for (from, to, code) in [
        ("load = \"60 %\"", "load = \"60\"", "unit-missing"),
        ("load = \"60 %\"", "", "event-empty"),
        (
            "load = \"60 %\"",
            "load = \"60 %\"\npump = \"stops\"",
            "event-with-several",
        ),
        (
            "output = \"40 %\"",
            "output = \"40 %\"\nwithin = \"5 s\"",
            "key-not-for-this",
        ),
        (
            "output = \"40 %\"",
            "output = \"140 %\"",
            "share-out-of-range",
        ),
        ("at = \"5 min\"", "at = \"2 h\"", "event-after-the-end"),
        ("gain = \"25 %\"", "gain = \"5 in\"", "gain-in-another-form"),
        ("gain = \"25 %\"", "", "key-missing"),
        (
            "settings = \"stated\"",
            "settings = \"habit\"",
            "key-not-for-this",
        ),
        ("settings = \"stated\"", "", "key-not-for-this"),
        ("range = \"bench\"", "range = \"benhc\"", "word-unknown"),
        (
            "label = \"ranged cold\"",
            "label = \"as designed\"",
            "label-twice",
        ),
        (
            "every = \"20 min\"",
            "every = \"0.001 s\"",
            "events-too-many",
        ),
        (
            "every = \"20 min\"",
            "every = \"0 s\"",
            "number-not-positive",
        ),
        ("seed = 1", "cold-level = \"10 in\"", "key-not-for-this"),
        ("[[variant]]", "[[varient]]", "section-unknown"),
        ("duration = \"1 h\"", "", "key-missing"),
        (
            "output = \"40 %\"",
            "blowdown = \"3 gpm(US)\"",
            "flow-not-mass",
        ),
    ] {
        assert!(GOOD.contains(from), "{from}");
        let codes = codes(&GOOD.replacen(from, to, 1));
        assert!(codes.contains(&code), "{from} -> {to}: {codes:?}");
        untried.retain(|untried| *untried != code);
    }
    assert!(untried.is_empty(), "{untried:?}");
    assert_eq!(codes(""), ["section-missing"]);
    assert_eq!(codes("[scenario"), ["not-toml"]);
}

#[test]
fn property_the_programs_own_scenarios_read() {
    for (name, text) in BUILT_IN {
        let file = read_scenario(text.as_bytes())
            .unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
        assert!(text.contains("Invented"), "{name}");
        assert!(file.runs[0].1.duration_s >= 3600.0, "{name}");
    }
}
