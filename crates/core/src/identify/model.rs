//! The model of a test and its fit at a given dead time, where it is linear.
//!
//! ```text
//! y(t) = y₀ + r·t + k'·[ U(t − θ) − τs·(u(t − θ) − u₀) ],    U(t) = ∫ (u − u₀) dt
//! ```
//!
//! | symbol | name                                        | unit |
//! |--------|---------------------------------------------|------|
//! | y      | INDICATED level                             | %    |
//! | u      | output, constant between its steps          | %    |
//! | u₀     | output before the first step                | %    |
//! | k'     | process gain                                | 1/s  |
//! | θ      | dead time                                   | s    |
//! | τs     | swell: how long the level goes the wrong way | s    |
//! | r      | drift: feed and load not in balance         | %/s  |
//!
//! The output is constant between its steps, so U is a chain of straight lines and the model is exact at any dead time,
//! whole samples or not. **Source:** integration of k'(1 − τs·s)·e^(−θs)/s; signs as in the tuning sheet.

use nalgebra::{Cholesky, Const, SMatrix, SVector};

use crate::identify::record::Record;
use crate::identify::steps::OutputSteps;

/// Output since the start, integrated exactly.
#[derive(Debug, Clone)]
pub(super) struct Excursion {
    /// Step time, excursion from the first output after it, its integral up to it.
    corners: Vec<(f64, f64, f64)>,
}

impl Excursion {
    pub(super) fn new(steps: &OutputSteps) -> Self {
        let mut corners = Vec::with_capacity(steps.steps.len());
        let (mut time_s, mut excursion, mut integral) = (0.0, 0.0, 0.0);
        for step in &steps.steps {
            integral += excursion * (step.time_s - time_s);
            excursion = step.output_percent - steps.first_percent;
            time_s = step.time_s;
            corners.push((time_s, excursion, integral));
        }
        Self { corners }
    }

    /// Excursion, %, and its integral, %·s.
    fn at(&self, time_s: f64) -> (f64, f64) {
        match self.corners.partition_point(|corner| corner.0 <= time_s) {
            0 => (0.0, 0.0),
            after => {
                let (begins_s, excursion, integral) = self.corners[after - 1];
                (excursion, integral + excursion * (time_s - begins_s))
            }
        }
    }
}

/// The model on one record.
pub(super) struct Model<'a> {
    pub(super) record: &'a Record,
    pub(super) excursion: Excursion,
    middle_s: f64,
    half_length_s: f64,
}

/// What is linear in the model, fitted at one dead time.
#[derive(Debug, Clone)]
pub(super) struct LinearFit {
    pub(super) dead_time_s: f64,
    /// Level at the middle of the record, were there no step, %.
    level_percent: f64,
    pub(super) drift_percent_s: f64,
    pub(super) gain_per_s: f64,
    /// −k'·τs.
    jump: f64,
    pub(super) sum_of_squares: f64,
}

impl LinearFit {
    /// τs, s.
    pub(super) fn swell_s(&self) -> f64 {
        -self.jump / self.gain_per_s
    }
}

/// Variances per unit variance of the noise.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spread {
    pub(super) gain: f64,
    pub(super) drift: f64,
    /// Of θ + τs.
    pub(super) sum: f64,
}

impl<'a> Model<'a> {
    pub(super) fn new(record: &'a Record, steps: &OutputSteps) -> Self {
        let first_s = record.time_s().first().copied().unwrap_or(0.0);
        let last_s = record.time_s().last().copied().unwrap_or(0.0);
        Self {
            record,
            excursion: Excursion::new(steps),
            middle_s: 0.5 * (first_s + last_s),
            half_length_s: (0.5 * (last_s - first_s)).max(f64::MIN_POSITIVE),
        }
    }

    /// One row: level, drift, gain, jump. The drift's column is scaled to ±1.
    fn row(&self, time_s: f64, dead_time_s: f64) -> [f64; 4] {
        let (excursion, integral) = self.excursion.at(time_s - dead_time_s);
        [
            1.0,
            (time_s - self.middle_s) / self.half_length_s,
            integral,
            excursion,
        ]
    }

