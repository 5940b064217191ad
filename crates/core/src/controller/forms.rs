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
#[path = "forms_tests.rs"]
mod tests;
