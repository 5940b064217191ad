//! Tests of the range sheet.

use super::*;
use crate::description::{AsFound, LegTemperature, Polarity, RangeMethod, Reversal};
use crate::example_loop::{M_PER_IN, drum_boiler, kelvin, psig, shell_boiler, vented_tank};
use crate::finding::Severity;
use crate::measurement::sheets::Port;
use crate::quantity::AbsolutePressure;
use crate::water::FillFluid;
use proptest::prelude::*;

fn codes(sheet: &RangeSheet) -> Vec<&'static str> {
    sheet.findings.iter().map(|finding| finding.code).collect()
}

fn wet(leg_k: f64) -> ReferenceLeg {
    ReferenceLeg::Wet {
        pot_lip_m: 20.0 * M_PER_IN,
        temperature: LegTemperature {
            top_k: leg_k,
            bottom_k: leg_k,
        },
        below_tap_k: None,
    }
}

/// Cold-ranged loop at 125 psi(g), leg at 50 degC: a full vessel indicates about 90 %, an empty one about 1.5 %.
/// With IAPWS-IF97 densities (iapws 1.5.5): 998.207 bench, 988.42 leg, 888.855, 4.9645 kg/m3.
#[test]
fn crosscheck_cold_range_reads_90_percent_when_full() {
    let sheet = range_sheet(&shell_boiler()).unwrap();
    let says: Vec<f64> = sheet
        .bench_readings
        .iter()
        .map(|r| r.indicated_percent)
        .collect();
    let full = 100.0 * (1.0 + (888.8553 - 988.42) / 998.207);
    let empty = 100.0 * (1.0 + (4.96451 - 988.42) / 998.207);
    assert!(
        (says[4] - full).abs() < 0.01 && (says[4] - 90.0).abs() < 0.1,
        "{says:?}"
    );
    assert!(
        (says[0] - empty).abs() < 0.01 && (says[0] - 1.5).abs() < 0.1,
        "{says:?}"
    );
    assert!(
        codes(&sheet).contains(&"bench-range-costs"),
        "{:?}",
        codes(&sheet)
    );
}

/// Leg 38 degC, 125 psi(g), range = tap span: 111.8 % with the equaliser open.
#[test]
fn practice_equalised_reading_is_above_full() {
    let mut described = shell_boiler();
    described.reference_leg = wet(kelvin(38.0));
    described.working_leg_temperature_k = kelvin(38.0);
    let sheet = range_sheet(&described).unwrap();
    assert!(
        (sheet.equalised.percent - 111.8).abs() < 0.05,
        "{:?}",
        sheet.equalised
    );
    assert!(sheet.equalised.clipped && (sheet.equalised.current_ma - 20.5).abs() < 1e-12);
    assert!(codes(&sheet).contains(&"zero-check-pegged"));
    // Reference leg on the high port, not reversed in the cell: the low clip.
    described.cell.polarity = Polarity::WetLegOnHigh;
    described.cell.reversal = Reversal::InController;
    let sheet = range_sheet(&described).unwrap();
    assert!((sheet.equalised.percent - 111.8).abs() < 0.05);
    assert!(
        (sheet.equalised.current_ma - 3.8).abs() < 1e-12,
        "{:?}",
        sheet.equalised
    );
}

/// Common practice: a pot 1 in off is 1.12 in of level at 125 psi(g) (leg 38 degC; 1.11 at 50 degC).
#[test]
fn practice_pot_one_inch_off() {
    let mut described = shell_boiler();
    described.reference_leg = wet(kelvin(38.0));
    let ratio = range_sheet(&described)
        .unwrap()
        .pot_lip_sensitivity_ratio
        .unwrap();
    assert!((ratio - 1.12).abs() < 0.005, "{ratio}");
    // The same by moving the pot: the panel of the surveyed range reads lower by that much.
    let sheet = range_sheet(&described).unwrap();
    let mut moved = described.clone();
    moved.reference_leg = ReferenceLeg::Wet {
        pot_lip_m: 21.0 * M_PER_IN,
        temperature: LegTemperature {
            top_k: kelvin(38.0),
            bottom_k: kelvin(38.0),
        },
        below_tap_k: None,
    };
    let cell = condition::cell_at(&moved, &sheet.normal).unwrap();
    let level = TrueLevel::from_m(0.25);
    let says = cell
        .indicated(sheet.hot, described.range.span, level)
        .unwrap();
    assert!((0.25 - says.m() - ratio * M_PER_IN).abs() < 1e-9);
    assert!(
        range_sheet(&vented_tank())
            .unwrap()
            .pot_lip_sensitivity_ratio
            .is_none()
    );
}

