//! The commissioning step that everything after it waits for: alarms and level protections proved by slow drain.

use halfglass_core::level_map::MarkKind;

use crate::part::{Step, StepReading};
use crate::steps::{Context, level_and_percent, marks, sentence, trips};
use crate::words;

/// Step: alarms and level protections by slow drain; a hold point.
pub(crate) fn protections(context: Context<'_>) -> Step {
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
                "glass not below {} less {}, water still in sight",
                units.level_text(glass.m()),
                limits.survey()
            ),
            Some(glass) => format!(
                "glass not above {} plus {}",
                units.level_text(glass.m()),
                limits.survey()
            ),
            None if is_low && kind.is_fired() => format!(
                "its mark, {} true level, is out of sight: proved as its maker says, never by running below the glass",
                units.level_text(mark.true_level.m()),
            ),
            None => format!(
                "{} true level, out of sight: measured another way",
                units.level_text(mark.true_level.m()),
            ),
        };
        readings.push(StepReading::of(
            format!("{} acts: it {does}", sentence(&mark.name)),
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
