//! The bump test: output stepped in manual, process gain, dead time and swell from the level's answer.
//!
//! At a given dead time the model is linear (`model`), so the dead time is searched and the rest solved: no start
//! value, no local minimum. Intervals come from the Jacobian with Student's t, the noise counted for as many readings as it
//! is worth when it remembers itself; that of the dead time alone, whose effect is a kink, from the sum of squares itself.

use crate::identify::doubt::{CannotTell, Doubt};
use crate::identify::intervals::{
    Interval, ROUNDING_PERCENT, readings_per_independent, student_factor, student_quantile,
};
use crate::identify::model::{LinearFit, Model};
use crate::identify::plateaus::{at_its_end, load_and_valve};
use crate::identify::record::Record;
use crate::identify::steps::{OutputSteps, output_steps};

/// Fewest readings of a bump test: five numbers are fitted.
pub const FEWEST_READINGS: usize = 6;

/// A test has at most this share of its readings with a change of the output, past the first few.
const MOST_CHANGING_SHARE: f64 = 0.1;
const CHANGES_LET_PASS: usize = 12;

/// Dead times tried before the best is refined.
const TRIALS: usize = 80;

/// A swell is told from a longer dead time when the odds against it are 1 in 100.
const SWELL_PROBABILITY: f64 = 0.995;

/// Dead time and swell, told apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// Dead time θ, s.
    pub dead_time_s: Interval,
    /// Swell τs, s.
    pub swell_s: Interval,
}

/// What a bump test gives.
#[derive(Debug, Clone, PartialEq)]
pub struct BumpFit {
    /// Process gain k' of the INDICATED level, 1/s, with the sign of the level's answer to a rising output.
    pub gain_per_s: Interval,
    /// Dead time and swell together, s: what a controller waits.
    pub delay_s: Interval,
    /// The two apart, where the record tells them apart.
    pub split: Option<Split>,
    /// Drift of the level at the first output, %/s.
    pub drift_percent_s: Interval,
    /// Noise of the level, standard deviation, %.
    pub noise_percent: f64,
    /// Readings.
    pub readings: usize,
    /// What they are worth as independent ones.
    pub independent_readings: f64,
    /// The output as it was stepped.
    pub output: OutputSteps,
    /// The fitted level at each reading, %.
    pub fitted_percent: Vec<f64>,
    /// Read less fitted, %.
    pub residual_percent: Vec<f64>,
    /// What is in doubt.
    pub doubts: Vec<Doubt>,
}

impl BumpFit {
    /// May the result be used for settings.
    pub fn usable(&self) -> bool {
        !self.doubts.iter().any(|doubt| doubt.forbids_use())
    }
}