/// Common practice, no source: the bench range of a wet leg with the working leg on the high port runs from minus
/// the tap span in water column to 0.
#[test]
fn practice_bench_range_is_minus_the_tap_span_to_zero() {
    let sheet = range_sheet(&shell_boiler()).unwrap();
    assert!(
        (sheet.bench.lrv_pa + 998.207 * 9.806_65 * 0.508).abs() < 0.05,
        "{:?}",
        sheet.bench
    );
    assert!(sheet.bench.urv_pa.abs() < 1e-9);
}

#[test]
fn property_hot_range_is_exact_at_normal_and_span_needs_no_leg() {
    for described in [shell_boiler(), drum_boiler(), vented_tank()] {
        let sheet = range_sheet(&described).unwrap();
        let cell = condition::cell_at(&described, &sheet.normal).unwrap();
        for percent in QUARTERS_PERCENT {
            let level = TrueLevel::from_percent(percent, described.range.span);
            let error = cell
                .error_percent(sheet.hot, described.range.span, level)
                .unwrap();
            assert!(error.abs() < 1e-9, "{error}");
        }
        let d = &sheet.densities;
        let span = 9.806_65 * (d.liquid - d.vapour) * described.range.span.height_m();
        assert!(
            (sheet.span_pa - span).abs() < 1e-8,
            "{} {span}",
            sheet.span_pa
        );
    }
}

#[test]
fn practice_test_points_go_to_the_port_of_their_sign() {
    let sheet = range_sheet(&shell_boiler()).unwrap();
    let percents: Vec<f64> = sheet.test_points.iter().map(|p| p.percent).collect();
    assert_eq!(percents, QUARTERS_PERCENT);
    for point in &sheet.test_points {
        assert_eq!(point.port, Port::Low);
        assert!((point.magnitude_pa + point.differential_pa).abs() < 1e-12);
        assert!((point.true_level.percent(shell_boiler().range.span) - point.percent).abs() < 1e-9);
    }
    let sheet = range_sheet(&vented_tank()).unwrap();
    assert!(sheet.test_points.iter().all(|p| p.port == Port::High));
}

#[test]
fn practice_findings_appear_with_their_cause() {
    let case = |change: fn(&mut Loop), code: &str, severity: Severity| {
        assert!(
            !codes(&range_sheet(&shell_boiler()).unwrap()).contains(&code),
            "{code} without cause"
        );
        let mut described = shell_boiler();
        change(&mut described);
        let sheet = range_sheet(&described).unwrap();
        let finding = sheet.findings.iter().find(|f| f.code == code);
        assert_eq!(
            finding.map(|f| f.severity),
            Some(severity),
            "{code} not in {:?}",
            codes(&sheet)
        );
    };
    case(
        |l| l.cell.lower_range_limit_pa = -2_000.0,
        "range-outside-cell",
        Severity::Stop,
    );
    case(
        |l| l.cell.minimum_span_pa = 6_000.0,
        "span-below-minimum",
        Severity::Stop,
    );
    case(
        |l| l.cell.upper_range_limit_pa = 250_000.0,
        "turndown-high",
        Severity::Note,
    );
    case(
        |l| l.cell.static_limit = psig(100.0),
        "cell-static-limit",
        Severity::Stop,
    );
    case(
        |l| l.cell.reversal = Reversal::InCell,
        "signal-reversed-needlessly",
        Severity::Stop,
    );
    case(
        |l| l.cell.polarity = Polarity::WetLegOnHigh,
        "signal-not-reversed",
        Severity::Stop,
    );
    case(
        |l| l.reference_leg = wet(kelvin(172.0)),
        "leg-flashes",
        Severity::Warn,
    );
    case(
        |l| l.leg_temperature_band_k.0 = kelvin(-5.0),
        "leg-freezes",
        Severity::Stop,
    );
    case(
        |l| {
            l.reference_leg = ReferenceLeg::Dry {
                temperature_k: kelvin(60.0),
            }
        },
        "dry-leg-condenses",
        Severity::Stop,
    );
    case(
        |l| {
            l.reference_leg = ReferenceLeg::Sealed {
                lower_seal_m: 0.0,
                upper_seal_m: 0.508,
                fluid: FillFluid::silicone_oil_50_cst(),
                reference_capillary_k: kelvin(30.0),
                working_capillary_k: kelvin(30.0),
            }
        },
        "fill-density-not-confirmed",
        Severity::Warn,
    );
    case(
        |l| l.range.method = RangeMethod::Best,
        "best-range-held-by-limit",
        Severity::Note,
    );
}

