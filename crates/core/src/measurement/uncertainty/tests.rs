//! The uncertainty sheet on invented loops of every kind of reference leg.

use super::budget::TRIALS;
use super::example_survey::{every_kind, input, surveyed, tank};
use super::sheets::{Budget, Evaluation, UncertaintySheet};
use super::{UncertaintyError, uncertainty_sheet};
use crate::description::Loop;
use crate::description::uncertainty::{Distribution, UncertaintySource as S};
use crate::example_loop::{PA_PER_PSI, shell_boiler};
use crate::measurement::range_sheet;

fn sheet(described: &Loop) -> UncertaintySheet {
    let range = range_sheet(described).unwrap();
    uncertainty_sheet(described, &range).unwrap().unwrap()
}

/// Where one rectangular input makes more than half of the variance the trials end sooner than a normal distribution
/// (JCGM 101, 9.2.4), but by no more than the rectangle alone would: 0.95·√3 against 1.96.
fn agrees_or_ends_sooner(name: &str, budget: &Budget) {
    let monte_carlo = &budget.monte_carlo;
    let first = &budget.lines[0];
    let one_rectangle =
        first.share_percent > 50.0 && first.distribution == Some(Distribution::Rectangular);
    let (low, high) = monte_carlo.interval_95;
    let ratio = (high - low) / (2.0 * budget.k_95 * budget.combined);
    let sooner = ratio < 1.0 && ratio > 0.95 * 3.0_f64.sqrt() / 1.96;
    assert!(
        monte_carlo.agrees || (one_rectangle && sooner),
        "{name}: {ratio} {budget:?}"
    );
}

/// JCGM 101 clause 8: both ends of the trials' interval are the budget's to one digit and chance, for every kind of leg.
#[test]
fn crosscheck_budget_by_monte_carlo_for_every_kind_of_leg() {
    for (name, described) in every_kind() {
        let sheet = sheet(&described);
        let panel = &sheet.panel;
        agrees_or_ends_sooner(name, panel);
        assert_eq!(panel.monte_carlo.trials, TRIALS);
        assert!(
            (panel.monte_carlo.standard_uncertainty / panel.combined - 1.0).abs() < 0.03,
            "{name}: {panel:?}"
        );
        if let Some(glass) = &sheet.glass {
            agrees_or_ends_sooner(name, glass);
            assert!(
                (glass.monte_carlo.standard_uncertainty / glass.combined - 1.0).abs() < 0.03,
                "{name}: {glass:?}"
            );
        }
        assert_eq!(self::sheet(&described), sheet, "{name}: the same each time");
    }
}

#[test]
fn property_shares_sum_to_100_and_lines_fall() {
    for (name, described) in every_kind() {
        let sheet = sheet(&described);
        for budget in std::iter::once(&sheet.panel).chain(&sheet.glass) {
            let sum: f64 = budget.lines.iter().map(|line| line.share_percent).sum();
            assert!((sum - 100.0).abs() < 1e-9, "{name}: {sum}");
            assert!(
                budget
                    .lines
                    .is_sorted_by(|one, other| one.share_percent >= other.share_percent),
                "{name}"
            );
            assert!(
                budget
                    .halvings
                    .iter()
                    .all(|halved| halved.expanded_k2 < budget.expanded_k2)
            );
        }
    }
}

/// Sensitivities by hand: the reference column weighs g·(ρr − ρv) per metre, the zero 100 % per span, a current
/// 6.25 %/mA, the gain the differential itself.
#[test]
fn crosscheck_sensitivities_by_hand() {
    let mut described = surveyed(shell_boiler());
    described.uncertainty.zero_readings_ma = vec![19.98, 20.01, 20.02, 19.99];
    let range = range_sheet(&described).unwrap();
    let sheet = sheet(&described);
    let of = |source: Option<S>| {
        let line = sheet.panel.lines.iter().find(|line| line.source == source);
        line.unwrap().sensitivity
    };
    let (g, d) = (described.site.gravity_m_s2, range.densities);
    let percent_per_pa = 100.0 / (range.chosen.urv_pa - range.chosen.lrv_pa);
    let lip = -g * (d.reference_above - d.vapour) * percent_per_pa;
    assert!((of(Some(S::LegHeight)) / lip - 1.0).abs() < 1e-9);
    assert!((of(Some(S::Calibrator)) / percent_per_pa - 1.0).abs() < 1e-9);
    assert!((of(None) - 6.25).abs() < 1e-9);
    // Half of the span: the mean of the range's ends.
    let differential_pa = 0.5 * (range.chosen.lrv_pa + range.chosen.urv_pa);
    let gain = differential_pa * percent_per_pa;
    assert!((of(Some(S::StaticSpan)) / gain - 1.0).abs() < 1e-9);
    // Four readings with s = 0.018257 mA: u = s/2, 3 degrees of freedom.
    let repeated = sheet
        .panel
        .lines
        .iter()
        .find(|line| line.source.is_none())
        .unwrap();
    assert_eq!(repeated.evaluation, Evaluation::A);
    assert!((repeated.standard_uncertainty - 0.018_257_4 / 2.0).abs() < 1e-6);
    assert!((repeated.degrees_of_freedom - 3.0).abs() < 1e-12);
    assert!(sheet.panel.effective_degrees_of_freedom > 3.0);
}

