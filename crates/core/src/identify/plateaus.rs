//! Slopes of the level while the output stood still, each by itself: whether the load moved or the valve did not return
//! shows in slopes at the same output that differ.

use crate::identify::doubt::{CannotTell, Doubt};
use crate::identify::intervals::{readings_per_independent, student_quantile};
use crate::identify::record::Record;
use crate::identify::steps::OutputSteps;

/// Outputs closer than this share of the largest step count as the same.
const SAME_OUTPUT_SHARE: f64 = 0.1;

/// A change of slope below this share of the step's is let pass: it moves the process gain by no more than its half.
const PASSED_SHARE: f64 = 0.15;

/// A slope left over up to this share may be a valve that did not return; more cannot.
const WHOLE_SHARE: f64 = 1.15;

/// Fewest readings of a plateau that give a slope with a spread.
const FEWEST_READINGS: usize = 3;

/// Probability of each one-sided end at which slopes count as different: 1 in 1000 a pair.
const DIFFERENT: f64 = 0.9995;

/// Where a plateau is parted to see whether its slope bends.
const PARTED_AT: [f64; 3] = [0.25, 0.5, 0.75];

/// Fewest readings, and share of a plateau, that make a level at its end.
const STANDS_READINGS: usize = 5;
const STANDS_SHARE: f64 = 0.3;

/// A stretch of constant output, the time that the level needs to follow left out.
#[derive(Debug, Clone)]
struct Line {
    output_percent: f64,
    slope_percent_s: f64,
    /// Σ (t − mean)², s².
    time_squares: f64,
    readings: usize,
    residuals: Vec<f64>,
}

/// Reading numbers of each plateau; the first `skip_s` after each step are left out.
fn plateaus(record: &Record, steps: &OutputSteps, skip_s: f64) -> Vec<(f64, usize, usize)> {
    let times = record.time_s();
    let starts = std::iter::once((f64::NEG_INFINITY, steps.first_percent)).chain(
        steps
            .steps
            .iter()
            .map(|step| (step.time_s, step.output_percent)),
    );
    let ends = steps
        .steps
        .iter()
        .map(|step| step.time_s)
        .chain(std::iter::once(f64::INFINITY));
    starts
        .zip(ends)
        .map(|((start_s, output), end_s)| {
            let from = times.partition_point(|t| *t < start_s + skip_s);
            // What the level does shortly after a step still belongs to the output before it.
            let to = times.partition_point(|t| *t < end_s);
            (output, from.min(to), to)
        })
        .collect()
}

fn line(record: &Record, output_percent: f64, from: usize, to: usize) -> Option<Line> {
    if to - from < FEWEST_READINGS {
        return None;
    }
    let times = &record.time_s()[from..to];
    let levels = &record.indicated_level_percent()[from..to];
    let n = times.len() as f64;
    let (mean_t, mean_y) = (
        times.iter().sum::<f64>() / n,
        levels.iter().sum::<f64>() / n,
    );
    let time_squares: f64 = times.iter().map(|t| (t - mean_t).powi(2)).sum();
    let products: f64 = times
        .iter()
        .zip(levels)
        .map(|(t, y)| (t - mean_t) * (y - mean_y))
        .sum();
    let slope_percent_s = products / time_squares;
    Some(Line {
        output_percent,
        slope_percent_s,
        time_squares,
        readings: times.len(),
        residuals: times
            .iter()
            .zip(levels)
            .map(|(t, y)| y - mean_y - slope_percent_s * (t - mean_t))
            .collect(),
    })
}

