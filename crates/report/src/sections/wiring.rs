//! The current loop: burden, volts, conductors, the actuator's power, and every wire from point to point.

use halfglass_core::description::Loop;
use halfglass_core::description::wiring::Conductor;
use halfglass_core::design::Sheets;
use halfglass_core::wiring::sheets::{ActuatorPower, SignalLoop, WiringSheet};

use super::{findings_in_short, not_made, sentence};
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, keyed_number, number, ohm_text, percent_text, volt_text};
use crate::wording::as_printed;

/// What stands where the user has typed no mark.
pub(super) const TO_FILL_IN: &str = "to be filled in";

/// What would have to be known of output and power of the actuator, the output first.
const OUTPUT_AND_POWER: [&str; 8] = [
    "output: terminals, both ends",
    "output: cable, conductor, length",
    "output: load, and most it drives",
    "power: voltage, a.c. or d.c.",
    "power: load running, starting",
    "power: cable, conductor, length",
    "power: fuse, where it is isolated",
    "power: terminals, protective earth",
];
/// How many of them are the output's.
const OUTPUT_ROWS: usize = 3;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let title = "Wiring".to_owned();
    let Some(sheet) = &sheets.wiring else {
        return not_made(
            "wiring",
            title,
            "the loop file describes no wires, so neither the volts at the cell nor the longest run are known. Add the supply's lowest and highest \
             voltage, the least voltage that the cell works at, the receivers with their resistances and the cable (conductor, length, temperature); \
             then barrier, output to the actuator and the actuator's power where there are any. Marks of terminals are yours to type.",
        );
    };
    let mut blocks = vec![
        Block::paragraph(opening(&sheet.signal)),
        Block::figure(
            FigureId::LoopDrawing,
            "Loop drawing",
            "Instruments in bubbles with the loop's tag, from the field to the panel: cell, cable with its shield earthed at one end, barrier, receivers, \
             supply, controller, output to the actuator and the actuator's power, every terminal with its own mark or a blank.",
        ),
        Block::heading("Burden"),
        Block::Values(burden(&sheet.signal, units)),
        Block::Table(volts(&sheet.signal)),
    ];
    if !sheet.conductors.is_empty() {
        blocks.push(Block::Table(conductors(sheet, units)));
    }
    if let Some(output) = sheet.output {
        blocks.push(Block::heading("Output to the actuator"));
        blocks.push(Block::Values(vec![
            ValueRow::new("load", ohm_text(output.load_ohm)),
            ValueRow::new("most that the output drives", ohm_text(output.largest_ohm)),
        ]));
    }
    if let Some(power) = &sheet.actuator {
        blocks.push(Block::heading("Power of the actuator"));
        blocks.push(Block::Values(power_rows(power, units)));
        blocks.push(Block::paragraph(sentence(&power.words)));
    }
    blocks.extend(not_surveyed(described));
    blocks.push(Block::heading("Point to point"));
    blocks.push(Block::Table(connections(sheet)));
    let remarks: Vec<Vec<String>> = sheet
        .connections
        .iter()
        .filter(|wire| !wire.remark.is_empty())
        .map(|wire| vec![wire.number.to_string(), as_printed(&wire.remark)])
        .collect();
    if !remarks.is_empty() {
        blocks.push(Block::Table(
            Table::new(
                "Remarks",
                vec![Column::numbers("wire"), Column::words("remark")],
            )
            .with_rows(remarks),
        ));
    }
    if !sheet.earth_words.is_empty() {
        blocks.push(Block::heading("Earth and isolation"));
        blocks.push(Block::Steps(
            sheet
                .earth_words
                .iter()
                .map(|line| sentence(line))
                .collect(),
        ));
    }
    blocks.extend(findings_in_short(&sheet.findings));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.push(Block::caution(cautions::WIRES));
    Section {
        id: "wiring",
        title,
        blocks,
    }
}

