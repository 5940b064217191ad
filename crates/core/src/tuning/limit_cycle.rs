//! Limit cycles that a valve's deadband or steps keep alive, by the describing function with exact dead time.
//!
//! ```text
//! G(jω) = Kc·(1 + 1/(jωTi))·k'·e^(−jωθ)/(jω)          1 + N(A)·G(jω) = 0
//! play of width D:  x = 1 − D/A
//!   Re N = [π/2 + asin x + x·√(1 − x²)]/π,  Im N = −(1 − x²)/π
//! steps of height q, output between two of them:  N = 2q/(π·A)
//! ```
//!
//! | symbol | name                                            | unit |
//! |--------|-------------------------------------------------|------|
//! | A      | amplitude of the controller's output            | fraction |
//! | D, q   | play, step of the valve                         | fraction |
//! | k'     | process gain                                    | 1/s  |
//!
//! Play turns the phase back by up to 90°, so that an integrating loop under PI cycles slowly: this is why a reset that is too quick
//! rolls for ever. Without reset there is no cycle from play.
//!
//! **Source:** Gelb & Vander Velde, *Multiple-Input Describing Functions and Nonlinear System Design* (1968), appendix B (play, relay).
//! **Range of validity:** the loop must damp the harmonics (filter hypothesis). Play: within 10 % while Kc·k'·Ti is 1 or less, which is
//! where a reset is too quick; above it the cycle is slower than predicted, by 12 % at 1.6. **Checked by:** `property_simulated_play_cycles_as_predicted`, `property_steps_cycle_as_predicted`.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::feedwater::root::bracketed_root;
use crate::tuning::process::IntegratingProcess;

/// A steady swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitCycle {
    /// Period, s.
    pub period_s: f64,
    /// Amplitude of the level, fraction of its span.
    pub level_ratio: f64,
    /// Amplitude of the controller's output, fraction.
    pub output_ratio: f64,
}

/// Height of a triangle over that of its first harmonic: a level between two steps ramps up and down.
const TRIANGLE: f64 = PI * PI / 8.0;
/// Frequencies searched, over those of the loop.
const POINTS: usize = 400;

/// Phase of play against its x, rad: 90° at x = −1, none at x = 1.
fn lag_of_play_rad(x: f64) -> f64 {
    let (real, imaginary) = play(x);
    (-imaginary).atan2(real)
}

fn play(x: f64) -> (f64, f64) {
    let root = (1.0 - x * x).max(0.0).sqrt();
    (
        (FRAC_PI_2 + x.asin() + x * root) / PI,
        -(1.0 - x * x).max(0.0) / PI,
    )
}

/// Phase in hand of the loop at a frequency: what play may turn back until the loop swings, rad.
fn in_hand_rad(process: IntegratingProcess, reset_s: f64, w_rad_s: f64) -> f64 {
    (w_rad_s * reset_s).atan() - w_rad_s * process.dead_time_s()
}

fn magnitude(process: IntegratingProcess, gain_ratio: f64, reset_s: f64, w_rad_s: f64) -> f64 {
    gain_ratio * (1.0 + 1.0 / (w_rad_s * reset_s).powi(2)).sqrt() * process.gain_per_s() / w_rad_s
}

fn cycle(gain_ratio: f64, reset_s: f64, w_rad_s: f64, output_ratio: f64) -> LimitCycle {
    let controller = gain_ratio * (1.0 + 1.0 / (w_rad_s * reset_s).powi(2)).sqrt();
    LimitCycle {
        period_s: 2.0 * PI / w_rad_s,
        level_ratio: output_ratio / controller,
        output_ratio,
    }
}

