//! Tests of the questions of a new loop.

use halfglass_core::description::{UnitSystem, VesselKind};

use super::tests::{each, reads};
use super::*;

#[test]
fn practice_questions_are_few_and_their_examples_are_answers() {
    for (kind, units) in each() {
        let asked = questions(kind, units);
        assert!(
            (24..=40).contains(&asked.len()),
            "{kind:?}: {}",
            asked.len()
        );
        let mut answers = Answers::new(kind, units);
        for question in &asked {
            if let Some(first) = question.only_after {
                assert!(answers.is_set(first), "{}", question.path);
            }
            assert!(!answers.is_set(question.path));
            answers.set(question.path, &question.example).unwrap();
            assert!(answers.is_set(question.path));
        }
        let text = commented_file(&answers);
        reads(&text);
        let before = commented_file(&Answers::new(kind, units));
        let marks = |text: &str| text.matches("  # invented: replace").count();
        let invented = asked
            .iter()
            .filter(|question| question.default.is_none() && question.only_after.is_none());
        assert_eq!(marks(&before) - marks(&text), invented.count(), "{kind:?}");
    }
}

/// An empty answer where a default holds leaves the default: no mark, and what is assumed is listed.
#[test]
fn practice_empty_answers_keep_defaults() {
    for (kind, units) in each() {
        let mut answers = Answers::new(kind, units);
        for question in questions(kind, units) {
            if question.default.is_none() && question.only_after.is_none() {
                answers.set(question.path, &question.example).unwrap();
            }
        }
        let described = reads(&commented_file(&answers));
        for question in questions(kind, units) {
            assert!(
                !described
                    .placeholders
                    .iter()
                    .any(|path| path.starts_with(question.path)),
                "{kind:?}: {}",
                question.path
            );
        }
        assert!(described.glass.is_none(), "{kind:?}");
        assert!(described.limits.low_alarm_m.is_none(), "{kind:?}");
        for path in ["feedwater.stroke-time", "controller.input-fault"] {
            assert!(
                described.assumptions.iter().any(|one| one.input == path),
                "{kind:?}: {path}"
            );
        }
    }
}

#[test]
fn practice_what_a_look_at_the_plant_betters_is_asked() {
    for (kind, units) in each() {
        let asked = questions(kind, units);
        for path in [
            "loop.water-column",
            "glass.visible-bottom",
            "glass.visible-top",
            "glass.lower-connection",
            "limits.low-alarm",
            "limits.high-alarm",
            "limits.high-trip",
            "feedwater.full-valve-flow",
            "feedwater.stroke-time",
            "controller.input-fault",
        ] {
            assert!(asked.iter().any(|question| question.path == path), "{path}");
        }
        let asks = |path: &str| asked.iter().any(|question| question.path == path);
        assert_eq!(asks("reference-leg.temperature"), kind.holds_steam());
        assert_eq!(
            asks("vessel.circuit-volume"),
            matches!(kind, VesselKind::DrumBoiler)
        );
    }
}

/// Which tap a height counts from is the first thing that goes wrong at a survey.
#[test]
fn practice_questions_of_heights_name_the_lower_tap() {
    for (kind, units) in each() {
        for question in questions(kind, units) {
            let is_height = question.path.starts_with("elevations.")
                || question.path.starts_with("limits.")
                || question.path.starts_with("glass.")
                || matches!(
                    question.path,
                    "reference-leg.pot-lip" | "range.level-at-100"
                );
            assert_eq!(
                question.text.contains("above the centre of the LOWER tap"),
                is_height,
                "{}: {}",
                question.path,
                question.text
            );
        }
    }
}

#[test]
fn practice_choices_are_answered_by_number_or_name() {
    let asked = questions(VesselKind::ShellBoiler, UnitSystem::Us);
    let question = |path: &str| asked.iter().find(|one| one.path == path).unwrap();
    for (path, typed, answer) in [
        ("cell.polarity", "2", "wet-leg-on-high"),
        ("cell.polarity", " Wet-Leg-On-High ", "wet-leg-on-high"),
        ("cell.polarity", "0", "0"),
        ("cell.polarity", "3", "3"),
        ("loop.water-column", "3", "4 degC"),
        ("loop.water-column", "4 degc", "4 degC"),
        ("elevations.upper-tap", "2", "2"),
        ("loop.tag", "1", "1"),
    ] {
        assert_eq!(question(path).answer(typed), answer, "{path}: {typed}");
    }
}

/// What a survey may not guess is asked, whatever the vessel.
#[test]
fn practice_what_is_never_defaulted_is_asked() {
    let asked = questions(VesselKind::ShellBoiler, UnitSystem::Si);
    for path in [
        "vessel.lower-tap-above-bottom",
        "elevations.upper-tap",
        "elevations.highest-heated-surface",
        "reference-leg.pot-lip",
        "pressures.safety-valve",
        "limits.low-cutoff",
        "limits.second-low-cutoff",
    ] {
        assert!(asked.iter().any(|question| question.path == path), "{path}");
    }
}
