//! The tuning window proved by simulation: settings from slow to fast, each through the largest load change up and down at every duty
//! point, with bubbles slow and fast and the actuator at its best and worst; the slowest that hold are picked.
//!
//! ```text
//! holds   TRUE level within the allowed deviation of the set point, no mark passed, no swing that lives on, the model not left
//! ```
//!
//! What limits is found by changing one thing at a time in the worst run and running it again: computed, not guessed.
//!
//! **Source:** acceptance as in the tuning sheet; corners are common practice for what nobody measures. **Range of validity:** that of
//! the vessel's model; SIMULATION. **Checked by:** `proof_tests.rs`.

mod remedies;
mod sheets;
mod trial;

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

use super::parallel::in_parallel;
use super::scan::Elements;
use super::start::{RunError, largest};
use crate::controller::forms::PidSettings;
use crate::description::Loop;
use crate::design::{DesignError, Sheets};
use crate::tuning::judge::{Bench, JudgeError, judge};
use crate::tuning::process::RuleError;
use crate::tuning::sheets::Judged;
use crate::tuning::window::settings_at;
use remedies::{cycles, remedies};
pub use sheets::{CORNERS, Corner, DutyCycle, Fault, Proof, ProofRun, Remedy, Tried};
use trial::{Job, WITHIN_S, proof_run, worse};

