//! Propagation of distributions by Monte Carlo.
//!
//! | part | how |
//! |------|-----|
//! | generator | xoshiro256++, seeded: the same seed gives the same trials |
//! | normal | polar method of Box and Muller |
//! | pairs | every draw serves twice, the second time with all signs turned (antithetic): each distribution is symmetric, and chance then moves neither the mean nor the middle of a linear output |
//! | repeated readings | scaled t-distribution (JCGM 101, 6.4.9); below 3 degrees of freedom its variance is infinite |
//! | two correlated inputs | joint normal behind their own distributions; its coefficient is 2·sin(π·r/6) for bounded ones, which gives rectangular ones exactly r |
//! | interval | the shortest that holds 95 % of the trials (JCGM 101, 7.7); where many are within 1 % of it, as with every flat or symmetric top, the middle one of them, since which is shortest is then chance |
//!
//! **Source:** JCGM 101:2008. The trials are few for speed: 10 000 leave the ends of an interval uncertain by some 3 % of
//! the standard uncertainty. The check is made to one significant digit (JCGM 101, 7.9.2 and 8): its numerical tolerance
//! is 5 % to 50 % of the standard uncertainty, to which the budget adds what chance does.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};
use statrs::function::erf::erf;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Part of the trials that the interval holds.
const COVERAGE: f64 = 0.95;
/// Intervals longer than the shortest by less than this cannot be told from it with some 10⁴ trials.
const AS_SHORT_RATIO: f64 = 1.01;

/// Shape of an input's distribution about 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Anywhere between −scale and scale alike.
    Rectangular,
    /// Triangle between −scale and scale.
    Triangular,
    /// Arcsine between −scale and scale.
    Arcsine,
    /// Normal, scale its standard deviation.
    Normal,
    /// Student's t with whole degrees of freedom, scale the standard uncertainty of the mean.
    Student(u32),
}

/// An input to draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// Shape.
    pub shape: Shape,
    /// Half width, or standard deviation.
    pub scale: f64,
}

/// What the trials make.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Simulated {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub standard_uncertainty: f64,
    /// Ends of the shortest interval with 95 % of the trials.
    pub interval_95: (f64, f64),
    /// Trials whose output was not a number; they are in none of the above.
    pub without_answer: usize,
}

struct Source {
    generator: Xoshiro256PlusPlus,
    spare_normal: Option<f64>,
}

impl Source {
    /// Evenly in [0, 1), 53 bits.
    fn even(&mut self) -> f64 {
        const UNIT: f64 = 1.0 / (1_u64 << 53) as f64;
        (self.generator.next_u64() >> 11) as f64 * UNIT
    }

    fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare_normal.take() {
            return spare;
        }
        loop {
            let (one, other) = (2.0 * self.even() - 1.0, 2.0 * self.even() - 1.0);
            let square = one * one + other * other;
            if square > 0.0 && square < 1.0 {
                let factor = (-2.0 * square.ln() / square).sqrt();
                self.spare_normal = Some(other * factor);
                return one * factor;
            }
        }
    }

    fn draw(&mut self, input: Draw) -> f64 {
        input.scale
            * match input.shape {
                Shape::Rectangular => 2.0 * self.even() - 1.0,
                Shape::Triangular => self.even() + self.even() - 1.0,
                Shape::Arcsine => (2.0 * PI * self.even()).sin(),
                Shape::Normal => self.normal(),
                Shape::Student(degrees) => {
                    let square: f64 = (0..degrees.max(1)).map(|_| self.normal().powi(2)).sum();
                    self.normal() / (square / f64::from(degrees.max(1))).sqrt()
                }
            }
    }
}

/// The value of a distribution where the normal one has z.
fn behind(input: Draw, z: f64) -> f64 {
    let below = || 0.5 * (1.0 + erf(z * FRAC_1_SQRT_2));
    input.scale
        * match input.shape {
            Shape::Normal | Shape::Student(_) => z,
            Shape::Rectangular => 2.0 * below() - 1.0,
            Shape::Arcsine => -(PI * below()).cos(),
            Shape::Triangular => {
                let part = below();
                if part < 0.5 {
                    (2.0 * part).sqrt() - 1.0
                } else {
                    1.0 - (2.0 * (1.0 - part)).sqrt()
                }
            }
        }
}

