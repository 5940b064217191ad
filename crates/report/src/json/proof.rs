//! The proof of the tuning window as JSON; every object says that it is simulated.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::proof::{Proof, ProofRun, Tried};
use halfglass_core::tuning::limit_cycle::LimitCycle;
use serde_json::{Value, json};

use super::drop_signs_of_zero;

/// The envelope of a proof.
pub fn proof(described: &Loop, proof: &Proof, file: &str, sha256: &str) -> Value {
    let mut envelope = json!({
        "format": "halfglass-tuning-proof",
        "version": super::VERSION,
        "simulation": true,
        "file": file,
        "sha256": sha256,
        "tag": described.identity.tag,
        "allowed_deviation_m": described.limits.allowed_deviation_m,
        "picked": proof.picked.map(|index| tried(&proof.tried[index])),
        "tried": proof.tried.iter().map(tried).collect::<Vec<_>>(),
        "chosen": tried(&proof.chosen),
        "draws": {
            "held": proof.draws.0,
            "of": proof.draws.1,
            "worst": run(&proof.draws.2),
        },
        "unchanged_peak_m": proof.unchanged_peak_m,
        "remedies": proof.remedies.iter().map(|remedy| json!({
            "change": remedy.change,
            "peak_m": remedy.peak_m,
            "holds": remedy.holds,
        })).collect::<Vec<_>>(),
        "limit_cycles": proof.cycles.iter().map(|at| json!({
            "duty": at.duty,
            "play": cycle(at.play),
            "steps": cycle(at.steps),
        })).collect::<Vec<_>>(),
    });
    drop_signs_of_zero(&mut envelope);
    envelope
}

fn tried(tried: &Tried) -> Value {
    json!({
        "gain_ratio": tried.judged.gain_ratio,
        "reset_s": tried.judged.reset_s,
        "max_sensitivity_ratio": tried.judged.max_sensitivity_ratio,
        "phase_margin_deg": tried.judged.phase_margin_deg,
        "holds": tried.holds(),
        "runs_held": tried.held.0,
        "runs": tried.held.1,
        "worst": run(&tried.worst),
    })
}

fn run(run: &ProofRun) -> Value {
    json!({
        "duty": run.duty,
        "load_from_ratio": run.load_ratio.0,
        "load_to_ratio": run.load_ratio.1,
        "bubble_rise_ratio": run.corner.rise_ratio,
        "stroke_ratio": run.corner.stroke_ratio,
        "deadband_ratio": run.corner.deadband_ratio,
        "peak_m": run.peak_m,
        "peak_time_s": run.peak_time_s,
        "fault": run.fault.as_ref().map(|fault| fault.words()),
    })
}

fn cycle(cycle: Option<LimitCycle>) -> Option<Value> {
    cycle.map(|cycle| {
        json!({
            "period_s": cycle.period_s,
            "level_ratio": cycle.level_ratio,
            "output_ratio": cycle.output_ratio,
        })
    })
}
