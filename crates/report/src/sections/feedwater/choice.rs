//! Which size, why it and not its neighbours; the valve in its system.

use halfglass_core::feedwater::installed::LEAST_TRAVEL_RATIO;
use halfglass_core::feedwater::sheets::{Candidate, DutyKind, FeedwaterSheet};

use super::super::sentence;
use crate::block::{Block, Column, FigureId, Table, ValueRow};
use crate::units::{DisplayUnits, number, percent_text, significant};
use crate::wording::{as_printed, yes_no};

/// The one figure that shows the choice.
pub(super) fn figure(sheet: &FeedwaterSheet) -> Option<Block> {
    let chosen = sheet.candidates.iter().find(|size| size.chosen)?;
    Some(Block::figure(
        FigureId::ValveChoice,
        "Flow against travel in this system: the chosen size and its neighbours",
        format!(
            "Installed flow against travel for {} and its neighbours, each duty a level line with a mark where the chosen valve meets it, and the wanted \
             travel hatched off at both ends. {}",
            chosen.name,
            sentence(&chosen.words)
        ),
    ))
}

pub(super) fn blocks(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading("Choice of size"),
        Block::Table(sizes(sheet, units)),
    ];
    blocks.push(Block::Table(
        Table::new("Why", vec![Column::words("size"), Column::words("verdict")]).with_rows(
            sheet
                .candidates
                .iter()
                .map(|size| vec![size.name.clone(), as_printed(&size.words)])
                .collect(),
        ),
    ));
    let installed = &sheet.installed;
    blocks.push(Block::heading("The valve in this system"));
    blocks.push(Block::Values(vec![
        ValueRow::noted(
            "flow with the valve open",
            units.flow_text(installed.full_flow_kg_s),
            "at the largest duty's pressures",
        ),
        ValueRow::noted(
            "largest over smallest gain",
            format!("{} (ratio)", number(installed.gain_spread_ratio, 2)),
            "between the smallest and the largest duty; within 4 one setting serves all (common practice)",
        ),
        ValueRow::noted(
            "turndown",
            format!("{} : 1", number(installed.turndown_ratio, 1)),
            format!(
                "open flow over flow at {} % travel",
                number(100.0 * LEAST_TRAVEL_RATIO, 0)
            ),
        ),
        ValueRow::noted(
            "authority",
            percent_text(100.0 * installed.authority_ratio),
            "drop over the open valve as a share of that over the shut one",
        ),
    ]));
    blocks.push(Block::Table(curve(sheet, units)));
    blocks.push(Block::Table(
        Table::new(
            "Factors of the valve",
            vec![
                Column::words("factor"),
                Column::numbers("ratio"),
                Column::words("from"),
            ],
        )
        .with_rows(
            sheet
                .factors
                .iter()
                .map(|factor| {
                    vec![
                        factor.symbol.to_owned(),
                        significant(factor.value, 3),
                        factor.source.to_owned(),
                    ]
                })
                .collect(),
        ),
    ));
    blocks
}

/// Places of the largest and the smallest stated duty in the sheet.
fn extremes(sheet: &FeedwaterSheet) -> Option<(usize, usize)> {
    let stated = || {
        sheet
            .duties
            .iter()
            .enumerate()
            .filter(|(_, duty)| duty.kind == DutyKind::Stated)
    };
    let by_flow = |a: &(usize, &_), b: &(usize, &_)| {
        let flow = |row: &(usize, &halfglass_core::feedwater::sheets::DutyFlow)| row.1.flow_kg_s;
        flow(a).total_cmp(&flow(b))
    };
    Some((stated().max_by(by_flow)?.0, stated().min_by(by_flow)?.0))
}

fn sizes(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let [first, second] = units.coefficient_heads();
    let extremes = extremes(sheet);
    let name = |index: usize| sheet.duties[index].name.clone();
    let travel = |size: &Candidate, index: usize| {
        size.travel_percent
            .get(index)
            .copied()
            .flatten()
            .map_or_else(|| "past open".to_owned(), |percent| number(percent, 0))
    };
    let mut columns = vec![
        Column::words("size"),
        Column::numbers(first),
        Column::numbers(second),
    ];
    if let Some((largest, smallest)) = extremes {
        columns.push(Column::numbers(format!("travel at {}, %", name(largest))));
        columns.push(Column::numbers(format!("at {}, %", name(smallest))));
    }
    columns.extend([
        Column::numbers("gain spread, ratio"),
        Column::words("fits"),
        Column::words("choice"),
    ]);
    let rows = sheet
        .candidates
        .iter()
        .map(|size| {
            let [first, second] = units.coefficient_numbers(size.rated_kv_m3_h);
            let mut row = vec![size.name.clone(), first, second];
            if let Some((largest, smallest)) = extremes {
                row.extend([travel(size, largest), travel(size, smallest)]);
            }
            row.extend([
                number(size.gain_spread_ratio, 1),
                yes_no(size.fits).to_owned(),
                match (size.chosen, sheet.is_fitted) {
                    (true, true) => "fitted".to_owned(),
                    (true, false) => "chosen".to_owned(),
                    (false, _) => String::new(),
                },
            ]);
            row
        })
        .collect();
    Table::new("Sizes considered", columns).with_rows(rows)
}

/// The installed characteristic at every tenth of the travel.
fn curve(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let points = &sheet.installed.curve;
    let rows = (0..=10)
        .map(|tenth| 10.0 * f64::from(tenth))
        .filter_map(|wanted| {
            points
                .iter()
                .find(|point| (point.travel_percent - wanted).abs() < 0.05)
        })
        .map(|point| {
            vec![
                number(point.travel_percent, 0),
                units.flow_number(point.flow_kg_s),
                number(point.gain_ratio, 2),
                if point.travel_percent < 0.05 {
                    "just off the seat (shut: leakage only)".to_owned()
                } else {
                    String::new()
                },
            ]
        })
        .collect();
    Table::new(
        "Installed characteristic of the chosen valve",
        vec![
            Column::numbers("travel, %"),
            Column::numbers(format!("flow, {}", units.flow(0.0).1)),
            Column::numbers("gain, ratio"),
            Column::words("where it is"),
        ],
    )
    .with_rows(rows)
}
