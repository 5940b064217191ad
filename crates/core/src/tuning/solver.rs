//! The level after a unit step of load, step by step: the method of steps with dead time, closed solutions without.
//!
//! Equations and sources are in [`super::response`].

use std::collections::VecDeque;

use super::ideal::SecondOrder;
use super::process::IntegratingProcess;
use crate::controller::forms::PidSettings;

/// Deviation at the start, middle and end of a step, output and slope at its end; unit load.
#[derive(Clone, Copy)]
pub(super) struct StepResult {
    pub(super) deviation: [f64; 3],
    pub(super) output: f64,
}

/// Steps the deviation for a unit load.
pub(super) struct Solver {
    gain_per_s: f64,
    proportional: f64,
    integral_per_s: f64,
    derivative_s: f64,
    step_s: f64,
    state: SolverState,
}

enum SolverState {
    /// Outputs at start, middle and end of each step within the last dead time; deviation; ∫ deviation.
    Delayed {
        past: VecDeque<[f64; 3]>,
        deviation: f64,
        area_s: f64,
    },
    /// Closed solution with integral action.
    SecondOrder(SecondOrder),
    /// Closed solution without: offset·(1 − e^(−rate·t)).
    FirstOrder { rate_per_s: f64 },
}

impl Solver {
    pub(super) fn new(
        process: IntegratingProcess,
        settings: PidSettings,
        step_s: f64,
        steps_per_dead_time: usize,
    ) -> Self {
        let gains = settings.to_parallel();
        let gain_per_s = process.gain_per_s();
        let lead = 1.0 + gain_per_s * gains.derivative_s();
        let state = if process.dead_time_s() > 0.0 {
            SolverState::Delayed {
                past: VecDeque::from(vec![[0.0; 3]; steps_per_dead_time]),
                deviation: 0.0,
                area_s: 0.0,
            }
        } else if gains.integral_per_s() > 0.0 {
            let natural_rad_s = (gain_per_s * gains.integral_per_s() / lead).sqrt();
            SolverState::SecondOrder(SecondOrder {
                start_slope_per_s: gain_per_s / lead,
                natural_rad_s,
                damping_ratio: 0.5 * gain_per_s * gains.proportional_ratio() / lead / natural_rad_s,
            })
        } else {
            SolverState::FirstOrder {
                rate_per_s: gain_per_s * gains.proportional_ratio() / lead,
            }
        };
        Self {
            gain_per_s,
            proportional: gains.proportional_ratio(),
            integral_per_s: gains.integral_per_s(),
            derivative_s: gains.derivative_s(),
            step_s,
            state,
        }
    }

    /// Output at the first instant, which only derivative action can move at once.
    pub(super) fn first_output(&self) -> f64 {
        let derivative = self.gain_per_s * self.derivative_s;
        match self.state {
            SolverState::Delayed { .. } => derivative,
            // Without dead time it slows the very slope that it answers.
            SolverState::SecondOrder(_) | SolverState::FirstOrder { .. } => {
                derivative / (1.0 + derivative)
            }
        }
    }

    pub(super) fn advance(&mut self, index: usize) -> StepResult {
        let step_s = self.step_s;
        let (gain_per_s, proportional, integral_per_s, derivative_s) = (
            self.gain_per_s,
            self.proportional,
            self.integral_per_s,
            self.derivative_s,
        );
        match &mut self.state {
            SolverState::Delayed {
                past,
                deviation,
                area_s,
            } => {
                let delayed = past.pop_front().unwrap_or_default();
                let slope = delayed.map(|output| gain_per_s * (1.0 - output));
                let start = *deviation;
                // Integrals of the parabola through three values: to the middle, to the end.
                let half = |v: [f64; 3]| step_s * (5.0 * v[0] + 8.0 * v[1] - v[2]) / 24.0;
                let whole = |v: [f64; 3]| step_s * (v[0] + 4.0 * v[1] + v[2]) / 6.0;
                let y = [start, start + half(slope), start + whole(slope)];
                let area = [*area_s, *area_s + half(y), *area_s + whole(y)];
                let output: [f64; 3] = std::array::from_fn(|i| {
                    proportional * y[i] + integral_per_s * area[i] + derivative_s * slope[i]
                });
                past.push_back(output);
                (*deviation, *area_s) = (y[2], area[2]);
                StepResult {
                    deviation: y,
                    output: output[2],
                }
            }
            SolverState::SecondOrder(motion) => {
                let start_s = index as f64 * step_s;
                let at =
                    [0.0, 0.5, 1.0].map(|part| motion.value_and_slope(start_s + part * step_s));
                StepResult {
                    deviation: at.map(|(y, _)| y),
                    output: 1.0 - at[2].1 / gain_per_s,
                }
            }
            SolverState::FirstOrder { rate_per_s } => {
                let start_s = index as f64 * step_s;
                let rest = [0.0, 0.5, 1.0].map(|part| -(*rate_per_s) * (start_s + part * step_s));
                let slope_per_s = *rate_per_s / proportional * rest[2].exp();
                StepResult {
                    deviation: rest.map(|exponent| -exponent.exp_m1() / proportional),
                    output: 1.0 - slope_per_s / gain_per_s,
                }
            }
        }
    }
}
