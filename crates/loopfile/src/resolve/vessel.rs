//! The vessel, its taps and its heated surface.

use halfglass_core::description::{Elevations, Vessel, VesselKind};
use halfglass_core::vessel::{
    DisplacementPoint, HeadKind, Internals, Orientation, Shell, VesselError,
};

use super::{plausible, refusal};
use crate::problem::{Label, Problem};
use crate::survey::Survey;

pub(super) fn kind(survey: &Survey<'_>) -> Option<VesselKind> {
    Some(match survey.word("vessel.kind")?.value {
        "shell-boiler" => VesselKind::ShellBoiler,
        "drum-boiler" => VesselKind::DrumBoiler,
        "deaerator" => VesselKind::Deaerator,
        _ => VesselKind::VentedTank,
    })
}

pub(super) fn vessel(survey: &mut Survey<'_>, kind: Option<VesselKind>) -> Option<Vessel> {
    let shell = shell(survey);
    let lower_tap = survey.number("vessel.lower-tap-above-bottom");
    if let (Some(shell), Some(tap)) = (&shell, &lower_tap)
        && !(0.0..=shell.height_m()).contains(&tap.value)
    {
        let height = survey.length_words(shell.height_m());
        let mut problem = Problem::new(
            "tap-outside-shell",
            format!(
                "the lower tap, {} above the inside bottom, is outside the shell, which is {height} high",
                tap.text
            ),
            tap.label("outside the shell"),
        )
        .help("measure from the inside bottom of the vessel up to the centre of the tap");
        if let Some(diameter) = survey.entries.get("vessel.inside-diameter") {
            problem = problem.and(Label::new(
                diameter.span.clone(),
                format!("the shell is {height} high inside"),
            ));
        }
        survey.problems.push(problem);
    }
    let internals = internals(
        survey,
        shell.as_ref(),
        lower_tap.as_ref().map(|tap| tap.value),
    );
    let water_temperature_k = match kind {
        Some(VesselKind::VentedTank) => {
            survey.require(
                "vessel.water-temperature",
                "a vented tank is not at saturation",
            );
            Some(
                survey
                    .number("vessel.water-temperature")
                    .map(|found| found.value),
            )
        }
        Some(_) => {
            survey.refuse(
                "vessel.water-temperature",
                "the water of this vessel is at saturation",
            );
            Some(None)
        }
        None => None,
    };
    let circuit_volume_m3 = circuit_volume(survey, kind);
    let vacuum_breaker = if survey.is_present("vessel.vacuum-breaker") {
        survey.flag("vessel.vacuum-breaker").map(|flag| flag.value)
    } else if kind == Some(VesselKind::VentedTank) {
        Some(true)
    } else {
        survey.assume(
            "vessel.vacuum-breaker",
            "none".to_owned(),
            "not surveyed; without one the vessel pulls a vacuum when it cools, which the cell must stand",
        );
        Some(false)
    };
    let water_temperature_k = water_temperature_k?;
    if kind == Some(VesselKind::VentedTank) && water_temperature_k.is_none() {
        return None;
    }
    Some(Vessel {
        kind: kind?,
        shell: shell?,
        lower_tap_above_bottom_m: lower_tap?.value,
        internals: internals?,
        circuit_volume_m3,
        water_temperature_k,
        vacuum_breaker: vacuum_breaker?,
    })
}

/// Water of the tubes swells into a drum; the other vessels hold all their water themselves.
fn circuit_volume(survey: &mut Survey<'_>, kind: Option<VesselKind>) -> Option<f64> {
    const PATH: &str = "vessel.circuit-volume";
    if kind.is_some_and(|kind| !matches!(kind, VesselKind::DrumBoiler)) {
        survey.refuse(PATH, "only a drum boiler has water outside its vessel");
    }
    survey.number(PATH).map(|found| found.value)
}

fn shell(survey: &mut Survey<'_>) -> Option<Shell> {
    let heads = survey.word("vessel.heads").map(|word| word.value);
    let head = match heads {
        Some("flat") => Some(HeadKind::Flat),
        Some("ellipsoidal") => Some(HeadKind::Ellipsoidal2To1),
        Some("hemispherical") => Some(HeadKind::Hemispherical),
        Some(_) => torispherical(survey),
        None => None,
    };
    if matches!(heads, Some(other) if other != "torispherical") {
        for path in ["vessel.crown-radius-ratio", "vessel.knuckle-radius-ratio"] {
            survey.refuse(path, "the heads are not torispherical");
        }
    }
    let orientation = match survey.word("vessel.orientation")?.value {
        "vertical" => Orientation::Vertical,
        _ => Orientation::Horizontal,
    };
    let diameter = survey.number("vessel.inside-diameter")?;
    let length = survey.number("vessel.length")?;
    match Shell::new(orientation, diameter.value, length.value, head?) {
        Ok(shell) => Some(shell),
        Err(error) => {
            let (first, message) = refusal::shell_words(survey, &error);
            survey.core_refusal(
                "shell-implausible",
                message,
                "is the unit right? Measure the shell inside, its straight part without the heads",
                &[first, "vessel.heads"],
            );
            None
        }
    }
}

