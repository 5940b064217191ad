//! The commissioning steps at pressure: zero, hot comparison, bump test, settings, load proof, hand-over.

use halfglass_core::commissioning::{
    BUMP_ALLOWANCE_RATIO, BumpLoop, ComparisonState, DeadTimeJudgement, GLASS_TEMPERATURE_K,
    HAND_TIMING_S, bump_test, dead_time_judgement,
};
use halfglass_core::description::ReferenceLeg;
use halfglass_core::feedwater::sheets::DutyKind;
use halfglass_report::units::{current_text, minutes_text, number, percent_text, seconds_text};

use crate::part::{Step, StepReading};
use crate::steps::{Context, comparison_readings};
use crate::{steps_load, steps_protections, steps_settings, words};

/// The steps after the hold point, in order.
pub(crate) fn steps(context: Context<'_>) -> Vec<Step> {
    let mut steps = vec![pressure(context)];
    steps.extend(steps_protections::fired(context));
    steps.extend([
        bump(context),
        steps_settings::tuning(context),
        steps_load::load_step(context),
        hand_over(context),
    ]);
    steps
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
    let has_glass = described.glass.is_some();
    let by = if has_glass {
        "by the glass"
    } else {
        "by a level measured another way"
    };
    if holds_steam {
        actions.push(match sheets.signal_loss.cold_fill {
            Some(fill) => format!(
                "First drain the vessel to its cold-fill mark, true level {}, but never below the cutoffs or out of sight: water swells as it heats. Raise pressure {by}, blowing down on the way up; the panel reads high until normal pressure.",
                units.level_text(fill.cold_level_m),
            ),
            None => format!("First drain the vessel low{}, above the cutoffs: water swells as it heats, and no cold-fill mark could be worked out. Raise pressure {by}, blowing down on the way up; the panel reads high until normal pressure.", if has_glass { " in the glass" } else { "" }),
        });
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
        actions.push(if words::has_equaliser(&described.reference_leg) {
            "Zero check by the list \"Zero check in service\" of the sheet Manifold orders, from its first line on: no vent is touched. Its last words do not hold yet: the controller STAYS IN MANUAL until the load-step proof.".to_owned()
        } else {
            "Zero check by the sheet Manifold orders: out of service, then back into service. Its last words do not hold yet: the controller STAYS IN MANUAL until the load-step proof.".to_owned()
        });
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
        "Comparison: feed by hand, controller in manual; hold each level below, all of them between the alarms, wait until it stands still, read {} and panel together. Then back to the set point.",
        words::seen_at(described),
    ));
    if let Some(glass_k) = sheets.error_map.glass_water_k.filter(|_| holds_steam) {
        readings.push(StepReading::of(
            "Temperature of the glass, lower end",
            format!(
                "{} was assumed; further from it than {}: sheets anew",
                units.temperature_text(glass_k),
                limits.temperature_difference(GLASS_TEMPERATURE_K),
            ),
        ));
    }
    readings.extend(comparison_readings(
        context,
        &sheets.range.normal,
        ComparisonState::InService,
        &accept,
    ));
    let mut cautions = Vec::new();
    if holds_steam {
        cautions.push(halfglass_report::cautions::scalding(described.vessel.kind).to_owned());
    }
    cautions.push(words::manual_first(described));
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
    let test = bump_test(BumpLoop {
        process_gain_per_s: duty.indicated_gain_per_s,
        span_m: span.height_m(),
        allowed_deviation_m: tuning.allowed_deviation_m,
        valve_lost_ratio: lost_ratio,
        steady_output_ratio: steady_output_ratio(context, &duty.name),
    });
    let step_percent = 100.0 * test.step_ratio;
    let slope_m_min = test.slope_m_s * 60.0;
    let allowance_percent = 100.0 * BUMP_ALLOWANCE_RATIO;
    let moves = units.small_length_text(test.move_m);
    let forecast = seconds_text(tuning.dead_time_s);
    let dead_time_limit = match dead_time_judgement(test, tuning.dead_time_s, span.height_m()) {
        DeadTimeJudgement::Judged => format!(
            "FORECAST {forecast}; not above {}",
            limit_seconds(tuning.dead_time_s * (1.0 + BUMP_ALLOWANCE_RATIO)),
        ),
        DeadTimeJudgement::TooShort => format!(
            "written down only: FORECAST {forecast}, and a limit that near to it is less than a person times, {} at best",
            seconds_text(HAND_TIMING_S)
        ),
        DeadTimeJudgement::TooSmall => format!(
            "written down only: in the FORECAST {forecast} the level moves less than the panel resolves"
        ),
    };
    let mut readings = vec![
        StepReading::of(
            format!(
                "Slope of the panel level for {} % of output, mean of both ways",
                step_number(step_percent)
            ),
            format!(
                "FORECAST {} a minute ± {} %",
                precise_level(context, slope_m_min),
                number(allowance_percent, 0),
            ),
        ),
        StepReading::of("Dead time until the slope is there", dead_time_limit),
    ];
    if described.vessel.kind.holds_steam() {
        readings.push(StepReading::of(
            "First movement of the level the wrong way (swell), how long",
            "written down",
        ));
    }
    readings.push(StepReading::of(
        "Level stayed within the allowed deviation",
        limits.level(tuning.allowed_deviation_m),
    ));
    Step {
        title: "Bump test".into(),
        people: format!("one at the controller, one at the {}", words::seen_at(described)),
        instruments: format!("recorder or trend of output, panel level and {}, one sample a second or faster", words::load(described.vessel.kind)),
        cautions: vec![words::manual_first(described)],
        actions: vec![
            format!("Steady load near duty \"{}\". In manual, find the output at which the level stands still for five minutes at the set point.", duty.name),
            format!(
                "{} the output by {} % (towards more water) and start the watch. Put it back when the panel has moved {moves}, FORECAST after {}, or after {} in any case. If the load changes meanwhile, throw the run away.",
                if words::output_for_more_water(feedwater) == "raise" { "Raise" } else { "Lower" },
                step_number(step_percent),
                minutes_text((test.return_after_s + tuning.dead_time_s) / 60.0),
                minutes_text((test.return_after_s + tuning.dead_time_s) * 2.0 / 60.0),
            ),
            "Repeat the other way. Then the level back to the set point by hand; the controller stays in manual. Keep both trends with this pack. If a line below fails, the settings are worked out anew from what was measured before they are entered.".into(),
        ],
        readings,
        ..Step::default()
    }
}

