//! `halfglass check`: problems and findings only.

use std::fmt::Write as _;

use halfglass_report::block::{Block, Section};
use serde_json::json;

use crate::args::CheckArgs;
use crate::failure::Failure;
use crate::input::Worked;
use crate::{batch, output, terminal};

pub(crate) fn run(args: &CheckArgs) -> Result<(), Failure> {
    batch::each(&args.files, args.json, |_, worked| {
        if args.json {
            output::print(&format!("{}\n", findings_json(&worked)))
        } else {
            output::print(&findings_text(&worked))
        }
    })
}

fn findings_json(worked: &Worked) -> serde_json::Value {
    let all = halfglass_report::json::json(
        &worked.the_loop,
        &worked.sheets,
        &worked.source.short_name(),
        &worked.source.sha256(),
    );
    json!({
        "file": worked.source.name,
        "problems": [],
        "findings": all["findings"],
        "assumptions": all["assumptions"],
    })
}

fn findings_text(worked: &Worked) -> String {
    let units = worked.units(None);
    let sections = halfglass_report::sections(&worked.the_loop, &worked.sheets, &units);
    let count = worked.sheets.findings.len();
    let mut text = format!(
        "{}: no problems, {count} finding{}, {} assumption{}\n\n",
        worked.source.name,
        if count == 1 { "" } else { "s" },
        worked.sheets.assumptions.len(),
        if worked.sheets.assumptions.len() == 1 {
            ""
        } else {
            "s"
        },
    );
    let rows = sections
        .into_iter()
        .filter(|section| section.id == "findings")
        .map(|section| Section {
            blocks: section
                .blocks
                .into_iter()
                .filter(|block| matches!(block, Block::Findings(_)))
                .collect(),
            ..section
        });
    for section in rows {
        let _ = write!(text, "{}", terminal::section_text(&section));
    }
    text
}
