//! Level map against hand-made loops.

use proptest::prelude::*;

use super::*;
use crate::description::{Glass, Polarity, Reversal};
use crate::example_loop::{M_PER_IN, kelvin, shell_boiler, vented_tank};
use crate::finding::Severity;
use crate::measurement::condition;
use crate::measurement::sheets::Range;

const INCH: f64 = M_PER_IN;

/// The map with the range that is exact at normal pressure.
fn map_of(described: &Loop) -> LevelMapSheet {
    let normal = condition::normal(described).unwrap();
    let hot = condition::cell_at(described, &normal)
        .unwrap()
        .exact_range(described.range.span)
        .unwrap();
    map_with(described, hot)
}

fn map_with(described: &Loop, chosen: Range) -> LevelMapSheet {
    let normal = condition::normal(described).unwrap();
    let marks = marks::marks(described, &normal, chosen).unwrap();
    assemble(described, marks)
}

fn bench_range(described: &Loop) -> Range {
    let normal = condition::normal(described).unwrap();
    let mut cell = condition::cell_at(described, &normal).unwrap();
    cell.densities = condition::bench_densities(described).unwrap();
    cell.exact_range(described.range.span).unwrap()
}

fn mark<'a>(map: &'a LevelMapSheet, name: &str) -> &'a LevelMark {
    map.marks.iter().find(|mark| mark.name == name).unwrap()
}

fn severity_of(map: &LevelMapSheet, code: &str) -> Option<Severity> {
    map.findings
        .iter()
        .find(|finding| finding.code == code)
        .map(|finding| finding.severity)
}

fn changed(change: impl FnOnce(&mut Loop)) -> LevelMapSheet {
    let mut described = shell_boiler();
    change(&mut described);
    map_of(&described)
}

#[test]
fn practice_marks_are_listed_from_the_top() {
    let map = map_of(&shell_boiler());
    let names: Vec<&str> = map.marks.iter().map(|mark| mark.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "top of the shell",
            "pot lip",
            "upper tap",
            "high trip",
            "highest visible in the glass",
            "high alarm",
            "set point",
            "low alarm",
            "first low-water cutoff",
            "lowest visible in the glass",
            "second low-water cutoff",
            "highest heated surface",
            "lower tap",
            "bottom of the shell",
        ]
    );
    assert!((map.shell_top_m - (2.2 - 1.35)).abs() < 1e-12);
    assert!((map.shell_bottom_m + 1.35).abs() < 1e-12);
}

#[test]
fn practice_cell_is_blind_past_both_taps() {
    let map = map_of(&shell_boiler());
    assert_eq!(mark(&map, "top of the shell").blind, Some(Blind::Above));
    assert_eq!(mark(&map, "bottom of the shell").blind, Some(Blind::Below));
    for mark in &map.marks {
        assert_eq!(
            mark.blind.is_some(),
            mark.indicated_hot.is_none(),
            "{}",
            mark.name
        );
        assert_eq!(
            mark.blind.is_some(),
            mark.indicated_cold.is_none(),
            "{}",
            mark.name
        );
    }
    assert_eq!(mark(&map, "upper tap").blind, None);
    assert_eq!(mark(&map, "lower tap").blind, None);
}

/// The hot range is exact at normal pressure by definition.
#[test]
fn property_hot_range_shows_the_true_level_when_hot() {
    let map = map_of(&shell_boiler());
    for mark in map.marks.iter().filter(|mark| mark.blind.is_none()) {
        let indicated = mark.indicated_hot.unwrap();
        assert!(
            (indicated.m() - mark.true_level.m()).abs() < 1e-9,
            "{}",
            mark.name
        );
    }
}

/// Hydrostatics worked by hand over CoolProp 8.0.0 (IAPWS-95) densities: bench range in 998.2 kg/m3 water, at
/// 125 psi(g) 888.86 over 4.96 kg/m3, legs at 50 degC and 9.63 bar 988.4 kg/m3. Legs below the tap are alike.
#[test]
fn crosscheck_bench_range_indicates_about_90_percent_when_full() {
    let described = shell_boiler();
    let map = map_with(&described, bench_range(&described));
    let span = described.range.span;
    let (bench, water, steam, leg) = (998.2, 888.86, 4.96, 988.4);
    for (name, share) in [("upper tap", 1.0), ("set point", 0.5), ("lower tap", 0.0)] {
        // LRV = -bench, URV = 0 in units of g times the tap span.
        let differential = water * share + steam * (1.0 - share) - leg;
        let percent = 100.0 * (differential + bench) / bench;
        let indicated = mark(&map, name).indicated_hot.unwrap().percent(span);
        assert!(
            (indicated - percent).abs() < 0.02,
            "{name}: {indicated} {percent}"
        );
    }
}

