//! Swell inverse time of a shell boiler: how long its TRUE level goes the wrong way after a step.
//!
//! ```text
//! h(t) → k′·(t − τs) once the bubbles have settled:   τs = ∫(1 − ḣ/k′) dt
//! ```
//!
//! τs is where the asymptote crosses nothing: the area between the level's speed and its last speed, over that speed. That is the τs of
//! k′·(1 − τs·s)/s to first order. Negative: the level leads.
//!
//! The fire stays as it is and the step is small, one hundredth of the duty.
//!
//! **Source:** moments of the step response (Åström & Hägglund, *Advanced PID Control* (2006), ch. 2).
//! **Checked by:** `property_swell_time_is_that_of_its_own_asymptote`.

use std::sync::Arc;

use crate::description::{Duty, Loop};

use super::drift::Drift;
use super::error::DynamicsError;
use super::shell::{ShellBoiler, ShellPlant};
use super::shell_from_loop::{shell_plant, steady_duty};
use super::vessel::VesselModel;

/// What is stepped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The feedwater: what the valve does, and what the controller's settings rest on.
    Feed,
    /// The steam: what a load does.
    Steam,
}

/// Size of the step, of the duty's flow.
const STEP_RATIO: f64 = 0.01;
/// Bubbles have settled after so long, s; the asymptote is taken from there to twice as long.
const SETTLED_S: f64 = 150.0;

/// Swell inverse time of the feedwater valve at a duty over the band of drift, lowest and highest, s.
///
/// # Errors
/// [`DynamicsError`] where the duty has no steady state.
pub fn swell_inverse_time_s(the_loop: &Loop, duty: &Duty) -> Result<(f64, f64), DynamicsError> {
    inverse_time_s(the_loop, duty, Step::Feed)
}

/// The longest swell inverse time of the feedwater valve over the duties, s: that of the slowest bubbles published; not below 0.
///
/// # Errors
/// [`DynamicsError`] where a duty has no steady state.
pub fn longest_swell_time_s(the_loop: &Loop) -> Result<f64, DynamicsError> {
    let (plant, _) = shell_plant(the_loop, Drift::Slow)?;
    let plant = Arc::new(plant);
    the_loop.duties.iter().try_fold(0.0, |longest: f64, duty| {
        Ok(longest.max(of_plant_s(&plant, the_loop, duty, Step::Feed)?))
    })
}

/// Swell inverse time of a step at a duty over the band of drift, lowest and highest, s.
///
/// # Errors
/// [`DynamicsError`] where the duty has no steady state.
pub fn inverse_time_s(
    the_loop: &Loop,
    duty: &Duty,
    step: Step,
) -> Result<(f64, f64), DynamicsError> {
    let mut band = (f64::INFINITY, f64::NEG_INFINITY);
    for drift in [Drift::Slow, Drift::Between(0.5), Drift::Fast] {
        let time_s = at_drift_s(the_loop, duty, step, drift)?;
        band = (band.0.min(time_s), band.1.max(time_s));
    }
    Ok(band)
}

fn at_drift_s(
    the_loop: &Loop,
    duty: &Duty,
    step: Step,
    drift: Drift,
) -> Result<f64, DynamicsError> {
    let (plant, _) = shell_plant(the_loop, drift)?;
    of_plant_s(&Arc::new(plant), the_loop, duty, step)
}

fn of_plant_s(
    plant: &Arc<ShellPlant>,
    the_loop: &Loop,
    duty: &Duty,
    step: Step,
) -> Result<f64, DynamicsError> {
    let (mut boiler, mut boundary) =
        ShellBoiler::steady(Arc::clone(plant), &steady_duty(the_loop, duty)?)?;
    let start_m = boiler.view()?.true_level.m();
    match step {
        Step::Feed => boundary.feed_kg_s *= 1.0 + STEP_RATIO,
        Step::Steam => boundary.steam_kg_s *= 1.0 + STEP_RATIO,
    }
    let mut rise_m = || -> Result<f64, DynamicsError> {
        for _ in 0..SETTLED_S as u32 {
            boiler.advance(&boundary, 1.0)?;
        }
        Ok(boiler.view()?.true_level.m() - start_m)
    };
    let (first_m, second_m) = (rise_m()?, rise_m()?);
    let speed_m_s = (second_m - first_m) / SETTLED_S;
    let time_s = SETTLED_S - first_m / speed_m_s;
    if time_s.is_finite() {
        Ok(time_s)
    } else {
        Err(DynamicsError::NoSteadyState {
            why: "a step moves no level".into(),
        })
    }
}
