//! The point-to-point list: every wire from terminal to terminal, in the direction the current flows.
//!
//! Terminals carry the marks that the survey has; one that it lacks stays empty, to be filled in at the device.

use super::sheets::Connection;
use crate::description::wiring::{BarrierKind, CableRun, Wiring};

/// Name of the cell in the list.
const CELL: &str = "cell";
/// Name of the controller in the list.
const CONTROLLER: &str = "controller";
/// Name of the actuator in the list.
const ACTUATOR: &str = "actuator";
/// Remark on the end of a shield that stays open.
const SHIELD_REMARK: &str =
    "shield earthed at this end only; at the other end cut back and insulated";

/// Remark on a shield that is earthed at both ends.
const SHIELD_AT_BOTH_REMARK: &str =
    "to be changed: lift the field end, cut it back and insulate it";

/// Does a shield's earth, in the user's words, stand at both ends.
pub fn shield_at_both_ends(words: &str) -> bool {
    let place = words.to_lowercase();
    let denied = ["not both", "not at both", "never both", "never at both"]
        .iter()
        .any(|words| place.contains(words));
    !denied
        && ["both", "each end", "two ends", "either end"]
            .iter()
            .any(|words| place.contains(words))
}

/// One end of a wire.
#[derive(Clone)]
struct End(String, String);

impl End {
    fn new(device: &str, terminal: &str) -> Self {
        Self(device.to_owned(), terminal.to_owned())
    }
}

struct List(Vec<Connection>);

impl List {
    fn add(&mut self, carries: &str, from: End, cable: &str, to: End, remark: &str) {
        let unmarked = from.1.is_empty() || to.1.is_empty();
        let remark = match (remark.is_empty(), unmarked) {
            (_, false) => remark.to_owned(),
            (true, true) => "terminal mark to be filled in".to_owned(),
            (false, true) => format!("{remark}; terminal mark to be filled in"),
        };
        self.0.push(Connection {
            number: self.0.len() + 1,
            carries: carries.to_owned(),
            from_device: from.0,
            from_terminal: from.1,
            cable: cable.to_owned(),
            to_device: to.0,
            to_terminal: to.1,
            remark,
        });
    }

    /// The shield of a cable, earthed where the survey says.
    fn shield(&mut self, cable: &CableRun, earth: &str) {
        let from = if cable.mark.is_empty() {
            "cable shield".to_owned()
        } else {
            format!("shield of {}", cable.mark)
        };
        let both = shield_at_both_ends(earth);
        let to = if earth.is_empty() {
            "signal earth (place to be filled in)".to_owned()
        } else if both {
            format!("as found: {earth}")
        } else {
            earth.to_owned()
        };
        self.0.push(Connection {
            number: self.0.len() + 1,
            carries: "shield".into(),
            from_device: from,
            from_terminal: String::new(),
            cable: cable.mark.clone(),
            to_device: to,
            to_terminal: String::new(),
            remark: if both {
                SHIELD_AT_BOTH_REMARK
            } else {
                SHIELD_REMARK
            }
            .into(),
        });
    }
}

/// The list.
pub(super) fn connections(wiring: &Wiring) -> Vec<Connection> {
    let mut list = List(Vec::new());
    signal(wiring, &mut list);
    if let Some(output) = &wiring.output {
        for (carries, pole) in [("output +", 0), ("output −", 1)] {
            let from = End::new(CONTROLLER, &output.controller_terminals[pole]);
            let to = End::new(ACTUATOR, &output.actuator_terminals[pole]);
            let (from, to) = if pole == 0 { (from, to) } else { (to, from) };
            list.add(carries, from, &output.cable.mark, to, "");
        }
        list.shield(&output.cable, &wiring.shield_earth);
    }
    if let Some(supply) = &wiring.actuator_supply {
        let poles = if supply.alternating {
            ["power, fused", "power, return"]
        } else {
            ["power +, fused", "power −"]
        };
        for (carries, terminal) in poles.into_iter().zip(&supply.terminals) {
            let from = End::new("actuator power supply", "");
            let to = End::new(ACTUATOR, terminal);
            list.add(carries, from, &supply.cable.mark, to, "");
        }
        list.0.push(Connection {
            number: list.0.len() + 1,
            carries: "protective earth".into(),
            from_device: "protective earth bar".into(),
            from_terminal: String::new(),
            cable: String::new(),
            to_device: ACTUATOR.into(),
            to_terminal: String::new(),
            remark: "a conductor of its own: the power cable has two cores; where the actuator has a terminal for it; by the local code".into(),
        });
    }
    list.0
}

/// The current's way: supply, barrier, cell, barrier, receivers one after the other, supply.
fn signal(wiring: &Wiring, list: &mut List) {
    let supply = if wiring.powered_by_controller {
        CONTROLLER
    } else {
        "power supply"
    };
    let cable = wiring.cable.mark.as_str();
    let supply_plus = End::new(supply, &wiring.supply_terminals[0]);
    let supply_minus = End::new(supply, &wiring.supply_terminals[1]);
    let cell_plus = End::new(CELL, &wiring.cell_terminals[0]);
    let mut from = End::new(CELL, &wiring.cell_terminals[1]);
    let mut by = cable;
    match &wiring.barrier {
        Some(barrier) => {
            let (inner, outer) = match barrier.kind {
                BarrierKind::Barrier => ("safe side", "hazardous side"),
                BarrierKind::Surge => ("protected side", "line side"),
                BarrierKind::Isolator => ("cabinet side", "field side"),
            };
            let safe = format!("{}, {inner}", barrier.name);
            let field = format!("{}, {outer}", barrier.name);
            list.add("signal +", supply_plus, "", End::new(&safe, ""), "");
            list.add("signal +", End::new(&field, ""), cable, cell_plus, "");
            list.add("signal −", from, cable, End::new(&field, ""), "");
            from = End::new(&safe, "");
            by = "";
        }
        None => list.add("signal +", supply_plus, cable, cell_plus, ""),
    }
    for receiver in &wiring.receivers {
        let to = End::new(&receiver.name, &receiver.terminals[0]);
        list.add("signal −", from, by, to, "");
        from = End::new(&receiver.name, &receiver.terminals[1]);
        by = "";
    }
    list.add("signal −", from, by, supply_minus, "");
    list.shield(&wiring.cable, &wiring.shield_earth);
}
