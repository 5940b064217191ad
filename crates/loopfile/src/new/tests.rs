//! Tests of the commented file of a new loop.

use halfglass_core::description::{ReferenceLeg, Reversal, UnitSystem, VesselKind};
use proptest::prelude::*;

use super::*;
use crate::keys::{Need, SECTIONS, group};
use crate::read;

const KINDS: [VesselKind; 4] = [
    VesselKind::ShellBoiler,
    VesselKind::DrumBoiler,
    VesselKind::Deaerator,
    VesselKind::VentedTank,
];
const UNITS: [UnitSystem; 2] = [UnitSystem::Us, UnitSystem::Si];

pub(super) fn each() -> impl Iterator<Item = (VesselKind, UnitSystem)> {
    KINDS
        .into_iter()
        .flat_map(|kind| UNITS.map(|units| (kind, units)))
}

#[track_caller]
pub(super) fn reads(text: &str) -> halfglass_core::description::Loop {
    read(text.as_bytes()).unwrap_or_else(|problems| panic!("{problems:#?}\n{text}"))
}

#[track_caller]
fn refused(path: &str, text: &str) -> String {
    Answers::new(VesselKind::ShellBoiler, UnitSystem::Us)
        .set(path, text)
        .unwrap_err()
        .to_string()
}

#[test]
fn practice_an_unanswered_file_reads_and_marks_every_example() {
    for (kind, units) in each() {
        let text = commented_file(&Answers::new(kind, units));
        let described = reads(&text);
        assert_eq!(described.vessel.kind, kind);
        assert_eq!(described.identity.units, units);
        let marks = text
            .lines()
            .filter(|line| !line.starts_with('#') && line.contains("# invented: replace"));
        assert_eq!(described.placeholders.len(), marks.count(), "{kind:?}");
        assert!(
            described
                .placeholders
                .contains(&"duty[1].outflow".to_owned())
        );
        for line in text
            .lines()
            .filter(|line| line.contains(" = ") && !line.starts_with('#'))
        {
            let given = line == format!("kind = \"{}\"", answers::kind_word(kind))
                || line.starts_with("units = ");
            let is_marked = line.ends_with("# invented: replace");
            assert!(is_marked || given, "{kind:?}: {line}");
        }
        for line in text.lines().filter(|line| line.starts_with("# ")) {
            assert!(line.len() <= 100, "{line}");
        }
    }
}

#[test]
fn practice_every_section_and_key_with_meaning_is_in_the_file() {
    let text = commented_file(&Answers::new(VesselKind::ShellBoiler, UnitSystem::Us));
    for section in SECTIONS.iter().filter(|section| {
        // Without meaning for this vessel and these answers.
        !["reference-leg.fill-density", "valve.travel", "return"].contains(&section.name)
    }) {
        assert!(
            text.contains(&format!("[{}]", section.name)),
            "{}",
            section.name
        );
    }
    for name in [
        "altitude",
        "visible-top",
        "stroke-time",
        "device-marks",
        "range-low",
        "serial",
        "damping",
    ] {
        assert!(text.contains(name), "{name}");
    }
    assert!(text.contains("Left out: 60 s."));
    assert!(
        !text.contains("water-temperature = \"180"),
        "a boiler's water is at saturation"
    );
}

/// The examples in comments fit the rest: a whole section at a time, uncommented, still reads.
#[test]
fn practice_whole_sections_read_when_uncommented() {
    for (kind, units) in each() {
        let text = commented_file(&Answers::new(kind, units));
        let mut uncommented = 0;
        // The reference leg's temperature is one or a gradient, not both.
        let names = SECTIONS.iter().map(|section| section.name);
        // What stands together is uncommented together, once.
        let firsts = names.filter(|name| group(name).is_none_or(|all| all.together[0] == *name));
        for name in firsts.filter(|name| !name.starts_with("reference-leg")) {
            let mut inside = false;
            let changed: Vec<_> = text
                .lines()
                .map(|line| {
                    let bare = line.trim_start_matches('#');
                    if bare.starts_with('[') {
                        let here = bare.trim_matches(['[', ']']);
                        let together = group(name).is_some_and(|all| {
                            all.together.contains(&here) || all.beside.contains(&here)
                        });
                        inside = here == name || together;
                    }
                    if inside && !line.starts_with("# ") {
                        bare
                    } else {
                        line
                    }
                })
                .collect();
            let changed = changed.join("\n") + "\n";
            uncommented += usize::from(changed != text);
            reads(&changed);
        }
        assert!(uncommented >= 13, "{kind:?}: {uncommented}");
    }
}

