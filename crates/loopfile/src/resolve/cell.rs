//! Glass, cell and what the panel shall show.

use halfglass_core::description::{
    Cell, Glass, Polarity, RangeMethod, RangeWish, Reversal, VesselKind,
};
use halfglass_core::quantity::{AbsolutePressure, LevelSpan};

use crate::problem::Problem;
use crate::quantity_text::Dimension;
use crate::survey::Survey;
use crate::words;

/// Outer `None`: unreadable; inner `None`: there is no glass.
pub(super) fn glass(survey: &mut Survey<'_>) -> Option<Option<Glass>> {
    if survey.entries.count("glass") == 0 {
        return Some(None);
    }
    let connection = survey.number("glass.lower-connection");
    let bottom = survey.number("glass.visible-bottom");
    let top = survey.number("glass.visible-top");
    survey.check_below(
        "glass-reversed",
        bottom.as_ref(),
        top.as_ref(),
        false,
        "exchange them",
    );
    survey.check_below(
        "glass-under-its-connection",
        connection.as_ref(),
        bottom.as_ref(),
        true,
        "water comes into the glass by its lower connection, so what can be seen is above it",
    );
    let set_point = survey.number("limits.set-point");
    for (low, high) in [(&bottom, &set_point), (&set_point, &top)] {
        survey.check_below(
            "set-point-outside-glass",
            low.as_ref(),
            high.as_ref(),
            false,
            "the operator must see the level at the set point; measure glass and set point from the LOWER tap",
        );
    }
    let water_temperature_k = survey.number("glass.water-temperature");
    if survey.is_absent("glass.water-temperature") {
        survey.assume(
            "glass.water-temperature",
            "50 K under saturation, not under the lowest ambient".to_owned(),
            "not surveyed; common practice; the cooler the glass, the lower it reads",
        );
    } else if water_temperature_k.is_none() {
        return None;
    }
    Some(Some(Glass {
        lower_connection_m: connection?.value,
        visible_bottom_m: bottom?.value,
        visible_top_m: top?.value,
        water_temperature_k: water_temperature_k.map(|found| found.value),
    }))
}

pub(super) fn cell(survey: &mut Survey<'_>, vessel: Option<VesselKind>) -> Option<Cell> {
    let (polarity, reversal) = polarity(survey);
    let lower = survey.number("cell.lower-range-limit");
    let upper = survey.number("cell.upper-range-limit");
    survey.check_below(
        "cell-limits-reversed",
        lower.as_ref(),
        upper.as_ref(),
        false,
        "the lower range limit is usually negative, minus the upper one",
    );
    let span = survey.number("cell.minimum-span");
    if let (Some(lower), Some(upper), Some(span)) = (&lower, &upper, &span)
        && lower.value < upper.value
        && span.value > upper.value - lower.value
    {
        survey.problems.push(
            Problem::new(
                "minimum-span-over-limits",
                format!(
                    "the smallest span, {}, is more than there is between the range limits",
                    span.text
                ),
                span.label("this span"),
            )
            .and(lower.label("does not fit between this"))
            .and(upper.label("and this"))
            .help("all three are on the cell's data sheet"),
        );
    }
    let static_limit = survey.pressure("cell.static-limit");
    if let (Some(limit), Some(valve)) = (&static_limit, survey.pressure("pressures.safety-valve"))
        && valve.value.pa() > limit.value.pa()
    {
        survey.problems.push(
            Problem::new(
                "static-limit-under-safety-valve",
                format!(
                    "the cell stands {}, but the vessel may come to {}",
                    limit.text, valve.text
                ),
                limit.label("the cell stands this"),
            )
            .and(valve.label("the safety valve opens here"))
            .help("use a cell for the safety valve's set pressure"),
        );
    }
    let vacuum_limit = if survey.is_present("cell.vacuum-limit") {
        survey
            .pressure("cell.vacuum-limit")
            .map(|found| found.value)
    } else {
        survey.assume(
            "cell.vacuum-limit",
            words::quantity(3.5e3, Dimension::Pressure, survey.units),
            if vessel == Some(VesselKind::VentedTank) {
                "not surveyed; common for oil-filled cells; a tank open to the air comes nowhere near it"
            } else {
                "not surveyed; common for oil-filled cells; a closed vessel pulls a vacuum when it cools"
            },
        );
        Some(AbsolutePressure::from_pa(3.5e3))
    };
    let (saturation_ma, fault_ma) = currents(survey);
    let accuracy = survey.number_or(
        "cell.reference-accuracy",
        0.1,
        "not surveyed; common for a cell of today; take it from the data sheet",
    );
    let drift = survey.number_or(
        "cell.drift-per-year",
        0.1,
        "not surveyed; common for a cell of today; take it from the data sheet",
    );
    let damping = survey.number_or(
        "cell.damping",
        0.5,
        "not surveyed; it counts towards the dead time of tuning",
    );
    let below = survey.number("cell.below-lower-tap");
    if vessel == Some(VesselKind::VentedTank)
        && let (Some(Polarity::WetLegOnHigh), Some(word)) = (polarity, survey.word("cell.polarity"))
    {
        survey.problems.push(
            Problem::new(
                "polarity-needs-leg",
                "a vented tank has no wet leg that could be on the high port",
                word.label("no such leg"),
            )
            .help("write polarity = \"bottom-on-high\""),
        );
    }
    Some(Cell {
        below_lower_tap_m: below?.value,
        polarity: polarity?,
        reversal: reversal?,
        lower_range_limit_pa: lower?.value,
        upper_range_limit_pa: upper?.value,
        minimum_span_pa: span?.value,
        reference_accuracy_percent: accuracy?,
        drift_percent_url_per_year: drift?,
        vacuum_limit: vacuum_limit?,
        static_limit: static_limit?.value,
        saturation_ma: saturation_ma?,
        fault_ma: fault_ma?,
        damping_s: damping?,
    })
}

