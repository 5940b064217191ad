//! The relay test: the output goes to and fro between two values as the level crosses the set point.
//!
//! An integrator with dead time under a relay swings in straight lines, so its limit cycle is exact and needs no
//! describing function, which is 18.9 % low on it:
//!
//! ```text
//! s₁ = k'·(d₁ + w)    s₂ = k'·(d₂ − w)    above = ε + s₁·θ    below = ε + s₂·θ
//! P = 2·θ + (2·ε + s₁·θ)/s₂ + (2·ε + s₂·θ)/s₁
//! ```
//!
//! | symbol   | name                                              | unit |
//! |----------|---------------------------------------------------|------|
//! | d₁, d₂   | output above and below its middle                 | %    |
//! | w        | load bias: output that the load lacks             | %    |
//! | s₁, s₂   | slopes of the level, up and down                  | %/s  |
//! | ε        | half width of the relay's hysteresis              | %    |
//! | θ        | dead time                                         | s    |
//! | P        | period                                            | s    |
//!
//! For ε = 0 and no bias θ = P/4 and k' = a/(d·θ). **Source:** integration of straight lines between the switches.
//! A swell adds to θ, as in the tuning sheet.

use crate::identify::doubt::CannotTell;
use crate::identify::intervals::{Interval, student_factor};
use crate::identify::record::{Record, middle};
use crate::identify::steps::{OutputSteps, output_steps};

/// Fewest half-swings that give a spread.
pub const FEWEST_HALF_SWINGS: usize = 4;

/// Shortest period against the longest, from which a test counts as steady.
const STEADY_RATIO: f64 = 0.6;

/// A relay and the load it works against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relay {
    /// d₁, output above its middle, %.
    pub up_percent: f64,
    /// d₂, output below its middle, %.
    pub down_percent: f64,
    /// ε, half width of the hysteresis, %.
    pub hysteresis_percent: f64,
    /// w, load bias, %.
    pub load_bias_percent: f64,
}

/// The swing that a relay keeps up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitCycle {
    /// Peak above the middle, %.
    pub above_percent: f64,
    /// Peak below it, %.
    pub below_percent: f64,
    /// Time with the output up, s.
    pub up_s: f64,
    /// Time with it down, s.
    pub down_s: f64,
}

impl LimitCycle {
    /// Period, s.
    pub fn period_s(self) -> f64 {
        self.up_s + self.down_s
    }
}

/// The exact limit cycle of k'·e^(−θs)/s under a relay; `None` where the load is beyond one of its outputs.
///
/// **Checked by:** `crosscheck_relay_limit_cycle`, `property_limit_cycle_gives_its_process_back`.
pub fn limit_cycle(gain_per_s: f64, dead_time_s: f64, relay: Relay) -> Option<LimitCycle> {
    let up = gain_per_s * (relay.up_percent + relay.load_bias_percent);
    let down = gain_per_s * (relay.down_percent - relay.load_bias_percent);
    if !(up > 0.0 && down > 0.0) {
        return None;
    }
    let width = 2.0 * relay.hysteresis_percent;
    Some(LimitCycle {
        above_percent: relay.hysteresis_percent + up * dead_time_s,
        below_percent: relay.hysteresis_percent + down * dead_time_s,
        up_s: dead_time_s + (width + down * dead_time_s) / up,
        down_s: dead_time_s + (width + up * dead_time_s) / down,
    })
}

/// Process gain, 1/s, and dead time, s, from a limit cycle: the level rises for as long as the output is up and falls for
/// as long as it is down, so that its slopes follow from the peaks and the two times whatever the bias.
///
/// ```text
/// s₁ = A/t₁    s₂ = A/t₂    k' = (s₁ + s₂)/(d₁ + d₂)    θ = (A − 2·ε)/(s₁ + s₂)    A = above + below
/// ```
pub fn process_of_cycle(
    cycle: LimitCycle,
    output_swing_percent: f64,
    hysteresis_percent: f64,
) -> (f64, f64) {
    let height = cycle.above_percent + cycle.below_percent;
    let slopes = height / cycle.up_s + height / cycle.down_s;
    (
        slopes / output_swing_percent,
        (height - 2.0 * hysteresis_percent) / slopes,
    )
}

