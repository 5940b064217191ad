//! The water side as a whole, where it was surveyed: supply, line, valve, actuator, station, returns.

use halfglass_core::description::feed_system::{FeedSystem, ReferenceDrop, ReturnFlow};
use halfglass_core::description::{Duty, VesselKind};
use halfglass_core::water::compressed_water_density_kg_m3;

use super::{actuator, groups, line, supply, valve};
use crate::keys::GROUPS;
use crate::problem::{Label, Problem};
use crate::quantity_text::{Basis, Dimension, Quantity};
use crate::survey::{Located, Survey};
use crate::words;

/// The feedwater of the largest duty: how much, and by which volume flows become masses.
#[derive(Debug, Clone, Copy)]
pub(super) struct Feed {
    pub(super) flow_kg_s: f64,
    density_kg_m3: f64,
    temperature_k: f64,
}

impl Feed {
    pub(super) fn of(duties: &[Duty]) -> Option<Self> {
        let flow_kg_s = |duty: &Duty| duty.steam_kg_s + duty.blowdown_kg_s;
        let largest = duties
            .iter()
            .max_by(|left, right| flow_kg_s(left).total_cmp(&flow_kg_s(right)))?;
        let temperature_k = largest.feed_temperature_k;
        let density_kg_m3 =
            compressed_water_density_kg_m3(temperature_k, largest.pressure.pa()).ok()?;
        Some(Self {
            flow_kg_s: flow_kg_s(largest),
            density_kg_m3,
            temperature_k,
        })
    }
}

/// Outer `None`: there are problems; inner `None`: it was not surveyed.
pub(super) fn feed_system(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    duties: Option<&[Duty]>,
) -> Option<Option<FeedSystem>> {
    if !groups::stands(survey, &GROUPS[0]) {
        return Some(None);
    }
    refuse_draining_valve(survey);
    let feed = duties.and_then(Feed::of);
    let supply = supply::supply(survey, feed);
    let line = line::line(survey, feed);
    let valve = valve::valve(survey);
    let actuator = actuator::actuator(survey);
    let station = actuator::station(survey);
    let returns = returns(survey, kind);
    Some(Some(FeedSystem {
        supply: supply?,
        line: line?,
        valve: valve?,
        actuator: actuator?,
        station: station?,
        returns: returns?,
    }))
}

fn refuse_draining_valve(survey: &mut Survey<'_>) {
    let Some(drains) = survey
        .word("feedwater.valve")
        .filter(|word| word.value == "drains")
    else {
        return;
    };
    let supply = survey.entries.section_span("supply");
    survey.problems.push(
        Problem::new(
            "supply-of-draining-valve",
            "the valve drains the vessel, but what is described brings water to it; a draining valve is not sized",
            Label::new(supply, "brings water"),
        )
        .and(drains.label("drains"))
        .help("leave supply, line, valve, actuator and station out, or write valve = \"fills\" if opening raises the level"),
    );
}

/// A flow of water as mass; `key` is its path without indexes, under which a conversion is listed.
pub(super) fn flow_kg_s(
    survey: &mut Survey<'_>,
    path: &str,
    key: &'static str,
    feed: Option<Feed>,
) -> Option<Located<f64>> {
    let found = survey.quantity(path)?;
    match found.value.basis {
        Basis::Plain => Some(found.map(|quantity| quantity.value)),
        Basis::VolumeFlow => {
            let feed = feed?;
            assume_feed(survey, key, "volume flow", feed);
            Some(found.map(|quantity| quantity.value * feed.density_kg_m3))
        }
        _ => refuse_output(survey, &found),
    }
}

/// A flow of water as volume.
pub(super) fn flow_m3_s(
    survey: &mut Survey<'_>,
    path: &str,
    key: &'static str,
    feed: Option<Feed>,
) -> Option<Located<f64>> {
    let found = survey.quantity(path)?;
    match found.value.basis {
        Basis::VolumeFlow => Some(found.map(|quantity| quantity.value)),
        Basis::Plain => {
            let feed = feed?;
            assume_feed(survey, key, "mass flow", feed);
            Some(found.map(|quantity| quantity.value / feed.density_kg_m3))
        }
        _ => refuse_output(survey, &found),
    }
}

