//! The manual's table of units against what is read.

use std::collections::BTreeSet;

use halfglass_loopfile::keys::{Kind, SECTIONS};
use halfglass_loopfile::quantity_text::Dimension;

const PAGE: &str = include_str!("../../../docs/src/loop-file.md");

/// The words between backticks.
fn quoted(cell: &str) -> BTreeSet<&str> {
    cell.split('`').skip(1).step_by(2).collect()
}

#[test]
fn property_the_manual_lists_every_unit_of_every_quantity_and_no_other() {
    let rows: Vec<(&str, BTreeSet<&str>)> = PAGE
        .lines()
        .filter_map(|line| line.strip_prefix("| ")?.split_once(" | "))
        .filter(|(name, units)| units.contains('`') && !name.starts_with('`'))
        .map(|(name, units)| (name, quoted(units)))
        .collect();
    let mut used: Vec<Dimension> = Vec::new();
    for key in SECTIONS.iter().flat_map(|section| section.keys) {
        if let Kind::Quantity(dimension, _)
        | Kind::QuantityOrNone(dimension, _)
        | Kind::Quantities(dimension, _) = key.kind
            && !used.contains(&dimension)
        {
            used.push(dimension);
        }
    }
    for dimension in &used {
        let listed = rows
            .iter()
            .find(|(name, _)| *name == dimension.words())
            .unwrap_or_else(|| panic!("no row for {}", dimension.words()));
        let read: BTreeSet<&str> = dimension.units().iter().map(|unit| unit.name).collect();
        assert_eq!(listed.1, read, "{}", dimension.words());
    }
    assert_eq!(rows.len(), used.len());
}