#[test]
fn practice_answers_arrive() {
    let mut answers = Answers::new(VesselKind::ShellBoiler, UnitSystem::Us);
    for (path, text) in [
        ("loop.tag", "LIC-9"),
        ("loop.notes", "first"),
        ("loop.notes", "second # not a remark"),
        ("cell.polarity", "wet-leg-on-high"),
        ("elevations.upper-tap", "2 ft 6 1/2 in"),
        ("controller.linearisation-points", "7"),
        ("vessel.vacuum-breaker", "true"),
        ("range.high-error-weight", "2.5"),
        ("duty[2].outflow", "6000 lb/h"),
        ("duty.outflow", "12000 lb/h"),
        ("person.name", "A. Nother (invented)"),
        ("as-found.gain", "22 %"),
        ("as-found.reset", "none"),
    ] {
        answers.set(path, text).unwrap();
    }
    let described = reads(&commented_file(&answers));
    for (path, is_marked) in [
        ("loop.tag", false),
        ("loop.plant", true),
        ("elevations.upper-tap", false),
        ("duty[1].outflow", false),
        ("duty[1].feed-temperature", true),
        ("duty[2].outflow", false),
        ("duty[2].feed-temperature", true),
        ("person[1].name", false),
        ("person[1].role", true),
    ] {
        assert_eq!(
            described.placeholders.iter().any(|known| known == path),
            is_marked,
            "{path}"
        );
    }
    assert_eq!(described.identity.tag, "LIC-9");
    assert_eq!(described.identity.notes, ["first", "second # not a remark"]);
    assert_eq!(described.cell.reversal, Reversal::InCell);
    assert!((described.elevations.upper_tap_m.unwrap() - 30.5 * 0.0254).abs() < 1e-12);
    assert_eq!(described.controller.linearisation_points, 7);
    assert!(described.vessel.vacuum_breaker);
    assert!((described.range.high_error_weight - 2.5).abs() < 1e-12);
    assert_eq!(described.duties.len(), 2);
    assert!((described.duties[1].steam_kg_s * 2.0 - described.duties[0].steam_kg_s).abs() < 1e-9);
    assert_eq!(described.people.len(), 1);
    let found = described.as_found.unwrap().settings.unwrap();
    assert!(found.reset_s.is_none());
}

/// One answer about the water side or the wires brings all that stands with it.
#[test]
fn practice_what_stands_together_comes_together() {
    for (kind, units) in each() {
        for (path, text) in [
            ("supply.kind", "pump"),
            ("supply.kind", "header"),
            ("line.part.drop", "0.2 bar"),
            ("line.part[2].length", "4 m"),
            ("valve.characteristic", "table"),
            ("valve.size.rated-kv", "4 Kv"),
            ("station.replaces-on-off", "true"),
            ("supply.recirculation", "continuous"),
        ] {
            let mut answers = Answers::new(kind, units);
            // An orifice keeps the flow of a pump only.
            if path == "supply.recirculation" {
                answers.set("supply.kind", "pump").unwrap();
            }
            answers.set(path, text).unwrap();
            let described = reads(&commented_file(&answers));
            assert!(described.feed_system.is_some(), "{kind:?} {path} = {text}");
            assert!(described.wiring.is_none());
        }
        let mut answers = Answers::new(kind, units);
        answers.set("actuator.kind", "rotary").unwrap();
        reads(&commented_file(&answers));
        for style in ["segmented-ball", "globe-contoured-flow-closes"] {
            let mut answers = Answers::new(kind, units);
            answers.set("valve.style", style).unwrap();
            reads(&commented_file(&answers));
        }
        let mut answers = Answers::new(kind, units);
        answers.set("wiring.cell-terminals", "A1, A2").unwrap();
        answers.set("wiring.barrier.name", "barrier").unwrap();
        answers
            .set("uncertainty.zero-readings", "12.01 mA, 12.02 mA")
            .unwrap();
        let described = reads(&commented_file(&answers));
        assert_eq!(described.wiring.unwrap().cell_terminals, ["A1", "A2"]);
        assert_eq!(described.uncertainty.zero_readings_ma, [12.01, 12.02]);
    }
}

#[test]
fn practice_kind_and_units_may_be_answered_too() {
    let mut answers = Answers::new(VesselKind::ShellBoiler, UnitSystem::Us);
    answers.set("vessel.kind", "vented-tank").unwrap();
    answers.set("loop.units", "si").unwrap();
    let described = reads(&commented_file(&answers));
    assert_eq!(described.vessel.kind, VesselKind::VentedTank);
    assert_eq!(described.identity.units, UnitSystem::Si);
}

