//! Records made by the closed form, for tests: seeded noise with or without memory.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

use crate::identify::record::Record;
use crate::identify::steps::OutputStep;

/// Normal noise; with memory r each draw is r of the last one and √(1 − r²) of a new one.
pub(super) struct Noise {
    generator: Xoshiro256PlusPlus,
    deviation: f64,
    memory: f64,
    last: f64,
}

impl Noise {
    pub(super) fn new(seed: u64, deviation: f64, memory: f64) -> Self {
        let mut noise = Self {
            generator: Xoshiro256PlusPlus::seed_from_u64(seed),
            deviation,
            memory,
            last: 0.0,
        };
        noise.last = noise.normal();
        noise
    }

    pub(super) fn even(&mut self) -> f64 {
        (self.generator.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Box and Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }

    pub(super) fn draw(&mut self) -> f64 {
        let fresh = self.normal();
        self.last = self.memory * self.last + (1.0 - self.memory * self.memory).sqrt() * fresh;
        self.deviation * self.last
    }
}

/// A plant and how it is recorded.
#[derive(Debug, Clone)]
pub(super) struct Plant {
    pub(super) gain_per_s: f64,
    pub(super) dead_time_s: f64,
    pub(super) swell_s: f64,
    pub(super) drift_percent_s: f64,
    /// A load change, percent per second more from a time on.
    pub(super) load: (f64, f64),
    /// What the valve really does of what the output asks, from plateau to plateau.
    pub(super) first_percent: f64,
    pub(super) steps: Vec<OutputStep>,
    /// The valve's own steps where it does not follow.
    pub(super) valve_steps: Option<Vec<OutputStep>>,
    pub(super) interval_s: f64,
    pub(super) end_s: f64,
    pub(super) noise_percent: f64,
    pub(super) noise_memory: f64,
    pub(super) resolution_percent: f64,
}

pub(super) const fn step(time_s: f64, output_percent: f64) -> OutputStep {
    OutputStep {
        time_s,
        output_percent,
    }
}

impl Plant {
    /// k' 1/1000 s, dead time 12 s, no swell, a balanced load, the output up 10 % at 120 s and back at 300 s, a reading every two seconds.
    pub(super) fn pulse() -> Self {
        Self {
            gain_per_s: 1e-3,
            dead_time_s: 12.0,
            swell_s: 0.0,
            drift_percent_s: 0.002,
            load: (0.0, 0.0),
            first_percent: 40.0,
            steps: vec![step(120.0, 50.0), step(300.0, 40.0)],
            valve_steps: None,
            interval_s: 2.0,
            end_s: 480.0,
            noise_percent: 0.0,
            noise_memory: 0.0,
            resolution_percent: 0.0,
        }
    }

    /// The level at a time, by summing each step's own ramp: written apart from the model that is fitted.
    fn level_percent(&self, time_s: f64) -> f64 {
        let mut level = 50.0 + self.drift_percent_s * time_s;
        let (rate, from_s) = self.load;
        level += rate * (time_s - from_s).max(0.0);
        let mut before = self.first_percent;
        for step in self.valve_steps.as_ref().unwrap_or(&self.steps) {
            let since_s = time_s - step.time_s - self.dead_time_s;
            if since_s >= 0.0 {
                level +=
                    self.gain_per_s * (step.output_percent - before) * (since_s - self.swell_s);
            }
            before = step.output_percent;
        }
        level
    }

    pub(super) fn record(&self, seed: u64) -> Record {
        let mut noise = Noise::new(seed, self.noise_percent, self.noise_memory);
        let count = (self.end_s / self.interval_s) as usize;
        let time_s: Vec<f64> = (0..=count).map(|i| i as f64 * self.interval_s).collect();
        let level = time_s
            .iter()
            .map(|&t| {
                let level = self.level_percent(t) + noise.draw();
                if self.resolution_percent > 0.0 {
                    (level / self.resolution_percent).round() * self.resolution_percent
                } else {
                    level
                }
            })
            .collect();
        let output = time_s
            .iter()
            .map(|&t| {
                self.steps
                    .iter()
                    .take_while(|step| step.time_s <= t)
                    .last()
                    .map_or(self.first_percent, |step| step.output_percent)
            })
            .collect();
        Record::sampled(time_s, output, level).unwrap()
    }

    /// Readings at these times, the steps noted exactly.
    pub(super) fn readings(&self, seed: u64, times_s: &[f64]) -> Record {
        let mut noise = Noise::new(seed, self.noise_percent, self.noise_memory);
        let level = times_s
            .iter()
            .map(|&t| self.level_percent(t) + noise.draw())
            .collect();
        Record::noted(
            times_s.to_vec(),
            level,
            self.first_percent,
            self.steps.clone(),
        )
        .unwrap()
    }
}
