//! What an engineer should notice about valve, line and supply.

use crate::description::Loop;
use crate::description::feed_system::FeedSystem;
use crate::feedwater::selection::{Assessed, WANTED_GAIN_SPREAD, WANTED_TRAVEL_PERCENT};
use crate::feedwater::sheets::{DutyFlow, DutyKind, FlowRegime};
use crate::feedwater::system::System;
use crate::feedwater::water_findings::{supply_findings, water_findings};
use crate::finding::{Finding, Severity};
use crate::reader_units::ReaderUnits;

/// Difference of the stated full-valve flow from the installed one that is told.
const FULL_FLOW_DIFFERENCE_RATIO: f64 = 0.15;
/// Travel under which a valve is not left to throttle, percent (common practice).
const LEAST_TRAVEL_PERCENT: f64 = 10.0;
/// Step of the smallest duty's flow by one deadband and resolution that is told.
const SMALLEST_STEP_RATIO: f64 = 0.1;

/// All that the findings look at.
pub(crate) struct Facts<'a> {
    /// Loop.
    pub(crate) the_loop: &'a Loop,
    /// Feed system.
    pub(crate) feed_system: &'a FeedSystem,
    /// Duties.
    pub(crate) flows: &'a [DutyFlow],
    /// Their systems.
    pub(crate) systems: &'a [System],
    /// Chosen valve.
    pub(crate) chosen: &'a Assessed,
    /// Largest duty.
    pub(crate) largest: usize,
    /// Smallest stated duty.
    pub(crate) smallest: usize,
}

pub(super) fn finding(
    severity: Severity,
    code: &'static str,
    input: &'static str,
    what: String,
    consequence: impl Into<String>,
    remedy: impl Into<String>,
) -> Finding {
    Finding {
        severity,
        code,
        what,
        consequence: consequence.into(),
        remedy: remedy.into(),
        input,
    }
}

/// Names of duties for which a test holds, quoted; that at the set of the safety valves has findings of its own.
pub(super) fn named(flows: &[DutyFlow], holds: impl Fn(&DutyFlow) -> bool) -> Option<String> {
    let names: Vec<String> = flows
        .iter()
        .filter(|flow| flow.kind != DutyKind::SafetyValve && holds(flow))
        .map(|flow| format!("“{}”", flow.name))
        .collect();
    (!names.is_empty()).then(|| names.join(", "))
}

/// Findings.
pub(crate) fn feedwater_findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    size_findings(facts, &mut found);
    water_findings(facts, &mut found);
    supply_findings(facts, &mut found);
    control_findings(facts, &mut found);
    found
}

fn size_findings(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let units = ReaderUnits::of(facts.the_loop);
    let chosen = facts.chosen;
    let valve = &facts.feed_system.valve;
    let input = if valve.fitted.is_some() {
        "valve.fitted-kv"
    } else {
        "valve.size.rated-kv"
    };
    if let Some(names) = named(facts.flows, |flow| flow.travel_percent.is_none()) {
        found.push(finding(
            Severity::Stop,
            "valve-too-small",
            input,
            format!(
                "Even fully open, {} does not pass {names}.",
                chosen.size.name
            ),
            "The level falls at that load whatever the controller does.",
            "Take a larger valve, or raise the supply pressure or lower the line's friction.",
        ));
    }
    let (low, high) = WANTED_TRAVEL_PERCENT;
    match facts.flows[facts.largest].travel_percent {
        Some(travel) if travel < low => found.push(finding(
            Severity::Warn,
            "valve-oversized",
            input,
            format!(
                "{} is only {travel:.0} % open at “{}”; {low:.0} to {high:.0} % is common practice.",
                chosen.size.name, facts.flows[facts.largest].name
            ),
            "It works near its seat at every load: coarse steps, wear, a gain that changes fast.",
            "Take a smaller valve or a reduced trim; see the choice of size.",
        )),
        Some(travel) if travel > high => found.push(finding(
            Severity::Warn,
            "valve-travel-at-maximum-is-high",
            input,
            format!(
                "{} is {travel:.0} % open at “{}”; {low:.0} to {high:.0} % is common practice.",
                chosen.size.name, facts.flows[facts.largest].name
            ),
            "Little is in hand to bring back a level that has fallen.",
            "Take the next larger valve if its small loads allow; see the choice of size.",
        )),
        _ => {}
    }
    if valve.fitted.is_none() && valve.sizes_are_generic {
        found.push(finding(
            Severity::Note,
            "valve-sizes-are-generic",
            "valve.size.rated-kv",
            "The sizes to choose from are a generic series, no maker's list.".into(),
            format!(
                "{} is a size to ask makers for, not one to order.",
                facts.chosen.size.name
            ),
            "Enter the rated flow coefficients and bores that the makers offer, and the choice is made anew.",
        ));
    }
    if let Some(names) = scope(facts) {
        found.push(finding(
            Severity::Warn,
            "valve-sizing-out-of-scope",
            input,
            format!("At {names} the flow coefficient is larger than IEC 60534-2-1 is stated for with this bore."),
            "Flow and travel may be off by more than the standard's few percent.",
            "Ask the maker for a sizing by test.",
        ));
    }
    if let Some(names) = named(facts.flows, |flow| {
        matches!(flow.regime, FlowRegime::Transitional | FlowRegime::Laminar)
    }) {
        found.push(finding(
            Severity::Note,
            "valve-flow-is-not-turbulent",
            "",
            format!("At {names} the valve Reynolds number is below 10 000."),
            "The wanted flow coefficient allows for it; the installed curve does not and reads a little high there.",
            "Nothing, unless that duty matters: then ask the maker.",
        ));
    }
    for (limit, code, input, what, at_shut) in [
        (
            valve.throttling_limit_pa,
            "throttling-limit-exceeded",
            "valve.throttling-limit",
            "while throttling",
            false,
        ),
        (
            valve.shut_off_limit_pa,
            "shut-off-limit-exceeded",
            "valve.shut-off-limit",
            "at shut-off",
            true,
        ),
    ] {
        let Some(limit_pa) = limit else { continue };
        let over = |flow: &DutyFlow| {
            (flow.kind == DutyKind::ShutOff) == at_shut && flow.pressure_drop_pa > limit_pa
        };
        if let Some(names) = named(facts.flows, over) {
            let most = facts
                .flows
                .iter()
                .filter(|flow| over(flow))
                .fold(0.0_f64, |most, flow| most.max(flow.pressure_drop_pa));
            found.push(finding(
                Severity::Stop,
                code,
                input,
                format!(
                    "The drop of {} at {names} is more than the {} that the valve's maker allows {what}.",
                    units.pressure_difference(most),
                    units.pressure_difference(limit_pa)
                ),
                "Trim, stem or body may fail.",
                "Take a valve made for that drop, or lower the supply pressure there.",
            ));
        }
    }
}

