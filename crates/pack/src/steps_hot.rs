//! The commissioning steps at pressure: zero, hot comparison, bump test, settings, load proof, hand-over.

use halfglass_core::commissioning::{BUMP_ALLOWANCE_RATIO, bump_test};
use halfglass_core::description::ReferenceLeg;
use halfglass_report::sections::setting_text;
use halfglass_report::units::{current_text, minutes_text, number, percent_text, seconds_text};

use crate::part::{Step, StepReading};
use crate::steps::{Context, comparison_readings, level_and_percent, sentence};
use crate::words;

/// The steps after the hold point, in order.
pub(crate) fn steps(context: Context<'_>) -> Vec<Step> {
    vec![
        pressure(context),
        bump(context),
        settings(context),
        load_step(context),
        hand_over(context),
    ]
}

fn pressure(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let equalised = sheets.range.equalised;
    let accept = limits.level(limits.hot_comparison_m);
    let zero_limit = limits.differential(limits.five_point.as_left_percent);
    let holds_steam = described.vessel.kind.holds_steam();
    let no_differential = if matches!(described.reference_leg, ReferenceLeg::None) {
        "Block valve shut, cell vented"
    } else {
        "Equalised"
    };
    let mut readings = Vec::new();
    let mut actions = Vec::new();
    if holds_steam {
        actions.push(format!(
            "Bring the vessel to its normal pressure of {}, by its own operating instructions; let legs and pot settle for at least an hour.",
            units.pressure_gauge_text(described.pressures.normal),
        ));
    } else {
        actions.push("Bring the tank to its working temperature.".to_owned());
    }
    if matches!(described.reference_leg, ReferenceLeg::Sealed { .. }) {
        actions.push("A sealed cell has no equaliser: the zero is not checked at pressure; the hot comparison stands for it.".to_owned());
    } else {
        actions.push("Zero check in the order of the sheet Manifold orders, out of service, as far as the zero check; then back into service.".to_owned());
        readings.push(StepReading::of(
            format!("{no_differential}: the cell's display, as pressure, after trim"),
            format!("0 {}, ± {zero_limit}", units.differential_unit()),
        ));
        let signal = if equalised.clipped {
            format!(
                "clipped at {} (it wants {}, {}): not usable for the zero",
                current_text(equalised.current_ma),
                current_text(equalised.wanted_ma),
                percent_text(equalised.percent),
            )
        } else {
            format!(
                "{} ({})",
                current_text(equalised.current_ma),
                percent_text(equalised.percent)
            )
        };
        readings.push(StepReading::of(
            format!("{no_differential}: the signal meanwhile"),
            signal,
        ));
        readings.push(StepReading::of(
            "Static pressure and ambient temperature at the trim",
            "written down",
        ));
    }
    actions.push(format!(
        "Comparison: hold the level by hand at each level below, wait until it stands still, read {} and panel together.",
        words::seen_at(described),
    ));
    if let Some(glass_k) = sheets.error_map.glass_water_k.filter(|_| holds_steam) {
        readings.push(StepReading::of(
            "Temperature of the glass, lower end",
            format!(
                "{} was assumed; outside 20 K of it: sheets anew",
                units.temperature_text(glass_k)
            ),
        ));
    }
    readings.extend(comparison_readings(
        context,
        &sheets.range.normal.name,
        &accept,
    ));
    let mut cautions = Vec::new();
    if holds_steam {
        cautions.push(halfglass_report::cautions::scalding(described.vessel.kind).to_owned());
    }
    cautions.push(halfglass_report::cautions::manual_first(described.vessel.kind).to_owned());
    Step {
        title: if holds_steam {
            "Pressure: zero and hot comparison".into()
        } else {
            "Working temperature: zero and comparison".into()
        },
        people: format!(
            "one at the manifold, one at the {}, one at the controller",
            words::seen_at(described)
        ),
        instruments: "hand terminal or the cell's display, contact thermometer".into(),
        cautions,
        actions,
        readings,
        ..Step::default()
    }
}

