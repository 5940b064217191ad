//! Rows of the cell and of the controller that survey and data sheet have in common.

use halfglass_core::description::{Controller, Loop};

use crate::block::ValueRow;
use crate::units::{DisplayUnits, current_text, keyed_number, seconds_text};
use crate::wording;

pub(super) fn cell(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let cell = &described.cell;
    vec![
        ValueRow::new(
            "range limits",
            format!(
                "{} to {}",
                units.differential_text(cell.lower_range_limit_pa),
                units.differential_text(cell.upper_range_limit_pa)
            ),
        ),
        ValueRow::new(
            "smallest span",
            units.differential_text(cell.minimum_span_pa),
        ),
        ValueRow::noted(
            "highest static pressure",
            units.pressure_gauge_text(cell.static_limit),
            format!(
                "its limit; the vessel reaches {}",
                units.pressure_gauge_text(described.pressures.safety_valve)
            ),
        ),
        ValueRow::new(
            "lowest pressure it may see",
            units.pressure_absolute_text(cell.vacuum_limit),
        ),
        ValueRow::new(
            "reference accuracy",
            format!(
                "{} % of span",
                keyed_number(cell.reference_accuracy_percent, 3)
            ),
        ),
        ValueRow::new(
            "drift in a year",
            format!(
                "{} % of upper range limit",
                keyed_number(cell.drift_percent_url_per_year, 3)
            ),
        ),
        ValueRow::new("damping", seconds_text(cell.damping_s)),
        ValueRow::new(
            "saturates at",
            format!(
                "{} and {}",
                current_text(cell.saturation_ma.0),
                current_text(cell.saturation_ma.1)
            ),
        ),
        ValueRow::new("own fault drives it to", current_text(cell.fault_ma)),
    ]
}

pub(super) fn controller(controller: &Controller) -> Vec<ValueRow> {
    vec![
        ValueRow::new("form", wording::form(controller.form)),
        ValueRow::new("gain entered in", controller.gain_unit.symbol()),
        ValueRow::new("reset entered in", controller.reset_unit.symbol()),
        ValueRow::new("derivative entered in", controller.derivative_unit.symbol()),
        ValueRow::new("sample time", seconds_text(controller.sample_time_s)),
        ValueRow::new(
            "linearisation points",
            controller.linearisation_points.to_string(),
        ),
        ValueRow::new(
            "input out of range",
            wording::input_fault(controller.input_fault),
        ),
    ]
}
