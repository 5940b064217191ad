//! What must hold for every section of every loop, whatever its words.

use halfglass_core::description::UnitSystem;
use unicode_width::UnicodeWidthStr;

use super::*;
use crate::block::{Align, Table};
use crate::fixture;

/// All sections of all loops in both systems of units.
fn all() -> Vec<Section> {
    let loops = fixture::all();
    let mut all = Vec::new();
    for (described, sheets) in &loops {
        for system in [UnitSystem::Us, UnitSystem::Si] {
            let units = DisplayUnits::of(described).with_system(system);
            all.extend(sections(described, sheets, &units));
        }
    }
    all
}

fn tables(section: &Section) -> impl Iterator<Item = &Table> {
    section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    })
}

/// Every text that a section prints.
fn texts(section: &Section) -> Vec<String> {
    let mut texts = vec![section.title.clone()];
    for block in &section.blocks {
        match block {
            Block::Heading(words) | Block::Paragraph(words) | Block::Caution(words) => {
                texts.push(words.clone());
            }
            Block::Values(rows) => {
                for row in rows {
                    texts.extend([row.label.clone(), row.value.clone(), row.note.clone()]);
                }
            }
            Block::Table(table) => {
                texts.push(table.caption.clone());
                texts.extend(table.columns.iter().map(|column| column.head.clone()));
                texts.extend(table.rows.iter().flatten().cloned());
            }
            Block::Figure(figure) => texts.extend([figure.caption.clone(), figure.alt.clone()]),
            Block::Findings(rows) => texts.extend(rows.iter().flat_map(|row| row.text.clone())),
            Block::Steps(steps) => texts.extend(steps.clone()),
            Block::Workings(rows) => {
                for row in rows {
                    texts.extend(row.inputs.clone());
                    texts.push(row.result.clone());
                }
            }
        }
    }
    texts
}

#[test]
fn property_sections_come_in_order_and_by_id() {
    let (described, sheets) = fixture::full();
    let units = DisplayUnits::of(&described);
    let all = sections(&described, &sheets, &units);
    let ids: Vec<_> = all.iter().map(|section| section.id).collect();
    assert_eq!(ids, IDS);
    assert!(section("no-such-sheet", &described, &sheets, &units).is_none());
}

#[test]
fn property_every_section_starts_with_words() {
    for section in all() {
        assert!(
            matches!(&section.blocks[0], Block::Paragraph(words) if words.ends_with('.')),
            "{}",
            section.id
        );
    }
}

#[test]
fn property_rows_are_as_long_as_columns() {
    for section in all() {
        for table in tables(&section) {
            assert!(!table.columns.is_empty());
            for row in &table.rows {
                assert_eq!(
                    row.len(),
                    table.columns.len(),
                    "{}: {}",
                    section.id,
                    table.caption
                );
            }
        }
    }
}

/// The longest words of all columns, two columns of air between them, stay within 80.
#[test]
fn property_tables_fit_80_columns() {
    let longest_word = |text: &str| {
        text.split_whitespace()
            .map(UnicodeWidthStr::width)
            .max()
            .unwrap_or(0)
    };
    for section in all() {
        for table in tables(&section) {
            let width: usize = (0..table.columns.len())
                .map(|index| {
                    let cells = table
                        .rows
                        .iter()
                        .map(|row| match table.columns[index].align {
                            Align::Left => longest_word(&row[index]),
                            Align::Right => row[index].width(),
                        });
                    cells
                        .chain([longest_word(&table.columns[index].head)])
                        .max()
                        .unwrap_or(0)
                })
                .sum();
            let width = width + 2 * (table.columns.len() - 1);
            assert!(
                width <= 80,
                "{}: {} is {width} wide",
                section.id,
                table.caption
            );
        }
    }
}

/// A level is the vessel's, the cell's or the glass's, and every head and label that speaks of one says whose.
#[test]
fn property_no_level_without_its_owner() {
    for section in all() {
        let heads = tables(&section)
            .flat_map(|table| table.columns.iter().map(|column| column.head.clone()));
        let labels = section.blocks.iter().flat_map(|block| match block {
            Block::Values(rows) => rows.iter().map(|row| row.label.clone()).collect(),
            _ => Vec::new(),
        });
        for text in heads.chain(labels) {
            // A trip's name is no level.
            let text = text.replace("low-level trip", "trip");
            let has_owner = ["true", "panel", "glass", "indicated"]
                .iter()
                .any(|owner| text.contains(owner));
            assert!(
                !text.contains("level") || has_owner,
                "{}: {text}",
                section.id
            );
        }
    }
}

#[test]
fn property_labels_fit_their_column() {
    for section in all() {
        for block in &section.blocks {
            if let Block::Values(rows) = block {
                for row in rows {
                    assert!(row.label.width() <= 34, "{}: {}", section.id, row.label);
                }
            }
        }
    }
}

/// Numbers carry the sign U+2212, never a hyphen, and no zero carries one.
#[test]
fn property_minus_signs() {
    // The survey also prints what its author typed, as typed.
    for section in all().iter().filter(|section| section.id != "survey") {
        for text in texts(section) {
            let characters: Vec<char> = text.chars().collect();
            for (index, pair) in characters.windows(2).enumerate() {
                let starts = index == 0 || characters[index - 1].is_whitespace();
                // A date or a code has something before its hyphen.
                assert!(
                    !(pair[0] == '-' && pair[1].is_ascii_digit() && starts),
                    "{text}"
                );
            }
            for zero in ["\u{2212}0.0 ", "\u{2212}0 "] {
                assert!(!format!("{text} ").contains(zero), "{text}");
            }
        }
    }
}

#[test]
fn property_polarity_stands_on_every_measurement_sheet() {
    for section in all() {
        if [
            "level-map",
            "range",
            "error-map",
            "glass",
            "settings",
            "tuning",
            "signal-loss",
        ]
        .contains(&section.id)
        {
            assert!(
                texts(&section)
                    .iter()
                    .any(|text| text.contains("Polarity of this loop")),
                "{}",
                section.id
            );
        }
    }
}

#[test]
fn property_forecast_stands_on_every_tuning_table() {
    for section in all() {
        if section.id == "tuning" {
            assert!(section.title.contains("FORECAST"));
            for table in tables(&section) {
                assert!(table.caption.contains("FORECAST"), "{}", table.caption);
            }
        }
    }
}

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
fn property_findings_come_gravest_first() {
    let (described, sheets) = fixture::full();
    let units = DisplayUnits::of(&described);
    let section = section("findings", &described, &sheets, &units).expect("id exists");
    let severities: Vec<_> = section
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::Findings(rows) => Some(rows.iter().map(|row| row.severity)),
            _ => None,
        })
        .flatten()
        .collect();
    assert!(severities.len() > 1 && severities.is_sorted());
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