/// z = zc + (h − zc)·(ρl − ρv)/(ρg − ρv), densities of CoolProp 8.0.0 (IAPWS-95), glass at 100 degC: 958.7 kg/m3.
#[test]
fn crosscheck_hot_glass_stands_low() {
    let map = changed(|described| {
        described.glass = Some(Glass {
            lower_connection_m: 3.0 * INCH,
            visible_bottom_m: 4.0 * INCH,
            visible_top_m: 16.0 * INCH,
            water_temperature_k: Some(kelvin(100.0)),
        });
    });
    let set_point = mark(&map, "set point");
    let expected = 3.0 * INCH + 7.0 * INCH * (888.86 - 4.96) / (958.74 - 4.96);
    assert!(
        (set_point.glass_hot.unwrap().m() - expected).abs() < 5e-5,
        "{set_point:?}"
    );
}

/// A cold glass tells the truth (same water on both sides), so water at either end of it is seen there.
#[test]
fn property_cold_glass_shows_both_of_its_ends() {
    for end in [3.7, 4.0, 4.1] {
        let map = changed(|described| {
            if let Some(glass) = &mut described.glass {
                glass.visible_bottom_m = end * INCH;
            }
        });
        for name in [
            "lowest visible in the glass",
            "highest visible in the glass",
        ] {
            let mark = mark(&map, name);
            let shown = mark.glass_cold.unwrap();
            assert!((shown.m() - mark.true_level.m()).abs() < 1e-9, "{mark:?}");
        }
    }
}

#[test]
fn property_mirrored_polarity_gives_the_same_map() {
    let described = shell_boiler();
    let mut mirrored = described.clone();
    mirrored.cell.polarity = Polarity::WetLegOnHigh;
    mirrored.cell.reversal = Reversal::InCell;
    let (one, other) = (map_of(&described), map_of(&mirrored));
    assert_eq!(one.separations, other.separations);
    assert_eq!(one.findings, other.findings);
    for (one, other) in one.marks.iter().zip(&other.marks) {
        assert_eq!((&one.name, one.blind), (&other.name, other.blind));
        for (one, other) in [
            (one.indicated_hot, other.indicated_hot),
            (one.indicated_cold, other.indicated_cold),
        ] {
            assert_eq!(one.is_some(), other.is_some());
            if let (Some(one), Some(other)) = (one, other) {
                assert!((one.m() - other.m()).abs() < 1e-9);
            }
        }
    }
}

proptest! {
    #[test]
    fn property_separations_add_up_and_judge(smallest in 0.0_f64..0.2, alarm in 0.17_f64..0.24) {
        let map = changed(|described| {
            described.limits.low_alarm_m = Some(alarm);
            described.limits.smallest_separation_m = smallest;
        });
        let whole = mark(&map, "high trip").true_level.m() - mark(&map, "highest heated surface").true_level.m();
        let sum: f64 = map.separations.iter().map(|separation| separation.distance_m).sum();
        prop_assert!((sum - whole).abs() < 1e-12);
        prop_assert_eq!(map.separations.len(), 6);
        for separation in &map.separations {
            prop_assert_eq!(separation.enough, separation.distance_m >= smallest - 1e-9);
        }
        prop_assert_eq!(
            severity_of(&map, "marks-too-close").is_some(),
            map.separations.iter().any(|separation| !separation.enough)
        );
    }
}

