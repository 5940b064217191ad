//! What the survey did not give.

use halfglass_core::design::Sheets;

use crate::block::{Block, Column, Section, Table};
use crate::wording::as_printed;

pub(super) fn section(sheets: &Sheets) -> Section {
    let count = sheets.assumptions.len();
    let mut blocks = Vec::new();
    if count == 0 {
        blocks.push(Block::paragraph(
            "What the survey did not give and what was used instead: nothing, the loop file says everything itself.",
        ));
    } else {
        blocks.push(Block::paragraph(format!(
            "What the survey did not give and what was used instead: {count} {}. Each stands until it is surveyed; write the \
             surveyed value into the loop file under the name in the first column.",
            if count == 1 { "value" } else { "values" }
        )));
        let columns = vec![
            Column::words("input"),
            Column::words("value used"),
            Column::words("why, and what it touches"),
        ];
        let rows = sheets
            .assumptions
            .iter()
            .map(|row| {
                vec![
                    row.input.to_owned(),
                    as_printed(&row.value),
                    row.why.to_owned(),
                ]
            })
            .collect();
        blocks.push(Block::Table(
            Table::new("Assumptions", columns).with_rows(rows),
        ));
    }
    blocks.push(Block::paragraph(
        "Taps, condensate-pot lip, highest heated surface, cutoffs and safety-valve set are never assumed.",
    ));
    Section {
        id: "assumptions",
        title: "Assumptions".into(),
        blocks,
    }
}
