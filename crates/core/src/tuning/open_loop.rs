//! The open loop at one frequency: size, continuous phase, crossovers; the dead time is exact.
//!
//! Formulas and sources are in [`super::margins`].

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::process::{IntegratingProcess, RuleError, SelfRegulatingProcess};
use crate::controller::forms::PidSettings;

/// Beyond ωθ = 60 the peaks of 1/|1+L| only follow the envelope 1/(1−|L|), which is already bracketed.
const LAST_DELAY_ANGLE_RAD: f64 = 60.0;

/// The process as the margins need it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plant {
    pub(super) kind: PlantKind,
    pub(super) dead_time_s: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum PlantKind {
    Integrating {
        gain_per_s: f64,
        inverse_response_s: f64,
    },
    SelfRegulating {
        gain_ratio: f64,
        time_constant_s: f64,
    },
}

impl From<IntegratingProcess> for Plant {
    fn from(process: IntegratingProcess) -> Self {
        let kind = PlantKind::Integrating {
            gain_per_s: process.gain_per_s(),
            inverse_response_s: 0.0,
        };
        Self {
            kind,
            dead_time_s: process.dead_time_s(),
        }
    }
}

impl From<SelfRegulatingProcess> for Plant {
    fn from(process: SelfRegulatingProcess) -> Self {
        let kind = PlantKind::SelfRegulating {
            gain_ratio: process.gain_ratio(),
            time_constant_s: process.time_constant_s(),
        };
        Self {
            kind,
            dead_time_s: process.dead_time_s(),
        }
    }
}

impl Plant {
    /// An integrating process whose level first goes the wrong way: the factor (1 − τs), τ in s.
    ///
    /// # Errors
    /// [`RuleError::InverseResponse`] for a negative τ or NaN.
    pub fn with_inverse_response(
        process: IntegratingProcess,
        inverse_response_s: f64,
    ) -> Result<Self, RuleError> {
        if !(inverse_response_s >= 0.0 && inverse_response_s.is_finite()) {
            return Err(RuleError::InverseResponse {
                value: inverse_response_s,
            });
        }
        let kind = PlantKind::Integrating {
            gain_per_s: process.gain_per_s(),
            inverse_response_s,
        };
        Ok(Self {
            kind,
            dead_time_s: process.dead_time_s(),
        })
    }
}

#[derive(Clone, Copy)]
pub(super) struct OpenLoop {
    pub(super) proportional: f64,
    pub(super) integral: f64,
    pub(super) derivative: f64,
    pub(super) plant: Plant,
}

impl OpenLoop {
    pub(super) fn new(plant: Plant, settings: PidSettings) -> Self {
        let gains = settings.to_parallel();
        Self {
            proportional: gains.proportional_ratio(),
            integral: gains.integral_per_s(),
            derivative: gains.derivative_s(),
            plant,
        }
    }

    fn inverse_response_s(self) -> f64 {
        match self.plant.kind {
            PlantKind::Integrating {
                inverse_response_s, ..
            } => inverse_response_s,
            PlantKind::SelfRegulating { .. } => 0.0,
        }
    }

    pub(super) fn phase_turns_at_high_frequency(self) -> bool {
        self.plant.dead_time_s > 0.0 || self.inverse_response_s() > 0.0
    }

    /// r, the limit of |L| for ω → ∞.
    pub(super) fn high_frequency_ratio(self) -> f64 {
        match self.plant.kind {
            PlantKind::Integrating {
                gain_per_s,
                inverse_response_s,
            } if inverse_response_s > 0.0 => {
                if self.derivative > 0.0 {
                    f64::INFINITY
                } else {
                    gain_per_s * self.proportional * inverse_response_s
                }
            }
            PlantKind::Integrating { gain_per_s, .. } => gain_per_s * self.derivative,
            PlantKind::SelfRegulating {
                gain_ratio,
                time_constant_s,
            } => gain_ratio * self.derivative / time_constant_s,
        }
    }

    /// |L| starts above 1 and ends below: finding no crossover means that the arithmetic overflowed.
    pub(super) fn must_cross(self, high_frequency_ratio: f64) -> bool {
        let starts_above = match self.plant.kind {
            PlantKind::Integrating { .. } => true,
            PlantKind::SelfRegulating { gain_ratio, .. } => {
                self.integral > 0.0 || gain_ratio * self.proportional > 1.0
            }
        };
        starts_above && high_frequency_ratio < 1.0
    }

    pub(super) fn magnitude(self, w_rad_s: f64) -> f64 {
        let controller = self
            .proportional
            .hypot(self.derivative * w_rad_s - self.integral / w_rad_s);
        let plant = match self.plant.kind {
            PlantKind::Integrating {
                gain_per_s,
                inverse_response_s,
            } => gain_per_s * 1.0_f64.hypot(inverse_response_s * w_rad_s) / w_rad_s,
            PlantKind::SelfRegulating {
                gain_ratio,
                time_constant_s,
            } => gain_ratio / 1.0_f64.hypot(time_constant_s * w_rad_s),
        };
        controller * plant
    }

    /// Continuous phase of L, not wrapped.
    pub(super) fn phase_rad(self, w_rad_s: f64) -> f64 {
        let controller =
            (self.derivative * w_rad_s - self.integral / w_rad_s).atan2(self.proportional);
        let plant = match self.plant.kind {
            PlantKind::Integrating {
                inverse_response_s, ..
            } => -FRAC_PI_2 - (inverse_response_s * w_rad_s).atan(),
            PlantKind::SelfRegulating {
                time_constant_s, ..
            } => -(time_constant_s * w_rad_s).atan(),
        };
        controller + plant - w_rad_s * self.plant.dead_time_s
    }

