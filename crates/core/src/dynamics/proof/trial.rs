//! One run of the proof and what it says of its settings.

use super::sheets::{Corner, Fault, ProofRun};
use crate::controller::forms::PidSettings;
use crate::description::Loop;
use crate::design::Sheets;
use crate::dynamics::plant::plant;
use crate::dynamics::run::{Run, run};
use crate::dynamics::scan::Elements;
use crate::dynamics::scenario::{Event, Happening, RangeChoice, Scenario, SettingsChoice, StartAt};
use crate::dynamics::start::RunError;

/// Before the load moves, s.
const BEFORE_S: f64 = 60.0;
/// Time in which the load moves, s.
pub(super) const WITHIN_S: f64 = 10.0;
/// A swing that lives on has turned round this often in the last third, each time by a tenth of the allowed deviation.
const SWINGS: usize = 4;

/// Settings and where they are tried.
pub(super) struct Job {
    pub(super) settings: usize,
    pub(super) duty: String,
    pub(super) load_ratio: (f64, f64),
    pub(super) corner: Corner,
}

/// One run: a duty, the load change from it, a corner.
pub(super) fn proof_run(
    described: &Loop,
    sheets: &Sheets,
    settings: PidSettings,
    elements: Elements,
    within_s: f64,
    job: &Job,
) -> Result<ProofRun, RunError> {
    let mut described = described.clone();
    let feedwater = &mut described.feedwater;
    feedwater.stroke_time_s *= job.corner.stroke_ratio;
    feedwater.deadband_percent *= job.corner.deadband_ratio;
    let gains = settings.to_parallel();
    let (gain_ratio, per_s) = (gains.proportional_ratio(), gains.integral_per_s());
    let reset_s = (per_s > 0.0).then(|| gain_ratio / per_s);
    let scenario = Scenario {
        name: "proof".into(),
        purpose: "the largest load change".into(),
        // The peak comes within the reset; the rest shows whether a swing dies.
        duration_s: BEFORE_S
            + reset_s.map_or(3600.0, |reset_s| (2.0 * reset_s).clamp(1200.0, 7200.0)),
        start_duty: Some(job.duty.clone()),
        start: StartAt::Duty,
        range: RangeChoice::Chosen,
        settings: SettingsChoice::Stated {
            gain_ratio,
            reset_s,
        },
        elements,
        noise_percent: 0.0,
        seed: 1,
        bubble_rise_ratio: job.corner.rise_ratio,
        events: vec![Event {
            time_s: BEFORE_S,
            happening: Happening::Load {
                share_ratio: job.load_ratio.1,
                within_s,
            },
        }],
    };
    let mut vessel = plant(&described, &scenario)?;
    let run = run(&described, sheets, &scenario, vessel.vessel.as_mut())?;
    Ok(seen(&described, &run, job))
}

/// What a run says of its settings.
fn seen(described: &Loop, run: &Run, job: &Job) -> ProofRun {
    let summary = &run.summary;
    let (high, low) = (summary.highest_m, summary.lowest_m);
    let (peak_m, time_s) = if high.0 >= -low.0 { high } else { low };
    let allowed_m = described.limits.allowed_deviation_m;
    let fault = if let Some((_, why)) = &run.ended {
        Some(Fault::Left(why.clone()))
    } else if let Some(passed) = summary.approaches.iter().find(|one| one.passed_s.is_some()) {
        Some(Fault::Mark(passed.mark))
    } else if peak_m.abs() > allowed_m {
        Some(Fault::Deviation)
    } else if turns_in_last_third(run, 0.1 * allowed_m) >= SWINGS {
        Some(Fault::Swings)
    } else {
        None
    };
    ProofRun {
        duty: job.duty.clone(),
        load_ratio: job.load_ratio,
        corner: job.corner,
        peak_m,
        peak_time_s: (time_s - BEFORE_S).max(0.0),
        fault,
    }
}

/// How often the TRUE level turns round by so much, m, in the last third of a run.
fn turns_in_last_third(run: &Run, by_m: f64) -> usize {
    let from = run.samples.len() * 2 / 3;
    let mut turns = 0;
    let mut rising: Option<bool> = None;
    let mut extreme = f64::NAN;
    for level in run.samples[from..]
        .iter()
        .map(|sample| sample.true_level.m())
    {
        if extreme.is_nan() {
            extreme = level;
        }
        let away = level - extreme;
        match rising {
            Some(up) if (away > 0.0) == up => extreme = level,
            _ if away.abs() > by_m => {
                turns += usize::from(rising.is_some());
                rising = Some(away > 0.0);
                extreme = level;
            }
            _ => {}
        }
    }
    turns
}

/// A run that does not hold is worse than one that does; then the larger deviation.
pub(super) fn worse(left: &ProofRun, right: &ProofRun) -> std::cmp::Ordering {
    let failed = |run: &ProofRun| run.fault.is_some();
    failed(left)
        .cmp(&failed(right))
        .then(left.peak_m.abs().total_cmp(&right.peak_m.abs()))
}
