//! The card for the boiler-house wall: what the glass says and what the vessel holds.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::sheets::GlassCardLine;

use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, number, percent_text};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let card = &sheets.error_map.glass_card;
    let mut blocks = match (&described.glass, card.is_empty()) {
        (Some(_), false) => card_blocks(described, sheets, units),
        _ => {
            let mut blocks = vec![
                Block::paragraph(
                    "For the wall: what the glass shows and what the vessel holds. The loop file names no gauge glass, so there is no card.",
                ),
                Block::paragraph(wording::polarity_in_short(described)),
            ];
            if described.vessel.kind.is_fired() {
                blocks.push(Block::paragraph(
                    "Nearly every code asks for at least one direct-reading glass on a boiler; local codes decide. If there is one, write it into the loop file.",
                ));
            }
            blocks
        }
    };
    if described.glass.is_some() {
        blocks.push(Block::caution(cautions::empty_glass(described.vessel.kind)));
        blocks.push(Block::caution(cautions::GLASS_NEVER_LICENSES));
    }
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.push(Block::caution(cautions::WHO_DECIDES));
    Section {
        id: "glass",
        title: "Glass card".into(),
        blocks,
    }
}

fn card_blocks(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<Block> {
    let map = &sheets.error_map;
    let mut rows = Vec::new();
    if let Some(k) = map.glass_water_k {
        rows.push(ValueRow::noted(
            "water in the glass, vessel normal",
            units.temperature_text(k),
            "a cooler glass reads lower still",
        ));
    }
    if let Some(glass) = &described.glass {
        rows.push(ValueRow::new(
            "lowest visible glass level",
            units.level_text(glass.visible_bottom_m),
        ));
        rows.push(ValueRow::new(
            "highest visible glass level",
            units.level_text(glass.visible_top_m),
        ));
    }
    vec![
        Block::paragraph(format!(
            "For the wall: what the glass shows and what the vessel holds. {}",
            result_words(described, &map.glass_card, units)
        )),
        Block::paragraph(wording::polarity_in_short(described)),
        Block::figure(
            FigureId::GlassCard,
            "Glass, vessel and panel side by side",
            format!(
                "Three columns on one ruler: where the water stands in the glass, in the vessel, and what the panel says, at {}; \
                 the numbers are those of the table, alarms and trips those of the level map.",
                described.vessel.kind.normal_state()
            ),
        ),
        Block::Table(card_table(described, &map.glass_card, units)),
        Block::Values(rows),
        Block::paragraph(format!(
            "The glass weighs its own cooler water: {} it stands lower than the vessel's level. Believe it only after its connections are proved \
             clear, the way its maker says.",
            if described.vessel.kind.holds_steam() {
                "on a hot vessel"
            } else {
                "beside hot water"
            },
        )),
    ]
}

fn result_words(described: &Loop, card: &[GlassCardLine], units: &DisplayUnits) -> String {
    let set_point_m = described.limits.set_point_m;
    let distance = |line: &GlassCardLine| (line.true_hot.m() - set_point_m).abs();
    let nearest = card
        .iter()
        .min_by(|left, right| distance(left).total_cmp(&distance(right)));
    nearest.map_or_else(String::new, |line| {
        format!(
            "Near the set point at {}: the glass stands at {}, the vessel holds {} true level, the panel says {}.",
            described.vessel.kind.normal_state(),
            units.level_text(line.glass.m()),
            units.level_text(line.true_hot.m()),
            percent_text(line.indicated_hot.percent(described.range.span))
        )
    })
}

fn card_table(described: &Loop, card: &[GlassCardLine], units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    let columns = vec![
        Column::numbers(format!("glass level, {unit}")),
        Column::numbers(format!("true level cold, {unit}")),
        Column::numbers(format!("true level hot, {unit}")),
        Column::numbers(format!("indicated level hot, {unit}")),
        Column::numbers("indicated level hot, %"),
    ];
    let rows = card
        .iter()
        .map(|line| {
            vec![
                units.level_number(line.glass.m()),
                units.level_number(line.true_cold.m()),
                units.level_number(line.true_hot.m()),
                units.level_number(line.indicated_hot.m()),
                number(line.indicated_hot.percent(described.range.span), 1),
            ]
        })
        .collect();
    let caption = if described.vessel.kind.holds_steam() {
        format!(
            "Glass, vessel, panel. Cold: start-up, {}. Hot: normal, {}",
            units.pressure_gauge_text(described.pressures.start_up),
            units.pressure_gauge_text(described.pressures.normal)
        )
    } else {
        format!(
            "Glass, vessel, panel. Cold: start-up, water at {}. Hot: at {}",
            units.temperature_text(described.pressures.start_up_water_k),
            described.vessel.kind.normal_state()
        )
    };
    Table::new(caption, columns).with_rows(rows)
}