/// Runs the trials: `model` turns deviations of the inputs into the output. At most one pair is correlated.
///
/// **Checked by:** `published_jcgm101_sums`, `published_jcgm101_mass`, `property_same_seed_same_trials`,
/// `property_correlated_pair_has_its_coefficient`.
pub fn simulate(
    inputs: &[Draw],
    correlation: Option<(usize, usize, f64)>,
    trials: usize,
    seed: u64,
    mut model: impl FnMut(&[f64]) -> f64,
) -> Simulated {
    let mut source = Source {
        generator: Xoshiro256PlusPlus::seed_from_u64(seed),
        spare_normal: None,
    };
    let joint = correlation.map(|(one, other, coefficient)| {
        let normal = |at: usize| matches!(inputs[at].shape, Shape::Normal);
        let hidden = if normal(one) || normal(other) {
            coefficient
        } else {
            2.0 * (PI * coefficient / 6.0).sin()
        };
        let hidden = hidden.clamp(-1.0, 1.0);
        (one, other, hidden, (1.0 - hidden * hidden).sqrt())
    });
    let mut deviations = vec![0.0; inputs.len()];
    let mut outputs = Vec::with_capacity(trials);
    for trial in 0..trials {
        let mirrored = trial % 2 == 1;
        if mirrored {
            for deviation in &mut deviations {
                *deviation = -*deviation;
            }
        } else {
            for (deviation, input) in deviations.iter_mut().zip(inputs) {
                *deviation = source.draw(*input);
            }
            if let Some((one, other, hidden, rest)) = joint {
                let (z, free) = (source.normal(), source.normal());
                deviations[one] = behind(inputs[one], z);
                deviations[other] = behind(inputs[other], hidden * z + rest * free);
            }
        }
        let output = model(&deviations);
        if output.is_finite() {
            outputs.push(output);
        }
    }
    let without_answer = trials - outputs.len();
    let count = outputs.len() as f64;
    let mean = outputs.iter().sum::<f64>() / count;
    let square: f64 = outputs.iter().map(|output| (output - mean).powi(2)).sum();
    Simulated {
        mean,
        standard_uncertainty: (square / (count - 1.0)).sqrt(),
        interval_95: shortest(&mut outputs),
        without_answer,
    }
}

/// Shortest interval that holds 95 % of the outputs, the middle one of those that are as short; NaN without any.
fn shortest(outputs: &mut [f64]) -> (f64, f64) {
    let held = (COVERAGE * outputs.len() as f64).round() as usize;
    let sorted = tails_sorted(outputs, held);
    let lengths = || {
        sorted
            .iter()
            .zip(sorted.iter().skip(held))
            .map(|(low, high)| high - low)
    };
    let as_short = AS_SHORT_RATIO * lengths().fold(f64::INFINITY, f64::min);
    let (mut sum, mut count) = (0, 0);
    for (start, length) in lengths().enumerate() {
        if length <= as_short {
            sum += start;
            count += 1;
        }
    }
    if count == 0 {
        return (f64::NAN, f64::NAN);
    }
    let start = (sum + count / 2) / count;
    (sorted[start], sorted[start + held])
}

/// Sorts what an interval of `held` trials can start or end with, and leaves the middle, which none does, in any order.
fn tails_sorted(outputs: &mut [f64], held: usize) -> &[f64] {
    let tail = outputs.len() - held;
    if tail < held && tail > 0 {
        outputs.select_nth_unstable_by(held, f64::total_cmp);
        outputs[..held].select_nth_unstable_by(tail, f64::total_cmp);
        outputs[..tail].sort_unstable_by(f64::total_cmp);
        outputs[held..].sort_unstable_by(f64::total_cmp);
    } else {
        outputs.sort_unstable_by(f64::total_cmp);
    }
    outputs
}

