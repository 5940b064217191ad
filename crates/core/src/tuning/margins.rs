//! Robustness of a level loop, with the dead time exact (no Padé).
//!
//! ```text
//! L(s) = C(s)·P(s),   C = Kp + Ki/s + Kd·s
//! integrating      P = k'·(1 − τs)·e^(−θs)/s
//! self-regulating  P = k·e^(−θs)/(T·s + 1)
//! Ms = max |1/(1 + L)|,   Mt = max |L/(1 + L)|
//! ```
//!
//! The dead time does not change |L|, so |L| = 1 is a quadratic in ω² and the crossover is exact. Where
//! |L| tends to r < 1 it has one root at most, |L| > 1 below it and < 1 above; the argument principle then
//! says: stable exactly when the continuous phase at the crossover is above −180°. With dead time or
//! inverse response and r ≥ 1 the loop is unstable whatever the phase.
//!
//! **Source:** Åström & Hägglund, *Advanced PID Control* (ISA, 2006), chapter 4 (definitions);
//! Bellman & Cooke, *Differential-Difference Equations* (1963) (r ≥ 1).
//! **Checked by:** `published_..` and `crosscheck_..` at the end.

use std::f64::consts::PI;
use std::fmt;

pub use super::open_loop::Plant;
use super::open_loop::{OpenLoop, PlantKind};
use crate::controller::forms::PidSettings;

/// Grid density of the search for peaks, before each is refined.
const POINTS_PER_DECADE: f64 = 100.0;

/// Margins of a stable loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Ms, the largest amplification of a disturbance at any frequency.
    pub max_sensitivity_ratio: f64,
    /// Mt, the largest amplification from set point to level.
    pub max_complementary_ratio: f64,
    /// The gain may grow by less than this factor; infinite when no growth makes it unstable.
    pub gain_margin_ratio: f64,
    /// The gain must stay above this fraction of itself; zero when any smaller gain is stable too.
    pub least_gain_ratio: f64,
    /// Degrees of further lag at the gain crossover; infinite when |L| never crosses 1.
    pub phase_margin_deg: f64,
    /// Further dead time that makes it unstable, s; infinite when none does, zero when any does.
    pub delay_margin_s: f64,
    /// Where |L| = 1, rad/s; the one with the least phase margin if the controller has several.
    pub gain_crossover_rad_s: Option<f64>,
    /// Where the phase passes −180° and the gain margin is read, rad/s.
    pub phase_crossover_rad_s: Option<f64>,
}

/// Why a loop is unstable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Instability {
    /// The phase at the gain crossover is at or below −180°.
    PhaseAtCrossover {
        /// Where |L| = 1, rad/s.
        crossover_rad_s: f64,
        /// Lag beyond 180° there, degrees.
        excess_lag_deg: f64,
    },
    /// |L| does not fall below 1 at high frequency although dead time or inverse response turns its phase.
    HighFrequencyGain {
        /// The limit of |L|; infinite when it grows without bound.
        ratio: f64,
    },
    /// Neither proportional nor integral action on an integrating process: nothing brings the level back.
    NoRestoringAction,
}

impl fmt::Display for Instability {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PhaseAtCrossover { crossover_rad_s, excess_lag_deg } => write!(
                f,
                "unstable: where the loop gain is 1 ({crossover_rad_s:.4e} rad/s) the lag is {excess_lag_deg:.2} degrees beyond 180"
            ),
            Self::HighFrequencyGain { ratio } => write!(
                f,
                "unstable: the loop gain tends to {ratio:.3} at high frequency and must be below 1 there"
            ),
            Self::NoRestoringAction => {
                f.write_str("not stable: without proportional and integral action nothing brings the level back")
            }
        }
    }
}

/// Outcome of judging a loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Robustness {
    /// Stable, with these margins.
    Stable(Margins),
    /// Unstable; margins have no meaning.
    Unstable(Instability),
}

impl Robustness {
    /// The margins if the loop is stable.
    pub const fn margins(self) -> Option<Margins> {
        match self {
            Self::Stable(margins) => Some(margins),
            Self::Unstable(_) => None,
        }
    }
}

/// Why no answer could be computed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MarginError {
    /// Gains or times so extreme that the arithmetic overflows.
    #[error(
        "settings and process are too far apart to compute margins: the crossover comes out as {crossover_rad_s} rad/s"
    )]
    OutOfRange {
        /// The crossover that was computed, rad/s.
        crossover_rad_s: f64,
    },
}

