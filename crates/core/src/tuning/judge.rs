//! One set of controller settings judged on this vessel: margins, damping, period, and what the largest load change does.
//! Every figure is the worst over the duty points, and a FORECAST until a bump test confirms it.

use crate::controller::forms::PidSettings;
use crate::tuning::margins::{MarginError, Robustness, robustness};
use crate::tuning::poles::{ClosedLoopPoles, PoleError, closed_loop_poles};
use crate::tuning::process::{IntegratingProcess, RuleError};
use crate::tuning::response::{
    LoadResponse, LoadStep, ResponseError, first_summit, ideal_damping_ratio, load_step_response,
    stable_load_step_response,
};
use crate::tuning::sheets::{DutyGain, Judged};

/// Band around the final level in which a response counts as settled, fraction of the peak.
const SETTLED_BAND_RATIO: f64 = 0.05;

/// Why settings cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JudgeError {
    /// The process is no process.
    #[error(transparent)]
    Process(#[from] RuleError),
    /// Margins failed.
    #[error(transparent)]
    Margins(#[from] MarginError),
    /// Response failed.
    #[error(transparent)]
    Response(#[from] ResponseError),
    /// No duty points.
    #[error("there is no duty point to judge the settings at")]
    NoDuty,
}

/// What settings are judged against.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench<'a> {
    /// Process gains for the range that these settings work with.
    pub duties: &'a [DutyGain],
    /// Dead time, s.
    pub dead_time_s: f64,
    /// Largest load change, fraction of full-valve flow.
    pub load_ratio: f64,
    /// Height of the level span, m.
    pub span_m: f64,
    /// Allowed deviation of the true level, m.
    pub allowed_deviation_m: f64,
    /// Largest Ms accepted.
    pub max_sensitivity_limit: f64,
}

impl Bench<'_> {
    /// True metres for one unit of indicated fraction at a duty.
    fn true_m_per_indicated_ratio(&self, duty: &DutyGain) -> f64 {
        self.span_m * duty.process_gain_per_s / duty.indicated_gain_per_s
    }

    fn process(&self, duty: &DutyGain) -> Result<IntegratingProcess, RuleError> {
        IntegratingProcess::new(duty.indicated_gain_per_s, self.dead_time_s)
    }

    /// Ms, worst duty; infinite where unstable.
    ///
    /// # Errors
    /// [`JudgeError`].
    pub fn max_sensitivity_ratio(&self, settings: PidSettings) -> Result<f64, JudgeError> {
        let mut worst = 0.0_f64;
        for duty in self.duties {
            let margins = robustness(self.process(duty)?.into(), settings)?.margins();
            worst =
                worst.max(margins.map_or(f64::INFINITY, |margins| margins.max_sensitivity_ratio));
        }
        Ok(worst)
    }

    /// Does the true level stay within the allowed deviation after the largest load change, at every duty. The first duty
    /// that misses decides.
    ///
    /// # Errors
    /// [`JudgeError`].
    pub fn holds_deviation(&self, settings: PidSettings) -> Result<bool, JudgeError> {
        for duty in self.duties {
            let process = self.process(duty)?;
            let peak_ratio = match robustness(process.into(), settings)? {
                Robustness::Unstable(_) => f64::INFINITY,
                Robustness::Stable(_) => self
                    .response(duty, settings, &closed_loop_poles(process, settings))?
                    .peak_deviation_ratio
                    .abs(),
            };
            let peak_m = peak_ratio * self.true_m_per_indicated_ratio(duty);
            if !(peak_m <= self.allowed_deviation_m) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// [`Bench::holds_deviation`] by the first summit of settings that are robust, hence stable: for a search whose end is
    /// then checked by the whole response.
    ///
    /// # Errors
    /// [`JudgeError`].
    pub(super) fn first_summit_holds(&self, settings: PidSettings) -> Result<bool, JudgeError> {
        for duty in self.duties {
            let summit = first_summit(self.process(duty)?, settings, self.load_ratio_at(duty));
            let Some(peak_ratio) = summit else {
                return self.holds_deviation(settings);
            };
            if !(peak_ratio * self.true_m_per_indicated_ratio(duty) <= self.allowed_deviation_m) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// A load increase lowers the level. A load is a flow: the valve must move load/gain, and k' holds the gain already.
    fn load_ratio_at(&self, duty: &DutyGain) -> f64 {
        -self.load_ratio / duty.installed_gain_ratio
    }

    /// Response to the largest load change of a loop that is stable.
    fn response(
        &self,
        duty: &DutyGain,
        settings: PidSettings,
        poles: &Result<ClosedLoopPoles, PoleError>,
    ) -> Result<LoadResponse, JudgeError> {
        let step = LoadStep {
            load_ratio: self.load_ratio_at(duty),
            settle_band_ratio: SETTLED_BAND_RATIO,
        };
        match stable_load_step_response(self.process(duty)?, settings, step, poles) {
            // So slow against its dead time that the dead time changes nothing that could be read: the ideal integrator.
            Err(ResponseError::TooManySteps { .. }) => {
                let ideal = IntegratingProcess::new(duty.indicated_gain_per_s, 0.0)?;
                Ok(load_step_response(ideal, settings, step)?)
            }
            response => Ok(response?),
        }
    }
}

/// Judges settings at every duty point.
///
/// # Errors
/// [`JudgeError`].
pub fn judge(name: &str, settings: PidSettings, bench: &Bench<'_>) -> Result<Judged, JudgeError> {
    let gains = settings.to_parallel();
    let gain_ratio = gains.proportional_ratio();
    let reset_s = (gains.integral_per_s() > 0.0).then(|| gain_ratio / gains.integral_per_s());
    let derivative_s = if gain_ratio > 0.0 {
        gains.derivative_s() / gain_ratio
    } else {
        0.0
    };
    let mut judged = Judged {
        name: name.into(),
        gain_ratio,
        reset_s,
        derivative_s,
        stable: true,
        max_sensitivity_ratio: 0.0,
        gain_margin_ratio: f64::INFINITY,
        phase_margin_deg: f64::INFINITY,
        delay_margin_s: f64::INFINITY,
        damping_ratio: f64::INFINITY,
        period_s: None,
        peak_true_deviation_m: 0.0,
        time_of_peak_s: 0.0,
        response: Vec::new(),
        holds_deviation: false,
        robust: false,
    };
    if bench.duties.is_empty() {
        return Err(JudgeError::NoDuty);
    }
    for duty in bench.duties {
        if let Some(reset_s) = reset_s {
            let damping = ideal_damping_ratio(duty.indicated_gain_per_s, gain_ratio, reset_s);
            judged.damping_ratio = judged.damping_ratio.min(damping);
        }
        let process = bench.process(duty)?;
        let mut is_stable_here = false;
        match robustness(process.into(), settings)? {
            Robustness::Unstable(_) => {
                judged.stable = false;
                judged.max_sensitivity_ratio = f64::INFINITY;
                judged.gain_margin_ratio = judged.gain_margin_ratio.min(1.0);
                judged.phase_margin_deg = judged.phase_margin_deg.min(0.0);
                judged.delay_margin_s = 0.0;
            }
            Robustness::Stable(margins) => {
                is_stable_here = true;
                judged.max_sensitivity_ratio = judged
                    .max_sensitivity_ratio
                    .max(margins.max_sensitivity_ratio);
                judged.gain_margin_ratio = judged.gain_margin_ratio.min(margins.gain_margin_ratio);
                judged.phase_margin_deg = judged.phase_margin_deg.min(margins.phase_margin_deg);
                judged.delay_margin_s = judged.delay_margin_s.min(margins.delay_margin_s);
            }
        }
        // Where the poles cannot be told with certainty no period is stated; margins and response stand on their own.
        let poles = closed_loop_poles(process, settings);
        let period_s = poles
            .as_ref()
            .ok()
            .and_then(|poles| poles.slowest_oscillation)
            .and_then(|pole| pole.period_s());
        judged.period_s = match (judged.period_s, period_s) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        if is_stable_here {
            let response = bench.response(duty, settings, &poles)?;
            let scale = bench.true_m_per_indicated_ratio(duty);
            let peak_m = response.peak_deviation_ratio.abs() * scale;
            if peak_m > judged.peak_true_deviation_m {
                judged.peak_true_deviation_m = peak_m;
                judged.time_of_peak_s = response.peak_time_s;
                judged.response = response
                    .curve
                    .iter()
                    .map(|point| (point.time_s, point.deviation_ratio * scale))
                    .collect();
            }
        }
    }
    if !judged.stable {
        judged.peak_true_deviation_m = f64::INFINITY;
        judged.time_of_peak_s = f64::INFINITY;
        judged.response.clear();
    }
    judged.holds_deviation =
        judged.peak_true_deviation_m <= bench.allowed_deviation_m * (1.0 + 1e-9);
    judged.robust = judged.max_sensitivity_ratio <= bench.max_sensitivity_limit;
    Ok(judged)
}
