//! From a failure to where the level goes: current, apparent level, controller, valve, vessel.
//!
//! **Source:** signs of the loop, followed one step at a time. The controller's action is taken as the one that
//! makes the loop oppose a change of level.

use crate::description::{
    Cell, FailPosition, Feedwater, InputFault, Loop, Polarity, Reversal, ValveService,
};
use crate::protection::sheets::Outcome;

/// Current at and below which a receiver takes the signal for a fault, mA.
///
/// **Source:** NAMUR NE 43.
pub(crate) const FAULT_LOW_MA: f64 = 3.6;
/// Current at and above which a receiver takes the signal for a fault, mA.
///
/// **Source:** NAMUR NE 43.
pub(crate) const FAULT_HIGH_MA: f64 = 21.0;

/// What fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failure {
    /// The cell's current stands at its low saturation limit.
    CellLow,
    /// The cell's current stands at its high saturation limit.
    CellHigh,
    /// The cell finds a fault in itself and drives its output to its fault current.
    CellOwnFault,
    /// The cell's current no longer follows the level.
    CellFrozen,
    /// The signal wires are open, or shorted across the receiver: no current.
    SignalBroken,
    /// The signal wires touch ahead of the receiver: as much current as the supply gives.
    SignalShorted,
    /// The controller has no power: no output signal.
    ControllerDead,
    /// The wire from the controller to the actuator is open.
    ActuatorSignalLost,
    /// The actuator has no power.
    ActuatorUnpowered,
}

impl Failure {
    /// All failures, in the order they are printed.
    pub const ALL: [Failure; 9] = [
        Failure::CellLow,
        Failure::CellHigh,
        Failure::CellOwnFault,
        Failure::CellFrozen,
        Failure::SignalBroken,
        Failure::SignalShorted,
        Failure::ControllerDead,
        Failure::ActuatorSignalLost,
        Failure::ActuatorUnpowered,
    ];

    /// Current at the receiver, for failures that fix it.
    fn current(self, cell: &Cell) -> Option<Current> {
        let (low_ma, high_ma) = cell.saturation_ma;
        match self {
            Failure::CellLow => Some(Current::Fixed(low_ma)),
            Failure::CellHigh => Some(Current::Fixed(high_ma)),
            Failure::CellOwnFault => Some(Current::Fixed(cell.fault_ma)),
            Failure::SignalBroken => Some(Current::Fixed(0.0)),
            Failure::SignalShorted => Some(Current::Above),
            _ => None,
        }
    }

    /// Name for the table.
    pub(super) fn name(self, cell: &Cell) -> String {
        let (low_ma, high_ma) = cell.saturation_ma;
        match self {
            Failure::CellLow => format!("cell fails low ({} mA)", milliamperes(low_ma)),
            Failure::CellHigh => format!("cell fails high ({} mA)", milliamperes(high_ma)),
            Failure::CellOwnFault => {
                format!(
                    "cell finds its own fault ({} mA)",
                    milliamperes(cell.fault_ma)
                )
            }
            Failure::CellFrozen => "cell frozen".to_owned(),
            Failure::SignalBroken => "signal loop broken (0 mA)".to_owned(),
            Failure::SignalShorted => {
                format!("signal wires shorted ahead of the receiver (over {FAULT_HIGH_MA} mA)")
            }
            Failure::ControllerDead => "controller dead".to_owned(),
            Failure::ActuatorSignalLost => "actuator signal lost".to_owned(),
            Failure::ActuatorUnpowered => "actuator unpowered".to_owned(),
        }
    }
}

/// Rounded to 0.01 mA, without trailing zeros.
fn milliamperes(ma: f64) -> f64 {
    (ma * 100.0).round() / 100.0
}

/// A current at the receiver.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Current {
    /// This many mA.
    Fixed(f64),
    /// More than a cell in order can give.
    Above,
}

impl Current {
    /// Outside what a receiver takes for a measurement.
    fn is_fault(self) -> bool {
        match self {
            // Not `ma <= low || ma >= high`: NaN must count as a fault.
            Current::Fixed(ma) => !(ma > FAULT_LOW_MA && ma < FAULT_HIGH_MA),
            Current::Above => true,
        }
    }

    /// Nearer to the 20 mA end.
    fn is_high(self) -> bool {
        match self {
            Current::Fixed(ma) => ma > 12.0,
            Current::Above => true,
        }
    }
}

/// Where the valve ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValveEnd {
    /// Fully open.
    Open,
    /// Fully closed.
    Closed,
    /// Where it was.
    Stays,
    /// Anywhere: the controller works on a reading that no longer follows the level.
    Wanders,
}

/// What the panel, and an alarm on the same signal, makes of the level after the failure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Panel {
    /// It still follows the level.
    Follows,
    /// It says low, whatever the level.
    SaysLow,
    /// It says high, whatever the level.
    SaysHigh,
    /// It tells of no level: frozen, dark, or marked as faulty.
    Silent,
}