/// The steady swing that play of this width, fraction of travel, keeps alive under PI; `None` where there is none.
///
/// Of two solutions the slower and larger is the one that stays.
pub fn from_play(
    process: IntegratingProcess,
    gain_ratio: f64,
    reset_s: f64,
    play_ratio: f64,
) -> Option<LimitCycle> {
    if !(play_ratio > 0.0 && gain_ratio > 0.0 && reset_s > 0.0 && reset_s.is_finite()) {
        return None;
    }
    // x whose lag is what the loop has in hand, and how far the loop's gain is then from one.
    let x_at = |w: f64| {
        let hand = in_hand_rad(process, reset_s, w);
        (hand > 0.0 && hand < FRAC_PI_2)
            .then(|| {
                bracketed_root(
                    |x| lag_of_play_rad(x) - hand,
                    -1.0 + 1e-12,
                    1.0 - 1e-12,
                    1e-13,
                )
                .ok()
            })
            .flatten()
    };
    let excess = |w: f64| {
        x_at(w).map(|x| {
            let (real, imaginary) = play(x);
            (magnitude(process, gain_ratio, reset_s, w) * real.hypot(imaginary)).ln()
        })
    };
    let natural = (gain_ratio * process.gain_per_s() / reset_s).sqrt();
    let fast = (gain_ratio * process.gain_per_s()).max(natural);
    let (low, high) = ((1e-3 * natural).ln(), (100.0 * fast).ln());
    let at = |index: usize| (low + (high - low) * index as f64 / POINTS as f64).exp();
    let mut before: Option<(f64, f64)> = None;
    for index in 0..=POINTS {
        let w = at(index);
        let now = excess(w).map(|value| (w, value));
        if let (Some((w0, f0)), Some((w1, f1))) = (before, now)
            && f0 * f1 <= 0.0
        {
            let w = bracketed_root(|w| excess(w).unwrap_or(f64::NAN), w0, w1, 1e-12 * w1).ok()?;
            let x = x_at(w)?;
            return Some(cycle(gain_ratio, reset_s, w, play_ratio / (1.0 - x)));
        }
        before = now;
    }
    None
}

