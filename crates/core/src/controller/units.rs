//! The units in which devices take gain, reset and derivative, converted exactly to and from
//! %/%, s/repeat and s.
//!
//! **Source:** definitions of the trade: proportional band = 100/Kc in % of span for a full stroke of
//! output; reset in minutes a repeat or repeats a minute, one the reciprocal of the other.

use super::forms::FormError;

const SECONDS_PER_MINUTE: f64 = 60.0;

fn check_positive(what: &'static str, value: f64, unit: &'static str) -> Result<f64, FormError> {
    if !(value > 0.0 && value.is_finite()) {
        return Err(FormError::Expression { what, value, unit });
    }
    Ok(value)
}

/// Proportional band in % of span, from gain in %/%: 100/Kc.
pub fn proportional_band_percent(gain_ratio: f64) -> f64 {
    100.0 / gain_ratio
}

/// Proportional band as a level, from gain in %/% and the level span: span/Kc.
pub fn proportional_band_m(gain_ratio: f64, span_m: f64) -> f64 {
    span_m / gain_ratio
}

/// How a device expresses gain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GainUnit {
    /// % of output per % of input.
    Ratio,
    /// % of span that strokes the output fully.
    ProportionalBandPercent,
    /// Metres of level that stroke the output fully; needs the level span.
    ProportionalBandLevel,
}

impl GainUnit {
    /// The unit as printed; level bands are in metres here and converted at the edge.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Ratio => "%/%",
            Self::ProportionalBandPercent => "% of span",
            Self::ProportionalBandLevel => "m",
        }
    }

    /// A gain in %/% expressed in this unit; `span_m` is the level span of 0 to 100 %.
    ///
    /// # Errors
    /// [`FormError::Gain`] or [`FormError::Span`] when one is not positive.
    pub fn value_from_gain(self, gain_ratio: f64, span_m: f64) -> Result<f64, FormError> {
        if !(gain_ratio > 0.0 && gain_ratio.is_finite()) {
            return Err(FormError::Gain { value: gain_ratio });
        }
        self.convert(gain_ratio, span_m)
    }

    /// The gain in %/% of a value in this unit; `span_m` is the level span of 0 to 100 %.
    ///
    /// # Errors
    /// [`FormError::Expression`] or [`FormError::Span`] when one is not positive.
    pub fn gain_from_value(self, value: f64, span_m: f64) -> Result<f64, FormError> {
        let what = match self {
            Self::Ratio => "gain",
            Self::ProportionalBandPercent | Self::ProportionalBandLevel => "proportional band",
        };
        self.convert(check_positive(what, value, self.symbol())?, span_m)
    }

    /// Each of the three is its own inverse.
    fn convert(self, value: f64, span_m: f64) -> Result<f64, FormError> {
        match self {
            Self::Ratio => Ok(value),
            Self::ProportionalBandPercent => Ok(proportional_band_percent(value)),
            Self::ProportionalBandLevel if span_m > 0.0 && span_m.is_finite() => {
                Ok(proportional_band_m(value, span_m))
            }
            Self::ProportionalBandLevel => Err(FormError::Span { value: span_m }),
        }
    }
}

/// How a device expresses reset.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResetUnit {
    /// Seconds a repeat.
    SecondsPerRepeat,
    /// Minutes a repeat.
    MinutesPerRepeat,
    /// Repeats a minute.
    RepeatsPerMinute,
    /// Repeats a second.
    RepeatsPerSecond,
}

impl ResetUnit {
    /// The unit as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::SecondsPerRepeat => "s/repeat",
            Self::MinutesPerRepeat => "min/repeat",
            Self::RepeatsPerMinute => "repeats/min",
            Self::RepeatsPerSecond => "repeats/s",
        }
    }

    /// A reset time in s/repeat expressed in this unit.
    ///
    /// # Errors
    /// [`FormError::Reset`] when it is not positive.
    pub fn value_from_reset(self, reset_s: f64) -> Result<f64, FormError> {
        if !(reset_s > 0.0 && reset_s.is_finite()) {
            return Err(FormError::Reset { value: reset_s });
        }
        Ok(match self {
            Self::SecondsPerRepeat => reset_s,
            Self::MinutesPerRepeat => reset_s / SECONDS_PER_MINUTE,
            Self::RepeatsPerMinute => SECONDS_PER_MINUTE / reset_s,
            Self::RepeatsPerSecond => 1.0 / reset_s,
        })
    }

    /// The reset time in s/repeat of a value in this unit.
    ///
    /// Zero is refused: no integral action is said by leaving reset out, because zero repeats and zero
    /// minutes a repeat mean opposite things.
    ///
    /// # Errors
    /// [`FormError::Expression`] when it is not positive.
    pub fn reset_from_value(self, value: f64) -> Result<f64, FormError> {
        let value = check_positive("reset", value, self.symbol())?;
        Ok(match self {
            Self::SecondsPerRepeat => value,
            Self::MinutesPerRepeat => value * SECONDS_PER_MINUTE,
            Self::RepeatsPerMinute => SECONDS_PER_MINUTE / value,
            Self::RepeatsPerSecond => 1.0 / value,
        })
    }
}

/// How a device expresses derivative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DerivativeUnit {
    /// Seconds.
    Seconds,
    /// Minutes.
    Minutes,
}