/// What a relay test gives.
#[derive(Debug, Clone, PartialEq)]
pub struct RelayFit {
    /// Process gain k' of the INDICATED level, 1/s, with the sign of the level's answer to a rising output.
    pub gain_per_s: Interval,
    /// Dead time, a swell included, s.
    pub delay_s: Interval,
    /// Period, s.
    pub period_s: f64,
    /// Peak to peak of the level, %.
    pub height_percent: f64,
    /// The two outputs, %.
    pub outputs_percent: (f64, f64),
    /// Output that would hold the level, %: between the two, off their middle by the load bias.
    pub balance_percent: f64,
    /// Half-swings used.
    pub half_swings: usize,
    /// The output as it was switched.
    pub output: OutputSteps,
}

/// One straight run of the level between two turns.
#[derive(Debug, Clone, Copy)]
struct Run {
    slope: f64,
    /// Level at time 0 of the record.
    at_zero: f64,
}

/// Identifies a relay test. The turns are where the straight runs cross, so that noise on the peaks does not widen them;
/// the first half-swing is left out.
///
/// **Checked by:** `property_relay_record_is_recovered`, `property_relay_refuses_what_is_no_relay_test`.
///
/// # Errors
/// [`CannotTell`].
pub fn identify_relay(record: &Record) -> Result<RelayFit, CannotTell> {
    let output = output_steps(record);
    let (low, high) = two_outputs(&output)?;
    let times: Vec<f64> = output.steps.iter().map(|step| step.time_s).collect();
    let delay_s = rough_delay_s(record, &output, 0.5 * (low + high))?;
    // The run that follows switch i is seen from its delay on until the delay after switch i + 1.
    let runs: Vec<Run> = times
        .windows(2)
        .map(|pair| run(record, pair[0] + delay_s, pair[1] + delay_s))
        .collect::<Option<_>>()
        .ok_or(CannotTell::TooFewSwings {
            swings: times.len().saturating_sub(2),
            needed: FEWEST_HALF_SWINGS,
        })?;
    if runs.len() < FEWEST_HALF_SWINGS + 1 {
        return Err(CannotTell::TooFewSwings {
            swings: runs.len().saturating_sub(1),
            needed: FEWEST_HALF_SWINGS,
        });
    }
    let periods: Vec<f64> = times.windows(3).skip(1).map(|t| t[2] - t[0]).collect();
    let shortest_s = periods.iter().copied().fold(f64::INFINITY, f64::min);
    let longest_s = periods.iter().copied().fold(0.0, f64::max);
    if !(shortest_s >= STEADY_RATIO * longest_s) {
        return Err(CannotTell::Unsteady {
            shortest_s,
            longest_s,
        });
    }
    // Run i and run i + 1 turn into each other at the delay after switch i + 1.
    let turns = runs.windows(2).zip(times.iter().skip(1));
    let mut delays = Vec::new();
    let mut gains = Vec::new();
    let mut levels = Vec::new();
    let mut balances = Vec::new();
    for (index, (pair, switched_s)) in turns.enumerate() {
        let (before, after) = (pair[0], pair[1]);
        let change = after.slope - before.slope;
        let output_change =
            output.steps[index + 1].output_percent - output.steps[index].output_percent;
        let turn_s = (before.at_zero - after.at_zero) / change;
        delays.push(turn_s - switched_s);
        gains.push(change / output_change);
        levels.push(before.at_zero + before.slope * turn_s);
        balances
            .push(output.steps[index + 1].output_percent - after.slope * output_change / change);
    }
    let gain_per_s = mean_interval(&gains, 0.0);
    if gain_per_s.half_width() > 0.5 * gain_per_s.value.abs() {
        return Err(CannotTell::NoExcitation {
            moved_percent: height(&levels),
            noise_percent: scatter(record, &runs, &times, delay_s),
        });
    }
    let period_s = periods.iter().sum::<f64>() / periods.len() as f64;
    Ok(RelayFit {
        gain_per_s,
        delay_s: mean_interval(&delays, output.time_uncertainty_s),
        period_s,
        height_percent: height(&levels),
        outputs_percent: (low, high),
        balance_percent: balances.iter().sum::<f64>() / balances.len() as f64,
        half_swings: delays.len(),
        output,
    })
}

/// Peak to peak of turns that alternate, %.
fn height(levels: &[f64]) -> f64 {
    let swings: Vec<f64> = levels
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .collect();
    swings.iter().sum::<f64>() / swings.len().max(1) as f64
}

