//! The process as tuning sees it, and why a tuning rule refuses one.

use std::f64::consts::FRAC_PI_2;

use crate::controller::forms::FormError;

/// A level that ramps: k'·e^(−θs)/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntegratingProcess {
    gain_per_s: f64,
    dead_time_s: f64,
}

/// A process that settles by itself: k·e^(−θs)/(T·s + 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SelfRegulatingProcess {
    gain_ratio: f64,
    time_constant_s: f64,
    dead_time_s: f64,
}

/// Gain and period at which a proportional controller makes the loop swing steadily.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UltimatePoint {
    /// Ku, %/%.
    pub gain_ratio: f64,
    /// Pu, s.
    pub period_s: f64,
}

/// Why a rule gives no settings.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RuleError {
    /// The process gain is not positive.
    #[error("process gain must be a positive number, got {value} {unit}")]
    ProcessGain {
        /// The refused gain.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// The time constant is not positive.
    #[error("time constant must be a positive number, got {value} s")]
    TimeConstant {
        /// The refused time constant, s.
        value: f64,
    },
    /// The dead time is negative.
    #[error("dead time must be zero or a positive number, got {value} s")]
    DeadTime {
        /// The refused dead time, s.
        value: f64,
    },
    /// The rule divides by the dead time.
    #[error(
        "this rule needs a dead time above zero: without one every gain is stable and it has no limit to start from"
    )]
    NoDeadTime,
    /// The wanted closed-loop time constant is out of the rule's range.
    #[error(
        "closed-loop time constant must be above zero and not below the dead time {dead_time_s} s, got {value} s"
    )]
    ClosedLoopTime {
        /// The refused time, s.
        value: f64,
        /// The dead time, s.
        dead_time_s: f64,
    },
    /// The inverse-response time is negative.
    #[error("inverse-response time must be zero or a positive number, got {value} s")]
    InverseResponse {
        /// The refused time, s.
        value: f64,
    },
    /// The arrest time is not positive.
    #[error("arrest time must be a positive number, got {value} s")]
    ArrestTime {
        /// The refused time, s.
        value: f64,
    },
    /// The load change or the allowed deviation is not positive.
    #[error("{what} must be a positive fraction, got {value}")]
    Fraction {
        /// Which of the two.
        what: &'static str,
        /// The refused value.
        value: f64,
    },
    /// The rule's numbers are no valid settings (overflow or underflow of extreme input).
    #[error("the rule gives settings that cannot be used: {0}")]
    Settings(#[from] FormError),
}

pub(super) fn is_positive(value: f64) -> bool {
    value > 0.0 && value.is_finite()
}

fn check_dead_time(dead_time_s: f64) -> Result<(), RuleError> {
    if !(dead_time_s >= 0.0 && dead_time_s.is_finite()) {
        return Err(RuleError::DeadTime { value: dead_time_s });
    }
    Ok(())
}

impl IntegratingProcess {
    /// A ramping level with gain k' in 1/s and dead time θ in s; θ may be zero.
    ///
    /// # Errors
    /// [`RuleError::ProcessGain`] or [`RuleError::DeadTime`], for NaN too.
    pub fn new(gain_per_s: f64, dead_time_s: f64) -> Result<Self, RuleError> {
        if !is_positive(gain_per_s) {
            return Err(RuleError::ProcessGain {
                value: gain_per_s,
                unit: "1/s",
            });
        }
        check_dead_time(dead_time_s)?;
        Ok(Self {
            gain_per_s,
            dead_time_s,
        })
    }

    /// k', 1/s.
    pub const fn gain_per_s(self) -> f64 {
        self.gain_per_s
    }

    /// θ, s.
    pub const fn dead_time_s(self) -> f64 {
        self.dead_time_s
    }

    /// Exact ultimate point: Ku = π/(2·k'·θ), Pu = 4·θ (phase −90° − ωθ reaches −180° at ωθ = π/2).
    ///
    /// # Errors
    /// [`RuleError::NoDeadTime`] when θ is zero.
    pub fn ultimate_point(self) -> Result<UltimatePoint, RuleError> {
        let dead_time_s = self.positive_dead_time_s()?;
        Ok(UltimatePoint {
            gain_ratio: FRAC_PI_2 / (self.gain_per_s * dead_time_s),
            period_s: 4.0 * dead_time_s,
        })
    }

    pub(super) fn positive_dead_time_s(self) -> Result<f64, RuleError> {
        if self.dead_time_s > 0.0 {
            Ok(self.dead_time_s)
        } else {
            Err(RuleError::NoDeadTime)
        }
    }
}

impl SelfRegulatingProcess {
    /// A settling process with gain k in %/%, time constant T in s and dead time θ in s; θ may be zero.
    ///
    /// # Errors
    /// [`RuleError::ProcessGain`], [`RuleError::TimeConstant`] or [`RuleError::DeadTime`], for NaN too.
    pub fn new(gain_ratio: f64, time_constant_s: f64, dead_time_s: f64) -> Result<Self, RuleError> {
        if !is_positive(gain_ratio) {
            return Err(RuleError::ProcessGain {
                value: gain_ratio,
                unit: "%/%",
            });
        }
        if !is_positive(time_constant_s) {
            return Err(RuleError::TimeConstant {
                value: time_constant_s,
            });
        }
        check_dead_time(dead_time_s)?;
        Ok(Self {
            gain_ratio,
            time_constant_s,
            dead_time_s,
        })
    }

    /// k, %/%.
    pub const fn gain_ratio(self) -> f64 {
        self.gain_ratio
    }

    /// T, s.
    pub const fn time_constant_s(self) -> f64 {
        self.time_constant_s
    }

    /// θ, s.
    pub const fn dead_time_s(self) -> f64 {
        self.dead_time_s
    }
}
