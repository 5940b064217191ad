//! What limits: the worst run with one thing changed at a time, and the swings that the valve itself keeps alive.

use super::ProofError;
use super::sheets::{DutyCycle, ProofRun, Remedy};
use super::trial::{Job, WITHIN_S, proof_run};
use crate::controller::forms::PidSettings;
use crate::description::Loop;
use crate::design::{Sheets, design};
use crate::dynamics::parallel::in_parallel;
use crate::dynamics::scan::Elements;
use crate::dynamics::start::RunError;
use crate::tuning::limit_cycle::{LimitCycle, from_play, from_steps};
use crate::tuning::process::IntegratingProcess;
use crate::tuning::sheets::{DutyGain, Judged};

/// The worst run with one thing changed at a time.
pub(super) fn remedies(
    described: &Loop,
    sheets: &Sheets,
    settings: PidSettings,
    worst: &ProofRun,
) -> Result<(f64, Vec<Remedy>), ProofError> {
    let job = Job {
        settings: 0,
        duty: worst.duty.clone(),
        load_ratio: worst.load_ratio,
        corner: worst.corner,
    };
    let mut quick = described.clone();
    quick.feedwater.stroke_time_s *= 0.5;
    let mut exact = described.clone();
    exact.feedwater.deadband_percent = 0.0;
    exact.feedwater.resolution_percent = 0.0;
    let larger = with_larger_valve(described, sheets)?;
    let mut cases: Vec<(&'static str, &Loop, &Sheets, Elements, f64)> = vec![
        (
            "an actuator twice as quick",
            &quick,
            sheets,
            Elements::One,
            WITHIN_S,
        ),
        (
            "no play and no steps in the valve",
            &exact,
            sheets,
            Elements::One,
            WITHIN_S,
        ),
        (
            "feed-forward from the steam flow (two elements)",
            described,
            sheets,
            Elements::Two,
            WITHIN_S,
        ),
        (
            "steam and feedwater flow (three elements)",
            described,
            sheets,
            Elements::Three,
            WITHIN_S,
        ),
        (
            "the load taken in a minute instead of ten seconds",
            described,
            sheets,
            Elements::One,
            60.0,
        ),
    ];
    if let Some((larger, larger_sheets)) = &larger {
        cases.push((
            "a valve one size larger, with the same loop gain",
            larger,
            larger_sheets,
            Elements::One,
            WITHIN_S,
        ));
    }
    cases.insert(0, ("unchanged", described, sheets, Elements::One, WITHIN_S));
    let base_full = sheets.tuning.full_valve_flow_kg_s;
    let done = in_parallel(&cases, |(_, the_loop, its_sheets, elements, within_s)| {
        // A larger valve takes a smaller gain for the same loop.
        let scale = base_full / its_sheets.tuning.full_valve_flow_kg_s;
        let gains = settings.to_parallel();
        let (gain, per_s) = (gains.proportional_ratio(), gains.integral_per_s());
        let settings = PidSettings::ideal(gain * scale, (per_s > 0.0).then(|| gain / per_s), 0.0)?;
        proof_run(the_loop, its_sheets, settings, *elements, *within_s, &job)
    })
    .into_iter()
    .collect::<Result<Vec<_>, RunError>>()?;
    let unchanged_m = done[0].peak_m.abs();
    let mut remedies: Vec<Remedy> = cases
        .iter()
        .zip(&done)
        .skip(1)
        .map(|((change, ..), run)| Remedy {
            change,
            peak_m: run.peak_m.abs(),
            holds: run.fault.is_none(),
        })
        .collect();
    remedies.sort_by(|left, right| {
        right
            .holds
            .cmp(&left.holds)
            .then(left.peak_m.total_cmp(&right.peak_m))
    });
    Ok((unchanged_m, remedies))
}

/// The loop with the next larger size fitted, or half as much flow again where no valve is described; `None` where there is no larger.
fn with_larger_valve(
    described: &Loop,
    sheets: &Sheets,
) -> Result<Option<(Loop, Sheets)>, ProofError> {
    let mut larger = described.clone();
    match (&mut larger.feed_system, &sheets.feedwater) {
        (Some(system), Some(sheet)) => {
            let next = system
                .valve
                .sizes
                .iter()
                .filter(|size| size.rated_kv_m3_h > 1.01 * sheet.chosen_kv_m3_h)
                .min_by(|left, right| left.rated_kv_m3_h.total_cmp(&right.rated_kv_m3_h))
                .cloned();
            let Some(next) = next else { return Ok(None) };
            system.valve.fitted = Some(next);
        }
        _ => return Ok(None),
    }
    let sheets = design(&larger)?;
    Ok(Some((larger, sheets)))
}

/// Steady swings at every duty, by the describing function.
pub(super) fn cycles(
    described: &Loop,
    duties: &[DutyGain],
    dead_time_s: f64,
    judged: &Judged,
) -> Result<Vec<DutyCycle>, ProofError> {
    duties
        .iter()
        .map(|duty| {
            let process = IntegratingProcess::new(duty.indicated_gain_per_s, dead_time_s)?;
            let with = |of: fn(IntegratingProcess, f64, f64, f64) -> Option<LimitCycle>,
                        percent: f64| {
                judged
                    .reset_s
                    .and_then(|reset_s| of(process, judged.gain_ratio, reset_s, 0.01 * percent))
            };
            Ok(DutyCycle {
                duty: duty.name.clone(),
                play: with(from_play, described.feedwater.deadband_percent),
                steps: with(from_steps, described.feedwater.resolution_percent),
            })
        })
        .collect()
}
