//! The sheets as sections, one file each.

mod assumptions;
mod compensation;
mod draws;
mod error_map;
mod feedwater;
mod findings;
mod glass;
mod instrument_rows;
mod level_map;
mod motion;
mod plant_test;
mod proof;
mod purchase;
mod range;
mod settings;
mod signal_loss;
mod survey;
mod survey_control;
mod survey_water_side;
mod survey_wires;
mod test_points;
mod tuning;
mod uncertainty;
mod wiring;
pub(crate) mod workings;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::finding::Finding;

use crate::behind;
use crate::block::{Block, FindingRow, Section};
use crate::units::DisplayUnits;
use crate::wording::as_printed;

pub use draws::{LabelledDraws, draws};
pub(crate) use feedwater::{cavitation, regime};
pub use motion::{LabelledRun, SIMULATION, motion};
pub use plant_test::{cannot_tell_remedy, measured_rows, plant_test};
pub use proof::proof;
pub use settings::value_text as setting_text;
pub use tuning::measured_words;
pub(crate) use wiring::conductor_text;

/// Ids of all sections in the order they are printed.
pub const IDS: [&str; 15] = [
    "survey",
    "level-map",
    "range",
    "error-map",
    "glass",
    "uncertainty",
    "feedwater",
    "wiring",
    "settings",
    "tuning",
    "signal-loss",
    "purchase",
    "findings",
    "assumptions",
    "workings",
];

/// All sections in the order they are printed.
pub fn sections(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<Section> {
    IDS.iter()
        .filter_map(|id| section(id, described, sheets, units))
        .collect()
}

/// One section by its id; `None` for an id that is not one of [`IDS`].
pub fn section(
    id: &str,
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
) -> Option<Section> {
    let mut section = match id {
        "survey" => survey::section(described, units),
        "level-map" => level_map::section(described, sheets, units),
        "range" => range::section(described, sheets, units),
        "error-map" => error_map::section(described, sheets, units),
        "glass" => glass::section(described, sheets, units),
        "uncertainty" => uncertainty::section(described, sheets, units),
        "feedwater" => feedwater::section(described, sheets, units),
        "wiring" => wiring::section(described, sheets, units),
        "purchase" => purchase::section(described, sheets, units),
        "settings" => settings::section(described, sheets, units),
        "tuning" => tuning::section(described, sheets, units),
        "signal-loss" => signal_loss::section(described, sheets, units),
        "findings" => findings::section(sheets),
        "assumptions" => assumptions::section(sheets),
        "workings" => workings::section(sheets),
        _ => return None,
    };
    behind::refer(&mut section, sheets);
    Some(section)
}

/// The findings of one sheet, gravest first; empty for a sheet that finds nothing of its own.
pub fn findings_of(id: &str, sheets: &Sheets) -> Vec<FindingRow> {
    let findings: &[Finding] = match id {
        "level-map" => &sheets.level_map.findings,
        "range" => &sheets.range.findings,
        "error-map" => &sheets.error_map.findings,
        "uncertainty" => (sheets.uncertainty.as_ref()).map_or(&[], |sheet| &sheet.findings),
        "feedwater" => (sheets.feedwater.as_ref()).map_or(&[], |sheet| &sheet.findings),
        "wiring" => (sheets.wiring.as_ref()).map_or(&[], |sheet| &sheet.findings),
        "settings" => &sheets.settings.findings,
        "tuning" => &sheets.tuning.findings,
        "signal-loss" => &sheets.signal_loss.findings,
        _ => &[],
    };
    findings::rows(findings)
}

/// First words of a section whose sheet is not made for want of inputs.
pub const NOT_MADE: &str = "Not made: ";

/// A section that says what to add to the loop file to get it.
fn not_made(id: &'static str, title: String, words: &str) -> Section {
    Section {
        id,
        title,
        blocks: vec![Block::paragraph(format!("{NOT_MADE}{words}"))],
    }
}

/// Words of the core as a sentence: the report's minus signs, a full stop at the end.
fn sentence(words: &str) -> String {
    let words = as_printed(words.trim());
    if words.is_empty() || words.ends_with(['.', '!', '?']) {
        words
    } else {
        format!("{words}.")
    }
}

/// Heading over the findings of one sheet in short.
const IN_SHORT: &str = "Found on this sheet; what to do stands under Findings";

/// The findings of one sheet in short; the full words stand in the section of findings.
fn findings_in_short(findings: &[Finding]) -> Vec<Block> {
    if findings.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::heading(IN_SHORT)];
    blocks.extend(findings.iter().map(|finding| {
        Block::paragraph(format!(
            "{} [{}]: {}",
            finding.severity.word(),
            finding.code,
            as_printed(&finding.what)
        ))
    }));
    blocks
}

/// Puts what stands where a section says its findings in short, for a reader who has room for all their words.
#[must_use]
pub fn with_findings(section: Section, findings: Vec<FindingRow>) -> Section {
    let mut blocks = Vec::with_capacity(section.blocks.len());
    let mut rest = section.blocks.into_iter().peekable();
    while let Some(block) = rest.next() {
        if block == Block::heading(IN_SHORT) {
            for _ in &findings {
                rest.next_if(|block| matches!(block, Block::Paragraph(_)));
            }
            blocks.push(Block::heading("Found on this sheet"));
            blocks.push(Block::Findings(findings.clone()));
        } else {
            blocks.push(block);
        }
    }
    Section { blocks, ..section }
}

#[cfg(test)]
mod tests;
