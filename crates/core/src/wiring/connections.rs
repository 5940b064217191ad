//! The point-to-point list: every wire from terminal to terminal, in the direction the current flows.
//!
//! Terminals carry the marks that the survey has; one that it lacks stays empty, to be filled in at the device.

use super::sheets::Connection;
use crate::description::wiring::{CableRun, Wiring};

/// Name of the cell in the list.
const CELL: &str = "cell";
/// Name of the controller in the list.
const CONTROLLER: &str = "controller";
/// Name of the actuator in the list.
const ACTUATOR: &str = "actuator";
/// Remark on the end of a shield that stays open.
const SHIELD_REMARK: &str =
    "shield earthed at this end only; at the other end cut back and insulated";

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
        let to = if earth.is_empty() {
            "signal earth (place to be filled in)"
        } else {
            earth
        };
        self.0.push(Connection {
            number: self.0.len() + 1,
            carries: "shield".into(),
            from_device: from,
            from_terminal: String::new(),
            cable: cable.mark.clone(),
            to_device: to.to_owned(),
            to_terminal: String::new(),
            remark: SHIELD_REMARK.into(),
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
            cable: supply.cable.mark.clone(),
            to_device: ACTUATOR.into(),
            to_terminal: String::new(),
            remark: "where the actuator has a terminal for it; by the local code".into(),
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
            let safe = format!("{}, safe side", barrier.name);
            let field = format!("{}, hazardous side", barrier.name);
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
