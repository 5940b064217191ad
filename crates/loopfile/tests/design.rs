//! What reads also computes: the examples, and a new file of every kind of vessel as it is written.

use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_core::design::{Sheets, design};
use halfglass_core::finding::Severity;
use halfglass_loopfile::new::{Answers, commented_file};
use halfglass_loopfile::read;

#[track_caller]
fn sheets(name: &str, text: &str) -> Sheets {
    let described =
        read(text.as_bytes()).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
    design(&described).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn codes(sheets: &Sheets) -> Vec<&'static str> {
    sheets.findings.iter().map(|finding| finding.code).collect()
}

#[track_caller]
fn has_nothing_to_stop(name: &str, sheets: &Sheets) {
    let stops: Vec<_> = sheets
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Stop)
        .collect();
    assert!(stops.is_empty(), "{name}: {stops:#?}");
}

#[test]
fn practice_examples_compute_without_a_stop() {
    for (name, text) in [
        (
            "laundry",
            include_str!("../../../examples/laundry-shell-boiler.toml"),
        ),
        (
            "paper mill",
            include_str!("../../../examples/paper-mill-drum-boiler.toml"),
        ),
        (
            "district",
            include_str!("../../../examples/district-deaerator.toml"),
        ),
        (
            "brewery",
            include_str!("../../../examples/brewery-feed-tank.toml"),
        ),
    ] {
        let sheets = sheets(name, text);
        has_nothing_to_stop(name, &sheets);
        assert!(sheets.tuning.window_open, "{name}");
        assert!(sheets.tuning.chosen.stable, "{name}");
        for code in [
            "range-is-cold",
            "as-found-reset-too-fast",
            "starving-not-caught",
            "leg-outside-band",
        ] {
            assert!(!codes(&sheets).contains(&code), "{name}: {code}");
        }
    }
}

/// The inherited loop's cold range and fast reset are found, and a full vessel then indicates about 90 %: water
/// columns of IAPWS-IF97 densities at 125 psi(g) and a leg at 50 degC.
#[test]
fn practice_the_inherited_loop_shows_what_it_is_for() {
    let sheets = sheets(
        "inherited",
        include_str!("../../../examples/inherited-cold-range.toml"),
    );
    has_nothing_to_stop("inherited", &sheets);
    for code in [
        "range-is-cold",
        "as-found-reset-too-fast",
        "as-found-not-robust",
    ] {
        assert!(
            codes(&sheets).contains(&code),
            "{code}: {:?}",
            codes(&sheets)
        );
    }
    let cold = sheets
        .findings
        .iter()
        .find(|finding| finding.code == "range-is-cold")
        .unwrap();
    assert!(
        cold.consequence.contains("a full vessel reads 90."),
        "{}",
        cold.consequence
    );
}

#[test]
fn practice_new_files_compute() {
    for kind in [
        VesselKind::ShellBoiler,
        VesselKind::DrumBoiler,
        VesselKind::Deaerator,
        VesselKind::VentedTank,
    ] {
        for units in [UnitSystem::Us, UnitSystem::Si] {
            let name = format!("{kind:?} in {units:?}");
            let text = commented_file(&Answers::new(kind, units));
            let mut described =
                read(text.as_bytes()).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
            assert!(!described.placeholders.is_empty(), "{name}");
            // That the file is a draft stops a pack; nothing else in it may.
            described.placeholders.clear();
            let mut sheets = design(&described).unwrap_or_else(|error| panic!("{name}: {error}"));
            // A boiler's glass stands in comments until it is described.
            let before = sheets.findings.len();
            sheets
                .findings
                .retain(|finding| finding.code != "boiler-without-glass");
            assert_eq!(
                before - sheets.findings.len(),
                usize::from(kind.is_fired()),
                "{name}"
            );
            has_nothing_to_stop(&name, &sheets);
            assert!(sheets.tuning.chosen.stable, "{name}");
        }
    }
}
