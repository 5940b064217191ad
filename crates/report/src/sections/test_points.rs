//! What to push on the cell at the bench, and the same in every water column.

use halfglass_core::measurement::sheets::RangeSheet;
use halfglass_core::quantity::WaterColumn;

use crate::block::{Column, Table};
use crate::units::{DisplayUnits, number};
use crate::wording;

pub(super) fn points_table(sheet: &RangeSheet, units: &DisplayUnits) -> Table {
    let unit = units.differential_unit();
    let columns = vec![
        Column::numbers("panel, %"),
        Column::numbers(format!("true level at normal, {}", units.level_unit())),
        Column::numbers(format!("signed differential, {unit}")),
        Column::words("push on port"),
        Column::numbers(format!("set on calibrator, {unit}")),
        Column::numbers("current, mA"),
    ];
    let rows = sheet
        .test_points
        .iter()
        .map(|point| {
            vec![
                number(point.percent, 0),
                units.level_number(point.true_level.m()),
                units.differential_number(point.differential_pa),
                wording::port(point.port).to_owned(),
                units.differential_number(point.magnitude_pa),
                number(point.current_ma, 3),
            ]
        })
        .collect();
    Table::new(
        "Test points for the range to set: what the panel says, and the true level that it stands for at normal",
        columns,
    ).with_rows(rows)
}

pub(super) fn water_columns_table(sheet: &RangeSheet, units: &DisplayUnits) -> Table {
    let mut columns = vec![Column::numbers("panel, %"), Column::numbers("kPa")];
    columns.extend(WaterColumn::ALL.iter().map(|column| {
        let in_column = DisplayUnits {
            water_column: *column,
            ..*units
        };
        Column::numbers(in_column.water_column(0.0).1)
    }));
    let rows = sheet
        .test_points
        .iter()
        .map(|point| {
            let pa = point.differential_pa;
            let mut row = vec![number(point.percent, 0), number(pa / 1_000.0, 4)];
            row.extend(WaterColumn::ALL.iter().map(|column| {
                let in_column = DisplayUnits {
                    water_column: *column,
                    ..*units
                };
                number(in_column.water_column(pa).0, 2)
            }));
            row
        })
        .collect();
    Table::new(
        "The same signed differentials in each water column. They differ by up to 0.18 %: use the one that the calibrator is made for, \
         never a mixture",
        columns,
    )
    .with_rows(rows)
}