impl DerivativeUnit {
    /// The unit as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Seconds => "s",
            Self::Minutes => "min",
        }
    }

    /// A derivative time in s expressed in this unit.
    ///
    /// # Errors
    /// [`FormError::Derivative`] when it is negative.
    pub fn value_from_derivative(self, derivative_s: f64) -> Result<f64, FormError> {
        if !(derivative_s >= 0.0 && derivative_s.is_finite()) {
            return Err(FormError::Derivative {
                value: derivative_s,
            });
        }
        Ok(match self {
            Self::Seconds => derivative_s,
            Self::Minutes => derivative_s / SECONDS_PER_MINUTE,
        })
    }

    /// The derivative time in s of a value in this unit.
    ///
    /// # Errors
    /// [`FormError::Derivative`] when it is negative.
    pub fn derivative_from_value(self, value: f64) -> Result<f64, FormError> {
        let derivative_s = match self {
            Self::Seconds => value,
            Self::Minutes => value * SECONDS_PER_MINUTE,
        };
        if !(derivative_s >= 0.0 && derivative_s.is_finite()) {
            return Err(FormError::Derivative {
                value: derivative_s,
            });
        }
        Ok(derivative_s)
    }
}

/// How a device in the parallel form expresses its integral gain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IntegralGainUnit {
    /// 1/s.
    PerSecond,
    /// 1/min.
    PerMinute,
}

impl IntegralGainUnit {
    /// The unit as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::PerSecond => "1/s",
            Self::PerMinute => "1/min",
        }
    }

    /// An integral gain in 1/s expressed in this unit.
    pub fn value_from_integral_gain(self, integral_per_s: f64) -> f64 {
        match self {
            Self::PerSecond => integral_per_s,
            Self::PerMinute => integral_per_s * SECONDS_PER_MINUTE,
        }
    }

    /// The integral gain in 1/s of a value in this unit.
    pub fn integral_gain_from_value(self, value: f64) -> f64 {
        match self {
            Self::PerSecond => value,
            Self::PerMinute => value / SECONDS_PER_MINUTE,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const GAIN_UNITS: [GainUnit; 3] = [
        GainUnit::Ratio,
        GainUnit::ProportionalBandPercent,
        GainUnit::ProportionalBandLevel,
    ];
    const RESET_UNITS: [ResetUnit; 4] = [
        ResetUnit::SecondsPerRepeat,
        ResetUnit::MinutesPerRepeat,
        ResetUnit::RepeatsPerMinute,
        ResetUnit::RepeatsPerSecond,
    ];

    fn is_close(left: f64, right: f64) -> bool {
        (left - right).abs() <= 1e-12 * right.abs()
    }

    /// Definition of the proportional band, 100/Kc.
    #[test]
    fn published_gain_units() {
        let expect = [4.0, 25.0, 0.127];
        for (unit, value) in GAIN_UNITS.into_iter().zip(expect) {
            assert!(
                is_close(unit.value_from_gain(4.0, 0.508).unwrap(), value),
                "{unit:?}"
            );
        }
    }

    /// Definition of reset, 60/(repeats a minute).
    #[test]
    fn published_reset_units() {
        let expect = [90.0, 1.5, 60.0 / 90.0, 1.0 / 90.0];
        for (unit, value) in RESET_UNITS.into_iter().zip(expect) {
            assert!(
                is_close(unit.value_from_reset(90.0).unwrap(), value),
                "{unit:?}"
            );
        }
    }

    #[test]
    fn published_minutes_and_per_minute() {
        assert!(is_close(
            DerivativeUnit::Minutes.value_from_derivative(90.0).unwrap(),
            1.5
        ));
        assert!(is_close(
            DerivativeUnit::Minutes.derivative_from_value(1.5).unwrap(),
            90.0
        ));
        assert!(is_close(
            IntegralGainUnit::PerMinute.value_from_integral_gain(0.2),
            12.0
        ));
        assert!(is_close(
            IntegralGainUnit::PerMinute.integral_gain_from_value(12.0),
            0.2
        ));
    }

    #[test]
    fn published_zero_and_nan_are_refused() {
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(
                RESET_UNITS
                    .iter()
                    .all(|unit| unit.reset_from_value(value).is_err())
            );
            assert!(
                GAIN_UNITS
                    .iter()
                    .all(|unit| unit.gain_from_value(value, 1.0).is_err())
            );
        }
        assert!(
            GainUnit::ProportionalBandLevel
                .gain_from_value(1.0, f64::NAN)
                .is_err()
        );
        assert!(
            DerivativeUnit::Seconds
                .derivative_from_value(f64::NAN)
                .is_err()
        );
        let error = ResetUnit::RepeatsPerMinute
            .reset_from_value(0.0)
            .unwrap_err();
        assert_eq!(
            error.to_string(),
            "reset must be a positive number, got 0 repeats/min"
        );
    }

    proptest! {
        #[test]
        fn property_units_round_trip(value in 1e-3..1e4f64, span_m in 0.05..5.0f64) {
            for unit in GAIN_UNITS {
                let gain_ratio = unit.gain_from_value(value, span_m).unwrap();
                prop_assert!(is_close(unit.value_from_gain(gain_ratio, span_m).unwrap(), value));
            }
            for unit in RESET_UNITS {
                let reset_s = unit.reset_from_value(value).unwrap();
                prop_assert!(is_close(unit.value_from_reset(reset_s).unwrap(), value));
            }
        }
    }
}
