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

#[test]
fn practice_a_fired_vessel_is_not_left_without_alarms_by_an_empty_answer() {
    for (kind, units) in each() {
        for question in questions(kind, units) {
            let is_alarm = matches!(question.path, "limits.low-alarm" | "limits.high-alarm");
            assert_eq!(
                question.missed.is_some(),
                is_alarm && kind.is_fired(),
                "{kind:?}: {}",
                question.path
            );
        }
    }
}

/// An inch is 25.4 mm (international yard and pound agreement, 1959); 212 degF is 100 degC.
#[test]
fn published_what_was_understood_is_told_in_the_units_of_the_file() {
    for (units, path, text, told) in [
        (
            UnitSystem::Us,
            "elevations.upper-tap",
            "30 in",
            "30 in above the lower tap",
        ),
        (
            UnitSystem::Us,
            "elevations.upper-tap",
            "2 ft 6 1/2 in",
            "2 ft 6 1/2 in = 30.5 in above the lower tap",
        ),
        (
            UnitSystem::Us,
            "elevations.upper-tap",
            "762 mm",
            "762 mm = 30 in above the lower tap",
        ),
        (
            UnitSystem::Si,
            "elevations.upper-tap",
            "30 in",
            "30 in = 762 mm above the lower tap",
        ),
        (
            UnitSystem::Si,
            "duty.feed-temperature",
            "212 degF",
            "212 degF = 100 degC",
        ),
        (
            UnitSystem::Us,
            "duty.feed-temperature",
            "212 degF",
            "212 degF",
        ),
        (
            UnitSystem::Si,
            "pressures.normal",
            "100 psi(g)",
            "100 psi(g) = 6.895 bar(g)",
        ),
        (UnitSystem::Us, "duty.outflow", "350 bhp", "350 bhp"),
        (
            UnitSystem::Us,
            "cell.polarity",
            "bottom-on-high",
            "bottom-on-high",
        ),
        (UnitSystem::Us, "loop.tag", "LIC \"9\"", "LIC \"9\""),
    ] {
        let mut answers = Answers::new(VesselKind::ShellBoiler, units);
        answers.set(path, text).unwrap();
        assert_eq!(understood(&answers, path).as_deref(), Some(told));
        answers.take_back(path);
        assert_eq!(understood(&answers, path), None);
    }
}

#[test]
fn practice_refusals_show_an_example_in_the_units_of_the_file() {
    for (units, example) in [
        (UnitSystem::Us, "for instance 30 in"),
        (UnitSystem::Si, "for instance 7"),
    ] {
        let said = Answers::new(VesselKind::ShellBoiler, units)
            .set("elevations.upper-tap", "30")
            .unwrap_err()
            .to_string();
        assert!(said.contains(example), "{said}");
    }
}

#[test]
fn practice_answers_that_contradict_each_other_are_found_at_once() {
    let mut answers = Answers::new(VesselKind::ShellBoiler, UnitSystem::Us);
    assert_eq!(contradictions(&answers), []);
    answers.set("limits.set-point", "40 in").unwrap();
    assert_eq!(
        contradictions(&answers),
        [],
        "the upper tap is an example still"
    );
    answers.set("elevations.upper-tap", "30 in").unwrap();
    let found = contradictions(&answers);
    assert!(
        found
            .iter()
            .any(|one| one.paths.contains(&"limits.set-point".to_owned())
                && one.paths.contains(&"elevations.upper-tap".to_owned())),
        "{found:?}"
    );
    answers.set("limits.set-point", "15 in").unwrap();
    assert_eq!(contradictions(&answers), []);
}
