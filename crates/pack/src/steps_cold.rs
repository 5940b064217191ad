//! The commissioning steps on the cold vessel: loop check, stroke, action, filling of the legs.

use halfglass_core::commissioning::ComparisonState;
use halfglass_core::controller::action::Action;
use halfglass_core::description::ReferenceLeg;
use halfglass_core::measurement::condition::start_up;
use halfglass_core::quantity::IndicatedLevel;
use halfglass_report::units::{current_text, number, seconds_text};

use crate::part::{Step, StepReading};
use crate::steps::{Context, comparison_readings};
use crate::words;

/// While the valve is moved with nobody minding the level.
const PUMP_ISOLATED: &str =
    "Feed pump stopped and isolated: the valve moves while nobody minds the level.";

/// Step: currents fed in place of the cell.
pub(crate) fn loop_check(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let span = described.range.span;
    let accept = limits.loop_check();
    Step {
        title: "Cold loop check".into(),
        people: "one at the cell, one at the panel".into(),
        instruments: "current source in place of the cell, ammeter in the loop".into(),
        cautions: vec![PUMP_ISOLATED.into()],
        actions: vec![
            "Controller in manual. Disconnect the cell's leads and mark them; connect the current source in their place.".into(),
            "Feed the currents below; read the panel. This proves wiring and scaling: the panel's level, not the vessel's.".into(),
            "Feed 12 mA, then put the controller in AUTOMATIC: in manual it cannot show what it does with a bad input. Take off one lead of the source: the panel must show a bad input and the controller must do what the loss-of-signal table says.".into(),
            "Put the lead back, controller to MANUAL. The source stays connected for the next two steps.".into(),
        ],
        readings: sheets
            .range
            .test_points
            .iter()
            .map(|point| {
                StepReading::of(
                    format!("Feed {}: panel shows", current_text(point.current_ma)),
                    format!("{} %, {}; {accept}", number(point.percent, 0), units.level_text(IndicatedLevel::from_percent(point.percent, span).m())),
                )
            })
            .chain([StepReading::of(
                "Lead off in automatic, from 12 mA: what controller and alarm do",
                sheets
                    .signal_loss
                    .rows
                    .iter()
                    .find(|row| row.failure.to_lowercase().contains("broken"))
                    .map_or_else(|| "as in the loss-of-signal table".to_owned(), |row| row.controller_does.clone()),
            )])
            .chain([StepReading::of(
                "Lead of the source back on, controller in manual",
                "yes",
            )])
            .collect(),
        ..Step::default()
    }
}

/// Step: travel, stroke time, fail actions.
pub(crate) fn stroke(context: Context<'_>) -> Step {
    let Context {
        described, limits, ..
    } = context;
    let feedwater = &described.feedwater;
    let lost_percent = feedwater.deadband_percent + feedwater.resolution_percent;
    let mut readings: Vec<StepReading> = ["0", "25", "50", "75", "100"]
        .into_iter()
        .map(|percent| {
            StepReading::of(
                format!("Output {percent} %: travel"),
                format!("{percent} % ± {} of travel", limits.percent(lost_percent)),
            )
        })
        .collect();
    readings.extend([
        StepReading::of(
            "Full stroke, the slower of both ways",
            format!(
                "not above {}, as the tuning assumes",
                seconds_text(feedwater.stroke_time_s)
            ),
        ),
        StepReading::of(
            "Control signal pulled: the valve",
            words::fails(feedwater.on_signal_loss),
        ),
        StepReading::of(
            "Actuator power or air removed: the valve",
            words::fails(feedwater.on_power_loss),
        ),
        StepReading::of(
            "Signal and power restored: the valve follows the output",
            "yes",
        ),
    ]);
    Step {
        title: "Stroke and fail actions".into(),
        people: "one at the valve, one at the controller".into(),
        instruments: "stop-watch, scale at the valve stem".into(),
        cautions: vec!["Hands, tools and sleeves off the stem and yoke: the valve moves on its own when signal or power returns.".into(), PUMP_ISOLATED.into()],
        actions: vec![
            "In manual, stroke up and down; wait at each point until the stem stands still.".into(),
            "Pull the control signal at the valve and put it back; then take away power or air and give it back. Each time the valve must follow the output again.".into(),
            "Slower than stated, or a wider deadband, is a change of the loop file: settings are worked out anew.".into(),
        ],
        readings,
        ..Step::default()
    }
}

/// Step: action proved in manual and automatic.
pub(crate) fn action(context: Context<'_>) -> Step {
    let Context {
        described, sheets, ..
    } = context;
    let feedwater = &described.feedwater;
    let action = match sheets.settings.action {
        Action::Direct => "direct",
        Action::Reverse => "reverse",
    };
    Step {
        title: "Action proved in manual and automatic".into(),
        people: "one at the controller, one at the valve".into(),
        instruments: "current source in place of the cell".into(),
        cautions: vec![PUMP_ISOLATED.into()],
        actions: vec![
            "In manual, raise the output a little; watch the valve.".into(),
            format!("The action stands at {action}. With the current source at the set point go to automatic, then raise the fed level by 5 % of span: the output must move towards less water."),
            "Lower the fed level by 5 % of span: the output must move towards more water.".into(),
            "Back to MANUAL. Take the source OUT, connect the cell's leads by their marks: from here on the panel shows what the cell sees.".into(),
        ],
        readings: vec![
            StepReading::of(
                "Output raised in manual: the valve",
                if feedwater.rising_output_opens { "opens" } else { "closes" },
            ),
            StepReading::of("Action as read back from the device", action),
            StepReading::of(
                "Fed level raised in automatic: the output",
                if words::output_for_more_water(feedwater) == "raise" { "falls" } else { "rises" },
            ),
            StepReading::of(
                "Source removed, cell reconnected, controller in manual; signal with the cell as it stands",
                "between the clipped ends, no bad input",
            ),
        ],
        ..Step::default()
    }
}