/// Opening of the valve at a duty: the installed valve's travel where the feed system is described and the valve reaches
/// the duty, else the duty's flow over the full-valve flow, as of a linear valve.
fn steady_output_ratio(context: Context<'_>, duty_name: &str) -> f64 {
    let Context {
        described, sheets, ..
    } = context;
    let travel_percent = sheets.feedwater.as_ref().and_then(|sheet| {
        sheet
            .duties
            .iter()
            .find(|duty| duty.kind == DutyKind::Stated && duty.name == duty_name)
            .and_then(|duty| duty.travel_percent)
    });
    if let Some(percent) = travel_percent {
        return percent / 100.0;
    }
    let flow_kg_s = described
        .duties
        .iter()
        .find(|duty| duty.name == duty_name)
        .map_or(0.0, |duty| duty.steam_kg_s + duty.blowdown_kg_s);
    flow_kg_s / sheets.tuning.full_valve_flow_kg_s
}

/// Percent of output: whole where it is whole.
fn step_number(percent: f64) -> String {
    number(
        percent,
        usize::from((percent - percent.round()).abs() > 0.05),
    )
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
                words::valves_in_service(&context.described.reference_leg),
                "checked by the operator",
            ),
            StepReading::of("Controller in automatic, level at the set point", "yes"),
            StepReading::of("Next five-point test due", "date written down"),
        ],
        hold: "The loop is not in service before the operator's signature.".into(),
        ..Step::default()
    }
}
