//! A run: a loop in motion through a scenario, with what is kept of it. The scans themselves are in `motion`.
//!
//! **Checked by:** `property_*` at the end.

use super::motion::Motion;
use super::scenario::Scenario;
use super::start::RunError;
use super::summary::Summary;
use super::vessel::VesselModel;
use crate::controller::forms::PidSettings;
use crate::description::Loop;
use crate::design::Sheets;
use crate::measurement::sheets::Range;

pub use super::motion::LONGEST_SCAN_S;
pub use super::sample::{Sample, Standing};

/// Samples kept of a run, about.
const SAMPLES: f64 = 1_500.0;

/// What a run gave. SIMULATION.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Name of the scenario.
    pub name: String,
    /// What it is to show.
    pub purpose: String,
    /// Scan, s.
    pub scan_s: f64,
    /// Settings the controller had.
    pub settings: PidSettings,
    /// Range the cell had.
    pub range: Range,
    /// Samples, first and last included.
    pub samples: Vec<Sample>,
    /// What happened, alarms and trips that came and went too, with times from the start, s.
    pub events: Vec<(f64, String)>,
    /// Where the run ended before its time and why.
    pub ended: Option<(f64, String)>,
    /// What came of it.
    pub summary: Summary,
}

/// Steps a vessel that stands where the scenario starts through it.
///
/// # Errors
/// [`RunError`]. Where the vessel leaves its model on the way, the run ends there and says so.
pub fn run(
    described: &Loop,
    sheets: &Sheets,
    scenario: &Scenario,
    vessel: &mut dyn VesselModel,
) -> Result<Run, RunError> {
    let mut motion = Motion::new(described, sheets, scenario, vessel)?;
    let scans = (scenario.duration_s / motion.scan_s()).ceil() as u64;
    let stride = ((scans as f64 / SAMPLES).ceil() as u64).max(1);
    let mut samples = Vec::with_capacity(SAMPLES as usize + 2);
    samples.push(motion.sample()?);
    let mut ended = None;
    for index in 1..=scans {
        let at_s = motion.time_s();
        if let Err(why) = motion.step() {
            ended = Some((at_s, why.to_string()));
            break;
        }
        if index % stride == 0 || index == scans {
            samples.push(motion.sample()?);
        }
    }
    Ok(Run {
        name: scenario.name.clone(),
        purpose: scenario.purpose.clone(),
        scan_s: motion.scan_s(),
        settings: motion.settings(),
        range: motion.range(),
        samples,
        events: motion.told().to_vec(),
        ended,
        summary: motion.summary(),
    })
}

#[cfg(test)]
#[path = "run_tests.rs"]
mod tests;
