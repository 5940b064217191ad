//! The actuator's strength, and what stands around the valve.

use halfglass_core::description::feed_system::{Actuator, Bypass, Station};

use super::supply::optional;
use super::valve::is_rotary;
use crate::problem::Problem;
use crate::survey::{Located, Survey};

const LINEAR: [&str; 4] = [
    "actuator.rated-force",
    "actuator.packing-friction",
    "actuator.balanced",
    "actuator.flow",
];
const ROTARY: [&str; 3] = [
    "actuator.rated-torque",
    "actuator.breakaway-torque",
    "actuator.running-torque",
];

pub(super) fn actuator(survey: &mut Survey<'_>) -> Option<Actuator> {
    let kind = survey.word("actuator.kind")?;
    let style = survey.word("valve.style");
    if let Some(style) = &style {
        check_style(survey, &kind, style);
    }
    if kind.value == "rotary" {
        for path in LINEAR {
            survey.refuse(path, "the actuator turns a shaft");
        }
        for path in ROTARY {
            survey.require(path, "the actuator is rotary");
        }
        let [rated, breakaway, running] = ROTARY.map(|path| survey.number(path));
        return Some(Actuator::Rotary {
            rated_torque_n_m: rated?.value,
            breakaway_torque_n_m: breakaway?.value,
            running_torque_n_m: running?.value,
        });
    }
    for path in ROTARY {
        survey.refuse(path, "the actuator pushes a stem");
    }
    for path in LINEAR {
        survey.require(path, "the actuator is linear");
    }
    let rated = survey.number("actuator.rated-force");
    let friction = survey.number("actuator.packing-friction");
    survey.check_below(
        "packing-over-rated-force",
        friction.as_ref(),
        rated.as_ref(),
        false,
        "such an actuator moves nothing; read both again, is the unit right?",
    );
    let balanced = survey.flag("actuator.balanced");
    let flow = survey.word("actuator.flow");
    if let (Some(flow), Some(style)) = (&flow, &style) {
        check_direction(survey, flow, style);
    }
    Some(Actuator::Linear {
        rated_force_n: rated?.value,
        packing_friction_n: friction?.value,
        balanced: balanced?.value,
        flow_opens: flow?.value == "opens",
    })
}

fn check_style(
    survey: &mut Survey<'_>,
    kind: &Located<&'static str>,
    style: &Located<&'static str>,
) {
    let rotary = is_rotary(style.value);
    if rotary == (kind.value == "rotary") {
        return;
    }
    let (wanted, does) = if rotary {
        ("rotary", "turns a shaft")
    } else {
        ("linear", "moves a stem")
    };
    survey.problems.push(
        Problem::new(
            "actuator-not-for-style",
            format!(
                "a {} actuator does not fit the valve `{}`, which {does}",
                kind.value, style.value
            ),
            kind.label("this kind of actuator"),
        )
        .and(style.label(does))
        .help(format!("write kind = \"{wanted}\", or correct the style")),
    );
}

/// The style says which way the flow comes where it depends on it.
fn check_direction(
    survey: &mut Survey<'_>,
    flow: &Located<&'static str>,
    style: &Located<&'static str>,
) {
    let said = if style.value.ends_with("flow-opens") {
        "opens"
    } else if style.value.ends_with("flow-closes") {
        "closes"
    } else {
        return;
    };
    if flow.value != said {
        survey.problems.push(
            Problem::new(
                "flow-direction-contradicted",
                format!(
                    "the flow {} the plug, but the style is `{}`",
                    flow.value, style.value
                ),
                flow.label("one way"),
            )
            .and(style.label("the other way"))
            .help("look at the arrow on the body"),
        );
    }
}

pub(super) fn station(survey: &mut Survey<'_>) -> Option<Station> {
    let bypass = survey.word("station.bypass");
    if bypass.as_ref().is_some_and(|word| word.value == "none") {
        survey.refuse("station.bypass-kv", "there is no bypass");
    }
    let kv = optional(survey, "station.bypass-kv", None, |survey, path| {
        survey.number(path).map(|found| Some(found.value))
    });
    let isolating = survey.flag("station.isolating-valves");
    let replaces = optional(survey, "station.replaces-on-off", false, |survey, path| {
        survey.flag(path).map(|found| found.value)
    });
    if replaces == Some(true) {
        survey.require("station.interlocks-kept", "on/off control is replaced");
    }
    Some(Station {
        bypass: match bypass?.value {
            "hand" => Bypass::Hand { kv_m3_h: kv? },
            _ => Bypass::None,
        },
        isolating_valves: isolating?.value,
        replaces_on_off: replaces?,
        interlocks_kept: survey.texts("station.interlocks-kept"),
    })
}
