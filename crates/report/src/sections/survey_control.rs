//! The survey's second half: valve, controller, limits, what was found, people.

use halfglass_core::controller::forms::PidForm;
use halfglass_core::description::Loop;

use super::instrument_rows;
use super::{survey_water_side, survey_wires};
use crate::block::{Block, Column, Table, ValueRow};
use crate::units::{DisplayUnits, number, percent_text, seconds_text, significant};
use crate::wording;

pub(super) fn blocks(described: &Loop, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading("Feedwater valve"),
        Block::Values(valve_rows(described, units)),
    ];
    if let Some(system) = &described.feed_system {
        blocks.extend(survey_water_side::blocks(system, units));
    }
    blocks.extend([
        Block::heading("Controller"),
        Block::Values(controller_rows(described)),
    ]);
    if let Some(wires) = &described.wiring {
        blocks.extend(survey_wires::wires(wires, units));
    }
    blocks.extend(survey_wires::uncertainties(&described.uncertainty, units));
    blocks.extend([
        Block::heading("Limits"),
        Block::Values(limit_rows(described, units)),
        Block::heading("As found"),
        Block::Values(as_found_rows(described, units)),
    ]);
    blocks.extend(people(described, units));
    blocks
}

fn valve_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let valve = &described.feedwater;
    vec![
        ValueRow::new("service", wording::valve_service(valve.service)),
        ValueRow::new(
            "rising output",
            if valve.rising_output_opens {
                "opens the valve"
            } else {
                "closes the valve"
            },
        ),
        ValueRow::noted(
            "flow with the valve open",
            units.flow_text(valve.full_valve_flow_kg_s),
            valve.full_valve_flow_source.clone(),
        ),
        ValueRow::new("full stroke", seconds_text(valve.stroke_time_s)),
        ValueRow::new(
            "deadband",
            format!("{} of travel", percent_text(valve.deadband_percent)),
        ),
        ValueRow::new(
            "resolution",
            format!("{} of travel", percent_text(valve.resolution_percent)),
        ),
        ValueRow::new(
            if described.vessel.kind.holds_steam() {
                "swell inverse time"
            } else {
                "inverse time"
            },
            seconds_text(valve.swell_time_s),
        ),
        ValueRow::new(
            "on loss of signal",
            wording::fail_position(valve.on_signal_loss),
        ),
        ValueRow::new(
            "on loss of power",
            wording::fail_position(valve.on_power_loss),
        ),
    ]
}

fn controller_rows(described: &Loop) -> Vec<ValueRow> {
    let controller = &described.controller;
    let mut rows = vec![ValueRow::new(
        "filter time",
        seconds_text(controller.filter_time_s),
    )];
    rows.extend(instrument_rows::controller(controller));
    rows.extend(
        controller
            .device_marks
            .iter()
            .map(|(term, mark)| ValueRow::new(format!("device's mark for {term}"), mark.clone())),
    );
    rows
}

fn limit_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let limits = &described.limits;
    let kind = described.vessel.kind;
    let span = described.range.span;
    let level = |m: f64| format!("{} true level", units.level_text(m));
    let optional = |label: &str, m: Option<f64>| {
        ValueRow::new(label, m.map_or_else(|| "none".to_owned(), level))
    };
    vec![
        ValueRow::noted(
            "0 % of the panel",
            units.level_text(span.at_0_percent_m),
            "its scale; the true level there is that of the range's test points",
        ),
        ValueRow::new(
            "100 % of the panel",
            units.level_text(span.at_100_percent_m),
        ),
        optional("high trip", limits.high_trip_m),
        optional("high alarm", limits.high_alarm_m),
        ValueRow::new("set point", level(limits.set_point_m)),
        optional("low alarm", limits.low_alarm_m),
        optional(kind.first_low_trip(), limits.low_cutoff_m),
        optional(kind.second_low_trip(), limits.second_low_cutoff_m),
        ValueRow::noted(
            "allowed deviation",
            level(limits.allowed_deviation_m),
            format!(
                "for a load change of {} of the largest duty",
                percent_text(100.0 * limits.largest_load_change_ratio)
            ),
        ),
        ValueRow::new(
            "smallest separation wanted",
            units.level_text(limits.smallest_separation_m),
        ),
    ]
}

fn as_found_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let Some(found) = &described.as_found else {
        return vec![ValueRow::new("range and settings", "not read")];
    };
    let mut rows = vec![ValueRow::new(
        "range",
        found.range_pa.map_or_else(
            || "not read".to_owned(),
            |(at_0_pa, at_100_pa)| {
                format!(
                    "{} at 0 %, {} at 100 %",
                    units.differential_text(at_0_pa),
                    units.differential_text(at_100_pa)
                )
            },
        ),
    )];
    let Some(settings) = found.settings else {
        rows.push(ValueRow::new("settings", "not read"));
        return rows;
    };
    let note = match described.controller.form {
        PidForm::Ideal => "in the ideal form",
        PidForm::Series => "in the series form",
        PidForm::Parallel => "in the parallel form, expressed by gain and times",
    };
    rows.push(ValueRow::noted(
        "gain",
        format!("{} %/%", significant(settings.gain_ratio, 4)),
        note,
    ));
    rows.push(ValueRow::new(
        "reset",
        settings.reset_s.map_or_else(
            || "none".to_owned(),
            |s| format!("{} s/repeat", significant(s, 4)),
        ),
    ));
    rows.push(ValueRow::new(
        "derivative",
        format!("{} s", number(settings.derivative_s, 1)),
    ));
    rows
}

fn people(described: &Loop, units: &DisplayUnits) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !described.people.is_empty() {
        let rows = described
            .people
            .iter()
            .map(|person| vec![person.role.clone(), person.name.clone()])
            .collect();
        let columns = vec![Column::words("role"), Column::words("name")];
        blocks.push(Block::Table(Table::new("People", columns).with_rows(rows)));
    }
    if !described.instruments.is_empty() {
        let rows = described
            .instruments
            .iter()
            .map(|instrument| {
                vec![
                    instrument.name.clone(),
                    instrument.serial.clone(),
                    instrument.due.clone(),
                    instrument.accuracy.map_or_else(
                        || "not stated".to_owned(),
                        |accuracy| units.accuracy_text(accuracy),
                    ),
                ]
            })
            .collect();
        let columns = vec![
            Column::words("instrument"),
            Column::words("serial or certificate"),
            Column::words("calibration due"),
            Column::words("accuracy"),
        ];
        blocks.push(Block::Table(
            Table::new("Test instruments", columns).with_rows(rows),
        ));
    }
    blocks
}