/// Blank rows for what the survey says nothing of: output and power of the actuator.
fn not_surveyed(described: &Loop) -> Vec<Block> {
    let Some(wires) = &described.wiring else {
        return Vec::new();
    };
    let (what, labels): (_, &[&str]) = match (&wires.output, &wires.actuator_supply) {
        (Some(_), Some(_)) => return Vec::new(),
        (None, None) => ("output and actuator power", &OUTPUT_AND_POWER),
        (None, Some(_)) => ("output", &OUTPUT_AND_POWER[..OUTPUT_ROWS]),
        (Some(_), None) => ("actuator power", &OUTPUT_AND_POWER[OUTPUT_ROWS..]),
    };
    vec![
        Block::heading(format!("{what}: not surveyed")),
        Block::Values(
            labels
                .iter()
                .map(|label| ValueRow::new(*label, TO_FILL_IN))
                .collect(),
        ),
    ]
}

fn opening(signal: &SignalLoop) -> String {
    let least = signal
        .volts
        .iter()
        .min_by(|a, b| a.margin_v.total_cmp(&b.margin_v));
    let volts = least.map_or_else(String::new, |point| {
        format!(
            " At {} mA ({}) the cell has {} at the lowest supply, {} {} than it needs.",
            number(point.current_ma, 2),
            point.what,
            volt_text(point.at_cell_v),
            volt_text(point.margin_v.abs()),
            if point.margin_v < 0.0 { "LESS" } else { "more" }
        )
    });
    let clip = signal.clip_current_ma.map_or_else(String::new, |ma| {
        format!(" The loop starves at {} mA and stays there.", number(ma, 2))
    });
    format!(
        "The cell drives {} of the {} that it can at the lowest supply and the highest current.{volts}{clip}",
        ohm_text(signal.burden_ohm),
        ohm_text(signal.burden_max_ohm),
    )
}

fn burden(signal: &SignalLoop, units: &DisplayUnits) -> Vec<ValueRow> {
    let mut rows = vec![
        ValueRow::noted(
            "wires, both",
            ohm_text(signal.wire_ohm),
            format!(
                "{}, {} at its highest temperature, {} one way",
                signal.conductor_words,
                units.conductor_text(signal.conductor_ohm_per_km),
                units.length_text(signal.run_m)
            ),
        ),
        ValueRow::new("receivers", ohm_text(signal.receivers_ohm)),
        ValueRow::new("barrier", ohm_text(signal.barrier_ohm)),
        ValueRow::new("burden", ohm_text(signal.burden_ohm)),
        ValueRow::new("burden at most", ohm_text(signal.burden_max_ohm)),
    ];
    if let Some(least) = signal.burden_least_ohm {
        rows.push(ValueRow::noted(
            "burden at least",
            ohm_text(least),
            "digital communication (HART) wants it",
        ));
    }
    rows.push(ValueRow::noted(
        "longest run one way",
        units.length_text(signal.longest_run_m),
        "with this conductor and these receivers",
    ));
    if let Some(ma) = signal.clip_current_ma {
        rows.push(ValueRow::noted(
            "starves at",
            format!("{} mA", number(ma, 2)),
            signal.clip_percent.map_or_else(String::new, |percent| {
                format!("the panel stays at {}", percent_text(percent))
            }),
        ));
    }
    rows
}

fn volts(signal: &SignalLoop) -> Table {
    Table::new(
        "Volts over the whole current range",
        vec![
            Column::numbers("current, mA"),
            Column::words("it is"),
            Column::numbers("lost, V"),
            Column::numbers("at the cell, lowest supply, V"),
            Column::numbers("highest supply, V"),
            Column::numbers("to spare, V"),
        ],
    )
    .with_rows(
        signal
            .volts
            .iter()
            .map(|point| {
                vec![
                    number(point.current_ma, 2),
                    point.what.to_owned(),
                    number(point.lost_v, 2),
                    number(point.at_cell_v, 2),
                    number(point.at_cell_highest_v, 2),
                    number(point.margin_v, 2),
                ]
            })
            .collect(),
    )
}

