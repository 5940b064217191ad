//! What single sections say: cautions, words of the vessel, blanks of the data sheets.

use super::*;

/// Cutoffs are never vouched for, an empty glass is never fed into, and no tank is told to stop firing.
#[test]
fn practice_cautions_stand_where_they_apply_and_follow_the_vessel() {
    use crate::cautions;
    for (described, sheets) in &fixture::all() {
        let kind = described.vessel.kind;
        for section in sections(described, sheets, &DisplayUnits::of(described)) {
            let found: Vec<&str> = section
                .blocks
                .iter()
                .filter_map(|block| match block {
                    Block::Caution(words) => Some(words.as_str()),
                    _ => None,
                })
                .collect();
            let is_made = !matches!(&section.blocks[0], Block::Paragraph(words) if words.starts_with(NOT_MADE));
            if is_made && !["survey", "assumptions", "workings"].contains(&section.id) {
                assert!(
                    found.contains(&cautions::TRIPS_ARE_INDEPENDENT),
                    "{}",
                    section.id
                );
            }
            if section.id == "glass" {
                // Without a glass there is none to be empty.
                let has_glass = described.glass.is_some();
                assert_eq!(found.contains(&cautions::empty_glass(kind)), has_glass);
                assert_eq!(found.contains(&cautions::GLASS_NEVER_LICENSES), has_glass);
            }
            if section.id == "range" {
                assert!(found.contains(&cautions::scalding(kind)));
            }
            for words in found
                .iter()
                .filter(|words| **words != cautions::WHO_DECIDES)
            {
                assert!(
                    kind.is_fired() || !(words.contains("firing") || words.contains("oiler")),
                    "{kind:?}: {words}"
                );
            }
        }
    }
}

/// Nothing that only a boiler has is said of a tank; a deaerator has steam, but neither fire nor burner.
#[test]
fn practice_words_follow_the_vessel() {
    use crate::cautions;
    for (stem, forbidden) in [
        (
            "brewery-feed-tank",
            &[
                "burner",
                "boiler",
                "firing",
                "low fire",
                "steam flow",
                "steam-flow",
                "swell",
                "safety valve",
                "carry-over",
                "low-water",
            ][..],
        ),
        (
            "district-deaerator",
            &["burner", "firing", "low fire", "steam-flow", "low-water"][..],
        ),
    ] {
        let (described, sheets) = fixture::example_named(stem);
        for section in sections(&described, &sheets, &DisplayUnits::of(&described)) {
            for text in texts(&section) {
                let is_common = [cautions::TRIPS_ARE_INDEPENDENT, cautions::WHO_DECIDES]
                    .contains(&text.as_str());
                for word in forbidden {
                    assert!(
                        is_common || !text.to_lowercase().contains(word),
                        "{stem}, {}: {word} in {text}",
                        section.id
                    );
                }
            }
        }
    }
}

#[test]
fn regression_main_results_in_words() {
    let (described, sheets) = fixture::full();
    let units = DisplayUnits::of(&described);
    let first = |id: &str| {
        let section = section(id, &described, &sheets, &units).expect("id exists");
        texts(&section)[1].clone()
    };
    for (id, words) in [
        (
            "range",
            "On its bench (cold) range the panel would say 89.8 % with the vessel holding 30.0 in true level",
        ),
        (
            "error-map",
            "the panel says 103.0 % (saturated) while the vessel holds 100.0 % (30.0 in true level)",
        ),
        (
            "glass",
            "the glass stands at 13.8 in, the vessel holds 14.6 in true level, the panel says 48.8 %",
        ),
        (
            "settings",
            "The action is REVERSE: the output falls when the controller's input rises",
        ),
        (
            "tuning",
            "Chosen: gain 3.20 %/%, reset 760 s/repeat; the true level would move 0.8 in at most",
        ),
        (
            "signal-loss",
            "cell fails high: the vessel starves, 7.5 min from the set point to low-water cutoff",
        ),
        (
            "feedwater",
            "Chosen: 25/6.3, rated Cv 7.28 (Kv 6.30 m3/h). The smaller one does not pass",
        ),
        (
            "wiring",
            "The cell drives 362.2 ohm of the 434.8 ohm that it can at the lowest supply and the highest current. At 23.00 mA (highest alarm) the cell has 13.67 V",
        ),
        (
            "uncertainty",
            "the panel is within ± 1.20 % of span of what it should say (k = 2, coverage 95.4 %). The glass tells the true level within ± 0.24 in.",
        ),
        ("purchase", "numbered as on the hook-up drawing"),
        ("findings", "Found: 1 stop"),
        ("assumptions", "1 value."),
    ] {
        assert!(first(id).contains(words), "{id}: {}", first(id));
    }
}

#[test]
fn property_the_valve_is_named_once() {
    let (described, mut sheets) = fixture::full();
    let units = DisplayUnits::of(&described);
    let sheet = sheets.feedwater.as_mut().expect("the fixture has a valve");
    sheet.is_fitted = true;
    sheet.choice_words = "only 10 % open at “maximum”: oversized.".into();
    let section = section("feedwater", &described, &sheets, &units).expect("id exists");
    assert!(
        texts(&section)[1].starts_with(
            "Fitted: 25/6.3, rated Cv 7.28 (Kv 6.30 m3/h). Only 10 % open at “maximum”: oversized."
        ),
        "{}",
        texts(&section)[1]
    );
}

/// A loop file without the water side, the wires or the uncertainties says what to add, and nothing else.
#[test]
fn property_a_sheet_that_is_not_made_says_what_to_add() {
    let (described, sheets) = fixture::bare();
    let units = DisplayUnits::of(&described);
    for id in ["feedwater", "wiring", "uncertainty"] {
        let section = section(id, &described, &sheets, &units).expect("id exists");
        let [Block::Paragraph(words)] = &section.blocks[..] else {
            panic!("{id}: {:?}", section.blocks);
        };
        assert!(
            words.starts_with(NOT_MADE) && words.contains("Add "),
            "{words}"
        );
    }
}

/// Both flow coefficients stand beside each other, the one of the trade's country first; Kv = 0.865 Cv (IEC 60534-2-1, N1).
#[test]
fn practice_both_flow_coefficients_are_printed() {
    let (described, sheets) = fixture::full();
    for (system, words) in [
        (UnitSystem::Us, "Cv 7.28 (Kv 6.30 m3/h)"),
        (UnitSystem::Si, "Kv 6.30 m3/h (Cv 7.28)"),
    ] {
        let units = DisplayUnits::of(&described).with_system(system);
        for id in ["feedwater", "purchase"] {
            let section = section(id, &described, &sheets, &units).expect("id exists");
            assert!(
                texts(&section).iter().any(|text| text.contains(words)),
                "{id}: {words}"
            );
        }
    }
}

/// What nobody surveyed is a blank for the buyer, never an invented value.
#[test]
fn practice_a_data_sheet_leaves_blanks() {
    let (described, sheets) = fixture::bare();
    let units = DisplayUnits::of(&described);
    let section = section("purchase", &described, &sheets, &units).expect("id exists");
    let blank = |wanted: &str| {
        section.blocks.iter().any(|block| match block {
            Block::Values(rows) => rows
                .iter()
                .any(|row| row.label == wanted && row.value == "to be filled in"),
            _ => false,
        })
    };
    for label in [
        "rated flow coefficient",
        "power",
        "enclosure",
        "seat leakage",
    ] {
        assert!(blank(label), "{label}");
    }
    assert!(!blank("full stroke"));
}
