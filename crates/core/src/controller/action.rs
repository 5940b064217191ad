//! The controller's action, derived from the piping and every reversal on the way, in words.
//!
//! Reverse acting: the output falls when the controller's input rises. Direct acting: it rises with it.
//! Where the valve goes when its power or signal fails is a separate matter and not decided here.
//!
//! **Source:** sign of the closed loop: a rise of level must end in a change of flow that lowers it.

/// Where the control valve stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveSide {
    /// It lets water in: opening raises the level.
    Inflow,
    /// It drains: opening lowers the level.
    Outflow,
}

/// What is piped to the high port of the cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HighPort {
    /// The leg from the lower tap: the differential rises with level.
    WorkingLeg,
    /// The leg from the upper tap: the differential falls with rising level.
    ReferenceLeg,
}

/// What stands in the reference leg; it changes the differential's sign, not its direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReferenceLegFill {
    /// Filled with condensate or a fill fluid.
    Wet,
    /// Vapour or air.
    Dry,
    /// No leg: the port is open to the air.
    OpenAir,
}

/// Everything between the level and the valve that decides a direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SignalPath {
    /// Piping of the cell.
    pub high_port: HighPort,
    /// Content of the reference leg.
    pub reference_leg: ReferenceLegFill,
    /// The cell's signal falls with rising differential (LRV above URV).
    pub cell_reversed: bool,
    /// The controller turns its input signal round.
    pub input_reversed: bool,
    /// A rising controller output opens the valve; false when the output or the actuator is reversed.
    pub rising_output_opens_valve: bool,
    /// Side of the valve.
    pub valve: ValveSide,
}

/// Direction of the controller's output against its input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Output falls when the controller's input rises.
    Reverse,
    /// Output rises when the controller's input rises.
    Direct,
}

/// The action with the chain of reasons.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DerivedAction {
    /// The action to set.
    pub action: Action,
    /// The controller's input, after every reversal, rises with level. If not, 100 % means empty.
    pub input_rises_with_level: bool,
    /// Number of reversals of the signal between differential and controller: 0, 1 or 2.
    pub signal_reversals: u8,
    /// One sentence a step, from a rising level to the action, for a person to check.
    pub steps: Vec<String>,
}

impl SignalPath {
    /// The controller's input, after every reversal, rises with level.
    pub const fn input_rises_with_level(self) -> bool {
        let differential_rises = matches!(self.high_port, HighPort::WorkingLeg);
        differential_rises ^ self.cell_reversed ^ self.input_reversed
    }

    /// The action that makes the loop oppose a change of level.
    pub fn action(self) -> Action {
        let output_must_rise = self.valve_must_open() == self.rising_output_opens_valve;
        if output_must_rise == self.input_rises_with_level() {
            Action::Direct
        } else {
            Action::Reverse
        }
    }

    /// The action with its reasons.
    pub fn derive_action(self) -> DerivedAction {
        DerivedAction {
            action: self.action(),
            input_rises_with_level: self.input_rises_with_level(),
            signal_reversals: u8::from(self.cell_reversed) + u8::from(self.input_reversed),
            steps: self.steps(),
        }
    }

    /// To lower a level that is too high.
    const fn valve_must_open(self) -> bool {
        matches!(self.valve, ValveSide::Outflow)
    }

    fn steps(self) -> Vec<String> {
        let differential_rises = matches!(self.high_port, HighPort::WorkingLeg);
        let cell_rises = differential_rises ^ self.cell_reversed;
        let input_rises = self.input_rises_with_level();
        let opens = self.valve_must_open();
        let output_rises = opens == self.rising_output_opens_valve;
        let differential = match (self.high_port, self.reference_leg) {
            (HighPort::WorkingLeg, ReferenceLegFill::Wet) => {
                "The working leg is on the high port and the reference leg is wet: the differential is negative and rises toward zero from below."
            }
            (HighPort::WorkingLeg, ReferenceLegFill::Dry) => {
                "The working leg is on the high port and the reference leg is dry: the differential is positive and rises."
            }
            (HighPort::WorkingLeg, ReferenceLegFill::OpenAir) => {
                "The working leg is on the high port and the low port breathes the air: the differential rises."
            }
            (HighPort::ReferenceLeg, ReferenceLegFill::OpenAir) => {
                "The high port breathes the air and the working leg is on the low port: the differential falls."
            }
            (HighPort::ReferenceLeg, ReferenceLegFill::Wet) => {
                "The wet reference leg is on the high port: the differential is positive and falls toward zero from above."
            }
            (HighPort::ReferenceLeg, ReferenceLegFill::Dry) => {
                "The dry reference leg is on the high port: the differential is negative and falls."
            }
        };
        vec![
            "The level rises above the set point.".to_owned(),
            differential.to_owned(),
            format!(
                "The cell is {}: its signal {}.",
                if self.cell_reversed {
                    "reversed (LRV above URV)"
                } else {
                    "not reversed"
                },
                rises(cell_rises)
            ),
            format!(
                "The controller {}: its input {}.",
                if self.input_reversed {
                    "reverses the signal"
                } else {
                    "takes the signal as it comes"
                },
                rises(input_rises)
            ),
            match self.valve {
                ValveSide::Inflow => "The valve lets water in: to lower the level it must close.",
                ValveSide::Outflow => "The valve drains: to lower the level it must open.",
            }
            .to_owned(),
            format!(
                "A rising output {} the valve: the output must {}.",
                if self.rising_output_opens_valve {
                    "opens"
                } else {
                    "closes"
                },
                if output_rises { "rise" } else { "fall" }
            ),
            format!(
                "The input {} and the output must {}: {} acting.",
                rises(input_rises),
                if output_rises { "rise" } else { "fall" },
                match self.action() {
                    Action::Reverse => "reverse",
                    Action::Direct => "direct",
                }
            ),
        ]
    }
}

