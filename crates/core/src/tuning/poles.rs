//! Closed-loop poles of an integrating process under PID, with the dead time exact.
//!
//! ```text
//! integral action     s² + k'·(Kd·s² + Kp·s + Ki)·e^(−θs) = 0
//! no integral action  s  + k'·(Kd·s + Kp)·e^(−θs)         = 0
//! ```
//!
//! With dead time the equation has infinitely many roots. Newton's method is started from a polar grid
//! over every time scale of the loop; the argument principle then counts the roots right of a line, and
//! the answer is given only when that count equals the roots found.
//!
//! **Source:** Bellman & Cooke, *Differential-Difference Equations* (1963); argument principle.

use std::f64::consts::TAU;

use super::characteristic::Characteristic;
use super::process::IntegratingProcess;
use crate::controller::forms::PidSettings;

/// A closed-loop pole, of a pair the upper one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pole {
    /// Real part, 1/s; negative decays.
    pub real_per_s: f64,
    /// Imaginary part, rad/s; zero for a real pole.
    pub imaginary_rad_s: f64,
}

impl Pole {
    /// −Re/|s|: 1 for a decaying real pole, 0 for steady swinging, negative when it grows.
    pub fn damping_ratio(self) -> f64 {
        -self.real_per_s / self.size_per_s()
    }

    pub(super) fn size_per_s(self) -> f64 {
        self.real_per_s.hypot(self.imaginary_rad_s)
    }

    /// Period of the oscillation, s; `None` for a real pole.
    pub fn period_s(self) -> Option<f64> {
        (self.imaginary_rad_s > 0.0).then(|| TAU / self.imaginary_rad_s)
    }
}

/// The poles that a person sees in the trend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosedLoopPoles {
    /// The rightmost: what is left in the end.
    pub dominant: Pole,
    /// The oscillation that decays slowest, unless it decays five times faster than the dominant pole.
    /// Equal to `dominant` when that one oscillates.
    pub slowest_oscillation: Option<Pole>,
}

/// Why no poles are given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PoleError {
    /// Neither proportional nor integral action.
    #[error("without proportional and integral action nothing brings the level back")]
    NoRestoringAction,
    /// Derivative action so strong that a chain of fast roots lies as far right as the dominant one.
    #[error(
        "derivative action is so strong ({ratio:.3} of the highest stable) that no single pole dominates"
    )]
    NoneDominates {
        /// k'·Kd, which must be well below 1.
        ratio: f64,
        /// Decay rate that the chain tends to, 1/s.
        chain_decay_per_s: f64,
    },
    /// The count by the argument principle and the roots found differ.
    #[error(
        "closed-loop poles not found with certainty: {counted:.2} expected right of {line_per_s:.3e} 1/s, {found} found"
    )]
    NotCertain {
        /// Roots by the argument principle.
        counted: f64,
        /// Roots found.
        found: f64,
        /// The line, 1/s.
        line_per_s: f64,
    },
}

/// Damping ratio of the rightmost closed-loop pole, dead time included.
///
/// Differs from [`super::response::ideal_damping_ratio`], which neglects the dead time and flatters.
///
/// # Errors
/// As [`closed_loop_poles`].
pub fn dominant_damping_ratio(
    process: IntegratingProcess,
    settings: PidSettings,
) -> Result<f64, PoleError> {
    Ok(closed_loop_poles(process, settings)?
        .dominant
        .damping_ratio())
}

/// The dominant pole and the slowest oscillation, of stable and unstable loops alike.
///
/// # Errors
/// [`PoleError`] when nothing holds the level, or when the poles cannot be given with certainty.
pub fn closed_loop_poles(
    process: IntegratingProcess,
    settings: PidSettings,
) -> Result<ClosedLoopPoles, PoleError> {
    let gains = settings.to_parallel();
    let k = process.gain_per_s();
    let equation = Characteristic {
        second: k * gains.derivative_s(),
        first_per_s: k * gains.proportional_ratio(),
        zeroth_per_s2: k * gains.integral_per_s(),
        dead_time_s: process.dead_time_s(),
    };
    if !(equation.first_per_s > 0.0 || equation.zeroth_per_s2 > 0.0) {
        return Err(PoleError::NoRestoringAction);
    }
    if process.dead_time_s() > 0.0 {
        equation.poles_with_dead_time()
    } else {
        Ok(equation.poles_without_dead_time())
    }
}

#[cfg(test)]
#[path = "poles_tests.rs"]
mod tests;
