//! Two reports side by side: what differs between them, sheet by sheet.
//!
//! Only what a person reads is compared: values, cells of tables and findings as they are printed, so that nothing
//! differs which prints the same.

use std::collections::BTreeMap;

use crate::block::{Block, Section};

/// What differs in one section.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionDifference {
    /// The section's id.
    pub id: &'static str,
    /// Its title.
    pub title: String,
    /// What differs, in reading order.
    pub rows: Vec<Difference>,
    /// What both say alike, and what they say of it.
    pub same: Vec<(String, String)>,
}

/// One thing that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What it is: the label of a value; caption, row and column of a cell; a finding.
    pub what: String,
    /// Caption of the table that it is a cell of, as `what` begins with it; empty for what is no cell.
    pub table: String,
    /// As the first says it; `None` where only the second has it.
    pub first: Option<String>,
    /// As the second says it; `None` where only the first has it.
    pub second: Option<String>,
}

/// Sections that repeat what others say, or say how: left out.
const NOT_COMPARED: [&str; 2] = ["workings", "findings"];

/// What differs between two reports; sections without a difference are left out. Workings are not compared, since their
/// results are. Findings of all sheets stand together, last.
pub fn differences(first: &[Section], second: &[Section]) -> Vec<SectionDifference> {
    let mut found: Vec<SectionDifference> = Vec::new();
    for section in first
        .iter()
        .chain(second)
        .filter(|section| !NOT_COMPARED.contains(&section.id))
    {
        if found.iter().any(|known| known.id == section.id) {
            continue;
        }
        found.push(between(first, second, section.id, section.title.clone()));
    }
    found.push(between(first, second, "findings", "Findings".into()));
    found.retain(|section| !section.rows.is_empty());
    found
}

fn between(
    first: &[Section],
    second: &[Section],
    id: &'static str,
    title: String,
) -> SectionDifference {
    let (in_first, in_second) = (said_in(first, id), said_in(second, id));
    let mut rows = rows(&in_first, &in_second);
    let captions = [captions_in(first, id), captions_in(second, id)].concat();
    for row in &mut rows {
        let caption = captions.iter().find(|caption| {
            let rest = row.what.strip_prefix(caption.as_str());
            rest.is_some_and(|rest| rest.starts_with(": "))
        });
        row.table = caption.cloned().unwrap_or_default();
    }
    let same = in_first.into_iter().filter(|said| in_second.contains(said));
    SectionDifference {
        id,
        title,
        rows,
        same: same.collect(),
    }
}

/// Name and value.
type Said = (String, String);

/// Captions of a section's tables, as the names of their cells begin.
fn captions_in(sections: &[Section], id: &str) -> Vec<String> {
    let mut captions = Vec::new();
    let mut heading = String::new();
    for block in sections
        .iter()
        .filter(|section| section.id == id)
        .flat_map(|section| &section.blocks)
    {
        match block {
            Block::Heading(words) => heading.clone_from(words),
            Block::Table(table) => captions.push(under(&heading, &table.caption)),
            _ => {}
        }
    }
    captions
}

/// What a section says, by what it says it of. What is said twice under one name is numbered.
fn said_in(sections: &[Section], id: &str) -> Vec<Said> {
    let Some(section) = sections.iter().find(|section| section.id == id) else {
        return Vec::new();
    };
    let mut said = Vec::new();
    let mut heading = String::new();
    for block in &section.blocks {
        match block {
            Block::Heading(words) => heading.clone_from(words),
            Block::Values(rows) => said.extend(
                rows.iter()
                    .map(|row| (under(&heading, &row.label), row.value.clone())),
            ),
            Block::Table(table) => {
                for row in &table.rows {
                    let Some((head, cells)) = row.split_first() else {
                        continue;
                    };
                    for (cell, column) in cells.iter().zip(table.columns.iter().skip(1)) {
                        let what = format!("{}: {head}, {}", table.caption, column.head);
                        said.push((under(&heading, &what), cell.clone()));
                    }
                }
            }
            Block::Findings(rows) => said.extend(rows.iter().map(|row| {
                (
                    format!("{} {}", row.severity.word(), row.code),
                    row.text.join(" "),
                )
            })),
            Block::Paragraph(_)
            | Block::Caution(_)
            | Block::Figure(_)
            | Block::Steps(_)
            | Block::Workings(_) => {}
        }
    }
    let mut times: BTreeMap<String, usize> = BTreeMap::new();
    for (what, _) in &mut said {
        let time = times.entry(what.clone()).or_insert(0);
        *time += 1;
        if *time > 1 {
            *what = format!("{what} ({time})");
        }
    }
    said
}