const fn rises(rises: bool) -> &'static str {
    if rises { "rises" } else { "falls" }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: SignalPath = SignalPath {
        high_port: HighPort::WorkingLeg,
        reference_leg: ReferenceLegFill::Wet,
        cell_reversed: false,
        input_reversed: false,
        rising_output_opens_valve: true,
        valve: ValveSide::Inflow,
    };

    /// Common practice: a feed valve that opens on rising output, level rising with signal: reverse acting.
    #[test]
    fn practice_feed_valve_is_reverse_acting() {
        assert_eq!(PLAIN.action(), Action::Reverse);
    }

    /// Common practice: a drain valve that opens on rising output: direct acting.
    #[test]
    fn practice_drain_valve_is_direct_acting() {
        assert_eq!(
            SignalPath {
                valve: ValveSide::Outflow,
                ..PLAIN
            }
            .action(),
            Action::Direct
        );
    }

    /// Common practice: the reference leg on the high port needs exactly one reversal, no matter where.
    #[test]
    fn practice_reference_leg_on_high_needs_one_reversal() {
        let cases = [
            (false, false, false),
            (true, false, true),
            (false, true, true),
            (true, true, false),
        ];
        for (cell_reversed, input_reversed, rises) in cases {
            let path = SignalPath {
                high_port: HighPort::ReferenceLeg,
                cell_reversed,
                input_reversed,
                ..PLAIN
            };
            assert_eq!(path.input_rises_with_level(), rises, "{path:?}");
            assert_eq!(
                path.action(),
                if rises {
                    Action::Reverse
                } else {
                    Action::Direct
                },
                "{path:?}"
            );
        }
    }

    /// The loop opposes the level whatever the path: follow the signs as numbers, independently.
    #[test]
    fn property_every_path_opposes_the_level_and_says_so() {
        for bits in 0..64u8 {
            let bit = |n: u8| bits >> n & 1 == 1;
            let path = SignalPath {
                high_port: if bit(0) {
                    HighPort::WorkingLeg
                } else {
                    HighPort::ReferenceLeg
                },
                reference_leg: match bits % 3 {
                    0 => ReferenceLegFill::Wet,
                    1 => ReferenceLegFill::Dry,
                    _ => ReferenceLegFill::OpenAir,
                },
                cell_reversed: bit(2),
                input_reversed: bit(3),
                rising_output_opens_valve: bit(4),
                valve: if bit(5) {
                    ValveSide::Inflow
                } else {
                    ValveSide::Outflow
                },
            };
            let derived = path.derive_action();
            let sign = |positive: bool| if positive { 1 } else { -1 };
            let loop_sign = sign(bit(0))
                * sign(!bit(2))
                * sign(!bit(3))
                * sign(derived.action == Action::Direct)
                * sign(bit(4))
                * sign(bit(5));
            assert_eq!(loop_sign, -1, "{path:?}");
            assert_eq!(derived.steps.len(), 7);
            assert!(
                derived
                    .steps
                    .iter()
                    .all(|step| step.ends_with('.') && step.matches(". ").count() == 0)
            );
            let word = if derived.action == Action::Direct {
                "direct acting."
            } else {
                "reverse acting."
            };
            assert!(derived.steps[6].ends_with(word));
        }
    }

    #[test]
    fn practice_steps_read_as_a_chain() {
        let steps = PLAIN.derive_action().steps;
        assert_eq!(
            steps[1].split(": ").nth(1).unwrap(),
            "the differential is negative and rises toward zero from below."
        );
        assert_eq!(
            steps[6],
            "The input rises and the output must fall: reverse acting."
        );
    }
}