/// A code, its severity, and the change that brings it about.
type Cause = (&'static str, Severity, fn(&mut Loop));

#[test]
fn practice_findings_appear_with_their_cause_only() {
    let clean = |map: &LevelMapSheet, code: &str| severity_of(map, code).is_none();
    let base = map_of(&shell_boiler());
    let cases: [Cause; 10] = [
        ("marks-out-of-order", Severity::Stop, |l| {
            l.limits.low_alarm_m = Some(11.0 * INCH);
        }),
        ("cutoff-not-above-heated-surface", Severity::Stop, |l| {
            l.limits.second_low_cutoff_m = Some(1.0 * INCH);
        }),
        ("set-point-where-cell-is-blind", Severity::Stop, |l| {
            l.limits.set_point_m = 21.0 * INCH;
        }),
        ("alarm-where-cell-is-blind", Severity::Stop, |l| {
            l.limits.high_alarm_m = Some(20.5 * INCH);
        }),
        ("trip-where-cell-is-blind", Severity::Note, |l| {
            l.elevations.highest_heated_surface_m = Some(-3.0 * INCH);
            l.limits.second_low_cutoff_m = Some(-INCH);
        }),
        ("mark-outside-range", Severity::Warn, |l| {
            l.range.span.at_100_percent_m = 12.0 * INCH;
        }),
        ("set-point-not-in-glass", Severity::Warn, |l| {
            l.limits.set_point_m = 17.9 * INCH;
            l.limits.high_trip_m = Some(19.5 * INCH);
            l.limits.high_alarm_m = Some(18.9 * INCH);
        }),
        ("glass-not-above-heated-surface", Severity::Warn, |l| {
            l.elevations.highest_heated_surface_m = Some(4.0 * INCH);
        }),
        ("marks-too-close", Severity::Warn, |l| {
            l.limits.low_alarm_m = Some(4.5 * INCH);
        }),
        ("cutoff-under-glass", Severity::Warn, |_| {}),
    ];
    for (code, severity, change) in cases {
        let map = changed(change);
        assert_eq!(severity_of(&map, code), Some(severity), "{code}");
        if code != "cutoff-under-glass" {
            assert!(clean(&base, code), "{code}");
        }
    }
    let seen = changed(|l| l.limits.low_cutoff_m = Some(5.0 * INCH));
    assert!(
        seen.findings
            .iter()
            .all(|finding| finding.code != "cutoff-under-glass"
                || finding.what.contains("second low-water cutoff"))
    );
    let no_glass = changed(|l| l.glass = None);
    assert!(clean(&no_glass, "cutoff-under-glass") && clean(&no_glass, "set-point-not-in-glass"));
}

/// A boiler without a described glass is stopped (common practice: nearly every code asks for one); a tank is not.
#[test]
fn practice_boiler_without_a_glass_is_a_finding() {
    let has = |map: &LevelMapSheet| {
        map.findings.iter().any(|finding| {
            finding.code == "boiler-without-glass" && finding.severity == Severity::Stop
        })
    };
    assert!(!has(&changed(|_| {})));
    assert!(has(&changed(|l| l.glass = None)));
    assert!(!has(&changed(|l| {
        l.glass = None;
        l.vessel.kind = crate::description::VesselKind::Deaerator;
    })));
}

/// A range set for normal pressure reads high on a cold vessel: the low alarm comes late.
#[test]
fn practice_low_alarm_is_late_when_cold() {
    let described = shell_boiler();
    let map = map_of(&described);
    let low = mark(&map, "low alarm");
    let span = described.range.span;
    let late = low.indicated_cold.unwrap().percent(span) - low.indicated_hot.unwrap().percent(span);
    assert!(late > 1.0, "{late}");
    assert_eq!(
        severity_of(&map, "alarm-late-when-cold"),
        Some(Severity::Warn)
    );
    // Near empty the cold panel reads slightly low: early, which is not this finding.
    let mut alarm_near_empty = described.clone();
    alarm_near_empty.limits.low_alarm_m = Some(0.2 * INCH);
    let near_empty = map_of(&alarm_near_empty);
    assert!(
        near_empty
            .findings
            .iter()
            .all(|finding| finding.code != "alarm-late-when-cold")
    );
}

#[test]
fn practice_vented_tank_shows_its_overflow_and_no_upper_tap() {
    let map = map_of(&vented_tank());
    assert_eq!(mark(&map, "overflow").kind, MarkKind::Overflow);
    assert!(
        map.marks
            .iter()
            .all(|mark| mark.name != "upper tap" && mark.name != "pot lip")
    );
    assert!(
        map.marks
            .iter()
            .all(|mark| mark.blind != Some(Blind::Above))
    );
}