/// Numerical tolerance of a standard uncertainty u = c·10^l with c of so many digits: half of 10^l.
///
/// **Source:** JCGM 101:2008, 7.9.2.
pub fn numerical_tolerance(standard_uncertainty: f64, digits: i32) -> f64 {
    if !(standard_uncertainty > 0.0) {
        return 0.0;
    }
    let mut power = standard_uncertainty.log10().floor() as i32 - (digits - 1);
    // 0.96 to one digit is 1: its power is one higher.
    if (standard_uncertainty / 10.0_f64.powi(power)).round() >= 10.0_f64.powi(digits) {
        power += 1;
    }
    0.5 * 10.0_f64.powi(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MANY: usize = 200_000;

    fn sum(inputs: &[Draw]) -> Simulated {
        simulate(inputs, None, MANY, 7, |x| x.iter().sum())
    }

    fn near(simulated: Simulated, u: f64, end: f64, slack: f64) {
        assert!(
            (simulated.standard_uncertainty - u).abs() < 0.01 * u,
            "{simulated:?}"
        );
        assert!(
            (simulated.interval_95.0 + end).abs() < slack
                && (simulated.interval_95.1 - end).abs() < slack,
            "{simulated:?}"
        );
    }

    /// JCGM 101:2008 9.2.2 to 9.2.4: sums of four inputs: normal u 2.0 and 3.92; rectangular u 1 each 3.88; one of them
    /// ten times wider u 10.1 and 17.0.
    #[test]
    fn published_jcgm101_sums() {
        let normal = Draw {
            shape: Shape::Normal,
            scale: 1.0,
        };
        near(sum(&[normal; 4]), 2.0, 3.92, 0.04);
        let rectangular = |u: f64| Draw {
            shape: Shape::Rectangular,
            scale: u * 3.0_f64.sqrt(),
        };
        near(sum(&[rectangular(1.0); 4]), 2.0, 3.88, 0.04);
        let [one, ten] = [1.0, 10.0].map(rectangular);
        near(sum(&[one, one, one, ten]), 10.15, 17.0, 0.1);
    }

    /// JCGM 101:2008 9.3, mass calibration: u 0.075 mg, shortest interval 1.083 to 1.383 mg; numerical tolerance 0.003.
    #[test]
    fn published_jcgm101_mass() {
        let normal = |scale| Draw {
            shape: Shape::Normal,
            scale,
        };
        let even = |scale| Draw {
            shape: Shape::Rectangular,
            scale,
        };
        let inputs = [
            normal(0.05),
            normal(0.02),
            even(0.1),
            even(1000.0),
            even(50.0),
        ];
        let mass = simulate(&inputs, None, MANY, 3, |x| {
            let reference = 100_000.0 + x[0] + 1.234 + x[1];
            let buoyancy = x[2] * (1.0 / (8000.0 + x[3]) - 1.0 / (8000.0 + x[4]));
            reference * (1.0 + buoyancy) - 100_000.0
        });
        assert!(
            (mass.standard_uncertainty - 0.0754).abs() < 5e-4,
            "{mass:?}"
        );
        assert!(
            (mass.interval_95.0 - 1.083).abs() < 0.003
                && (mass.interval_95.1 - 1.383).abs() < 0.003,
            "{mass:?}"
        );
    }

    /// JCGM 101:2008 7.9.2 examples: 0.000 35 with two digits: 0.000 005; 10.15 with two digits (10): 0.5.
    #[test]
    fn published_jcgm101_tolerance() {
        for (u, digits, tolerance) in [
            (0.000_35, 2, 0.000_005),
            (10.15, 2, 0.5),
            (0.35, 1, 0.05),
            (0.96, 1, 0.5),
        ] {
            assert!(
                (numerical_tolerance(u, digits) / tolerance - 1.0).abs() < 1e-9,
                "{u}"
            );
        }
    }

    #[test]
    fn property_same_seed_same_trials() {
        let input = [Draw {
            shape: Shape::Student(9),
            scale: 1.0,
        }];
        let run = |seed| simulate(&input, None, 2000, seed, |x| x[0]);
        assert_eq!(run(1), run(1));
        assert_ne!(run(1), run(2));
        // t with 9 degrees: variance 9/7.
        let many = simulate(&input, None, 50_000, 1, |x| x[0]).standard_uncertainty;
        assert!((many - (9.0_f64 / 7.0).sqrt()).abs() < 0.02, "{many}");
    }

    #[test]
    fn property_correlated_pair_has_its_coefficient() {
        for (shape, u) in [
            (Shape::Rectangular, 3.0_f64.sqrt().recip()),
            (Shape::Triangular, 6.0_f64.sqrt().recip()),
            (Shape::Arcsine, 2.0_f64.sqrt().recip()),
            (Shape::Normal, 1.0),
        ] {
            for r in [-1.0, 0.6, 1.0] {
                let inputs = [Draw { shape, scale: 1.0 }; 2];
                let pair = simulate(&inputs, Some((0, 1, r)), 30_000, 5, |x| x[0] + x[1]);
                let expected = u * (2.0 + 2.0 * r).sqrt();
                assert!(
                    (pair.standard_uncertainty - expected).abs() < 0.03 * u,
                    "{shape:?} {r} {pair:?}"
                );
                let alone = simulate(&inputs, Some((0, 1, r)), 30_000, 5, |x| x[0]);
                assert!(
                    (alone.standard_uncertainty - u).abs() < 0.02,
                    "{shape:?} {alone:?}"
                );
            }
        }
    }

    #[test]
    fn property_trials_without_answer_are_counted() {
        let input = [Draw {
            shape: Shape::Rectangular,
            scale: 1.0,
        }];
        let half = simulate(&input, None, 1000, 1, |x| x[0].sqrt());
        assert_eq!(half.without_answer, 500, "{half:?}");
    }
}
