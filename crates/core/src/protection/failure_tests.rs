//! Every chain of signs from a failure to the vessel.

use super::*;
use crate::controller::action::{Action, HighPort, ReferenceLegFill, SignalPath, ValveSide};
use crate::example_loop::shell_boiler;

const FAULTS: [InputFault; 4] = [
    InputFault::NotDetected,
    InputFault::HoldOutput,
    InputFault::OutputLow,
    InputFault::OutputHigh,
];
const POSITIONS: [FailPosition; 3] = [FailPosition::Last, FailPosition::Open, FailPosition::Closed];
const SERVICES: [ValveService; 2] = [ValveService::Inflow, ValveService::Outflow];
const PIPINGS: [(Polarity, Reversal); 6] = [
    (Polarity::BottomOnHigh, Reversal::Nowhere),
    (Polarity::BottomOnHigh, Reversal::InCell),
    (Polarity::BottomOnHigh, Reversal::InController),
    (Polarity::WetLegOnHigh, Reversal::Nowhere),
    (Polarity::WetLegOnHigh, Reversal::InCell),
    (Polarity::WetLegOnHigh, Reversal::InController),
];

/// Every piping, valve, fail position and input fault.
fn every_loop() -> Vec<Loop> {
    let mut loops = Vec::new();
    for (polarity, reversal) in PIPINGS {
        for service in SERVICES {
            for rising_output_opens in [true, false] {
                for input_fault in FAULTS {
                    for position in POSITIONS {
                        let mut described = shell_boiler();
                        described.cell.polarity = polarity;
                        described.cell.reversal = reversal;
                        described.feedwater.service = service;
                        described.feedwater.rising_output_opens = rising_output_opens;
                        described.feedwater.on_signal_loss = position;
                        described.feedwater.on_power_loss = position;
                        described.controller.input_fault = input_fault;
                        loops.push(described);
                    }
                }
            }
        }
    }
    loops
}

fn with(change: impl FnOnce(&mut Loop)) -> Loop {
    let mut described = shell_boiler();
    change(&mut described);
    described
}

fn outcomes(described: &Loop) -> Vec<(ValveEnd, Outcome)> {
    Failure::ALL
        .into_iter()
        .map(|failure| follow(described, failure))
        .map(|chain| (chain.valve, chain.outcome))
        .collect()
}

/// The same true failure through an independent derivation: the controller's action from the signal path, and
/// plus and minus signs from the controller's input to the level.
#[test]
fn property_chain_agrees_with_the_derived_action() {
    for described in every_loop() {
        if described.controller.input_fault != InputFault::NotDetected {
            continue;
        }
        let path = SignalPath {
            high_port: match described.cell.polarity {
                Polarity::BottomOnHigh => HighPort::WorkingLeg,
                Polarity::WetLegOnHigh => HighPort::ReferenceLeg,
            },
            reference_leg: ReferenceLegFill::Wet,
            cell_reversed: described.cell.reversal == Reversal::InCell,
            input_reversed: described.cell.reversal == Reversal::InController,
            rising_output_opens_valve: described.feedwater.rising_output_opens,
            valve: match described.feedwater.service {
                ValveService::Inflow => ValveSide::Inflow,
                ValveService::Outflow => ValveSide::Outflow,
            },
        };
        let sign = |positive: bool| if positive { 1 } else { -1 };
        for (failure, current_high) in [
            (Failure::CellLow, false),
            (Failure::CellHigh, true),
            (Failure::CellOwnFault, true),
            (Failure::SignalBroken, false),
            (Failure::SignalShorted, true),
        ] {
            let input = sign(current_high) * sign(!path.input_reversed);
            let output = input * sign(path.action() == Action::Direct);
            let opening = output * sign(path.rising_output_opens_valve);
            let level = opening * sign(path.valve == ValveSide::Inflow);
            let chain = follow(&described, failure);
            assert_eq!(
                chain.valve == ValveEnd::Open,
                opening > 0,
                "{failure:?} {path:?}"
            );
            assert_eq!(
                chain.outcome == Outcome::Floods,
                level > 0,
                "{failure:?} {path:?}"
            );
            assert_eq!(
                chain.outcome == Outcome::Starves,
                level < 0,
                "{failure:?} {path:?}"
            );
            assert!(
                chain
                    .controller_does
                    .contains(if output > 0 { "100 %" } else { " 0 %" }),
                "{failure:?} {path:?}: {}",
                chain.controller_does
            );
        }
    }
}

/// Legs changed over and the signal reversed in the cell: the current means the same, so every failure ends alike.
#[test]
fn property_mirrored_polarity_reversed_in_the_cell_ends_alike() {
    for described in every_loop() {
        if described.cell.polarity != Polarity::BottomOnHigh
            || described.cell.reversal != Reversal::Nowhere
        {
            continue;
        }
        let mut mirrored = described.clone();
        mirrored.cell.polarity = Polarity::WetLegOnHigh;
        mirrored.cell.reversal = Reversal::InCell;
        assert_eq!(outcomes(&described), outcomes(&mirrored));
    }
}

