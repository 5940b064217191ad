//! Vessel pressures, duty points, and whether their water can be what it is said to be.

use halfglass_core::description::{Duty, Pressures, Vessel, VesselKind};
use halfglass_core::quantity::{AbsolutePressure, GaugePressure};
use halfglass_core::water::{
    SaturatedWater, compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg,
    saturated_densities, saturation_temperature_k,
};

use super::{plausible, refusal};
use crate::problem::Problem;
use crate::quantity_text::{Basis, Dimension};
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

pub(super) fn duties(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    vessel: Option<&Vessel>,
    pressures: Option<&Pressures>,
) -> Option<Vec<Duty>> {
    let count = survey.entries.count("duty");
    let mut names: Vec<Located<String>> = Vec::new();
    let mut duties = Vec::new();
    for index in 0..count {
        if let Some(name) = survey.text(&format!("duty[{index}].name")) {
            if let Some(twin) = names.iter().find(|known| known.value == name.value) {
                survey.problems.push(
                    Problem::new(
                        "duty-name-twice",
                        format!("two duty points are called `{}`", name.text),
                        name.label("again here"),
                    )
                    .and(twin.label("first here"))
                    .help("give every duty point a name of its own"),
                );
            }
            names.push(name);
        }
        duties.push(duty(survey, index, kind, vessel, pressures));
    }
    duties.into_iter().collect()
}

fn duty(
    survey: &mut Survey<'_>,
    index: usize,
    kind: Option<VesselKind>,
    vessel: Option<&Vessel>,
    pressures: Option<&Pressures>,
) -> Option<Duty> {
    let name = survey.text(&format!("duty[{index}].name"));
    let pressure_path = format!("duty[{index}].pressure");
    if kind == Some(VesselKind::VentedTank) {
        survey.refuse(
            &pressure_path,
            "a tank open to the air has no pressure of its own",
        );
    }
    let stated_pressure = survey.pressure(&pressure_path);
    if let (Some(stated), Some(pressures)) = (&stated_pressure, pressures)
        && stated.value.pa() > pressures.safety_valve.pa()
    {
        let valve = survey.pressure("pressures.safety-valve");
        let mut problem = Problem::new(
            "pressure-above-safety-valve",
            format!(
                "the duty's pressure, {}, is above the safety valve's",
                stated.text
            ),
            stated.label("above the safety valve"),
        )
        .help("no duty holds a pressure at which the safety valve is open");
        if let Some(valve) = valve {
            problem = problem.and(valve.label("it opens here"));
        }
        survey.problems.push(problem);
    }
    if survey.is_absent(&pressure_path) && kind.is_some_and(VesselKind::holds_steam) {
        survey.assume(
            "duty.pressure",
            "the normal pressure".to_owned(),
            "not stated for every duty point",
        );
    }
    let feed = survey.number(&format!("duty[{index}].feed-temperature"));
    let outflow = survey.quantity(&format!("duty[{index}].outflow"));
    let blowdown_path = format!("duty[{index}].blowdown");
    let blowdown = survey.quantity(&blowdown_path);
    if survey.is_absent(&blowdown_path) && kind.is_some_and(VesselKind::is_fired) {
        survey.assume(
            "duty.blowdown",
            "none".to_owned(),
            "not stated for every duty point; it adds to the feed flow",
        );
    }
    let pressure = stated_pressure.map_or_else(
        || pressures.map(|all| all.normal),
        |found| Some(found.value),
    )?;
    let feed = feed?;
    let feed_density = match compressed_water_density_kg_m3(feed.value, pressure.pa()) {
        Ok(density) => density,
        Err(error) => {
            let message = format!(
                "`{}`: {}",
                feed.shown(),
                refusal::water_words(survey.units, &error)
            );
            survey.core_refusal(
                "water-temperature-not-possible",
                message,
                "is the unit right?",
                &[&feed.path],
            );
            return None;
        }
    };
    let outflow = outflow?;
    let steam_kg_s = outflow_kg_s(survey, &outflow, kind?, vessel, pressure, feed.value)?;
    if !plausible::outflow_is_possible(survey, &outflow, steam_kg_s) {
        return None;
    }
    let blowdown_kg_s = match blowdown {
        None if survey.is_absent(&blowdown_path) => 0.0,
        None => return None,
        Some(found) => match found.value.basis {
            Basis::Share => found.value.value / 100.0 * steam_kg_s,
            Basis::VolumeFlow => {
                survey.assume(
                    "duty.blowdown",
                    "volume flow taken at the feed temperature".to_owned(),
                    "blowdown is metered cold; its mass counts",
                );
                found.value.value * feed_density
            }
            _ => found.value.value,
        },
    };
    Some(Duty {
        name: name?.value,
        steam_kg_s,
        blowdown_kg_s,
        feed_temperature_k: feed.value,
        pressure,
    })
}

