//! The commissioning steps before water goes in: survey, review, bench, installation.

use halfglass_core::description::ReferenceLeg;
use halfglass_core::finding::Severity;
use halfglass_report::units::{current_text, seconds_text};

use crate::part::{Step, StepReading};
use crate::steps::{Context, sentence, trips};
use crate::words;

/// Step: survey checked by a second person.
pub(crate) fn survey(context: Context<'_>) -> Step {
    let Context {
        described,
        units,
        limits,
        ..
    } = context;
    let exact = |m: f64| format!("{} ± {}", units.level_text(m), limits.survey());
    let mut readings = vec![StepReading::of(
        "Cell below the lower tap",
        exact(described.cell.below_lower_tap_m),
    )];
    if let Some(upper) = described.elevations.upper_tap_m {
        readings.push(StepReading::of("Upper tap", exact(upper)));
    }
    if let ReferenceLeg::Wet { pot_lip_m, .. } = described.reference_leg {
        readings.push(StepReading::of("Overflow lip of the pot", exact(pot_lip_m)));
    }
    if let Some(glass) = &described.glass {
        readings.push(StepReading::of(
            "Lowest visible water in the glass",
            exact(glass.visible_bottom_m),
        ));
        readings.push(StepReading::of(
            "Highest visible water in the glass",
            exact(glass.visible_top_m),
        ));
    }
    if let Some(surface) = described.elevations.highest_heated_surface_m {
        readings.push(StepReading::of(
            "Highest heated surface, from the vessel's drawing",
            exact(surface),
        ));
    }
    for mark in trips(context) {
        readings.push(StepReading::of(
            sentence(&words::mark_name(described.vessel.kind, &mark.name)),
            exact(mark.true_level.m()),
        ));
    }
    Step {
        title: "Survey checked".into(),
        people: "the surveyor and one person who did not survey".into(),
        instruments: "water level or laser level, steel tape, vessel drawing".into(),
        actions: vec![
            "Every elevation is measured again from ONE mark on the steelwork, then counted from the centre of the lower tap.".into(),
            "What differs goes back into the loop file; sheets and pack are made anew. Nothing is corrected by hand in this pack.".into(),
        ],
        readings,
        ..Step::default()
    }
}

/// Step: sheets reviewed.
pub(crate) fn review(context: Context<'_>) -> Step {
    let sheets = context.sheets;
    let stops = sheets
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Stop)
        .count();
    let warnings = sheets
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Warn)
        .count();
    Step {
        title: "Sheets reviewed".into(),
        people: "the engineer who made the pack and the one who checks it".into(),
        instruments: "this pack, the loop file, the makers' manuals of cell, controller and valve".into(),
        actions: vec![
            "Each assumption is either confirmed on the plant, and then written into the loop file, or accepted here by name.".into(),
            "Device marks on the settings sheet are compared with the maker's manual.".into(),
        ],
        readings: vec![
            StepReading::of(format!("STOP findings still open (this revision has {stops})"), "0"),
            StepReading::of(
                format!("WARN findings accepted in writing (this revision has {warnings})"),
                format!("all {warnings}"),
            ),
            StepReading::of("Assumptions confirmed or accepted", format!("all {}", sheets.assumptions.len())),
            StepReading::of("Revision and hash at the foot agree with the loop file in use", "the same"),
        ],
        ..Step::default()
    }
}

/// Step: five points on the bench.
pub(crate) fn bench(context: Context<'_>) -> Step {
    let Context {
        described, limits, ..
    } = context;
    let five = limits.five_point;
    let found = limits.five_point_found;
    let (low_ma, high_ma) = described.cell.saturation_ma;
    Step {
        title: "Bench: five points, as found and as left".into(),
        people: "one technician".into(),
        instruments: limits.bench_instruments(),
        cautions: vec![halfglass_report::cautions::ONE_PORT.into()],
        actions: vec![
            "Use the record on the range sheet. Cell in its working position, both ports at the air: read the zero.".into(),
            "Read the range that the cell stands at and write it down. AS FOUND, before any trim, at THAT range: five points up, five points down, on the port that the sheet names.".into(),
            "Set the range to the values of the range sheet. Trim only if as found is outside the as-left limit; write down static pressure and ambient temperature with every trim."
                .into(),
            "AS LEFT: five points up and down again, even if nothing was trimmed.".into(),
        ],
        readings: vec![
            StepReading::of(
                "Largest error as found",
                format!("± {} of the span it stands at (± {})", limits.percent(found.as_found_percent), limits.current(found.as_found_percent)),
            ),
            StepReading::of(
                "Largest error as left",
                format!("± {} (± {})", limits.percent(five.as_left_percent), limits.current(five.as_left_percent)),
            ),
            StepReading::of(
                "Hysteresis: largest difference up against down",
                format!("{} ({})", limits.percent(five.as_left_percent), limits.current(five.as_left_percent)),
            ),
            StepReading::of(
                "Damping as read back from the cell",
                seconds_text(described.cell.damping_s),
            ),
            StepReading::of(
                "Signal clipped low and high",
                format!(
                    "{} and {}, ± {}",
                    current_text(low_ma),
                    current_text(high_ma),
                    limits.current(five.as_left_percent)
                ),
            ),
            StepReading::of(
                "Signal when the cell reports its own fault",
                format!(
                    "{}, ± {}",
                    current_text(described.cell.fault_ma),
                    limits.current(five.as_left_percent)
                ),
            ),
        ],
        ..Step::default()
    }
}

/// Step: installation by its checklist.
pub(crate) fn installation(context: Context<'_>) -> Step {
    Step {
        title: "Installation".into(),
        people: "the fitter and one person who did not fit".into(),
        instruments: "installation checklist of this pack, drawing, spirit level".into(),
        cautions: vec![format!(
            "The {} is isolated, depressurised, cold and locked out before a fitting is opened.",
            words::vessel(context.described.vessel.kind),
        )],
        actions: vec![
            "The cell is back on its bracket after the bench: both ports connected, vents and drains plugged, leads on, its range as left.".into(),
            "Go through the installation checklist line by line, on the plant.".into(),
        ],
        readings: vec![
            StepReading::of("Lines of the checklist not ticked and not struck out", "0"),
            StepReading::of(
                "Working leg traced by hand from the lower tap to its port",
                words::ports(context.described.cell.polarity),
            ),
        ],
        ..Step::default()
    }
}
