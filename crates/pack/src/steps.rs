//! The commissioning steps in their order, with limits stated beforehand and hold points that block what follows.

use halfglass_core::commissioning::{ComparisonState, comparison_levels};
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{LevelMark, MarkKind};
use halfglass_core::measurement::sheets::Condition;
use halfglass_core::quantity::LevelSpan;
use halfglass_report::units::{DisplayUnits, percent_text};

use crate::limits::Limits;
use crate::part::{PackBlock, Part, StepReading};
use crate::{steps_cold, steps_hot, steps_prepare, steps_protections, steps_settings};

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
        steps_prepare::survey(context),
        steps_prepare::review(context),
        steps_prepare::bench(context),
        steps_prepare::installation(context),
        steps_settings::panel(context),
        steps_cold::loop_check(context),
        steps_cold::stroke(context),
        steps_cold::action(context),
        steps_cold::fill(context),
        steps_protections::protections(context),
    ]
    .into_iter()
    .chain(steps_hot::steps(context));
    blocks.extend(steps.map(PackBlock::Step));
    Part::page("Commissioning steps", blocks)
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

/// Panel expected at given levels of the glass (or true levels, where there is no glass).
pub(crate) fn comparison_readings(
    context: Context<'_>,
    condition: &Condition,
    state: ComparisonState,
    accept: &str,
) -> Vec<StepReading> {
    let Context {
        described,
        sheets,
        units,
        ..
    } = context;
    // The error map was computed at this condition: an error here would have stopped the sheets before.
    let levels =
        comparison_levels(described, condition, sheets.range.chosen, state).unwrap_or_default();
    if levels.is_empty() {
        return vec![StepReading::of(
            "No level that may be held here is both in sight and on the panel: what is compared instead",
            "stated by the engineer before this step",
        )];
    }
    levels
        .into_iter()
        .map(|point| {
            let level = units.level_text(point.true_level.m());
            let seen = match point.glass {
                Some(glass) => format!(
                    "Glass at {} (true level {level})",
                    units.level_text(glass.m())
                ),
                None => format!("True level {level}, measured"),
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
pub(crate) fn marks(context: Context<'_>, kind: MarkKind) -> impl Iterator<Item = &LevelMark> {
    context
        .sheets
        .level_map
        .marks
        .iter()
        .filter(move |mark| mark.kind == kind)
}

/// Trips, highest first.
pub(crate) fn trips(context: Context<'_>) -> impl Iterator<Item = &LevelMark> {
    marks(context, MarkKind::Trip)
}

#[cfg(test)]
#[path = "steps_tests.rs"]
mod tests;
