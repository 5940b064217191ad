//! The valve that the controller moves.

use halfglass_core::description::{Duty, FailPosition, Feedwater, ValveService, VesselKind};
use halfglass_core::water::compressed_water_density_kg_m3;

use super::plausible;
use crate::problem::Problem;
use crate::quantity_text::{Basis, Dimension};
use crate::survey::Survey;
use crate::words;

pub(super) fn feedwater(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    duties: Option<&[Duty]>,
) -> Option<Feedwater> {
    let service = survey.word_or(
        "feedwater.valve",
        "fills",
        "not stated; opening the valve raises the level",
    );
    let rising = survey
        .word("feedwater.rising-output")
        .map(|word| word.value);
    let flow = full_valve_flow(survey, duties);
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
    let swell = match kind {
        Some(kind) => survey.number_or(
            "feedwater.swell-time",
            match kind {
                VesselKind::ShellBoiler => 20.0,
                VesselKind::DrumBoiler => 15.0,
                VesselKind::Deaerator => 5.0,
                VesselKind::VentedTank => 0.0,
            },
            "not surveyed; by the kind of vessel; it counts towards the dead time of tuning until a bump test shows it",
        ),
        None => None,
    };
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
        swell_time_s: swell?,
        on_signal_loss: fails[0]?,
        on_power_loss: fails[1]?,
    })
}

fn full_valve_flow(survey: &mut Survey<'_>, duties: Option<&[Duty]>) -> Option<(f64, String)> {
    const PATH: &str = "feedwater.full-valve-flow";
    let largest = duties.and_then(|duties| {
        duties.iter().max_by(|left, right| {
            (left.steam_kg_s + left.blowdown_kg_s)
                .total_cmp(&(right.steam_kg_s + right.blowdown_kg_s))
        })
    });
    if survey.is_absent(PATH) {
        let largest = largest?;
        let flow_kg_s = 1.25 * (largest.steam_kg_s + largest.blowdown_kg_s);
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
    let found = survey.quantity(PATH)?;
    match found.value.basis {
        Basis::Plain => Some((found.value.value, "stated in the loop file".to_owned())),
        Basis::VolumeFlow => {
            let largest = largest?;
            let density =
                compressed_water_density_kg_m3(largest.feed_temperature_k, largest.pressure.pa())
                    .ok()?;
            let at = words::quantity(
                largest.feed_temperature_k,
                Dimension::Temperature,
                survey.units,
            );
            survey.assume(
                PATH,
                format!("{} taken as water at {at}", found.text),
                "a volume flow was given; the feed temperature of the largest duty gives its density",
            );
            Some((
                found.value.value * density,
                format!("stated in the loop file as a volume flow, converted at {at}"),
            ))
        }
        _ => {
            survey.problems.push(
                Problem::new(
                    "output-of-valve",
                    format!(
                        "`{PATH}`: {} is a boiler's output, not a valve's flow",
                        found.text
                    ),
                    found.label("an output"),
                )
                .help("give the flow through the fully open valve"),
            );
            None
        }
    }
}