/// A failure followed to the vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// What the controller sees and does, in words.
    pub controller_does: String,
    /// Where the valve ends.
    pub valve: ValveEnd,
    /// What the vessel does.
    pub outcome: Outcome,
    /// The controller finds the signal out of range and acts on it.
    pub detected: bool,
    /// What the panel says.
    pub panel: Panel,
}

/// True when the cell's current rises with the level.
pub fn current_rises_with_level(cell: &Cell) -> bool {
    (cell.polarity == Polarity::BottomOnHigh) != (cell.reversal == Reversal::InCell)
}

/// Follows a failure through the loop.
pub fn follow(described: &Loop, failure: Failure) -> Chain {
    let feedwater = &described.feedwater;
    let in_vain = "sees the level leave the set point and drives its output against it in vain";
    let (controller_does, valve, panel) = match (failure, failure.current(&described.cell)) {
        (_, Some(current)) => signal_at(described, current),
        (Failure::ActuatorUnpowered, None) => (
            in_vain.to_owned(),
            end_of(feedwater.on_power_loss),
            Panel::Follows,
        ),
        (Failure::ActuatorSignalLost, None) => (
            in_vain.to_owned(),
            end_of(feedwater.on_signal_loss),
            Panel::Follows,
        ),
        (Failure::ControllerDead, None) => (
            "gives no output and shows nothing".to_owned(),
            end_of(feedwater.on_signal_loss),
            Panel::Silent,
        ),
        // CellFrozen; the failures with a current were taken above.
        (_, None) => (
            "sees a level that does not move; reset integrates whatever deviation was frozen in"
                .to_owned(),
            ValveEnd::Wanders,
            Panel::Silent,
        ),
    };
    Chain {
        controller_does,
        valve,
        outcome: outcome_of(feedwater.service, valve),
        detected: is_detected(described, failure),
        panel,
    }
}

/// Does the controller find the failed signal out of range and act on it.
fn is_detected(described: &Loop, failure: Failure) -> bool {
    described.controller.input_fault != InputFault::NotDetected
        && failure
            .current(&described.cell)
            .is_some_and(Current::is_fault)
}

/// What the controller makes of a current that no longer comes from the level.
fn signal_at(described: &Loop, current: Current) -> (String, ValveEnd, Panel) {
    let (cell, feedwater) = (&described.cell, &described.feedwater);
    let fault = described.controller.input_fault;
    if current.is_fault() && fault != InputFault::NotDetected {
        let (words, valve) = match fault {
            InputFault::OutputLow => (
                "finds its input out of range and drives its output to 0 %",
                output_end(feedwater, false),
            ),
            InputFault::OutputHigh => (
                "finds its input out of range and drives its output to 100 %",
                output_end(feedwater, true),
            ),
            InputFault::HoldOutput | InputFault::NotDetected => (
                "finds its input out of range and holds its output",
                ValveEnd::Stays,
            ),
        };
        return (words.to_owned(), valve, Panel::Silent);
    }
    let seems_high = current.is_high() == current_rises_with_level(cell);
    // Whatever the piping, a loop with the right action opens a feed valve when the level seems low.
    let opens = seems_high == (feedwater.service == ValveService::Outflow);
    let output_rises = opens == feedwater.rising_output_opens;
    let words = format!(
        "takes the signal for a {} vessel and drives its output to {}",
        if seems_high { "full" } else { "nearly empty" },
        if output_rises { "100 %" } else { "0 %" },
    );
    let valve = if opens {
        ValveEnd::Open
    } else {
        ValveEnd::Closed
    };
    let panel = if seems_high {
        Panel::SaysHigh
    } else {
        Panel::SaysLow
    };
    (words, valve, panel)
}

fn output_end(feedwater: &Feedwater, output_high: bool) -> ValveEnd {
    if output_high == feedwater.rising_output_opens {
        ValveEnd::Open
    } else {
        ValveEnd::Closed
    }
}

const fn end_of(position: FailPosition) -> ValveEnd {
    match position {
        FailPosition::Last => ValveEnd::Stays,
        FailPosition::Open => ValveEnd::Open,
        FailPosition::Closed => ValveEnd::Closed,
    }
}

const fn outcome_of(service: ValveService, valve: ValveEnd) -> Outcome {
    match (service, valve) {
        (ValveService::Inflow, ValveEnd::Open) | (ValveService::Outflow, ValveEnd::Closed) => {
            Outcome::Floods
        }
        (ValveService::Inflow, ValveEnd::Closed) | (ValveService::Outflow, ValveEnd::Open) => {
            Outcome::Starves
        }
        (_, ValveEnd::Stays | ValveEnd::Wanders) => Outcome::Drifts,
    }
}

#[cfg(test)]
#[path = "failure_tests.rs"]
mod tests;
