//! The bill of material: what the loop is made of, numbered. The hook-up drawing carries the same numbers.

mod standing;

use halfglass_core::description::feed_system::{Bypass, FeedSystem};
use halfglass_core::description::wiring::CableRun;
use halfglass_core::description::{Loop, ReferenceLeg, ValveService};
use halfglass_core::design::Sheets;
use halfglass_core::wiring::sheets::Connection;

use crate::loop_tags::with_letters;
use crate::sections::conductor_text;
use crate::units::DisplayUnits;

pub use standing::Standing;
pub(crate) use standing::{ValveToHave, of_actuator};

/// What stands where the survey does not say.
const BLANK: &str = "____";

/// Kind of item; the drawing looks for these.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemKind {
    /// Differential-pressure cell.
    Cell,
    /// Manifold at the cell.
    Manifold,
    /// Condensate pot.
    Pot,
    /// Diaphragm seal with its capillary.
    Seal,
    /// Root valve at a tap.
    RootValve,
    /// Pipe or tube of the legs.
    LegPipe,
    /// Drain valve at the foot of a leg.
    DrainValve,
    /// Gauge glass.
    Glass,
    /// Controller.
    Controller,
    /// Power supply of the cell.
    PowerSupply,
    /// Barrier or isolator.
    Barrier,
    /// Control valve.
    ControlValve,
    /// Actuator.
    Actuator,
    /// Isolating or bypass valve of the station.
    StationValve,
    /// Drain and vent between the isolating valves.
    StationDrain,
    /// Strainer before the control valve.
    Strainer,
    /// Check valve of the feed line.
    CheckValve,
    /// Cable.
    Cable,
    /// Fuse of the actuator's power.
    Fuse,
}

/// A line of the bill.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Number, from 1.
    pub number: usize,
    /// Kind.
    pub kind: ItemKind,
    /// Tag, may be empty.
    pub tag: String,
    /// How many or how much, with its unit.
    pub quantity: String,
    /// Does it stand already.
    pub standing: Standing,
    /// What it is.
    pub what: String,
}