#[test]
fn practice_as_found_ranges_are_judged() {
    let case = |range_pa: (f64, f64), code: &str, cold: bool| {
        let mut described = shell_boiler();
        described.as_found = Some(AsFound {
            range_pa: Some(range_pa),
            settings: None,
        });
        let sheet = range_sheet(&described).unwrap();
        let as_found = sheet.as_found.as_ref().unwrap();
        assert_eq!(as_found.looks_cold, cold, "{code}");
        assert!(
            codes(&sheet).contains(&code),
            "{code} not in {:?}",
            codes(&sheet)
        );
        assert!(!codes(&sheet).contains(&"bench-range-costs"));
        as_found.clone()
    };
    let sheet = range_sheet(&shell_boiler()).unwrap();
    let (hot, bench) = (sheet.hot, sheet.bench);
    let cold = case((bench.lrv_pa, bench.urv_pa), "range-is-cold", true);
    assert!((cold.worst_error_percent + 9.97).abs() < 0.05, "{cold:?}");
    case((hot.lrv_pa, hot.urv_pa), "as-found-fits", false);
    case(
        (hot.lrv_pa - 400.0, hot.urv_pa - 400.0),
        "as-found-off",
        false,
    );
    case((hot.urv_pa, hot.lrv_pa), "as-found-upside-down", false);
    let mut described = shell_boiler();
    described.as_found = Some(AsFound {
        range_pa: Some((1.0, 1.0)),
        settings: None,
    });
    assert!(matches!(
        range_sheet(&described),
        Err(MeasurementError::NoSpan { .. })
    ));
}

/// By hand: ends off by 50 Pa and by 200 Pa, of a span of 1250 Pa.
#[test]
fn property_distance_is_the_larger_end_in_percent_of_the_second_span() {
    let range = |lrv_pa, urv_pa| Range { lrv_pa, urv_pa };
    for (one, other, percent) in [
        (range(100.0, 1100.0), range(50.0, 1300.0), 16.0),
        (range(-200.0, 1300.0), range(50.0, 1300.0), 20.0),
        (range(1300.0, 50.0), range(1300.0, 0.0), 50.0 / 13.0),
    ] {
        let found = distance_percent(one, other);
        assert!((found - percent).abs() < 1e-9, "{found} {percent}");
    }
}

/// A range moved by a part of its span moves every reading by as much, against the move.
#[test]
fn property_worst_error_of_a_moved_range_is_the_move() {
    let sheet = range_sheet(&shell_boiler()).unwrap();
    let span_pa = sheet.hot.urv_pa - sheet.hot.lrv_pa;
    for percent in [-7.0, 3.0] {
        let mut described = shell_boiler();
        let move_pa = 0.01 * percent * span_pa;
        described.as_found = Some(AsFound {
            range_pa: Some((sheet.hot.lrv_pa + move_pa, sheet.hot.urv_pa + move_pa)),
            settings: None,
        });
        let as_found = range_sheet(&described).unwrap().as_found.unwrap();
        assert!(
            (as_found.worst_error_percent + percent).abs() < 1e-6,
            "{as_found:?}"
        );
    }
}

/// Where hot and bench lie together nothing looks cold, however near it is to the bench: an open tank.
#[test]
fn property_a_range_looks_cold_only_where_cold_and_hot_differ() {
    let mut described = crate::example_loop::vented_tank();
    described.vessel.water_temperature_k = Some(crate::example_loop::kelvin(20.0));
    let sheet = range_sheet(&described).unwrap();
    assert!(distance_percent(sheet.bench, sheet.hot) < TELLS_APART_PERCENT);
    let found = AsFound {
        range_pa: Some((sheet.bench.lrv_pa, sheet.bench.urv_pa)),
        settings: None,
    };
    let described = crate::description::Loop {
        as_found: Some(found),
        ..described
    };
    assert!(
        !range_sheet(&described)
            .unwrap()
            .as_found
            .unwrap()
            .looks_cold
    );
}

#[test]
fn practice_an_as_found_range_may_be_better_over_the_band() {
    let mut described = shell_boiler();
    described.pressures.lowest_sustained = psig(20.0);
    described.range.high_error_limit_percent = 5.0;
    let best = range_sheet(&described).unwrap().best.range;
    described.as_found = Some(AsFound {
        range_pa: Some((best.lrv_pa, best.urv_pa)),
        settings: None,
    });
    let code = "as-found-better-over-band";
    assert!(codes(&range_sheet(&described).unwrap()).contains(&code));
    described.range.method = RangeMethod::Best;
    assert!(!codes(&range_sheet(&described).unwrap()).contains(&code));
}

