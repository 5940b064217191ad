//! Forms and units of PID settings: the same controller written in the words a device wants.
//!
//! Three forms are in use. With error e, output u, Laplace variable s:
//!
//! ```text
//! ideal     u = Kc·(1 + 1/(Ti·s) + Td·s)·e
//! series    u = Kc·(1 + 1/(Ti·s))·(1 + Td·s)·e
//! parallel  u = (Kp + Ki/s + Kd·s)·e
//! ```
//!
//! Conversions are exact or refused; none is approximate. Derivative filters are not part of a form.
//!
//! **Source:** Åström & Hägglund, *Advanced PID Control* (ISA, 2006), chapter 3; Skogestad,
//! J. Process Control 13 (2003) 291-309 (series to ideal).

const SECONDS_PER_MINUTE: f64 = 60.0;

/// Which of the three ways of writing a PID controller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PidForm {
    /// One gain in front of all three parts; also called standard or non-interacting.
    Ideal,
    /// A PI part followed by a PD part; also called interacting.
    Series,
    /// Three independent gains.
    Parallel,
}

/// Gain, reset and derivative, as the ideal and the series form have them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimeSettings {
    gain_ratio: f64,
    reset_s: Option<f64>,
    derivative_s: f64,
}

/// Three independent gains, as the parallel form has them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParallelGains {
    proportional_ratio: f64,
    integral_per_s: f64,
    derivative_s: f64,
}

/// Settings of a PID controller together with the form they are meant in.
///
/// Gains are positive: the direction is the controller's action, see [`super::action`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PidSettings {
    /// Ideal form.
    Ideal(TimeSettings),
    /// Series form.
    Series(TimeSettings),
    /// Parallel form.
    Parallel(ParallelGains),
}

/// Why settings are refused, or cannot be written in a form or unit.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FormError {
    /// A gain that must be positive is not.
    #[error("gain must be a positive number, got {value} %/%")]
    Gain {
        /// The refused gain, % of output per % of input.
        value: f64,
    },
    /// A reset time that must be positive is not.
    #[error(
        "reset time must be a positive number of seconds a repeat, got {value} s; leave it out for no integral action"
    )]
    Reset {
        /// The refused reset time, s/repeat.
        value: f64,
    },
    /// A derivative time that must not be negative is.
    #[error("derivative time must be zero or a positive number of seconds, got {value} s")]
    Derivative {
        /// The refused derivative time, s.
        value: f64,
    },
    /// A parallel gain is negative, or all three are zero.
    #[error(
        "parallel gains must be zero or positive and not all zero, got Kp {proportional_ratio} %/%, Ki {integral_per_s} 1/s, Kd {derivative_s} s"
    )]
    ParallelGains {
        /// The proportional gain given, %/%.
        proportional_ratio: f64,
        /// The integral gain given, 1/s.
        integral_per_s: f64,
        /// The derivative gain given, s.
        derivative_s: f64,
    },
    /// A series controller has two real zeros; this ideal one has a complex pair.
    #[error(
        "no series form: derivative time {derivative_s} s is more than a quarter of the reset time {reset_s} s (limit {limit_s} s), which gives a complex pair of zeros that a PI part times a PD part cannot have"
    )]
    DerivativeAboveQuarterOfReset {
        /// The ideal form's derivative time, s.
        derivative_s: f64,
        /// The ideal form's reset time, s/repeat.
        reset_s: f64,
        /// Longest derivative time that a series form can represent, s.
        limit_s: f64,
    },
    /// Ideal and series forms multiply every part by the gain, so they need one.
    #[error(
        "no ideal or series form: the parallel proportional gain is zero, and these forms multiply every part by it"
    )]
    NoProportionalPart,
    /// A level span that must be positive is not.
    #[error("level span must be a positive length, got {value} m")]
    Span {
        /// The refused span, m.
        value: f64,
    },
    /// A value in a device's unit that must be positive is not.
    #[error("{what} must be a positive number, got {value} {unit}")]
    Expression {
        /// What the value is.
        what: &'static str,
        /// The refused value.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
}

fn is_positive(value: f64) -> bool {
    value > 0.0 && value.is_finite()
}

fn is_zero_or_positive(value: f64) -> bool {
    value >= 0.0 && value.is_finite()
}

impl TimeSettings {
    fn new(gain_ratio: f64, reset_s: Option<f64>, derivative_s: f64) -> Result<Self, FormError> {
        if !is_positive(gain_ratio) {
            return Err(FormError::Gain { value: gain_ratio });
        }
        if let Some(value) = reset_s
            && !is_positive(value)
        {
            return Err(FormError::Reset { value });
        }
        if !is_zero_or_positive(derivative_s) {
            return Err(FormError::Derivative {
                value: derivative_s,
            });
        }
        Ok(Self {
            gain_ratio,
            reset_s,
            derivative_s,
        })
    }

