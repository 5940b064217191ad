//! The survey's water side: supply, line, valve, actuator, station, returns.

use halfglass_core::description::feed_system::*;

use crate::block::{Block, Column, Table, ValueRow};
use crate::units::{DisplayUnits, keyed_number, number, percent_text};
use crate::wording;

pub(super) fn blocks(system: &FeedSystem, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![Block::heading("Supply of the water")];
    match &system.supply {
        Supply::Pump(pump) => {
            blocks.push(Block::Values(pump_rows(pump, units)));
            blocks.push(Block::Table(curve(pump, units)));
        }
        Supply::Header(header) => blocks.push(Block::Values(vec![
            ValueRow::new(
                "header, at no flow",
                units.pressure_gauge_text(header.pressure),
            ),
            ValueRow::new("loses with flow", drop_text(header.droop.as_ref(), units)),
        ])),
    }
    blocks.push(Block::heading("Line"));
    let line = &system.line;
    blocks.push(Block::Values(vec![
        ValueRow::new(
            "valve above the supply",
            units.head_text(line.valve_above_supply_m),
        ),
        ValueRow::new(
            "inlet above the supply",
            units.head_text(line.inlet_above_supply_m),
        ),
        ValueRow::new(
            "pipe before the valve, inside",
            units.small_length_text(line.pipe_before_valve_m),
        ),
        ValueRow::new(
            "pipe after the valve, inside",
            units.small_length_text(line.pipe_after_valve_m),
        ),
    ]));
    blocks.push(Block::Table(parts(line, units)));
    blocks.push(Block::heading("Valve and actuator"));
    blocks.push(Block::Values(valve_rows(system, units)));
    blocks.push(Block::Table(sizes(&system.valve, units)));
    blocks.push(Block::heading("Around the valve"));
    blocks.push(Block::Values(station_rows(&system.station, units)));
    if !system.returns.is_empty() {
        blocks.push(Block::Table(returns(system, units)));
    }
    blocks
}

fn drop_text(drop: Option<&ReferenceDrop>, units: &DisplayUnits) -> String {
    drop.map_or_else(
        || "none stated".to_owned(),
        |drop| {
            format!(
                "{} at {}",
                units.drop_text(drop.drop_pa),
                units.flow_text(drop.flow_kg_s)
            )
        },
    )
}

fn pump_rows(pump: &Pump, units: &DisplayUnits) -> Vec<ValueRow> {
    vec![
        ValueRow::new(
            "pumps",
            format!("{} running, {} standing by", pump.running, pump.standby),
        ),
        ValueRow::new(
            "on the water it draws from",
            units.pressure_absolute_text(pump.suction_surface),
        ),
        ValueRow::new(
            "that surface above the pump",
            units.head_text(pump.suction_surface_above_pump_m),
        ),
        ValueRow::new("suction line", drop_text(pump.suction_loss.as_ref(), units)),
        ValueRow::new(
            "minimum flow of each",
            pump.minimum_flow_m3_s
                .map_or_else(|| "not stated".to_owned(), |q| units.volume_flow_text(q)),
        ),
        ValueRow::new(
            "recirculation",
            match pump.recirculation {
                Recirculation::None => "none".to_owned(),
                Recirculation::Continuous { flow_m3_s } => {
                    format!("always {} a pump", units.volume_flow_text(flow_m3_s))
                }
                Recirculation::Automatic => "automatic, below the minimum flow".to_owned(),
            },
        ),
        ValueRow::new(
            "others draw meanwhile",
            units.flow_text(pump.other_flow_kg_s),
        ),
        ValueRow::new("speed can be varied", wording::yes_no(pump.variable_speed)),
    ]
}

fn curve(pump: &Pump, units: &DisplayUnits) -> Table {
    let length = units.length(0.0).1;
    Table::new(
        "Curve of one pump",
        vec![
            Column::numbers(format!("flow, {}", units.volume_flow(0.0).1)),
            Column::numbers(format!("head, {length}")),
            Column::numbers(format!("NPSH required, {length}")),
        ],
    )
    .with_rows(
        pump.curve
            .iter()
            .map(|point| {
                vec![
                    units.volume_flow_number(point.flow_m3_s),
                    units.head_number(point.head_m),
                    point
                        .npsh_required_m
                        .map_or_else(|| "\u{2013}".to_owned(), |m| units.head_number(m)),
                ]
            })
            .collect(),
    )
}

fn parts(line: &Line, units: &DisplayUnits) -> Table {
    Table::new(
        "Parts of the line",
        vec![
            Column::words("part"),
            Column::words("side"),
            Column::words("loss"),
            Column::words("shared"),
            Column::numbers(format!("heats by, {}", units.temperature_difference(0.0).1)),
        ],
    )
    .with_rows(
        line.parts
            .iter()
            .map(|part| {
                vec![
                    part.name.clone(),
                    match part.side {
                        ValveSide::Before => "before".to_owned(),
                        ValveSide::After => "after".to_owned(),
                    },
                    match &part.loss {
                        Loss::Reference(drop) => drop_text(Some(drop), units),
                        Loss::Pipe {
                            inside_diameter_m,
                            length_m,
                            roughness_m,
                            fittings_k,
                        } => format!(
                            "pipe {} inside, {} long, roughness {} mm, fittings K {}",
                            units.small_length_text(*inside_diameter_m),
                            units.head_text(*length_m),
                            keyed_number(1_000.0 * roughness_m, 3),
                            keyed_number(*fittings_k, 3)
                        ),
                    },
                    wording::yes_no(part.shared).to_owned(),
                    number(units.temperature_difference(part.temperature_rise_k).0, 1),
                ]
            })
            .collect(),
    )
}