#[test]
fn practice_a_sealed_leg_with_a_fill_of_its_own_reads() {
    for (kind, units) in each() {
        let mut answers = Answers::new(kind, units);
        answers.set("reference-leg.kind", "sealed").unwrap();
        answers.set("reference-leg.fill-fluid", "own").unwrap();
        let described = reads(&commented_file(&answers));
        assert!(
            matches!(described.reference_leg, ReferenceLeg::Sealed { .. }),
            "{kind:?}"
        );
    }
}

#[test]
fn practice_refusals_name_the_way_out() {
    for (path, text, words) in [
        (
            "elevations.uper-tap",
            "30 in",
            "did you mean `elevations.upper-tap`?",
        ),
        ("upper-tap", "30 in", "did you mean `elevations.upper-tap`?"),
        (
            "vessel.upper-tap",
            "30 in",
            "did you mean `elevations.upper-tap`?",
        ),
        ("elevations.upper-tap", "30", "has no unit"),
        ("elevations.upper-tap", "30 psi(g)", "a length is needed"),
        ("elevations.upper-tap", "", "is empty"),
        ("pressures.normal", "125 psi", "psi(g)"),
        (
            "cell.polarity",
            "lower tap on high",
            "bottom-on-high (the leg from the LOWER tap is on the high port)",
        ),
        ("controller.form", "idael", "did you mean `ideal`?"),
        ("feedwater.stroke-time", "0 s", "more than zero"),
        ("feedwater.stroke-time", "nan s", "not a finite number"),
        (
            "controller.linearisation-points",
            "1",
            "not between 2 and 100",
        ),
        (
            "controller.linearisation-points",
            "7\nform = 1",
            "write for instance",
        ),
        ("vessel.vacuum-breaker", "yes", "write for instance"),
        ("loop.tag", "  ", "is empty"),
        ("glass[1].visible-top", "20 in", "one [glass] only"),
        (
            "duty[99999999999999999999].outflow",
            "1 t/h",
            "from 1 to 50",
        ),
        ("duty[0].outflow", "1 t/h", "from 1 to 50"),
        ("xyzzy", "1", "has no key `xyzzy`"),
    ] {
        let said = refused(path, text);
        assert!(said.contains(words), "{path} = {text}: {said}");
    }
}

#[test]
fn property_every_condition_is_met_by_some_answers() {
    for key in SECTIONS.iter().flat_map(|section| section.keys) {
        let Need::When(words) = key.need else {
            continue;
        };
        let met = KINDS.into_iter().any(|kind| {
            [
                ["wet", "pump", "linear", "continuous"],
                ["sealed", "header", "rotary", "none"],
            ]
            .into_iter()
            .any(|[leg, supply, actuator, recirculation]| {
                let mut answers = Answers::new(kind, UnitSystem::Si);
                for (path, text) in [
                    ("reference-leg.kind", leg),
                    ("cell.polarity", "wet-leg-on-high"),
                    ("supply.kind", supply),
                    ("supply.recirculation", recirculation),
                    ("actuator.kind", actuator),
                    ("station.replaces-on-off", "true"),
                ] {
                    answers.set(path, text).unwrap();
                }
                file::holds(&answers, words)
            })
        });
        // What was found set is never invented.
        assert_eq!(met, words != "a gain was found", "{words}");
    }
}

proptest! {
    #[test]
    fn property_any_text_comes_back_as_it_was(text in "\\PC{1,40}|[\\x00-\\x7f]{1,20}|[ -~À-žΑ-ΡА-я“”…]{1,45}") {
        let mut answers = Answers::new(VesselKind::Deaerator, UnitSystem::Si);
        match answers.set("loop.tag", &text) {
            Ok(()) => {
                let described = read(commented_file(&answers).as_bytes());
                prop_assert_eq!(described.unwrap().identity.tag, text.trim());
            }
            Err(_) => prop_assert!(
                text.trim().is_empty() || crate::free_text::checked("loop.tag", &text, 0..0).is_err()
            ),
        }
    }

    #[test]
    fn property_any_path_gets_an_answer(path in "[a-z.\\[\\]0-9-]{0,40}", text in "\\PC{0,20}") {
        let _ = Answers::new(VesselKind::Deaerator, UnitSystem::Si).set(&path, &text);
    }
}
