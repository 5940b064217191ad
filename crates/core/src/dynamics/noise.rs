//! Noise on the level signal, the same for the same seed.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

/// A number of 0 up to 1.
pub(super) fn even(generator: &mut Xoshiro256PlusPlus) -> f64 {
    const UNIT: f64 = 1.0 / (1_u64 << 53) as f64;
    (generator.next_u64() >> 11) as f64 * UNIT
}

/// Noise of a standard deviation.
#[derive(Debug, Clone)]
pub(super) struct Noise {
    generator: Xoshiro256PlusPlus,
    deviation_percent: f64,
}

impl Noise {
    pub(super) fn new(seed: u64, deviation_percent: f64) -> Self {
        Self {
            generator: Xoshiro256PlusPlus::seed_from_u64(seed),
            deviation_percent,
        }
    }

    /// The sum of twelve even numbers: normal to the eye, and never beyond six deviations.
    pub(super) fn next(&mut self) -> f64 {
        if !(self.deviation_percent > 0.0) {
            return 0.0;
        }
        let sum: f64 = (0..12).map(|_| even(&mut self.generator)).sum();
        self.deviation_percent * (sum - 6.0)
    }
}