#[test]
fn property_zero_width_changes_nothing_and_widths_scale() {
    let described = surveyed(shell_boiler());
    let full = sheet(&described);
    let mut without = described.clone();
    without
        .uncertainty
        .inputs
        .retain(|input| input.source != S::Drift);
    let mut zero = described.clone();
    let mut doubled = described.clone();
    for input in &mut zero.uncertainty.inputs {
        if input.source == S::Drift {
            input.half_width = 0.0;
        }
    }
    for input in &mut doubled.uncertainty.inputs {
        input.half_width *= 0.5;
    }
    let (without, zero, half) = (sheet(&without), sheet(&zero), sheet(&doubled));
    assert!((without.panel.combined / zero.panel.combined - 1.0).abs() < 1e-12);
    assert!(full.panel.combined > without.panel.combined);
    // Half the widths: half the uncertainty, but for the curvature of the densities.
    assert!((half.panel.combined / full.panel.combined - 0.5).abs() < 1e-3);
}

/// Legs alike warm alike: below the tap both columns move together and their difference stays.
#[test]
fn practice_legs_that_share_a_temperature_are_better() {
    let mut described = surveyed(shell_boiler());
    described.uncertainty.inputs = vec![
        input(S::LegTemperature, 10.0, Distribution::Rectangular),
        input(S::WorkingLegTemperature, 10.0, Distribution::Rectangular),
    ];
    let at = |r: f64| {
        let mut described = described.clone();
        described.uncertainty.leg_correlation = r;
        sheet(&described).panel.expanded_k2
    };
    assert!(at(1.0) < at(0.5) && at(0.5) < at(0.0) && at(0.0) < at(-1.0));
    let mut described_half = described.clone();
    described_half.uncertainty.leg_correlation = 0.5;
    let words = sheet(&described_half).panel.words;
    assert!(
        words.contains("together 100 % (they partly cancel)"),
        "{words}"
    );
    // Fully correlated: only the leg above the tap counts, 20 of 32 in.
    let mut alone = described.clone();
    alone.uncertainty.inputs.pop();
    alone.uncertainty.leg_correlation = 0.0;
    let whole = sheet(&alone).panel.expanded_k2;
    assert!(
        (at(1.0) / whole - 20.0 / 32.0).abs() < 0.01,
        "{} {whole}",
        at(1.0)
    );
}

#[test]
fn practice_static_zero_is_gone_when_trimmed_at_pressure() {
    let mut described = surveyed(shell_boiler());
    let before = sheet(&described);
    described.uncertainty.zeroed_at_pressure = true;
    let after = sheet(&described);
    assert!(after.panel.combined < before.panel.combined);
    let line = after
        .panel
        .lines
        .iter()
        .find(|line| line.source == Some(S::StaticZero))
        .unwrap();
    assert!(line.contribution.abs() < 1e-12 && line.name.contains("trimmed"));
}

/// A wet leg's differential is largest at empty, a tank's at full: so is a gain error.
#[test]
fn practice_gain_error_is_largest_where_the_differential_is() {
    for (mut described, largest_at_empty) in [(shell_boiler(), true), (tank(), false)] {
        described.uncertainty.inputs = vec![input(S::AmbientSpan, 0.01, Distribution::Rectangular)];
        let levels = sheet(&described).levels;
        let (first, last) = (
            levels[0].panel_percent_k2,
            levels[levels.len() - 1].panel_percent_k2,
        );
        assert_eq!(first > last, largest_at_empty, "{first} {last}");
    }
}

/// What moves both is counted once: pressure alone moves panel and told level by different amounts.
#[test]
fn property_disagreement_counts_a_shared_input_once() {
    let mut described = surveyed(shell_boiler());
    described.uncertainty.inputs = vec![input(
        S::VesselPressure,
        10.0 * PA_PER_PSI,
        Distribution::Rectangular,
    )];
    let shared = sheet(&described);
    let span_m = described.range.span.height_m();
    let panel_m = shared.panel.expanded_k2 / 100.0 * span_m;
    let glass_m = shared.glass.as_ref().unwrap().expanded_k2;
    let explained_m = shared.explained_disagreement_m.unwrap();
    let apart = (explained_m - (panel_m - glass_m).abs()).abs() < 1e-9
        || (explained_m - (panel_m + glass_m)).abs() < 1e-9;
    assert!(apart, "{explained_m} {panel_m} {glass_m}");
    described.uncertainty.inputs = vec![input(S::GlassReading, 0.003, Distribution::Triangular)];
    let eye = sheet(&described);
    let glass_m = eye.glass.as_ref().unwrap().expanded_k2;
    assert!((eye.explained_disagreement_m.unwrap() - glass_m).abs() < 1e-12);
    // The ratio of densities times the reading's: a hot vessel's glass inch is more than an inch of level.
    assert!(glass_m > 2.0 * 0.003 / 6.0_f64.sqrt(), "{glass_m}");
}