/// The mean of some values with its interval. Neighbours share a run, so that their mean scatters √2 times as much as that of
/// independent ones; an uncertainty common to all of them is added once.
fn mean_interval(values: &[f64], common: f64) -> Interval {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    let spread = (2.0 * squares / (n - 1.0) / n).sqrt();
    let factor = student_factor(n - 1.0);
    Interval::around(mean, (factor * spread).hypot(2.0 * common))
}

/// The two values between which the output goes, %.
fn two_outputs(output: &OutputSteps) -> Result<(f64, f64), CannotTell> {
    let values: Vec<f64> = output
        .steps
        .iter()
        .map(|step| step.output_percent)
        .collect();
    if values.len() < FEWEST_HALF_SWINGS {
        return Err(CannotTell::TooFewSwings {
            swings: values.len().saturating_sub(1),
            needed: FEWEST_HALF_SWINGS,
        });
    }
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let middle = 0.5 * (low + high);
    let near = 0.1 * (high - low);
    let to_and_fro = values
        .windows(2)
        .all(|pair| (pair[0] > middle) != (pair[1] > middle))
        && values
            .iter()
            .all(|value| (value - low).min(high - value) <= near);
    if to_and_fro {
        Ok((low, high))
    } else {
        Err(CannotTell::NoRelay)
    }
}

/// The delay to a reading or two: from each switch to the extreme that follows it, the middle one of all.
fn rough_delay_s(
    record: &Record,
    output: &OutputSteps,
    middle_percent: f64,
) -> Result<f64, CannotTell> {
    let steps = &output.steps;
    let lag_of = |sign: f64| -> Vec<f64> {
        steps
            .windows(2)
            .skip(1)
            .filter_map(|pair| {
                let times = record.time_s();
                let from = times.partition_point(|t| *t < pair[0].time_s);
                let to = times.partition_point(|t| *t < pair[1].time_s);
                let upward = if pair[0].output_percent > middle_percent {
                    -sign
                } else {
                    sign
                };
                let levels = &record.indicated_level_percent()[from..to];
                let extreme = (0..levels.len())
                    .max_by(|a, b| (upward * levels[*a]).total_cmp(&(upward * levels[*b])))?;
                Some(times[from + extreme] - pair[0].time_s)
            })
            .collect()
    };
    // Whichever sign the process has: with the wrong one the extreme is the end of the stretch, not its turn.
    let delay_s = [1.0, -1.0]
        .map(|sign| middle(&mut lag_of(sign)))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    delay_s
        .is_finite()
        .then_some(delay_s)
        .ok_or(CannotTell::NoRelay)
}

/// A straight line through the middle three quarters of a stretch.
fn run(record: &Record, from_s: f64, to_s: f64) -> Option<Run> {
    let margin_s = 0.125 * (to_s - from_s);
    let times = record.time_s();
    let from = times.partition_point(|t| *t < from_s + margin_s);
    let to = times.partition_point(|t| *t <= to_s - margin_s);
    if to < from + 3 {
        return None;
    }
    let levels = &record.indicated_level_percent()[from..to];
    let times = &times[from..to];
    let n = times.len() as f64;
    let (mean_t, mean_y) = (
        times.iter().sum::<f64>() / n,
        levels.iter().sum::<f64>() / n,
    );
    let squares: f64 = times.iter().map(|t| (t - mean_t).powi(2)).sum();
    let slope = times
        .iter()
        .zip(levels)
        .map(|(t, y)| (t - mean_t) * (y - mean_y))
        .sum::<f64>()
        / squares;
    Some(Run {
        slope,
        at_zero: mean_y - slope * mean_t,
    })
}

/// How far the readings scatter around the runs, standard deviation, %.
fn scatter(record: &Record, runs: &[Run], times: &[f64], delay_s: f64) -> f64 {
    let (mut squares, mut count) = (0.0, 0.0);
    for (pair, run) in times.windows(2).zip(runs) {
        for (&t, &y) in record.time_s().iter().zip(record.indicated_level_percent()) {
            if t >= pair[0] + delay_s && t < pair[1] + delay_s {
                squares += (y - run.at_zero - run.slope * t).powi(2);
                count += 1.0;
            }
        }
    }
    (squares / f64::max(count, 1.0)).sqrt()
}

#[cfg(test)]
#[path = "relay_tests.rs"]
mod tests;
