//! The line from the supply to the vessel.

use halfglass_core::description::feed_system::{Line, LinePart, Loss, ValveSide};

use super::feed_system::{Feed, reference_drop};
use super::supply::optional;
use crate::problem::{Label, Problem};
use crate::survey::Survey;

/// Steel pipe in use, m. Common practice.
const USUAL_ROUGHNESS_M: f64 = 0.05e-3;
/// Wall of a pipe of these sizes, m. Common practice.
pub(super) const USUAL_WALL_M: f64 = 4e-3;
const PIPE: [&str; 4] = ["inside-diameter", "length", "roughness", "fittings-k"];

pub(super) fn line(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Line> {
    let [valve, inlet, before, after] = [
        "line.valve-above-supply",
        "line.inlet-above-supply",
        "line.pipe-before-valve",
        "line.pipe-after-valve",
    ]
    .map(|path| survey.number(path));
    let parts: Vec<_> = (0..survey.entries.count("line.part"))
        .map(|index| part(survey, index, feed))
        .collect();
    Some(Line {
        parts: parts.into_iter().collect::<Option<_>>()?,
        valve_above_supply_m: valve?.value,
        inlet_above_supply_m: inlet?.value,
        pipe_before_valve_m: before?.value,
        pipe_after_valve_m: after?.value,
    })
}

fn part(survey: &mut Survey<'_>, index: usize, feed: Option<Feed>) -> Option<LinePart> {
    let at = |name: &str| format!("line.part[{index}].{name}");
    let name = survey.text(&at("name"));
    let side = survey.word(&at("side"));
    let loss = loss(survey, index, feed);
    let shared = optional(survey, &at("shared"), false, |survey, path| {
        survey.flag(path).map(|found| found.value)
    });
    let rise = optional(survey, &at("temperature-rise"), 0.0, |survey, path| {
        survey.number(path).map(|found| found.value)
    });
    if let (Some(side), Some(shared)) = (
        side.as_ref().filter(|side| side.value == "after"),
        survey.flag(&at("shared")).filter(|shared| shared.value),
    ) {
        survey.problems.push(
            Problem::new(
                "part-shared-after-valve",
                format!(
                    "`{}`: after the control valve flows this vessel's water only",
                    shared.shown()
                ),
                shared.label("shared with others"),
            )
            .and(side.label("after the valve"))
            .help("write shared = false, or side = \"before\""),
        );
    }
    Some(LinePart {
        name: name?.value,
        side: match side?.value {
            "after" => ValveSide::After,
            _ => ValveSide::Before,
        },
        loss: loss?,
        shared: shared?,
        temperature_rise_k: rise?,
    })
}

/// Either a drop at one flow, or pipe data.
fn loss(survey: &mut Survey<'_>, index: usize, feed: Option<Feed>) -> Option<Loss> {
    let at = |name: &str| format!("line.part[{index}].{name}");
    let drop = ["drop", "drop-at"]
        .iter()
        .find_map(|name| survey.entries.get(&at(name)));
    let pipe = PIPE.iter().find_map(|name| survey.entries.get(&at(name)));
    match (drop, pipe) {
        (Some(drop), Some(pipe)) => {
            survey.problems.push(
                Problem::new(
                    "part-loss-twice",
                    "this part of the line has both a drop and pipe data; which of them holds is not said",
                    Label::new(drop.span.clone(), "a drop"),
                )
                .and(Label::new(pipe.span.clone(), "pipe data"))
                .help("keep drop and drop-at, or inside-diameter and length"),
            );
            None
        }
        (None, None) => {
            let span = survey.entries.section_span(&format!("line.part[{index}]"));
            survey.problems.push(
                Problem::new(
                    "part-loss-missing",
                    "nothing says how this part of the line loses pressure",
                    Label::new(span, "neither a drop nor pipe data"),
                )
                .help("add drop and drop-at, or inside-diameter and length"),
            );
            None
        }
        (Some(_), None) => {
            let (drop_path, at_path) = (at("drop"), at("drop-at"));
            reference_drop(survey, [&drop_path, &at_path], "line.part.drop-at", feed)?
                .map(Loss::Reference)
        }
        (None, Some(_)) => pipe_loss(survey, index),
    }
}

fn pipe_loss(survey: &mut Survey<'_>, index: usize) -> Option<Loss> {
    let at = |name: &str| format!("line.part[{index}].{name}");
    for name in ["inside-diameter", "length"] {
        if survey.is_absent(&at(name)) {
            let span = survey.entries.section_span(&format!("line.part[{index}]"));
            survey.problems.push(
                Problem::new(
                    "part-pipe-incomplete",
                    format!("`line.part[{}]`: pipe data need {name}", index + 1),
                    Label::new(span, format!("`{name}` belongs here")),
                )
                .help("pipe data are inside-diameter and length, roughness and fittings-k where they are known"),
            );
        }
    }
    let diameter = survey.number(&at("inside-diameter"));
    let length = survey.number(&at("length"));
    if survey.is_absent(&at("roughness")) {
        survey.assume(
            "line.part.roughness",
            "0.05 mm".to_owned(),
            "not stated for every part; steel pipe in use, common practice",
        );
    }
    let roughness = optional(
        survey,
        &at("roughness"),
        USUAL_ROUGHNESS_M,
        |survey, path| survey.number(path).map(|found| found.value),
    );
    if survey.is_absent(&at("fittings-k")) {
        survey.assume(
            "line.part.fittings-k",
            "0".to_owned(),
            "not stated for every part; its bends and valves are not counted",
        );
    }
    let fittings = optional(survey, &at("fittings-k"), 0.0, |survey, path| {
        survey.number(path).map(|found| found.value)
    });
    if let (Some(roughness), Some(diameter)) = (survey.number(&at("roughness")), &diameter)
        && !(roughness.value < 0.05 * diameter.value)
    {
        survey.problems.push(
            Problem::new(
                "roughness-implausible",
                format!(
                    "`{}`: {} is more than a twentieth of the pipe's diameter",
                    roughness.shown(),
                    roughness.text
                ),
                roughness.label("cannot be meant"),
            )
            .and(diameter.label("the diameter"))
            .help("steel pipe in use has about 0.05 mm; is the unit right?"),
        );
    }
    Some(Loss::Pipe {
        inside_diameter_m: diameter?.value,
        length_m: length?.value,
        roughness_m: roughness?,
        fittings_k: fittings?,
    })
}