/// Fits a bump test.
///
/// **Checked by:** `property_a_closed_form_record_is_recovered`, `property_intervals_cover`, `property_every_doubt_has_its_cause`.
///
/// # Errors
/// [`CannotTell`].
pub fn identify_bump(record: &Record) -> Result<BumpFit, CannotTell> {
    let steps = output_steps(record);
    check(record, &steps)?;
    let model = Model::new(record, &steps);
    let first_s = steps.steps[0].time_s;
    let last_s = record.time_s()[record.readings() - 1];
    let longest_s = 0.7 * (last_s - first_s);

    let plain = search(longest_s, &|dead_time_s| model.fit(dead_time_s, false))
        .ok_or_else(|| too_few(record.readings()))?;
    let swollen = with_swell(&model, &plain, record.usual_interval_s());
    let fit = swollen.as_ref().map_or(&plain, |swollen| &swollen.fit);

    let residual_percent = model.residuals(fit);
    let fitted_numbers = if swollen.is_some() { 5 } else { 4 };
    let worth = readings_per_independent(&residual_percent, fitted_numbers);
    let independent_readings = record.readings() as f64 / worth;
    let freedom = independent_readings - fitted_numbers as f64;
    if !(freedom >= 1.0) {
        // What a fit of this shape leaves over remembers itself as slow noise does: where the slopes tell why, that is said.
        let follow_s = (fit.dead_time_s + fit.swell_s()).max(0.0) + record.usual_interval_s();
        let not_back = load_and_valve(record, &steps, fit.gain_per_s, follow_s)
            .into_iter()
            .find_map(|doubt| match doubt {
                Doubt::LoadMoved { share } | Doubt::ValveDidNotReturn { share } => {
                    Some(CannotTell::NotBack { share })
                }
                _ => None,
            });
        return Err(not_back.unwrap_or_else(|| too_few(independent_readings as usize)));
    }
    // What is fitted takes slow noise with it: the residuals are worth their freedom, not their number.
    let variance = fit.sum_of_squares / (worth * freedom);
    let noise_percent = variance.sqrt();
    let spread = model
        .spread(fit)
        .ok_or_else(|| too_few(record.readings()))?;
    let factor = student_factor(freedom);
    let width = |per_unit: f64| factor * (variance * worth * per_unit).sqrt();

    let gain_per_s = Interval::around(fit.gain_per_s, width(spread.gain));
    if gain_per_s.half_width() > 0.5 * fit.gain_per_s.abs() {
        let moved = residual_reach(&model, fit);
        return Err(CannotTell::NoExcitation {
            moved_percent: moved,
            noise_percent,
        });
    }
    let step_time_s = factor * steps.time_uncertainty_s;
    let delay_s = Interval::around(
        fit.dead_time_s + fit.swell_s(),
        width(spread.sum).hypot(step_time_s),
    );
    let split = swollen.as_ref().map(|swollen| {
        let half_width = (0.5 * (swollen.latest_s - swollen.earliest_s)).hypot(step_time_s);
        Split {
            dead_time_s: Interval::around(fit.dead_time_s, half_width),
            swell_s: Interval::around(fit.swell_s(), half_width.hypot(width(spread.sum))),
        }
    });

    let mut doubts = load_and_valve(
        record,
        &steps,
        fit.gain_per_s,
        delay_s.value.max(0.0) + record.usual_interval_s(),
    );
    if split.is_none() {
        doubts.push(Doubt::SumOnly);
    }
    if delay_s.half_width() > 0.5 * delay_s.value.abs() {
        doubts.push(Doubt::DeadTimeLoose);
    }
    Ok(BumpFit {
        gain_per_s,
        delay_s,
        split,
        drift_percent_s: Interval::around(fit.drift_percent_s, width(spread.drift)),
        noise_percent,
        readings: record.readings(),
        independent_readings,
        fitted_percent: record
            .time_s()
            .iter()
            .map(|&time_s| model.level_percent(fit, time_s))
            .collect(),
        residual_percent,
        output: steps,
        doubts,
    })
}

const fn too_few(readings: usize) -> CannotTell {
    CannotTell::TooFewReadings {
        readings,
        needed: FEWEST_READINGS,
    }
}

fn check(record: &Record, steps: &OutputSteps) -> Result<(), CannotTell> {
    let readings = record.readings();
    if readings < FEWEST_READINGS {
        return Err(too_few(readings));
    }
    let levels = record.indicated_level_percent();
    if levels
        .iter()
        .all(|level| level.total_cmp(&levels[0]).is_eq())
    {
        return Err(CannotTell::Flat {
            level_percent: levels[0],
        });
    }
    let Some(first) = steps.steps.first() else {
        return Err(CannotTell::NoStep {
            largest_percent: steps.largest_change_percent(),
        });
    };
    let changes = steps.steps.len();
    if changes > CHANGES_LET_PASS && changes as f64 > MOST_CHANGING_SHARE * readings as f64 {
        return Err(CannotTell::NotStepped { changes, readings });
    }
    let before = record.time_s().partition_point(|t| *t < first.time_s);
    if before < 2 || readings - before < 3 {
        return Err(CannotTell::OneSided {
            before,
            after: readings - before,
        });
    }
    at_its_end(record, steps).map_or(Ok(()), Err)
}

