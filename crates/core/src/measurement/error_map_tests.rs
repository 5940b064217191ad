//! Tests of the error map.

use super::*;
use crate::description::{AsFound, RangeMethod, ReferenceLeg};
use crate::example_loop::{M_PER_IN, drum_boiler, kelvin, psig, shell_boiler, vented_tank};
use crate::measurement::{glass_level, indicated_level, range_sheet};
use proptest::prelude::*;

fn map(described: &Loop) -> ErrorMapSheet {
    error_map_sheet(described, &range_sheet(described).unwrap()).unwrap()
}

fn codes(sheet: &ErrorMapSheet) -> Vec<&'static str> {
    sheet.findings.iter().map(|finding| finding.code).collect()
}

/// Errors of one named condition, percent of span, 0 to 100 % true.
fn errors(described: &Loop, sheet: &ErrorMapSheet, name: &str) -> Vec<f64> {
    let span = described.range.span;
    sheet
        .points
        .iter()
        .filter(|point| point.condition.name == name)
        .map(|point| point.indicated.percent(span) - point.true_level.percent(span))
        .collect()
}

/// Common practice: a range set for normal pressure reads high cold, except near empty; the crossing lies near 5 to
/// 12 % of span. Full cold, unclipped, by IAPWS-IF97 densities (iapws 1.5.5; 20 degC water, legs 25 degC, moist air):
/// 100·(998.21 − 997.05 + 988.42 − 888.86)/883.89 = 11.40 % above.
#[test]
fn practice_hot_range_reads_high_cold_except_near_empty() {
    let described = shell_boiler();
    let sheet = map(&described);
    let cold = errors(&described, &sheet, condition::START_UP);
    assert_eq!(cold.len(), 11);
    assert!(cold[0] < 0.0 && cold[2] > 0.0, "{cold:?}");
    let at = condition::start_up(&described);
    let full = TrueLevel::from_percent(100.0, described.range.span);
    let says = indicated_level(&described, sheet.range, &at, full)
        .unwrap()
        .unwrap();
    assert!(
        (says.percent(described.range.span) - 111.40).abs() < 0.02,
        "{says:?}"
    );
    // The points of the figure are the same before they are clipped at the panel's ends.
    let (percent, error) = *sheet.cold_errors.last().unwrap();
    assert!((percent - 100.0).abs() < 1e-12 && (error - 11.40).abs() < 0.02);
    // The signal saturates at 20.5 mA = 103.125 %.
    assert!((cold[10] - 3.125).abs() < 1e-9, "{cold:?}");
    for code in ["reads-high-cold", "panel-pegged", "glass-reads-low"] {
        assert!(
            codes(&sheet).contains(&code),
            "{code} not in {:?}",
            codes(&sheet)
        );
    }
}

/// The panel's error, clipped, on a fine grid of levels is nowhere larger than the finding says, and there somewhere.
#[test]
fn property_the_finding_tells_what_a_pegged_panel_says() {
    for mut described in [shell_boiler(), drum_boiler()] {
        for saturation_ma in [(3.8, 20.5), (3.99, 20.01), (0.0, 40.0)] {
            described.cell.saturation_ma = saturation_ma;
            let sheet = map(&described);
            let span = described.range.span;
            let at = condition::start_up(&described);
            let cell = condition::cell_at(&described, &at).unwrap();
            let errors = (0..=10_000).map(|step| {
                let level = TrueLevel::from_percent(f64::from(step) / 100.0, span);
                let wanted = cell.indicated(sheet.range, span, level).unwrap();
                let (says, _) = signal::clipped(&described.cell, span, wanted);
                says.percent(span) - level.percent(span)
            });
            let highest = errors.fold(f64::NEG_INFINITY, f64::max);
            let finding = sheet
                .findings
                .iter()
                .find(|finding| finding.code == "reads-high-cold")
                .unwrap();
            let told: f64 = finding
                .what
                .strip_prefix("The panel reads up to ")
                .and_then(|rest| rest.split(' ').next())
                .unwrap()
                .parse()
                .unwrap();
            assert!((told - highest).abs() < 0.07, "{highest}: {}", finding.what);
            // 20.5 mA is 103.125 %; 40 mA would be 225 %.
            let is_pegged = finding.what.contains("pegged at");
            assert_eq!(is_pegged, saturation_ma.1 < 30.0, "{}", finding.what);
            if saturation_ma == (3.8, 20.5) {
                assert!(finding.what.contains("pegged at 103.1 % from"));
            }
        }
    }
}

