//! Compensation of the level for pressure, as tables.

use halfglass_core::measurement::sheets::{CompensationTable, ErrorMapSheet};

use crate::block::{Block, Column, Table};
use crate::units::{DisplayUnits, significant};

/// Pressures in the direct table: it is for a look, the device gets gain and offset.
const DIRECT_PRESSURES: usize = 5;

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
    blocks.push(Block::Table(level_table(table, units)));
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

/// At most so many of a list's places, both ends among them, evenly spread.
fn spread_places(count: usize, at_most: usize) -> Vec<usize> {
    if count <= at_most || at_most < 2 {
        return (0..count).collect();
    }
    let steps = at_most - 1;
    (0..at_most)
        .map(|step| (step * (count - 1) + steps / 2) / steps)
        .collect()
}

fn level_table(table: &CompensationTable, units: &DisplayUnits) -> Table {
    let places = spread_places(table.points.len(), DIRECT_PRESSURES);
    let columns = std::iter::once(Column::numbers(format!(
        "differential, {}",
        units.differential_unit()
    )))
    .chain(places.iter().filter_map(|place| {
        let (pressure, ..) = table.points.get(*place)?;
        Some(Column::numbers(units.pressure_gauge_text(*pressure)))
    }))
    .collect();
    let rows = table
        .rows
        .iter()
        .map(|(differential_pa, levels)| {
            let cells = places.iter().map(|place| {
                levels
                    .get(*place)
                    .map_or_else(String::new, |level| units.level_number(level.m()))
            });
            std::iter::once(units.differential_number(*differential_pa))
                .chain(cells)
                .collect()
        })
        .collect();
    Table::new(
        format!(
            "True level, {}, by differential (down) and pressure (across){}",
            units.level_unit(),
            if places.len() < table.points.len() {
                "; between these pressures use gain and offset"
            } else {
                ""
            }
        ),
        columns,
    )
    .with_rows(rows)
}

#[cfg(test)]
mod tests {
    use super::spread_places;

    #[test]
    fn property_spread_places_keep_both_ends_and_run_upwards() {
        assert_eq!(spread_places(3, 5), [0, 1, 2]);
        assert_eq!(spread_places(5, 5), [0, 1, 2, 3, 4]);
        assert_eq!(spread_places(16, 5), [0, 4, 8, 11, 15]);
        for count in 6..40 {
            let places = spread_places(count, 5);
            assert_eq!((places.len(), places[0], places[4]), (5, 0, count - 1));
            assert!(places.windows(2).all(|pair| pair[0] < pair[1]));
        }
    }
}