fn assume_feed(survey: &mut Survey<'_>, key: &'static str, given: &str, feed: Feed) {
    let at = words::quantity(feed.temperature_k, Dimension::Temperature, survey.units);
    survey.assume(
        key,
        format!("{given} taken as water at {at}"),
        "the feed temperature of the largest duty gives its density",
    );
}

fn refuse_output<T>(survey: &mut Survey<'_>, found: &Located<Quantity>) -> Option<T> {
    survey.problems.push(
        Problem::new(
            "output-not-a-flow",
            format!(
                "`{}`: {} is a boiler's output, not a flow of water",
                found.shown(),
                found.text
            ),
            found.label("an output"),
        )
        .help("give the flow of water, for instance in gpm(US), m3/h, lb/h or t/h"),
    );
    None
}

/// A drop and the flow it belongs to: both or neither.
pub(super) fn reference_drop(
    survey: &mut Survey<'_>,
    [drop_path, at_path]: [&str; 2],
    at_key: &'static str,
    feed: Option<Feed>,
) -> Option<Option<ReferenceDrop>> {
    let (has_drop, has_flow) = (survey.is_present(drop_path), survey.is_present(at_path));
    if !has_drop && !has_flow {
        return Some(None);
    }
    if has_drop != has_flow {
        let (there, missing) = if has_drop {
            (drop_path, at_path)
        } else {
            (at_path, drop_path)
        };
        let name = missing.rsplit('.').next().unwrap_or(missing);
        if let Some(entry) = survey.entries.get(there) {
            survey.problems.push(
                Problem::new(
                    "drop-without-its-flow",
                    format!(
                        "`{}` says nothing without `{name}`: a drop goes with the square of its flow",
                        crate::keys::counted_from_one(there)
                    ),
                    Label::new(entry.span.clone(), format!("`{name}` belongs beside it")),
                )
                .help(format!("add {name}, or leave both out")),
            );
        }
        return None;
    }
    let drop = survey.number(drop_path);
    let flow = flow_kg_s(survey, at_path, at_key, feed);
    Some(Some(ReferenceDrop {
        drop_pa: drop?.value,
        flow_kg_s: flow?.value,
    }))
}

fn returns(survey: &mut Survey<'_>, kind: Option<VesselKind>) -> Option<Vec<ReturnFlow>> {
    let count = survey.entries.count("return");
    if count > 0 && kind.is_some_and(VesselKind::is_fired) {
        let mut problem = Problem::new(
            "return-into-fired-vessel",
            "nothing returns into a boiler beside its feedwater",
            Label::new(survey.entries.section_span("return[0]"), "a return"),
        )
        .help("returns belong to a deaerator or a feed tank: remove them here");
        if let Some(vessel) = survey.entries.get("vessel.kind") {
            problem = problem.and(Label::new(vessel.span.clone(), "fired"));
        }
        survey.problems.push(problem);
        return None;
    }
    let mut returns = Vec::new();
    let mut sum = 0.0;
    for index in 0..count {
        let at = |name: &str| format!("return[{index}].{name}");
        let name = survey.text(&at("name"));
        let share = survey.number(&at("share"));
        let temperature = survey.number(&at("temperature"));
        let pressure = survey.pressure(&at("pressure"));
        if let Some(share) = &share {
            let before = sum;
            sum += share.value;
            if before <= 100.0 && sum > 100.0 {
                survey.problems.push(
                    Problem::new(
                        "returns-over-outflow",
                        format!(
                            "the returns come to {} % of the outflow: nothing is left to make up",
                            words::short(sum)
                        ),
                        share.label("goes over 100 %"),
                    )
                    .help("each share is a percentage of what leaves this vessel"),
                );
            }
        }
        returns.push((|| {
            Some(ReturnFlow {
                name: name?.value,
                share_of_outflow: share?.value / 100.0,
                temperature_k: temperature?.value,
                pressure: pressure?.value,
            })
        })());
    }
    returns.into_iter().collect()
}