fn polarity(survey: &mut Survey<'_>) -> (Option<Polarity>, Option<Reversal>) {
    let Some(polarity) = survey.word("cell.polarity") else {
        return (None, None);
    };
    let reversed_in = survey.word("cell.reversed-in");
    if polarity.value == "bottom-on-high" {
        if let Some(reversed) = reversed_in.filter(|reversed| reversed.value != "nowhere") {
            survey.problems.push(
                Problem::new(
                    "reversal-not-wanted",
                    "with the lower tap on the high port the signal rises with level already; reversed, it reads upside down",
                    reversed.label("reversed here"),
                )
                .and(polarity.label("rises with level"))
                .help("write reversed-in = \"nowhere\", or correct the polarity"),
            );
        }
        return (Some(Polarity::BottomOnHigh), Some(Reversal::Nowhere));
    }
    survey.require(
        "cell.reversed-in",
        "with the wet leg on the high port the signal falls with level",
    );
    let reversal = match reversed_in.as_ref().map(|reversed| reversed.value) {
        Some("cell") => Some(Reversal::InCell),
        Some("controller") => Some(Reversal::InController),
        Some(_) => {
            if let Some(reversed) = reversed_in {
                survey.problems.push(
                    Problem::new(
                        "reversal-missing",
                        "with the wet leg on the high port the signal falls with level and must be reversed exactly once",
                        reversed.label("never reversed"),
                    )
                    .and(polarity.label("falls with level"))
                    .help("write reversed-in = \"cell\" or \"controller\": where it is done on this loop"),
                );
            }
            None
        }
        None => None,
    };
    (Some(Polarity::WetLegOnHigh), reversal)
}

fn currents(survey: &mut Survey<'_>) -> (Option<(f64, f64)>, Option<f64>) {
    let why = "not surveyed; NAMUR NE 43; look at the cell's setting";
    let low = survey.number_or("cell.saturation-low", 3.8, why);
    let high = survey.number_or("cell.saturation-high", 20.5, why);
    let fault = survey.number_or(
        "cell.fault-current",
        3.6,
        "not surveyed; NAMUR NE 43, low; whether a failed cell reads empty or full decides what the valve does: look at its switch",
    );
    let (Some(low), Some(high), Some(fault)) = (low, high, fault) else {
        return (None, None);
    };
    // Output signals of 4 to 20 mA saturate outside it and never beyond what a loop can carry.
    let fits = (3.0..=4.0).contains(&low) && (20.0..=24.0).contains(&high);
    if !fits {
        survey.core_refusal(
            "currents-implausible",
            "a 4-20 mA output saturates between 3 and 4 mA below and between 20 and 24 mA above",
            "take both from the cell's data sheet; NAMUR NE 43 has 3.8 mA and 20.5 mA",
            &["cell.saturation-low", "cell.saturation-high"],
        );
    } else if !((0.0..=low).contains(&fault) || (high..=30.0).contains(&fault)) {
        survey.core_refusal(
            "fault-current-inside-signal",
            "the current on a fault of the cell must lie outside the signal, at or beyond one of its saturation currents",
            "look at the cell's switch or setting; NAMUR NE 43 has 3.6 mA or less, or 21 mA or more",
            &["cell.fault-current", "cell.saturation-low", "cell.saturation-high"],
        );
    }
    (Some((low, high)), Some(fault))
}