/// Outflow as mass: a boiler's output by the heat that feedwater takes up, a tank's volume by its water's density.
fn outflow_kg_s(
    survey: &mut Survey<'_>,
    outflow: &Located<crate::quantity_text::Quantity>,
    kind: VesselKind,
    vessel: Option<&Vessel>,
    pressure: AbsolutePressure,
    feed_k: f64,
) -> Option<f64> {
    let value = outflow.value.value;
    match outflow.value.basis {
        Basis::Output if kind.is_fired() => {
            let steam = SaturatedWater::at_pressure_pa(pressure.pa());
            let feed = compressed_water_enthalpy_j_kg(feed_k, pressure.pa());
            let (Ok(steam), Ok(feed)) = (steam, feed) else {
                survey.core_refusal(
                    "water-temperature-not-possible",
                    "steam flow cannot be worked out from this output, pressure and feed temperature",
                    "is each of the three units right?",
                    &[&outflow.path],
                );
                return None;
            };
            survey.assume(
                "duty.outflow",
                "boiler output over the heat from feedwater to dry saturated steam".to_owned(),
                "output was given instead of steam flow; a boiler horsepower is 34.5 lb/h from and at 212 degF; heat in blowdown is not counted",
            );
            Some(value / (steam.vapour_enthalpy_j_kg - feed))
        }
        Basis::Output => {
            survey.problems.push(
                Problem::new(
                    "output-of-unfired-vessel",
                    format!(
                        "`{}`: {} is a boiler's output, but this vessel is not fired",
                        outflow.shown(),
                        outflow.text
                    ),
                    outflow.label("an output"),
                )
                .help("give the flow that leaves, for instance in t/h or lb/h"),
            );
            None
        }
        Basis::VolumeFlow if kind.is_fired() => {
            survey.problems.push(
                Problem::new(
                    "volume-flow-of-steam",
                    format!("`{}`: {} is a volume flow, which says little of steam", outflow.shown(), outflow.text),
                    outflow.label("a volume flow"),
                )
                .help("give steam by mass, for instance in t/h or lb/h, or as boiler output in bhp or kW"),
            );
            None
        }
        Basis::VolumeFlow => {
            let density = match vessel?.water_temperature_k {
                Some(temperature_k) => compressed_water_density_kg_m3(temperature_k, pressure.pa()),
                None => saturated_densities(pressure.pa()).map(|both| both.liquid_kg_m3),
            };
            match density {
                Ok(density) => {
                    survey.assume(
                        "duty.outflow",
                        "volume flow taken at the temperature of the stored water".to_owned(),
                        "a volume flow was given; its mass counts",
                    );
                    Some(value * density)
                }
                Err(error) => {
                    let message = refusal::water_words(survey.units, &error);
                    survey.core_refusal(
                        "water-temperature-not-possible",
                        message,
                        "is the unit right?",
                        &["vessel.water-temperature"],
                    );
                    None
                }
            }
        }
        _ => Some(value),
    }
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