/// Margins of the loop of this controller around this process.
///
/// # Errors
/// [`MarginError::OutOfRange`] when extreme input overflows. An unstable loop is a result, not an error.
pub fn robustness(plant: Plant, settings: PidSettings) -> Result<Robustness, MarginError> {
    let open = OpenLoop::new(plant, settings);
    let high_frequency_ratio = open.high_frequency_ratio();
    if open.phase_turns_at_high_frequency()
        && (high_frequency_ratio >= 1.0 || high_frequency_ratio.is_nan())
    {
        return Ok(Robustness::Unstable(Instability::HighFrequencyGain {
            ratio: high_frequency_ratio,
        }));
    }
    if matches!(plant.kind, PlantKind::Integrating { .. })
        && !(open.proportional > 0.0 || open.integral > 0.0)
    {
        return Ok(Robustness::Unstable(Instability::NoRestoringAction));
    }
    // The crossover with the least phase is the one that counts.
    let mut worst: Option<(f64, f64)> = None;
    for w_rad_s in open.gain_crossovers_rad_s().into_iter().flatten() {
        let phase_rad = open.phase_rad(w_rad_s);
        if !(w_rad_s > 0.0 && w_rad_s.is_finite() && phase_rad.is_finite()) {
            return Err(MarginError::OutOfRange {
                crossover_rad_s: w_rad_s,
            });
        }
        if worst.is_none_or(|(_, least)| phase_rad < least) {
            worst = Some((w_rad_s, phase_rad));
        }
    }
    if worst.is_none() && open.must_cross(high_frequency_ratio) {
        return Err(MarginError::OutOfRange {
            crossover_rad_s: f64::NAN,
        });
    }
    if let Some((crossover_rad_s, phase_rad)) = worst
        && phase_rad <= -PI
    {
        let excess_lag_deg = (-PI - phase_rad).to_degrees();
        return Ok(Robustness::Unstable(Instability::PhaseAtCrossover {
            crossover_rad_s,
            excess_lag_deg,
        }));
    }
    stable_margins(open, worst, high_frequency_ratio).map(Robustness::Stable)
}

fn stable_margins(
    open: OpenLoop,
    worst: Option<(f64, f64)>,
    high_frequency_ratio: f64,
) -> Result<Margins, MarginError> {
    let turns = open.phase_turns_at_high_frequency();
    let (low_rad_s, high_rad_s) = open.search_range_rad_s(worst.map(|(w_rad_s, _)| w_rad_s));
    let decades = (high_rad_s / low_rad_s).log10();
    if !(decades > 0.0 && decades < 100.0) {
        return Err(MarginError::OutOfRange {
            crossover_rad_s: worst.map_or(f64::NAN, |(w_rad_s, _)| w_rad_s),
        });
    }
    let count = (decades * POINTS_PER_DECADE).ceil();
    let step = (high_rad_s / low_rad_s).ln() / count;
    let grid: Vec<f64> = (0..=count as usize)
        .map(|i| low_rad_s * (step * i as f64).exp())
        .collect();

    let (sensitivity_limit, complementary_limit) = open.limits(high_frequency_ratio);
    let phases_rad: Vec<f64> = grid
        .iter()
        .map(|w_rad_s| open.phase_rad(*w_rad_s))
        .collect();
    let (of_load, of_set_point): (Vec<f64>, Vec<f64>) = grid
        .iter()
        .zip(&phases_rad)
        .map(|(w_rad_s, phase_rad)| open.closed_loop_at_phase(*w_rad_s, *phase_rad))
        .unzip();
    let sensitivity = refined_maximum(&grid, &of_load, |w_rad_s| open.closed_loop(w_rad_s).0);
    let complementary =
        refined_maximum(&grid, &of_set_point, |w_rad_s| open.closed_loop(w_rad_s).1);

    let mut gain_margin_ratio = f64::INFINITY;
    let mut least_gain_ratio = 0.0_f64;
    let mut phase_crossover_rad_s = None;
    for w_rad_s in open.phase_crossovers_rad_s(&grid, &phases_rad) {
        let factor = 1.0 / open.magnitude(w_rad_s);
        if factor < 1.0 {
            least_gain_ratio = least_gain_ratio.max(factor);
        } else if factor < gain_margin_ratio {
            gain_margin_ratio = factor;
            phase_crossover_rad_s = Some(w_rad_s);
        }
    }
    if turns && high_frequency_ratio > 0.0 && 1.0 / high_frequency_ratio < gain_margin_ratio {
        gain_margin_ratio = 1.0 / high_frequency_ratio;
        phase_crossover_rad_s = None;
    }
    let (phase_margin_deg, mut delay_margin_s) = match worst {
        Some((w_rad_s, phase_rad)) => ((phase_rad + PI).to_degrees(), (phase_rad + PI) / w_rad_s),
        None => (f64::INFINITY, f64::INFINITY),
    };
    if high_frequency_ratio >= 1.0 {
        delay_margin_s = 0.0;
    }
    Ok(Margins {
        max_sensitivity_ratio: sensitivity.max(sensitivity_limit),
        max_complementary_ratio: complementary.max(complementary_limit),
        gain_margin_ratio,
        least_gain_ratio,
        phase_margin_deg,
        delay_margin_s,
        gain_crossover_rad_s: worst.map(|(w_rad_s, _)| w_rad_s),
        phase_crossover_rad_s,
    })
}

/// The maximum over the grid, every local one refined by golden section to 1e-9 of its frequency.
fn refined_maximum(grid: &[f64], values: &[f64], value: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let mut best = values.iter().copied().fold(0.0, f64::max);
    for i in 1..grid.len().saturating_sub(1) {
        if values[i] < values[i - 1] || values[i] < values[i + 1] {
            continue;
        }
        let (mut low, mut high) = (grid[i - 1], grid[i + 1]);
        let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        let (mut at_left, mut at_right) = (value(left), value(right));
        while high - low > 1e-9 * high {
            if at_left > at_right {
                (high, right, at_right) = (right, left, at_left);
                left = high - GOLDEN * (high - low);
                at_left = value(left);
            } else {
                (low, left, at_left) = (left, right, at_right);
                right = low + GOLDEN * (high - low);
                at_right = value(right);
            }
        }
        best = best.max(at_left).max(at_right);
    }
    best
}

#[cfg(test)]
#[path = "margins_tests.rs"]
mod tests;
