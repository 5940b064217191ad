//! What an engineer should notice about the water in valve and line, and about the pumps.

use crate::description::feed_system::Supply;
use crate::feedwater::findings::{Facts, finding, named};
use crate::feedwater::sheets::{Cavitation, DutyFlow, DutyKind};
use crate::feedwater::supply::Source;
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Sound level that is told, dB(A) (common practice: hearing protection from 85).
const NOISE_LIMIT_DBA: f64 = 85.0;
/// Liquid in the valve's inlet, m/s (common practice).
const INLET_VELOCITY_LIMIT_M_S: f64 = 10.0;
/// Liquid in the pipe after the valve, m/s (common practice for boiler feed: 2 to 5).
const PIPE_VELOCITY_LIMIT_M_S: f64 = 5.0;
/// Flashing mixture in the pipe after the valve, m/s (common practice).
const MIXTURE_VELOCITY_LIMIT_M_S: f64 = 60.0;
/// NPSH available over required (common practice: 10 % in hand at least).
const NPSH_MARGIN_RATIO: f64 = 1.1;

/// What the drop does to the water, and how fast it runs.
pub(super) fn water_findings(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let units = ReaderUnits::of(facts.the_loop);
    let flows = facts.flows;
    let stated = |flow: &DutyFlow| flow.kind == DutyKind::Stated;
    if let Some(names) = named(flows, |flow| flow.flashing) {
        let severity = if flows.iter().any(|flow| flow.flashing && stated(flow)) {
            Severity::Warn
        } else {
            Severity::Note
        };
        found.push(finding(
            severity,
            "valve-flashes",
            "valve.style",
            format!("At {names} the pressure after the valve is under the vapour pressure: part of the water turns to steam and stays steam."),
            "Two-phase flow wears trim and the pipe after it, and shakes it; no size of valve cures it.",
            "Put the valve at the vessel's nozzle, hardened trim, a larger pipe after it; at start-up, which lasts hours, throttle as short as may be.",
        ));
    }
    for (class, severity, code, what) in [
        (
            Cavitation::Severe,
            Severity::Warn,
            "valve-cavitates-severely",
            "the flow chokes on bubbles that collapse after the valve",
        ),
        (
            Cavitation::Developed,
            Severity::Note,
            "valve-cavitates",
            "bubbles form and collapse all the time",
        ),
    ] {
        if let Some(names) = named(flows, |flow| flow.cavitation == class) {
            found.push(finding(
                severity,
                code,
                "valve.style",
                format!("At {names} {what}."),
                "Noise, vibration, and pitting of trim and body in proportion to the hours there; a start-up lasts hours, not minutes.",
                "Hardened or staged trim, part of the drop taken elsewhere, or a lower pump speed at small loads.",
            ));
        }
    }
    let loudest = flows
        .iter()
        .filter_map(|flow| Some((flow.noise_dba?, flow)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((level, flow)) = loudest
        && level > NOISE_LIMIT_DBA
    {
        found.push(finding(
            Severity::Warn,
            "valve-is-loud",
            "line.pipe-wall",
            format!(
                "At “{}” the valve makes {level:.0} dB(A) a metre from its pipe.",
                flow.name
            ),
            "Above 85 dB(A) hearing is to be protected.",
            "Low-noise or staged trim, a heavier pipe wall, or part of the drop taken elsewhere.",
        ));
    }
    for (code, input, what, limit, velocity) in [
        (
            "valve-inlet-is-fast",
            "valve.size.bore",
            "in the valve's inlet",
            INLET_VELOCITY_LIMIT_M_S,
            (|flow: &DutyFlow| Some(flow.inlet_velocity_m_s)) as fn(&DutyFlow) -> Option<f64>,
        ),
        (
            "pipe-after-valve-is-fast",
            "line.pipe-after-valve",
            "in the pipe after the valve",
            PIPE_VELOCITY_LIMIT_M_S,
            |flow| (!flow.flashing).then_some(flow.outlet_velocity_m_s),
        ),
        (
            "mixture-after-valve-is-fast",
            "line.pipe-after-valve",
            "of water and steam after the valve",
            MIXTURE_VELOCITY_LIMIT_M_S,
            |flow| flow.flashing.then_some(flow.outlet_velocity_m_s),
        ),
    ] {
        let fastest = flows
            .iter()
            .filter(|flow| flow.kind != DutyKind::SafetyValve)
            .filter_map(|flow| Some((velocity(flow)?, flow)))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((speed, flow)) = fastest
            && speed > limit
        {
            found.push(finding(
                Severity::Warn,
                code,
                input,
                format!(
                    "At “{}” the velocity {what} is {}; common practice stays under {}.",
                    flow.name,
                    units.velocity(speed),
                    units.velocity(limit)
                ),
                "Erosion, noise and vibration.",
                "Take a larger bore there.",
            ));
        }
    }
}

/// Pumps and line.
pub(super) fn supply_findings(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let flows = facts.flows;
    let short = |flow: &DutyFlow, margin: f64| match (flow.npsh_available_m, flow.npsh_required_m) {
        (Some(available), Some(required)) => !(available >= margin * required),
        (Some(available), None) => !(available > 0.0),
        _ => false,
    };
    let remedy = "Raise the level or pressure of the water drawn, shorten or widen the suction line, cool the water, or take a pump that wants less.";
    if let Some(names) = named(flows, |flow| short(flow, 1.0)) {
        found.push(finding(
            Severity::Stop,
            "npsh-is-short",
            "supply.suction-level-above-pump",
            format!("At {names} the pump has less NPSH than it needs."),
            "The pump cavitates: its head collapses and it wears out.",
            remedy,
        ));
    } else if let Some(names) = named(flows, |flow| short(flow, NPSH_MARGIN_RATIO)) {
        found.push(finding(
            Severity::Warn,
            "npsh-margin-is-small",
            "supply.suction-level-above-pump",
            format!("At {names} less than 10 % of NPSH is in hand (common practice)."),
            "A little warmer water or a fouled strainer makes the pump cavitate.",
            remedy,
        ));
    }
    if let Some(Source::Pumps(pumps)) = facts.systems.first().map(|system| &system.source) {
        let end = pumps.curve.end_flow_m3_s();
        if let Some(names) = named(flows, |flow| {
            flow.pump_flow_m3_s.is_some_and(|flow| flow > end)
        }) {
            found.push(finding(
                Severity::Warn,
                "pump-beyond-its-curve",
                "supply.point.flow",
                format!("At {names} each pump gives more than the last point of its curve."),
                "Head, NPSH and driver load are guessed there: the pump may run out.",
                "Enter more of the curve, or run another pump.",
            ));
        }
        let at_full = facts.systems[facts.largest]
            .source
            .at_flow(facts.chosen.installed.full_flow_kg_s);
        if at_full.pump_flow_m3_s.is_some_and(|flow| flow > end) {
            found.push(finding(
                Severity::Note,
                "pump-runs-out-at-full-valve",
                "supply.point.flow",
                "With the valve fully open each pump gives more than the last point of its curve."
                    .into(),
                "The full-valve flow rests on a curve that goes on as H = A - B q^2.",
                "Enter more of the curve; ask whether the driver stands that flow.",
            ));
        }
        if pumps.curve.rises_somewhere() {
            found.push(finding(
                Severity::Note,
                "pump-curve-rises",
                "supply.point.head",
                "The head of the pump's curve rises with flow somewhere.".into(),
                "Pumps in parallel may not share the flow, and the flow may hunt near there.",
                "Keep the flow of each pump beyond that part, by recirculation if need be.",
            ));
        }
    }
    let transition = |index: usize| {
        flows[index].flow_kg_s > 0.0 && facts.systems[index].has_transition(flows[index].flow_kg_s)
    };
    if let Some(index) = (0..flows.len()).find(|&index| transition(index)) {
        found.push(finding(
            Severity::Note,
            "pipe-flow-is-in-transition",
            "line.part.inside-diameter",
            format!(
                "At “{}” a pipe flows between laminar and turbulent.",
                flows[index].name
            ),
            "Its friction is not known there to better than a factor of 1.5.",
            "Nothing: friction is small at such flows.",
        ));
    }
    let fired = facts.the_loop.vessel.kind.is_fired();
    if fired && !facts.feed_system.returns.is_empty() {
        found.push(finding(
            Severity::Note,
            "returns-are-not-counted",
            "return.share-of-outflow",
            "Returns are listed, but this vessel is a boiler: its valve passes all of the feed."
                .into(),
            "They change nothing here.",
            "List them in the loop of the deaerator or feed tank.",
        ));
    }
    if let Supply::Pump(pump) = &facts.feed_system.supply
        && pump.variable_speed
    {
        let speeds: Vec<String> = flows
            .iter()
            .filter_map(|flow| {
                Some(format!(
                    "{:.0} % at “{}”",
                    flow.speed_with_valve_open_percent?, flow.name
                ))
            })
            .collect();
        if !speeds.is_empty() {
            found.push(finding(
                Severity::Note,
                "speed-could-control",
                "supply.variable-speed",
                format!("With the valve wide open these pump speeds would hold the duties: {}.", speeds.join(", ")),
                "A pump that is slowed at small loads saves power and spares the valve its largest drops.",
                "Where other vessels share the header, lower its pressure set point instead of controlling this level by speed.",
            ));
        }
    }
}