    /// Kc, % of output per % of input.
    pub const fn gain_ratio(self) -> f64 {
        self.gain_ratio
    }

    /// Ti, s/repeat; `None` is no integral action.
    pub const fn reset_s(self) -> Option<f64> {
        self.reset_s
    }

    /// Td, s; zero is no derivative action.
    pub const fn derivative_s(self) -> f64 {
        self.derivative_s
    }

    fn parallel_from_ideal(self) -> ParallelGains {
        ParallelGains {
            proportional_ratio: self.gain_ratio,
            integral_per_s: self
                .reset_s
                .map_or(0.0, |reset_s| self.gain_ratio / reset_s),
            derivative_s: self.gain_ratio * self.derivative_s,
        }
    }

    /// f = 1 + Td/Ti; Kc·f, Ti·f, Td/f.
    fn ideal_from_series(self) -> Self {
        let factor = self
            .reset_s
            .map_or(1.0, |reset_s| 1.0 + self.derivative_s / reset_s);
        Self {
            gain_ratio: self.gain_ratio * factor,
            reset_s: self.reset_s.map(|reset_s| reset_s * factor),
            derivative_s: self.derivative_s / factor,
        }
    }

    /// f = (1 + √(1 − 4·Td/Ti))/2; Kc·f, Ti·f, Td/f. The larger root keeps Ti ≥ Td in the series form.
    fn series_from_ideal(self) -> Result<Self, FormError> {
        let Some(reset_s) = self.reset_s else {
            return Ok(self);
        };
        let limit_s = reset_s / 4.0;
        if self.derivative_s > limit_s {
            return Err(FormError::DerivativeAboveQuarterOfReset {
                derivative_s: self.derivative_s,
                reset_s,
                limit_s,
            });
        }
        let factor = 0.5 * (1.0 + (1.0 - self.derivative_s / limit_s).sqrt());
        Ok(Self {
            gain_ratio: self.gain_ratio * factor,
            reset_s: Some(reset_s * factor),
            derivative_s: self.derivative_s / factor,
        })
    }
}

impl ParallelGains {
    /// Kp, % of output per % of input.
    pub const fn proportional_ratio(self) -> f64 {
        self.proportional_ratio
    }

    /// Ki, 1/s; zero is no integral action.
    pub const fn integral_per_s(self) -> f64 {
        self.integral_per_s
    }

    /// Ki in 1/min.
    pub fn integral_per_min(self) -> f64 {
        self.integral_per_s * SECONDS_PER_MINUTE
    }

    /// Kd, s; zero is no derivative action.
    pub const fn derivative_s(self) -> f64 {
        self.derivative_s
    }

    /// Kd in min.
    pub fn derivative_min(self) -> f64 {
        self.derivative_s / SECONDS_PER_MINUTE
    }

    fn ideal(self) -> Result<TimeSettings, FormError> {
        if !is_positive(self.proportional_ratio) {
            return Err(FormError::NoProportionalPart);
        }
        let reset_s =
            is_positive(self.integral_per_s).then(|| self.proportional_ratio / self.integral_per_s);
        TimeSettings::new(
            self.proportional_ratio,
            reset_s,
            self.derivative_s / self.proportional_ratio,
        )
    }
}

impl PidSettings {
    /// Ideal form: Kc in %/%, Ti in s/repeat (`None`: no integral action), Td in s.
    ///
    /// # Errors
    /// [`FormError`] for a gain or reset that is not positive, a negative derivative, or NaN.
    pub fn ideal(
        gain_ratio: f64,
        reset_s: Option<f64>,
        derivative_s: f64,
    ) -> Result<Self, FormError> {
        TimeSettings::new(gain_ratio, reset_s, derivative_s).map(Self::Ideal)
    }

    /// Series form: Kc in %/%, Ti in s/repeat (`None`: no integral action), Td in s.
    ///
    /// # Errors
    /// [`FormError`] for a gain or reset that is not positive, a negative derivative, or NaN.
    pub fn series(
        gain_ratio: f64,
        reset_s: Option<f64>,
        derivative_s: f64,
    ) -> Result<Self, FormError> {
        TimeSettings::new(gain_ratio, reset_s, derivative_s).map(Self::Series)
    }