fn valve_rows(system: &FeedSystem, units: &DisplayUnits) -> Vec<ValueRow> {
    let valve = &system.valve;
    let factor = |value: Option<f64>| {
        value.map_or_else(
            || "from the table of its style".to_owned(),
            |value| format!("{} (ratio), stated", number(value, 2)),
        )
    };
    let limit =
        |pa: Option<f64>| pa.map_or_else(|| "not stated".to_owned(), |pa| units.drop_text(pa));
    let mut rows = vec![
        ValueRow::new("body", wording::valve_style(valve.style)),
        ValueRow::new(
            "characteristic",
            wording::characteristic(&valve.characteristic),
        ),
        ValueRow::new("FL", factor(valve.recovery_factor)),
        ValueRow::new("Fd", factor(valve.style_modifier)),
        ValueRow::new("xFz", factor(valve.incipient_ratio)),
        ValueRow::new("most drop, throttling", limit(valve.throttling_limit_pa)),
        ValueRow::new("most drop, shut", limit(valve.shut_off_limit_pa)),
        ValueRow::new("seat leakage class", wording::leakage_class(valve.leakage)),
        ValueRow::new(
            "wall of the pipe after",
            units.small_length_text(valve.pipe_wall_m),
        ),
    ];
    rows.extend(match system.actuator {
        Actuator::Linear {
            rated_force_n,
            packing_friction_n,
            balanced,
            flow_opens,
        } => vec![
            ValueRow::new("actuator force", units.force_text(rated_force_n)),
            ValueRow::new("packing friction", units.force_text(packing_friction_n)),
            ValueRow::new("plug balanced", wording::yes_no(balanced)),
            ValueRow::new(
                "flow pushes the plug",
                if flow_opens { "open" } else { "shut" },
            ),
        ],
        Actuator::Rotary {
            rated_torque_n_m,
            breakaway_torque_n_m,
            running_torque_n_m,
        } => vec![
            ValueRow::new("actuator torque", units.torque_text(rated_torque_n_m)),
            ValueRow::new(
                "torque to break away",
                units.torque_text(breakaway_torque_n_m),
            ),
            ValueRow::new("torque throttling", units.torque_text(running_torque_n_m)),
        ],
    });
    rows
}

fn sizes(valve: &ControlValve, units: &DisplayUnits) -> Table {
    let [first, second] = units.coefficient_heads();
    let caption = match (&valve.fitted, valve.sizes_are_generic) {
        (Some(_), _) => "The valve that is fitted",
        (None, true) => "Sizes to choose from: a generic series, nobody's list",
        (None, false) => "Sizes to choose from",
    };
    let rows = valve
        .fitted
        .as_ref()
        .map_or(&valve.sizes[..], std::slice::from_ref);
    let unit = units.level_unit();
    Table::new(
        caption,
        vec![
            Column::words("size"),
            Column::numbers(first),
            Column::numbers(second),
            Column::numbers(format!("bore, {unit}")),
            Column::numbers(format!("seat, {unit}")),
        ],
    )
    .with_rows(
        rows.iter()
            .map(|size| {
                let [first, second] = units.coefficient_numbers(size.rated_kv_m3_h);
                let small = |m: f64| crate::units::keyed_number(units.level(m).0, 3);
                vec![
                    size.name.clone(),
                    first,
                    second,
                    small(size.bore_m),
                    size.seat_diameter_m
                        .map_or_else(|| "\u{2013}".to_owned(), small),
                ]
            })
            .collect(),
    )
}

fn station_rows(station: &Station, units: &DisplayUnits) -> Vec<ValueRow> {
    let mut rows = vec![
        ValueRow::new(
            "bypass",
            match station.bypass {
                Bypass::None => "none".to_owned(),
                Bypass::Hand { kv_m3_h: None } => "hand valve".to_owned(),
                Bypass::Hand {
                    kv_m3_h: Some(kv_m3_h),
                } => format!("hand valve, {}", units.coefficient_text(kv_m3_h)),
            },
        ),
        ValueRow::new(
            "isolating valves",
            wording::yes_no(station.isolating_valves),
        ),
        ValueRow::new(
            "replaces on/off control",
            wording::yes_no(station.replaces_on_off),
        ),
    ];
    rows.extend(
        station
            .interlocks_kept
            .iter()
            .map(|words| ValueRow::new("interlock that stays", words.clone())),
    );
    rows
}

fn returns(system: &FeedSystem, units: &DisplayUnits) -> Table {
    Table::new(
        "Returns beside the make-up",
        vec![
            Column::words("return"),
            Column::numbers("of the outflow"),
            Column::numbers(units.temperature_unit()),
            Column::numbers(units.pressure_gauge_unit()),
        ],
    )
    .with_rows(
        system
            .returns
            .iter()
            .map(|row| {
                vec![
                    row.name.clone(),
                    percent_text(100.0 * row.share_of_outflow),
                    units.temperature_number(row.temperature_k),
                    units.pressure_gauge_number(row.pressure),
                ]
            })
            .collect(),
    )
}
