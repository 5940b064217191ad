//! Tests of acceptance limits as the pack prints them.

use halfglass_core::commissioning::{ComparisonState, comparison_levels};
use halfglass_core::design::design;

use super::*;

#[test]
fn property_printed_limits_never_accept_more_than_computed() {
    for name in [
        "laundry-shell-boiler",
        "paper-mill-drum-boiler",
        "district-deaerator",
        "brewery-feed-tank",
        "inherited-cold-range",
    ] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("../../examples/{name}.toml"));
        let described = halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap();
        let sheets = design(&described).unwrap();
        let units = DisplayUnits::of(&described);
        let limits = Limits::of(&described, &sheets, &units).unwrap();
        let printed = |text: &str| -> f64 { text.split(' ').next().unwrap().parse().unwrap() };
        let five = limits.five_point;
        for percent in [five.as_left_percent, five.as_found_percent] {
            assert!(
                printed(&limits.percent(percent)) <= percent * (1.0 + 1e-8),
                "{name}"
            );
            assert!(
                printed(&limits.current(percent)) <= percent * 0.16 * (1.0 + 1e-8),
                "{name}"
            );
            let window = limits.current_window(12.0, percent);
            let (low, high) = window.split_once(" to ").unwrap();
            let (low, high): (f64, f64) = (low.parse().unwrap(), high.parse().unwrap());
            assert!(high - 12.0 <= percent * 0.16 + 1e-9, "{name}: {window}");
            assert!(
                (high + low - 24.0).abs() < 1e-9 && high > low,
                "{name}: {window}"
            );
        }
        assert!(five.as_found_percent > five.as_left_percent, "{name}");
        for m in [
            limits.hot_comparison_m,
            limits.cold_comparison_m,
            described.limits.allowed_deviation_m,
            0.002_9,
        ] {
            assert!(printed(&limits.level(m)) <= units.level(m).0 * (1.0 + 1e-8));
            assert!(
                printed(&limits.level(m)) >= 0.8 * units.level(m).0,
                "{name}"
            );
        }
        // A comparison that accepted a tenth of the span would prove nothing.
        assert!(
            limits.hot_comparison_m < 0.1 * described.range.span.height_m(),
            "{name}"
        );
        assert!(
            limits.cold_comparison_m < 0.1 * described.range.span.height_m(),
            "{name}"
        );
        let points = comparison_levels(
            &described,
            &sheets.range.normal,
            sheets.range.chosen,
            ComparisonState::InService,
        )
        .unwrap();
        assert!(points.len() >= 3, "{name}: nothing to compare");
    }
}

fn example(name: &str) -> Loop {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(format!("../../examples/{name}.toml"));
    halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap()
}

#[test]
fn property_a_sound_cold_loop_passes_with_legs_anywhere_in_the_ambient_band() {
    for name in [
        "laundry-shell-boiler",
        "paper-mill-drum-boiler",
        "district-deaerator",
        "inherited-cold-range",
    ] {
        let described = example(name);
        let sheets = design(&described).unwrap();
        let units = DisplayUnits::of(&described);
        let limits = Limits::of(&described, &sheets, &units).unwrap();
        let span = described.range.span;
        let level = TrueLevel::from_m(described.limits.set_point_m);
        let shown = |condition: &Condition| {
            cell_at(&described, condition)
                .unwrap()
                .indicated(sheets.range.chosen, span, level)
                .unwrap()
                .m()
        };
        let stated = start_up(&described);
        for share in [0.0, 0.5, 1.0] {
            let site = &described.site;
            let leg = Condition {
                reference_leg_k: site.ambient_lowest_k
                    + share * (site.ambient_highest_k - site.ambient_lowest_k),
                ..stated.clone()
            };
            let shift_m = (shown(&leg) - shown(&stated)).abs();
            assert!(shift_m < limits.cold_comparison_m, "{name}: {shift_m} m");
        }
    }
}

#[test]
fn practice_limits_are_printed_as_they_are_read() {
    let described = example("laundry-shell-boiler");
    let sheets = design(&described).unwrap();
    let us = DisplayUnits::of(&described);
    let si = us.with_system(UnitSystem::Si);
    let limits = |units| Limits::of(&described, &sheets, units).unwrap();
    assert_eq!(limits(&us).survey(), "1/8 in");
    assert_eq!(limits(&si).survey(), "3 mm");
    assert_eq!(limits(&us).level(0.294 * 0.0254), "0.25 in");
    assert_eq!(limits(&si).level(0.011_9), "11 mm");
    assert_eq!(limits(&us).temperature_difference(20.0), "36 degF");
    assert_eq!(limits(&si).temperature_difference(20.0), "20 degC");
}