    /// Roots of |L|² = 1, a·x² + b·x + c = 0 in x = ω²; two only where |L| tends to 1 or more.
    pub(super) fn gain_crossovers_rad_s(self) -> [Option<f64>; 2] {
        let Self {
            proportional,
            integral,
            derivative,
            ..
        } = self;
        let (a, b, c) = match self.plant.kind {
            PlantKind::Integrating {
                gain_per_s,
                inverse_response_s,
            } => {
                // Only one of derivative and inverse response is above zero here: both are unstable.
                let gain = gain_per_s * gain_per_s;
                let tau = inverse_response_s * inverse_response_s;
                (
                    gain * (derivative * derivative + tau * proportional * proportional) - 1.0,
                    gain * (proportional * proportional - 2.0 * derivative * integral
                        + tau * integral * integral),
                    gain * integral * integral,
                )
            }
            PlantKind::SelfRegulating {
                gain_ratio,
                time_constant_s,
            } => {
                let gain = gain_ratio * gain_ratio;
                (
                    gain * derivative * derivative - time_constant_s * time_constant_s,
                    gain * (proportional * proportional - 2.0 * derivative * integral) - 1.0,
                    gain * integral * integral,
                )
            }
        };
        let discriminant = b * b - 4.0 * a * c;
        if discriminant < 0.0 {
            return [None, None];
        }
        // The two quotients that do not cancel.
        let q = -0.5 * (b + discriminant.sqrt().copysign(b));
        let roots = if integral > 0.0 {
            [q / a, c / q]
        } else {
            [-b / a, 0.0]
        };
        // NaN passes on purpose, for the caller to refuse; infinity is the root that a = 0 lost.
        roots.map(|x| ((x > 0.0 && x.is_finite()) || x.is_nan()).then(|| x.sqrt()))
    }

    /// |S| and |T|.
    pub(super) fn closed_loop(self, w_rad_s: f64) -> (f64, f64) {
        self.closed_loop_at_phase(w_rad_s, self.phase_rad(w_rad_s))
    }

    /// [`OpenLoop::closed_loop`] where the phase is known already.
    pub(super) fn closed_loop_at_phase(self, w_rad_s: f64, phase_rad: f64) -> (f64, f64) {
        let magnitude = self.magnitude(w_rad_s);
        // |1 + L|² = (1 − |L|)² + 4·|L|·cos²(φ/2), without cancellation near −1
        let cosine = (0.5 * phase_rad).cos();
        let sensitivity = 1.0 / (1.0 - magnitude).hypot(2.0 * magnitude.sqrt() * cosine);
        (sensitivity, magnitude * sensitivity)
    }

    /// The larger of |S| and of |T| at ω → 0 and ω → ∞.
    pub(super) fn limits(self, r: f64) -> (f64, f64) {
        let high = if self.phase_turns_at_high_frequency() {
            1.0 / (1.0 - r)
        } else {
            1.0 / (1.0 + r)
        };
        let steady = match self.plant.kind {
            PlantKind::SelfRegulating { gain_ratio, .. } if self.integral <= 0.0 => {
                let steady_ratio = gain_ratio * self.proportional;
                (
                    1.0 / (1.0 + steady_ratio),
                    steady_ratio / (1.0 + steady_ratio),
                )
            }
            _ => (0.0, 1.0),
        };
        (steady.0.max(high), steady.1.max(r * high))
    }

    pub(super) fn search_range_rad_s(self, crossover_rad_s: Option<f64>) -> (f64, f64) {
        let dead_time_s = self.plant.dead_time_s;
        let corner = match self.plant.kind {
            PlantKind::Integrating {
                inverse_response_s, ..
            } => 1.0 / inverse_response_s,
            PlantKind::SelfRegulating {
                time_constant_s, ..
            } => 1.0 / time_constant_s,
        };
        let candidates = [
            crossover_rad_s.unwrap_or(f64::NAN),
            1.0 / dead_time_s,
            corner,
            self.integral / self.proportional,
            self.proportional / self.derivative,
            (self.integral / self.derivative).sqrt(),
        ];
        let usable = || {
            candidates
                .into_iter()
                .filter(|w_rad_s| *w_rad_s > 0.0 && w_rad_s.is_finite())
        };
        let low = 1e-3 * usable().fold(f64::INFINITY, f64::min);
        let high = if dead_time_s > 0.0 {
            LAST_DELAY_ANGLE_RAD / dead_time_s
        } else {
            1e4 * usable().fold(0.0, f64::max)
        };
        (low, high)
    }

    /// Where the phase passes an odd multiple of −180°.
    pub(super) fn phase_crossovers_rad_s(self, grid: &[f64], phases_rad: &[f64]) -> Vec<f64> {
        let turn_of = |phase_rad: f64| ((phase_rad + PI) / TAU).floor();
        let mut found = Vec::new();
        for (pair, phases) in grid.windows(2).zip(phases_rad.windows(2)) {
            let (mut low, mut high) = (pair[0], pair[1]);
            let (low_turn, high_turn) = (turn_of(phases[0]), turn_of(phases[1]));
            let upper_turn = low_turn.max(high_turn);
            let is_above = |w_rad_s: f64| turn_of(self.phase_rad(w_rad_s)) >= upper_turn;
            let starts_above = low_turn >= upper_turn;
            if starts_above == (high_turn >= upper_turn) {
                continue;
            }
            while high - low > 1e-15 * high {
                let middle = 0.5 * (low + high);
                if middle <= low || middle >= high {
                    break;
                }
                if is_above(middle) == starts_above {
                    low = middle
                } else {
                    high = middle
                }
            }
            found.push(0.5 * (low + high));
        }
        found
    }
}
