//! The commissioning steps in which values are keyed in: what the panel needs before anything is tested, and the tuning
//! after the bump test.

use halfglass_report::sections::setting_text;

use crate::part::{Step, StepReading};
use crate::steps::{Context, sentence};
use crate::words;

/// Terms that wait for the bump test.
const TUNING: [&str; 3] = ["gain", "reset", "derivative"];

/// Step: scaling, action, set point, alarms, filter, limits entered and read back.
pub(crate) fn panel(context: Context<'_>) -> Step {
    Step {
        title: "Panel set up".into(),
        people: "one at the controller, one who reads back".into(),
        instruments: "settings sheet, manual of the controller".into(),
        cautions: vec![
            "Controller in manual while values are changed. Write down what was there before. Feed pump stopped and isolated: the output may \
             move when the controller is switched off and on, and it may come back in another mode."
                .into(),
        ],
        actions: vec![
            "Enter each value, read it back from the device, save it, and read it again after the controller was switched off and on.".into(),
            format!(
                "Levels are what the PANEL shows {}, not true levels. Gain, reset and derivative wait for the bump test.",
                words::in_service(context.described.vessel.kind)
            ),
        ],
        readings: readings(context, false),
        ..Step::default()
    }
}

/// Step: gain, reset and derivative.
pub(crate) fn tuning(context: Context<'_>) -> Step {
    Step {
        title: "Tuning entered".into(),
        people: "one at the controller, one who reads back".into(),
        instruments:
            "settings sheet: FORECAST until the bump test is passed, made anew if it was not".into(),
        cautions: vec![
            "Controller in manual while settings are changed. Write down what was there before."
                .into(),
        ],
        actions: vec![
            "Enter each value, read it back from the device, save it. The controller stays in manual.".into(),
        ],
        readings: readings(context, true),
        ..Step::default()
    }
}

fn readings(context: Context<'_>, of_tuning: bool) -> Vec<StepReading> {
    context
        .sheets
        .settings
        .rows
        .iter()
        .filter(|setting| TUNING.contains(&setting.term) == of_tuning)
        .map(|setting| {
            let mark = setting
                .device_mark
                .as_ref()
                .map_or_else(String::new, |mark| format!(" [{mark}]"));
            StepReading::of(
                format!("{}{mark}", sentence(&setting.name)),
                setting_text(context.described, setting, context.units),
            )
        })
        .collect()
}
