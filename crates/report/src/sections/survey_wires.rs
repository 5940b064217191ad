//! The survey's wires and uncertainties.

use halfglass_core::description::uncertainty::{UncertaintySource, UncertaintySurvey};
use halfglass_core::description::wiring::{BarrierKind, CableRun, Wiring};

use super::conductor_text;
use crate::block::{Block, Column, Table, ValueRow};
use crate::units::{DisplayUnits, keyed_number, number, ohm_text, significant, volt_text};
use crate::wording;

fn cable_text(cable: &CableRun, units: &DisplayUnits) -> String {
    let mark = if cable.mark.is_empty() {
        String::new()
    } else {
        format!("{}: ", cable.mark)
    };
    format!(
        "{mark}{}, {} one way, up to {}",
        conductor_text(cable.conductor, units),
        units.length_text(cable.length_m),
        units.temperature_text(cable.temperature_k)
    )
}

pub(super) fn wires(wires: &Wiring, units: &DisplayUnits) -> Vec<Block> {
    let mut rows = vec![
        ValueRow::noted(
            "supply",
            format!(
                "{} to {}",
                volt_text(wires.supply_lowest_v),
                volt_text(wires.supply_highest_v)
            ),
            if wires.powered_by_controller {
                "from the controller"
            } else {
                "a supply of its own"
            },
        ),
        ValueRow::new(
            "cell works between",
            format!(
                "{} and {}",
                volt_text(wires.cell_lift_off_v),
                volt_text(wires.cell_highest_v)
            ),
        ),
        ValueRow::new(
            "highest current",
            format!("{} mA", number(wires.highest_current_ma, 2)),
        ),
        ValueRow::new("cable to the cell", cable_text(&wires.cable, units)),
        ValueRow::new("shield earthed", wires.shield_earth.clone()),
        ValueRow::new(
            "digital communication (HART)",
            wording::yes_no(wires.digital),
        ),
    ];
    rows.extend(wires.receivers.iter().map(|receiver| {
        ValueRow::new(
            "receiver",
            format!("{}, {}", receiver.name, ohm_text(receiver.resistance_ohm)),
        )
    }));
    let kind = wires.barrier.as_ref().map(|barrier| barrier.kind);
    rows.push(ValueRow::new(
        match kind {
            Some(BarrierKind::Surge) => "surge protector",
            Some(BarrierKind::Isolator) => "isolator",
            Some(BarrierKind::Barrier) | None => "barrier",
        },
        wires.barrier.as_ref().map_or_else(
            || "none".to_owned(),
            |barrier| {
                format!(
                    "{}, {} and {}",
                    barrier.name,
                    ohm_text(barrier.resistance_ohm),
                    volt_text(barrier.drop_v)
                )
            },
        ),
    ));
    if let Some(output) = &wires.output {
        rows.push(ValueRow::new(
            "output to the actuator",
            format!(
                "drives {} at most, input {}, {}",
                ohm_text(output.largest_load_ohm),
                ohm_text(output.input_ohm),
                cable_text(&output.cable, units)
            ),
        ));
    }
    if let Some(supply) = &wires.actuator_supply {
        let unit = if supply.alternating { "VA" } else { "W" };
        rows.push(ValueRow::new(
            "power of the actuator",
            format!(
                "{} {}, {} at its lowest, works down to {}, {} {unit} running, {} {unit} starting, {}",
                volt_text(supply.voltage_v),
                if supply.alternating { "a.c." } else { "d.c." },
                volt_text(supply.supply_lowest_v),
                volt_text(supply.lowest_v),
                keyed_number(supply.running_va, 3),
                keyed_number(supply.inrush_va, 3),
                cable_text(&supply.cable, units)
            ),
        ));
    }
    vec![Block::heading("Wires"), Block::Values(rows)]
}

/// Unit that a source's half width is in, and what one SI unit is in the reader's unit.
fn unit(source: UncertaintySource, units: &DisplayUnits) -> (f64, String) {
    use UncertaintySource::*;
    let of = |(factor, unit): (f64, &str)| (factor, unit.to_owned());
    match source {
        ReferenceAccuracy | Receiver => (1.0, "% of span".into()),
        Drift => (1.0, "% of upper range limit a year".into()),
        AmbientZero | AmbientSpan => {
            let (factor, unit) = units.temperature_difference(1.0);
            let of = if source == AmbientZero {
                "upper range limit"
            } else {
                "reading"
            };
            (1.0 / factor, format!("% of {of} per {unit}"))
        }
        StaticZero | StaticSpan => {
            let (factor, unit) = units.drop(1.0);
            let of = if source == StaticZero {
                "upper range limit"
            } else {
                "reading"
            };
            (1.0 / factor, format!("% of {of} per {unit}"))
        }
        Calibrator => units.differential(1.0),
        VesselPressure => of(units.drop(1.0)),
        LegHeight | GlassConnection | GlassReading => of(units.level(1.0)),
        LegTemperature | WorkingLegTemperature | WaterTemperature | GlassTemperature => {
            of(units.temperature_difference(1.0))
        }
    }
}

pub(super) fn uncertainties(survey: &UncertaintySurvey, units: &DisplayUnits) -> Vec<Block> {
    if survey.inputs.is_empty() {
        return Vec::new();
    }
    let readings = survey
        .zero_readings_ma
        .iter()
        .map(|ma| number(*ma, 3))
        .collect::<Vec<_>>()
        .join(", ");
    let table = Table::new(
        "How wrong each input may be",
        vec![
            Column::words("input"),
            Column::numbers("within ±"),
            Column::words("unit"),
            Column::words("distribution"),
            Column::words("assumed"),
        ],
    )
    .with_rows(
        survey
            .inputs
            .iter()
            .map(|input| {
                let (factor, unit) = unit(input.source, units);
                vec![
                    wording::uncertainty_source(input.source).to_owned(),
                    significant(factor * input.half_width, 3),
                    unit,
                    wording::distribution(input.distribution).to_owned(),
                    wording::yes_no(input.assumed).to_owned(),
                ]
            })
            .collect(),
    );
    vec![
        Block::heading("Uncertainties"),
        Block::Table(table),
        Block::Values(vec![
            ValueRow::new(
                "time between calibrations",
                format!(
                    "{} years",
                    keyed_number(survey.calibration_interval_years, 3)
                ),
            ),
            ValueRow::noted(
                "swing of ambient temperature",
                format!(
                    "± {}",
                    units.temperature_difference_text(survey.ambient_swing_k)
                ),
                "around that at calibration",
            ),
            ValueRow::new(
                "zero trimmed at working pressure",
                wording::yes_no(survey.zeroed_at_pressure),
            ),
            ValueRow::noted(
                "correlation of the legs",
                number(survey.leg_correlation, 2),
                "of their temperatures",
            ),
            ValueRow::new(
                "repeated readings of the zero",
                if readings.is_empty() {
                    "none".to_owned()
                } else {
                    format!("{readings} mA")
                },
            ),
        ]),
    ]
}
