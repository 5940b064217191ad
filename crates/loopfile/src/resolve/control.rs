//! Controller, limits, and what was found set.

use halfglass_core::controller::forms::PidForm;
use halfglass_core::controller::units::{DerivativeUnit, GainUnit, ResetUnit};
use halfglass_core::description::{
    AsFound, AsFoundSettings, Controller, Duty, InputFault, Limits, MeasuredProcess, PlantTest,
    RangeWish, UnitSystem, VesselKind,
};

use super::plausible;
use crate::keys;
use crate::problem::Problem;
use crate::quantity_text::Basis;
use crate::survey::{Located, Survey};

pub(super) fn controller(survey: &mut Survey<'_>) -> Option<Controller> {
    let derivative_unit = survey.word_or(
        "controller.derivative-unit",
        "s",
        "not stated; matters only if derivative is used",
    );
    let sample_time = survey.number_or(
        "controller.sample-time",
        0.5,
        "not surveyed; half of it counts towards the dead time of tuning",
    );
    let filter = survey.number_or(
        "controller.filter",
        0.0,
        "not surveyed; it counts towards the dead time of tuning",
    );
    let points = if survey.is_absent("controller.linearisation-points") {
        survey.assume(
            "controller.linearisation-points",
            "10".to_owned(),
            "not surveyed; length of the compensation tables",
        );
        Some(10)
    } else {
        survey
            .integer("controller.linearisation-points")
            .and_then(|found| usize::try_from(found.value).ok())
    };
    let input_fault = survey.word_or(
        "controller.input-fault",
        "not-detected",
        "not surveyed; the worst case: a lost signal is treated as a level",
    );
    let device_marks = keys::section("controller.device-marks")
        .into_iter()
        .flat_map(|section| section.keys)
        .filter_map(|key| Some((key.name().to_owned(), survey.text(key.path)?.value)))
        .collect();
    Some(Controller {
        form: match survey.word("controller.form")?.value {
            "series" => PidForm::Series,
            "parallel" => PidForm::Parallel,
            _ => PidForm::Ideal,
        },
        gain_unit: match survey.word("controller.gain-unit")?.value {
            "gain" => GainUnit::Ratio,
            "proportional-band-level" => GainUnit::ProportionalBandLevel,
            _ => GainUnit::ProportionalBandPercent,
        },
        reset_unit: match survey.word("controller.reset-unit")?.value {
            "min/repeat" => ResetUnit::MinutesPerRepeat,
            "repeats/min" => ResetUnit::RepeatsPerMinute,
            "repeats/s" => ResetUnit::RepeatsPerSecond,
            _ => ResetUnit::SecondsPerRepeat,
        },
        derivative_unit: match derivative_unit? {
            "min" => DerivativeUnit::Minutes,
            _ => DerivativeUnit::Seconds,
        },
        sample_time_s: sample_time?,
        filter_time_s: filter?,
        linearisation_points: points?,
        input_fault: match input_fault? {
            "hold-output" => InputFault::HoldOutput,
            "output-low" => InputFault::OutputLow,
            "output-high" => InputFault::OutputHigh,
            _ => InputFault::NotDetected,
        },
        device_marks,
    })
}

pub(super) fn limits(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    range: Option<&RangeWish>,
) -> Option<Limits> {
    if kind.is_some_and(VesselKind::is_fired) {
        survey.require("limits.low-cutoff", "the vessel is fired");
        survey.require("limits.second-low-cutoff", "the vessel is fired");
    }
    check_set_point(survey);
    let in_order = check_order(survey);
    let optional = |path: &str| {
        let found = survey.number(path).map(|found| found.value);
        // Present but unreadable: no limits.
        (survey.is_absent(path) || found.is_some()).then_some(found)
    };
    let low_alarm = optional("limits.low-alarm");
    let high_alarm = optional("limits.high-alarm");
    let low_cutoff = optional("limits.low-cutoff");
    let second = optional("limits.second-low-cutoff");
    let high_trip = optional("limits.high-trip");
    let set_point = survey.number("limits.set-point");
    let load_change = survey.number_or(
        "limits.largest-load-change",
        30.0,
        "not stated; common practice where nothing is known of the users",
    );
    let separation = survey.number_or(
        "limits.smallest-separation",
        match survey.units {
            UnitSystem::Us => 0.0254,
            UnitSystem::Si => 0.025,
        },
        "not stated; common practice, so that marks can be told apart in a glass",
    );
    let set_point_m = set_point?.value;
    let neighbours = [low_alarm?, high_alarm?, low_cutoff?, high_trip?];
    if !in_order {
        return None;
    }
    let nearest_m = neighbours
        .into_iter()
        .flatten()
        .map(|mark_m| (mark_m - set_point_m).abs())
        .reduce(f64::min);
    let default_m = match (nearest_m, range) {
        (Some(nearest_m), _) => 0.5 * nearest_m,
        (None, Some(range)) => 0.05 * range.span.height_m(),
        (None, None) => return None,
    };
    let allowed = survey.number_or(
        "limits.allowed-deviation",
        default_m,
        "not stated; half the way from the set point to the nearest alarm, cutoff or trip, else 5 % of span",
    );
    let largest_load_change_ratio = load_change? / 100.0;
    Some(Limits {
        set_point_m,
        low_alarm_m: low_alarm?,
        high_alarm_m: high_alarm?,
        low_cutoff_m: low_cutoff?,
        second_low_cutoff_m: second?,
        high_trip_m: high_trip?,
        allowed_deviation_m: allowed?,
        largest_load_change_ratio,
        smallest_separation_m: separation?,
    })
}

