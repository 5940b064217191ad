//! A record of a test: time, controller output, INDICATED level.

use crate::identify::steps::OutputStep;

/// A record: readings in order of time, and when the output changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    time_s: Vec<f64>,
    indicated_level_percent: Vec<f64>,
    output: Output,
}

/// How the output is known.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Output {
    /// One value a reading, percent: when it changed is known to the time between two readings.
    Sampled(Vec<f64>),
    /// The value before all, percent, and the steps as they were noted.
    Noted {
        first_percent: f64,
        steps: Vec<OutputStep>,
    },
}

/// Why there is no record.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RecordError {
    /// Columns of unequal length.
    #[error("the record has {times} times, {levels} levels and {outputs} outputs")]
    Lengths {
        /// Times.
        times: usize,
        /// Levels.
        levels: usize,
        /// Outputs.
        outputs: usize,
    },
    /// A value that is no number.
    #[error("reading {reading} has a {what} that is no number")]
    NotFinite {
        /// Reading, counted from 1.
        reading: usize,
        /// Time, level or output.
        what: &'static str,
    },
    /// Time stands still or runs back.
    #[error("reading {reading} at {time_s} s is not later than the one before it at {before_s} s")]
    TimeOrder {
        /// Reading, counted from 1.
        reading: usize,
        /// Its time, s.
        time_s: f64,
        /// Time of the reading before, s.
        before_s: f64,
    },
    /// Noted steps out of order, or of a size that is no number.
    #[error("step {step} of the output is not later than the one before it, or is no number")]
    Steps {
        /// Step, counted from 1.
        step: usize,
    },
}

impl Record {
    /// A record with the output beside each reading, percent.
    ///
    /// # Errors
    /// [`RecordError`].
    pub fn sampled(
        time_s: Vec<f64>,
        output_percent: Vec<f64>,
        indicated_level_percent: Vec<f64>,
    ) -> Result<Self, RecordError> {
        if time_s.len() != output_percent.len() {
            return Err(RecordError::Lengths {
                times: time_s.len(),
                levels: indicated_level_percent.len(),
                outputs: output_percent.len(),
            });
        }
        check_finite(&output_percent, "output")?;
        Self::checked(
            time_s,
            indicated_level_percent,
            Output::Sampled(output_percent),
        )
    }

    /// Readings taken by hand, with the output's steps as they were noted.
    ///
    /// # Errors
    /// [`RecordError`].
    pub fn noted(
        time_s: Vec<f64>,
        indicated_level_percent: Vec<f64>,
        first_output_percent: f64,
        steps: Vec<OutputStep>,
    ) -> Result<Self, RecordError> {
        check_finite(&[first_output_percent], "output")?;
        for (index, step) in steps.iter().enumerate() {
            let before_s = index
                .checked_sub(1)
                .map_or(f64::NEG_INFINITY, |i| steps[i].time_s);
            if !(step.time_s > before_s
                && step.time_s.is_finite()
                && step.output_percent.is_finite())
            {
                return Err(RecordError::Steps { step: index + 1 });
            }
        }
        Self::checked(
            time_s,
            indicated_level_percent,
            Output::Noted {
                first_percent: first_output_percent,
                steps,
            },
        )
    }

    fn checked(
        time_s: Vec<f64>,
        indicated_level_percent: Vec<f64>,
        output: Output,
    ) -> Result<Self, RecordError> {
        if time_s.len() != indicated_level_percent.len() {
            return Err(RecordError::Lengths {
                times: time_s.len(),
                levels: indicated_level_percent.len(),
                outputs: time_s.len(),
            });
        }
        check_finite(&time_s, "time")?;
        check_finite(&indicated_level_percent, "level")?;
        for (index, pair) in time_s.windows(2).enumerate() {
            if !(pair[1] > pair[0]) {
                return Err(RecordError::TimeOrder {
                    reading: index + 2,
                    time_s: pair[1],
                    before_s: pair[0],
                });
            }
        }
        Ok(Self {
            time_s,
            indicated_level_percent,
            output,
        })
    }

    /// Times of the readings, s.
    pub fn time_s(&self) -> &[f64] {
        &self.time_s
    }

    /// INDICATED level, percent of its span.
    pub fn indicated_level_percent(&self) -> &[f64] {
        &self.indicated_level_percent
    }

    /// Number of readings.
    pub fn readings(&self) -> usize {
        self.time_s.len()
    }

    pub(super) const fn output(&self) -> &Output {
        &self.output
    }

    /// The usual time between two readings, s: the middle one of all. 0 for fewer than two readings.
    pub fn usual_interval_s(&self) -> f64 {
        let mut gaps: Vec<f64> = self
            .time_s
            .windows(2)
            .map(|pair| pair[1] - pair[0])
            .collect();
        middle(&mut gaps)
    }
}

/// The middle one of some numbers; 0 of none.
pub(super) fn middle(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn check_finite(values: &[f64], what: &'static str) -> Result<(), RecordError> {
    values
        .iter()
        .position(|value| !value.is_finite())
        .map_or(Ok(()), |index| {
            Err(RecordError::NotFinite {
                reading: index + 1,
                what,
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_a_record_refuses_what_is_no_record() {
        let sampled = |time: &[f64], output: &[f64], level: &[f64]| {
            Record::sampled(time.to_vec(), output.to_vec(), level.to_vec()).unwrap_err()
        };
        assert!(matches!(
            sampled(&[0.0, 1.0], &[1.0], &[1.0, 2.0]),
            RecordError::Lengths { outputs: 1, .. }
        ));
        assert!(matches!(
            sampled(&[0.0, 1.0], &[1.0, 1.0], &[1.0, f64::NAN]),
            RecordError::NotFinite {
                reading: 2,
                what: "level"
            }
        ));
        assert!(matches!(
            sampled(&[0.0, 2.0, 2.0], &[1.0; 3], &[1.0; 3]),
            RecordError::TimeOrder { reading: 3, .. }
        ));
        let step = |time_s| OutputStep {
            time_s,
            output_percent: 50.0,
        };
        assert_eq!(
            Record::noted(vec![0.0], vec![1.0], 40.0, vec![step(9.0), step(9.0)]),
            Err(RecordError::Steps { step: 2 })
        );
    }
}