/// Legs changed over and the signal reversed in the controller: a low current now means a full vessel.
#[test]
fn property_reversal_in_the_controller_swaps_low_and_high() {
    for described in every_loop() {
        if described.cell.polarity != Polarity::BottomOnHigh
            || described.cell.reversal != Reversal::Nowhere
            || described.controller.input_fault != InputFault::NotDetected
        {
            continue;
        }
        let mut mirrored = described.clone();
        mirrored.cell.polarity = Polarity::WetLegOnHigh;
        mirrored.cell.reversal = Reversal::InController;
        for (one, other) in [
            (Failure::CellLow, Failure::CellHigh),
            (Failure::SignalBroken, Failure::SignalShorted),
        ] {
            for (one, other) in [(one, other), (other, one)] {
                let (one, other) = (follow(&described, one), follow(&mirrored, other));
                assert_eq!((one.valve, one.outcome), (other.valve, other.outcome));
            }
        }
    }
}

/// A drain valve ends a false level like a feed valve, and a lost valve the other way round.
#[test]
fn property_drain_valve_mirrors_the_feed_valve() {
    for described in every_loop() {
        if described.feedwater.service != ValveService::Inflow {
            continue;
        }
        let mut drain = described.clone();
        drain.feedwater.service = ValveService::Outflow;
        for failure in Failure::ALL {
            let (feeds, drains) = (follow(&described, failure), follow(&drain, failure));
            let ends_at_position = feeds.detected
                || matches!(
                    failure,
                    Failure::ControllerDead
                        | Failure::ActuatorSignalLost
                        | Failure::ActuatorUnpowered
                );
            let mirrored = match feeds.outcome {
                Outcome::Starves => Outcome::Floods,
                Outcome::Floods => Outcome::Starves,
                Outcome::Drifts => Outcome::Drifts,
            };
            let expected = if ends_at_position {
                mirrored
            } else {
                feeds.outcome
            };
            assert_eq!(drains.outcome, expected, "{failure:?}");
        }
    }
}

/// Common practice, no source: a cell that fails low on a feed loop floods, one that fails high starves.
#[test]
fn practice_low_signal_floods_and_high_signal_starves() {
    let described = shell_boiler();
    assert_eq!(
        follow(&described, Failure::CellLow).outcome,
        Outcome::Floods
    );
    assert_eq!(
        follow(&described, Failure::SignalBroken).outcome,
        Outcome::Floods
    );
    assert_eq!(
        follow(&described, Failure::CellHigh).outcome,
        Outcome::Starves
    );
    assert_eq!(
        follow(&described, Failure::CellFrozen).outcome,
        Outcome::Drifts
    );
}

/// NAMUR NE 43: 3.8 mA to 20.5 mA is measurement; 3.6 mA and under, 21 mA and over, is a fault.
#[test]
fn published_namur_ne_43_separates_saturation_from_fault() {
    for (low_ma, high_ma, detected) in [(3.8, 20.5, false), (3.6, 21.0, true), (3.5, 22.0, true)] {
        let described = with(|described| {
            described.controller.input_fault = InputFault::HoldOutput;
            described.cell.saturation_ma = (low_ma, high_ma);
        });
        assert_eq!(
            follow(&described, Failure::CellLow).detected,
            detected,
            "{low_ma} mA"
        );
        assert_eq!(
            follow(&described, Failure::CellHigh).detected,
            detected,
            "{high_ma} mA"
        );
    }
    let described = with(|described| described.controller.input_fault = InputFault::HoldOutput);
    for failure in [
        Failure::CellOwnFault,
        Failure::SignalBroken,
        Failure::SignalShorted,
    ] {
        let chain = follow(&described, failure);
        assert!(chain.detected, "{failure:?}");
        assert_eq!(chain.valve, ValveEnd::Stays, "{failure:?}");
    }
}

#[test]
fn property_input_fault_output_goes_through_the_actuator() {
    for (input_fault, rising_output_opens, valve) in [
        (InputFault::OutputLow, true, ValveEnd::Closed),
        (InputFault::OutputLow, false, ValveEnd::Open),
        (InputFault::OutputHigh, true, ValveEnd::Open),
        (InputFault::OutputHigh, false, ValveEnd::Closed),
    ] {
        let described = with(|described| {
            described.controller.input_fault = input_fault;
            described.feedwater.rising_output_opens = rising_output_opens;
        });
        assert_eq!(follow(&described, Failure::SignalBroken).valve, valve);
    }
}

#[test]
fn property_power_and_signal_have_their_own_positions() {
    let described = with(|described| {
        described.feedwater.on_signal_loss = FailPosition::Closed;
        described.feedwater.on_power_loss = FailPosition::Open;
    });
    assert_eq!(
        follow(&described, Failure::ActuatorUnpowered).outcome,
        Outcome::Floods
    );
    assert_eq!(
        follow(&described, Failure::ActuatorSignalLost).outcome,
        Outcome::Starves
    );
    assert_eq!(
        follow(&described, Failure::ControllerDead).outcome,
        Outcome::Starves
    );
}