fn check_set_point(survey: &mut Survey<'_>) {
    let set_point = survey.number("limits.set-point");
    let top = survey
        .number("elevations.upper-tap")
        .or_else(|| survey.number("range.level-at-100"));
    survey.check_below(
        "set-point-outside-taps",
        set_point.as_ref(),
        top.as_ref(),
        false,
        "the cell is blind there; measure the set point from the LOWER tap",
    );
    if let Some(set_point) = set_point
        && set_point.value <= 0.0
    {
        survey.problems.push(
            Problem::new(
                "set-point-outside-taps",
                format!(
                    "the set point, {}, is not above the lower tap",
                    set_point.text
                ),
                set_point.label("not above the lower tap"),
            )
            .help("the cell is blind there; measure the set point from the LOWER tap"),
        );
    }
}

/// Each stated mark against the next stated one above it.
fn check_order(survey: &mut Survey<'_>) -> bool {
    let before = survey.problems.len();
    let ladder: Vec<Located<f64>> = [
        "limits.second-low-cutoff",
        "limits.low-cutoff",
        "limits.low-alarm",
        "limits.set-point",
        "limits.high-alarm",
        "limits.high-trip",
    ]
    .iter()
    .filter_map(|path| survey.number(path))
    .collect();
    for pair in ladder.windows(2) {
        let [low, high] = pair else { continue };
        let second = low.path == "limits.second-low-cutoff" && high.path == "limits.low-cutoff";
        let code = if second {
            "second-cutoff-not-below-first"
        } else {
            "limits-out-of-order"
        };
        survey.check_below(
            code,
            Some(low),
            Some(high),
            false,
            "from low to high: second-low-cutoff, low-cutoff, low-alarm, set-point, high-alarm, high-trip",
        );
    }
    survey.problems.len() == before
}

/// Outer `None`: unreadable; inner `None`: nothing was measured.
pub(super) fn measured(
    survey: &mut Survey<'_>,
    duties: Option<&[Duty]>,
) -> Option<Option<MeasuredProcess>> {
    if survey.entries.count("measured") == 0 {
        return Some(None);
    }
    let test = survey.word("measured.test").map(|word| match word.value {
        "relay" => PlantTest::Relay,
        _ => PlantTest::Bump,
    });
    let date = survey.text("measured.date");
    let duty = survey.text("measured.duty");
    let span_time = survey.number("measured.span-time");
    let dead_time = survey.number("measured.dead-time");
    if let (Some(duty), Some(duties)) = (&duty, duties)
        && !duties.iter().any(|known| known.name == duty.value)
    {
        let names: Vec<String> = duties
            .iter()
            .map(|known| format!("`{}`", known.name))
            .collect();
        survey.problems.push(
            Problem::new(
                "measured-duty-unknown",
                format!("`{}` names no duty point of this file", duty.path),
                duty.label("no such duty"),
            )
            .help(format!("write one of {}", names.join(", "))),
        );
        return None;
    }
    Some(Some(MeasuredProcess {
        test: test?,
        date: date?.value,
        duty: duty?.value,
        span_time_s: span_time?.value,
        delay_s: dead_time?.value,
    }))
}

/// Outer `None`: unreadable; inner `None`: nothing was found.
pub(super) fn as_found(
    survey: &mut Survey<'_>,
    controller: Option<&Controller>,
    range: Option<&RangeWish>,
) -> Option<Option<AsFound>> {
    let range_pa = as_found_range(survey);
    let settings = as_found_settings(survey, controller, range);
    let (range_pa, settings) = (range_pa?, settings?);
    Some((range_pa.is_some() || settings.is_some()).then_some(AsFound { range_pa, settings }))
}