fn bump(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let span = described.range.span;
    let tuning = &sheets.tuning;
    let feedwater = &described.feedwater;
    let normal = tuning
        .duties
        .iter()
        .find(|duty| duty.name.to_lowercase().contains("normal"));
    let Some(duty) = normal.or(tuning.duties.first()) else {
        return Step::default();
    };
    let lost_ratio = (feedwater.deadband_percent + feedwater.resolution_percent) / 100.0;
    let test = bump_test(
        duty.indicated_gain_per_s,
        span.height_m(),
        tuning.allowed_deviation_m,
        lost_ratio,
    );
    let step_percent = 100.0 * test.step_ratio;
    let slope_m_min = test.slope_m_s * 60.0;
    let allowance_percent = 100.0 * BUMP_ALLOWANCE_RATIO;
    let half = units.level_text(tuning.allowed_deviation_m / 2.0);
    Step {
        title: "Bump test".into(),
        people: format!("one at the controller, one at the {}", words::seen_at(described)),
        instruments: format!("recorder or trend of output, panel level and {}, one sample a second or faster", words::load(described.vessel.kind)),
        cautions: vec![halfglass_report::cautions::manual_first(described.vessel.kind).into()],
        actions: vec![
            format!("Steady load near duty \"{}\". In manual, find the output at which the level stands still for five minutes at the set point.", duty.name),
            format!(
                "{} the output by {} % (towards more water) and start the watch. Put it back when the level has moved {half}, or after {} in any case. If the load changes meanwhile, throw the run away.",
                if words::output_for_more_water(feedwater) == "raise" { "Raise" } else { "Lower" },
                number(step_percent, 1),
                minutes_text((test.return_after_s + tuning.dead_time_s) * 2.0 / 60.0),
            ),
            "Repeat the other way. Keep both trends with this pack. If a line below fails, the settings are worked out anew from what was measured before they are entered.".into(),
        ],
        readings: vec![
            StepReading::of(
                format!("Slope of the panel level for {} % of output, mean of both ways", number(step_percent, 1)),
                format!(
                    "FORECAST {} a minute ± {} %",
                    precise_level(context, slope_m_min),
                    number(allowance_percent, 0),
                ),
            ),
            StepReading::of(
                "Dead time until the slope is there",
                format!(
                    "FORECAST {}; not above {}",
                    seconds_text(tuning.dead_time_s),
                    limit_seconds(tuning.dead_time_s * (1.0 + BUMP_ALLOWANCE_RATIO)),
                ),
            ),
            StepReading::of("First movement of the level the wrong way (swell), how long", "written down"),
            StepReading::of("Level stayed within the allowed deviation", limits.level(tuning.allowed_deviation_m)),
        ],
        ..Step::default()
    }
}

/// Seconds, rounded down to a tenth.
fn limit_seconds(s: f64) -> String {
    seconds_text((s * 10.0 * (1.0 + 1e-9)).floor() / 10.0)
}

/// A small level with one more digit than levels are printed with.
fn precise_level(context: Context<'_>, m: f64) -> String {
    let (value, unit) = context.units.level(m);
    let decimals = if unit == "in" { 2 } else { 1 };
    format!("{} {unit}", number(value, decimals))
}

fn settings(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        ..
    } = context;
    let readings = sheets
        .settings
        .rows
        .iter()
        .map(|setting| {
            let mark = setting
                .device_mark
                .as_ref()
                .map_or_else(String::new, |mark| format!(" [{mark}]"));
            StepReading::of(
                format!("{}{mark}", sentence(&setting.name)),
                setting_text(described, setting, units),
            )
        })
        .collect();
    Step {
        title: "Settings entered".into(),
        people: "one at the controller, one who reads back".into(),
        instruments: "settings sheet: FORECAST until the bump test is passed, made anew if it was not".into(),
        cautions: vec!["Controller in manual while settings are changed. Write down what was there before.".into()],
        actions: vec![
            "Enter each value, read it back from the device, save it, and read it again after a power cycle of the controller if the process allows one.".into(),
        ],
        readings,
        ..Step::default()
    }
}

fn load_step(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let chosen = &sheets.tuning.chosen;
    let change_percent = 100.0 * described.limits.largest_load_change_ratio;
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
            "Automatic at the set point, level still for ten minutes.".into(),
            format!(
                "Change the load by {} of the largest duty, as fast as the plant does it in service; then back.",
                percent_text(change_percent)
            ),
            "Half an hour in automatic at steady load: no swing that keeps its size.".into(),
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
                "Level after half an hour at steady load",
                if chosen.reset_s.is_some() {
                    format!(
                        "set point {} ± {}",
                        level_and_percent(context, described.limits.set_point_m),
                        limits.survey()
                    )
                } else {
                    "steady; a lasting offset is expected without reset".to_owned()
                },
            ),
            StepReading::of("Alarms and trips during the proof", "none"),
        ],
        ..Step::default()
    }
}

fn hand_over(context: Context<'_>) -> Step {
    let kind = context.described.vessel.kind;
    let low = words::low_protection(kind);
    let mut actions = vec![
        "The operators on shift are shown: manual and automatic, what the level does on a load change, what the panel shows cold, the loss-of-signal table.".to_owned(),
        "This pack, the loop file of the same hash, the as-left record and the makers' manuals are handed over.".to_owned(),
    ];
    if context.described.glass.is_some() {
        actions.push("The glass card hangs beside the glass.".to_owned());
    }
    Step {
        title: "Hand-over".into(),
        people: "who commissioned and who operates".into(),
        instruments: "the filled-in pack".into(),
        actions,
        readings: vec![
            StepReading::of(
                "Steps of this pack signed, fails repeated and passed",
                "all",
            ),
            StepReading::of(
                format!(
                    "Every {low} and high-level protection in service, nothing bridged, nothing bypassed"
                ),
                "checked by the operator",
            ),
            StepReading::of(
                "Manifold: equaliser shut, blocks open, vents shut and plugged",
                "checked by the operator",
            ),
            StepReading::of("Controller in automatic, level at the set point", "yes"),
            StepReading::of("Next five-point test due", "date written down"),
        ],
        hold: "The loop is not in service before the operator's signature.".into(),
        ..Step::default()
    }
}
