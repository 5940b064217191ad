//! How wrong each input may be: what was surveyed, and common practice for the rest.

use halfglass_core::description::uncertainty::{
    Distribution, UncertainInput, UncertaintySource, UncertaintySurvey,
};
use halfglass_core::description::{Cell, Pressures, Site, UnitSystem, VesselKind};

use crate::problem::Problem;
use crate::quantity_text::Dimension;
use crate::survey::Survey;
use crate::words;

use UncertaintySource as Of;

/// Change of ambient temperature for which data sheets state its effect, K (50 degF).
const USUAL_STEP_K: f64 = 50.0 / 1.8;
/// Static pressure for which data sheets state its effect, Pa (about 1000 psi).
const USUAL_STEP_PA: f64 = 7e6;
/// A leg of which only the mean temperature is known, K.
const USUAL_LEG_K: f64 = 15.0;
/// The calibrator over the cell's upper range limit, percent.
const CALIBRATOR_PERCENT_URL: f64 = 0.025;

/// Source, its key, the key of its distribution, its usual distribution.
type Row = (Of, &'static str, &'static str, &'static str);

macro_rules! row {
    ($source:ident, $name:literal, $shape:literal) => {
        (
            Of::$source,
            concat!("uncertainty.", $name),
            concat!("uncertainty.distribution.", $name),
            $shape,
        )
    };
}

const ROWS: [Row; 16] = [
    row!(ReferenceAccuracy, "reference-accuracy", "rectangular"),
    row!(AmbientZero, "ambient-zero", "rectangular"),
    row!(AmbientSpan, "ambient-span", "rectangular"),
    row!(StaticZero, "static-zero", "rectangular"),
    row!(StaticSpan, "static-span", "rectangular"),
    row!(Drift, "drift", "rectangular"),
    row!(Calibrator, "calibrator", "normal-k2"),
    row!(LegHeight, "leg-height", "rectangular"),
    row!(LegTemperature, "leg-temperature", "rectangular"),
    row!(
        WorkingLegTemperature,
        "working-leg-temperature",
        "rectangular"
    ),
    row!(VesselPressure, "vessel-pressure", "rectangular"),
    row!(WaterTemperature, "water-temperature", "rectangular"),
    row!(Receiver, "receiver", "rectangular"),
    row!(GlassTemperature, "glass-temperature", "rectangular"),
    row!(GlassConnection, "glass-connection", "rectangular"),
    row!(GlassReading, "glass-reading", "triangular"),
];

/// What the defaults are taken from.
struct Facts<'f> {
    kind: Option<VesselKind>,
    site: Option<&'f Site>,
    pressures: Option<&'f Pressures>,
    cell: Option<&'f Cell>,
    leg: Option<&'static str>,
    has_glass: bool,
}

pub(super) fn uncertainty(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    site: Option<&Site>,
    pressures: Option<&Pressures>,
    cell: Option<&Cell>,
) -> Option<UncertaintySurvey> {
    let facts = Facts {
        kind,
        site,
        pressures,
        cell,
        leg: survey.word("reference-leg.kind").map(|word| word.value),
        has_glass: survey.entries.count("glass") > 0,
    };
    check_steps(survey);
    let mut inputs = Vec::new();
    for row in ROWS {
        if let Some(why) = foreign(&facts, row.0) {
            survey.refuse(row.1, why);
            survey.refuse(row.2, why);
            continue;
        }
        inputs.push(input(survey, &facts, row));
    }
    let interval = survey.number_or(
        "uncertainty.calibration-interval",
        1.0,
        "not stated; common practice; the drift grows with it",
    );
    let swing = match facts.site {
        Some(site) => survey.number_or(
            "uncertainty.ambient-swing",
            0.5 * (site.ambient_highest_k - site.ambient_lowest_k),
            "not surveyed; half the way from the lowest to the highest ambient",
        ),
        None => None,
    };
    let zeroed = zeroed_at_pressure(survey, &facts);
    let correlation = leg_correlation(survey, &facts);
    let zero_readings_ma = zero_readings(survey, cell);
    Some(UncertaintySurvey {
        inputs: inputs.into_iter().collect::<Option<_>>()?,
        calibration_interval_years: interval?,
        ambient_swing_k: swing?,
        zeroed_at_pressure: zeroed?,
        leg_correlation: correlation?,
        zero_readings_ma: zero_readings_ma?,
    })
}