/// Settings tried between the slowest and the fastest end.
const TRIED: usize = 8;
/// Why there is no proof.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProofError {
    /// A run.
    #[error(transparent)]
    Run(#[from] RunError),
    /// Margins.
    #[error(transparent)]
    Judge(#[from] JudgeError),
    /// Settings.
    #[error(transparent)]
    Rule(#[from] RuleError),
    /// A changed loop.
    #[error(transparent)]
    Design(#[from] DesignError),
    /// No duty lets the load move.
    #[error(
        "no duty point lets the load move by the largest load change: there is nothing to prove"
    )]
    NothingMoves,
}

/// Proves the window of the tuning sheet.
///
/// # Errors
/// [`ProofError`].
pub fn proof(
    described: &Loop,
    sheets: &Sheets,
    draws: usize,
    seed: u64,
) -> Result<Proof, ProofError> {
    let tuning = &sheets.tuning;
    let bench = Bench {
        duties: &tuning.duties,
        dead_time_s: tuning.dead_time_s,
        load_ratio: tuning.load_change_ratio,
        span_m: described.range.span.height_m(),
        allowed_deviation_m: tuning.allowed_deviation_m,
        max_sensitivity_limit: tuning.max_sensitivity_limit,
    };
    let mut settings = family(sheets, &bench)?;
    let chosen = &tuning.chosen;
    settings.push(
        PidSettings::ideal(chosen.gain_ratio, chosen.reset_s, chosen.derivative_s)
            .map_err(RunError::from)?,
    );
    let moves = moves(described);
    if moves.is_empty() {
        return Err(ProofError::NothingMoves);
    }
    let jobs: Vec<Job> = (0..settings.len())
        .flat_map(|settings| {
            moves.iter().flat_map(move |(duty, load_ratio)| {
                CORNERS.iter().map(move |corner| Job {
                    settings,
                    duty: duty.clone(),
                    load_ratio: *load_ratio,
                    corner: *corner,
                })
            })
        })
        .collect();
    let runs = in_parallel(&jobs, |job| {
        proof_run(
            described,
            sheets,
            settings[job.settings],
            Elements::One,
            WITHIN_S,
            job,
        )
    });
    let mut of_settings: Vec<Vec<ProofRun>> = vec![Vec::new(); settings.len()];
    for (job, run) in jobs.iter().zip(runs) {
        of_settings[job.settings].push(run?);
    }
    let mut tried = Vec::with_capacity(settings.len());
    for (settings, runs) in settings.iter().zip(of_settings) {
        let held = runs.iter().filter(|run| run.fault.is_none()).count();
        let count = runs.len();
        let worst = runs
            .into_iter()
            .max_by(worse)
            .ok_or(ProofError::NothingMoves)?;
        tried.push(Tried {
            judged: judge("tried", *settings, &bench)?,
            held: (held, count),
            worst,
        });
    }
    let chosen = tried.pop().ok_or(ProofError::NothingMoves)?;
    let picked = tried.iter().position(Tried::holds);
    let final_settings =
        picked.map_or_else(|| settings[settings.len() - 1], |index| settings[index]);
    let judged_final = picked.map_or(&chosen, |index| &tried[index]);
    let draws = drawn(described, sheets, final_settings, &moves, (draws, seed))?;
    let (unchanged_peak_m, remedies) =
        remedies(described, sheets, final_settings, &judged_final.worst)?;
    let cycles = cycles(
        described,
        &tuning.duties,
        tuning.dead_time_s,
        &judged_final.judged,
    )?;
    Ok(Proof {
        tried,
        picked,
        chosen,
        draws,
        remedies,
        unchanged_peak_m,
        cycles,
    })
}

/// Settings from slow to fast: closed-loop times from twice the sheet's slowest down to its fastest.
fn family(sheets: &Sheets, bench: &Bench<'_>) -> Result<Vec<PidSettings>, ProofError> {
    let tuning = &sheets.tuning;
    // SIMC: Ti = 4·(tc + θ).
    let time_of = |judged: &Judged| {
        judged
            .reset_s
            .map_or(16.0 * tuning.dead_time_s, |reset_s| {
                0.25 * reset_s - tuning.dead_time_s
            })
            .max(tuning.dead_time_s)
    };
    let fast_s = time_of(&tuning.fastest);
    let slow_s = tuning
        .slowest
        .as_ref()
        .map_or(16.0 * fast_s, |slowest| 2.0 * time_of(slowest))
        .max(1.5 * fast_s);
    (0..TRIED)
        .map(|index| {
            let part = index as f64 / (TRIED - 1) as f64;
            Ok(settings_at(slow_s * (fast_s / slow_s).powf(part), bench)?)
        })
        .collect()
}

/// From every duty the largest load change down and up, where there is room for it.
fn moves(described: &Loop) -> Vec<(String, (f64, f64))> {
    let Some(most) = largest(described).map(|duty| duty.steam_kg_s) else {
        return Vec::new();
    };
    let change = described.limits.largest_load_change_ratio;
    let least = described
        .duties
        .iter()
        .map(|duty| duty.steam_kg_s / most)
        .fold(1.0, f64::min);
    let mut moves = Vec::new();
    for duty in &described.duties {
        let from = duty.steam_kg_s / most;
        // Down to the smallest duty at most, up to the largest at most.
        for to in [(from - change).max(least), (from + change).min(1.0)] {
            if (to - from).abs() > 0.5 * change {
                moves.push((duty.name.clone(), (from, to)));
            }
        }
    }
    moves
}

/// Draws between the corners.
fn drawn(
    described: &Loop,
    sheets: &Sheets,
    settings: PidSettings,
    moves: &[(String, (f64, f64))],
    (count, seed): (usize, u64),
) -> Result<(usize, usize, ProofRun), ProofError> {
    const UNIT: f64 = 1.0 / (1_u64 << 53) as f64;
    let mut generator = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut part = || (generator.next_u64() >> 11) as f64 * UNIT;
    let jobs: Vec<Job> = (0..count.max(1))
        .map(|index| {
            let (duty, load_ratio) = &moves[index % moves.len()];
            Job {
                settings: 0,
                duty: duty.clone(),
                load_ratio: *load_ratio,
                corner: Corner {
                    rise_ratio: part(),
                    stroke_ratio: 0.8 + 0.5 * part(),
                    deadband_ratio: 2.0 * part(),
                },
            }
        })
        .collect();
    let runs = in_parallel(&jobs, |job| {
        proof_run(described, sheets, settings, Elements::One, WITHIN_S, job)
    })
    .into_iter()
    .collect::<Result<Vec<_>, _>>()?;
    let held = runs.iter().filter(|run| run.fault.is_none()).count();
    let count = runs.len();
    let worst = runs
        .into_iter()
        .max_by(worse)
        .ok_or(ProofError::NothingMoves)?;
    Ok((held, count, worst))
}

#[cfg(test)]
#[path = "proof_tests.rs"]
mod tests;
