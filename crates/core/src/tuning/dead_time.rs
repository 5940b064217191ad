//! The dead-time budget: everything between the controller's decision and the level's answer.
//!
//! ```text
//! θ = (resolution/2 + deadband)·Ts + ½·Δh·Ts + filter + damping + sample/2 + τs
//! ```
//!
//! | symbol     | name                                              | unit               |
//! |------------|---------------------------------------------------|--------------------|
//! | resolution | smallest move of the valve                        | fraction of travel |
//! | deadband   | travel lost on reversal                           | fraction of travel |
//! | Ts         | full-stroke time                                  | s                  |
//! | Δh         | travel for the largest load change, worst duty    | fraction of travel |
//! | τs         | swell inverse time: k'(1 − τs·s)/s adds τs to θ   | s                  |
//!
//! **Source:** first-order lags and inverse response counted as effective dead time: Skogestad,
//! J. Process Control 13 (2003) 291-309, half rule taken on its safe side (lags whole, since the process integrates).
//! The actuator's part depends on the size of the move: this is its value for moves the size of the deadband. It is a
//! share of travel run through at full speed, whatever flow that travel gives: the installed gain does not enter it.
//!
//! The stroke's part is counted once the installed valve is known: a load step that comes τ late loses the level
//! ΔL·R·τ (R the level rate at full-valve flow); a valve running at full speed loses ½·ΔL·Δh·Ts·R, Δh the travel that the
//! installed curve wants for it; both are equal for τ = ½·Δh·Ts. A slow controller asks for less than full speed: the part is on the
//! safe side.

use crate::description::Loop;
use crate::tuning::sheets::DeadTimePart;

/// The parts, largest first; that of the stroke only with the share of the stroke known that the largest load change takes. With a
/// process that was measured, its own dead time stands for all that the record saw.
pub fn dead_time_parts(the_loop: &Loop, travel_ratio: Option<f64>) -> Vec<DeadTimePart> {
    let Some(measured) = &the_loop.measured else {
        return computed_parts(the_loop, travel_ratio);
    };
    let mut parts = beyond_a_record(the_loop, travel_ratio);
    parts.push(DeadTimePart {
        name: "measured on the plant, swell and actuator included".into(),
        seconds: measured.delay_s,
        assumed: false,
    });
    largest_first(parts)
}

/// The parts as computed, whatever was measured.
pub(crate) fn computed_parts(the_loop: &Loop, travel_ratio: Option<f64>) -> Vec<DeadTimePart> {
    let mut parts = seen_by_a_record(the_loop);
    parts.extend(beyond_a_record(the_loop, travel_ratio));
    largest_first(parts)
}

fn largest_first(mut parts: Vec<DeadTimePart>) -> Vec<DeadTimePart> {
    parts.sort_by(|a, b| b.seconds.total_cmp(&a.seconds));
    parts
}

/// A part, which is assumed where one of its inputs is.
fn part(the_loop: &Loop, name: &str, seconds: f64, inputs: &[&str]) -> DeadTimePart {
    DeadTimePart {
        name: name.into(),
        seconds,
        assumed: the_loop
            .assumptions
            .iter()
            .any(|assumption| inputs.contains(&assumption.input)),
    }
}

/// What the record of a test in manual holds already.
fn seen_by_a_record(the_loop: &Loop) -> Vec<DeadTimePart> {
    let feedwater = &the_loop.feedwater;
    let travel_lost = (feedwater.resolution_percent / 2.0 + feedwater.deadband_percent) / 100.0;
    vec![
        part(
            the_loop,
            if the_loop.vessel.kind.holds_steam() {
                "swell and shrink (inverse response)"
            } else {
                "start the wrong way (inverse response)"
            },
            feedwater.swell_time_s,
            &["feedwater.swell-time"],
        ),
        part(
            the_loop,
            "actuator deadband and resolution",
            travel_lost * feedwater.stroke_time_s,
            &[
                "feedwater.deadband",
                "feedwater.resolution",
                "feedwater.stroke-time",
            ],
        ),
        part(
            the_loop,
            "cell damping",
            the_loop.cell.damping_s,
            &["cell.damping"],
        ),
    ]
}

/// What comes on top of it in automatic.
fn beyond_a_record(the_loop: &Loop, travel_ratio: Option<f64>) -> Vec<DeadTimePart> {
    let controller = &the_loop.controller;
    let mut parts = vec![
        part(
            the_loop,
            "controller input filter",
            controller.filter_time_s,
            &["controller.filter-time"],
        ),
        part(
            the_loop,
            "half a controller sample",
            controller.sample_time_s / 2.0,
            &["controller.sample-time"],
        ),
    ];
    if let Some(travel_ratio) = travel_ratio {
        parts.push(part(
            the_loop,
            "actuator stroke for the largest load change",
            0.5 * travel_ratio * the_loop.feedwater.stroke_time_s,
            &["feedwater.stroke-time"],
        ));
    }
    parts
}

/// Sum of the parts, s.
pub fn dead_time_s(parts: &[DeadTimePart]) -> f64 {
    parts.iter().map(|part| part.seconds).sum()
}
