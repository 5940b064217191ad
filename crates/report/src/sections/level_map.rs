//! Every elevation on one ruler, in the three levels.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMark, MarkKind};
use halfglass_core::quantity::{GlassLevel, IndicatedLevel};

use super::findings_in_short;
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, number};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let map = &sheets.level_map;
    let mut blocks = vec![
        Block::paragraph(format!(
            "Every elevation on one ruler, from the centre of the lower tap, and what panel and glass say when the vessel's \
             water stands there. {}",
            set_point_words(described, sheets, units)
        )),
        Block::paragraph(wording::polarity_in_short(described)),
        Block::figure(
            FigureId::LevelMap,
            "Level map, to scale",
            format!(
                "The vessel from {} to {} with, from the top: {}",
                units.level_text(map.shell_bottom_m),
                units.level_text(map.shell_top_m),
                map.marks
                    .iter()
                    .map(|mark| format!("{} {}", mark.name, units.level_text(mark.true_level.m())))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
        ),
        Block::Table(marks_table(described, sheets, units, Water::Hot)),
        Block::Table(marks_table(described, sheets, units, Water::Cold)),
        Block::paragraph(
            "Blind: outside the taps the cell sees nothing move; the panel stays near 0 % or 100 % wherever the water is. Out of \
             sight: the water stands outside the visible length of the glass.",
        ),
    ];
    if map.separations.is_empty() {
        blocks.push(Block::paragraph("No two marks to be kept apart."));
    } else {
        blocks.push(Block::Table(separations_table(described, sheets, units)));
    }
    blocks.push(Block::Values(vec![
        ValueRow::new(
            "inside bottom of the shell",
            units.level_text(map.shell_bottom_m),
        ),
        ValueRow::new("inside top of the shell", units.level_text(map.shell_top_m)),
    ]));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.extend(findings_in_short(&map.findings));
    Section {
        id: "level-map",
        title: "Level map".into(),
        blocks,
    }
}

#[derive(Clone, Copy)]
enum Water {
    Hot,
    Cold,
}

impl Water {
    fn indicated(self, mark: &LevelMark) -> Option<IndicatedLevel> {
        match self {
            Water::Hot => mark.indicated_hot,
            Water::Cold => mark.indicated_cold,
        }
    }
    fn glass(self, mark: &LevelMark) -> Option<GlassLevel> {
        match self {
            Water::Hot => mark.glass_hot,
            Water::Cold => mark.glass_cold,
        }
    }
}

fn set_point_words(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let marks = &sheets.level_map.marks;
    let Some(mark) = marks.iter().find(|mark| mark.kind == MarkKind::SetPoint) else {
        return String::new();
    };
    let span = described.range.span;
    let panel = |level: Option<IndicatedLevel>| {
        level.map_or_else(
            || "nothing, it is blind there".to_owned(),
            |level| format!("{} %", number(level.percent(span), 1)),
        )
    };
    let glass = match (described.glass.is_some(), mark.glass_hot) {
        (false, _) => String::new(),
        (true, Some(level)) => format!(", and the glass stands at {}", units.level_text(level.m())),
        (true, None) => ", and the glass cannot show it".into(),
    };
    format!(
        "With the vessel's water at the set point, {} true level ({} %), the panel says {} at {}{glass}; cold at \
         start-up the panel says {}.",
        units.level_text(mark.true_level.m()),
        number(mark.true_level.percent(span), 1),
        panel(mark.indicated_hot),
        described.vessel.kind.normal_state(),
        panel(mark.indicated_cold),
    )
}

fn marks_table(described: &Loop, sheets: &Sheets, units: &DisplayUnits, water: Water) -> Table {
    let span = described.range.span;
    let unit = units.level_unit();
    let has_glass = described.glass.is_some();
    let caption = match water {
        Water::Hot if !described.vessel.kind.holds_steam() => {
            format!("Hot: at {}", described.vessel.kind.normal_state())
        }
        Water::Hot => format!(
            "Hot: at normal pressure, {}",
            units.pressure_gauge_text(described.pressures.normal)
        ),
        Water::Cold if !described.vessel.kind.holds_steam() => format!(
            "Cold: at start-up, water at {}",
            units.temperature_text(described.pressures.start_up_water_k)
        ),
        Water::Cold => format!(
            "Cold: at start-up, {}, water at {}",
            units.pressure_gauge_text(described.pressures.start_up),
            units.temperature_text(described.pressures.start_up_water_k)
        ),
    };
    let mut columns = vec![
        Column::words("mark"),
        Column::numbers(format!("true level, {unit}")),
        Column::numbers(format!("indicated level, {unit}")),
        Column::numbers("indicated level, %"),
    ];
    if has_glass {
        columns.push(Column::numbers(format!("glass level, {unit}")));
    }
    let rows = sheets
        .level_map
        .marks
        .iter()
        .map(|mark| {
            let blind = match mark.blind {
                Some(Blind::Above) => "blind above",
                Some(Blind::Below) => "blind below",
                None => "blind",
            };
            let indicated = water.indicated(mark);
            let mut row = vec![
                mark.name.clone(),
                units.level_number(mark.true_level.m()),
                indicated.map_or_else(|| blind.to_owned(), |level| units.level_number(level.m())),
                indicated.map_or_else(
                    || "blind".to_owned(),
                    |level| number(level.percent(span), 1),
                ),
            ];
            if has_glass {
                row.push(water.glass(mark).map_or_else(
                    || "out of sight".to_owned(),
                    |level| units.level_number(level.m()),
                ));
            }
            row
        })
        .collect();
    Table::new(caption, columns).with_rows(rows)
}

fn separations_table(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Table {
    let columns = vec![
        Column::words("upper mark"),
        Column::words("lower mark"),
        Column::numbers(format!("apart, {}", units.level_unit())),
        Column::words("enough"),
    ];
    let rows = sheets
        .level_map
        .separations
        .iter()
        .map(|row| {
            vec![
                row.upper.clone(),
                row.lower.clone(),
                units.level_number(row.distance_m),
                wording::yes_no(row.enough).to_owned(),
            ]
        })
        .collect();
    Table::new(
        format!(
            "Separations; at least {} is wanted",
            units.level_text(described.limits.smallest_separation_m)
        ),
        columns,
    )
    .with_rows(rows)
}