fn conductors(sheet: &WiringSheet, units: &DisplayUnits) -> Table {
    Table::new(
        "Other conductors at the same temperature",
        vec![
            Column::words("conductor"),
            Column::numbers(units.conductor(0.0).1),
            Column::numbers(format!("longest run one way, {}", units.length(0.0).1)),
        ],
    )
    .with_rows(
        sheet
            .conductors
            .iter()
            .map(|row| {
                vec![
                    row.name.clone(),
                    number(units.conductor(row.ohm_per_km).0, 2),
                    number(units.length(row.longest_run_m).0, 0),
                ]
            })
            .collect(),
    )
}

fn power_rows(power: &ActuatorPower, units: &DisplayUnits) -> Vec<ValueRow> {
    let both = |(running, starting): (f64, f64), decimals, unit: &str| {
        format!(
            "{} {unit} running, {} {unit} starting",
            number(running, decimals),
            number(starting, decimals)
        )
    };
    vec![
        ValueRow::new("wires, both", ohm_text(power.wire_ohm)),
        ValueRow::new("current", both(power.current_a, 2, "A")),
        ValueRow::new("volts at the actuator", both(power.at_terminals_v, 2, "V")),
        ValueRow::new("drop", both(power.drop_percent, 1, "%")),
        ValueRow::new(
            "longest run one way",
            units.length_text(power.longest_run_m),
        ),
        ValueRow::noted(
            "fuse",
            format!("{} A", keyed_number(power.fuse_a, 3)),
            if power.fuse_is_proposed {
                "proposed"
            } else {
                "fitted"
            },
        ),
    ]
}

fn connections(sheet: &WiringSheet) -> Table {
    let mark = |mark: &str| {
        if mark.is_empty() {
            "____".to_owned()
        } else {
            mark.to_owned()
        }
    };
    Table::new(
        "Every wire; ____: a terminal's own mark, to be filled in",
        vec![
            Column::numbers("wire"),
            Column::words("carries"),
            Column::words("from"),
            Column::words("mark"),
            Column::words("cable"),
            Column::words("to"),
            Column::words("mark"),
        ],
    )
    .with_rows(
        sheet
            .connections
            .iter()
            .map(|wire| {
                vec![
                    wire.number.to_string(),
                    as_printed(&wire.carries),
                    wire.from_device.clone(),
                    mark(&wire.from_terminal),
                    wire.cable.clone(),
                    wire.to_device.clone(),
                    mark(&wire.to_terminal),
                ]
            })
            .collect(),
    )
}

/// A conductor in words.
pub(crate) fn conductor_text(conductor: Conductor, units: &DisplayUnits) -> String {
    match conductor {
        Conductor::Awg { gauge, stranded } => format!(
            "{gauge} AWG {}",
            if stranded { "stranded" } else { "solid" }
        ),
        Conductor::Metric {
            area_mm2,
            flexible,
            tinned,
        } => format!(
            "{} mm2 class {}{}",
            keyed_number(area_mm2, 3),
            if flexible { "5" } else { "2" },
            if tinned { ", tinned" } else { "" }
        ),
        Conductor::Stated { ohm_per_m } => units.conductor_text(1_000.0 * ohm_per_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn practice_what_is_not_surveyed_is_left_to_be_filled_in() {
        let (mut described, _) = fixture::full();
        assert!(not_surveyed(&described).is_empty());
        let mut rows_of = |output: bool, power: bool| {
            let (whole, _) = fixture::full();
            let (from, wires) = (whole.wiring.expect("wired"), &mut described.wiring);
            let wires = wires.as_mut().expect("wired");
            wires.output = from.output.filter(|_| output);
            wires.actuator_supply = from.actuator_supply.filter(|_| power);
            match &not_surveyed(&described)[..] {
                [Block::Heading(head), Block::Values(rows)] => {
                    assert!(rows.iter().all(|row| row.value == TO_FILL_IN));
                    (head.clone(), rows.len())
                }
                other => panic!("{other:?}"),
            }
        };
        let both = rows_of(false, false);
        assert_eq!(both.0, "output and actuator power: not surveyed");
        let (output, power) = (rows_of(false, true), rows_of(true, false));
        assert_eq!(output.0, "output: not surveyed");
        assert_eq!(power.0, "actuator power: not surveyed");
        assert_eq!(output.1 + power.1, both.1);
    }
}
