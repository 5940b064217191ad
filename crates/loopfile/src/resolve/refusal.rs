//! Refusals of the core in the words and units of the file: the core counts in SI, to all its digits.

use halfglass_core::description::UnitSystem;
use halfglass_core::vessel::VesselError;
use halfglass_core::water::{FillFluidError, WaterError};

use crate::problem::{Label, Problem};
use crate::quantity_text::Dimension;
use crate::survey::Survey;
use crate::words;

impl Survey<'_> {
    /// A core refusal of something in a section, at the first of the paths that is there.
    pub(super) fn core_refusal(
        &mut self,
        code: &'static str,
        message: impl std::fmt::Display,
        help: &str,
        paths: &[&str],
    ) {
        let entry = paths.iter().find_map(|path| self.entries.get(path));
        let span = match (entry, paths.first().and_then(|path| path.rsplit_once('.'))) {
            (Some(entry), _) => entry.span.clone(),
            (None, Some((section, _))) => self.entries.section_span(section),
            (None, None) => self.entries.section_span(""),
        };
        self.problems
            .push(Problem::new(code, message.to_string(), Label::new(span, "here")).help(help));
    }
}

/// Which key a shell is refused for, and why.
pub(super) fn shell_words(survey: &Survey<'_>, error: &VesselError) -> (&'static str, String) {
    let (path, value, bounds) = match error {
        VesselError::Dimension {
            dimension,
            value_m,
            minimum_m,
            maximum_m,
        } => (
            if dimension.contains("diameter") {
                "vessel.inside-diameter"
            } else {
                "vessel.length"
            },
            survey.length_words(*value_m),
            [*minimum_m, *maximum_m].map(|bound_m| survey.length_words(bound_m)),
        ),
        VesselError::HeadRatio {
            ratio,
            value,
            minimum,
            maximum,
        } => (
            if ratio.contains("knuckle") {
                "vessel.knuckle-radius-ratio"
            } else {
                "vessel.crown-radius-ratio"
            },
            words::short(*value),
            [*minimum, *maximum].map(words::short),
        ),
        other => return ("vessel.heads", other.to_string()),
    };
    let written = survey
        .entries
        .get(path)
        .map_or(value, |entry| entry.text.clone());
    let [low, high] = bounds;
    (
        path,
        format!("`{path}`: `{written}` is not between {low} and {high}"),
    )
}

/// Why water has no such state.
pub(super) fn water_words(units: UnitSystem, error: &WaterError) -> String {
    let pressure = |pa: f64| words::quantity(pa, Dimension::Pressure, units);
    let temperature = |k: f64| words::quantity(k, Dimension::Temperature, units);
    match error {
        WaterError::PressureOutOfRange {
            value_pa,
            minimum_pa,
            maximum_pa,
            ..
        } => format!(
            "water and steam at {} cannot be computed, only from {} to {}",
            pressure(*value_pa),
            pressure(*minimum_pa),
            pressure(*maximum_pa)
        ),
        WaterError::TemperatureOutOfRange {
            value_k,
            minimum_k,
            maximum_k,
            ..
        } => format!(
            "water at {} cannot be computed, only from {} to {}",
            temperature(*value_k),
            temperature(*minimum_k),
            temperature(*maximum_k)
        ),
        WaterError::AboveSaturation {
            temperature_k,
            pressure_pa,
            saturation_temperature_k,
            ..
        } => format!(
            "water at {} would boil, at {} it boils at {}",
            temperature(*temperature_k),
            pressure(*pressure_pa),
            temperature(*saturation_temperature_k)
        ),
        other => other.to_string(),
    }
}

/// Why a fill fluid has no such density.
pub(super) fn fill_fluid_words(units: UnitSystem, error: &FillFluidError) -> String {
    let temperature = |k: f64| words::quantity(k, Dimension::Temperature, units);
    let density = |kg_m3: f64| words::quantity(kg_m3, Dimension::Density, units);
    match error {
        FillFluidError::TooFewRows { count, .. } => format!(
            "the density table of the own fill fluid has {count} rows; at least 2 are needed"
        ),
        FillFluidError::RowTemperature {
            row,
            value_k,
            minimum_k,
            maximum_k,
            ..
        } => format!(
            "row {row} of the density table is for {}, not between {} and {}",
            temperature(*value_k),
            temperature(*minimum_k),
            temperature(*maximum_k)
        ),
        FillFluidError::RowDensity {
            row,
            value_kg_m3,
            minimum_kg_m3,
            maximum_kg_m3,
            ..
        } => format!(
            "row {row} of the density table has {}, not between {} and {}",
            density(*value_kg_m3),
            density(*minimum_kg_m3),
            density(*maximum_kg_m3)
        ),
        FillFluidError::NotAscending {
            row,
            value_k,
            previous_k,
            ..
        } => format!(
            "row {row} of the density table is for {}, not above the {} of the row before",
            temperature(*value_k),
            temperature(*previous_k)
        ),
        FillFluidError::OutsideTable {
            value_k,
            minimum_k,
            maximum_k,
            ..
        } => format!(
            "{} is outside the density table of the fill fluid, {} to {}",
            temperature(*value_k),
            temperature(*minimum_k),
            temperature(*maximum_k)
        ),
        other => other.to_string(),
    }
}
