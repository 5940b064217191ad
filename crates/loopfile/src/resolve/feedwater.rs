//! The valve that the controller moves.

use halfglass_core::description::{Duty, FailPosition, Feedwater, Loop, ValveService, VesselKind};
use halfglass_core::dynamics::shell_swell::longest_swell_time_s;

use super::feed_system::{Feed, flow_kg_s};
use super::plausible;
use crate::quantity_text::{Basis, Dimension};
use crate::survey::Survey;
use crate::words;

pub(super) fn feedwater(survey: &mut Survey<'_>, duties: Option<&[Duty]>) -> Option<Feedwater> {
    let service = survey.word_or(
        "feedwater.valve",
        "fills",
        "not stated; opening the valve raises the level",
    );
    let rising = survey
        .word("feedwater.rising-output")
        .map(|word| word.value);
    let flow = full_valve_flow(survey, duties.and_then(Feed::of));
    let stroke = survey.number_or(
        "feedwater.stroke-time",
        60.0,
        "not surveyed; common for an electric actuator; it counts towards the dead time of tuning",
    );
    let deadband = survey.number_or(
        "feedwater.deadband",
        1.0,
        "not surveyed; common practice; it counts towards the dead time of tuning",
    );
    let resolution = survey.number_or(
        "feedwater.resolution",
        0.5,
        "not surveyed; common practice; it counts towards the dead time of tuning",
    );
    let fails = ["feedwater.on-signal-loss", "feedwater.on-power-loss"].map(|path| {
        survey.word(path).map(|word| match word.value {
            "open" => FailPosition::Open,
            "closed" => FailPosition::Closed,
            _ => FailPosition::Last,
        })
    });
    let (full_valve_flow_kg_s, full_valve_flow_source) = flow?;
    if let Some(duties) = duties {
        plausible::valve_flow(survey, full_valve_flow_kg_s, duties);
    }
    Some(Feedwater {
        service: match service? {
            "drains" => ValveService::Outflow,
            _ => ValveService::Inflow,
        },
        rising_output_opens: rising? == "opens",
        full_valve_flow_kg_s,
        full_valve_flow_source,
        stroke_time_s: stroke?,
        deadband_percent: deadband?,
        resolution_percent: resolution?,
        // Filled in later: its default needs the whole boiler.
        swell_time_s: f64::NAN,
        on_signal_loss: fails[0]?,
        on_power_loss: fails[1]?,
    })
}

fn full_valve_flow(survey: &mut Survey<'_>, feed: Option<Feed>) -> Option<(f64, String)> {
    const PATH: &str = "feedwater.full-valve-flow";
    if survey.is_absent(PATH) {
        let flow_kg_s = 1.25 * feed?.flow_kg_s;
        survey.assume(
            PATH,
            words::quantity(flow_kg_s, Dimension::Flow, survey.units),
            "not surveyed; 1.25 times the largest duty's feed flow; the process gain is in proportion to it, so measure it",
        );
        return Some((
            flow_kg_s,
            "assumed: 1.25 times the largest duty's feed flow".to_owned(),
        ));
    }
    let source = match survey.quantity(PATH)?.value.basis {
        Basis::VolumeFlow => "stated in the loop file as a volume flow",
        _ => "stated in the loop file",
    };
    let flow = flow_kg_s(survey, PATH, PATH, feed)?;
    Some((flow.value, source.to_owned()))
}

/// How long the level goes the wrong way: a shell boiler's is computed where nobody measured it.
pub(super) fn swell_time_s(survey: &mut Survey<'_>, described: &Loop) -> Option<f64> {
    const PATH: &str = "feedwater.swell-time";
    let common = match described.vessel.kind {
        VesselKind::ShellBoiler => 20.0,
        VesselKind::DrumBoiler => 15.0,
        VesselKind::Deaerator => 5.0,
        VesselKind::VentedTank => 0.0,
    };
    let computed_s = if described.vessel.kind == VesselKind::ShellBoiler && !survey.is_present(PATH)
    {
        longest_swell_time_s(described).ok()
    } else {
        None
    };
    match computed_s {
        Some(computed_s) => survey.number_or(
            PATH,
            computed_s.ceil(),
            "not surveyed; the longest that the boiler's own volumes give over its duty points with the slowest bubbles published; it counts \
             towards the dead time of tuning until a bump test shows it",
        ),
        None => survey.number_or(
            PATH,
            common,
            "not surveyed; by the kind of vessel; it counts towards the dead time of tuning until a bump test shows it",
        ),
    }
}
