//! What is bought: bill of material and data sheets. Fields that the survey does not fill are left to be filled in.

mod instruments;
mod valve;

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_core::design::Sheets;

use crate::bill::{Standing, ValveToHave, between_vessel_and_cell, bill, of_actuator};
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::DisplayUnits;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let items = bill(described, sheets, units);
    let mut blocks = vec![
        Block::paragraph(format!(
            "What {} is made of, numbered as on the hook-up drawing, and a data sheet for each instrument to buy. What the survey does not say is left to be \
             filled in before anything is ordered; materials and ratings follow the local code and the vessel's own papers.",
            described.identity.tag
        )),
        Block::figure(
            FigureId::HookUp,
            "Hook-up: heights to scale, numbers of the bill of material",
            format!(
                "The vessel's wall with {} and cell, heights to scale on a ruler, widths not; every part carries its number of the bill of material.",
                between_vessel_and_cell(&described.reference_leg)
            ),
        ),
        Block::Table(
            Table::new(
                "Bill of material; ____: not surveyed, to be marked on site",
                vec![
                    Column::numbers("item"),
                    Column::words("tag"),
                    Column::words("quantity"),
                    Column::words("fitted / to buy"),
                    Column::words("what"),
                ],
            )
            .with_rows(
                items
                    .into_iter()
                    .map(|item| {
                        vec![
                            item.number.to_string(),
                            item.tag,
                            item.quantity,
                            item.standing.words().to_owned(),
                            item.what,
                        ]
                    })
                    .collect(),
            ),
        ),
    ];
    blocks.push(Block::heading("Data sheet: cell"));
    blocks.push(Block::Values(instruments::cell(described, sheets, units)));
    let valve = sheets.feedwater.as_ref().map(ValveToHave::of);
    blocks.push(Block::heading(heading(
        "control valve",
        valve.map_or(Standing::NotSaid, |valve| valve.standing),
    )));
    blocks.push(Block::Values(valve::valve(described, sheets, units)));
    if let Some(sheet) = &sheets.feedwater {
        blocks.push(Block::Table(valve::process(sheet, units)));
        blocks.extend(valve::process_note(sheet).map(Block::paragraph));
    }
    blocks.push(Block::heading(heading("actuator", of_actuator(sheets))));
    blocks.push(Block::Values(valve::actuator(described, sheets, units)));
    blocks.push(Block::heading("Data sheet: controller"));
    blocks.push(Block::Values(instruments::controller(described, sheets)));
    if !matches!(described.reference_leg, ReferenceLeg::Sealed { .. }) {
        blocks.push(Block::heading("Data sheet: manifold"));
        blocks.push(Block::Values(instruments::manifold(described, units)));
    }
    if let ReferenceLeg::Wet { pot_lip_m, .. } = described.reference_leg {
        blocks.push(Block::heading("Data sheet: condensate pot"));
        blocks.push(Block::Values(instruments::pot(
            described, sheets, units, pot_lip_m,
        )));
    }
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.push(Block::caution(cautions::WHO_DECIDES));
    Section {
        id: "purchase",
        title: "Bill of material and data sheets".into(),
        blocks,
    }
}

fn heading(what: &str, standing: Standing) -> String {
    match standing {
        Standing::Fitted | Standing::DoNotOrder | Standing::ToBuy => {
            format!("Data sheet: {what}, {}", standing.words())
        }
        Standing::NotSaid => format!("Data sheet: {what}"),
    }
}

/// Fields that nobody but the buyer can fill.
fn blanks<const N: usize>(labels: [&str; N]) -> impl Iterator<Item = ValueRow> {
    labels
        .map(|label| ValueRow::new(label, super::wiring::TO_FILL_IN))
        .into_iter()
}

/// A field that the survey fills, or the buyer.
fn field(label: &str, value: Option<String>) -> ValueRow {
    ValueRow::new(
        label,
        value.unwrap_or_else(|| super::wiring::TO_FILL_IN.to_owned()),
    )
}
