//! The dead-time budget: everything between the controller's decision and the level's answer.
//!
//! ```text
//! θ = (resolution/2 + deadband)·Ts + ½·min(ΔL/g, 1)·Ts + filter + damping + sample/2 + τs
//! ```
//!
//! | symbol     | name                                              | unit               |
//! |------------|---------------------------------------------------|--------------------|
//! | resolution | smallest move of the valve                        | fraction of travel |
//! | deadband   | travel lost on reversal                           | fraction of travel |
//! | Ts         | full-stroke time                                  | s                  |
//! | ΔL         | largest load change over full-valve flow          | ratio              |
//! | g          | smallest installed gain of the duties             | ratio              |
//! | τs         | swell inverse time: k'(1 − τs·s)/s adds τs to θ   | s                  |
//!
//! **Source:** first-order lags and inverse response counted as effective dead time: Skogestad,
//! J. Process Control 13 (2003) 291-309, half rule taken on its safe side (lags whole, since the process integrates).
//! The actuator's part depends on the size of the move: this is its value for moves the size of the deadband. It is a
//! share of travel run through at full speed, whatever flow that travel gives: the installed gain does not enter it.
//!
//! The stroke's part is counted once the installed valve is known: a load step that comes τ late loses the level
//! ΔL·R·τ (R the level rate at full-valve flow); a valve running at full speed loses ½·ΔL·(ΔL/g)·Ts·R, since it must travel
//! ΔL/g; both are equal for τ = ½·(ΔL/g)·Ts. A slow controller asks for less than full speed: the part is on the safe side.

use crate::description::Loop;
use crate::tuning::sheets::DeadTimePart;

/// What the installed valve must travel for the largest load change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadTravel {
    /// Largest load change over full-valve flow, ratio.
    pub load_change_ratio: f64,
    /// Smallest installed gain of the duties, ratio.
    pub smallest_gain_ratio: f64,
}

impl LoadTravel {
    /// Share of the stroke; the whole of it where the load change takes more.
    fn share(self) -> f64 {
        (self.load_change_ratio / self.smallest_gain_ratio).min(1.0)
    }
}

/// The parts, largest first; that of the stroke only with the installed valve known.
pub fn dead_time_parts(the_loop: &Loop, travel: Option<LoadTravel>) -> Vec<DeadTimePart> {
    let feedwater = &the_loop.feedwater;
    let controller = &the_loop.controller;
    let assumed = |inputs: &[&str]| {
        the_loop
            .assumptions
            .iter()
            .any(|assumption| inputs.contains(&assumption.input))
    };
    let part = |name: &str, seconds: f64, inputs: &[&str]| DeadTimePart {
        name: name.into(),
        seconds,
        assumed: assumed(inputs),
    };
    let travel_lost = (feedwater.resolution_percent / 2.0 + feedwater.deadband_percent) / 100.0;
    let mut parts = vec![
        part(
            if the_loop.vessel.kind.holds_steam() {
                "swell and shrink (inverse response)"
            } else {
                "start the wrong way (inverse response)"
            },
            feedwater.swell_time_s,
            &["feedwater.swell-time"],
        ),
        part(
            "actuator deadband and resolution",
            travel_lost * feedwater.stroke_time_s,
            &[
                "feedwater.deadband",
                "feedwater.resolution",
                "feedwater.stroke-time",
            ],
        ),
        part(
            "controller input filter",
            controller.filter_time_s,
            &["controller.filter-time"],
        ),
        part("cell damping", the_loop.cell.damping_s, &["cell.damping"]),
        part(
            "half a controller sample",
            controller.sample_time_s / 2.0,
            &["controller.sample-time"],
        ),
    ];
    if let Some(travel) = travel {
        parts.push(part(
            "actuator stroke for the largest load change",
            0.5 * travel.share() * feedwater.stroke_time_s,
            &["feedwater.stroke-time"],
        ));
    }
    parts.sort_by(|a, b| b.seconds.total_cmp(&a.seconds));
    parts
}

/// Sum of the parts, s.
pub fn dead_time_s(parts: &[DeadTimePart]) -> f64 {
    parts.iter().map(|part| part.seconds).sum()
}