#[test]
fn property_span_beyond_the_taps_is_refused() {
    let mut described = shell_boiler();
    described.range.span.at_100_percent_m = 0.6;
    assert!(matches!(
        range_sheet(&described),
        Err(MeasurementError::LevelOutsideTaps { .. })
    ));
    described.range.span.at_100_percent_m = f64::NAN;
    assert!(range_sheet(&described).is_err());
    let mut described = shell_boiler();
    described.reference_leg = ReferenceLeg::None;
    assert!(matches!(
        range_sheet(&described),
        Err(MeasurementError::OpenReferenceOnClosedVessel)
    ));
}

#[test]
fn property_every_number_has_its_working() {
    let sheet = range_sheet(&shell_boiler()).unwrap();
    for value in [
        sheet.densities.liquid,
        sheet.densities.vapour,
        sheet.densities.reference_above,
        sheet.hot.lrv_pa,
        sheet.hot.urv_pa,
        sheet.bench.lrv_pa,
        sheet.best.worst_error_percent,
        sheet.equalised.percent,
    ] {
        let held = sheet
            .workings
            .iter()
            .any(|w| (w.result - value).abs() <= 1e-12 * value.abs());
        assert!(held, "{value}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// The other polarity mirrors every differential and leaves every percent alone.
    #[test]
    fn property_polarity_mirrors_the_sheet(gauge in 20.0_f64..400.0, below in 0.0_f64..2.0) {
        let mut one = shell_boiler();
        one.pressures.normal = psig(gauge);
        one.pressures.lowest_sustained = psig(gauge * 0.8);
        one.pressures.highest = psig(gauge * 1.1);
        one.pressures.safety_valve = psig(gauge * 1.2);
        one.cell.below_lower_tap_m = below;
        let mut other = one.clone();
        other.cell.polarity = Polarity::WetLegOnHigh;
        other.cell.reversal = Reversal::InCell;
        let (a, b) = (range_sheet(&one).unwrap(), range_sheet(&other).unwrap());
        prop_assert!((a.hot.lrv_pa + b.hot.lrv_pa).abs() < 1e-8 && (a.bench.urv_pa + b.bench.urv_pa).abs() < 1e-8);
        prop_assert!((a.equalised.percent - b.equalised.percent).abs() < 1e-8);
        prop_assert!((a.best.worst_error_percent - b.best.worst_error_percent).abs() < 1e-8);
        for (x, y) in a.bench_readings.iter().zip(&b.bench_readings) {
            prop_assert!((x.indicated_percent - y.indicated_percent).abs() < 1e-8);
        }
    }

    /// All lengths times s: every differential times s, every percent the same.
    #[test]
    fn property_lengths_rescale_the_sheet(scale in 0.1_f64..10.0) {
        let one = shell_boiler();
        let mut large = one.clone();
        large.reference_leg = ReferenceLeg::Wet {
            pot_lip_m: 20.0 * M_PER_IN * scale,
            temperature: LegTemperature { top_k: kelvin(50.0), bottom_k: kelvin(50.0) },
            below_tap_k: None,
        };
        large.elevations.upper_tap_m = one.elevations.upper_tap_m.map(|m| m * scale);
        large.range.span.at_100_percent_m *= scale;
        large.cell.below_lower_tap_m *= scale;
        large.limits.low_alarm_m = one.limits.low_alarm_m.map(|m| m * scale);
        let (a, b) = (range_sheet(&one).unwrap(), range_sheet(&large).unwrap());
        for (x, y) in [(a.hot.lrv_pa, b.hot.lrv_pa), (a.hot.urv_pa, b.hot.urv_pa), (a.best.range.lrv_pa, b.best.range.lrv_pa), (a.bench.lrv_pa, b.bench.lrv_pa)] {
            prop_assert!((x * scale / y - 1.0).abs() < 1e-8, "{x} {y}");
        }
        prop_assert!((a.best.worst_error_percent - b.best.worst_error_percent).abs() < 1e-7);
    }

    /// Density is all that pressure does: with the atmosphere moved, the same absolute pressures give the same range.
    #[test]
    fn property_absolute_pressure_decides(atmosphere in 80_000.0_f64..104_000.0) {
        let one = shell_boiler();
        let mut other = one.clone();
        other.site.atmosphere = AbsolutePressure::from_pa(atmosphere);
        let (a, b) = (range_sheet(&one).unwrap(), range_sheet(&other).unwrap());
        prop_assert!((a.hot.lrv_pa - b.hot.lrv_pa).abs() < 1e-12);
    }
}