/// Everything that the survey lets be listed, numbered from 1, measurement first.
pub fn bill(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<Item> {
    let tag = |letters: &str| with_letters(&described.identity.tag, letters);
    let mut rows: Vec<(ItemKind, String, String, String)> = Vec::new();
    let mut add = |kind, tag: String, quantity: &str, what: String| {
        rows.push((kind, tag, quantity.to_owned(), what));
    };
    add(
        ItemKind::Cell,
        tag("LT"),
        "1",
        "differential-pressure cell".into(),
    );
    let sealed = matches!(described.reference_leg, ReferenceLeg::Sealed { .. });
    let ports = if matches!(described.reference_leg, ReferenceLeg::None) {
        1
    } else {
        2
    };
    if sealed {
        add(
            ItemKind::Seal,
            String::new(),
            "2",
            "diaphragm seal with capillary, delivered filled with the cell".into(),
        );
    } else {
        add(
            ItemKind::Manifold,
            String::new(),
            "1",
            if ports == 2 {
                "manifold: two block valves, equaliser, vents".into()
            } else {
                "manifold: block valve, vent".into()
            },
        );
    }
    if matches!(described.reference_leg, ReferenceLeg::Wet { .. }) {
        add(
            ItemKind::Pot,
            String::new(),
            "1",
            "condensate pot with filling plug".into(),
        );
    }
    add(
        ItemKind::RootValve,
        String::new(),
        if ports == 2 { "2" } else { "1" },
        "root valve at the tap".into(),
    );
    if !sealed {
        add(
            ItemKind::LegPipe,
            String::new(),
            "as run",
            if ports == 2 {
                "pipe or tube of the legs with fittings, and insulation alike on both".into()
            } else {
                "pipe or tube of the leg with fittings".into()
            },
        );
        add(
            ItemKind::DrainValve,
            String::new(),
            if ports == 2 { "2" } else { "1" },
            if ports == 2 {
                "blow-down valve with plug at the foot of a leg".into()
            } else {
                "blow-down valve with plug at the foot of the leg".into()
            },
        );
    }
    if described.glass.is_some() {
        add(
            ItemKind::Glass,
            tag("LG"),
            "1",
            "gauge glass with its cocks and drain".into(),
        );
    }
    add(ItemKind::Controller, tag("LIC"), "1", "controller".into());
    if let Some(wires) = &described.wiring {
        if !wires.powered_by_controller {
            add(
                ItemKind::PowerSupply,
                String::new(),
                "1",
                "power supply of the current loop".into(),
            );
        }
        if let Some(barrier) = &wires.barrier {
            add(ItemKind::Barrier, String::new(), "1", barrier.name.clone());
        }
    }
    add(
        ItemKind::ControlValve,
        tag("LV"),
        "1",
        control_valve(sheets, units),
    );
    add(ItemKind::Actuator, tag("LY"), "1", actuator(sheets, units));
    if let Some(system) = &described.feed_system {
        let inflow = described.feedwater.service == ValveService::Inflow;
        for (kind, quantity, what) in station(system, inflow, units) {
            add(kind, String::new(), quantity, what);
        }
    }
    if let Some(wires) = &described.wiring {
        let mut cable = |run: &CableRun, [name, carries, device, remark]: [&str; 4]| {
            let cores = cores(sheets, carries, device);
            add(
                ItemKind::Cable,
                run.mark.clone(),
                &units.length_text(run.length_m),
                format!(
                    "{name} cable, {cores} × {}{remark}",
                    conductor_text(run.conductor, units)
                ),
            );
        };
        let shielded = " and shield";
        cable(&wires.cable, ["signal", "signal", "cell", shielded]);
        if let Some(output) = &wires.output {
            cable(&output.cable, ["output", "output", "actuator", shielded]);
        }
        if let Some(supply) = &wires.actuator_supply {
            let earthed = cores(sheets, "protective earth", "actuator") != "0";
            let remark = if earthed {
                ", one of them protective earth"
            } else {
                ""
            };
            cable(&supply.cable, ["power", POWER, "actuator", remark]);
            let fuse = sheets
                .wiring
                .as_ref()
                .and_then(|sheet| sheet.actuator.as_ref());
            if let Some(power) = fuse {
                add(
                    ItemKind::Fuse,
                    String::new(),
                    "1",
                    format!(
                        "fuse {} A of the actuator's power{}",
                        crate::units::keyed_number(power.fuse_a, 3),
                        if power.fuse_is_proposed {
                            ", proposed"
                        } else {
                            ""
                        }
                    ),
                );
            }
        }
    }
    rows.into_iter()
        .enumerate()
        .map(|(index, (kind, tag, quantity, what))| Item {
            number: index + 1,
            kind,
            tag,
            quantity,
            standing: standing_of(kind, described, sheets),
            what,
        })
        .collect()
}

fn standing_of(kind: ItemKind, described: &Loop, sheets: &Sheets) -> Standing {
    let found = described.as_found.as_ref();
    let stands = match kind {
        ItemKind::ControlValve => {
            return sheets
                .feedwater
                .as_ref()
                .map_or(Standing::NotSaid, |sheet| ValveToHave::of(sheet).standing);
        }
        ItemKind::Actuator => return of_actuator(sheets),
        // Who read a setting stood before the instrument.
        ItemKind::Cell => found.is_some_and(|found| found.range_pa.is_some()),
        ItemKind::Controller => found.is_some_and(|found| found.settings.is_some()),
        _ => false,
    };
    if stands {
        Standing::Fitted
    } else {
        Standing::NotSaid
    }
}

/// What a cable of the actuator's power carries: its poles and, where the list has it, protective earth.
const POWER: &str = "power";

/// Cores of the cable to a device in the field: as many as the list of connections lands there.
fn cores(sheets: &Sheets, carries: &str, device: &str) -> String {
    sheets.wiring.as_ref().map_or_else(
        || BLANK.to_owned(),
        |sheet| {
            let wanted = |words: &str| {
                words.starts_with(carries)
                    || (carries == POWER && words.starts_with("protective earth"))
            };
            let lands = |wire: &Connection| wire.from_device == device || wire.to_device == device;
            sheet
                .connections
                .iter()
                .filter(|wire| wanted(&wire.carries) && lands(wire))
                .count()
                .to_string()
        },
    )
}

fn control_valve(sheets: &Sheets, units: &DisplayUnits) -> String {
    let Some(sheet) = &sheets.feedwater else {
        return "control valve".to_owned();
    };
    let valve = ValveToHave::of(sheet);
    let replaces = valve.replaces.map_or_else(String::new, |(name, _)| {
        format!(", in place of the fitted {name}, which does not fit")
    });
    format!(
        "control valve {}, {}{replaces}",
        valve.name,
        units.coefficient_text(valve.kv_m3_h)
    )
}

fn actuator(sheets: &Sheets, units: &DisplayUnits) -> String {
    match &sheets.feedwater {
        Some(sheet) if !sheet.actuator.enough => format!(
            "actuator, stronger than the one surveyed, which leaves less than the usual margin over {}",
            units.effort_text(sheet.actuator.required, sheet.actuator.is_torque)
        ),
        _ => "actuator".to_owned(),
    }
}

/// What stands around the control valve, surveyed or to be filled in.
fn station(
    system: &FeedSystem,
    inflow: bool,
    units: &DisplayUnits,
) -> Vec<(ItemKind, &'static str, String)> {
    let mut rows = Vec::new();
    if system.station.isolating_valves {
        rows.push((
            ItemKind::StationValve,
            "2",
            "isolating valve beside the control valve; size and kind to be filled in".to_owned(),
        ));
        rows.push((
            ItemKind::StationDrain,
            BLANK,
            "drain and vent between the isolating valves, to be filled in".to_owned(),
        ));
    }
    if let Bypass::Hand { kv_m3_h } = system.station.bypass {
        rows.push((
            ItemKind::StationValve,
            "1",
            kv_m3_h.map_or_else(
                || "hand bypass valve; size and kind to be filled in".to_owned(),
                |kv| format!("hand bypass valve, {}", units.coefficient_text(kv)),
            ),
        ));
    }
    rows.push((
        ItemKind::Strainer,
        BLANK,
        "strainer before the control valve; mesh and drain to be filled in".to_owned(),
    ));
    if inflow {
        rows.push((
            ItemKind::CheckValve,
            BLANK,
            "check valve between the supply and the vessel; size and kind to be filled in"
                .to_owned(),
        ));
    }
    rows
}

/// What stands between vessel and cell, in words.
pub const fn between_vessel_and_cell(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::Wet { .. } => {
            "its taps and root valves, condensate pot, both legs, manifold, blow-down valves"
        }
        ReferenceLeg::Dry { .. } => {
            "its taps and root valves, both legs, manifold, blow-down valves"
        }
        ReferenceLeg::None => "its tap and root valve, one leg, manifold, blow-down valve",
        ReferenceLeg::Sealed { .. } => {
            "its taps and root valves, both seals with their capillaries"
        }
    }
}

