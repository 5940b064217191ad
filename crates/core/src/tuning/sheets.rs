//! What the tuning sheet holds. Every figure is a FORECAST until a bump test confirms it.

use crate::finding::Finding;
use crate::tuning::measured::MeasuredUse;
use crate::working::Working;

/// Process gain at a duty point.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyGain {
    /// Duty name.
    pub name: String,
    /// Gain of the installed valve: d(flow/full-valve flow)/d(travel fraction); 1 where it is taken as linear.
    pub installed_gain_ratio: f64,
    /// True-level process gain k', 1/s, that gain included: output fraction to level-span fraction per second.
    pub process_gain_per_s: f64,
    /// The same with the indicated level.
    pub indicated_gain_per_s: f64,
    /// Free surface at the set point, m2.
    pub free_surface_m2: f64,
    /// Vessel liquid density, kg/m3.
    pub liquid_density_kg_m3: f64,
}

/// One part of the dead-time budget.
#[derive(Debug, Clone, PartialEq)]
pub struct DeadTimePart {
    /// What it is.
    pub name: String,
    /// Seconds.
    pub seconds: f64,
    /// True when it rests on an assumption.
    pub assumed: bool,
}

/// Settings and how they behave, worst over the duty points.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Name: chosen, slowest, fastest, as found, habit.
    pub name: String,
    /// Gain Kc, %/%.
    pub gain_ratio: f64,
    /// Reset, s/repeat; `None`: no reset.
    pub reset_s: Option<f64>,
    /// Derivative, s.
    pub derivative_s: f64,
    /// Is the closed loop stable at every duty point.
    pub stable: bool,
    /// Maximum sensitivity Ms, worst duty; infinite when unstable.
    pub max_sensitivity_ratio: f64,
    /// Gain margin, worst duty.
    pub gain_margin_ratio: f64,
    /// Phase margin, worst duty, degrees.
    pub phase_margin_deg: f64,
    /// Delay margin, worst duty, s.
    pub delay_margin_s: f64,
    /// Damping of the ideal integrator under these settings, lowest duty.
    pub damping_ratio: f64,
    /// Period of the closed loop's swing, s; `None` when it does not swing.
    pub period_s: Option<f64>,
    /// Peak deviation of the true level after the largest load change, m, worst duty.
    pub peak_true_deviation_m: f64,
    /// When the peak comes, s.
    pub time_of_peak_s: f64,
    /// Response of the true level to the largest load change: (s, m), worst duty.
    pub response: Vec<(f64, f64)>,
    /// Does the peak stay within the allowed deviation.
    pub holds_deviation: bool,
    /// Is it robust (Ms at or under the limit).
    pub robust: bool,
}

/// The tuning sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct TuningSheet {
    /// Full-valve flow, kg/s.
    pub full_valve_flow_kg_s: f64,
    /// Where it comes from.
    pub full_valve_flow_source: String,
    /// Is the valve taken as linear, for want of a described feed system.
    pub valve_taken_as_linear: bool,
    /// Load change, fraction of full-valve flow.
    pub load_change_ratio: f64,
    /// Allowed deviation, m.
    pub allowed_deviation_m: f64,
    /// Largest Ms accepted.
    pub max_sensitivity_limit: f64,
    /// What a test on the plant gave and the sheet takes; `None`: every figure is computed.
    pub measured: Option<MeasuredUse>,
    /// Gains.
    pub duties: Vec<DutyGain>,
    /// Dead-time budget.
    pub dead_time: Vec<DeadTimePart>,
    /// Sum, s.
    pub dead_time_s: f64,
    /// Slowest settings that hold the deviation; `None` when no settings do.
    pub slowest: Option<Judged>,
    /// Fastest settings that stay robust.
    pub fastest: Judged,
    /// Is there a window between them.
    pub window_open: bool,
    /// In words: the window, or what would open it.
    pub window_words: String,
    /// The chosen settings.
    pub chosen: Judged,
    /// As found.
    pub as_found: Option<Judged>,
    /// Habit: 25 % band, reset 80 s, no derivative.
    pub habit: Judged,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
