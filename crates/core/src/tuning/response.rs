//! Level after a step of load, closed loop, with the dead time exact.
//!
//! ```text
//! dy/dt = k'·(D − u(t − θ)),   u = Kp·y + Ki·∫y dt + Kd·dy/dt
//! ```
//!
//! y is the deviation of level as a fraction of span, D the load step as a fraction of the full output,
//! u the part of the output that opposes it. The load acts at once; only the controller's path has the
//! dead time (valve, filter, sampling, swell). With dead time the equation is solved by the method of
//! steps: each dead time is a whole number of steps, so the right side is known before the step, and the
//! jumps that derivative action makes fall on step ends. Without dead time the solution is closed.
//!
//! **Source:** Bellman & Cooke, *Differential-Difference Equations* (1963), method of steps; Simpson's rule.

use std::collections::VecDeque;

use super::ideal::SecondOrder;
pub use super::ideal::{Peak, ideal_damping_ratio, ideal_natural_frequency_rad_s, ideal_peak};
use super::margins::{Instability, MarginError, Robustness, robustness};
use super::poles::{PoleError, closed_loop_poles};
use super::process::IntegratingProcess;
use crate::controller::forms::PidSettings;

/// Decay times of the dominant pole that are simulated: e^(−16) = 1e-7 of the start is left.
const SIMULATED_DECAYS: f64 = 16.0;
/// Decay times that the curve shows.
const SHOWN_DECAYS: f64 = 5.0;
const CURVE_POINTS: f64 = 400.0;
/// Steps that a loop may take; beyond them its dead time is too short against its swing to matter.
const MOST_STEPS: f64 = 1e6;

/// A step of load and the band that counts as settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadStep {
    /// D, change of load as a fraction of the full output; positive raises the level.
    pub load_ratio: f64,
    /// Half width of the settled band as a fraction of the peak, or of the offset that stays; for
    /// instance 0.05.
    pub settle_band_ratio: f64,
}

/// One point of the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Time after the step, s.
    pub time_s: f64,
    /// Deviation of true level, fraction of span; positive is high.
    pub deviation_ratio: f64,
    /// What the controller opposes the load with, fraction of full output.
    pub output_ratio: f64,
}

/// The loop's answer to a load step.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadResponse {
    /// Largest deviation, fraction of span, with the sign of the load.
    pub peak_deviation_ratio: f64,
    /// When it is reached, s; infinite when the level only creeps up to its final offset.
    pub peak_time_s: f64,
    /// Where the level stays in the end, fraction of span; zero with integral action.
    pub final_deviation_ratio: f64,
    /// ∫|y| dt, s (fraction of span times seconds); `None` when an offset stays and it has no limit.
    pub integral_absolute_error_s: Option<f64>,
    /// From when on the level stays within the band around its final value, s.
    pub settle_time_s: f64,
    /// Largest output against the load, fraction of full output; above the load is overshoot.
    pub peak_output_ratio: f64,
    /// The curve, evenly spaced from the step on.
    pub curve: Vec<CurvePoint>,
}

