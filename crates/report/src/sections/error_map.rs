//! What the panel and the glass say at other pressures and leg temperatures than the range was made for.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::sheets::{Condition, ErrorMapSheet, ErrorPoint};

use super::{compensation, findings_in_short};
use crate::block::{Block, Column, FigureId, Section, Table};
use crate::cautions;
use crate::units::{DisplayUnits, number, percent_text, signed_number};
use crate::wording;

/// Conditions in one table, so that it fits a terminal.
const CONDITIONS_A_TABLE: usize = 5;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let map = &sheets.error_map;
    let mut blocks = vec![
        Block::paragraph(format!(
            "What the panel says, with the range to set, when pressure or leg temperature is not the one it was made for. {}",
            result_words(described, map, units)
        )),
        Block::paragraph(wording::polarity_sentence(described, map.range, units)),
        Block::Table(conditions_table(described, map, units)),
    ];
    if described.vessel.kind.holds_steam() {
        blocks.push(Block::paragraph(start_up_legs_words(described, units)));
    }
    if !map.curves.is_empty() {
        blocks.push(Block::figure(
            FigureId::ErrorMap,
            "Indicated minus true level over pressure, water boiling; the cold start-up points apart",
            chart_words(map, units),
        ));
    }
    for conditions in map.conditions.chunks(CONDITIONS_A_TABLE) {
        blocks.extend(condition_tables(described, map, conditions, units));
    }
    blocks.push(Block::paragraph(
        "A star marks a signal at the cell's saturation limit: the panel stays there however far the water goes on.",
    ));
    if !map.leg_rows.is_empty() {
        blocks.push(Block::heading("Leg temperature"));
        blocks.push(Block::Table(leg_table(described, map, units)));
    }
    blocks.extend(compensation::blocks(map, units));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.extend(findings_in_short(&map.findings));
    Section {
        id: "error-map",
        title: "Error map".into(),
        blocks,
    }
}

/// What the start-up condition assumes of the legs.
fn start_up_legs_words(described: &Loop, units: &DisplayUnits) -> String {
    let site = &described.site;
    format!(
        "Assumed for start-up: both legs at {}, the mean of the lowest and the highest ambient temperature ({} and {}), or at their \
         surveyed temperature where that is lower. Legs that are colder read lower, warmer ones higher: measure them before a cold \
         reading is judged.",
        units.temperature_text(0.5 * (site.ambient_lowest_k + site.ambient_highest_k)),
        units.temperature_text(site.ambient_lowest_k),
        units.temperature_text(site.ambient_highest_k),
    )
}

fn error_m(point: &ErrorPoint) -> f64 {
    point.indicated.m() - point.true_level.m()
}

fn result_words(described: &Loop, map: &ErrorMapSheet, units: &DisplayUnits) -> String {
    let span = described.range.span;
    let worst = map
        .points
        .iter()
        .max_by(|left, right| error_m(left).abs().total_cmp(&error_m(right).abs()));
    let Some(point) = worst else {
        return "No condition was named.".into();
    };
    let glass = match (&described.glass, point.glass) {
        (None, _) => String::new(),
        (Some(_), Some(level)) => {
            format!(", and the glass stands at {}", units.level_text(level.m()))
        }
        (Some(_), None) => ", and the glass cannot show it".into(),
    };
    format!(
        "The largest error over the named conditions is at {} ({}): the panel says {}{} while the vessel holds {} ({} true level){glass}.",
        point.condition.name,
        if described.vessel.kind.holds_steam() {
            units.pressure_gauge_text(point.condition.pressure)
        } else {
            format!(
                "water at {}",
                units.temperature_text(point.condition.water_k)
            )
        },
        percent_text(point.indicated.percent(span)),
        if point.clipped { " (saturated)" } else { "" },
        percent_text(point.true_level.percent(span)),
        units.level_text(point.true_level.m()),
    )
}

fn conditions_table(described: &Loop, map: &ErrorMapSheet, units: &DisplayUnits) -> Table {
    let temperature = units.temperature_unit();
    let holds_steam = described.vessel.kind.holds_steam();
    let mut columns = vec![Column::words("condition")];
    if holds_steam {
        columns.push(Column::numbers(format!(
            "pressure, {}",
            units.pressure_gauge_unit()
        )));
    }
    columns.push(Column::numbers(format!("water, {temperature}")));
    columns.push(Column::numbers(format!(
        "{}, {temperature}",
        wording::leg_of_temperature(&described.reference_leg)
    )));
    let rows = map
        .conditions
        .iter()
        .map(|condition| {
            let mut row = vec![condition.name.clone()];
            if holds_steam {
                row.push(units.pressure_gauge_number(condition.pressure));
            }
            row.push(units.temperature_number(condition.water_k));
            row.push(units.temperature_number(condition.reference_leg_k));
            row
        })
        .collect();
    Table::new("Conditions", columns).with_rows(rows)
}