fn scope(facts: &Facts<'_>) -> Option<String> {
    let names: Vec<String> = facts
        .flows
        .iter()
        .zip(&facts.chosen.sizings)
        .filter(|(flow, sizing)| {
            flow.kind != DutyKind::SafetyValve
                && sizing
                    .as_ref()
                    .is_ok_and(|sizing| !sizing.is_within_scope())
        })
        .map(|(flow, _)| format!("“{}”", flow.name))
        .collect();
    (!names.is_empty()).then(|| names.join(", "))
}

fn control_findings(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let flows = facts.flows;
    let installed = &facts.chosen.installed;
    let throttles = |flow: &DutyFlow| {
        flow.travel_percent
            .is_some_and(|travel| travel < LEAST_TRAVEL_PERCENT)
    };
    let start_up = |flow: &DutyFlow| flow.kind == DutyKind::StartUp && throttles(flow);
    if let Some(names) = named(flows, start_up) {
        found.push(finding(
            Severity::Warn,
            "start-up-throttles-beside-the-seat",
            "valve.style",
            format!("At {names} the valve is less than 10 % open against its largest drop."),
            "It wears its seat and controls in steps.",
            "Fill by hand through the bypass or at lower pump speed, and give the valve to the controller with pressure.",
        ));
    }
    if let Some(names) = named(flows, |flow| {
        flow.kind == DutyKind::Stated && throttles(flow)
    }) {
        found.push(finding(
            Severity::Warn,
            "low-load-throttles-beside-the-seat",
            "valve.style",
            format!("At {names} the valve is less than 10 % open (common practice: not less)."),
            "It opens and shuts instead of throttling, and the level cycles.",
            "A smaller valve, an equal-percentage trim, or a second small valve for small loads.",
        ));
    }
    let small = &flows[facts.smallest];
    if let Some(gain) = small.installed_gain_ratio {
        let feed = &facts.the_loop.feedwater;
        let step =
            gain * installed.full_flow_kg_s * (feed.deadband_percent + feed.resolution_percent)
                / 100.0
                / small.flow_kg_s;
        if step > SMALLEST_STEP_RATIO {
            found.push(finding(
                Severity::Warn,
                "low-load-moves-in-steps",
                "feedwater.resolution",
                format!(
                    "At “{}” one step of the actuator (deadband and resolution) changes the flow by {:.0} %.",
                    small.name,
                    100.0 * step
                ),
                "The level cycles at that load whatever the tuning.",
                "An actuator with less deadband and finer steps, a smaller valve, or an equal-percentage trim.",
            ));
        }
    }
    let spread = installed.gain_spread_ratio;
    if spread > WANTED_GAIN_SPREAD {
        found.push(finding(
            Severity::Warn,
            "valve-gain-changes-much",
            "valve.characteristic",
            format!(
                "Between “{}” and “{}” the installed gain changes {spread:.1} times; common practice keeps it within 4.",
                small.name, flows[facts.largest].name
            ),
            "Settings that suit one load are too fast or too slow at another.",
            "Another characteristic, or a valve that takes more of the drop; the tuning is for the largest gain.",
        ));
    }
    let wanted = flows[facts.largest].flow_kg_s / small.flow_kg_s;
    if wanted > installed.turndown_ratio {
        found.push(finding(
            Severity::Warn,
            "turndown-is-short",
            "valve.characteristic",
            format!(
                "Flows from “{}” to “{}” are {wanted:.1} to 1; the valve in this system controls {:.1} to 1 (open flow over the flow at 10 % travel).",
                small.name, flows[facts.largest].name, installed.turndown_ratio
            ),
            "At small loads it opens and shuts.",
            "A smaller valve, an equal-percentage trim, or a second small valve.",
        ));
    }
    let units = ReaderUnits::of(facts.the_loop);
    let stated = facts.the_loop.feedwater.full_valve_flow_kg_s;
    let full = installed.full_flow_kg_s;
    if facts
        .the_loop
        .feedwater
        .full_valve_flow_source
        .starts_with("stated")
        && !((stated / full - 1.0).abs() <= FULL_FLOW_DIFFERENCE_RATIO)
    {
        found.push(finding(
            Severity::Warn,
            "full-valve-flow-differs",
            "feedwater.full-valve-flow",
            format!(
                "The stated full-valve flow is {}; valve and system give {}.",
                units.flow(stated),
                units.flow(full)
            ),
            "One of them is wrong; the tuning uses what valve and system give.",
            "Check the stated flow, the rated flow coefficient and the pump's curve.",
        ));
    }
}