/// Why there is no response.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ResponseError {
    /// The load step is zero or no number.
    #[error("load step must be a number other than zero, got {value} of full output")]
    Load {
        /// The refused step.
        value: f64,
    },
    /// The band is outside 0.0001 to 1.
    #[error("settled band must be 0.0001 to 1 of the peak or offset, got {value}")]
    Band {
        /// The refused band.
        value: f64,
    },
    /// The loop is unstable: it has no peak and never settles.
    #[error("no response: {0}")]
    Unstable(Instability),
    /// Dead time far shorter than the time the loop needs to settle.
    #[error(
        "settling takes {settle_s:.3e} s, too long to follow in steps of {step_s:.3e} s; the dead time is too short to matter: leave it out"
    )]
    TooManySteps {
        /// Time to be simulated, s.
        settle_s: f64,
        /// Step, s.
        step_s: f64,
    },
    /// Margins could not be computed.
    #[error(transparent)]
    Margins(#[from] MarginError),
    /// The time scale could not be found.
    #[error(transparent)]
    Poles(#[from] PoleError),
}

/// Response to a load step, dead time exact.
///
/// # Errors
/// [`ResponseError::Unstable`] for an unstable loop, others for bad input or extreme time scales.
pub fn load_step_response(
    process: IntegratingProcess,
    settings: PidSettings,
    step: LoadStep,
) -> Result<LoadResponse, ResponseError> {
    if step.load_ratio == 0.0 || !step.load_ratio.is_finite() {
        return Err(ResponseError::Load {
            value: step.load_ratio,
        });
    }
    if !(1e-4..=1.0).contains(&step.settle_band_ratio) {
        return Err(ResponseError::Band {
            value: step.settle_band_ratio,
        });
    }
    if let Robustness::Unstable(why) = robustness(process.into(), settings)? {
        return Err(ResponseError::Unstable(why));
    }
    let gains = settings.to_parallel();
    let k = process.gain_per_s();
    let decay_per_s = match closed_loop_poles(process, settings) {
        Ok(poles) => -poles.dominant.real_per_s,
        // The fast chain is the slowest part; its roots lie near its limit, half of it is safe.
        Err(PoleError::NoneDominates {
            chain_decay_per_s, ..
        }) => 0.5 * chain_decay_per_s,
        Err(error) => return Err(error.into()),
    };
    let horizon_s = SIMULATED_DECAYS / decay_per_s;
    let fastest_per_s = k * gains.proportional_ratio() + (k * gains.integral_per_s()).sqrt();
    let wanted_step_s = 1.0 / (60.0 * fastest_per_s);
    let steps_per_dead_time = (process.dead_time_s() / wanted_step_s)
        .ceil()
        .clamp(1.0, 400.0);
    let step_s = if process.dead_time_s() > 0.0 {
        process.dead_time_s() / steps_per_dead_time
    } else {
        wanted_step_s.max(horizon_s / MOST_STEPS)
    };
    let steps = (horizon_s / step_s).ceil();
    if steps > MOST_STEPS || steps.is_nan() {
        return Err(ResponseError::TooManySteps {
            settle_s: horizon_s,
            step_s,
        });
    }
    let has_integral = gains.integral_per_s() > 0.0;
    let final_ratio = if has_integral {
        0.0
    } else {
        1.0 / gains.proportional_ratio()
    };
    let shown_steps = (SHOWN_DECAYS / decay_per_s / step_s).max(1.0);
    let stride = (shown_steps / CURVE_POINTS).ceil().max(1.0) as usize;
    let mut solver = Solver::new(process, settings, step_s, steps_per_dead_time as usize);
    let first = CurvePoint {
        time_s: 0.0,
        deviation_ratio: 0.0,
        output_ratio: solver.first_output(),
    };
    let mut record = Record::new(
        step_s,
        final_ratio,
        step.settle_band_ratio,
        stride,
        shown_steps as usize,
        first,
    );
    for i in 0..steps as usize {
        record.take(i, solver.advance(i));
    }
    Ok(record.finish(step, has_integral))
}

/// Deviation at the start, middle and end of a step, output and slope at its end; unit load.
#[derive(Clone, Copy)]
struct StepResult {
    deviation: [f64; 3],
    output: f64,
}

/// Steps the deviation for a unit load.
struct Solver {
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
    fn new(
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
    fn first_output(&self) -> f64 {
        let derivative = self.gain_per_s * self.derivative_s;
        match self.state {
            SolverState::Delayed { .. } => derivative,
            // Without dead time it slows the very slope that it answers.
            SolverState::SecondOrder(_) | SolverState::FirstOrder { .. } => {
                derivative / (1.0 + derivative)
            }
        }
    }

    fn advance(&mut self, index: usize) -> StepResult {
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

/// What is kept while stepping, for a unit load.
struct Record {
    step_s: f64,
    final_ratio: f64,
    stride: usize,
    shown_steps: usize,
    peak: Peak,
    area_s: f64,
    peak_output: f64,
    band_ratio: f64,
    settle_time_s: f64,
    curve: Vec<CurvePoint>,
}

impl Record {
    fn new(
        step_s: f64,
        final_ratio: f64,
        band_ratio: f64,
        stride: usize,
        shown_steps: usize,
        first: CurvePoint,
    ) -> Self {
        let none = Peak {
            deviation_ratio: 0.0,
            time_s: 0.0,
        };
        Self {
            step_s,
            final_ratio,
            stride,
            shown_steps,
            peak: none,
            area_s: 0.0,
            peak_output: first.output_ratio,
            band_ratio,
            settle_time_s: 0.0,
            curve: vec![first],
        }
    }

    fn band_reference(&self) -> f64 {
        if self.final_ratio > 0.0 {
            self.final_ratio
        } else {
            self.peak.deviation_ratio
        }
    }

    fn take(&mut self, index: usize, result: StepResult) {
        let [start, middle, end] = result.deviation;
        let start_s = index as f64 * self.step_s;
        self.area_s += self.step_s * (start.abs() + 4.0 * middle.abs() + end.abs()) / 6.0;
        self.peak_output = self.peak_output.max(result.output);
        if start.max(middle).max(end) >= self.peak.deviation_ratio {
            self.peak = summit(start_s, self.step_s, result.deviation, self.peak);
        }
        let time_s = start_s + self.step_s;
        // The peak so far serves: from the final peak on it is the final one.
        if (end - self.final_ratio).abs() > self.band_ratio * self.band_reference() {
            self.settle_time_s = time_s;
        }
        if (index + 1).is_multiple_of(self.stride) && index < self.shown_steps + self.stride {
            self.curve.push(CurvePoint {
                time_s,
                deviation_ratio: end,
                output_ratio: result.output,
            });
        }
    }

    fn finish(self, step: LoadStep, has_integral: bool) -> LoadResponse {
        let load = step.load_ratio;
        // Creeping up to the offset: the last rounding noise is no peak.
        let creeps = !has_integral && self.peak.deviation_ratio <= self.final_ratio * (1.0 + 1e-6);
        let peak = if creeps {
            Peak {
                deviation_ratio: self.final_ratio,
                time_s: f64::INFINITY,
            }
        } else {
            self.peak
        };
        LoadResponse {
            peak_deviation_ratio: load * peak.deviation_ratio,
            peak_time_s: peak.time_s,
            final_deviation_ratio: load * self.final_ratio,
            integral_absolute_error_s: has_integral.then(|| load.abs() * self.area_s),
            settle_time_s: self.settle_time_s,
            peak_output_ratio: load * self.peak_output,
            curve: self
                .curve
                .into_iter()
                .map(|point| CurvePoint {
                    time_s: point.time_s,
                    deviation_ratio: load * point.deviation_ratio,
                    output_ratio: load * point.output_ratio,
                })
                .collect(),
        }
    }
}

/// Summit of the parabola through three values of a step, or the larger end, if above the known one.
fn summit(start_s: f64, step_s: f64, values: [f64; 3], known: Peak) -> Peak {
    let [start, middle, end] = values;
    let mut best = known;
    for (value, part) in [(middle, 0.5), (end, 1.0)] {
        if value > best.deviation_ratio {
            best = Peak {
                deviation_ratio: value,
                time_s: start_s + part * step_s,
            };
        }
    }
    let curvature = start - 2.0 * middle + end;
    let slope = end - start;
    let part = 0.5 - 0.25 * slope / curvature;
    if curvature < 0.0 && (0.0..=1.0).contains(&part) {
        let value = middle - 0.125 * slope * slope / curvature;
        if value >= best.deviation_ratio {
            best = Peak {
                deviation_ratio: value,
                time_s: start_s + part * step_s,
            };
        }
    }
    best
}

#[cfg(test)]
#[path = "response_tests.rs"]
mod tests;