fn torispherical(survey: &mut Survey<'_>) -> Option<HeadKind> {
    Some(HeadKind::Torispherical {
        crown_ratio: survey.number_or(
            "vessel.crown-radius-ratio",
            1.0,
            "not surveyed; the usual flanged and dished head (ASME BPVC VIII-1 UG-32)",
        )?,
        knuckle_ratio: survey.number_or(
            "vessel.knuckle-radius-ratio",
            0.06,
            "not surveyed; the usual flanged and dished head (ASME BPVC VIII-1 UG-32)",
        )?,
    })
}

fn internals(
    survey: &mut Survey<'_>,
    shell: Option<&Shell>,
    lower_tap_above_bottom_m: Option<f64>,
) -> Option<Internals> {
    let count = survey.entries.count("vessel.internals");
    let mut rows = Vec::new();
    let mut previous = None;
    for index in 0..count {
        let height = survey.number(&format!("vessel.internals[{index}].height"));
        survey.check_below(
            "internals-not-rising",
            previous.as_ref(),
            height.as_ref(),
            false,
            "write the rows from the lowest height to the highest",
        );
        if let (Some(height), Some(shell), Some(tap)) = (&height, shell, lower_tap_above_bottom_m)
            && !(0.0..=shell.height_m()).contains(&(height.value + tap))
        {
            survey.problems.push(
                Problem::new(
                    "internals-outside-shell",
                    format!(
                        "internals at {} from the lower tap are outside the shell",
                        height.text
                    ),
                    height.label("outside the shell"),
                )
                .help("heights of internals count from the lower tap, negative below it"),
            );
        }
        let displaced = survey.number(&format!("vessel.internals[{index}].displaced"));
        rows.push((height.clone(), displaced));
        previous = height.or(previous);
    }
    let rows = rows
        .into_iter()
        .map(|(height, displaced)| {
            Some(DisplacementPoint {
                height_m: height?.value + lower_tap_above_bottom_m?,
                displaced_fraction: displaced?.value / 100.0,
            })
        })
        .collect::<Option<Vec<_>>>()?;
    if rows.is_empty() {
        return Some(Internals::none());
    }
    match Internals::new(rows) {
        Ok(internals) => Some(internals),
        Err(error) => {
            let already = survey
                .problems
                .iter()
                .any(|problem| problem.code == "internals-not-rising");
            if !already {
                let row = match error {
                    VesselError::DisplacedFraction { row, .. } => row.saturating_sub(1),
                    _ => 0,
                };
                survey.core_refusal(
                    "internals-implausible",
                    format!(
                        "`vessel.internals` {}: some free surface must be left",
                        row + 1
                    ),
                    "write the share that tubes and furnace take at that height, under 100 %",
                    &[&format!("vessel.internals[{row}].displaced")],
                );
            }
            None
        }
    }
}

pub(super) fn elevations(
    survey: &mut Survey<'_>,
    kind: Option<VesselKind>,
    vessel: Option<&Vessel>,
) -> Option<Elevations> {
    if kind.is_some_and(VesselKind::holds_steam) {
        survey.require("elevations.upper-tap", "the vessel holds steam");
    }
    match kind {
        Some(kind) if kind.is_fired() => {
            survey.require("elevations.highest-heated-surface", "the vessel is fired");
        }
        Some(_) => survey.refuse(
            "elevations.highest-heated-surface",
            "the vessel is not fired",
        ),
        None => {}
    }
    let upper = survey.number("elevations.upper-tap");
    let surface = survey.number("elevations.highest-heated-surface");
    let overflow = survey.number("elevations.overflow");
    check_upper_tap(survey, vessel);
    // From a lower tap outside the shell nothing can be judged.
    let vessel = vessel.filter(|vessel| {
        (0.0..=vessel.shell.height_m()).contains(&vessel.lower_tap_above_bottom_m)
    });
    check_marks_inside(survey, vessel);
    if let Some(vessel) = vessel {
        plausible::pot(
            survey,
            vessel.shell.height_m(),
            vessel.lower_tap_above_bottom_m,
        );
    }
    let set_point = survey.number("limits.set-point");
    survey.check_below(
        "overflow-under-set-point",
        set_point.as_ref(),
        overflow.as_ref(),
        false,
        "the vessel cannot be held at a level above its overflow",
    );
    for cutoff in ["limits.second-low-cutoff", "limits.low-cutoff"] {
        let cutoff = survey.number(cutoff);
        survey.check_below(
            "heated-surface-not-under-cutoff",
            surface.as_ref(),
            cutoff.as_ref(),
            false,
            "a low-water cutoff must act while the highest heated surface is still under water",
        );
    }
    let kind = kind?;
    let missing = (kind.holds_steam() && upper.is_none()) || (kind.is_fired() && surface.is_none());
    let unreadable = ["elevations.upper-tap", "elevations.overflow"]
        .iter()
        .any(|path| survey.is_present(path) && survey.number(path).is_none());
    if missing || unreadable {
        return None;
    }
    Some(Elevations {
        upper_tap_m: upper.map(|found| found.value),
        highest_heated_surface_m: surface.map(|found| found.value),
        overflow_m: overflow.map(|found| found.value),
    })
}

