//! The loop in motion behind the registers, a scan at a time.

use std::sync::Arc;
use std::time::{Duration, Instant};

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::dynamics::motion::Motion;
use halfglass_core::dynamics::plant::plant;
use halfglass_core::dynamics::scenario::Scenario;
use halfglass_core::dynamics::start::RunError;

use crate::exchange::Exchange;

/// Further behind than this, the clock is set anew instead of being caught up with.
const LARGEST_LAG: Duration = Duration::from_secs(2);

/// A plant that runs through a scenario and goes on behind its end.
pub struct VirtualPlant<'a> {
    motion: Motion<'a>,
    exchange: Arc<Exchange>,
}

impl<'a> VirtualPlant<'a> {
    /// A plant that stands where the scenario starts.
    ///
    /// # Errors
    /// [`RunError`].
    pub fn new(
        described: &'a Loop,
        sheets: &Sheets,
        scenario: &Scenario,
    ) -> Result<Self, RunError> {
        let vessel = plant(described, scenario)?.vessel;
        let motion = Motion::new(described, sheets, scenario, vessel)?;
        let sample = motion.sample()?;
        let largest = described
            .duties
            .iter()
            .map(|duty| duty.steam_kg_s)
            .fold(0.0, f64::max);
        let load_percent = if largest > 0.0 {
            100.0 * sample.outflow_kg_s / largest
        } else {
            100.0
        };
        Ok(Self {
            motion,
            exchange: Arc::new(Exchange::new(sample, load_percent)),
        })
    }

    /// What the server answers from.
    pub fn exchange(&self) -> Arc<Exchange> {
        Arc::clone(&self.exchange)
    }

    /// One scan: what was ordered happens, the vessel goes on, the registers follow.
    ///
    /// # Errors
    /// [`RunError`] where the vessel leaves the model; the registers keep the last sample and say that the run has ended.
    pub fn step(&mut self) -> Result<(), RunError> {
        let done = self.stepped();
        if done.is_err() {
            self.exchange.end();
        }
        done
    }

    fn stepped(&mut self) -> Result<(), RunError> {
        for order in self.exchange.take_orders() {
            self.motion.apply(order)?;
        }
        self.motion.step()?;
        self.exchange.publish(self.motion.sample()?);
        Ok(())
    }

    /// Steps as time goes by, `speed` times as fast, until `is_over`.
    ///
    /// # Errors
    /// [`RunError`] where the vessel leaves the model.
    pub fn run(&mut self, speed: f64, is_over: impl Fn() -> bool) -> Result<(), RunError> {
        let scan = Duration::from_secs_f64(self.motion.scan_s() / speed);
        let mut due = Instant::now();
        while !is_over() {
            self.step()?;
            due += scan;
            let now = Instant::now();
            match due.checked_duration_since(now) {
                Some(wait) => std::thread::sleep(wait),
                None if now - due > LARGEST_LAG => due = now,
                None => {}
            }
        }
        Ok(())
    }
}
