//! The control as described: valve, controller, limits, what was found set, people and instruments.

use crate::controller::forms::PidForm;
use crate::controller::units::{DerivativeUnit, GainUnit, ResetUnit};

/// Where a valve goes when it loses its signal or its power.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FailPosition {
    /// Stays where it is.
    Last,
    /// Opens.
    Open,
    /// Closes.
    Closed,
}

/// What opening the valve does to the level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveService {
    /// Opening raises the level.
    Inflow,
    /// Opening lowers the level.
    Outflow,
}

/// The feedwater valve as far as tuning and loss of signal need it.
#[derive(Debug, Clone)]
pub struct Feedwater {
    /// Does the valve fill or drain the vessel.
    pub service: ValveService,
    /// Does rising controller output open the valve.
    pub rising_output_opens: bool,
    /// Flow with the valve fully open, kg/s.
    pub full_valve_flow_kg_s: f64,
    /// Where that flow comes from, in words: `stated` or the assumption.
    pub full_valve_flow_source: String,
    /// Full-stroke time, s.
    pub stroke_time_s: f64,
    /// Deadband of actuator and valve, percent of travel.
    pub deadband_percent: f64,
    /// Resolution, percent of travel.
    pub resolution_percent: f64,
    /// Swell inverse time, s.
    pub swell_time_s: f64,
    /// Position on loss of the control signal.
    pub on_signal_loss: FailPosition,
    /// Position on loss of actuator power.
    pub on_power_loss: FailPosition,
}

/// Which test measured a process.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlantTest {
    /// The output stepped in manual.
    Bump,
    /// The output going to and fro between two values.
    Relay,
}

/// A process measured on the plant, as the panel saw it: INDICATED level.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredProcess {
    /// How.
    pub test: PlantTest,
    /// When, as the person writes a date.
    pub date: String,
    /// Name of the duty point at which it was made.
    pub duty: String,
    /// Time in which the panel passes its whole span with the output 100 % off balance, 1/k', s.
    pub span_time_s: f64,
    /// Dead time, swell included, s.
    pub delay_s: f64,
}

impl MeasuredProcess {
    /// Process gain k' of the INDICATED level, 1/s.
    pub fn gain_per_s(&self) -> f64 {
        1.0 / self.span_time_s
    }
}

/// What the controller does when its input is out of range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InputFault {
    /// Treats it as a level like any other.
    NotDetected,
    /// Holds its output.
    HoldOutput,
    /// Drives its output to 0 %.
    OutputLow,
    /// Drives its output to 100 %.
    OutputHigh,
}

/// The controller and the units its settings want.
#[derive(Debug, Clone)]
pub struct Controller {
    /// Algorithm form.
    pub form: PidForm,
    /// How gain is entered.
    pub gain_unit: GainUnit,
    /// How reset is entered.
    pub reset_unit: ResetUnit,
    /// How derivative is entered.
    pub derivative_unit: DerivativeUnit,
    /// Sample time, s.
    pub sample_time_s: f64,
    /// Filter time, s.
    pub filter_time_s: f64,
    /// Number of points of its linearisation table.
    pub linearisation_points: usize,
    /// What it does with an input out of range.
    pub input_fault: InputFault,
    /// The device's own marks, typed by the user: (our term, its mark). Terms: gain, reset, derivative, action,
    /// set-point, filter, input-low, input-high, low-alarm, high-alarm.
    pub device_marks: Vec<(String, String)>,
}

/// Set point, alarms, trips, m above the lower tap (true level), and what is wanted.
#[derive(Debug, Clone)]
pub struct Limits {
    /// Set point.
    pub set_point_m: f64,
    /// Low alarm.
    pub low_alarm_m: Option<f64>,
    /// High alarm.
    pub high_alarm_m: Option<f64>,
    /// First low-water cutoff; fired vessels always have it.
    pub low_cutoff_m: Option<f64>,
    /// Second, independent low-water cutoff.
    pub second_low_cutoff_m: Option<f64>,
    /// High-level trip.
    pub high_trip_m: Option<f64>,
    /// Allowed deviation of true level for the largest load change, m.
    pub allowed_deviation_m: f64,
    /// Largest load change, fraction of the largest duty's flow.
    pub largest_load_change_ratio: f64,
    /// Smallest separation wanted between any two adjacent marks, m.
    pub smallest_separation_m: f64,
}

/// What was found set.
#[derive(Debug, Clone)]
pub struct AsFound {
    /// LRV and URV, Pa signed (differential at 0 % and at 100 %), if read.
    pub range_pa: Option<(f64, f64)>,
    /// Controller settings, if read: gain ratio, reset s/repeat (`None`: no reset), derivative s, all in `controller.form`.
    pub settings: Option<AsFoundSettings>,
}

/// Controller settings found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsFoundSettings {
    /// Gain, %/%.
    pub gain_ratio: f64,
    /// Reset, s/repeat.
    pub reset_s: Option<f64>,
    /// Derivative, s.
    pub derivative_s: f64,
}

/// Somebody named in the pack.
#[derive(Debug, Clone)]
pub struct Person {
    /// Role.
    pub role: String,
    /// Name.
    pub name: String,
}

/// A test instrument named in the pack.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// What it is.
    pub name: String,
    /// Serial number or certificate.
    pub serial: String,
    /// Calibration due, as written.
    pub due: String,
    /// How good it is where it is used; `None` where the survey does not say.
    pub accuracy: Option<Accuracy>,
}

/// The largest error of a test instrument where it is used, with its sign left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Accuracy {
    /// Of a calibrator or a gauge.
    Pressure {
        /// Pa.
        pa: f64,
    },
    /// Of an ammeter or a current source.
    Current {
        /// mA.
        ma: f64,
    },
}