    /// Parallel form: Kp in %/%, Ki in 1/s, Kd in s.
    ///
    /// # Errors
    /// [`FormError::ParallelGains`] for a negative gain, all zero, or NaN.
    pub fn parallel(
        proportional_ratio: f64,
        integral_per_s: f64,
        derivative_s: f64,
    ) -> Result<Self, FormError> {
        let gains = [proportional_ratio, integral_per_s, derivative_s];
        if !gains.into_iter().all(is_zero_or_positive) || !gains.into_iter().any(is_positive) {
            return Err(FormError::ParallelGains {
                proportional_ratio,
                integral_per_s,
                derivative_s,
            });
        }
        Ok(Self::Parallel(ParallelGains {
            proportional_ratio,
            integral_per_s,
            derivative_s,
        }))
    }

    /// The form these settings are meant in.
    pub const fn form(self) -> PidForm {
        match self {
            Self::Ideal(_) => PidForm::Ideal,
            Self::Series(_) => PidForm::Series,
            Self::Parallel(_) => PidForm::Parallel,
        }
    }

    /// The same controller in another form, exactly.
    ///
    /// # Errors
    /// [`FormError::DerivativeAboveQuarterOfReset`] or [`FormError::NoProportionalPart`] where that form
    /// cannot hold it.
    pub fn to_form(self, form: PidForm) -> Result<Self, FormError> {
        match form {
            PidForm::Ideal => self.to_ideal().map(Self::Ideal),
            PidForm::Series => self.to_series().map(Self::Series),
            PidForm::Parallel => Ok(Self::Parallel(self.to_parallel())),
        }
    }

    /// Gain, reset and derivative of the same controller in the ideal form.
    ///
    /// # Errors
    /// [`FormError::NoProportionalPart`] for a parallel controller without one.
    pub fn to_ideal(self) -> Result<TimeSettings, FormError> {
        match self {
            Self::Ideal(settings) => Ok(settings),
            Self::Series(settings) => Ok(settings.ideal_from_series()),
            Self::Parallel(gains) => gains.ideal(),
        }
    }

    /// Gain, reset and derivative of the same controller in the series form.
    ///
    /// # Errors
    /// [`FormError::DerivativeAboveQuarterOfReset`] when Td > Ti/4, [`FormError::NoProportionalPart`]
    /// for a parallel controller without one.
    pub fn to_series(self) -> Result<TimeSettings, FormError> {
        match self {
            Self::Series(settings) => Ok(settings),
            Self::Ideal(_) | Self::Parallel(_) => self.to_ideal()?.series_from_ideal(),
        }
    }

    /// The three gains of the same controller in the parallel form, which can hold every other.
    pub fn to_parallel(self) -> ParallelGains {
        match self {
            Self::Ideal(settings) => settings.parallel_from_ideal(),
            Self::Series(settings) => settings.ideal_from_series().parallel_from_ideal(),
            Self::Parallel(gains) => gains,
        }
    }
}

