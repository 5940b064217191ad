//! A scenario run again and again with what nobody measured drawn at random: the band of levels, and the worst draw.
//!
//! ```text
//! draw   rise of bubbles (or where a drum's steam stands), heat below the tap, metal, stroke time, deadband, noise
//! band   at each instant the lowest, 5 %, middle, 95 % and highest of the draws that still run, TRUE and INDICATED apart
//! ```
//!
//! The settings and the range are those of the sheets, designed for what was assumed: that is the question. How wrong cell and legs may
//! be moves panel and vessel apart as a whole and stands on the uncertainty sheet; it is not drawn again here.
//!
//! **Source:** order statistics as in JCGM 101, 7.5; spreads are common practice where no source is named, and listed with their reason.
//! **Range of validity:** that of the vessel's model; SIMULATION. **Departures:** inputs are drawn evenly and apart from one another.
//! **Checked by:** `draws_tests.rs`.

mod conclusions;
mod inputs;

use std::num::NonZeroUsize;
use std::thread;

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::SeedableRng;

use super::motion::{Motion, water_side};
use super::parallel::on_threads;
use super::plant::Prepared;
use super::run::{Run, run};
use super::scenario::Scenario;
use super::start::RunError;
use super::summary::Summary;
use crate::description::Loop;
use crate::design::Sheets;
use crate::finding::Assumption;
use crate::quantity::{IndicatedLevel, TrueLevel};

pub use conclusions::draws_conclusions;
use inputs::inputs;
pub use inputs::{Drawn, Input};

/// Instants that a band is kept at, about.
const INSTANTS: f64 = 240.0;

/// What the draws hold of a level at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band<L> {
    /// Lowest of all draws.
    pub lowest: L,
    /// A twentieth of the draws lie below.
    pub p05: L,
    /// The middle one.
    pub middle: L,
    /// A twentieth lie above.
    pub p95: L,
    /// Highest of all draws.
    pub highest: L,
}

/// What the draws hold of a number over a whole run.
pub type Spread = Band<f64>;

/// An input of the draws and how much the largest deviation hangs on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// What was drawn, between which ends, and why.
    pub assumption: Assumption,
    /// Correlation of what was drawn with the size of the largest deviation, −1 to 1; `None` where either does not vary.
    pub correlation: Option<f64>,
}

/// The worst draw, run again with all of its samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Worst {
    /// Its number, from 1.
    pub number: usize,
    /// What was drawn, an entry an input.
    pub drawn: Vec<(Input, f64)>,
    /// The run.
    pub run: Run,
}

/// A mark and the draws whose TRUE level passed it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// Name of the mark.
    pub mark: &'static str,
    /// Draws.
    pub draws: usize,
    /// Smallest distance of the TRUE level in any draw, m; below zero: passed.
    pub nearest_true_m: f64,
    /// Smallest distance of the INDICATED level in any draw, m; below zero: passed.
    pub nearest_indicated_m: f64,
}

/// What many draws gave. SIMULATION.
#[derive(Debug, Clone, PartialEq)]
pub struct Draws {
    /// Name of the scenario.
    pub name: String,
    /// Draws.
    pub count: usize,
    /// Seed they came from.
    pub seed: u64,
    /// What was drawn.
    pub inputs: Vec<Weighed>,
    /// Instants of the bands, s.
    pub times_s: Vec<f64>,
    /// TRUE level at each instant.
    pub true_band: Vec<Band<TrueLevel>>,
    /// INDICATED level at each instant.
    pub indicated_band: Vec<Band<IndicatedLevel>>,
    /// Draws that left the model before the end.
    pub ended: usize,
    /// Draws whose TRUE level left the allowed deviation.
    pub outside: usize,
    /// Largest TRUE level over the set point, m.
    pub highest_m: Spread,
    /// Lowest TRUE level against the set point, m.
    pub lowest_m: Spread,
    /// Time outside the allowed deviation, s.
    pub outside_s: Spread,
    /// Reversals of the valve an hour.
    pub reversals_per_hour: Spread,
    /// Every mark.
    pub passed: Vec<Passed>,
    /// The worst draw: one that leaves the model, else the one that comes furthest past a trip, else the largest deviation.
    pub worst: Worst,
}

