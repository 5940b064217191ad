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

pub use super::ideal::{Peak, ideal_damping_ratio, ideal_natural_frequency_rad_s, ideal_peak};
use super::margins::{Instability, MarginError, Robustness, robustness};
use super::poles::{ClosedLoopPoles, PoleError, closed_loop_poles};
use super::process::IntegratingProcess;
use super::solver::{Solver, StepResult};
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
    stable_load_step_response(
        process,
        settings,
        step,
        &closed_loop_poles(process, settings),
    )
}

/// Largest deviation after a load step of a loop that is known to be stable, fraction of span, positive; found at the first
/// summit, without following the loop until it has settled.
///
/// A later summit is lower in every loop whose damping is positive; what comes of it is checked by the caller against the
/// whole response. `None` where the level does not turn within a million steps.
pub(super) fn first_summit(
    process: IntegratingProcess,
    settings: PidSettings,
    load_ratio: f64,
) -> Option<f64> {
    let gains = settings.to_parallel();
    if !(process.dead_time_s() > 0.0 && gains.integral_per_s() > 0.0) {
        return None;
    }
    let (step_s, steps_per_dead_time) = delayed_step(process, settings);
    let mut solver = Solver::new(process, settings, step_s, steps_per_dead_time as usize);
    let mut peak = Peak {
        deviation_ratio: 0.0,
        time_s: 0.0,
    };
    for i in 0..MOST_STEPS as usize {
        let values = solver.advance(i).deviation;
        if values[0].max(values[1]).max(values[2]) >= peak.deviation_ratio {
            peak = summit(i as f64 * step_s, step_s, values, peak);
        } else if values[2] < 0.5 * peak.deviation_ratio {
            return Some(load_ratio.abs() * peak.deviation_ratio);
        }
    }
    None
}

/// A fortieth of the shortest time in which the loop does anything, s.
fn wanted_step_s(process: IntegratingProcess, settings: PidSettings) -> f64 {
    let (gains, k) = (settings.to_parallel(), process.gain_per_s());
    let fastest_per_s = k * gains.proportional_ratio() + (k * gains.integral_per_s()).sqrt();
    1.0 / (40.0 * fastest_per_s)
}

/// Step of a loop with dead time, s, and how many make a dead time.
fn delayed_step(process: IntegratingProcess, settings: PidSettings) -> (f64, f64) {
    let steps = (process.dead_time_s() / wanted_step_s(process, settings))
        .ceil()
        .clamp(1.0, 400.0);
    (process.dead_time_s() / steps, steps)
}

/// [`load_step_response`] of a loop that is known to be stable and whose poles are known.
pub(super) fn stable_load_step_response(
    process: IntegratingProcess,
    settings: PidSettings,
    step: LoadStep,
    poles: &Result<ClosedLoopPoles, PoleError>,
) -> Result<LoadResponse, ResponseError> {
    let gains = settings.to_parallel();
    let decay_per_s = match *poles {
        Ok(poles) => -poles.dominant.real_per_s,
        // The fast chain is the slowest part; its roots lie near its limit, half of it is safe.
        Err(PoleError::NoneDominates {
            chain_decay_per_s, ..
        }) => 0.5 * chain_decay_per_s,
        Err(error) => return Err(error.into()),
    };
    let horizon_s = SIMULATED_DECAYS / decay_per_s;
    let (step_s, steps_per_dead_time) = if process.dead_time_s() > 0.0 {
        delayed_step(process, settings)
    } else {
        (
            wanted_step_s(process, settings).max(horizon_s / MOST_STEPS),
            1.0,
        )
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
