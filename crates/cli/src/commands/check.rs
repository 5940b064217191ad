//! `halfglass check`: problems and findings only. A script that asks whether a loop may be worked on needs a status that
//! says no for a finding that stops, as for a problem.

use std::fmt::Write as _;

use halfglass_core::finding::Severity;
use halfglass_report::block::{Block, Section};
use serde_json::json;

use crate::args::CheckArgs;
use crate::failure::Failure;
use crate::input::Worked;
use crate::{batch, output, terminal};

pub(crate) fn run(args: &CheckArgs) -> Result<(), Failure> {
    let mut stops = 0;
    batch::each(&args.files, args.json, |_, worked| {
        stops += stops_of(&worked);
        if args.json {
            output::print(&format!("{}\n", findings_json(&worked)))
        } else {
            output::print(&findings_text(&worked))
        }
    })?;
    if stops > 0 {
        return Err(Failure::Told { status: 1 });
    }
    Ok(())
}

fn stops_of(worked: &Worked) -> usize {
    let findings = worked.sheets.findings.iter();
    findings
        .filter(|finding| finding.severity == Severity::Stop)
        .count()
}

/// How a file stands, in one line: what stops comes first.
fn verdict(stops: usize, findings: usize, assumptions: usize) -> String {
    let counted = |count: usize, noun: &str| {
        let plural = if count == 1 { "" } else { "s" };
        format!("{count} {noun}{plural}")
    };
    let first = match stops {
        0 => "no problems".to_owned(),
        count => format!("STOP, {}", counted(count, "stop finding")),
    };
    let of_all = if stops == 0 { "" } else { " in all" };
    format!(
        "{first}; {}{of_all}, {}",
        counted(findings, "finding"),
        counted(assumptions, "assumption")
    )
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
    let mut text = format!(
        "{}: {}\n\n",
        worked.source.name,
        verdict(
            stops_of(worked),
            worked.sheets.findings.len(),
            worked.sheets.assumptions.len()
        ),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_what_stops_comes_first() {
        assert_eq!(verdict(0, 7, 1), "no problems; 7 findings, 1 assumption");
        assert_eq!(
            verdict(1, 1, 0),
            "STOP, 1 stop finding; 1 finding in all, 0 assumptions"
        );
        assert_eq!(
            verdict(2, 9, 3),
            "STOP, 2 stop findings; 9 findings in all, 3 assumptions"
        );
    }
}