/// Levels that water has to reach lie inside the shell.
fn check_marks_inside(survey: &mut Survey<'_>, vessel: Option<&Vessel>) {
    let Some(vessel) = vessel else { return };
    let height_m = vessel.shell.height_m();
    let upper_m = survey
        .number("elevations.upper-tap")
        .map(|found| found.value);
    for path in [
        "elevations.highest-heated-surface",
        "elevations.overflow",
        "limits.set-point",
        "limits.low-alarm",
        "limits.high-alarm",
        "limits.low-cutoff",
        "limits.second-low-cutoff",
        "limits.high-trip",
        "glass.visible-bottom",
        "glass.visible-top",
        "range.level-at-0",
        "range.level-at-100",
    ] {
        let Some(mark) = survey.number(path) else {
            continue;
        };
        // What lies outside the taps is reported so.
        if path.starts_with("range.")
            && (mark.value < 0.0 || upper_m.is_some_and(|upper_m| mark.value > upper_m))
        {
            continue;
        }
        if (0.0..=height_m).contains(&(mark.value + vessel.lower_tap_above_bottom_m)) {
            continue;
        }
        let height = survey.length_words(height_m);
        let mut problem = Problem::new(
            "mark-outside-shell",
            format!(
                "`{path}` at {} from the lower tap is outside the shell, which is {height} high",
                mark.text
            ),
            mark.label("outside the shell"),
        )
        .help("heights count from the centre of the LOWER tap, not from the bottom");
        if let Some(lower) = survey.entries.get("vessel.lower-tap-above-bottom") {
            problem = problem.and(Label::new(
                lower.span.clone(),
                "the lower tap is so high above the bottom",
            ));
        }
        survey.problems.push(problem);
    }
}

fn check_upper_tap(survey: &mut Survey<'_>, vessel: Option<&Vessel>) {
    let Some(upper) = survey.number("elevations.upper-tap") else {
        return;
    };
    if upper.value <= 0.0 {
        let mut problem = Problem::new(
            "upper-tap-not-above-lower",
            format!(
                "the upper tap is at {} from the lower tap, so it is not above it",
                upper.text
            ),
            upper.label("not above the lower tap"),
        )
        .help("all elevations count from the centre of the LOWER tap, positive up");
        if let Some(lower) = survey.entries.get("vessel.lower-tap-above-bottom") {
            problem = problem.and(Label::new(
                lower.span.clone(),
                "the lower tap, from which elevations count",
            ));
        }
        survey.problems.push(problem);
        return;
    }
    let Some(vessel) = vessel else { return };
    let height_m = vessel.shell.height_m();
    if upper.value + vessel.lower_tap_above_bottom_m > height_m {
        let at = survey.length_words(upper.value + vessel.lower_tap_above_bottom_m);
        let height = survey.length_words(height_m);
        let mut problem = Problem::new(
            "tap-outside-shell",
            format!("the upper tap comes to {at} above the inside bottom, but the shell is {height} high"),
            upper.label("above the top of the shell"),
        )
        .help("measure both taps and the inside bottom again");
        for (path, text) in [
            ("vessel.lower-tap-above-bottom", "with the lower tap here"),
            ("vessel.inside-diameter", "and a shell of this size"),
        ] {
            if let Some(entry) = survey.entries.get(path) {
                problem = problem.and(Label::new(entry.span.clone(), text));
            }
        }
        survey.problems.push(problem);
    }
}