#[test]
fn property_normal_is_exact_and_pressures_lie_in_order() {
    for described in [shell_boiler(), drum_boiler()] {
        let sheet = map(&described);
        assert!(
            errors(&described, &sheet, condition::NORMAL)
                .iter()
                .all(|e| e.abs() < 1e-9)
        );
        let full = |name| errors(&described, &sheet, name)[10];
        assert!(full(condition::LOWEST) > 0.0 && full(condition::HIGHEST) < 0.0);
        assert!(full(condition::SAFETY_VALVE) < full(condition::HIGHEST));
        assert_eq!(sheet.points.len(), 55);
    }
}

#[test]
fn property_curves_join_the_table_and_fall_with_pressure() {
    let described = shell_boiler();
    let sheet = map(&described);
    assert_eq!(sheet.curves.len(), 5);
    let full = &sheet.curves[4];
    assert_eq!(full.points.len(), 41);
    assert!((full.points[0].0.pa() - described.pressures.start_up.pa()).abs() < 1e-9);
    let last = full.points[40];
    assert!((last.0.pa() - described.pressures.safety_valve.pa()).abs() < 1e-6);
    assert!((last.1 - errors(&described, &sheet, condition::SAFETY_VALVE)[10]).abs() < 1e-9);
    assert!(
        full.points.windows(2).all(|pair| pair[1].1 < pair[0].1),
        "{full:?}"
    );
    // Boiling at 0 gauge, legs as surveyed: high at full by 100·((958.373 − 988.08 + 988.42 − 888.855)/883.891) = 7.90 %.
    assert!(
        (full.points[0].1 - 7.90).abs() < 0.03,
        "{:?}",
        full.points[0]
    );
}

#[test]
fn practice_a_warm_leg_reads_high() {
    let described = shell_boiler();
    let sheet = map(&described);
    assert_eq!(sheet.leg_rows.len(), 9);
    for pair in sheet.leg_rows.windows(2) {
        for i in 0..3 {
            assert!(pair[1].1[i] > pair[0].1[i], "{pair:?}");
        }
    }
    assert!(codes(&sheet).contains(&"leg-temperature-moves-reading"));
    let mut still = described;
    still.leg_temperature_band_k = (kelvin(50.0), kelvin(50.0));
    assert!(!codes(&map(&still)).contains(&"leg-temperature-moves-reading"));
}

#[test]
fn property_glass_is_shown_only_where_visible() {
    let described = shell_boiler();
    let sheet = map(&described);
    for point in &sheet.points {
        let direct = glass_level(&described, &point.condition, point.true_level).unwrap();
        assert_eq!(point.glass, direct);
        if let Some(glass) = point.glass {
            assert!((4.0 * M_PER_IN..=16.0 * M_PER_IN).contains(&glass.m()));
        }
    }
    assert!(
        sheet.points.iter().any(|p| p.glass.is_none())
            && sheet.points.iter().any(|p| p.glass.is_some())
    );
    let mut blind = described;
    blind.glass = None;
    let sheet = map(&blind);
    assert!(sheet.points.iter().all(|p| p.glass.is_none()));
    assert!(sheet.glass_card.is_empty() && sheet.glass_water_k.is_none());
}

#[test]
fn practice_vented_tank_is_mapped_without_pressure() {
    let described = vented_tank();
    let sheet = map(&described);
    assert!(sheet.curves.is_empty() && sheet.compensation.is_none());
    assert_eq!(sheet.points.len(), 22);
    // 15 degC against 80 degC: 999.1/971.8 is 2.8 % heavier, legs as surveyed.
    let cold = errors(&described, &sheet, condition::START_UP);
    assert!((cold[10] - 2.81).abs() < 0.05, "{cold:?}");
    assert!(cold[0].abs() < 1e-9, "{cold:?}");
}

#[test]
fn practice_cold_range_and_glass_half_agree() {
    let mut described = shell_boiler();
    let bench = range_sheet(&described).unwrap().bench;
    described.as_found = Some(AsFound {
        range_pa: Some((bench.lrv_pa, bench.urv_pa)),
        settings: None,
    });
    let sheet = map(&described);
    assert!(
        codes(&sheet).contains(&"cold-range-agrees-with-glass"),
        "{:?}",
        codes(&sheet)
    );
    described.limits.set_point_m = 19.0 * M_PER_IN;
    assert!(codes(&map(&described)).contains(&"set-point-outside-glass"));
    described.as_found = None;
    assert!(!codes(&map(&described)).contains(&"cold-range-agrees-with-glass"));
}

