//! The sheets as sections, one file each.

mod assumptions;
mod compensation;
mod error_map;
mod findings;
mod glass;
mod level_map;
mod range;
mod settings;
mod signal_loss;
mod survey;
mod survey_control;
mod test_points;
mod tuning;
mod workings;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::finding::Finding;

use crate::block::{Block, Section};
use crate::units::DisplayUnits;
use crate::wording::with_minus_signs;

pub use settings::value_text as setting_text;

/// Ids of all sections in the order they are printed.
pub const IDS: [&str; 11] = [
    "survey",
    "level-map",
    "range",
    "error-map",
    "glass",
    "settings",
    "tuning",
    "signal-loss",
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
    Some(match id {
        "survey" => survey::section(described, units),
        "level-map" => level_map::section(described, sheets, units),
        "range" => range::section(described, sheets, units),
        "error-map" => error_map::section(described, sheets, units),
        "glass" => glass::section(described, sheets, units),
        "settings" => settings::section(described, sheets, units),
        "tuning" => tuning::section(described, sheets, units),
        "signal-loss" => signal_loss::section(described, sheets, units),
        "findings" => findings::section(sheets),
        "assumptions" => assumptions::section(sheets),
        "workings" => workings::section(sheets),
        _ => return None,
    })
}

/// The findings of one sheet in short; the full words stand in the section of findings.
fn findings_in_short(findings: &[Finding]) -> Vec<Block> {
    if findings.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::heading(
        "Found on this sheet; what to do stands under Findings",
    )];
    blocks.extend(findings.iter().map(|finding| {
        Block::paragraph(format!(
            "{} [{}]: {}",
            finding.severity.word(),
            finding.code,
            with_minus_signs(&finding.what)
        ))
    }));
    blocks
}

#[cfg(test)]
mod tests;