/// The steady swing between two neighbouring steps of the valve, fraction of travel each; `None` where there is none.
pub fn from_steps(
    process: IntegratingProcess,
    gain_ratio: f64,
    reset_s: f64,
    step_ratio: f64,
) -> Option<LimitCycle> {
    let dead_time_s = process.dead_time_s();
    if !(step_ratio > 0.0 && gain_ratio > 0.0 && reset_s > dead_time_s && dead_time_s > 0.0) {
        return None;
    }
    // The crossing above the maximum of what is in hand: there the loop swings between two steps.
    let peak = (reset_s / dead_time_s - 1.0).sqrt() / reset_s;
    let w = bracketed_root(
        |w| in_hand_rad(process, reset_s, w),
        peak,
        PI / dead_time_s,
        1e-12 / dead_time_s,
    )
    .ok()?;
    let output = 2.0 * step_ratio / PI * magnitude(process, gain_ratio, reset_s, w);
    let sine = cycle(gain_ratio, reset_s, w, output);
    Some(LimitCycle {
        level_ratio: TRIANGLE * sine.level_ratio,
        ..sine
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::VecDeque;

    /// What moves the valve in the simulated loop.
    enum Valve {
        Play(f64),
        Steps(f64),
    }

    /// Period and half the height of the level once the swing is steady.
    fn simulated(
        (gain_per_s, dead_time_s): (f64, f64),
        (gain_ratio, reset_s): (f64, f64),
        valve: &Valve,
        first_m: f64,
        period_s: f64,
    ) -> (f64, f64) {
        let step_s = (period_s / 4000.0).min(dead_time_s / 20.0);
        let mut delay: VecDeque<f64> = vec![0.0; (dead_time_s / step_s).round() as usize].into();
        let (mut level, mut integral, mut stem) = (first_m, 0.0, 0.0_f64);
        let (mut crossings, mut peaks) = (Vec::new(), Vec::new());
        let (mut last, mut high, mut low) = (level, f64::MIN, f64::MAX);
        let load = 0.37
            * match valve {
                Valve::Play(_) => 0.0,
                Valve::Steps(q) => *q,
            };
        let steps = (60.0 * period_s / step_s) as usize;
        for index in 0..steps {
            let output = -gain_ratio * level + integral;
            integral -= gain_ratio / reset_s * level * step_s;
            stem = match valve {
                Valve::Play(width) => stem.clamp(output - 0.5 * width, output + 0.5 * width),
                Valve::Steps(height) => (output / height).round() * height,
            };
            delay.push_back(stem);
            level += gain_per_s * (delay.pop_front().unwrap() - load) * step_s;
            (high, low) = (high.max(level), low.min(level));
            if last < 0.0 && level >= 0.0 {
                crossings.push(index as f64 * step_s);
                peaks.push(0.5 * (high - low));
                (high, low) = (f64::MIN, f64::MAX);
            }
            last = level;
        }
        let count = crossings.len();
        assert!(count > 12, "it swings: {count}");
        let from = count - 9;
        (
            (crossings[count - 1] - crossings[from]) / 8.0,
            peaks[from + 1..].iter().sum::<f64>() / 8.0,
        )
    }

    /// Play under PI, where the output is nearly a sine: period and amplitude within 10 %.
    #[test]
    fn property_simulated_play_cycles_as_predicted() {
        let process = |k, theta| IntegratingProcess::new(k, theta).unwrap();
        for (gain_per_s, dead_time_s, gain_ratio, reset_s) in [
            (0.002, 10.0, 4.0, 100.0),
            (0.002, 10.0, 10.0, 50.0),
            (0.0008, 30.0, 4.0, 250.0),
            (0.01, 5.0, 3.0, 30.0),
            // What habit sets on a large boiler.
            (0.0005, 15.0, 4.0, 80.0),
        ] {
            let play = 0.02;
            let found = from_play(process(gain_per_s, dead_time_s), gain_ratio, reset_s, play)
                .unwrap_or_else(|| panic!("{gain_ratio} {reset_s}"));
            let (period, level) = simulated(
                (gain_per_s, dead_time_s),
                (gain_ratio, reset_s),
                &Valve::Play(play),
                1.3 * found.level_ratio,
                found.period_s,
            );
            assert!(
                (found.period_s / period - 1.0).abs() < 0.1
                    && (found.level_ratio / level - 1.0).abs() < 0.1,
                "{found:?} against {period} s, {level}"
            );
        }
    }

    /// Steps: a relay between two of them, the level a triangle: period and amplitude within 10 %.
    #[test]
    fn property_steps_cycle_as_predicted() {
        for (gain_per_s, dead_time_s, gain_ratio, reset_s) in
            [(0.002, 10.0, 4.0, 400.0), (0.01, 5.0, 3.0, 200.0)]
        {
            let step = 0.02;
            let process = IntegratingProcess::new(gain_per_s, dead_time_s).unwrap();
            let found = from_steps(process, gain_ratio, reset_s, step).unwrap();
            let (period, level) = simulated(
                (gain_per_s, dead_time_s),
                (gain_ratio, reset_s),
                &Valve::Steps(step),
                found.level_ratio,
                found.period_s,
            );
            assert!(
                (found.period_s / period - 1.0).abs() < 0.1
                    && (found.level_ratio / level - 1.0).abs() < 0.1,
                "{found:?} against {period} s, {level}"
            );
        }
    }

    /// A slow reset has so much phase in hand that play alone keeps no swing alive.
    #[test]
    fn property_no_cycle_without_reset_or_play_or_with_a_slow_one() {
        let process = IntegratingProcess::new(0.002, 10.0).unwrap();
        assert!(from_play(process, 4.0, f64::INFINITY, 0.02).is_none());
        assert!(from_play(process, 4.0, 200.0, 0.0).is_none());
        assert!(from_steps(process, 4.0, 200.0, 0.0).is_none());
        let slow = from_play(process, 4.0, 20_000.0, 0.02);
        let quick = from_play(process, 4.0, 80.0, 0.02).unwrap();
        assert!(
            slow.is_none_or(|slow| slow.period_s > 10.0 * quick.period_s),
            "{slow:?}"
        );
    }
}
