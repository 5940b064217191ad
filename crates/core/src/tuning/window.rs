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
    let gain = bench
        .duties
        .iter()
        .map(|duty| duty.indicated_gain_per_s)
        .fold(0.0, f64::max);
    simc_pi(
        IntegratingProcess::new(gain, bench.dead_time_s)?,
        closed_loop_time_s,
    )
}

/// Finds both ends.
///
/// # Errors
/// [`JudgeError`].
pub fn window(bench: &Bench<'_>) -> Result<Window, JudgeError> {
    let robust =
        |time_s: f64| -> Result<bool, JudgeError> {
            Ok(bench.max_sensitivity_ratio(settings_at(time_s, bench)?)?
                <= bench.max_sensitivity_limit)
        };
    let holds = |time_s: f64| -> Result<bool, JudgeError> {
        bench.holds_deviation(settings_at(time_s, bench)?)
    };
    let cap_s = (LONGEST_RESET_S / 4.0 - bench.dead_time_s).max(2.0 * bench.dead_time_s);
    let start_s = bench.dead_time_s;
    let fastest_s = if robust(start_s)? {
        start_s
    } else {
        last_true(cap_s, start_s, robust)?
    };
    if !holds(fastest_s)? {
        return Ok(Window {
            fastest_s,
            slowest_s: None,
            slowest_is_cap: false,
        });
    }
    if holds(cap_s)? {
        return Ok(Window {
            fastest_s,
            slowest_s: Some(cap_s),
            slowest_is_cap: true,
        });
    }
    // Every time in this search is slower than one that is robust. First summits find the end; the whole response says
    // whether it holds, and where it does not, it searches itself.
    let by_summit = last_true(fastest_s, cap_s, |time_s| {
        bench.first_summit_holds(settings_at(time_s, bench)?)
    })?;
    let slowest_s = if holds(by_summit)? {
        by_summit
    } else {
        last_true(fastest_s, cap_s, holds)?
    };
    Ok(Window {
        fastest_s,
        slowest_s: Some(slowest_s),
        slowest_is_cap: false,
    })
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::judge::judge;
    use crate::tuning::sheet::MAX_SENSITIVITY_LIMIT;
    use crate::tuning::sheets::DutyGain;

    fn duty(name: &str, gain_per_s: f64) -> DutyGain {
        DutyGain {
            name: name.into(),
            installed_gain_ratio: 1.0,
            process_gain_per_s: gain_per_s,
            indicated_gain_per_s: gain_per_s,
            free_surface_m2: 10.0,
            liquid_density_kg_m3: 890.0,
        }
    }

    fn bench(duties: &[DutyGain], allowed_deviation_m: f64) -> Bench<'_> {
        Bench {
            duties,
            dead_time_s: 20.0,
            load_ratio: 0.3,
            span_m: 0.762,
            allowed_deviation_m,
            max_sensitivity_limit: MAX_SENSITIVITY_LIMIT,
        }
    }

    #[test]
    fn published_simc_is_the_fastest_end() {
        // Skogestad 2003 table 4: SIMC with tc = theta on an integrator has Ms 1.70, GM 2.96, PM 46.9 deg.
        let duties = [duty("maximum", 1e-3)];
        let bench = bench(&duties, 0.5);
        let found = window(&bench).unwrap();
        assert!((found.fastest_s - 20.0).abs() < 1e-9);
        let fastest = judge(
            "fastest",
            settings_at(found.fastest_s, &bench).unwrap(),
            &bench,
        )
        .unwrap();
        assert!((fastest.max_sensitivity_ratio - 1.70).abs() < 5e-3);
        assert!((fastest.gain_margin_ratio - 2.96).abs() < 5e-3);
        assert!((fastest.phase_margin_deg - 46.9).abs() < 0.05);
        assert!((fastest.delay_margin_s / 20.0 - 1.59).abs() < 5e-3);
    }

    #[test]
    fn crosscheck_peak_of_the_fastest_end() {
        // Method of steps, trapezoids of theta/4000, written apart from this project: 1.961134 k' theta D at 3.031 theta.
        let duties = [duty("maximum", 1e-3)];
        let bench = bench(&duties, 0.5);
        let judged = judge("fastest", settings_at(20.0, &bench).unwrap(), &bench).unwrap();
        let expected_m = 1.961_134 * 1e-3 * 20.0 * 0.3 * 0.762;
        assert!(
            (judged.peak_true_deviation_m / expected_m - 1.0).abs() < 2e-4,
            "{}",
            judged.peak_true_deviation_m
        );
        assert!((judged.time_of_peak_s / 20.0 - 3.03).abs() < 0.01);
        assert!(
            judged.response.iter().all(|(_, level_m)| *level_m <= 1e-12),
            "a load increase lowers the level"
        );
    }

    #[test]
    fn property_slowest_end_just_holds() {
        let duties = [duty("maximum", 1e-3), duty("low fire", 0.9e-3)];
        let bench = bench(&duties, 0.025);
        let found = window(&bench).unwrap();
        let slowest_s = found.slowest_s.unwrap();
        assert!(!found.slowest_is_cap && slowest_s > found.fastest_s);
        let holds = judge("slowest", settings_at(slowest_s, &bench).unwrap(), &bench).unwrap();
        let misses = judge(
            "beyond",
            settings_at(slowest_s * 1.01, &bench).unwrap(),
            &bench,
        )
        .unwrap();
        assert!(holds.holds_deviation && !misses.holds_deviation);
        assert!((holds.peak_true_deviation_m / 0.025 - 1.0).abs() < 2e-3);
    }

    #[test]
    fn property_window_closes_when_the_allowance_shrinks() {
        let duties = [duty("maximum", 1e-3)];
        assert!(window(&bench(&duties, 0.025)).unwrap().slowest_s.is_some());
        assert_eq!(window(&bench(&duties, 0.005)).unwrap().slowest_s, None);
        assert!(window(&bench(&duties, 5.0)).unwrap().slowest_is_cap);
    }

    #[test]
    fn practice_habit_swings_on_a_large_shell_boiler() {
        // Band 25 % of span, reset 90 s (common practice) where the level needs 17 minutes for the span: Kc k' Ti = 0.36.
        let duties = [duty("maximum", 1e-3)];
        let bench = bench(&duties, 0.05);
        let settings = PidSettings::ideal(4.0, Some(90.0), 0.0).unwrap();
        let judged = judge("habit", settings, &bench).unwrap();
        assert!((judged.damping_ratio - 0.5 * 0.36_f64.sqrt()).abs() < 1e-9);
        assert!(!judged.robust && judged.period_s.is_some());
    }

    #[test]
    fn property_a_cold_range_changes_the_loop_gain() {
        let mut duties = [duty("maximum", 1e-3)];
        let true_peak = |duties: &[DutyGain]| {
            let settings = PidSettings::ideal(5.0, Some(900.0), 0.0).unwrap();
            judge("set", settings, &bench(duties, 0.05))
                .unwrap()
                .peak_true_deviation_m
        };
        let hot = true_peak(&duties);
        duties[0].indicated_gain_per_s = 0.88e-3;
        assert!(
            true_peak(&duties) > hot,
            "a wider cold span makes the same settings weaker"
        );
    }
}
