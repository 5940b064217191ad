//! Values that can be read and yet mean nothing: a stroke of ten hours, a cell of 40 % accuracy.
//!
//! The bounds are common practice, generous: what is refused is a slip of pen, unit or keyboard, not a bad loop.

use halfglass_core::description::{Duty, Elevations, Pressures, VesselKind};

use crate::problem::{Label, Problem};
use crate::survey::{Located, Survey};
use crate::words;

/// Longest time constant, stroke or sample that a level loop can have, s.
const LONGEST_S: f64 = 3600.0;
/// Highest accuracy class or yearly drift of a cell that is in order, %.
const LARGEST_CELL_ERROR_PERCENT: f64 = 5.0;
/// Longest way from the lower tap to the cell, up or down, m.
const FARTHEST_CELL_M: f64 = 60.0;
/// Highest that a condensate pot stands over the top of its vessel, m.
const HIGHEST_POT_OVER_SHELL_M: f64 = 3.0;
/// Largest outflow of one vessel, kg/s: several times the steam of the largest power station boilers.
const LARGEST_OUTFLOW_KG_S: f64 = 5000.0;
/// Lowest pressure that a vessel starts from, Pa absolute: under the triple point there is no water.
const LOWEST_START_UP_PA: f64 = 500.0;
/// Deadband and resolution together that leave a valve anything to do, percent of travel.
const LARGEST_SLACK_PERCENT: f64 = 50.0;
/// Full-valve flow over the largest duty's feed flow: under half nothing is controlled, over twenty the unit is wrong.
const VALVE_TO_DUTY: std::ops::RangeInclusive<f64> = 0.5..=20.0;

/// Values that are judged alone.
pub(super) fn alone(survey: &mut Survey<'_>) {
    for path in [
        "feedwater.stroke-time",
        "feedwater.swell-time",
        "controller.sample-time",
        "controller.filter",
        "cell.damping",
    ] {
        refuse_outside(survey, path, (0.0, LONGEST_S), "more than an hour");
    }
    for path in ["cell.reference-accuracy", "cell.drift-per-year"] {
        refuse_outside(
            survey,
            path,
            (0.0, LARGEST_CELL_ERROR_PERCENT),
            "more than 5 %, which no cell in order has",
        );
    }
    refuse_outside(
        survey,
        "cell.below-lower-tap",
        (-FARTHEST_CELL_M, FARTHEST_CELL_M),
        "farther from the lower tap than any cell is piped, 60 m (197 ft)",
    );
    refuse_outside(
        survey,
        "as-found.reset",
        (0.1, 24.0 * 3600.0),
        "not between 0.1 s and 24 h a repeat",
    );
}

fn refuse_outside(survey: &mut Survey<'_>, path: &str, bounds: (f64, f64), fault: &str) {
    let Some(found) = survey.number(path) else {
        return;
    };
    if !(bounds.0..=bounds.1).contains(&found.value) {
        survey.problems.push(
            Problem::new(
                "value-implausible",
                format!("`{}`: `{}` is {fault}", found.shown(), found.text),
                found.label("cannot be meant"),
            )
            .help("is the unit right? Read it again on the device or its data sheet"),
        );
    }
}

/// Deadband and resolution: what the valve does not follow.
pub(super) fn valve_slack(survey: &mut Survey<'_>) {
    let (deadband, resolution) = (
        survey.number("feedwater.deadband"),
        survey.number("feedwater.resolution"),
    );
    let sum = [&deadband, &resolution]
        .into_iter()
        .flatten()
        .map(|found| found.value)
        .sum::<f64>();
    if sum <= LARGEST_SLACK_PERCENT {
        return;
    }
    let mut stated = [deadband, resolution].into_iter().flatten();
    let Some(first) = stated.next() else { return };
    let mut problem = Problem::new(
        "valve-slack-implausible",
        format!(
            "deadband and resolution come to {} % of travel: such a valve follows no controller",
            words::short(sum)
        ),
        first.label("this"),
    )
    .help("both are percent of travel, a few percent on a valve in order; repair the valve first");
    if let Some(second) = stated.next() {
        problem = problem.and(second.label("and this"));
    }
    survey.problems.push(problem);
}