pub(super) fn range(survey: &mut Survey<'_>, vessel: Option<VesselKind>) -> Option<RangeWish> {
    let upper_tap = survey.number("elevations.upper-tap");
    let at_0 = survey.number_or(
        "range.level-at-0",
        0.0,
        "not stated; the panel shows 0 % at the lower tap",
    );
    let at_100 = match &upper_tap {
        Some(upper) => survey.number_or(
            "range.level-at-100",
            upper.value,
            "not stated; the panel shows 100 % at the upper tap",
        ),
        None => {
            if vessel == Some(VesselKind::VentedTank) && survey.is_absent("elevations.upper-tap") {
                survey.require(
                    "range.level-at-100",
                    "there is no upper tap to take it from",
                );
            }
            survey.number("range.level-at-100").map(|found| found.value)
        }
    };
    check_range(survey);
    let wish = (
        survey.word_or(
            "range.method",
            "normal",
            if vessel == Some(VesselKind::VentedTank) {
                "not stated; exact at the stored temperature"
            } else {
                "not stated; exact at normal pressure and leg temperature"
            },
        ),
        survey.number_or(
            "range.high-error-limit",
            0.0,
            "not stated; in the best range nothing may read high at and below the low alarm",
        ),
        survey.number_or(
            "range.high-error-weight",
            1.0,
            "not stated; high and low readings count alike in the best range",
        ),
        survey.number_or(
            "range.low-error-weight",
            1.0,
            "not stated; high and low readings count alike in the best range",
        ),
        survey.number_or(
            "range.bench-temperature",
            293.15,
            "not stated; a usual workshop temperature",
        ),
    );
    for path in ["range.high-error-weight", "range.low-error-weight"] {
        if let Some(weight) = survey.number(path)
            && weight.value <= 0.0
        {
            survey.problems.push(
                Problem::new(
                    "weight-zero",
                    format!("`{path}` is zero: errors that count nothing may be of any size"),
                    weight.label("zero"),
                )
                .help("write a small weight, for instance 0.1"),
            );
        }
    }
    Some(RangeWish {
        span: LevelSpan {
            at_0_percent_m: at_0?,
            at_100_percent_m: at_100?,
        },
        method: match wish.0? {
            "best" => RangeMethod::Best,
            _ => RangeMethod::Normal,
        },
        high_error_limit_percent: wish.1?,
        high_error_weight: wish.2?,
        low_error_weight: wish.3?,
        bench_temperature_k: wish.4?,
    })
}

fn check_range(survey: &mut Survey<'_>) {
    let (low, high, upper_tap) = (
        survey.number("range.level-at-0"),
        survey.number("range.level-at-100"),
        survey.number("elevations.upper-tap"),
    );
    survey.check_below(
        "range-levels-reversed",
        low.as_ref(),
        high.as_ref(),
        false,
        "0 % is the lower level",
    );
    survey.check_below(
        "range-outside-taps",
        high.as_ref(),
        upper_tap.as_ref(),
        true,
        "the cell is blind above the upper tap",
    );
    if let Some(low) = &low
        && low.value < 0.0
    {
        survey.problems.push(
            Problem::new(
                "range-outside-taps",
                format!("0 % at {} is below the lower tap", low.text),
                low.label("below the lower tap"),
            )
            .help("the cell is blind below the lower tap"),
        );
    }
    if let (Some(low), None, Some(upper)) = (&low, &high, &upper_tap) {
        survey.check_below(
            "range-levels-reversed",
            Some(low),
            Some(upper),
            false,
            "100 % is at the upper tap unless stated",
        );
    }
    if let (None, Some(high)) = (&low, &high)
        && high.value <= 0.0
    {
        survey.problems.push(
            Problem::new(
                "range-levels-reversed",
                format!(
                    "100 % at {} is not above 0 %, which is at the lower tap",
                    high.text
                ),
                high.label("not above the lower tap"),
            )
            .help("heights count from the LOWER tap, positive up"),
        );
    }
}
