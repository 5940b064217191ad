//! The commissioning steps in their order, with limits stated beforehand and hold points that block what follows.
//!
//! Cold work up to the proof of the protections is here; work at pressure is in [`crate::steps_hot`].

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::finding::Severity;
use halfglass_core::level_map::{LevelMark, MarkKind};
use halfglass_core::quantity::LevelSpan;
use halfglass_report::units::{DisplayUnits, current_text, number, percent_text, seconds_text};

use crate::limits::{Limits, comparison_points};
use crate::part::{PackBlock, Part, Step, StepReading};
use crate::steps_hot;
use crate::words;

/// What every step is built from.
#[derive(Clone, Copy)]
pub(crate) struct Context<'a> {
    /// The loop.
    pub(crate) described: &'a Loop,
    /// Its sheets.
    pub(crate) sheets: &'a Sheets,
    /// Units of print.
    pub(crate) units: &'a DisplayUnits,
    /// Acceptance limits.
    pub(crate) limits: &'a Limits<'a>,
}

/// The part with all steps, the order fixed.
pub(crate) fn part(context: Context<'_>) -> Part {
    let mut blocks = vec![PackBlock::Report(halfglass_report::block::Block::Paragraph(
        "Done in this order. Each line is read and written down before it is judged; the limit was stated before the test and is not moved \
         afterwards. A fail is written down too, then repaired and repeated on a fresh sheet; nothing is erased. What stands after a HOLD \
         POINT waits until it is released."
            .into(),
    ))];
    let steps = [
        survey(context),
        review(context),
        bench(context),
        installation(context),
        loop_check(context),
        stroke(context),
        action(context),
        fill(context),
        protections(context),
    ]
    .into_iter()
    .chain(steps_hot::steps(context));
    blocks.extend(steps.map(PackBlock::Step));
    Part::flow("Commissioning steps", blocks)
}

/// Percent of the level span, whole.
pub(crate) fn percent_of(level_m: f64, span: LevelSpan) -> String {
    percent_text(100.0 * (level_m - span.at_0_percent_m) / span.height_m())
}

/// A level and what it is in percent of the panel's span.
pub(crate) fn level_and_percent(context: Context<'_>, level_m: f64) -> String {
    format!(
        "{} ({})",
        context.units.level_text(level_m),
        percent_of(level_m, context.described.range.span),
    )
}

