//! The steps of the controller output in a record.
//!
//! A sampled output is followed from plateau to plateau: a reading that leaves the mean of its plateau by more than the
//! output's own noise allows begins the next one. A step seen between two readings is put halfway between them.

use crate::identify::record::{Output, Record, middle};

/// Smallest change that counts as a step, percent of output: a tenth of what a bump test takes.
pub const LEAST_STEP_PERCENT: f64 = 0.3;

/// Changes within this many standard deviations of the output's noise are no steps.
const NOISE_FACTOR: f64 = 6.0;

/// The output goes to another value and stays there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputStep {
    /// When, s.
    pub time_s: f64,
    /// The output from then on, percent.
    pub output_percent: f64,
}

/// The output of a record, constant between steps.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputSteps {
    /// Before the first step, percent.
    pub first_percent: f64,
    /// The steps, in order of time.
    pub steps: Vec<OutputStep>,
    /// Standard uncertainty of a step's time, s: the readings' spacing over √12; 0 for noted steps.
    pub time_uncertainty_s: f64,
}

impl OutputSteps {
    /// The largest change from one plateau to the next, percent, with its sign; 0 without steps.
    pub fn largest_change_percent(&self) -> f64 {
        let mut before = self.first_percent;
        let mut largest = 0.0_f64;
        for step in &self.steps {
            let change = step.output_percent - before;
            if change.abs() > largest.abs() {
                largest = change;
            }
            before = step.output_percent;
        }
        largest
    }
}

/// Finds the steps.
///
/// **Checked by:** `property_steps_are_found_through_noise_and_ramps`.
pub fn output_steps(record: &Record) -> OutputSteps {
    match record.output() {
        Output::Noted {
            first_percent,
            steps,
        } => OutputSteps {
            first_percent: *first_percent,
            steps: steps.clone(),
            time_uncertainty_s: 0.0,
        },
        Output::Sampled(output_percent) => sampled_steps(record, output_percent),
    }
}

fn sampled_steps(record: &Record, output_percent: &[f64]) -> OutputSteps {
    let mut differences: Vec<f64> = output_percent
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .collect();
    // The middle difference of two readings with normal noise is 0.6745·√2 of its standard deviation.
    let noise_percent = middle(&mut differences) / (0.6745 * 2.0_f64.sqrt());
    let lowest = output_percent.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = output_percent
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    // An output that moves all the time looks like noise: its range bounds what noise may hide.
    let threshold_percent =
        LEAST_STEP_PERCENT.max((NOISE_FACTOR * noise_percent).min(0.25 * (highest - lowest)));
    let mut plateaus: Vec<(f64, f64, usize)> = Vec::new();
    for (index, &output) in output_percent.iter().enumerate() {
        match plateaus.last_mut() {
            Some((_, sum, count)) if (output - *sum / *count as f64).abs() <= threshold_percent => {
                *sum += output;
                *count += 1;
            }
            _ => {
                let begins_s = index
                    .checked_sub(1)
                    .map_or(record.time_s()[index], |before| {
                        0.5 * (record.time_s()[before] + record.time_s()[index])
                    });
                plateaus.push((begins_s, output, 1));
            }
        }
    }
    let mean = |&(time_s, sum, count): &(f64, f64, usize)| OutputStep {
        time_s,
        output_percent: sum / count as f64,
    };
    OutputSteps {
        first_percent: plateaus
            .first()
            .map_or(0.0, |first| mean(first).output_percent),
        steps: plateaus.iter().skip(1).map(mean).collect(),
        time_uncertainty_s: record.usual_interval_s() / 12.0_f64.sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identify::simulated::Noise;

    fn steps_of(output: impl Fn(f64) -> f64, noise_percent: f64) -> OutputSteps {
        let mut noise = Noise::new(3, noise_percent, 0.0);
        let time_s: Vec<f64> = (0..300).map(f64::from).collect();
        let output_percent = time_s.iter().map(|&t| output(t) + noise.draw()).collect();
        let level = vec![50.0; time_s.len()];
        output_steps(&Record::sampled(time_s, output_percent, level).unwrap())
    }

    #[test]
    fn property_steps_are_found_through_noise_and_ramps() {
        let pulse = |t: f64| {
            if (100.0..200.0).contains(&t) {
                50.0
            } else {
                40.0
            }
        };
        for noise_percent in [0.0, 0.02, 0.3] {
            let found = steps_of(pulse, noise_percent);
            assert_eq!(found.steps.len(), 2, "noise {noise_percent}");
            assert!((found.first_percent - 40.0).abs() < 0.2);
            assert!((found.steps[0].time_s - 99.5).abs() < 1e-9);
            assert!((found.steps[1].time_s - 199.5).abs() < 1e-9);
            assert!((found.largest_change_percent().abs() - 10.0).abs() < 0.4);
        }
        // A ramp of the output over 5 s is five small steps whose sum is the whole.
        let ramp = |t: f64| 40.0 + (2.0 * (t - 100.0)).clamp(0.0, 10.0);
        let found = steps_of(ramp, 0.0);
        assert_eq!(found.steps.len(), 5);
        assert!((found.steps[4].output_percent - 50.0).abs() < 1e-9);
        assert!(steps_of(|_| 40.0, 0.1).steps.is_empty());
    }
}