fn under(heading: &str, what: &str) -> String {
    if heading.is_empty() {
        what.to_owned()
    } else {
        format!("{heading}: {what}")
    }
}

/// Differences in the order of the first; what only the second says stands after what it follows there.
fn rows(first: &[(String, String)], second: &[(String, String)]) -> Vec<Difference> {
    let by_name =
        |said: &[(String, String)]| -> BTreeMap<String, String> { said.iter().cloned().collect() };
    let (in_first, in_second) = (by_name(first), by_name(second));
    let only_second = second
        .iter()
        .filter(|(what, _)| !in_first.contains_key(what));
    let mut order: Vec<&String> = first.iter().map(|(what, _)| what).collect();
    for (what, _) in only_second {
        let before = second
            .iter()
            .take_while(|(other, _)| other != what)
            .last()
            .and_then(|(other, _)| order.iter().position(|known| *known == other));
        order.insert(before.map_or(order.len(), |at| at + 1), what);
    }
    order
        .into_iter()
        .filter_map(|what| {
            let (first, second) = (in_first.get(what), in_second.get(what));
            (first != second).then(|| Difference {
                what: what.clone(),
                table: String::new(),
                first: first.cloned(),
                second: second.cloned(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::example_loop;
    use crate::sections;
    use crate::units::DisplayUnits;
    use halfglass_core::description::Loop;
    use halfglass_core::design::design;

    fn shell_boiler() -> Loop {
        example_loop("laundry-shell-boiler")
    }

    fn report(described: &Loop) -> Vec<Section> {
        sections(
            described,
            &design(described).unwrap(),
            &DisplayUnits::of(described),
        )
    }

    #[test]
    fn property_a_report_does_not_differ_from_itself() {
        let described = shell_boiler();
        assert_eq!(differences(&report(&described), &report(&described)), []);
    }

    #[test]
    fn property_a_lower_cell_shifts_the_range_and_nothing_of_the_tuning() {
        let first = shell_boiler();
        let mut second = first.clone();
        // Legs of one temperature: the cell's height does not matter, so the legs must differ.
        second.working_leg_temperature_k += 20.0;
        let found = differences(&report(&first), &report(&second));
        let range = found.iter().find(|section| section.id == "range").unwrap();
        assert!(
            range.rows.iter().any(|row| row.what.contains("LRV")
                && row.first.is_some()
                && row.second.is_some()
                && row.first != row.second),
            "{range:?}"
        );
        // A cell names its table, a value does not.
        assert!(
            range.rows.iter().any(|row| row.table.is_empty()),
            "{range:?}"
        );
        assert!(
            range
                .rows
                .iter()
                .any(|row| !row.table.is_empty() && row.what.starts_with(&row.table)),
            "{range:?}"
        );
        // The normal pressure stands as it was, and with it the water's density.
        assert!(!range.same.is_empty(), "{range:?}");
        for (what, _) in &range.same {
            assert!(range.rows.iter().all(|row| row.what != *what), "{what}");
        }
        assert!(found.iter().any(|section| section.id == "survey"));
        assert!(
            found.iter().all(|section| section.id != "signal-loss"),
            "{found:?}"
        );
        // The other way round the sides change places.
        let back = differences(&report(&second), &report(&first));
        assert_eq!(found.len(), back.len());
        for (there, back) in found.iter().zip(&back) {
            let sides = |difference: &Difference| {
                (
                    difference.what.clone(),
                    difference.first.clone(),
                    difference.second.clone(),
                )
            };
            let mut there: Vec<_> = there.rows.iter().map(sides).collect();
            let mut turned: Vec<_> = back
                .rows
                .iter()
                .map(sides)
                .map(|(what, first, second)| (what, second, first))
                .collect();
            there.sort();
            turned.sort();
            assert_eq!(there, turned);
        }
    }

    #[test]
    fn property_what_only_one_says_has_one_side() {
        let first = shell_boiler();
        let mut second = first.clone();
        second.glass = None;
        let found = differences(&report(&first), &report(&second));
        let findings = found
            .iter()
            .find(|section| section.id == "findings")
            .unwrap();
        assert!(
            findings
                .rows
                .iter()
                .any(|row| row.first.is_none() && row.second.is_some()),
            "{findings:?}"
        );
    }
}