/// The dead time with the least sum of squares: tried all over, then refined around the best.
fn search(longest_s: f64, fit: &dyn Fn(f64) -> Option<LinearFit>) -> Option<LinearFit> {
    let spacing_s = longest_s / TRIALS as f64;
    let mut best = (0..=TRIALS)
        .filter_map(|trial| fit(trial as f64 * spacing_s))
        .min_by(|a, b| a.sum_of_squares.total_cmp(&b.sum_of_squares))?;
    let mut reach_s = spacing_s;
    while reach_s > 1e-7 * longest_s {
        let around = [best.dead_time_s - reach_s, best.dead_time_s + reach_s];
        let better = around
            .into_iter()
            .filter(|dead_time_s| *dead_time_s >= 0.0)
            .filter_map(fit)
            .find(|trial| trial.sum_of_squares < best.sum_of_squares);
        match better {
            Some(trial) => best = trial,
            None => reach_s *= 0.5,
        }
    }
    Some(best)
}

/// A fit with a swell, and the dead times that fit as well.
struct Swollen {
    fit: LinearFit,
    earliest_s: f64,
    latest_s: f64,
}

/// The fit with a swell, where it is that much better than without one.
fn with_swell(model: &Model<'_>, plain: &LinearFit, interval_s: f64) -> Option<Swollen> {
    let readings = model.record.readings() as f64;
    // Between two readings the dead time changes nothing: the jump falls into the same gap.
    let spacing_s = (plain.dead_time_s / TRIALS as f64).max(interval_s / 3.0);
    let trials: Vec<LinearFit> = (0..)
        .map(|trial| f64::from(trial) * spacing_s)
        .take_while(|dead_time_s| *dead_time_s <= plain.dead_time_s)
        .filter_map(|dead_time_s| model.fit(dead_time_s, true))
        .filter(|fit| fit.swell_s() > 0.0)
        .collect();
    let best = trials
        .iter()
        .min_by(|a, b| a.sum_of_squares.total_cmp(&b.sum_of_squares))?;
    let worth = readings_per_independent(&model.residuals(best), 5);
    let freedom = readings / worth - 5.0;
    if !(freedom >= 1.0) {
        return None;
    }
    let least = best.sum_of_squares;
    // Rounding is no evidence: a record without noise has squares of about this.
    let rounding = readings * ROUNDING_PERCENT * ROUNDING_PERCENT;
    let as_good = |squares: f64, factor: f64| {
        (squares - least) * freedom <= factor * factor * least.max(rounding)
    };
    if as_good(
        plain.sum_of_squares,
        student_quantile(SWELL_PROBABILITY, freedom),
    ) {
        return None;
    }
    let factor = student_factor(freedom);
    let mut fitting = trials
        .iter()
        .filter(|fit| as_good(fit.sum_of_squares, factor))
        .map(|fit| fit.dead_time_s);
    let earliest_s = fitting.next()?;
    let latest_s = fitting.next_back().unwrap_or(earliest_s);
    let fit = model.fit(0.5 * (earliest_s + latest_s), true)?;
    // In the middle of what fits; the best itself where the middle does not.
    let fit = if as_good(fit.sum_of_squares, factor) {
        fit
    } else {
        best.clone()
    };
    Some(Swollen {
        fit,
        earliest_s: earliest_s - spacing_s,
        latest_s: latest_s + spacing_s,
    })
}

/// How far the steps alone move the level in the fit, %.
fn residual_reach(model: &Model<'_>, fit: &LinearFit) -> f64 {
    let times = model.record.time_s();
    let drift = fit.drift_percent_s;
    let start = model.level_percent(fit, times[0]);
    times
        .iter()
        .map(|&t| (model.level_percent(fit, t) - start - drift * (t - times[0])).abs())
        .fold(0.0, f64::max)
}

#[cfg(test)]
#[path = "bump_tests.rs"]
mod tests;