/// Step: legs filled, panel compared with the cold glass.
pub(crate) fn fill(context: Context<'_>) -> Step {
    let Context {
        described,
        limits,
        units,
        ..
    } = context;
    let has_glass = described.glass.is_some();
    let how = if has_glass { "glass" } else { "measured level" };
    let mut actions = Vec::new();
    let has_wet_leg = matches!(described.reference_leg, ReferenceLeg::Wet { .. });
    match described.reference_leg {
        ReferenceLeg::Wet { .. } => actions.extend([
            "Root valves open; both blocks, the equaliser and all vents shut. Bring the water in the vessel above the lower tap: the working leg fills from it.".to_owned(),
            "Fill the reference leg through the tee at the pot with clean cold water, slowly, until it runs over the lip into the vessel.".to_owned(),
            "Working side: open its block, open the vent of its chamber until water comes without air, knock the tubing, shut the vent. Shut the block.".to_owned(),
            "Equaliser open, both blocks shut; open the reference block, open the vent of the reference chamber until water comes without air, knock, shut the vent. Top up at the tee meanwhile.".to_owned(),
            "Zero check now: working block still shut, equaliser open. Then shut the equaliser and open the working block.".to_owned(),
            "Venting took water out of the reference leg: top it up through the tee until it runs over the lip again, then close the tee.".to_owned(),
        ]),
        ReferenceLeg::Dry { .. } => actions.extend([
            "Drain the dry leg and its chamber at the low point until nothing comes.".to_owned(),
            "Bring the water above the lower tap; reference block and equaliser shut: open the working block, open the vent of its chamber until water comes without air, shut the vent.".to_owned(),
            "Open the reference block.".to_owned(),
        ]),
        ReferenceLeg::None => actions.push("Bring the water above the tap; open the block valve, open the vent of the chamber until water comes without air, shut the vent. The other port stays open to the air.".to_owned()),
        ReferenceLeg::Sealed { .. } => actions.push("Open the valves between vessel and seals; vent at the flushing rings until water comes without air.".to_owned()),
    }
    actions.push(format!(
        "Bring the water to each level below, wait until it stands still, read {how} and panel together. The panel of this range does NOT agree with the {how} on a cold vessel; the expected reading is stated.",
    ));
    let (what_is_filled, instruments, where_it_is_warm) = match described.reference_leg {
        ReferenceLeg::Wet { .. } => (
            "Fill the legs",
            "clean cold water, funnel or hand pump, thermometer on each leg",
            "Temperature of the legs and of the water",
        ),
        ReferenceLeg::Dry { .. } => (
            "Drain the dry leg, fill the cell",
            "bucket, thermometer on the leg and in the water",
            "Temperature of the legs and of the water",
        ),
        ReferenceLeg::None => (
            "Fill the cell",
            "bucket, thermometer on the leg and in the water",
            "Temperature of the leg and of the water",
        ),
        ReferenceLeg::Sealed { .. } => (
            "Open the seals",
            "bucket, thermometer on each capillary and in the water",
            "Temperature of the capillaries and of the water",
        ),
    };
    let leg = match described.reference_leg {
        ReferenceLeg::None => "the leg",
        ReferenceLeg::Sealed { .. } => "capillaries",
        _ => "legs",
    };
    let accept = limits.level(limits.cold_comparison_m);
    let condition = start_up(described);
    let mut readings = Vec::new();
    if has_wet_leg {
        readings.push(StepReading::of(
            "Zero: equaliser open, the cell's display as pressure",
            format!(
                "0 {}, ± {}",
                units.differential_unit(),
                limits.differential(limits.five_point.as_left_percent)
            ),
        ));
        readings.push(StepReading::of(
            "Water at the lip of the pot after venting, before the first comparison",
            "runs over",
        ));
    }
    readings.push(StepReading::of(
        where_it_is_warm,
        format!(
            "written down; stated for {leg} at {}, water at {}; the limit below covers {leg} from {} to {}",
            units.temperature_text(condition.reference_leg_k),
            units.temperature_text(condition.water_k),
            units.temperature_text(described.site.ambient_lowest_k),
            units.temperature_text(described.site.ambient_highest_k),
        ),
    ));
    readings.extend(comparison_readings(
        context,
        &condition,
        ComparisonState::Cold,
        &accept,
    ));
    Step {
        title: format!("{what_is_filled}, cold comparison with the {how}"),
        people: format!("one at the cell, one at the {how}"),
        instruments: instruments.into(),
        cautions: vec!["The vessel is cold and open to the air. The isolation of the feed is taken off for this step; the feed is by hand, the controller in manual.".into()],
        actions,
        readings,
        ..Step::default()
    }
}
