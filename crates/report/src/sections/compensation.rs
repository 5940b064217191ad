//! Compensation of the level for pressure, as tables.

use halfglass_core::measurement::sheets::{CompensationTable, ErrorMapSheet};

use crate::block::{Block, Column, Table};
use crate::units::{DisplayUnits, significant};

/// Pressures in one table, so that it fits a terminal.
const PRESSURES_A_TABLE: usize = 5;

pub(super) fn blocks(map: &ErrorMapSheet, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![Block::heading("Compensation for pressure")];
    let Some(table) = &map.compensation else {
        blocks.push(Block::paragraph(
            "The vessel has no pressure to compensate for.",
        ));
        return blocks;
    };
    blocks.push(Block::paragraph(format!(
        "A controller that also reads the vessel's pressure can make the true level from the differential: level = gain × \
         differential + offset, gain and offset interpolated over pressure. With the {} points below the largest error between \
         them is {} of true level, leg temperature as surveyed. Whether the controller can do it, its maker's manual says.",
        table.points.len(),
        units.small_length_text(table.worst_error_m)
    )));
    blocks.push(Block::Table(gain_table(table, units)));
    blocks.extend(level_tables(table, units).into_iter().map(Block::Table));
    blocks
}

fn gain_table(table: &CompensationTable, units: &DisplayUnits) -> Table {
    let level = units.level_unit();
    let differential = units.differential_unit();
    let one = units.differential(1.0).0;
    let columns = vec![
        Column::numbers(format!("pressure, {}", units.pressure_gauge_unit())),
        Column::numbers(format!("gain, {level} per {differential}")),
        Column::numbers(format!("offset, {level}")),
    ];
    let rows = table
        .points
        .iter()
        .map(|(pressure, gain_m_per_pa, offset_m)| {
            vec![
                units.pressure_gauge_number(*pressure),
                significant(units.level(*gain_m_per_pa).0 / one, 6),
                significant(units.level(*offset_m).0, 6),
            ]
        })
        .collect();
    Table::new("True level from differential, by pressure", columns).with_rows(rows)
}

fn level_tables(table: &CompensationTable, units: &DisplayUnits) -> Vec<Table> {
    let pressures: Vec<_> = table.points.iter().map(|point| point.0).collect();
    pressures
        .chunks(PRESSURES_A_TABLE)
        .enumerate()
        .map(|(chunk, pressures)| {
            let columns = std::iter::once(Column::numbers(format!(
                "differential, {}",
                units.differential_unit()
            )))
            .chain(
                pressures
                    .iter()
                    .map(|pressure| Column::numbers(units.pressure_gauge_text(*pressure))),
            )
            .collect();
            let rows = table
                .rows
                .iter()
                .map(|(differential_pa, levels)| {
                    let levels = levels.iter().skip(chunk * PRESSURES_A_TABLE);
                    let mut cells = levels.map(|level| units.level_number(level.m()));
                    std::iter::once(units.differential_number(*differential_pa))
                        .chain(pressures.iter().map(|_| cells.next().unwrap_or_default()))
                        .collect()
                })
                .collect();
            Table::new(
                format!(
                    "True level, {}, by differential (down) and pressure (across)",
                    units.level_unit()
                ),
                columns,
            )
            .with_rows(rows)
        })
        .collect()
}
