//! Data sheets of cell, controller, manifold and pot.

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::measurement::condition::SAFETY_VALVE;

use super::super::instrument_rows;
use super::{blanks, field};
use crate::block::ValueRow;
use crate::loop_tags::with_letters;
use crate::units::{DisplayUnits, number, ohm_text, volt_text};
use crate::wording;

fn ambient(described: &Loop, units: &DisplayUnits) -> String {
    format!(
        "{} to {}",
        units.temperature_text(described.site.ambient_lowest_k),
        units.temperature_text(described.site.ambient_highest_k)
    )
}

pub(super) fn cell(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<ValueRow> {
    let cell = &described.cell;
    let range = sheets.range.chosen;
    let wires = described.wiring.as_ref();
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LT")),
        ValueRow::new("service", described.identity.service.clone()),
        ValueRow::new("quantity", "1"),
        ValueRow::new(
            "measures",
            format!(
                "differential pressure, {}",
                wording::polarity(cell.polarity)
            ),
        ),
        ValueRow::noted(
            "range to set",
            format!(
                "{} at 0 %, {} at 100 %",
                units.differential_text(range.lrv_pa),
                units.differential_text(range.urv_pa)
            ),
            format!("reversal: {}", wording::reversal(cell.reversal)),
        ),
        ValueRow::new("ambient temperature", ambient(described, units)),
        ValueRow::new("output", "4 to 20 mA, two wires"),
    ];
    rows.extend(instrument_rows::cell(described, units));
    rows.extend([
        field(
            "least volts at its terminals",
            wires.map(|wires| volt_text(wires.cell_lift_off_v)),
        ),
        field(
            "most volts at its terminals",
            wires.map(|wires| volt_text(wires.cell_highest_v)),
        ),
        field(
            "digital communication",
            wires.map(|wires| {
                if wires.digital {
                    "HART".to_owned()
                } else {
                    "not wanted".to_owned()
                }
            }),
        ),
    ]);
    if let ReferenceLeg::Sealed { fluid, .. } = &described.reference_leg {
        rows.push(ValueRow::new("fill of seals and capillaries", fluid.name()));
        rows.extend(blanks(["seal: size, face, diaphragm", "capillary lengths"]));
    }
    rows.extend(blanks([
        "process connections",
        "wetted parts",
        "fill of the cell",
        "vent and drain",
        "enclosure",
        "hazardous area",
        "cable entry",
        "mounting",
        "certificates",
        "maker, type, serial number",
    ]));
    rows
}

pub(super) fn controller(described: &Loop, sheets: &Sheets) -> Vec<ValueRow> {
    let controller = &described.controller;
    let wires = described.wiring.as_ref();
    let output = wires.and_then(|wires| wires.output.as_ref());
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LIC")),
        ValueRow::new("input", "4 to 20 mA"),
        field(
            "input resistance",
            wires
                .and_then(|wires| wires.receivers.first())
                .map(|receiver| ohm_text(receiver.resistance_ohm)),
        ),
        field(
            "supplies the cell",
            wires.map(|wires| wording::yes_no(wires.powered_by_controller).to_owned()),
        ),
        field(
            "output drives at most",
            output.map(|output| ohm_text(output.largest_load_ohm)),
        ),
        ValueRow::new("action", wording::action(sheets.settings.action)),
    ];
    rows.extend(instrument_rows::controller(controller));
    rows.extend(blanks([
        "output, output on power-up",
        "alarm contacts",
        "power, fuse",
        "isolation input to output",
        "panel cut-out",
        "maker, type, serial number",
    ]));
    rows
}

pub(super) fn manifold(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let open = matches!(described.reference_leg, ReferenceLeg::None);
    let mut rows = vec![
        ValueRow::new(
            "valves",
            if open {
                "block and vent"
            } else {
                "two block, one equalising, vents"
            },
        ),
        ValueRow::noted(
            "pressure",
            units.pressure_gauge_text(described.pressures.safety_valve),
            "highest of the vessel; the rating must stand it at its temperature",
        ),
        ValueRow::new("ambient temperature", ambient(described, units)),
    ];
    rows.extend(blanks([
        "rating",
        "connection to the cell",
        "connection to the legs",
        "body and trim",
        "packing",
        "mounting",
        "maker, type",
    ]));
    rows
}

pub(super) fn pot(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    lip_m: f64,
) -> Vec<ValueRow> {
    let hottest = sheets
        .error_map
        .conditions
        .iter()
        .find(|condition| condition.name == SAFETY_VALVE);
    let mut rows = vec![
        ValueRow::new("quantity", "1"),
        ValueRow::noted(
            "lip above the lower tap",
            units.small_length_text(lip_m),
            match sheets.range.pot_lip_sensitivity_ratio {
                Some(ratio) => format!(
                    "set it to the survey: an error of 1 {} in it is {} {} of indicated level",
                    units.level_unit(),
                    number(ratio, 2),
                    units.level_unit()
                ),
                None => "set it to the survey".to_owned(),
            },
        ),
        ValueRow::new(
            "pressure",
            units.pressure_gauge_text(described.pressures.safety_valve),
        ),
        field(
            "temperature",
            hottest.map(|condition| units.temperature_text(condition.water_k)),
        ),
    ];
    rows.extend(blanks([
        "rating and code",
        "volume",
        "connections: vessel, leg, plug",
        "material",
        "maker, type",
    ]));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn property_every_field_says_something() {
        for (described, sheets) in &fixture::all() {
            let units = DisplayUnits::of(described);
            for row in cell(described, sheets, &units)
                .into_iter()
                .chain(controller(described, sheets))
                .chain(manifold(described, &units))
            {
                assert!(!row.label.is_empty() && !row.value.is_empty(), "{row:?}");
            }
        }
    }

    /// One source of rows: what the survey says of cell and controller, the data sheet says in the same words.
    #[test]
    fn property_data_sheet_and_survey_agree() {
        for (described, sheets) in &fixture::all() {
            let units = DisplayUnits::of(described);
            let survey = format!("{:?}", crate::section("survey", described, sheets, &units));
            for row in instrument_rows::cell(described, &units)
                .into_iter()
                .chain(instrument_rows::controller(&described.controller))
            {
                let printed = format!("{row:?}");
                assert!(survey.contains(&printed), "{printed}");
                let on_sheets = cell(described, sheets, &units)
                    .into_iter()
                    .chain(controller(described, sheets));
                let times = on_sheets.filter(|other| other.label == row.label).count();
                assert_eq!(times, 1, "{}", row.label);
            }
        }
    }
}