/// Why a source does not apply to this loop.
fn foreign(facts: &Facts<'_>, source: Of) -> Option<&'static str> {
    let holds_steam = facts.kind.is_none_or(VesselKind::holds_steam);
    match source {
        Of::StaticZero | Of::StaticSpan | Of::VesselPressure if !holds_steam => {
            Some("a tank open to the air has no pressure of its own")
        }
        Of::WaterTemperature if facts.kind.is_some_and(VesselKind::holds_steam) => {
            Some("the water is at saturation: its pressure says how warm it is")
        }
        Of::LegHeight | Of::LegTemperature if matches!(facts.leg, Some("none" | "dry")) => {
            Some("no water or fill stands in the reference leg")
        }
        Of::GlassTemperature | Of::GlassConnection | Of::GlassReading if !facts.has_glass => {
            Some("there is no [glass]")
        }
        _ => None,
    }
}

fn input(survey: &mut Survey<'_>, facts: &Facts<'_>, row: Row) -> Option<UncertainInput> {
    let (source, path, shape_path, usual_shape) = row;
    let of_cell = match source {
        Of::ReferenceAccuracy => Some("cell.reference-accuracy"),
        Of::Drift => Some("cell.drift-per-year"),
        _ => None,
    };
    let stated = of_cell.is_some() || survey.is_present(path);
    let shape = if survey.is_present(shape_path) {
        survey.word(shape_path)?.value
    } else {
        usual_shape
    };
    if stated && survey.is_absent(shape_path) {
        survey.assume(
            shape_path,
            usual_shape.to_owned(),
            "not stated; common practice for such a limit",
        );
    }
    let half_width = match (of_cell, source) {
        (Some("cell.reference-accuracy"), _) => facts.cell?.reference_accuracy_percent,
        (Some(_), _) => facts.cell?.drift_percent_url_per_year,
        (None, _) if stated => {
            let value = survey.number(path)?.value;
            match source {
                Of::AmbientZero | Of::AmbientSpan => {
                    value / survey.number("uncertainty.ambient-step")?.value
                }
                Of::StaticZero | Of::StaticSpan => {
                    value / survey.number("uncertainty.static-step")?.value
                }
                _ => value,
            }
        }
        (None, _) => {
            let (value, told, why) = usual(survey, facts, source)?;
            survey.assume(path, format!("{told}, {shape}"), why);
            value
        }
    };
    Some(UncertainInput {
        source,
        half_width,
        distribution: match shape {
            "triangular" => Distribution::Triangular,
            "arcsine" => Distribution::Arcsine,
            "normal-k1" => Distribution::NormalK1,
            "normal-k2" => Distribution::NormalK2,
            "normal-k3" => Distribution::NormalK3,
            _ => Distribution::Rectangular,
        },
        assumed: of_cell.map_or(!stated, |path| survey.is_absent(path)),
    })
}

/// Half width where none is surveyed, in words, and why.
fn usual(
    survey: &Survey<'_>,
    facts: &Facts<'_>,
    source: Of,
) -> Option<(f64, String, &'static str)> {
    const SHEET: &str = "not surveyed; common practice; the cell's data sheet states it";
    const LEG: &str = "not surveyed; half the band of leg temperatures";
    const PRACTICE: &str = "not surveyed; common practice";
    let units = survey.units;
    let length = |value_m: f64| (value_m, survey.length_words(value_m), PRACTICE);
    let kelvin = |value_k: f64, why| {
        let told = words::quantity(value_k, Dimension::TemperatureDifference, units);
        (value_k, told, why)
    };
    Some(match source {
        Of::ReferenceAccuracy | Of::Drift => return None,
        Of::AmbientZero | Of::AmbientSpan => {
            (0.1 / USUAL_STEP_K, "0.1 % for each 28 K".to_owned(), SHEET)
        }
        Of::StaticZero | Of::StaticSpan => (
            0.1 / USUAL_STEP_PA,
            "0.1 % for each 7 MPa".to_owned(),
            SHEET,
        ),
        Of::Calibrator => {
            let limit_pa = facts.cell?.upper_range_limit_pa.abs();
            let value_pa = CALIBRATOR_PERCENT_URL / 100.0 * limit_pa;
            let told = words::quantity(value_pa, Dimension::DifferentialPressure, units);
            let why = "not surveyed; 0.025 % of the cell's upper range limit, common practice; its certificate states it";
            (value_pa, told, why)
        }
        Of::LegHeight => length(0.005),
        Of::LegTemperature => kelvin(leg_band_k(survey), LEG),
        Of::WorkingLegTemperature if matches!(facts.leg, Some("wet" | "sealed")) => {
            kelvin(leg_band_k(survey), LEG)
        }
        Of::WorkingLegTemperature => kelvin(USUAL_LEG_K, PRACTICE),
        Of::VesselPressure => {
            let pressures = facts.pressures?;
            let normal = pressures.normal.pa();
            let value_pa = (pressures.highest.pa() - normal)
                .max(normal - pressures.lowest_sustained.pa())
                .max(1.0);
            let told = pressure_difference_words(value_pa, units);
            let why = "not surveyed; the farther of the lowest and the highest pressure in service from normal";
            (value_pa, told, why)
        }
        Of::WaterTemperature => kelvin(5.0, PRACTICE),
        Of::Receiver => (
            0.1,
            "0.1 %".to_owned(),
            "not surveyed; common practice; the controller's data sheet states it",
        ),
        Of::GlassTemperature => kelvin(15.0, PRACTICE),
        Of::GlassConnection | Of::GlassReading => length(0.003),
    })
}

/// Half of the surveyed band of leg temperatures, or what is usual.
fn leg_band_k(survey: &Survey<'_>) -> f64 {
    let low = survey.number("reference-leg.lowest-temperature");
    let high = survey.number("reference-leg.highest-temperature");
    match (low, high) {
        (Some(low), Some(high)) if high.value > low.value => 0.5 * (high.value - low.value),
        _ => USUAL_LEG_K,
    }
}

fn pressure_difference_words(value_pa: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{} psi", words::short(value_pa / 6_894.757_293_168)),
        UnitSystem::Si => format!("{} bar", words::short(value_pa / 1e5)),
    }
}