#[test]
fn property_levels_rise_and_carry_both_units() {
    let described = surveyed(shell_boiler());
    let sheet = sheet(&described);
    assert_eq!(sheet.levels.len(), 8);
    assert!(sheet.levels.is_sorted_by_key(|row| row.level.m()));
    for row in &sheet.levels {
        let m = row.panel_percent_k2 / 100.0 * described.range.span.height_m();
        assert!((row.panel_m_k2 - m).abs() < 1e-12);
    }
    // Glass: 4 to 16 in of glass; the span's ends are out of it.
    assert!(sheet.levels[0].glass_m_k2.is_none() && sheet.levels[4].glass_m_k2.is_some());
}

/// Common practice, no source: findings for an alarm within the uncertainty, a known error, guessed widths, and a
/// dominating input that is not normal.
#[test]
fn practice_findings() {
    let codes = |described: &Loop| -> Vec<&'static str> {
        sheet(described)
            .findings
            .iter()
            .map(|finding| finding.code)
            .collect()
    };
    let mut described = surveyed(shell_boiler());
    assert!(codes(&described).is_empty(), "{:?}", codes(&described));
    described.limits.low_alarm_m = described.limits.low_cutoff_m.map(|level_m| level_m + 0.002);
    assert!(codes(&described).contains(&"low-alarm-within-uncertainty"));
    for input in &mut described.uncertainty.inputs {
        input.assumed = true;
    }
    assert!(codes(&described).contains(&"uncertainty-rests-on-assumptions"));
    described.uncertainty.inputs = vec![input(S::Receiver, 1.0, Distribution::Rectangular)];
    let found = sheet(&described).findings;
    let apart = found
        .iter()
        .find(|finding| finding.code == "budget-and-trials-disagree")
        .unwrap();
    // One rectangle: 0.95·√3 u against 1.96 u, 16 % of the half width.
    assert!(apart.what.contains(", 16 % of the half width"), "{apart:?}");
    described.limits.set_point_m = 0.47;
    assert!(codes(&described).contains(&"set-point-not-in-glass"));
}

/// After JCGM 101:2008, 9.2.3 and 9.2.4: equal rectangular inputs agree with a normal distribution, one ten times as wide
/// as the others does not. Here three, of which 4.4 Pa are 0.1 % of the span.
#[test]
fn practice_equal_rectangles_agree_and_a_dominating_one_does_not() {
    let mut described = surveyed(shell_boiler());
    for (wide, agrees) in [(0.1, true), (1.0, false)] {
        described.uncertainty.inputs = [
            (S::Receiver, wide),
            (S::ReferenceAccuracy, 0.1),
            (S::Calibrator, 4.4),
        ]
        .map(|(source, half_width)| input(source, half_width, Distribution::Rectangular))
        .into();
        let panel = sheet(&described).panel;
        let shares: Vec<f64> = panel.lines.iter().map(|line| line.share_percent).collect();
        assert!(
            if agrees {
                shares[0] < 34.0
            } else {
                shares[0] > 97.0
            },
            "{shares:?}"
        );
        assert_eq!(panel.monte_carlo.agrees, agrees, "{wide}: {panel:?}");
    }
}

#[test]
fn property_nothing_surveyed_no_sheet_and_nonsense_is_an_error() {
    let mut described = shell_boiler();
    let range = range_sheet(&described).unwrap();
    assert_eq!(uncertainty_sheet(&described, &range), Ok(None));
    let error = |described: &Loop| uncertainty_sheet(described, &range).unwrap_err();
    described.uncertainty.inputs = vec![input(S::Drift, f64::NAN, Distribution::Rectangular)];
    assert!(matches!(
        error(&described),
        UncertaintyError::Negative { .. }
    ));
    described.uncertainty.inputs = vec![input(S::Drift, 0.1, Distribution::Rectangular); 2];
    assert!(matches!(error(&described), UncertaintyError::Twice { .. }));
    described.uncertainty.inputs = vec![input(S::WaterTemperature, 1.0, Distribution::Rectangular)];
    assert!(matches!(
        error(&described),
        UncertaintyError::NotInLoop { .. }
    ));
    described.uncertainty.inputs = vec![input(S::VesselPressure, 2e6, Distribution::Rectangular)];
    let text = error(&described).to_string();
    assert!(
        text.starts_with("with the vessel pressure off by -"),
        "{text}"
    );
    described.uncertainty.inputs = vec![input(S::Drift, 0.1, Distribution::Rectangular)];
    described.uncertainty.leg_correlation = 1.2;
    assert!(matches!(
        error(&described),
        UncertaintyError::Correlation { .. }
    ));
    described.uncertainty.leg_correlation = 1.0;
    described.uncertainty.zero_readings_ma = vec![4.0, f64::NAN];
    assert!(matches!(
        error(&described),
        UncertaintyError::ZeroReading { number: 2 }
    ));
}
