//! Which workings stand behind which value or table, so that a reader can open a number where it stands.
//!
//! A working names itself by its title, often with the duty or the state it is for; the rules below know how titles
//! begin. What no row holds stands in running text and is opened in the list at the sheet's end.

use halfglass_core::design::Sheets;
use halfglass_core::working::Working;

use crate::block::{Block, Section, WorkingRow};
use crate::sections::workings::row;

/// Below which heading (empty: anywhere), whose label, which workings by how their titles begin.
type Rule = (&'static str, &'static str, &'static [&'static str]);

/// Titles of workings about the gauge glass: they are computed with the error map and stand on the glass's own sheet.
const GLASS: &str = "Where the glass stands";

/// The range to set: its ends are worked only where it is the hot range.
const HOT_RANGE: [Rule; 2] = [
    ("", "panel at 0 % (LRV)", &["LRV at"]),
    ("", "panel at 100 % (URV)", &["URV at"]),
];

const RANGE: [Rule; 10] = [
    ("", "Ranges: signed differential", &["LRV", "URV"]),
    ("", "What each range costs", &["Largest weighted error"]),
    (
        "",
        "pot lip surveyed wrong",
        &["Reading moved by an error of the pot lip"],
    ),
    (
        "",
        "Bench range at",
        &["LRV of the bench", "URV of the bench"],
    ),
    ("", "density, water", &["Density of the water"]),
    ("", "density, vapour", &["Density over the water"]),
    (
        "",
        "density, air over the water",
        &["Density over the water"],
    ),
    (
        "",
        "density, air at the open port",
        &["Air outside the open port"],
    ),
    ("", "density, reference leg", &["Reference leg"]),
    ("", "density, working leg", &["Working leg"]),
];
const ERROR_MAP: [Rule; 2] = [
    ("", "Panel (indicated level), %", &["Panel at 100 %"]),
    (
        "",
        "True level from differential",
        &["Compensation for pressure"],
    ),
];
const GLASS_CARD: [Rule; 1] = [("", "Glass, vessel, panel", &[GLASS])];
const LEVEL_MAP: [Rule; 1] = [("", "Hot:", &[GLASS])];
const UNCERTAINTY: [Rule; 3] = [
    (
        "Panel:",
        "expanded, k = 2",
        &["Expanded uncertainty of the panel"],
    ),
    (
        "Glass:",
        "expanded, k = 2",
        &["Expanded uncertainty of the level told by the glass"],
    ),
    (
        "Over the span",
        "Expanded uncertainty",
        &["Disagreement of panel and glass"],
    ),
];
const FEEDWATER: [Rule; 9] = [
    (
        "",
        "Pressures at the valve",
        &["Drop over the valve", "Make-up"],
    ),
    ("", "Pumps", &["NPSH available"]),
    ("", "What each duty needs", &["Flow coefficient"]),
    ("", "flow with the valve open", &["Full-valve flow"]),
    ("", "force needed", &["Force the actuator needs"]),
    ("", "rated over needed", &["Actuator margin"]),
    ("", "true level lost while it travels", &["Level lost"]),
    ("", "true level swing by deadband", &["Level swing"]),
    ("", "rise of the true level", &["Rise of the level"]),
];
const WIRING: [Rule; 4] = [
    ("Burden", "burden", &["Burden of the signal loop"]),
    ("Burden", "burden at most", &["Largest burden"]),
    (
        "Burden",
        "longest run one way",
        &["Longest run of the signal loop"],
    ),
    (
        "Power of the actuator",
        "volts at the actuator",
        &["Voltage at the actuator"],
    ),
];
const SETTINGS: [Rule; 1] = [("", "Settings (gain", &[""])];
const TUNING: [Rule; 4] = [
    ("", "FORECAST process gain", &["Process gain"]),
    ("", "dead time counted", &["Dead-time budget"]),
    ("", "largest load change", &["Largest load change"]),
    (
        "",
        "FORECAST of how settings behave",
        &["Chosen gain", "Chosen reset", "Damping", "Peak of the true"],
    ),
];
const SIGNAL_LOSS: [Rule; 4] = [
    ("", "How long", &["Time from"]),
    ("", "Reserve", &["Minutes from"]),
    (
        "",
        "cold-fill mark, true level",
        &["Cold-fill mark", "Heating steam that condenses"],
    ),
    (
        "",
        "shut, at the lowest ambient",
        &["Pressure of the closed vessel"],
    ),
];