/// However many conditions read high or low, each is told once.
#[test]
fn property_readings_off_at_several_pressures_are_one_finding() {
    let mut described = shell_boiler();
    described.pressures.lowest_sustained = psig(10.0);
    described.pressures.safety_valve = psig(250.0);
    described.pressures.highest = psig(220.0);
    let sheet = map(&described);
    for code in ["reads-high-at-pressure", "reads-low-at-pressure"] {
        let count = codes(&sheet).iter().filter(|found| **found == code).count();
        assert_eq!(count, 1, "{code}");
    }
    let low = sheet
        .findings
        .iter()
        .find(|finding| finding.code == "reads-low-at-pressure")
        .unwrap();
    assert!(low.what.contains("highest; safety valve"), "{}", low.what);
    assert!(low.remedy.contains("glass card"), "{}", low.remedy);
}

#[test]
fn practice_wide_pressure_band_has_its_findings() {
    let mut described = shell_boiler();
    described.pressures.lowest_sustained = psig(10.0);
    described.pressures.safety_valve = psig(250.0);
    described.controller.linearisation_points = 2;
    let found = codes(&map(&described));
    for code in [
        "reads-high-at-pressure",
        "reads-low-at-pressure",
        "compensation-table-coarse",
    ] {
        assert!(found.contains(&code), "{code} not in {found:?}");
    }
    let narrow = codes(&map(&shell_boiler()));
    assert!(!narrow.contains(&"compensation-table-coarse"), "{narrow:?}");
}

#[test]
fn property_best_range_never_reads_high_at_low_alarm_in_the_band() {
    let mut described = shell_boiler();
    described.range.method = RangeMethod::Best;
    let sheet = map(&described);
    for name in [condition::LOWEST, condition::NORMAL, condition::HIGHEST] {
        let errors = errors(&described, &sheet, name);
        assert!(errors[..=3].iter().all(|e| *e < 1e-6), "{name}: {errors:?}");
    }
}

#[test]
fn property_blind_levels_have_no_reading() {
    let described = shell_boiler();
    let range = range_sheet(&described).unwrap().chosen;
    let normal = condition::normal(&described).unwrap();
    for level_m in [-0.05, 0.52] {
        assert!(
            indicated_level(&described, range, &normal, TrueLevel::from_m(level_m))
                .unwrap()
                .is_none()
        );
    }
    assert!(indicated_level(&described, range, &normal, TrueLevel::from_m(f64::NAN)).is_err());
    assert!(matches!(described.reference_leg, ReferenceLeg::Wet { .. }));
}

/// One odd number in an otherwise sound loop.
fn spoil(described: &mut Loop, which: usize, value: f64) {
    let pressure = AbsolutePressure::from_pa(value);
    match which {
        0 => described.pressures.normal = pressure,
        1 => described.pressures.lowest_sustained = pressure,
        2 => described.pressures.safety_valve = pressure,
        3 => described.pressures.start_up = pressure,
        4 => described.pressures.start_up_water_k = value,
        5 => described.leg_temperature_band_k.0 = value,
        6 => described.working_leg_temperature_k = value,
        7 => described.cell.below_lower_tap_m = value,
        8 => described.range.span.at_100_percent_m = value,
        9 => described.range.high_error_limit_percent = value,
        10 => described.range.low_error_weight = value,
        11 => described.range.bench_temperature_k = value,
        12 => described.site.atmosphere = pressure,
        13 => described.site.gravity_m_s2 = value,
        14 => described.elevations.upper_tap_m = Some(value),
        15 => described.site.ambient_lowest_k = value,
        16 => described.limits.low_alarm_m = Some(value),
        17 => described.cell.saturation_ma.0 = value,
        _ => described.range.span.at_0_percent_m = value,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// No number makes the sheets panic, and none leaves a range that is not a number.
    #[test]
    fn property_odd_numbers_are_answered(
        kind in 0_usize..3, which in 0_usize..19,
        value in prop_oneof![
            Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), Just(0.0), Just(-1.0), Just(1e-9),
            Just(611.213), Just(273.15), Just(22.064e6), Just(1e12), -1e3_f64..1e3, 1e3_f64..3e7,
        ],
    ) {
        let mut described = [shell_boiler, drum_boiler, vented_tank][kind]();
        spoil(&mut described, which, value);
        if let Ok(sheet) = range_sheet(&described) {
            for range in [sheet.hot, sheet.bench, sheet.best.range, sheet.chosen] {
                prop_assert!(range.lrv_pa.is_finite() && range.urv_pa.is_finite(), "{which} {value}: {range:?}");
            }
            if let Ok(map) = error_map_sheet(&described, &sheet) {
                prop_assert!(map.points.iter().all(|p| p.indicated.m().is_finite()), "{which} {value}");
            }
        }
    }
}
