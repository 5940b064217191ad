//! Actuator, leakage, stroke, minimum flow, returns and what stands around the valve.

use halfglass_core::description::Loop;
use halfglass_core::feedwater::sheets::{ActuatorSheet, FeedwaterSheet, LeakageSheet};

use super::super::sentence;
use crate::block::{Block, Column, Table, ValueRow};
use crate::units::{DisplayUnits, minutes_text, number, percent_text, seconds_text};
use crate::wording::{as_printed, yes_no};

pub(super) fn blocks(described: &Loop, sheet: &FeedwaterSheet, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading("Actuator against the drop"),
        Block::Values(actuator(&sheet.actuator, units)),
        words(&sheet.actuator.words),
        Block::heading("Stroke time and deadband"),
        Block::Values(vec![
            ValueRow::new("full stroke", seconds_text(sheet.stroke.stroke_time_s)),
            ValueRow::noted(
                "true level lost while it travels",
                units.small_length_text(sheet.stroke.level_lost_m),
                format!(
                    "for a load change of {}; {} of the deviation allowed, whatever the tuning",
                    percent_text(100.0 * described.limits.largest_load_change_ratio),
                    percent_text(100.0 * sheet.stroke.share_of_allowed_ratio)
                ),
            ),
            ValueRow::noted(
                "true level swing by deadband",
                units.small_length_text(sheet.stroke.deadband_level_m),
                "peak to peak; no tuning removes it",
            ),
        ]),
        words(&sheet.stroke.words),
    ];
    if let Some(leakage) = &sheet.leakage {
        blocks.push(Block::heading("Leakage of the shut valve"));
        blocks.push(Block::Values(leakage_rows(leakage, units)));
        blocks.push(words(&leakage.words));
    }
    if let Some(minimum) = &sheet.minimum_flow {
        blocks.push(Block::heading("Minimum flow of the pump"));
        blocks.push(Block::Values(vec![
            ValueRow::new(
                "smallest flow of each pump",
                units.volume_flow_text(minimum.minimum_flow_m3_s),
            ),
            ValueRow::new(
                "duties below it",
                if minimum.duties_below.is_empty() {
                    "none".to_owned()
                } else {
                    minimum.duties_below.join(", ")
                },
            ),
            ValueRow::new("covered", yes_no(minimum.covered)),
        ]));
        blocks.push(words(&minimum.words));
    }
    if !sheet.returns.is_empty() {
        blocks.push(Block::heading("Returns beside the make-up"));
        blocks.push(Block::Table(
            Table::new(
                "Returns",
                vec![
                    Column::words("return"),
                    Column::numbers("flashes, %"),
                    Column::words("in words"),
                ],
            )
            .with_rows(
                sheet
                    .returns
                    .iter()
                    .map(|row| {
                        vec![
                            row.name.clone(),
                            number(100.0 * row.flash_steam_ratio, 1),
                            as_printed(&row.words),
                        ]
                    })
                    .collect(),
            ),
        ));
    }
    if !sheet.station_words.is_empty() {
        blocks.push(Block::heading("Around the valve"));
        blocks.push(Block::Steps(
            sheet
                .station_words
                .iter()
                .map(|line| sentence(line))
                .collect(),
        ));
    }
    blocks
}

fn words(text: &str) -> Block {
    Block::paragraph(sentence(text))
}

fn actuator(sheet: &ActuatorSheet, units: &DisplayUnits) -> Vec<ValueRow> {
    let drop = ValueRow::new(
        "drop to shut against",
        units.drop_text(sheet.shut_off_drop_pa),
    );
    let margin = ValueRow::noted(
        "rated over needed",
        format!("{} (ratio)", number(sheet.margin_ratio, 2)),
        if sheet.enough {
            "enough with the usual margin"
        } else {
            "NOT enough"
        },
    );
    if sheet.is_torque {
        return vec![
            drop,
            ValueRow::new("torque to break away", units.torque_text(sheet.from_drop)),
            ValueRow::new("torque needed", units.torque_text(sheet.required)),
            ValueRow::new("torque rated", units.torque_text(sheet.rated)),
            margin,
        ];
    }
    vec![
        drop,
        ValueRow::new("force of the drop", units.force_text(sheet.from_drop)),
        ValueRow::new(
            "packing friction",
            units.force_text(sheet.packing_friction_n),
        ),
        ValueRow::new(
            "seat load of its class",
            units.force_text(sheet.seat_load_n),
        ),
        ValueRow::new("force needed", units.force_text(sheet.required)),
        ValueRow::new("force rated", units.force_text(sheet.rated)),
        margin,
    ]
}

fn leakage_rows(sheet: &LeakageSheet, units: &DisplayUnits) -> Vec<ValueRow> {
    let per_day_m = sheet.rise_m_s * 86_400.0;
    vec![
        ValueRow::noted(
            "leakage allowed when new",
            {
                let (value, unit) = units.flow(sheet.leakage_kg_s);
                format!("{} {unit}", crate::units::significant(value, 3))
            },
            sheet.clause,
        ),
        ValueRow::noted(
            "rise of the true level",
            format!("{} a day", units.small_length_text(per_day_m)),
            "with nothing leaving",
        ),
        ValueRow::new(
            format!("to {}", sheet.high_mark),
            sheet.minutes_to_high.map_or_else(
                || "never".to_owned(),
                |minutes| {
                    if minutes.abs() < 600.0 {
                        minutes_text(minutes)
                    } else {
                        format!("{} h", number(minutes / 60.0, 0))
                    }
                },
            ),
        ),
    ]
}
