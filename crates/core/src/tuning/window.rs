//! The window of settings: from the fastest that stays robust to the slowest that holds the allowed deviation.
//!
//! One family of PI settings is searched, with the closed-loop time τc as its only freedom:
//! Kc = 1/(k'(τc + θ)), Ti = 4(τc + θ) (SIMC), so that Kc·k'·Ti = 4 and the ideal loop never swings. Ms falls and the peak
//! after a load change grows with τc, so both ends of the window are roots.
//!
//! **Source:** Skogestad, J. Process Control 13 (2003) 291-309.

use crate::controller::forms::PidSettings;
use crate::tuning::judge::{Bench, JudgeError};
use crate::tuning::process::{IntegratingProcess, RuleError};
use crate::tuning::rules::simc_pi;

/// Longest reset considered, s: three hours; slower than any load change a boiler house plans for.
pub const LONGEST_RESET_S: f64 = 10_800.0;

/// The two ends, as closed-loop times, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Fastest that stays robust.
    pub fastest_s: f64,
    /// Slowest that holds the deviation; `None` when not even the fastest does.
    pub slowest_s: Option<f64>,
    /// True when the slowest is only the longest reset considered.
    pub slowest_is_cap: bool,
}

/// Settings of the family for a closed-loop time, made for the duty with the largest gain.
///
/// # Errors
/// [`RuleError`].
pub fn settings_at(closed_loop_time_s: f64, bench: &Bench<'_>) -> Result<PidSettings, RuleError> {
    let gain = bench.duties.iter().map(|duty| duty.indicated_gain_per_s).fold(0.0, f64::max);
    simc_pi(IntegratingProcess::new(gain, bench.dead_time_s)?, closed_loop_time_s)
}

/// Finds both ends.
///
/// # Errors
/// [`JudgeError`].
pub fn window(bench: &Bench<'_>) -> Result<Window, JudgeError> {
    let robust = |time_s: f64| -> Result<bool, JudgeError> {
        Ok(bench.max_sensitivity_ratio(settings_at(time_s, bench)?)? <= bench.max_sensitivity_limit)
    };
    let holds = |time_s: f64| -> Result<bool, JudgeError> {
        Ok(bench.peak_m(settings_at(time_s, bench)?)? <= bench.allowed_deviation_m)
    };
    let cap_s = (LONGEST_RESET_S / 4.0 - bench.dead_time_s).max(2.0 * bench.dead_time_s);
    let start_s = bench.dead_time_s;
    let fastest_s = if robust(start_s)? { start_s } else { last_true(cap_s, start_s, robust)? };
    if !holds(fastest_s)? {
        return Ok(Window { fastest_s, slowest_s: None, slowest_is_cap: false });
    }
    if holds(cap_s)? {
        return Ok(Window { fastest_s, slowest_s: Some(cap_s), slowest_is_cap: true });
    }
    Ok(Window { fastest_s, slowest_s: Some(last_true(fastest_s, cap_s, holds)?), slowest_is_cap: false })
}

/// Bisection in the logarithm: `yes` holds, `no` does not; the last time on the `yes` side, to 0.1 %.
fn last_true(
    mut yes: f64,
    mut no: f64,
    holds: impl Fn(f64) -> Result<bool, JudgeError>,
) -> Result<f64, JudgeError> {
    while (yes / no).ln().abs() > 1e-3 {
        let middle = (yes * no).sqrt();
        if holds(middle)? {
            yes = middle;
        } else {
            no = middle;
        }
    }
    Ok(yes)
}