/// What is kept of one draw.
struct Kept {
    levels: Vec<(TrueLevel, IndicatedLevel)>,
    times_s: Vec<f64>,
    summary: Summary,
    ended: bool,
}

/// Runs a scenario with so many draws (at least one) on all cores; the same seed gives the same answer on any number of them.
///
/// # Errors
/// [`RunError`] where the scenario cannot be run. A draw that leaves its model on the way counts as one that ended.
pub fn draws(
    described: &Loop,
    sheets: &Sheets,
    scenario: &Scenario,
    count: usize,
    seed: u64,
) -> Result<Draws, RunError> {
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    draws_on(threads, described, sheets, scenario, (count, seed))
}

fn draws_on(
    threads: usize,
    described: &Loop,
    sheets: &Sheets,
    scenario: &Scenario,
    (count, seed): (usize, u64),
) -> Result<Draws, RunError> {
    let inputs = inputs(described);
    let mut generator = Xoshiro256PlusPlus::seed_from_u64(seed);
    let drawn: Vec<Drawn> = (0..count.max(1))
        .map(|index| Drawn::next(&inputs, &mut generator, seed.wrapping_add(index as u64)))
        .collect();
    let (prepared, _) = Prepared::of(described)?;
    let feed = water_side(described, sheets)?;
    let level = TrueLevel::from_m(described.limits.set_point_m);
    let kept = on_threads(threads, &drawn, |drawn| -> Result<Kept, RunError> {
        let (described, scenario) = (drawn.of_loop(described), drawn.of_scenario(scenario));
        let vessel = prepared.vessel(&described, &scenario, level, &drawn.variation())?;
        let motion = Motion::with_water_side(&described, sheets, &scenario, vessel, feed.clone())?;
        Ok(kept(motion, scenario.duration_s))
    })
    .into_iter()
    .collect::<Result<Vec<_>, _>>()?;
    let worst = (0..kept.len())
        .max_by(|&left, &right| {
            let (left, right) = (badness(&kept[left]), badness(&kept[right]));
            left.0
                .cmp(&right.0)
                .then(left.1.total_cmp(&right.1))
                .then(left.2.total_cmp(&right.2))
        })
        .unwrap_or_default();
    let worst = {
        let drawn = &drawn[worst];
        let (described, scenario) = (drawn.of_loop(described), drawn.of_scenario(scenario));
        let mut vessel = prepared.vessel(&described, &scenario, level, &drawn.variation())?;
        Worst {
            number: worst + 1,
            drawn: drawn.values().to_vec(),
            run: run(&described, sheets, &scenario, &mut vessel)?,
        }
    };
    let over = |of: fn(&Summary) -> f64| {
        let values = kept.iter().map(|one| of(&one.summary)).collect();
        band(values, |value| value)
    };
    let (times_s, true_band, indicated_band) = bands(&kept);
    let allowed_m = described.limits.allowed_deviation_m;
    let deviations: Vec<f64> = kept.iter().map(|one| deviation_m(&one.summary)).collect();
    Ok(Draws {
        name: scenario.name.clone(),
        count: kept.len(),
        seed,
        inputs: inputs
            .iter()
            .map(|input| Weighed {
                assumption: input.assumption(described),
                correlation: correlation(
                    &drawn
                        .iter()
                        .map(|one| one.value(*input))
                        .collect::<Vec<_>>(),
                    &deviations,
                ),
            })
            .collect(),
        times_s,
        true_band,
        indicated_band,
        ended: kept.iter().filter(|one| one.ended).count(),
        outside: deviations.iter().filter(|m| **m > allowed_m).count(),
        highest_m: over(|summary| summary.highest_m.0),
        lowest_m: over(|summary| summary.lowest_m.0),
        outside_s: over(|summary| summary.outside_s),
        reversals_per_hour: over(|summary| summary.reversals_per_hour),
        passed: passed(&kept),
        worst,
    })
}

