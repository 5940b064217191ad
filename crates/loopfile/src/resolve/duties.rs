//! Duty points: what leaves, at what pressure, and how warm the feedwater comes in.

use halfglass_core::description::{Duty, Pressures, Vessel, VesselKind};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_core::water::{
    SaturatedWater, compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg,
    saturated_densities,
};

use super::{plausible, refusal};
use crate::problem::Problem;
use crate::quantity_text::Basis;
use crate::survey::{Located, Survey};

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
