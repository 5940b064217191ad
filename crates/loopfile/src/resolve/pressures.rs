//! Vessel pressures, and whether water can be what it is said to be at them.

use halfglass_core::description::{Pressures, VesselKind};
use halfglass_core::quantity::{AbsolutePressure, GaugePressure};
use halfglass_core::water::{saturated_densities, saturation_temperature_k};

use super::refusal;
use crate::problem::Problem;
use crate::quantity_text::Dimension;
use crate::survey::{Located, Survey};
use crate::words;

pub(super) fn pressures(survey: &mut Survey<'_>, kind: Option<VesselKind>) -> Option<Pressures> {
    let start_up_water_k = survey.number_or(
        "pressures.start-up-water",
        293.15,
        "not surveyed; cold water at start-up",
    );
    if kind? == VesselKind::VentedTank {
        for path in [
            "pressures.start-up",
            "pressures.lowest-sustained",
            "pressures.normal",
            "pressures.highest",
            "pressures.safety-valve",
        ] {
            if let Some(entry) = survey.entries.get(path) {
                let mut problem = Problem::new(
                    "vented-tank-with-pressure",
                    format!("`{path}`: a tank open to the air has no pressure of its own"),
                    crate::problem::Label::new(entry.span.clone(), "not on a vented tank"),
                )
                .help("remove it, or say which closed vessel this is");
                if let Some(vessel) = survey.entries.get("vessel.kind") {
                    problem = problem.and(crate::problem::Label::new(
                        vessel.span.clone(),
                        "open to the air",
                    ));
                }
                survey.problems.push(problem);
            }
        }
        let air = survey.atmosphere;
        return Some(Pressures {
            start_up: air,
            lowest_sustained: air,
            normal: air,
            highest: air,
            safety_valve: air,
            start_up_water_k: start_up_water_k?,
        });
    }
    survey.require("pressures.normal", "the vessel holds steam");
    survey.require("pressures.safety-valve", "the vessel holds steam");
    let stated = [
        "pressures.start-up",
        "pressures.lowest-sustained",
        "pressures.normal",
        "pressures.highest",
        "pressures.safety-valve",
    ]
    .map(|path| survey.pressure(path));
    let unreadable = [
        "pressures.start-up",
        "pressures.lowest-sustained",
        "pressures.highest",
    ]
    .iter()
    .any(|path| survey.is_present(path) && survey.quantity(path).is_none());
    let in_order = check_order(survey, &stated);
    let [start_up, lowest, normal, highest, valve] = stated;
    let (normal, valve) = (normal?, valve?);
    for pressure in [&normal, &valve] {
        if let Err(error) = saturated_densities(pressure.value.pa()) {
            let message = format!(
                "`{}`: {}",
                pressure.path,
                refusal::water_words(survey.units, &error)
            );
            survey.core_refusal(
                "pressure-not-computable",
                message,
                "is the unit right?",
                &[&pressure.path],
            );
            return None;
        }
    }
    if unreadable || !in_order {
        return None;
    }
    let (normal, valve) = (normal.value, valve.value);
    let air = survey.atmosphere;
    let start_up = start_up.map_or_else(
        || {
            let zero = GaugePressure::from_pa(0.0).to_absolute(air);
            let start_up = if zero.pa() <= normal.pa() {
                zero
            } else {
                normal
            };
            survey.assume(
                "pressures.start-up",
                gauge_words(survey, start_up),
                "not stated; the vessel starts cold and without pressure",
            );
            start_up
        },
        |found| found.value,
    );
    let lowest = lowest.map_or_else(
        || {
            let gauge = normal.to_gauge(air).pa();
            let lowest = AbsolutePressure::from_pa(
                GaugePressure::from_pa(if gauge > 0.0 { 0.8 * gauge } else { gauge })
                    .to_absolute(air)
                    .pa()
                    .max(start_up.pa()),
            );
            survey.assume(
                "pressures.lowest-sustained",
                gauge_words(survey, lowest),
                "not surveyed; 80 % of the normal gauge pressure; the range is judged down to it",
            );
            lowest
        },
        |found| found.value,
    );
    let highest = highest.map_or_else(
        || {
            let highest = AbsolutePressure::from_pa(0.5 * (normal.pa() + valve.pa()));
            survey.assume(
                "pressures.highest",
                gauge_words(survey, highest),
                "not surveyed; midway between normal and the safety valve; the range is judged up to it",
            );
            highest
        },
        |found| found.value,
    );
    Some(Pressures {
        start_up,
        lowest_sustained: lowest,
        normal,
        highest,
        safety_valve: valve,
        start_up_water_k: start_up_water_k?,
    })
}

fn gauge_words(survey: &Survey<'_>, pressure: AbsolutePressure) -> String {
    let text = words::quantity(
        pressure.to_gauge(survey.atmosphere).pa(),
        Dimension::Pressure,
        survey.units,
    );
    text.replace("(a)", "(g)")
}

/// Each stated pressure against the next stated one.
fn check_order(survey: &mut Survey<'_>, stated: &[Option<Located<AbsolutePressure>>; 5]) -> bool {
    let before = survey.problems.len();
    let ladder: Vec<Located<f64>> = stated
        .iter()
        .flatten()
        .map(|found| found.clone().map(AbsolutePressure::pa))
        .collect();
    for pair in ladder.windows(2) {
        let [low, high] = pair else { continue };
        let code = if high.path == "pressures.safety-valve" {
            "pressure-above-safety-valve"
        } else {
            "pressures-out-of-order"
        };
        survey.check_below(
            code,
            Some(low),
            Some(high),
            true,
            "from low to high: start-up, lowest-sustained, normal, highest, safety-valve",
        );
    }
    survey.problems.len() == before
}

/// Water that would boil or freeze where it stands.
pub(super) fn check_waters(survey: &mut Survey<'_>, pressures: Option<&Pressures>) {
    let Some(pressures) = pressures else { return };
    let (normal, start_up) = (pressures.normal, pressures.start_up);
    let bench = survey.atmosphere;
    for (path, pressure) in [
        ("reference-leg.temperature", normal),
        ("reference-leg.top-temperature", normal),
        ("reference-leg.bottom-temperature", normal),
        ("reference-leg.below-tap-temperature", normal),
        ("reference-leg.lowest-temperature", normal),
        ("reference-leg.highest-temperature", normal),
        ("working-leg.temperature", normal),
        ("glass.water-temperature", normal),
        ("vessel.water-temperature", normal),
        ("pressures.start-up-water", start_up),
        ("range.bench-temperature", bench),
    ] {
        let Some(found) = survey.number(path) else {
            continue;
        };
        let of_gas = path.starts_with("reference-leg")
            && survey.word("reference-leg.kind").map(|word| word.value) != Some("wet");
        if of_gas {
            continue;
        }
        // A glass or tank at just saturation is fine: what is refused is water that would be steam.
        let boils_at = saturation_temperature_k(pressure.pa());
        let problem = match boils_at {
            Ok(limit_k) if found.value > limit_k => format!(
                "`{path}`: water at {} would boil, it boils at {}",
                found.text,
                words::quantity(limit_k, Dimension::Temperature, survey.units)
            ),
            _ if found.value < 273.15 => {
                format!("`{path}`: water at {} would be ice", found.text)
            }
            _ => continue,
        };
        survey.problems.push(
            Problem::new(
                "water-temperature-not-possible",
                problem,
                found.label("not liquid"),
            )
            .help("is the unit right?"),
        );
    }
}