/// What the fully open valve passes, against the largest duty's feed flow.
pub(super) fn valve_flow(survey: &mut Survey<'_>, flow_kg_s: f64, duties: &[Duty]) {
    let feed_kg_s = |duty: &Duty| duty.steam_kg_s + duty.blowdown_kg_s;
    let largest = duties
        .iter()
        .enumerate()
        .max_by(|left, right| feed_kg_s(left.1).total_cmp(&feed_kg_s(right.1)));
    let (Some((index, duty)), Some(flow)) = (largest, survey.quantity("feedwater.full-valve-flow"))
    else {
        return;
    };
    let ratio = flow_kg_s / feed_kg_s(duty);
    if VALVE_TO_DUTY.contains(&ratio) || feed_kg_s(duty) <= 0.0 {
        return;
    }
    let fault = if ratio < *VALVE_TO_DUTY.start() {
        "less than half"
    } else {
        "more than twenty times"
    };
    let mut problem = Problem::new(
        "valve-flow-implausible",
        format!(
            "the fully open valve passes {}, {fault} the feed flow of the duty `{}`",
            flow.text, duty.name
        ),
        flow.label(format!("{fault} what the largest duty needs")),
    )
    .help("is the unit right? A valve passes somewhat more than its largest duty, seldom more than three times");
    if let Some(outflow) = survey.entries.get(&format!("duty[{index}].outflow")) {
        problem = problem.and(Label::new(outflow.span.clone(), "the largest duty"));
    }
    survey.problems.push(problem);
}

/// True for an outflow that a vessel can have; else it is reported.
pub(super) fn outflow_is_possible<T>(
    survey: &mut Survey<'_>,
    outflow: &Located<T>,
    flow_kg_s: f64,
) -> bool {
    let fits = flow_kg_s <= LARGEST_OUTFLOW_KG_S;
    if !fits {
        survey.problems.push(
            Problem::new(
                "outflow-implausible",
                format!(
                    "`{}`: {} is more than the 5000 kg/s (40 million lb/h) that any vessel lets out",
                    outflow.shown(),
                    outflow.text
                ),
                outflow.label("cannot be meant"),
            )
            .help("is the unit right?"),
        );
    }
    fits
}

/// Pressures that are judged against the air and against water itself.
pub(super) fn pressures(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    pressures: Option<&Pressures>,
) {
    if kind.is_some_and(VesselKind::holds_steam)
        && pressures.is_some()
        && let Some(start_up) = survey.pressure("pressures.start-up")
        && start_up.value.pa() < LOWEST_START_UP_PA
    {
        survey.problems.push(
            Problem::new(
                "start-up-pressure-implausible",
                format!(
                    "`pressures.start-up`: `{}` is less than 0.5 kPa(a), at which no water is liquid",
                    start_up.text
                ),
                start_up.label("too near to vacuum"),
            )
            .help("a vessel starts at the air's pressure, 0 gauge, unless it is kept hot or evacuated"),
        );
    }
    let air_pa = survey.atmosphere.pa();
    if let Some(limit) = survey.quantity("cell.vacuum-limit")
        && let Some(pressure) = survey.pressure("cell.vacuum-limit")
        // Half a percent: an atmosphere written with three digits is meant as the atmosphere.
        && !(pressure.value.pa() <= 1.005 * air_pa)
    {
        let air = words::quantity(
            air_pa,
            crate::quantity_text::Dimension::Pressure,
            survey.units,
        );
        let mut problem = Problem::new(
            "vacuum-limit-above-atmosphere",
            format!(
                "the cell may not see less than {}, but the air alone has {air}",
                limit.text
            ),
            limit.label("above the air's pressure"),
        )
        .help("it is the LOWEST absolute pressure that the cell stands, for instance \"3.5 kPa(a)\" or \"0.5 psi(a)\"");
        for path in ["site.atmosphere", "site.altitude"] {
            if let Some(entry) = survey.entries.get(path) {
                problem = problem.and(Label::new(entry.span.clone(), "gives the air's pressure"));
                break;
            }
        }
        survey.problems.push(problem);
    }
}

