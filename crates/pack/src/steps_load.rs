//! The commissioning step that proves the tuning by a change of load, judged at the time that the forecast curve gives.

use halfglass_core::commissioning::{SURVEY_M, settled_after_s};
use halfglass_core::controller::sheets::SettingValue;
use halfglass_core::level_map::MarkKind;
use halfglass_report::sections::setting_text;
use halfglass_report::units::{minutes_text, number, seconds_text};

use crate::part::{Step, StepReading};
use crate::steps::{Context, percent_of};
use crate::words;

/// Band round the set point in which the level counts as back, share of the span, where 1/8 in is not more.
///
/// **Source:** common practice: ten times what a panel resolves.
const SETTLED_BAND_RATIO: f64 = 0.01;

/// Reset times after which a level loop is back, where the curve does not tell.
///
/// **Source:** common practice.
const RESET_TIMES: f64 = 3.0;

/// Step: largest load change in automatic, there and back.
pub(crate) fn load_step(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let chosen = &sheets.tuning.chosen;
    let change_percent = 100.0 * described.limits.largest_load_change_ratio;
    let settled = settled(context);
    let period = chosen.period_s.map_or_else(
        || "no swing after the peak".to_owned(),
        |period_s| {
            format!(
                "each swing smaller than the one before; FORECAST period {}",
                seconds_text(period_s)
            )
        },
    );
    Step {
        title: "Load-step proof".into(),
        people: format!(
            "one at the load, one at the {}, one at the controller",
            words::seen_at(described)
        ),
        instruments: format!(
            "trend of output, panel level and {}",
            words::load(described.vessel.kind)
        ),
        cautions: vec![format!(
            "Every protection is in service and unbypassed. Stop the test at an alarm: manual, level back by hand{}.",
            if described.vessel.kind.is_fired() {
                "; at a cutoff the firing is off and stays off until the cause is known"
            } else {
                ""
            },
        )],
        actions: vec![
            format!("In manual bring the level to the set point: {}. Wait until it stands still, then AUTOMATIC for the first time: the output must not jump, else manual again at once. Wait until the level is still for ten minutes.", shown_at_set_point(context)),
            format!(
                "Change the load by {} of the largest duty, as fast as the plant does it in service, and hold it {}.",
                format!("{} %", number(change_percent, 0)),
                settled.hold,
            ),
            "Only when the level is back, change the load back as fast and read the same again.".into(),
            "A plant that cannot hold its load so long is judged on its peak and on the curve of the tuning sheet; say so at the signature.".into(),
        ],
        readings: vec![
            StepReading::of(
                "Largest deviation of the level, both ways",
                format!(
                    "not above {} (FORECAST {})",
                    limits.level(sheets.tuning.allowed_deviation_m),
                    units.level_text(chosen.peak_true_deviation_m),
                ),
            ),
            StepReading::of(
                "Time of the peak after the change",
                format!(
                    "FORECAST {}; written down",
                    seconds_text(chosen.time_of_peak_s)
                ),
            ),
            StepReading::of("Swings after the peak", period),
            StepReading::of(
                settled.what,
                settled.limit,
            ),
            StepReading::of("Alarms and trips during the proof", "none"),
        ],
        may_be_struck_out: true,
        ..Step::default()
    }
}

/// What panel and glass show with the vessel's water at the set point, at normal pressure.
fn shown_at_set_point(context: Context<'_>) -> String {
    let Context {
        described,
        sheets,
        units,
        ..
    } = context;
    let panel = sheets
        .settings
        .rows
        .iter()
        .find(|setting| setting.term == "set-point")
        .map_or_else(
            || units.level_text(described.limits.set_point_m),
            |setting| setting_text(described, setting, units),
        );
    let glass = sheets
        .level_map
        .marks
        .iter()
        .find(|mark| mark.kind == MarkKind::SetPoint)
        .and_then(|mark| mark.glass_hot)
        .map_or_else(String::new, |glass| {
            format!(", glass {}", units.level_text(glass.m()))
        });
    format!(
        "panel {panel}{glass}, true level {}",
        units.level_text(described.limits.set_point_m)
    )
}

/// How long the load is held, and what is read then.
struct Settled {
    hold: String,
    what: String,
    limit: String,
}

/// From the forecast curve of the chosen settings: when the level is back within what the panel's set point is judged by.
fn settled(context: Context<'_>) -> Settled {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let chosen = &sheets.tuning.chosen;
    let band_m = SURVEY_M.max(SETTLED_BAND_RATIO * described.range.span.height_m());
    let set_point =
        sheets
            .settings
            .rows
            .iter()
            .find_map(|setting| match (setting.term, &setting.value) {
                ("set-point", Ok(SettingValue::LevelM(m))) => Some(*m),
                _ => None,
            });
    let (Some(reset_s), Some(panel_m)) = (chosen.reset_s, set_point) else {
        return Settled {
            hold: "until the level stands still".into(),
            what: "Level at steady load".into(),
            limit: "steady; a lasting offset is expected without reset".into(),
        };
    };
    // Five decay times of the loop are in the curve; where they do not reach the band, the reset sets the pace.
    let (after_s, source) = settled_after_s(&chosen.response, band_m).map_or_else(
        || (RESET_TIMES * reset_s, "three times the reset"),
        |after_s| (after_s, "the FORECAST curve"),
    );
    let minutes = format!("{} min", number((after_s / 60.0).ceil().max(1.0), 0));
    Settled {
        hold: format!(
            "for {minutes}, from {source}: {} times the reset of {}",
            number(after_s / reset_s, 1),
            minutes_text(reset_s / 60.0)
        ),
        what: format!("Panel {minutes} after the change, load steady"),
        limit: format!(
            "the set point entered, {} ({}), ± {}",
            units.level_text(panel_m),
            percent_of(panel_m, described.range.span),
            limits.level(band_m)
        ),
    }
}
