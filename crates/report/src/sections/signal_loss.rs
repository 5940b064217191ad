//! What happens when something fails, and in how many minutes.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::protection::sheets::{ColdFill, CoolDown, FailureRow, SignalLossSheet};
use halfglass_core::quantity::AbsolutePressure;

use super::findings_in_short;
use crate::block::{Block, Column, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, minutes_text, number};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let sheet = &sheets.signal_loss;
    let mut blocks = vec![
        Block::paragraph(format!(
            "What the vessel does when the cell, the wire, the controller or the valve fails, and how long there is. {}",
            result_words(sheet)
        )),
        Block::paragraph(wording::polarity_in_short(described)),
        Block::Table(what_happens_table(&sheet.rows)),
        Block::Table(how_long_table(&sheet.rows)),
        Block::caution(cautions::TRIPS_ARE_INDEPENDENT),
    ];
    if !sheet.reserves.is_empty() {
        blocks.push(Block::heading("With the feed lost at the largest load"));
        blocks.push(Block::Table(reserves_table(sheet, units)));
    }
    if let Some(fill) = &sheet.cold_fill {
        blocks.push(Block::heading("Cold-fill mark"));
        blocks.extend(cold_fill_blocks(fill, units));
    }
    if let Some(cool_down) = &sheet.cool_down {
        blocks.push(Block::heading("Cool-down"));
        blocks.extend(cool_down_blocks(cool_down, units));
    }
    blocks.push(Block::caution(cautions::empty_glass(described.vessel.kind)));
    blocks.push(Block::caution(cautions::WHO_DECIDES));
    blocks.extend(findings_in_short(&sheet.findings));
    Section {
        id: "signal-loss",
        title: "Loss of signal".into(),
        blocks,
    }
}

fn result_words(sheet: &SignalLossSheet) -> String {
    let shortest = sheet
        .rows
        .iter()
        .filter_map(|row| row.minutes.map(|minutes| (minutes, row)))
        .min_by(|left, right| left.0.total_cmp(&right.0));
    match shortest {
        Some((minutes, row)) => format!(
            "The shortest: {}: the vessel {}, {} from the set point to {}.",
            row.failure,
            wording::outcome(row.outcome),
            minutes_text(minutes),
            row.minutes_to
        ),
        None => "No failure runs into a trip that the loop file names.".into(),
    }
}

fn what_happens_table(rows: &[FailureRow]) -> Table {
    let columns = vec![
        Column::numbers("no."),
        Column::words("what fails"),
        Column::words("controller"),
        Column::words("valve"),
    ];
    let rows = rows
        .iter()
        .zip(1..)
        .map(|(row, count)| {
            vec![
                count.to_string(),
                row.failure.clone(),
                row.controller_does.clone(),
                row.valve_does.clone(),
            ]
        })
        .collect();
    Table::new("What happens", columns).with_rows(rows)
}

fn how_long_table(rows: &[FailureRow]) -> Table {
    let columns = vec![
        Column::numbers("no."),
        Column::words("vessel"),
        Column::numbers("minutes"),
        Column::words("from set point to"),
        Column::words("what catches it"),
    ];
    let rows = rows
        .iter()
        .zip(1..)
        .flat_map(|(row, count)| how_long_rows(row, count))
        .collect();
    Table::new("How long, at the worst duty, and what catches it", columns).with_rows(rows)
}

/// One line, or two where the level may go either way.
fn how_long_rows(row: &FailureRow, count: usize) -> Vec<Vec<String>> {
    let line = |vessel: &str, minutes: Option<f64>, to: &str| {
        vec![
            count.to_string(),
            vessel.to_owned(),
            minutes.map_or_else(|| "–".to_owned(), |minutes| number(minutes, 1)),
            to.to_owned(),
            row.caught_by.clone(),
        ]
    };
    match &row.both_ways {
        None => vec![line(
            wording::outcome(row.outcome),
            row.minutes,
            &row.minutes_to,
        )],
        Some(both) => vec![
            line("drifts: falling", both.falling_minutes, &both.falling_to),
            line("drifts: rising", both.rising_minutes, &both.rising_to),
        ],
    }
}

fn reserves_table(sheet: &SignalLossSheet, units: &DisplayUnits) -> Table {
    let columns = vec![
        Column::words("from"),
        Column::words("to"),
        Column::numbers(format!("water, {}", units.mass_unit())),
        Column::numbers("minutes"),
    ];
    let rows = sheet
        .reserves
        .iter()
        .map(|reserve| {
            vec![
                reserve.from.clone(),
                reserve.to.clone(),
                units.mass_number(reserve.mass_kg),
                number(reserve.minutes, 1),
            ]
        })
        .collect();
    Table::new("Reserve", columns).with_rows(rows)
}

fn cold_fill_blocks(fill: &ColdFill, units: &DisplayUnits) -> Vec<Block> {
    vec![
        Block::paragraph(format!(
            "Water swells as it heats: filled at {} to {} true level, the vessel stands at its set point when hot. Filled cold to the set point, it \
             would stand at {} true level hot.",
            units.temperature_text(fill.fill_k),
            units.level_text(fill.cold_level_m),
            units.level_text(fill.hot_level_m)
        )),
        Block::Values(vec![
            ValueRow::new(
                "cold-fill mark, true level",
                units.level_text(fill.cold_level_m),
            ),
            ValueRow::new("volume, hot over cold", number(fill.volume_ratio, 4)),
        ]),
    ]
}

fn cool_down_blocks(cool_down: &CoolDown, units: &DisplayUnits) -> Vec<Block> {
    let absolute = |pa: f64| units.pressure_absolute_text(AbsolutePressure::from_pa(pa));
    vec![
        Block::Values(vec![
            ValueRow::new(
                "shut, at the lowest ambient",
                absolute(cool_down.pressure_pa),
            ),
            ValueRow::new("cell's vacuum limit", absolute(cool_down.cell_limit_pa)),
        ]),
        Block::paragraph(if cool_down.exceeds {
            "A vessel left shut to cool pulls a vacuum below what the cell may see: it can damage the cell, draw feed through a leaking valve and flash \
             the leg. Fit a vacuum breaker, or take the cell out of service before cooling down, in the order of its manifold."
        } else if cool_down.pressure_pa < cool_down.cell_limit_pa {
            "Shut and without a breaker the vessel would pull below what the cell may see: the vacuum breaker holds it near the atmosphere. Prove the \
             breaker before each cool-down; should it stick, the cell is beyond its limit."
        } else if cool_down.vacuum_breaker {
            "Even shut, cooling down would not take the cell below its vacuum limit; the vacuum breaker holds the vessel near the atmosphere."
        } else {
            "Cooling down does not take the cell below its vacuum limit."
        }),
    ]
}
