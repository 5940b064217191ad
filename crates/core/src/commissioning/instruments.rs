//! Whether the test instruments that the loop names are good enough for the limits that they are used against.

use super::{
    BenchCell, FivePointLimits, LOOP_CHECK_PERCENT, TEST_UNCERTAINTY_RATIO, five_point_limits,
};
use crate::description::{Accuracy, Loop};
use crate::finding::{Finding, Severity};
use crate::measurement::sheets::Range;

/// Milliamperes in a percent of a 4 to 20 mA span (IEC 60381-1).
pub const MA_PER_PERCENT: f64 = 0.16;

/// Five-point limits of a loop's cell at a range.
pub fn five_point_limits_at(described: &Loop, range: Range) -> FivePointLimits {
    let cell = &described.cell;
    five_point_limits(BenchCell {
        reference_accuracy_percent: cell.reference_accuracy_percent,
        drift_percent_url_per_year: cell.drift_percent_url_per_year,
        upper_range_limit_pa: cell
            .upper_range_limit_pa
            .abs()
            .max(cell.lower_range_limit_pa.abs()),
        span_pa: (range.urv_pa - range.lrv_pa).abs(),
        largest_push_pa: range.lrv_pa.abs().max(range.urv_pa.abs()),
    })
}

/// A limit that an instrument judges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JudgedLimit {
    /// The five-point test's, as left.
    AsLeft,
    /// The loop check's: [`LOOP_CHECK_PERCENT`].
    LoopCheck,
}

/// An instrument against the tightest limit that it judges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InstrumentCheck {
    /// Its accuracy, percent of the set span.
    pub accuracy_percent: f64,
    /// Which limit.
    pub limit: JudgedLimit,
    /// That limit, percent of the set span.
    pub limit_percent: f64,
    /// Limit over accuracy: the test uncertainty ratio.
    pub ratio: f64,
    /// The worst accuracy that gives [`TEST_UNCERTAINTY_RATIO`], percent of the set span.
    pub wanted_percent: f64,
    /// The accuracy that the as-left limit counts in, percent of the set span.
    pub counted_in_percent: f64,
}

impl InstrumentCheck {
    /// Whether the limit is [`TEST_UNCERTAINTY_RATIO`] times the accuracy; what is not a number is not enough.
    pub fn is_enough(self) -> bool {
        self.ratio >= TEST_UNCERTAINTY_RATIO * (1.0 - 1e-9)
    }
}

/// The test uncertainty ratio of an instrument.
///
/// ```text
/// ratio = limit / accuracy
/// ```
///
/// A calibrator judges the as-left limit of the five-point test; an ammeter that limit and the loop check's, of which
/// the tighter counts.
///
/// **Source:** common practice: 4 to 1.
/// **Checked by:** `practice_four_to_one`, `property_ratio_rescales`
pub fn instrument_check(
    accuracy: Accuracy,
    limits: FivePointLimits,
    span_pa: f64,
) -> InstrumentCheck {
    let (accuracy_percent, counted_in_percent) = match accuracy {
        Accuracy::Pressure { pa } => (100.0 * (pa / span_pa).abs(), limits.calibrator_percent),
        Accuracy::Current { ma } => (ma / MA_PER_PERCENT, limits.ammeter_percent),
    };
    let is_ammeter = matches!(accuracy, Accuracy::Current { .. });
    let (limit, limit_percent) = if is_ammeter && LOOP_CHECK_PERCENT < limits.as_left_percent {
        (JudgedLimit::LoopCheck, LOOP_CHECK_PERCENT)
    } else {
        (JudgedLimit::AsLeft, limits.as_left_percent)
    };
    InstrumentCheck {
        accuracy_percent,
        limit,
        limit_percent,
        ratio: limit_percent / accuracy_percent,
        wanted_percent: limit_percent / TEST_UNCERTAINTY_RATIO,
        counted_in_percent,
    }
}

/// Findings of the instruments that the loop names, with a range set in its cell.
pub fn instrument_findings(described: &Loop, range: Range) -> Vec<Finding> {
    let limits = five_point_limits_at(described, range);
    let span_pa = (range.urv_pa - range.lrv_pa).abs();
    described
        .instruments
        .iter()
        .filter_map(|instrument| {
            let accuracy = instrument.accuracy?;
            let check = instrument_check(accuracy, limits, span_pa);
            (!check.is_enough()).then(|| too_coarse(&instrument.name, accuracy, check))
        })
        .collect()
}

