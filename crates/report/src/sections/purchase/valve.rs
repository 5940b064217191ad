//! Data sheets of control valve and actuator.

use halfglass_core::description::Loop;
use halfglass_core::description::feed_system::Actuator;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::FeedwaterSheet;
use halfglass_core::quantity::AbsolutePressure;

use super::{blanks, field};
use crate::block::{Column, Table, ValueRow};
use crate::loop_tags::with_letters;
use crate::units::{DisplayUnits, keyed_number, number, percent_text, seconds_text};
use crate::wording;

pub(super) fn valve(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<ValueRow> {
    let system = described.feed_system.as_ref();
    let valve = system.map(|system| &system.valve);
    let sheet = sheets.feedwater.as_ref();
    let largest = |value: fn(&halfglass_core::feedwater::sheets::DutyFlow) -> f64| {
        sheet.and_then(|sheet| sheet.duties.iter().map(value).max_by(f64::total_cmp))
    };
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LV")),
        ValueRow::new("service", described.identity.service.clone()),
        ValueRow::new("fluid", "water"),
        field(
            "pipe, inside",
            system.map(|system| {
                format!(
                    "{} before, {} after",
                    units.small_length_text(system.line.pipe_before_valve_m),
                    units.small_length_text(system.line.pipe_after_valve_m)
                )
            }),
        ),
        field(
            "body",
            valve.map(|valve| wording::valve_style(valve.style).to_owned()),
        ),
        field("size", sheet.map(|sheet| sheet.chosen_name.clone())),
        field(
            "rated flow coefficient",
            sheet.map(|sheet| units.coefficient_text(sheet.chosen_kv_m3_h)),
        ),
        field(
            "characteristic",
            valve.map(|valve| wording::characteristic(&valve.characteristic)),
        ),
        field(
            "seat leakage",
            valve.map(|valve| {
                format!(
                    "class {} (IEC 60534-4)",
                    wording::leakage_class(valve.leakage)
                )
            }),
        ),
        field(
            "largest drop, throttling",
            largest(|duty| {
                if duty.flow_kg_s > 0.0 {
                    duty.pressure_drop_pa
                } else {
                    0.0
                }
            })
            .map(|pa| units.drop_text(pa)),
        ),
        field(
            "drop at shut-off",
            sheet.map(|sheet| units.drop_text(sheet.actuator.shut_off_drop_pa)),
        ),
        field(
            "highest temperature",
            largest(|duty| duty.water_temperature_k).map(|k| units.temperature_text(k)),
        ),
        field(
            "highest pressure before it",
            largest(|duty| duty.inlet_pressure_pa)
                .map(|pa| units.pressure_gauge_text(AbsolutePressure::from_pa(pa))),
        ),
    ];
    if let Some(sheet) = sheet {
        for factor in &sheet.factors {
            rows.push(ValueRow::noted(
                factor.symbol,
                number(factor.value, 2),
                factor.source,
            ));
        }
    }
    rows.extend(blanks([
        "rating and code",
        "end connections",
        "body, bonnet",
        "plug, seat, stem",
        "packing",
        "seat diameter, stroke",
        "strainer before it",
        "maker, type, serial number",
    ]));
    rows
}

/// Process data a duty a line, as a maker sizes from.
pub(super) fn process(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let [coefficient, _] = units.coefficient_heads();
    let gauge = units.pressure_gauge_unit();
    let column = Column::numbers;
    Table::new(
        "Process data of the control valve",
        vec![
            Column::words("duty"),
            column(format!("flow, {}", units.volume_flow(0.0).1).as_str()),
            column(format!("before, {gauge}").as_str()),
            column(format!("after, {gauge}").as_str()),
            column("vapour, bar(a)"),
            column("density, kg/m3"),
            column(format!("needs {coefficient}").as_str()),
            column("dB(A)"),
        ],
    )
    .with_rows(
        sheet
            .duties
            .iter()
            .map(|duty| {
                let gauge = |pa| units.pressure_gauge_number(AbsolutePressure::from_pa(pa));
                vec![
                    duty.name.clone(),
                    units.volume_flow_number(duty.flow_m3_s),
                    gauge(duty.inlet_pressure_pa),
                    gauge(duty.outlet_pressure_pa),
                    number(duty.vapour_pressure_pa / 1e5, 3),
                    number(duty.density_kg_m3, 1),
                    units.coefficient_numbers(duty.kv_required_m3_h)[0].clone(),
                    duty.noise_dba
                        .map_or_else(|| "\u{2013}".to_owned(), |level| number(level, 0)),
                ]
            })
            .collect(),
    )
}

pub(super) fn actuator(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<ValueRow> {
    let valve = &described.feedwater;
    let system = described.feed_system.as_ref();
    let sheet = sheets.feedwater.as_ref().map(|sheet| &sheet.actuator);
    let supply = described
        .wiring
        .as_ref()
        .and_then(|wires| wires.actuator_supply.as_ref());
    let effort = |value: f64, is_torque: bool| {
        if is_torque {
            units.torque_text(value)
        } else {
            units.force_text(value)
        }
    };
    let load = |value: f64, alternating: bool| {
        format!(
            "{} {}",
            keyed_number(value, 3),
            if alternating { "VA" } else { "W" }
        )
    };
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LY")),
        field(
            "moves",
            system.map(|system| {
                match system.actuator {
                    Actuator::Linear { .. } => "a stem",
                    Actuator::Rotary { .. } => "a shaft",
                }
                .to_owned()
            }),
        ),
        field(
            "needed to shut",
            sheet.map(|sheet| effort(sheet.required, sheet.is_torque)),
        ),
        field(
            "rated",
            sheet.map(|sheet| effort(sheet.rated, sheet.is_torque)),
        ),
        ValueRow::new("full stroke", seconds_text(valve.stroke_time_s)),
        ValueRow::new(
            "deadband, resolution",
            format!(
                "{}, {} of travel",
                percent_text(valve.deadband_percent),
                percent_text(valve.resolution_percent)
            ),
        ),
        ValueRow::new("signal", "4 to 20 mA"),
        ValueRow::new(
            "rising signal",
            if valve.rising_output_opens {
                "opens the valve"
            } else {
                "closes the valve"
            },
        ),
        ValueRow::new(
            "on loss of signal",
            wording::fail_position(valve.on_signal_loss),
        ),
        ValueRow::new(
            "on loss of power",
            wording::fail_position(valve.on_power_loss),
        ),
        field(
            "power",
            supply.map(|supply| {
                format!(
                    "{} V {}, works down to {} V",
                    keyed_number(supply.voltage_v, 4),
                    if supply.alternating { "a.c." } else { "d.c." },
                    keyed_number(supply.lowest_v, 4)
                )
            }),
        ),
        field(
            "load running, starting",
            supply.map(|supply| {
                format!(
                    "{}, {}",
                    load(supply.running_va, supply.alternating),
                    load(supply.inrush_va, supply.alternating)
                )
            }),
        ),
        field(
            "signal isolated from power",
            supply.map(|supply| wording::yes_no(supply.signal_isolated).to_owned()),
        ),
    ];
    rows.extend(blanks([
        "position feedback",
        "limit switches",
        "hand wheel",
        "enclosure, ambient rating",
        "mounting to the valve",
        "maker, type, serial number",
    ]));
    rows
}
