//! What must hold for every section of every loop, whatever its words.

use halfglass_core::description::UnitSystem;
use unicode_width::UnicodeWidthStr;

use super::*;
use crate::block::{Align, Table};
use crate::fixture;

mod words;

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

#[test]
fn property_a_page_shows_each_finding_of_a_sheet_in_full_once_and_none_in_short() {
    let (described, sheets) = fixture::full();
    let units = DisplayUnits::of(&described);
    let mut shown = 0;
    for id in IDS {
        let findings = findings_of(id, &sheets);
        let plain = section(id, &described, &sheets, &units).expect(id);
        let in_short = plain.blocks.iter().any(|b| *b == Block::heading(IN_SHORT));
        assert_eq!(in_short, !findings.is_empty(), "{id}");
        let lost = plain.blocks.len();
        let full = with_findings(plain, findings.clone());
        assert!(full.blocks.iter().all(|b| *b != Block::heading(IN_SHORT)));
        if in_short {
            // A heading and a paragraph each become a heading and one list.
            assert_eq!(full.blocks.len(), lost - findings.len() + 1, "{id}");
            assert!(full.blocks.contains(&Block::Findings(findings.clone())));
            shown += findings.len();
        }
    }
    assert!(shown > 3, "{shown}");
}
