//! What the system gives the valve at each duty, what the valve needs, and what the drop does to the water.

use halfglass_core::feedwater::sheets::{DutyFlow, FeedwaterSheet};
use halfglass_core::quantity::AbsolutePressure;

use super::{cavitation, regime};
use crate::block::{Block, Column, FigureId, Table};
use crate::units::{DisplayUnits, number};
use crate::wording::as_printed;

/// What stands where a value does not apply.
const NONE: &str = "\u{2013}";

pub(super) fn blocks(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading("Duty points"),
        Block::paragraph(format!(
            "The supply is {}. What it gives less lift, friction and vessel pressure is left for the valve.",
            sheet.supply_words
        )),
        Block::figure(
            FigureId::SupplyCurve,
            "Supply against system: the gap is the valve's drop",
            "Pressure against flow: the supply's curve falling, the system's curve rising, a vertical line between them at each duty, its length the \
             drop over the valve.",
        ),
        Block::Table(pressures(sheet, units)),
    ];
    blocks.extend(pumps(sheet, units).map(Block::Table));
    blocks.push(Block::Table(needs(sheet, units)));
    blocks.push(Block::Table(water(sheet, units)));
    let words: Vec<Vec<String>> = sheet
        .duties
        .iter()
        .filter(|duty| !duty.words.is_empty())
        .map(|duty| vec![duty.name.clone(), as_printed(&duty.words)])
        .collect();
    if !words.is_empty() {
        blocks.push(Block::Table(
            Table::new(
                "In words",
                vec![
                    Column::words("duty"),
                    Column::words("what happens in the valve"),
                ],
            )
            .with_rows(words),
        ));
    }
    blocks
}

fn table(
    sheet: &FeedwaterSheet,
    caption: &str,
    heads: Vec<Column>,
    cells: impl Fn(&DutyFlow) -> Vec<String>,
) -> Table {
    let columns = [vec![Column::words("duty")], heads].concat();
    let rows = sheet
        .duties
        .iter()
        .map(|duty| [vec![duty.name.clone()], cells(duty)].concat())
        .collect();
    Table::new(caption, columns).with_rows(rows)
}

fn optional(value: Option<f64>, text: impl Fn(f64) -> String) -> String {
    value.map_or_else(|| NONE.to_owned(), text)
}

fn pressures(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let (flow, gauge, drop) = (
        units.flow(0.0).1,
        units.pressure_gauge_unit(),
        units.drop(0.0).1,
    );
    table(
        sheet,
        "Pressures at the valve",
        vec![
            Column::numbers(format!("flow, {flow}")),
            Column::numbers(format!("before, {gauge}")),
            Column::numbers(format!("after, {gauge}")),
            Column::numbers(format!("drop, {drop}")),
            Column::numbers(format!("line friction, {drop}")),
            Column::numbers(format!("water, {}", units.temperature_unit())),
        ],
        |duty| {
            let gauge = |pa| units.pressure_gauge_number(AbsolutePressure::from_pa(pa));
            vec![
                units.flow_number(duty.flow_kg_s),
                gauge(duty.inlet_pressure_pa),
                gauge(duty.outlet_pressure_pa),
                units.drop_number(duty.pressure_drop_pa),
                units.drop_number(duty.friction_pa.0 + duty.friction_pa.1),
                units.temperature_number(duty.water_temperature_k),
            ]
        },
    )
}

/// `None` with a header: no pump is known.
fn pumps(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Option<Table> {
    if sheet
        .duties
        .iter()
        .all(|duty| duty.pump_flow_m3_s.is_none())
    {
        return None;
    }
    let length = units.length(0.0).1;
    let has_speed = sheet
        .duties
        .iter()
        .any(|duty| duty.speed_with_valve_open_percent.is_some());
    let mut heads = vec![
        Column::numbers(format!("flow of each, {}", units.volume_flow(0.0).1)),
        Column::numbers(format!("head, {length}")),
        Column::numbers(format!("NPSH available, {length}")),
        Column::numbers(format!("NPSH required, {length}")),
    ];
    if has_speed {
        heads.push(Column::numbers("speed with the valve open, %"));
    }
    Some(table(sheet, "Pumps", heads, |duty| {
        let mut cells = vec![
            optional(duty.pump_flow_m3_s, |q| units.volume_flow_number(q)),
            optional(duty.pump_head_m, |m| units.head_number(m)),
            optional(duty.npsh_available_m, |m| units.head_number(m)),
            optional(duty.npsh_required_m, |m| units.head_number(m)),
        ];
        if has_speed {
            cells.push(optional(duty.speed_with_valve_open_percent, |p| {
                number(p, 0)
            }));
        }
        cells
    }))
}

fn needs(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let [first, second] = units.coefficient_heads();
    table(
        sheet,
        "What each duty needs, and where the chosen valve stands",
        vec![
            Column::numbers(format!("needs {first}")),
            Column::numbers(second),
            Column::words("flow is"),
            Column::numbers("travel, %"),
            Column::numbers("gain, ratio"),
            Column::numbers(format!("pipe after, {}", units.velocity(0.0).1)),
        ],
        |duty| {
            let [first, second] = units.coefficient_numbers(duty.kv_required_m3_h);
            vec![
                first,
                second,
                if duty.flashing {
                    "flashing".to_owned()
                } else {
                    regime(duty.regime).to_owned()
                },
                duty.travel_percent
                    .map_or_else(|| "past open".to_owned(), |percent| number(percent, 0)),
                optional(duty.installed_gain_ratio, |gain| number(gain, 2)),
                units.velocity_number(duty.outlet_velocity_m_s),
            ]
        },
    )
}

fn water(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    table(
        sheet,
        "What the drop does to the water",
        vec![
            Column::words("cavitation"),
            Column::numbers("xF, ratio"),
            Column::numbers("xFz, ratio"),
            Column::numbers("sigma, ratio"),
            Column::numbers(format!("chokes at, {}", units.drop(0.0).1)),
            Column::numbers("noise at 1 m, dB(A)"),
        ],
        |duty| {
            vec![
                cavitation(duty.cavitation).to_owned(),
                number(duty.pressure_ratio, 2),
                number(duty.incipient_pressure_ratio, 2),
                optional(duty.sigma, |sigma| number(sigma, 2)),
                units.drop_number(duty.choked_drop_pa),
                optional(duty.noise_dba, |level| number(level, 0)),
            ]
        },
    )
}