/// An effect stated for a step says nothing without the step.
fn check_steps(survey: &mut Survey<'_>) {
    for (step, effects) in [
        (
            "uncertainty.ambient-step",
            ["uncertainty.ambient-zero", "uncertainty.ambient-span"],
        ),
        (
            "uncertainty.static-step",
            ["uncertainty.static-zero", "uncertainty.static-span"],
        ),
    ] {
        let stated = effects.iter().find_map(|path| survey.entries.get(path));
        let Some(stated) = stated.filter(|_| survey.is_absent(step)) else {
            continue;
        };
        let label = crate::problem::Label::new(stated.span.clone(), "for which change?");
        let name = step.rsplit('.').next().unwrap_or(step);
        survey.problems.push(
            Problem::new(
                "effect-without-step",
                format!("an effect in percent says nothing without `{step}`, the change it is stated for"),
                label,
            )
            .help(format!("add {name} from the same line of the data sheet")),
        );
    }
}

fn zeroed_at_pressure(survey: &mut Survey<'_>, facts: &Facts<'_>) -> Option<bool> {
    const PATH: &str = "uncertainty.zeroed-at-pressure";
    if facts.kind == Some(VesselKind::VentedTank) {
        survey.refuse(PATH, "a tank open to the air has no pressure of its own");
        return Some(false);
    }
    if survey.is_absent(PATH) {
        survey.assume(
            PATH,
            "no".to_owned(),
            "not stated; the careful side: the static-pressure effect on zero counts",
        );
        return Some(false);
    }
    survey.flag(PATH).map(|flag| flag.value)
}

fn leg_correlation(survey: &mut Survey<'_>, facts: &Facts<'_>) -> Option<f64> {
    const PATH: &str = "uncertainty.leg-correlation";
    if matches!(facts.leg, Some("none" | "dry")) {
        survey.refuse(PATH, "one leg only is full of water");
        return Some(0.0);
    }
    let value = survey.number_or(
        PATH,
        0.0,
        "not surveyed; the careful side; legs routed and insulated alike are near 1",
    )?;
    if let Some(found) = survey.number(PATH)
        && !(0.0..=1.0).contains(&found.value)
    {
        survey.problems.push(
            Problem::new(
                "correlation-out-of-range",
                format!("`{PATH}`: {} is not between 0 and 1", found.text),
                found.label("out of range"),
            )
            .help("0: the legs warm each by itself; 1: they warm together"),
        );
        return None;
    }
    Some(value)
}

/// A saturated cell repeats its limit, not its zero: such readings say nothing.
fn zero_readings(survey: &mut Survey<'_>, cell: Option<&Cell>) -> Option<Vec<f64>> {
    const PATH: &str = "uncertainty.zero-readings";
    if survey.is_absent(PATH) {
        return Some(Vec::new());
    }
    let found = survey.quantities(PATH)?;
    let readings: Vec<_> = found.value.iter().map(|reading| reading.value).collect();
    if readings.len() < 2 {
        survey.problems.push(
            Problem::new(
                "readings-too-few",
                "one reading says nothing of how readings scatter",
                found.label("two at least are needed"),
            )
            .help("equalise and read again, several times; or leave zero-readings out"),
        );
        return None;
    }
    let (low_ma, high_ma) = cell?.saturation_ma;
    if let Some(beyond) = readings
        .iter()
        .find(|reading| !(low_ma < **reading && **reading < high_ma))
    {
        survey.problems.push(
            Problem::new(
                "readings-saturated",
                format!(
                    "`{PATH}`: the cell gives {low_ma:.2} to {high_ma:.2} mA and saturates there: {beyond:.3} mA is no reading of its zero"
                ),
                found.label("not between its saturation limits"),
            )
            .help("equalise and read with a range of the same span in which zero differential lies; or leave zero-readings out"),
        );
        return None;
    }
    Some(readings)
}