/// Gain that keeps the loop the same after the level span was changed: Kc·S2/S1.
///
/// A wider span makes the same level move a smaller percentage, so the gain must grow with it.
///
/// # Errors
/// [`FormError::Gain`] or [`FormError::Span`] when one of the three is not positive.
pub fn gain_after_span_change(
    gain_ratio: f64,
    old_span_m: f64,
    new_span_m: f64,
) -> Result<f64, FormError> {
    if !is_positive(gain_ratio) {
        return Err(FormError::Gain { value: gain_ratio });
    }
    for value in [old_span_m, new_span_m] {
        if !is_positive(value) {
            return Err(FormError::Span { value });
        }
    }
    Ok(gain_ratio * new_span_m / old_span_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn is_close(left: f64, right: f64, relative: f64) -> bool {
        (left - right).abs() <= relative * right.abs().max(f64::MIN_POSITIVE)
    }

    fn check(settings: TimeSettings, expect: (f64, f64, f64), relative: f64) {
        let (gain_ratio, reset_s, derivative_s) = expect;
        assert!(
            is_close(settings.gain_ratio(), gain_ratio, relative),
            "{settings:?}"
        );
        assert!(
            is_close(settings.reset_s().unwrap(), reset_s, relative),
            "{settings:?}"
        );
        assert!(
            is_close(settings.derivative_s(), derivative_s, relative),
            "{settings:?}"
        );
    }

    /// Skogestad 2003: f = 1 + Td/Ti.
    #[test]
    fn published_series_to_ideal() {
        let series = PidSettings::series(2.0, Some(10.0), 2.0).unwrap();
        check(series.to_ideal().unwrap(), (2.4, 12.0, 1.666_667), 5e-7);
    }

    /// Åström & Hägglund 2006, chapter 3: Ti ≥ 4·Td; digits from the formula in exact arithmetic.
    #[test]
    fn published_ideal_to_series() {
        let ideal = PidSettings::ideal(1.0, Some(8.0), 0.5).unwrap();
        check(
            ideal.to_series().unwrap(),
            (0.933_012_70, 7.464_101_62, 0.535_898_38),
            9.4e-9,
        );
    }

    /// Definition of the parallel form: Kp = Kc, Ki = Kc/Ti, Kd = Kc·Td.
    #[test]
    fn published_ideal_to_parallel() {
        let gains = PidSettings::ideal(2.4, Some(12.0), 5.0 / 3.0)
            .unwrap()
            .to_parallel();
        assert!(is_close(gains.proportional_ratio(), 2.4, 1e-15));
        assert!(is_close(gains.integral_per_s(), 0.2, 1e-15));
        assert!(is_close(gains.integral_per_min(), 12.0, 1e-15));
        assert!(is_close(gains.derivative_s(), 4.0, 1e-15));
        assert!(is_close(gains.derivative_min(), 4.0 / 60.0, 1e-15));
    }

    #[test]
    fn published_series_refuses_complex_zeros_and_says_why() {
        let limit = PidSettings::ideal(1.0, Some(8.0), 2.0).unwrap();
        check(limit.to_series().unwrap(), (0.5, 4.0, 4.0), 1e-15);
        let beyond = PidSettings::ideal(1.0, Some(8.0), 2.001).unwrap();
        let error = beyond.to_form(PidForm::Series).unwrap_err();
        assert!(matches!(
            error,
            FormError::DerivativeAboveQuarterOfReset { .. }
        ));
        assert!(
            error
                .to_string()
                .contains("more than a quarter of the reset time 8 s"),
            "{error}"
        );
    }

    #[test]
    fn published_integral_only_has_no_ideal_form() {
        let settings = PidSettings::parallel(0.0, 0.1, 0.0).unwrap();
        assert_eq!(settings.to_ideal(), Err(FormError::NoProportionalPart));
    }

    #[test]
    fn published_impossible_settings_are_refused() {
        for gain_ratio in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(PidSettings::ideal(gain_ratio, None, 0.0).is_err());
        }
        for reset_s in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(PidSettings::series(1.0, Some(reset_s), 0.0).is_err());
        }
        assert!(PidSettings::ideal(1.0, None, f64::NAN).is_err());
        assert!(PidSettings::parallel(0.0, 0.0, 0.0).is_err());
        assert!(PidSettings::parallel(1.0, f64::NAN, 0.0).is_err());
    }

    proptest! {
        #[test]
        fn property_series_survives_ideal_and_parallel(
            gain_ratio in 0.01..100.0f64, reset_s in 0.1..10_000.0f64, share in 0.0..0.999f64,
        ) {
            // Only Td <= Ti comes back as written: the two factors of a series form commute.
            let series = PidSettings::series(gain_ratio, Some(reset_s), share * reset_s).unwrap();
            let parallel = series.to_form(PidForm::Ideal).unwrap().to_form(PidForm::Parallel).unwrap();
            let back = parallel.to_series().unwrap();
            prop_assert!(is_close(back.gain_ratio(), gain_ratio, 1e-6));
            prop_assert!(is_close(back.reset_s().unwrap(), reset_s, 1e-6));
            prop_assert!((back.derivative_s() - share * reset_s).abs() <= 1e-6 * reset_s);
        }

        #[test]
        fn property_forms_agree_at_every_frequency(
            gain_ratio in 0.01..100.0f64, reset_s in 0.1..1000.0f64, share in 0.0..2.0f64, turns in 0.01..100.0f64,
        ) {
            let derivative_s = share * reset_s;
            let w_rad_s = turns / reset_s;
            let gains = PidSettings::series(gain_ratio, Some(reset_s), derivative_s).unwrap().to_parallel();
            // (1 + 1/(jw Ti))(1 + jw Td), expanded by hand
            let real = gain_ratio * (1.0 + derivative_s / reset_s);
            let imaginary = gain_ratio * (w_rad_s * derivative_s - 1.0 / (w_rad_s * reset_s));
            prop_assert!(is_close(gains.proportional_ratio(), real, 1e-12));
            let own = gains.derivative_s() * w_rad_s - gains.integral_per_s() / w_rad_s;
            prop_assert!((own - imaginary).abs() <= 1e-12 * real.max(imaginary.abs()).max(gain_ratio * turns.max(1.0 / turns)));
        }

        #[test]
        fn property_span_change_keeps_output_per_metre(
            gain_ratio in 0.01..100.0f64, old_m in 0.05..5.0f64, new_m in 0.05..5.0f64,
        ) {
            let after = gain_after_span_change(gain_ratio, old_m, new_m).unwrap();
            prop_assert!(is_close(after / new_m, gain_ratio / old_m, 1e-12));
        }
    }
}
