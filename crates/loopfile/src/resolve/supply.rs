//! Pumps or header.

use halfglass_core::description::feed_system::{Header, Pump, PumpPoint, Recirculation, Supply};

use super::feed_system::{Feed, flow_kg_s, flow_m3_s, reference_drop};
use crate::problem::{Label, Problem};
use crate::survey::{Located, Survey};

/// Fewest points that show how a curve bends.
const FEWEST_POINTS: usize = 3;
/// The first point's flow over the last's: a curve that begins later says nothing of a shut valve.
const LATEST_BEGIN: f64 = 0.1;

pub(super) fn supply(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Supply> {
    let kind = survey.word("supply.kind");
    match kind?.value {
        "header" => {
            for path in [
                "supply.running",
                "supply.standby",
                "supply.suction-pressure",
                "supply.suction-level-above-pump",
                "supply.suction-loss",
                "supply.suction-loss-at",
                "supply.minimum-flow",
                "supply.recirculation",
                "supply.recirculation-flow",
                "supply.variable-speed",
                "supply.point[0].flow",
            ] {
                survey.refuse(path, "the supply is a header, which others keep up");
            }
            header(survey, feed).map(Supply::Header)
        }
        _ => {
            for path in ["supply.pressure", "supply.droop", "supply.droop-at"] {
                survey.refuse(path, "the supply is a pump, whose curve gives the pressure");
            }
            pump(survey, feed).map(Supply::Pump)
        }
    }
}

fn header(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Header> {
    survey.require("supply.pressure", "the supply is a header");
    let pressure = survey.pressure("supply.pressure");
    let droop = reference_drop(
        survey,
        ["supply.droop", "supply.droop-at"],
        "supply.droop-at",
        feed,
    );
    if survey.is_present("supply.other-flow") {
        survey.refuse(
            "supply.other-flow",
            "the header's pressure is what others leave of it",
        );
    }
    Some(Header {
        pressure: pressure?.value,
        droop: droop?,
    })
}

fn pump(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Pump> {
    for path in [
        "supply.running",
        "supply.suction-pressure",
        "supply.suction-level-above-pump",
    ] {
        survey.require(path, "the supply is a pump");
    }
    let running = survey.integer("supply.running");
    let standby = optional(survey, "supply.standby", 0, |survey, path| {
        survey.integer(path).map(|found| found.value)
    });
    let surface = survey.pressure("supply.suction-pressure");
    let above = survey.number("supply.suction-level-above-pump");
    let suction_loss = reference_drop(
        survey,
        ["supply.suction-loss", "supply.suction-loss-at"],
        "supply.suction-loss-at",
        feed,
    );
    let minimum = optional(survey, "supply.minimum-flow", None, |survey, path| {
        flow_m3_s(survey, path, "supply.minimum-flow", feed).map(|found| Some(found.value))
    });
    let recirculation = recirculation(survey, feed);
    let other = optional(survey, "supply.other-flow", 0.0, |survey, path| {
        flow_kg_s(survey, path, "supply.other-flow", feed).map(|found| found.value)
    });
    let variable = optional(survey, "supply.variable-speed", false, |survey, path| {
        survey.flag(path).map(|found| found.value)
    });
    let curve = curve(survey, feed);
    Some(Pump {
        curve: curve?,
        running: u32::try_from(running?.value).ok()?,
        standby: u32::try_from(standby?).ok()?,
        suction_surface: surface?.value,
        suction_surface_above_pump_m: above?.value,
        suction_loss: suction_loss?,
        minimum_flow_m3_s: minimum?,
        recirculation: recirculation?,
        other_flow_kg_s: other?,
        variable_speed: variable?,
    })
}

/// What is stated, or what holds where nothing is.
pub(super) fn optional<T>(
    survey: &mut Survey<'_>,
    path: &str,
    absent: T,
    read: impl FnOnce(&mut Survey<'_>, &str) -> Option<T>,
) -> Option<T> {
    if survey.is_absent(path) {
        return Some(absent);
    }
    read(survey, path)
}

fn recirculation(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Recirculation> {
    let word = survey.word_or(
        "supply.recirculation",
        "none",
        "not surveyed; the careful side: nothing keeps the pump's minimum flow when the valve shuts",
    );
    let word = word?;
    if word != "continuous" {
        survey.refuse(
            "supply.recirculation-flow",
            "only an orifice that always passes has a flow of its own",
        );
    }
    match word {
        "continuous" => {
            survey.require(
                "supply.recirculation-flow",
                "the recirculation is continuous",
            );
            let flow = flow_m3_s(
                survey,
                "supply.recirculation-flow",
                "supply.recirculation-flow",
                feed,
            );
            Some(Recirculation::Continuous {
                flow_m3_s: flow?.value,
            })
        }
        "automatic" => Some(Recirculation::Automatic),
        _ => Some(Recirculation::None),
    }
}

fn curve(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<Vec<PumpPoint>> {
    let count = survey.entries.count("supply.point");
    if count < FEWEST_POINTS {
        let span = survey.entries.get("supply.kind")?.span.clone();
        survey.problems.push(
            Problem::new(
                "pump-points-too-few",
                format!("the pump's curve has {count} points; three at least show how it bends"),
                Label::new(span, "a pump has a curve"),
            )
            .help("copy three points or more from its maker's sheet, each under [[supply.point]]: no flow, the duty, and beyond"),
        );
        return None;
    }
    let mut points = Vec::new();
    for index in 0..count {
        let at = |name: &str| format!("supply.point[{index}].{name}");
        let flow = flow_m3_s(survey, &at("flow"), "supply.point.flow", feed);
        let head = survey.number(&at("head"));
        let npsh = optional(survey, &at("npsh-required"), None, |survey, path| {
            survey.number(path).map(|found| Some(found.value))
        });
        points.push((flow, head, npsh));
    }
    for pair in points.windows(2) {
        let [low, high] = pair else { continue };
        survey.check_below(
            "pump-flow-not-rising",
            low.0.as_ref(),
            high.0.as_ref(),
            false,
            "write the points by rising flow",
        );
        survey.check_below(
            "pump-head-not-falling",
            high.1.as_ref(),
            low.1.as_ref(),
            false,
            "a curve that does not fall all the way gives two flows for one head; read it again, and leave out what lies left of its peak",
        );
    }
    check_begin(survey, &points);
    points
        .into_iter()
        .map(|(flow, head, npsh)| {
            Some(PumpPoint {
                flow_m3_s: flow?.value,
                head_m: head?.value,
                npsh_required_m: npsh?,
            })
        })
        .collect()
}

type Row = (
    Option<Located<f64>>,
    Option<Located<f64>>,
    Option<Option<f64>>,
);

fn check_begin(survey: &mut Survey<'_>, points: &[Row]) {
    let (Some((Some(first), ..)), Some((Some(last), ..))) = (points.first(), points.last()) else {
        return;
    };
    if first.value <= LATEST_BEGIN * last.value || first.value >= last.value {
        return;
    }
    survey.problems.push(
        Problem::new(
            "pump-curve-begins-late",
            format!(
                "the pump's curve begins at {}: what it does against a shut valve is not known",
                first.text
            ),
            first.label("more than a tenth of the last point's flow"),
        )
        .and(last.label("the last point"))
        .help("add the point at no flow, the shut-off head"),
    );
}
