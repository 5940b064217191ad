//! The rules against the five examples of this repository.

use std::collections::BTreeSet;

use halfglass_core::design::design;

use super::*;
use crate::sections::{IDS, section};
use crate::units::DisplayUnits;

/// Workings whose number stands in running text only.
const IN_WORDS: [&str; 2] = [
    "Reading with the equaliser open",
    "Reading with the block valve shut and the cell vented",
];

const EXAMPLES: [(&str, &[u8]); 5] = [
    (
        "brewery-feed-tank",
        include_bytes!("../../../../examples/brewery-feed-tank.toml"),
    ),
    (
        "district-deaerator",
        include_bytes!("../../../../examples/district-deaerator.toml"),
    ),
    (
        "inherited-cold-range",
        include_bytes!("../../../../examples/inherited-cold-range.toml"),
    ),
    (
        "laundry-shell-boiler",
        include_bytes!("../../../../examples/laundry-shell-boiler.toml"),
    ),
    (
        "paper-mill-drum-boiler",
        include_bytes!("../../../../examples/paper-mill-drum-boiler.toml"),
    ),
];

/// Label and titles of what a section refers to.
fn references(section: &Section) -> Vec<(String, Vec<String>)> {
    let mut found = Vec::new();
    for block in &section.blocks {
        match block {
            Block::Values(values) => {
                found.extend(values.iter().map(|v| (v.label.clone(), v.workings.clone())));
            }
            Block::Table(table) => found.push((table.caption.clone(), table.workings.clone())),
            _ => {}
        }
    }
    found.retain(|(_, titles)| !titles.is_empty());
    found
}

fn each_section(mut look: impl FnMut(&str, &Sheets, &Section)) {
    for (name, bytes) in EXAMPLES {
        let described = halfglass_loopfile::read(bytes).expect(name);
        let sheets = design(&described).expect(name);
        for id in IDS {
            let section = section(id, &described, &sheets, &DisplayUnits::of(&described));
            look(name, &sheets, &section.expect(id));
        }
    }
}

#[test]
fn property_every_reference_is_a_working_of_the_sheet_and_every_working_is_referred_to() {
    let mut seen = 0;
    each_section(|name, sheets, section| {
        let own: BTreeSet<String> = workings_of(section.id, sheets)
            .into_iter()
            .map(|working| working.title)
            .collect();
        let referred: BTreeSet<String> = references(section)
            .into_iter()
            .flat_map(|(_, titles)| titles)
            .collect();
        for title in &referred {
            assert!(own.contains(title), "{name} {}: {title}", section.id);
        }
        for title in own.difference(&referred) {
            assert!(
                IN_WORDS.contains(&title.as_str()),
                "{name} {}: nothing opens {title}",
                section.id
            );
        }
        seen += own.len();
    });
    assert!(seen > 200, "{seen}");
}

#[test]
fn property_all_workings_of_the_sheets_belong_to_one() {
    for (name, bytes) in EXAMPLES {
        let sheets = design(&halfglass_loopfile::read(bytes).expect(name)).expect(name);
        let listed: usize = IDS
            .iter()
            // The level map shows the glass's once more.
            .filter(|id| **id != "level-map")
            .map(|id| workings_of(id, &sheets).len())
            .sum();
        let described = halfglass_loopfile::read(bytes).expect(name);
        let all = section(
            "workings",
            &described,
            &sheets,
            &DisplayUnits::of(&described),
        )
        .expect("workings");
        let printed: usize = all
            .blocks
            .iter()
            .map(|block| match block {
                Block::Workings(rows) => rows.len(),
                _ => 0,
            })
            .sum();
        assert_eq!(listed, printed, "{name}");
    }
}

#[test]
fn property_no_rule_is_dead() {
    let mut used = BTreeSet::new();
    each_section(|_, sheets, section| {
        let own = own(section.id, sheets);
        let labels: Vec<String> = references(section).into_iter().map(|r| r.0).collect();
        for (_, label, starts) in rules(section.id, sheets) {
            if labels.iter().any(|known| fits(known, label)) {
                for start in starts {
                    if own.iter().any(|working| working.title.starts_with(start)) {
                        used.insert((section.id, label, *start));
                    }
                }
            }
        }
    });
    let mut dead = Vec::new();
    for (id, rules) in [
        ("range", [&HOT_RANGE[..], &RANGE].concat()),
        ("error-map", ERROR_MAP.into()),
        ("glass", GLASS_CARD.into()),
        ("level-map", LEVEL_MAP.into()),
        ("uncertainty", UNCERTAINTY.into()),
        ("feedwater", FEEDWATER.into()),
        ("wiring", WIRING.into()),
        ("settings", SETTINGS.into()),
        ("tuning", TUNING.into()),
        ("signal-loss", SIGNAL_LOSS.into()),
    ] {
        for (_, label, starts) in rules {
            for start in starts {
                if !used.contains(&(id, label, *start)) {
                    dead.push((id, label, *start));
                }
            }
        }
    }
    assert!(dead.is_empty(), "{dead:?}");
}

#[test]
fn regression_a_range_that_is_not_the_hot_one_does_not_claim_its_working() {
    let mut other = 0;
    each_section(|name, sheets, section| {
        if section.id != "range" {
            return;
        }
        let opened = references(section)
            .iter()
            .any(|(label, _)| label == "panel at 0 % (LRV)");
        let is_hot = sheets.range.chosen == sheets.range.hot;
        assert_eq!(opened, is_hot, "{name}");
        other += usize::from(!is_hot);
    });
    assert!(other > 0, "no example has another range than the hot one");
}