/// Number of the first item of a kind.
pub fn number_of(items: &[Item], kind: ItemKind) -> Option<usize> {
    items
        .iter()
        .find(|item| item.kind == kind)
        .map(|item| item.number)
}

/// A cable in a drawing: its mark, conductor and length.
pub fn cable_words(run: &CableRun, units: &DisplayUnits) -> String {
    let mark = if run.mark.is_empty() {
        "____"
    } else {
        run.mark.as_str()
    };
    format!(
        "{mark}: {}, {}",
        conductor_text(run.conductor, units),
        units.length_text(run.length_m)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    /// Every wire of the list that lands on cell or actuator, a shield apart, has its core in a cable of the bill.
    #[test]
    fn property_cables_have_the_cores_that_the_connections_use() {
        let mut cables = 0;
        for (described, sheets) in &fixture::all() {
            let Some(sheet) = &sheets.wiring else {
                continue;
            };
            let lands = |device: &str| {
                sheet
                    .connections
                    .iter()
                    .filter(|wire| wire.carries != "shield")
                    .filter(|wire| wire.from_device == device || wire.to_device == device)
                    .count()
            };
            let items = bill(described, sheets, &DisplayUnits::of(described));
            let cores_of = |names: &[&str]| -> usize {
                items
                    .iter()
                    .filter(|item| item.kind == ItemKind::Cable)
                    .filter(|item| names.iter().any(|name| item.what.starts_with(name)))
                    .filter_map(|item| item.what.split_once("cable, "))
                    .filter_map(|(_, rest)| rest.split_once(' '))
                    .map(|(cores, _)| cores.parse::<usize>().expect("a number of cores"))
                    .sum()
            };
            assert_eq!(cores_of(&["signal"]), lands("cell"));
            let wires = described.wiring.as_ref().expect("a sheet has its wires");
            if wires.output.is_some() && wires.actuator_supply.is_some() {
                assert_eq!(cores_of(&["output", "power"]), lands("actuator"));
                cables += 1;
            }
        }
        assert!(cables > 0, "no loop with all three cables");
    }
}