fn as_found_range(survey: &mut Survey<'_>) -> Option<Option<(f64, f64)>> {
    const LOW: &str = "as-found.range-low";
    const HIGH: &str = "as-found.range-high";
    if survey.is_absent(LOW) && survey.is_absent(HIGH) {
        return Some(None);
    }
    survey.require(LOW, "the other end of the range is given");
    survey.require(HIGH, "the other end of the range is given");
    let (low, high) = (survey.number(LOW), survey.number(HIGH));
    let limits = (
        survey.number("cell.lower-range-limit"),
        survey.number("cell.upper-range-limit"),
    );
    if let (Some(lower), Some(upper)) = &limits
        && lower.value < upper.value
    {
        for end in [&low, &high].into_iter().flatten() {
            let (limit, words) = if end.value < lower.value {
                (lower, "below the cell's lower range limit")
            } else if end.value > upper.value {
                (upper, "above the cell's upper range limit")
            } else {
                continue;
            };
            survey.problems.push(
                Problem::new(
                    "range-outside-cell",
                    format!("`{}` at {} is {words}, {}", end.path, end.text, limit.text),
                    end.label(words),
                )
                .and(limit.label("this limit"))
                .help("a cell cannot have been set so: read range and limits again, and mind the sign"),
            );
        }
    }
    let (low, high) = (low?, high?);
    if let Some(smallest) = survey.number("cell.minimum-span")
        && (high.value - low.value).abs() < smallest.value
    {
        survey.problems.push(
            Problem::new(
                "range-span-too-small",
                format!(
                    "the range found, {} to {}, is narrower than the cell's smallest span, {}",
                    low.text, high.text, smallest.text
                ),
                low.label("from here"),
            )
            .and(high.label("to here"))
            .and(smallest.label("the smallest span"))
            .help("a cell cannot have been set so: read both again, and mind the sign"),
        );
        return None;
    }
    Some(Some((low.value, high.value)))
}

fn as_found_settings(
    survey: &mut Survey<'_>,
    controller: Option<&Controller>,
    range: Option<&RangeWish>,
) -> Option<Option<AsFoundSettings>> {
    const GAIN: &str = "as-found.gain";
    const RESET: &str = "as-found.reset";
    if survey.is_absent(GAIN) && survey.is_absent(RESET) {
        survey.refuse("as-found.derivative", "no gain and no reset was found");
        return Some(None);
    }
    survey.require(GAIN, "settings were found");
    survey.require(
        RESET,
        "a gain was found; write \"none\" for no integral action",
    );
    let gain = survey.quantity(GAIN);
    if let (Some(gain), Some(controller)) = (&gain, controller) {
        let meant = match gain.value.basis {
            Basis::BandPercent => GainUnit::ProportionalBandPercent,
            Basis::BandLevel => GainUnit::ProportionalBandLevel,
            _ => GainUnit::Ratio,
        };
        if meant != controller.gain_unit {
            let mut problem = Problem::new(
                "gain-in-another-form",
                format!(
                    "`{GAIN}`: {} is not how this controller takes its gain",
                    gain.text
                ),
                gain.label("in another form"),
            )
            .help("give what was read on the device, or correct gain-unit");
            if let Some(unit) = survey.word("controller.gain-unit") {
                problem = problem.and(unit.label("it takes it so"));
            }
            survey.problems.push(problem);
            return None;
        }
    }
    let reset_s = if survey.is_none_word(RESET) {
        Some(None)
    } else {
        survey.quantity(RESET).map(|found| Some(found.value.value))
    };
    let derivative_s = if survey.is_absent("as-found.derivative") {
        Some(0.0)
    } else {
        survey
            .number("as-found.derivative")
            .map(|found| found.value)
    };
    let gain = gain?;
    let unit = match gain.value.basis {
        Basis::BandPercent => GainUnit::ProportionalBandPercent,
        Basis::BandLevel => GainUnit::ProportionalBandLevel,
        _ => GainUnit::Ratio,
    };
    // A range without height is reported where it stands.
    let span_m = range
        .map(|range| range.span.height_m())
        .filter(|span_m| *span_m > 0.0)?;
    let gain_ratio = match unit.gain_from_value(gain.value.value, span_m) {
        Ok(gain_ratio) => gain_ratio,
        Err(error) => {
            survey.core_refusal(
                "gain-implausible",
                error,
                "read it again on the device",
                &[GAIN],
            );
            return None;
        }
    };
    plausible::found_settings(survey, gain_ratio);
    Some(Some(AsFoundSettings {
        gain_ratio,
        reset_s: reset_s?,
        derivative_s: derivative_s?,
    }))
}