/// The doubts about load and valve, from slopes at equal outputs and from the two halves of each plateau.
pub(super) fn load_and_valve(
    record: &Record,
    steps: &OutputSteps,
    gain_per_s: f64,
    follow_s: f64,
) -> Vec<Doubt> {
    let stretches = plateaus(record, steps, follow_s);
    let lines: Vec<Line> = stretches
        .iter()
        .filter_map(|&(output, from, to)| line(record, output, from, to))
        .collect();
    let step_percent = steps.largest_change_percent().abs();
    let step_slope = (gain_per_s * step_percent).abs();
    let noise = line_noise(&lines);
    let mut doubts = Vec::new();
    let same = |a: f64, b: f64| (a - b).abs() <= SAME_OUTPUT_SHARE * step_percent;
    let mut compared = false;
    let mut worst: Option<Doubt> = None;
    for (index, later) in lines.iter().enumerate() {
        let Some(before) = lines[..index]
            .iter()
            .position(|line| same(line.output_percent, later.output_percent))
        else {
            continue;
        };
        compared = true;
        let earlier = &lines[before];
        let Some(change) = noise.different(earlier, later) else {
            continue;
        };
        // From where the output came back: the plateau just before.
        let came_from = lines[index - 1].output_percent - later.output_percent;
        let share = change / (gain_per_s * came_from);
        if share.abs() * (gain_per_s * came_from).abs() <= PASSED_SHARE * step_slope {
            continue;
        }
        let doubt = if (0.0..=WHOLE_SHARE).contains(&share) {
            Doubt::ValveDidNotReturn { share }
        } else {
            Doubt::LoadMoved { share }
        };
        worst = Some(worst.map_or(doubt, |so_far| graver(so_far, doubt)));
    }
    doubts.extend(worst);
    if worst.is_none() {
        // A bend of a whole plateau would pass for noise; in its quarters it does not.
        let quarters: Vec<Line> = stretches
            .iter()
            .flat_map(|&(output, from, to)| {
                (0..4).filter_map(move |quarter| {
                    let at = |quarter: usize| from + quarter * (to - from) / 4;
                    line(record, output, at(quarter), at(quarter + 1))
                })
            })
            .collect();
        let noise = line_noise(&quarters);
        let bent = stretches
            .iter()
            .flat_map(|stretch| PARTED_AT.map(|share| (stretch, share)))
            .filter_map(|(&(output, from, to), share)| {
                let middle = from + (share * (to - from) as f64) as usize;
                let change = noise.different(
                    &line(record, output, from, middle)?,
                    &line(record, output, middle, to)?,
                )?;
                Some(change / step_slope)
            })
            .filter(|share| share.abs() > PASSED_SHARE)
            .max_by(|a, b| a.abs().total_cmp(&b.abs()));
        doubts.extend(bent.map(|share| Doubt::LoadMoved { share }));
    }
    if !compared {
        doubts.push(Doubt::NotReturned);
    }
    doubts
}

/// The graver of two: a load that surely moved before one that may have.
fn graver(one: Doubt, other: Doubt) -> Doubt {
    match (one, other) {
        (Doubt::LoadMoved { .. }, _) => one,
        (_, Doubt::LoadMoved { .. }) => other,
        (Doubt::ValveDidNotReturn { share: a }, Doubt::ValveDidNotReturn { share: b }) if b > a => {
            other
        }
        _ => one,
    }
}

/// The level's noise, from what is left around the lines of all plateaus: a load that moves between them is not in it.
#[derive(Debug, Clone, Copy)]
struct LineNoise {
    variance: f64,
    /// Readings that tell as much as one independent one.
    worth: f64,
    freedom: f64,
}

fn line_noise(lines: &[Line]) -> LineNoise {
    let readings: f64 = lines.iter().map(|line| line.readings as f64).sum();
    let worth = lines
        .iter()
        .map(|line| line.readings as f64 * readings_per_independent(&line.residuals, 2))
        .sum::<f64>()
        / readings.max(1.0);
    let squares: f64 = lines
        .iter()
        .flat_map(|line| &line.residuals)
        .map(|residual| residual * residual)
        .sum();
    let freedom = (readings / worth - 2.0 * lines.len() as f64).max(1.0);
    LineNoise {
        variance: squares / (worth * freedom),
        worth,
        freedom,
    }
}

impl LineNoise {
    /// Change of slope from one line to another, %/s, if it is more than the noise makes.
    fn different(self, earlier: &Line, later: &Line) -> Option<f64> {
        let change = later.slope_percent_s - earlier.slope_percent_s;
        let squares = 1.0 / earlier.time_squares + 1.0 / later.time_squares;
        let spread = (self.variance * self.worth * squares).sqrt();
        (change.abs() > student_quantile(DIFFERENT, self.freedom) * spread).then_some(change)
    }
}

/// Does the level stand at an end while the output is off its first value: 0 %, 100 %, or the record's own extreme.
pub(super) fn at_its_end(record: &Record, steps: &OutputSteps) -> Option<CannotTell> {
    let levels = record.indicated_level_percent();
    let lowest = levels.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let step_percent = steps.largest_change_percent().abs();
    let told = |level_percent: f64, from: usize, to: usize| CannotTell::AtItsEnd {
        level_percent,
        from_s: record.time_s()[from],
        to_s: record.time_s()[to],
    };
    let outside = |level: &f64| !(*level > 0.0 && *level < 100.0);
    if let Some(from) = levels.iter().position(outside) {
        let to = levels.iter().rposition(outside).unwrap_or(from);
        return Some(told(levels[from], from, to));
    }
    for (output, from, to) in plateaus(record, steps, 0.0) {
        let off_balance = (output - steps.first_percent).abs() > SAME_OUTPUT_SHARE * step_percent;
        if !off_balance || to <= from {
            continue;
        }
        for end in [lowest, highest] {
            let stands = levels[from..to]
                .iter()
                .rev()
                .take_while(|level| level.total_cmp(&end).is_eq())
                .count();
            let share = stands as f64 / (to - from) as f64;
            if stands >= STANDS_READINGS && share >= STANDS_SHARE {
                return Some(told(end, to - stands, to - 1));
            }
        }
    }
    None
}