fn kept(mut motion: Motion<'_, super::plant::AnyVessel>, duration_s: f64) -> Kept {
    let scans = (duration_s / motion.scan_s()).ceil() as u64;
    let stride = ((scans as f64 / INSTANTS).ceil() as u64).max(1);
    let mut levels = vec![motion.levels()];
    let mut times_s = vec![motion.time_s()];
    let mut ended = false;
    for index in 1..=scans {
        if motion.step().is_err() {
            ended = true;
            break;
        }
        if index % stride == 0 || index == scans {
            levels.push(motion.levels());
            times_s.push(motion.time_s());
        }
    }
    Kept {
        levels,
        times_s,
        summary: motion.summary(),
        ended,
    }
}

fn deviation_m(summary: &Summary) -> f64 {
    summary.highest_m.0.max(-summary.lowest_m.0)
}

/// Left the model; how far past the trip that it passes furthest, m; largest deviation, m.
fn badness(one: &Kept) -> (bool, f64, f64) {
    let past_m = one
        .summary
        .approaches
        .iter()
        .filter(|approach| !approach.mark.contains("alarm"))
        .map(|approach| -approach.nearest_true_m)
        .fold(0.0, f64::max);
    (one.ended, past_m, deviation_m(&one.summary))
}

type Bands = (Vec<f64>, Vec<Band<TrueLevel>>, Vec<Band<IndicatedLevel>>);

/// Bands at every instant that any draw reaches.
fn bands(kept: &[Kept]) -> Bands {
    let times_s = kept
        .iter()
        .map(|one| &one.times_s)
        .max_by_key(|times_s| times_s.len())
        .cloned()
        .unwrap_or_default();
    let (true_band, indicated_band) = (0..times_s.len())
        .map(|index| {
            let levels = || kept.iter().filter_map(|one| one.levels.get(index));
            (
                band(levels().map(|one| one.0.m()).collect(), TrueLevel::from_m),
                band(
                    levels().map(|one| one.1.m()).collect(),
                    IndicatedLevel::from_m,
                ),
            )
        })
        .unzip();
    (times_s, true_band, indicated_band)
}

/// The order statistics of values, of which there is at least one.
fn band<L>(mut values: Vec<f64>, of: impl Fn(f64) -> L) -> Band<L> {
    values.sort_by(f64::total_cmp);
    let at = |part: f64| {
        let index = (part * values.len() as f64).floor() as usize;
        of(values[index.min(values.len() - 1)])
    };
    Band {
        lowest: at(0.0),
        p05: at(0.05),
        middle: at(0.5),
        p95: at(0.95),
        highest: at(1.0),
    }
}

fn passed(kept: &[Kept]) -> Vec<Passed> {
    let Some(first) = kept.first() else {
        return Vec::new();
    };
    (0..first.summary.approaches.len())
        .map(|index| {
            let all = || kept.iter().map(|one| &one.summary.approaches[index]);
            Passed {
                mark: first.summary.approaches[index].mark,
                draws: all().filter(|one| one.passed_s.is_some()).count(),
                nearest_true_m: all()
                    .map(|one| one.nearest_true_m)
                    .fold(f64::INFINITY, f64::min),
                nearest_indicated_m: all()
                    .map(|one| one.nearest_indicated_m)
                    .fold(f64::INFINITY, f64::min),
            }
        })
        .collect()
}

/// Pearson's correlation; `None` where either does not vary.
fn correlation(left: &[f64], right: &[f64]) -> Option<f64> {
    let count = left.len() as f64;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / count;
    let (left_mean, right_mean) = (mean(left), mean(right));
    let (mut both, mut of_left, mut of_right) = (0.0, 0.0, 0.0);
    for (a, b) in left.iter().zip(right) {
        let (a, b) = (a - left_mean, b - right_mean);
        both += a * b;
        of_left += a * a;
        of_right += b * b;
    }
    let size = (of_left * of_right).sqrt();
    (size > 0.0).then(|| both / size)
}

#[cfg(test)]
#[path = "draws_tests.rs"]
mod tests;
