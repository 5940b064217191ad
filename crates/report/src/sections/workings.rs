//! How each number came about, in SI.

use halfglass_core::design::Sheets;
use halfglass_core::working::Working;

use crate::block::{Block, Section, WorkingRow};
use crate::units::significant;
use crate::wording::as_printed;

/// Digits that a working prints, enough to be redone by hand.
const DIGITS: usize = 6;

pub(super) fn section(sheets: &Sheets) -> Section {
    let mut blocks = vec![Block::paragraph(
        "How the numbers came about, so that anyone can redo them: formula, inputs, result, source and where the formula \
         holds. All in SI, pressures absolute unless said otherwise, levels above the centre of the lower tap.",
    )];
    let none = Vec::new();
    for (title, workings) in [
        ("Range", &sheets.range.workings),
        ("Error map and glass", &sheets.error_map.workings),
        (
            "Uncertainty",
            sheets
                .uncertainty
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        (
            "Feedwater valve",
            sheets
                .feedwater
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        (
            "Wiring",
            sheets
                .wiring
                .as_ref()
                .map_or(&none, |sheet| &sheet.workings),
        ),
        ("Settings", &sheets.settings.workings),
        ("Tuning (FORECAST)", &sheets.tuning.workings),
        ("Loss of signal and reserves", &sheets.signal_loss.workings),
    ] {
        if !workings.is_empty() {
            blocks.push(Block::heading(title));
            blocks.push(Block::Workings(workings.iter().map(row).collect()));
        }
    }
    Section {
        id: "workings",
        title: "Workings".into(),
        blocks,
    }
}

/// A working in print.
pub(crate) fn row(working: &Working) -> WorkingRow {
    WorkingRow {
        title: working.title.clone(),
        formula: working.formula,
        inputs: working
            .inputs
            .iter()
            .map(|input| {
                format!(
                    "{} = {} ({})",
                    input.symbol,
                    with_unit(input.value, input.unit),
                    as_printed(&input.name)
                )
            })
            .collect(),
        result: with_unit(working.result, working.unit),
        source: working.source,
        validity: working.validity,
    }
}

/// A ratio, whose unit is `-`, stands alone.
fn with_unit(value: f64, unit: &str) -> String {
    let value = significant(value, DIGITS);
    if unit == "-" {
        value
    } else {
        format!("{value} {unit}")
    }
}