fn condition_tables(
    described: &Loop,
    map: &ErrorMapSheet,
    conditions: &[Condition],
    units: &DisplayUnits,
) -> Vec<Block> {
    let span = described.range.span;
    let unit = units.level_unit();
    let mut blocks = vec![
        Block::Table(grid(
            map,
            conditions,
            ("Panel (indicated level), % of span", "true level, %"),
            |point| number(point.true_level.percent(span), 0),
            |point| {
                format!(
                    "{}{}",
                    number(point.indicated.percent(span), 1),
                    if point.clipped { "*" } else { "" }
                )
            },
        )),
        Block::Table(grid(
            map,
            conditions,
            (
                &format!(
                    "Error: indicated minus true level, {unit}; plus means that the panel reads high"
                ),
                &format!("true level, {unit}"),
            ),
            |point| units.level_number(point.true_level.m()),
            |point| units.level_difference_number(error_m(point)),
        )),
    ];
    if described.glass.is_some() {
        blocks.push(Block::Table(grid(
            map,
            conditions,
            (
                &format!("Glass level, {unit}; a dash where the glass cannot show it"),
                &format!("true level, {unit}"),
            ),
            |point| units.level_number(point.true_level.m()),
            |point| {
                point
                    .glass
                    .map_or_else(|| "–".to_owned(), |level| units.level_number(level.m()))
            },
        )));
    }
    blocks
}

/// True levels down, conditions across.
fn grid(
    map: &ErrorMapSheet,
    conditions: &[Condition],
    (caption, first_head): (&str, &str),
    row_head: impl Fn(&ErrorPoint) -> String,
    cell: impl Fn(&ErrorPoint) -> String,
) -> Table {
    let columns: Vec<Vec<&ErrorPoint>> = conditions
        .iter()
        .map(|condition| {
            map.points
                .iter()
                .filter(|point| point.condition == *condition)
                .collect()
        })
        .collect();
    let height = columns.iter().map(Vec::len).max().unwrap_or(0);
    let rows = (0..height)
        .map(|index| {
            let head = columns
                .iter()
                .find_map(|points| points.get(index))
                .map_or_else(String::new, |point| row_head(point));
            let cells = columns.iter().map(|points| {
                points
                    .get(index)
                    .map_or_else(String::new, |point| cell(point))
            });
            std::iter::once(head).chain(cells).collect()
        })
        .collect();
    let heads = std::iter::once(Column::numbers(first_head))
        .chain(
            conditions
                .iter()
                .map(|condition| Column::numbers(condition.name.clone())),
        )
        .collect();
    Table::new(caption, heads).with_rows(rows)
}

fn leg_table(described: &Loop, map: &ErrorMapSheet, units: &DisplayUnits) -> Table {
    let columns = vec![
        Column::numbers(format!(
            "{}, {}",
            wording::leg_of_temperature(&described.reference_leg),
            units.temperature_unit()
        )),
        Column::numbers("at 0 % true level"),
        Column::numbers("at 50 % true level"),
        Column::numbers("at 100 % true level"),
    ];
    let rows = map
        .leg_rows
        .iter()
        .map(|(leg_k, errors_percent)| {
            std::iter::once(units.temperature_number(*leg_k))
                .chain(errors_percent.iter().map(|error| signed_number(*error, 2)))
                .collect()
        })
        .collect();
    Table::new(
        format!(
            "Error against leg temperature at {}: indicated minus true, % of span",
            described.vessel.kind.normal_state()
        ),
        columns,
    )
    .with_rows(rows)
}

fn chart_words(map: &ErrorMapSheet, units: &DisplayUnits) -> String {
    map.curves
        .iter()
        .filter_map(|curve| {
            let (first, last) = (curve.points.first()?, curve.points.last()?);
            let error = |unclipped| {
                let (error, is_pegged) = map.panel_ends.error_percent(curve.true_percent, unclipped);
                let pegged = if is_pegged { " (pegged)" } else { "" };
                (signed_number(error, 1), pegged)
            };
            let ((first_error, first_pegged), (last_error, last_pegged)) =
                (error(first.1), error(last.1));
            Some(format!(
                "At {} true level the error runs from {first_error} % of span{first_pegged} at {} to {last_error} %{last_pegged} at {}",
                percent_text(curve.true_percent),
                units.pressure_gauge_text(first.0),
                units.pressure_gauge_text(last.0)
            ))
        })
        .collect::<Vec<_>>()
        .join("; ")
}
