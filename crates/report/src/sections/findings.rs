//! Findings, gravest first.

use halfglass_core::design::Sheets;
use halfglass_core::finding::{Finding, Severity};

use crate::block::{Block, FindingRow, Section};
use crate::cautions;
use crate::wording::as_printed;

pub(super) fn section(sheets: &Sheets) -> Section {
    let count = |severity| {
        sheets
            .findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let (stops, warns, notes) = (
        count(Severity::Stop),
        count(Severity::Warn),
        count(Severity::Note),
    );
    let result = if sheets.findings.is_empty() {
        "Nothing odd was found.".to_owned()
    } else {
        format!(
            "Found: {stops} stop (do not put the loop in service like this), {warns} warn (works, but costs accuracy, \
             stability or margin), {notes} note (worth knowing)."
        )
    };
    let mut blocks = vec![Block::paragraph(format!(
        "What an engineer should notice about this loop, with what follows from it and what to do. {result}"
    ))];
    if !sheets.findings.is_empty() {
        blocks.push(Block::Findings(rows(&sheets.findings)));
    }
    blocks.push(Block::paragraph(
        "No finding is no proof: only what the loop file says was checked.",
    ));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.push(Block::caution(cautions::WHO_DECIDES));
    Section {
        id: "findings",
        title: "Findings".into(),
        blocks,
    }
}

/// Findings in print, gravest first.
pub(super) fn rows(findings: &[Finding]) -> Vec<FindingRow> {
    let mut rows: Vec<FindingRow> = findings
        .iter()
        .map(|finding| FindingRow {
            severity: finding.severity,
            code: finding.code,
            text: [
                as_printed(&finding.what),
                as_printed(&finding.consequence),
                as_printed(&finding.remedy),
            ],
            input: finding.input,
        })
        .collect();
    rows.sort_by_key(|row| row.severity);
    rows
}
