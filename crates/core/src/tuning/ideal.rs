//! The loop without dead time in closed form: an ideal integrator under PI is a second-order system.
//!
//! **Source:** solution of y″ + 2ζωn·y′ + ωn²·y = 0 with y(0) = 0, y′(0) = k'·D.
//! **Checked by:** the tests of [`super::response`].

/// Natural frequency of the ideal integrator under PI: ωn = √(Kc·k'/Ti), rad/s. Dead time neglected.
pub fn ideal_natural_frequency_rad_s(gain_per_s: f64, gain_ratio: f64, reset_s: f64) -> f64 {
    (gain_ratio * gain_per_s / reset_s).sqrt()
}

/// Damping ratio of the ideal integrator under PI: ζ = 0.5·√(Kc·k'·Ti). Dead time neglected: the true
/// loop is damped less, see [`super::poles::dominant_damping_ratio`].
pub fn ideal_damping_ratio(gain_per_s: f64, gain_ratio: f64, reset_s: f64) -> f64 {
    0.5 * (gain_ratio * gain_per_s * reset_s).sqrt()
}

/// A peak and its time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Deviation, fraction of span, with the sign of the load.
    pub deviation_ratio: f64,
    /// Time after the step, s.
    pub time_s: f64,
}

/// Peak of the ideal integrator under PI after a load step D, any damping. Dead time neglected.
///
/// ```text
/// y = k'·D·t·e^(−ωn·t) at ζ = 1;   peak = (k'·D/ωn)·e^(−ζ·γ),   ωn·t = γ
/// γ = acos(ζ)/√(1 − ζ²) below ζ = 1,   1 at it,   acosh(ζ)/√(ζ² − 1) above
/// ```
///
/// With ζ = 1 and Ti = 2λ: k'·D·λ/e at t = λ.
pub fn ideal_peak(gain_per_s: f64, gain_ratio: f64, reset_s: f64, load_ratio: f64) -> Peak {
    SecondOrder {
        start_slope_per_s: gain_per_s,
        natural_rad_s: ideal_natural_frequency_rad_s(gain_per_s, gain_ratio, reset_s),
        damping_ratio: ideal_damping_ratio(gain_per_s, gain_ratio, reset_s),
    }
    .peak(load_ratio)
}

/// y″ + 2ζωn·y′ + ωn²·y = 0, y(0) = 0, y′(0) given.
#[derive(Clone, Copy)]
pub(super) struct SecondOrder {
    pub(super) start_slope_per_s: f64,
    pub(super) natural_rad_s: f64,
    pub(super) damping_ratio: f64,
}

impl SecondOrder {
    fn peak(self, load_ratio: f64) -> Peak {
        let zeta = self.damping_ratio;
        let excess = zeta - 1.0;
        let angle = if excess.abs() < 1e-5 {
            // Taylor around 1, where both quotients are 0/0.
            1.0 - excess / 3.0
        } else if excess < 0.0 {
            zeta.acos() / (1.0 - zeta * zeta).sqrt()
        } else {
            zeta.acosh() / (zeta * zeta - 1.0).sqrt()
        };
        Peak {
            deviation_ratio: load_ratio * self.start_slope_per_s / self.natural_rad_s
                * (-zeta * angle).exp(),
            time_s: angle / self.natural_rad_s,
        }
    }

    /// y and y′ at t for a unit load.
    pub(super) fn value_and_slope(self, time_s: f64) -> (f64, f64) {
        let decay_per_s = self.damping_ratio * self.natural_rad_s;
        let square = self.natural_rad_s
            * self.natural_rad_s
            * (1.0 - self.damping_ratio * self.damping_ratio);
        let root = square.abs().sqrt();
        let angle = root * time_s;
        let (sine_over_root, even) = if angle < 1e-6 {
            (
                time_s * (-decay_per_s * time_s).exp(),
                (-decay_per_s * time_s).exp(),
            )
        } else if square > 0.0 {
            let decay = (-decay_per_s * time_s).exp();
            (decay * angle.sin() / root, decay * angle.cos())
        } else {
            // Written with two decaying exponentials: sinh alone would overflow.
            let slow = ((root - decay_per_s) * time_s).exp();
            let fast = (-(root + decay_per_s) * time_s).exp();
            (0.5 * (slow - fast) / root, 0.5 * (slow + fast))
        };
        let value = self.start_slope_per_s * sine_over_root;
        (value, self.start_slope_per_s * even - decay_per_s * value)
    }
}