/// The pot stands near the top of its vessel, not floors above it.
pub(super) fn pot(survey: &mut Survey<'_>, shell_height_m: f64, lower_tap_above_bottom_m: f64) {
    let Some(lip) = survey.number("reference-leg.pot-lip") else {
        return;
    };
    let over_m = lip.value + lower_tap_above_bottom_m - shell_height_m;
    if over_m <= HIGHEST_POT_OVER_SHELL_M {
        return;
    }
    let height = survey.length_words(shell_height_m);
    let mut problem = Problem::new(
        "pot-far-above-shell",
        format!(
            "the pot's lip at {} from the lower tap is {} above the top of the shell, which is {height} high",
            lip.text,
            survey.length_words(over_m)
        ),
        lip.label("far above the shell"),
    )
    .help("measure the lip from the centre of the LOWER tap; it is a little above the upper tap");
    for (path, text) in [
        ("elevations.upper-tap", "the upper tap that feeds it"),
        (
            "vessel.lower-tap-above-bottom",
            "the lower tap is so high above the bottom",
        ),
    ] {
        if let Some(entry) = survey.entries.get(path) {
            problem = problem.and(Label::new(entry.span.clone(), text));
        }
    }
    survey.problems.push(problem);
}

/// Wishes that cannot be had between the marks there are.
pub(super) fn wishes(survey: &mut Survey<'_>, elevations: Option<&Elevations>) {
    allowed_deviation(survey);
    let top = match elevations.and_then(|elevations| elevations.upper_tap_m) {
        Some(_) => survey.number("elevations.upper-tap"),
        None => survey.number("range.level-at-100"),
    }
    // Taps that are reversed are reported so.
    .filter(|top| top.value > 0.0);
    let separation = survey.number("limits.smallest-separation");
    survey.check_below(
        "separation-over-taps",
        separation.as_ref(),
        top.as_ref(),
        true,
        "it is the smallest distance between two marks, all of them between the taps",
    );
}

fn allowed_deviation(survey: &mut Survey<'_>) {
    let (Some(allowed), Some(set_point)) = (
        survey.number("limits.allowed-deviation"),
        survey.number("limits.set-point"),
    ) else {
        return;
    };
    let nearest = [
        "limits.low-alarm",
        "limits.high-alarm",
        "limits.low-cutoff",
        "limits.high-trip",
    ]
    .iter()
    .filter_map(|path| survey.number(path))
    .map(|mark| ((mark.value - set_point.value).abs(), mark))
    .min_by(|left, right| left.0.total_cmp(&right.0));
    let Some((distance_m, mark)) = nearest else {
        return;
    };
    // Inches and feet are not exact in metres: equal to the last digits is equal.
    if allowed.value < distance_m * (1.0 - 1e-9) {
        return;
    }
    survey.problems.push(
        Problem::new(
            "deviation-reaches-mark",
            format!(
                "`limits.allowed-deviation` of {} reaches `{}`, {} from the set point",
                allowed.text,
                mark.path,
                survey.length_words(distance_m)
            ),
            allowed.label("as far as this may the level go"),
        )
        .and(set_point.label("from here"))
        .and(mark.label("and acts here"))
        .help("allow less than the distance to the nearest alarm, cutoff or trip, or every load change sets it off"),
    );
}

/// Derivative and gain that no level controller is set to.
pub(super) fn found_settings(survey: &mut Survey<'_>, gain_ratio: f64) {
    if let Some(found) = survey.quantity("as-found.gain")
        && !(1e-3..=1e3).contains(&gain_ratio)
    {
        survey.problems.push(
            Problem::new(
                "gain-implausible",
                format!(
                    "`as-found.gain`: `{}` is a gain of {} %/%, not between 0.001 and 1000",
                    found.text,
                    words::short(gain_ratio)
                ),
                found.label("cannot be meant"),
            )
            .help("read it again on the device; a proportional band is 100 % over the gain"),
        );
    }
    let (derivative, reset) = (
        survey.number("as-found.derivative"),
        survey.number("as-found.reset"),
    );
    if let (Some(derivative), Some(reset)) = (derivative, reset)
        && derivative.value > reset.value
    {
        survey.problems.push(
            Problem::new(
                "derivative-over-reset",
                format!(
                    "`as-found.derivative` at {} is longer than the reset, {}",
                    derivative.text, reset.text
                ),
                derivative.label("longer than the reset"),
            )
            .and(reset.label("this reset"))
            .help("were the two exchanged, or a unit? Read both again on the device"),
        );
    }
}