/// With a capital at its head.
pub(crate) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn survey(context: Context<'_>) -> Step {
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
            mark.name.clone(),
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

fn review(context: Context<'_>) -> Step {
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

fn bench(context: Context<'_>) -> Step {
    let Context {
        described, limits, ..
    } = context;
    let five = limits.five_point;
    let (low_ma, high_ma) = described.cell.saturation_ma;
    Step {
        title: "Bench: five points, as found and as left".into(),
        people: "one technician".into(),
        instruments: format!(
            "pressure calibrator within {}, ammeter within {}",
            limits.differential(five.calibrator_percent),
            limits.current(five.calibrator_percent),
        ),
        cautions: vec![halfglass_report::cautions::ONE_PORT.into()],
        actions: vec![
            "Use the record on the range sheet. Cell in its working position, both ports at the air: read the zero.".into(),
            "AS FOUND, before any trim: five points up, five points down, on the port that the sheet names.".into(),
            "Set the range to the values of the range sheet. Trim only if as found is outside the as-left limit; write down static pressure and ambient temperature with every trim."
                .into(),
            "AS LEFT: five points up and down again, even if nothing was trimmed.".into(),
        ],
        readings: vec![
            StepReading::of(
                "Largest error as found",
                format!("± {} (± {})", limits.percent(five.as_found_percent), limits.current(five.as_found_percent)),
            ),
            StepReading::of(
                "Largest error as left",
                format!("± {} (± {})", limits.percent(five.as_left_percent), limits.current(five.as_left_percent)),
            ),
            StepReading::of(
                "Hysteresis: largest difference up against down",
                format!("{} ({})", limits.percent(five.as_left_percent), limits.current(five.as_left_percent)),
            ),
            StepReading::of("Signal clipped low and high", format!("{} and {}", current_text(low_ma), current_text(high_ma))),
            StepReading::of("Signal when the cell reports its own fault", current_text(described.cell.fault_ma)),
        ],
        ..Step::default()
    }
}

fn installation(context: Context<'_>) -> Step {
    Step {
        title: "Installation".into(),
        people: "the fitter and one person who did not fit".into(),
        instruments: "installation checklist of this pack, drawing, spirit level".into(),
        cautions: vec![format!(
            "The {} is isolated, depressurised, cold and locked out before a fitting is opened.",
            words::vessel(context.described.vessel.kind),
        )],
        actions: vec!["Go through the installation checklist line by line, on the plant.".into()],
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

fn loop_check(context: Context<'_>) -> Step {
    let Context {
        described,
        sheets,
        units,
        limits,
    } = context;
    let span = described.range.span;
    let accept = limits.loop_check(span.height_m());
    Step {
        title: "Cold loop check".into(),
        people: "one at the cell, one at the panel".into(),
        instruments: "current source in place of the cell, ammeter in the loop".into(),
        actions: vec![
            "Feed the currents below in place of the cell; read the panel.".into(),
            "Open the loop at the cell: the panel must show a bad input and the controller must do what the loss-of-signal table says.".into(),
        ],
        readings: sheets
            .range
            .test_points
            .iter()
            .map(|point| {
                StepReading::of(
                    format!("Feed {}: panel shows", current_text(point.current_ma)),
                    format!("{} %, {}; {accept}", number(point.percent, 0), units.level_text(point.true_level.m())),
                )
            })
            .chain([StepReading::of(
                "Loop open: what controller and alarm do",
                sheets
                    .signal_loss
                    .rows
                    .iter()
                    .find(|row| row.failure.to_lowercase().contains("broken"))
                    .map_or_else(|| "as in the loss-of-signal table".to_owned(), |row| row.controller_does.clone()),
            )])
            .collect(),
        ..Step::default()
    }
}

fn stroke(context: Context<'_>) -> Step {
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
    ]);
    Step {
        title: "Stroke and fail actions".into(),
        people: "one at the valve, one at the controller".into(),
        instruments: "stop-watch, scale at the valve stem".into(),
        cautions: vec!["Hands, tools and sleeves off the stem and yoke: the valve moves on its own when signal or power returns. Pump stopped and isolated.".into()],
        actions: vec![
            "In manual, stroke up and down; wait at each point until the stem stands still.".into(),
            "Slower than stated, or a wider deadband, is a change of the loop file: settings are worked out anew.".into(),
        ],
        readings,
        ..Step::default()
    }
}

fn action(context: Context<'_>) -> Step {
    let Context {
        described, sheets, ..
    } = context;
    let feedwater = &described.feedwater;
    let action = match sheets.settings.action {
        halfglass_core::controller::action::Action::Direct => "direct",
        halfglass_core::controller::action::Action::Reverse => "reverse",
    };
    Step {
        title: "Action proved in manual".into(),
        people: "one at the controller, one at the valve".into(),
        instruments: "current source in place of the cell".into(),
        actions: vec![
            "In manual, raise the output a little; watch the valve.".into(),
            format!("Set the action to {action}. With the current source at the set point go to automatic, then raise the fed level by 5 % of span: the output must move towards less water."),
            "Lower the fed level by 5 % of span: the output must move towards more water. Back to manual.".into(),
        ],
        readings: vec![
            StepReading::of(
                "Output raised in manual: the valve",
                if feedwater.rising_output_opens { "opens" } else { "closes" },
            ),
            StepReading::of("Action entered", action),
            StepReading::of(
                "Fed level raised in automatic: the output",
                if words::output_for_more_water(feedwater) == "raise" { "falls" } else { "rises" },
            ),
        ],
        ..Step::default()
    }
}

fn fill(context: Context<'_>) -> Step {
    let Context {
        described,
        limits,
        sheets,
        ..
    } = context;
    let has_glass = described.glass.is_some();
    let how = if has_glass { "glass" } else { "measured level" };
    let mut actions = Vec::new();
    match described.reference_leg {
        ReferenceLeg::Wet { .. } => actions.extend([
            "Both blocks shut, equaliser shut. Fill the reference leg through the tee at the pot with clean cold water, slowly, until it runs over the lip into the vessel.".to_owned(),
            "Fill the working leg from the vessel. Open the vents of both chambers until no air comes; knock the tubing; vent again.".to_owned(),
            "Pre-fill and open the manifold in the order of the sheet Manifold orders, back into service.".to_owned(),
        ]),
        ReferenceLeg::Dry { .. } => actions.push("Drain the dry leg; fill the working leg from the vessel and vent its chamber.".to_owned()),
        ReferenceLeg::None => actions.push("Fill the working leg from the vessel and vent its chamber until no air comes.".to_owned()),
        ReferenceLeg::Sealed { .. } => actions.push("Open the valves between vessel and seals; vent at the flushing rings.".to_owned()),
    }
    actions.push(format!(
        "Bring the water to each level below, wait until it stands still, read {how} and panel together. The panel of this range does NOT agree with the {how} on a cold vessel; the expected reading is stated.",
    ));
    let accept = limits.level(limits.cold_comparison_m);
    let name = sheets
        .error_map
        .conditions
        .first()
        .map_or("", |condition| condition.name.as_str());
    Step {
        title: format!("Fill the legs, cold comparison with the {how}"),
        people: format!("one at the cell, one at the {how}"),
        instruments: "clean cold water, funnel or hand pump, thermometer on each leg".into(),
        cautions: vec!["The vessel is cold and at atmospheric pressure; the feed is by hand, the controller in manual.".into()],
        actions,
        readings: comparison_readings(context, name, &accept),
        ..Step::default()
    }
}

/// Panel expected at given levels of the glass (or true levels, where there is no glass).
pub(crate) fn comparison_readings(
    context: Context<'_>,
    condition: &str,
    accept: &str,
) -> Vec<StepReading> {
    let Context {
        described,
        sheets,
        units,
        ..
    } = context;
    let has_glass = described.glass.is_some();
    comparison_points(sheets, condition, has_glass)
        .into_iter()
        .map(|point| {
            let seen = match point.glass {
                Some(glass) => format!(
                    "Glass at {} (true level {})",
                    units.level_text(glass.m()),
                    units.level_text(point.true_level.m())
                ),
                None => format!(
                    "Measured true level {}",
                    units.level_text(point.true_level.m())
                ),
            };
            StepReading::of(
                format!("{seen}: panel shows"),
                format!(
                    "{} ± {accept}",
                    level_and_percent(context, point.indicated.m())
                ),
            )
        })
        .collect()
}

/// Marks of a kind, highest first.
fn marks(context: Context<'_>, kind: MarkKind) -> impl Iterator<Item = &LevelMark> {
    context
        .sheets
        .level_map
        .marks
        .iter()
        .filter(move |mark| mark.kind == kind)
}

/// Trips, highest first.
fn trips(context: Context<'_>) -> impl Iterator<Item = &LevelMark> {
    marks(context, MarkKind::Trip)
}

fn protections(context: Context<'_>) -> Step {
    let Context {
        described,
        units,
        limits,
        ..
    } = context;
    let kind = described.vessel.kind;
    let low = words::low_protection(kind);
    let accept = limits.level(limits.cold_comparison_m);
    let mut readings = Vec::new();
    for mark in marks(context, MarkKind::Alarm) {
        let limit = match mark.indicated_cold {
            Some(indicated) => format!(
                "panel at {} ± {accept}",
                level_and_percent(context, indicated.m())
            ),
            None => format!(
                "at {}; the panel cannot show it",
                units.level_text(mark.true_level.m())
            ),
        };
        readings.push(StepReading::of(
            format!("{} sounds", sentence(&mark.name)),
            limit,
        ));
    }
    for mark in trips(context) {
        let is_low = mark.true_level.m() < described.limits.set_point_m;
        let does = if is_low {
            words::low_protection_does(kind)
        } else {
            "shuts off the feed"
        };
        let seen = match mark.glass_cold {
            Some(glass) if is_low => format!(
                "glass not below {} less {}",
                units.level_text(glass.m()),
                limits.survey()
            ),
            Some(glass) => format!(
                "glass not above {} plus {}",
                units.level_text(glass.m()),
                limits.survey()
            ),
            None => format!(
                "true level {}, outside the visible glass: measure it another way",
                units.level_text(mark.true_level.m()),
            ),
        };
        readings.push(StepReading::of(
            format!("{} acts: it {does}", mark.name),
            seen,
        ));
        if is_low && kind.is_fired() {
            readings.push(StepReading::of(
                format!(
                    "{}: firing stays off when the water returns",
                    sentence(&mark.name)
                ),
                "locked out until reset by hand",
            ));
        }
    }
    let mut cautions = vec![halfglass_report::cautions::TRIPS_ARE_INDEPENDENT.to_owned()];
    let mut actions = Vec::new();
    if kind.is_fired() {
        cautions.push(
            "Two people, low fire, one of them at the glass with nothing else to do. If the water leaves the glass before the cutoff acts: \
             stop the firing by hand, do not feed."
                .into(),
        );
        actions.extend([
            "Feed shut, controller in manual. Open the drain so that the level falls slowly; a quick blow-down of the float chamber does not replace this test.".to_owned(),
            "Prove the FIRST cutoff. Refill. Prove the SECOND one by slow drain as well, the first one put out of action only as its maker's instruction says, watched all the time, and restored at once.".to_owned(),
            "Raise the level slowly by hand for the high alarm and the high-level trip.".to_owned(),
            "Repeat the cutoffs at low fire with steam up as local rules ask, before hand-over.".to_owned(),
        ]);
    } else {
        cautions
            .push("Two people: one at the drain, one at the pumps, which must not run dry.".into());
        actions.extend([
            format!("Feed shut, controller in manual. Let the level fall slowly by the drain to the low alarm and every {low}."),
            "Refill by hand and raise the level slowly to the high alarm, the high-level trip and the overflow.".to_owned(),
        ]);
    }
    let titled = if kind.is_fired() {
        "Alarms and BOTH cutoffs by slow drain"
    } else {
        "Alarms and level protections by slow drain"
    };
    if readings.is_empty() {
        readings.push(StepReading::of(
            format!("Alarms and {low}s: none is stated in the loop file"),
            "stated by the engineer before this step",
        ));
    }
    readings.push(StepReading::of(
        "Everything put out of action for this test is restored",
        "checked by the second person",
    ));
    Step {
        title: titled.into(),
        people: "two, both for the whole test".into(),
        instruments: "the makers' instructions of every protection, local code".into(),
        cautions,
        actions,
        readings,
        hold: words::held_back(kind).into(),
    }
}