    /// Normal matrix and right side.
    fn normal<const N: usize>(&self, dead_time_s: f64) -> ([[f64; N]; N], [f64; N]) {
        let mut matrix = [[0.0; N]; N];
        let mut right = [0.0; N];
        for (&time_s, &level) in self
            .record
            .time_s()
            .iter()
            .zip(self.record.indicated_level_percent())
        {
            let row = self.row(time_s, dead_time_s);
            for i in 0..N {
                right[i] += row[i] * level;
                for j in 0..=i {
                    matrix[i][j] += row[i] * row[j];
                }
            }
        }
        (matrix, right)
    }

    /// Least squares at this dead time, with a swell or without; `None` where the record does not fix every number.
    pub(super) fn fit(&self, dead_time_s: f64, with_swell: bool) -> Option<LinearFit> {
        let found = if with_swell {
            self.solved::<4>(dead_time_s)?
        } else {
            let [level, drift, gain] = self.solved::<3>(dead_time_s)?;
            [level, drift, gain, 0.0]
        };
        let mut fit = LinearFit {
            dead_time_s,
            level_percent: found[0],
            drift_percent_s: found[1] / self.half_length_s,
            gain_per_s: found[2],
            jump: found[3],
            sum_of_squares: 0.0,
        };
        fit.sum_of_squares = self
            .record
            .time_s()
            .iter()
            .zip(self.record.indicated_level_percent())
            .map(|(&time_s, level)| (level - self.level_percent(&fit, time_s)).powi(2))
            .sum();
        fit.sum_of_squares.is_finite().then_some(fit)
    }

    fn solved<const N: usize>(&self, dead_time_s: f64) -> Option<[f64; N]> {
        let (matrix, right) = self.normal::<N>(dead_time_s);
        let (factors, scale) = factored(&matrix)?;
        let right = SVector::<f64, N>::from(right).component_mul(&scale);
        Some(factors.solve(&right).component_mul(&scale).into())
    }

    /// The model's level at a reading's time, %.
    pub(super) fn level_percent(&self, fit: &LinearFit, time_s: f64) -> f64 {
        let [_, _, integral, excursion] = self.row(time_s, fit.dead_time_s);
        fit.level_percent
            + fit.drift_percent_s * (time_s - self.middle_s)
            + fit.gain_per_s * integral
            + fit.jump * excursion
    }

    /// Read less fitted, %.
    pub(super) fn residuals(&self, fit: &LinearFit) -> Vec<f64> {
        self.record
            .time_s()
            .iter()
            .zip(self.record.indicated_level_percent())
            .map(|(&time_s, level)| level - self.level_percent(fit, time_s))
            .collect()
    }

    /// Spread of the numbers at a fit, from its Jacobian: the column of the jump is also that of the dead time, times −k',
    /// so that θ + τs has one spread whether the swell is fitted or not.
    pub(super) fn spread(&self, fit: &LinearFit) -> Option<Spread> {
        let (matrix, _) = self.normal::<4>(fit.dead_time_s);
        let (factors, scale) = factored(&matrix)?;
        let inverse = factors.inverse();
        let of = |i: usize, j: usize| inverse[(i, j)] * scale[i] * scale[j];
        let gain = fit.gain_per_s;
        let (by_jump, by_gain) = (-1.0 / gain, fit.jump / (gain * gain));
        Some(Spread {
            gain: of(2, 2),
            drift: of(1, 1) / (self.half_length_s * self.half_length_s),
            sum: by_jump * by_jump * of(3, 3)
                + 2.0 * by_jump * by_gain * of(2, 3)
                + by_gain * by_gain * of(2, 2),
        })
    }
}

/// The normal matrix factored, its columns scaled to length 1, and one over their lengths; `None` for a column that is zero
/// or is made of the others.
fn factored<const N: usize>(
    matrix: &[[f64; N]; N],
) -> Option<(Cholesky<f64, Const<N>>, SVector<f64, N>)> {
    let scale = SVector::<f64, N>::from_fn(|i, _| matrix[i][i].sqrt().recip());
    if !scale.iter().all(|one| one.is_finite()) {
        return None;
    }
    let scaled =
        SMatrix::<f64, N, N>::from_fn(|i, j| matrix[i.max(j)][i.min(j)] * scale[i] * scale[j]);
    Some((Cholesky::new(scaled)?, scale))
}
