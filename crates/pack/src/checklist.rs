//! Installation checklist: what must be so before water or current goes in.
//!
//! Slopes, spacings of supports and the like are common practice; the maker's instructions and local codes go first.

mod rows;

use halfglass_core::description::Loop;
use halfglass_report::block::Block;
use halfglass_report::units::DisplayUnits;

use crate::limits::Limits;
use crate::part::{Check, PackBlock, Part};
use rows::GROUPS;

/// What a row may speak of.
#[derive(Debug, Clone, Copy)]
struct Facts<'a> {
    described: &'a Loop,
    units: &'a DisplayUnits,
    limits: &'a Limits<'a>,
}

/// Words of a row.
#[derive(Debug, Clone, Copy)]
enum Words {
    /// The same for every loop.
    Fixed(&'static str),
    /// Made from the loop.
    Of(fn(&Facts<'_>) -> String),
}

impl Words {
    fn text(self, facts: &Facts<'_>) -> String {
        match self {
            Words::Fixed(words) => words.to_owned(),
            Words::Of(made) => made(facts),
        }
    }
}

/// A row of the checklist.
#[derive(Debug, Clone, Copy)]
struct Row {
    /// For which loops it is printed.
    when: fn(&Loop) -> bool,
    /// What must be so.
    text: Words,
    /// The limit or the reason; may be empty.
    limit: Words,
}

/// Rows under one heading; without a row for this loop the heading goes too.
#[derive(Debug, Clone, Copy)]
struct Group {
    title: &'static str,
    rows: &'static [Row],
}

/// The part with the installation checklist.
pub(crate) fn part(described: &Loop, units: &DisplayUnits, limits: &Limits<'_>) -> Part {
    let facts = Facts {
        described,
        units,
        limits,
    };
    let mut blocks = vec![PackBlock::Report(Block::Paragraph(
        "Ticked on the spot with the drawing in hand, cold and depressurised. A line that does not apply is struck out and initialled. \
         Slopes and spacings are common practice; the makers' instructions and local codes go first."
            .into(),
    ))];
    for group in GROUPS {
        let checks: Vec<Check> = group
            .rows
            .iter()
            .filter(|row| (row.when)(described))
            .map(|row| Check::of(row.text.text(&facts), row.limit.text(&facts)))
            .collect();
        if !checks.is_empty() {
            blocks.push(PackBlock::Report(Block::Heading(group.title.into())));
            blocks.push(PackBlock::Checklist(checks));
        }
    }
    Part::flow("Installation checklist", blocks)
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfglass_core::description::ReferenceLeg;
    use halfglass_core::design::design;

    fn texts(name: &str, change: impl FnOnce(&mut Loop)) -> Vec<String> {
        let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let mut described = halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap();
        let sheets = design(&described).unwrap();
        change(&mut described);
        let units = DisplayUnits::of(&described);
        let limits = Limits::of(&described, &sheets, &units).unwrap();
        part(&described, &units, &limits)
            .blocks
            .iter()
            .flat_map(|block| match block {
                PackBlock::Report(Block::Heading(title)) => vec![title.clone()],
                PackBlock::Checklist(checks) => checks
                    .iter()
                    .map(|c| format!("{}: {}", c.text, c.limit))
                    .collect(),
                _ => Vec::new(),
            })
            .collect()
    }

    fn has(texts: &[String], words: &str) -> bool {
        texts.iter().any(|text| text.contains(words))
    }

    /// Common practice, no source: what a loop does not have is not to be ticked.
    #[test]
    fn practice_rows_follow_the_leg() {
        let wet = texts("laundry-shell-boiler", |_| {});
        assert!(has(&wet, "Condensate pot level") && has(&wet, "slope at least 1 in 12"));
        assert!(has(&wet, "Gauge glass") && has(&wet, "Manifold valves tagged"));
        let dry = texts("laundry-shell-boiler", |l| {
            l.reference_leg = ReferenceLeg::Dry {
                temperature_k: 300.0,
            };
            l.glass = None;
        });
        assert!(has(&dry, "Dry leg rises") && !has(&dry, "Condensate pot level"));
        // Without a glass neither its rows nor its heading; taps still speak of one.
        assert!(!has(&dry, "Glass card of this pack") && !dry.contains(&"Gauge glass".to_owned()));
        let open = texts("brewery-feed-tank", |_| {});
        assert!(has(&open, "Open port of the cell") && !has(&open, "Manifold valves tagged"));
        assert!(!has(&open, "safety-valve set"));
    }

    #[test]
    fn practice_frost_is_a_row_where_it_freezes() {
        for (ambient_k, row) in [(263.15, true), (283.15, false)] {
            let rows = texts("paper-mill-drum-boiler", |l| {
                l.site.ambient_lowest_k = ambient_k
            });
            assert_eq!(has(&rows, "Frost: legs"), row, "{ambient_k}");
        }
    }
}