fn too_coarse(name: &str, accuracy: Accuracy, check: InstrumentCheck) -> Finding {
    // Rounded so that print never flatters: ratio and what is wanted down.
    let down = |value: f64| {
        let (rounded, decimals) = super::rounded_down(value, 2);
        format!("{rounded:.decimals$}")
    };
    let share = |percent: f64| match accuracy {
        Accuracy::Pressure { .. } => format!("{} % of the span to set", down(percent)),
        Accuracy::Current { .. } => format!("{} mA", down(percent * MA_PER_PERCENT)),
    };
    let limit = match check.limit {
        JudgedLimit::AsLeft => "as-left limit of the five-point test",
        JudgedLimit::LoopCheck => "limit of the loop check",
    };
    let is_counted_in = check.accuracy_percent <= check.counted_in_percent * (1.0 + 1e-9);
    let field = check.counted_in_percent > check.wanted_percent;
    Finding {
        severity: if is_counted_in {
            Severity::Note
        } else {
            Severity::Warn
        },
        code: "test-instrument-too-coarse",
        what: format!(
            "{name}: the {limit}, ± {}, is {} times its accuracy; common practice asks for {TEST_UNCERTAINTY_RATIO:.0} times.",
            share(check.limit_percent),
            down(check.ratio),
        ),
        consequence: if is_counted_in {
            "The limit counts an instrument like this in, so it judges the cell; it proves less than one that is four times better than the limit."
                .to_owned()
        } else {
            "A reading near the limit says as much about the instrument as about the cell: a sound cell is trimmed wrong, a poor one passes."
                .to_owned()
        },
        remedy: format!(
            "Use one that is good to ± {}, by its certificate and over the range tested{}.",
            share(check.wanted_percent),
            if field && !is_counted_in {
                format!(
                    "; where none is to be had, no worse than ± {}, which the limit counts in",
                    share(check.counted_in_percent)
                )
            } else {
                String::new()
            }
        ),
        input: "instrument.accuracy",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::Instrument;
    use crate::example_loop::shell_boiler;
    use proptest::prelude::*;

    const LIMITS: FivePointLimits = FivePointLimits {
        calibrator_percent: 0.03,
        ammeter_percent: 0.04,
        as_left_percent: 0.2,
        as_found_percent: 1.0,
    };

    #[test]
    fn practice_four_to_one() {
        // 0.2 % of 10 kPa is 20 Pa; 0.2 % of 16 mA is 0.032 mA.
        for (accuracy, ratio, enough) in [
            (Accuracy::Pressure { pa: 5.0 }, 4.0, true),
            (Accuracy::Pressure { pa: 5.1 }, 20.0 / 5.1, false),
            (Accuracy::Pressure { pa: 40.0 }, 0.5, false),
            (Accuracy::Current { ma: 0.008 }, 4.0, true),
            (Accuracy::Current { ma: 0.01 }, 3.2, false),
        ] {
            let check = instrument_check(accuracy, LIMITS, -10_000.0);
            assert!((check.ratio - ratio).abs() < 1e-9, "{check:?}");
            assert_eq!(check.is_enough(), enough, "{check:?}");
            assert_eq!(check.limit, JudgedLimit::AsLeft);
        }
        let nan = instrument_check(Accuracy::Pressure { pa: f64::NAN }, LIMITS, 10_000.0);
        assert!(!nan.is_enough());
    }

    /// An ammeter also judges the loop check, 0.25 % of 16 mA: 0.04 mA.
    #[test]
    fn practice_the_tighter_limit_counts() {
        let wide = FivePointLimits {
            as_left_percent: 0.5,
            ..LIMITS
        };
        let check = instrument_check(Accuracy::Current { ma: 0.02 }, wide, 1e4);
        assert_eq!(check.limit, JudgedLimit::LoopCheck);
        assert!((check.ratio - 2.0).abs() < 1e-9);
        let pushed = instrument_check(Accuracy::Pressure { pa: 20.0 }, wide, 1e4);
        assert_eq!(pushed.limit, JudgedLimit::AsLeft);
        assert!((pushed.ratio - 2.5).abs() < 1e-9);
    }

    fn named(accuracy: Option<Accuracy>) -> Vec<Finding> {
        let mut described = shell_boiler();
        described.cell.reference_accuracy_percent = 0.15;
        described.instruments = vec![Instrument {
            name: "Calibrator".into(),
            serial: "1".into(),
            due: "2031".into(),
            accuracy,
        }];
        // Push and span of 8 kPa: calibrator 0.05 %, as left 0.2207 %, 17.66 Pa; a quarter of it 4.41 Pa.
        let range = Range {
            lrv_pa: -8_000.0,
            urv_pa: 0.0,
        };
        instrument_findings(&described, range)
    }

    #[test]
    fn practice_a_coarse_instrument_is_named_with_its_ratio_and_what_to_use() {
        assert!(named(None).is_empty());
        assert!(named(Some(Accuracy::Pressure { pa: 4.4 })).is_empty());
        let found = named(Some(Accuracy::Pressure { pa: 8.0 }));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Warn);
        assert!(
            found[0]
                .what
                .starts_with("Calibrator: the as-left limit of the five-point test, ± 0.22 % of the span to set, is 2.2 times"),
            "{found:?}"
        );
        assert!(
            found[0].remedy.contains("± 0.055 % of the span to set"),
            "{found:?}"
        );
        let meter = named(Some(Accuracy::Current { ma: 0.02 }));
        assert!(meter[0].remedy.contains("± 0.0088 mA"), "{meter:?}");
    }

    proptest! {
        #[test]
        fn property_ratio_rescales(pa in 0.1..1e3_f64, span in 1e2..1e5_f64, scale in 0.1..10.0_f64) {
            let ratio = |pa, span_pa| instrument_check(Accuracy::Pressure { pa }, LIMITS, span_pa).ratio;
            prop_assert!((ratio(pa * scale, span * scale) / ratio(pa, span) - 1.0).abs() < 1e-9);
            prop_assert!(ratio(pa * 2.0, span) < ratio(pa, span));
        }
    }
}