/// The workings of one sheet in print; empty for a sheet that computes nothing of its own.
pub fn workings_of(id: &str, sheets: &Sheets) -> Vec<WorkingRow> {
    own(id, sheets).into_iter().map(row).collect()
}

fn own<'a>(id: &str, sheets: &'a Sheets) -> Vec<&'a Working> {
    let map = || sheets.error_map.workings.iter();
    let is_glass = |working: &&Working| working.title.starts_with(GLASS);
    match id {
        "range" => sheets.range.workings.iter().collect(),
        "error-map" => map().filter(|working| !is_glass(working)).collect(),
        "glass" | "level-map" => map().filter(is_glass).collect(),
        "uncertainty" => (sheets.uncertainty.iter())
            .flat_map(|sheet| &sheet.workings)
            .collect(),
        "feedwater" => (sheets.feedwater.iter())
            .flat_map(|sheet| &sheet.workings)
            .collect(),
        "wiring" => (sheets.wiring.iter())
            .flat_map(|sheet| &sheet.workings)
            .collect(),
        "settings" => sheets.settings.workings.iter().collect(),
        "tuning" => sheets.tuning.workings.iter().collect(),
        "signal-loss" => sheets.signal_loss.workings.iter().collect(),
        _ => Vec::new(),
    }
}

fn rules(id: &str, sheets: &Sheets) -> Vec<Rule> {
    match id {
        "range" if sheets.range.chosen == sheets.range.hot => [&HOT_RANGE[..], &RANGE].concat(),
        "range" => RANGE.into(),
        "error-map" => ERROR_MAP.into(),
        "glass" => GLASS_CARD.into(),
        "level-map" => LEVEL_MAP.into(),
        "uncertainty" => UNCERTAINTY.into(),
        "feedwater" => FEEDWATER.into(),
        "wiring" => WIRING.into(),
        "settings" => SETTINGS.into(),
        "tuning" => TUNING.into(),
        "signal-loss" => SIGNAL_LOSS.into(),
        _ => Vec::new(),
    }
}

/// Gives each value and table of a section the titles of the workings behind it.
pub(crate) fn refer(section: &mut Section, sheets: &Sheets) {
    let own = own(section.id, sheets);
    let rules = rules(section.id, sheets);
    let behind = |heading: &str, label: &str| -> Vec<String> {
        let starts = rules
            .iter()
            .filter(|(below, of, _)| heading.starts_with(below) && fits(label, of))
            .flat_map(|(_, _, starts)| *starts);
        let mut titles = Vec::new();
        for start in starts {
            let begun = own
                .iter()
                .filter(|working| working.title.starts_with(start));
            titles.extend(begun.map(|working| working.title.clone()));
        }
        titles
    };
    let mut heading = String::new();
    for block in &mut section.blocks {
        match block {
            Block::Heading(words) => heading.clone_from(words),
            Block::Values(values) => {
                for value in values {
                    value.workings = behind(&heading, &value.label);
                }
            }
            Block::Table(table) => table.workings = behind(&heading, &table.caption),
            _ => {}
        }
    }
}

/// A label is its rule's, or goes on after a word of it: `burden` is not `burden at most`, but captions go on.
fn fits(label: &str, of: &str) -> bool {
    let is_caption = of.starts_with(char::is_uppercase) || of.starts_with("density, ");
    label == of || (is_caption && label.starts_with(of))
}

#[cfg(test)]
mod tests;
