//! One sheet of a loop: the blocks of its section, its findings in full, its workings.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use halfglass_core::finding::Severity;
use halfglass_report::block::{Block, FindingRow};
use halfglass_report::sections::{findings_of, with_findings};

use crate::blocks::{DrawnSheet, Printed, paper_word};
use crate::frame::{Frame, SHEETS, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

#[derive(Template)]
#[template(path = "sheet.html")]
struct SheetPage {
    frame: Frame,
    printed: Printed,
    sheet: DrawnSheet,
    /// How many findings of each severity are on the sheet; empty without.
    found: String,
}

/// `GET /loops/{name}/sheets/{id}`.
pub(crate) async fn show(
    State(bench): State<Arc<Workbench>>,
    Path((name, id)): Path<(String, String)>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let (id, _) = SHEETS
        .into_iter()
        .find(|(known, _)| *known == id)
        .ok_or_else(|| Refusal::not_found("there is no such sheet"))?;
    let opened = bench.open(&name).await?;
    run_aside(move || {
        let (described, sheets) = opened.sheets()?;
        let units = chosen.units_of(described);
        let findings = findings_of(id, sheets);
        let found = counted(&findings);
        let section = halfglass_report::section(id, described, sheets, &units)
            .ok_or_else(|| Refusal::not_found("there is no such sheet"))?;
        let section = with_findings(section, findings);
        let mut frame = Frame::of_loop(&opened.name, section.title.clone(), id, chosen);
        frame.paper = paper_word(chosen.paper.unwrap_or(described.identity.paper));
        page(&SheetPage {
            frame,
            printed: Printed::of(&opened, described),
            sheet: DrawnSheet::of(&section, &opened.name, (described, sheets), &units),
            found,
        })
    })
    .await
}

/// `1 warning, 2 notes`.
fn counted(findings: &[FindingRow]) -> String {
    [
        (Severity::Stop, "stop"),
        (Severity::Warn, "warning"),
        (Severity::Note, "note"),
    ]
    .into_iter()
    .filter_map(|(severity, word)| {
        let count = findings.iter().filter(|f| f.severity == severity).count();
        let ending = if count == 1 { "" } else { "s" };
        (count > 0).then(|| format!("{count} {word}{ending}"))
    })
    .collect::<Vec<_>>()
    .join(", ")
}

#[cfg(test)]
#[path = "sheet_tests.rs"]
mod tests;
