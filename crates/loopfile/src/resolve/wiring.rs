//! The wires, where they were surveyed.

use halfglass_core::description::Site;
use halfglass_core::description::wiring::{
    ActuatorSupply, Barrier, BarrierKind, CableRun, OutputLoop, Receiver, Wiring,
};

use super::conductor::conductor;
use super::groups;
use super::supply::optional;
use crate::keys::GROUPS;
use crate::problem::Problem;
use crate::quantity_text::{Basis, Dimension};
use crate::survey::Survey;
use crate::words;

/// Highest alarm current where nothing is known of the cell, mA. Common practice.
const USUAL_HIGHEST_MA: f64 = 23.0;

/// Lowest voltage of an actuator's supply over its nominal one, where nothing is known. Common practice.
const USUAL_LOWEST_RATIO: f64 = 0.9;

/// Outer `None`: there are problems; inner `None`: they were not surveyed.
pub(super) fn wiring(survey: &mut Survey<'_>, site: Option<&Site>) -> Option<Option<Wiring>> {
    if !groups::stands(survey, &GROUPS[1]) {
        return Some(None);
    }
    let lowest = survey.number("wiring.supply-lowest");
    let highest = survey.number("wiring.supply-highest");
    let lift_off = survey.number("wiring.cell-lift-off");
    let cell_highest = survey.number("wiring.cell-highest");
    survey.check_below(
        "supply-voltages-reversed",
        lowest.as_ref(),
        highest.as_ref(),
        true,
        "exchange them",
    );
    survey.check_below(
        "lift-off-over-supply",
        lift_off.as_ref(),
        lowest.as_ref(),
        false,
        "the cell works from its lift-off voltage up; such a supply never starts it",
    );
    survey.check_below(
        "cell-voltages-reversed",
        lift_off.as_ref(),
        cell_highest.as_ref(),
        false,
        "exchange them",
    );
    let powered = survey.word("wiring.powered-by");
    let current = survey.number_or(
        "wiring.highest-current",
        USUAL_HIGHEST_MA,
        "not surveyed; common practice; the highest alarm current of the cell's data sheet",
    );
    check_current(survey);
    let digital = match survey.flag("wiring.digital") {
        Some(flag) => Some(flag.value),
        None if survey.is_absent("wiring.digital") => {
            survey.assume(
                "wiring.digital",
                "no".to_owned(),
                "not stated; HART communication would need a least resistance",
            );
            Some(false)
        }
        None => None,
    };
    let shield = match survey.text("wiring.shield-earth") {
        Some(text) => Some(text.value),
        None if survey.is_absent("wiring.shield-earth") => {
            let usual = "at the cabinet's end only";
            survey.assume(
                "wiring.shield-earth",
                usual.to_owned(),
                "not surveyed; common practice: one end only",
            );
            Some(usual.to_owned())
        }
        None => None,
    };
    let receivers: Vec<_> = (0..survey.entries.count("wiring.receiver"))
        .map(|index| {
            let at = |name: &str| format!("wiring.receiver[{index}].{name}");
            Some(Receiver {
                name: survey.text(&at("name"))?.value,
                resistance_ohm: survey.number(&at("resistance"))?.value,
                terminals: survey.pair(&at("terminals")),
            })
        })
        .collect();
    let cable = cable(survey, &WIRING_CABLE, site);
    let barrier = barrier(survey);
    let actuator_supply = actuator_supply(survey, site);
    let output = output(survey, site);
    Some(Some(Wiring {
        supply_lowest_v: lowest?.value,
        supply_highest_v: highest?.value,
        powered_by_controller: powered?.value == "controller",
        supply_terminals: survey.pair("wiring.supply-terminals"),
        cell_lift_off_v: lift_off?.value,
        cell_highest_v: cell_highest?.value,
        cell_terminals: survey.pair("wiring.cell-terminals"),
        highest_current_ma: current?,
        receivers: receivers.into_iter().collect::<Option<_>>()?,
        cable: cable?,
        barrier: barrier?,
        digital: digital?,
        shield_earth: shield?,
        actuator_supply: actuator_supply?,
        output: output?,
    }))
}

/// The cell drives every current that is stated for it, so none may lie above the highest.
fn check_current(survey: &mut Survey<'_>) {
    let highest = survey.number("wiring.highest-current");
    for path in ["cell.fault-current", "cell.saturation-high"] {
        let stated = survey.number(path);
        if highest.is_some() {
            survey.check_below(
                "highest-current-too-low",
                stated.as_ref(),
                highest.as_ref(),
                true,
                "the highest current is the largest that the cell drives, also on its fault",
            );
        } else if let Some(stated) = stated.filter(|stated| {
            survey.is_absent("wiring.highest-current") && stated.value > USUAL_HIGHEST_MA
        }) {
            survey.problems.push(
                Problem::new(
                    "highest-current-too-low",
                    format!(
                        "the cell drives {}, more than the 23 mA that are assumed",
                        stated.text
                    ),
                    stated.label("a current of the cell"),
                )
                .help("write highest-current under [wiring]"),
            );
        }
    }
}

/// Paths of a cable's keys.
struct CableKeys {
    conductor: &'static str,
    length: &'static str,
    temperature: &'static str,
    mark: &'static str,
}

const WIRING_CABLE: CableKeys = CableKeys {
    conductor: "wiring.conductor",
    length: "wiring.cable-length",
    temperature: "wiring.cable-temperature",
    mark: "wiring.cable-mark",
};
const SUPPLY_CABLE: CableKeys = CableKeys {
    conductor: "wiring.actuator-supply.conductor",
    length: "wiring.actuator-supply.cable-length",
    temperature: "wiring.actuator-supply.cable-temperature",
    mark: "wiring.actuator-supply.cable-mark",
};
const OUTPUT_CABLE: CableKeys = CableKeys {
    conductor: "wiring.output.conductor",
    length: "wiring.output.cable-length",
    temperature: "wiring.output.cable-temperature",
    mark: "wiring.output.cable-mark",
};

fn cable(survey: &mut Survey<'_>, keys: &CableKeys, site: Option<&Site>) -> Option<CableRun> {
    let written = survey.text(keys.conductor);
    let conductor = written.and_then(|written| match conductor(&written.value) {
        Ok(conductor) => Some(conductor),
        Err(why) => {
            survey.problems.push(
                Problem::new(
                    "conductor-unknown",
                    format!("`{}`: `{}` is no known conductor: {why}", written.path, written.text),
                    written.label("not known"),
                )
                .help("write for instance 18 AWG stranded, 22 AWG solid, 1.5 mm2, 1.5 mm2 flexible, 1.5 mm2 tinned, or 25 ohm/km"),
            );
            None
        }
    });
    let length = survey.number(keys.length);
    let temperature = match survey.number(keys.temperature) {
        Some(found) => Some(found.value),
        None if survey.is_absent(keys.temperature) => site.map(|site| {
            let value_k = site.ambient_highest_k;
            survey.assume(
                keys.temperature,
                words::quantity(value_k, Dimension::Temperature, survey.units),
                "not surveyed; the highest ambient; warm copper has more resistance",
            );
            value_k
        }),
        None => None,
    };
    let mark = optional(survey, keys.mark, String::new(), |survey, path| {
        survey.text(path).map(|found| found.value)
    });
    Some(CableRun {
        mark: mark?,
        conductor: conductor?,
        length_m: length?.value,
        temperature_k: temperature?,
    })
}

fn barrier(survey: &mut Survey<'_>) -> Option<Option<Barrier>> {
    if survey.entries.count("wiring.barrier") == 0 {
        return Some(None);
    }
    let drop = optional(survey, "wiring.barrier.drop", 0.0, |survey, path| {
        survey.number(path).map(|found| found.value)
    });
    let largest = optional(
        survey,
        "wiring.barrier.largest-working-voltage",
        None,
        |survey, path| survey.number(path).map(|found| Some(found.value)),
    );
    let kind = survey.word_or(
        "wiring.barrier.kind",
        "barrier",
        "not stated; an intrinsically safe barrier",
    );
    Some(Some(Barrier {
        name: survey.text("wiring.barrier.name")?.value,
        kind: match kind? {
            "surge" => BarrierKind::Surge,
            "isolator" => BarrierKind::Isolator,
            _ => BarrierKind::Barrier,
        },
        resistance_ohm: survey.number("wiring.barrier.resistance")?.value,
        drop_v: drop?,
        largest_working_v: largest?,
    }))
}

fn actuator_supply(survey: &mut Survey<'_>, site: Option<&Site>) -> Option<Option<ActuatorSupply>> {
    const RUNNING: &str = "wiring.actuator-supply.running";
    const INRUSH: &str = "wiring.actuator-supply.inrush";
    const SOURCE: &str = "wiring.actuator-supply.source";
    if survey.entries.count("wiring.actuator-supply") == 0 {
        return Some(None);
    }
    let voltage = survey.number("wiring.actuator-supply.voltage");
    let lowest = survey.number("wiring.actuator-supply.lowest");
    survey.check_below(
        "actuator-voltages-reversed",
        lowest.as_ref(),
        voltage.as_ref(),
        false,
        "the lowest voltage at which the actuator works lies under the nominal one",
    );
    let supply_lowest = lowest_voltage(survey);
    let current = survey.word("wiring.actuator-supply.current");
    if let Some(current) = current
        .as_ref()
        .filter(|current| current.value == "alternating")
    {
        for path in [RUNNING, INRUSH, SOURCE] {
            if let Some(power) = survey
                .quantity(path)
                .filter(|power| power.value.basis == Basis::RealPower)
            {
                survey.problems.push(
                    Problem::new(
                        "power-not-apparent",
                        format!(
                            "`{path}`: {} leaves the current open: with alternating current a load is more VA than W",
                            power.text
                        ),
                        power.label("real power"),
                    )
                    .and(current.label("alternating current"))
                    .help("take the VA from its data sheet, or voltage times current"),
                );
            }
        }
    }
    let running = survey.number(RUNNING);
    let inrush = survey.number(INRUSH);
    survey.check_below(
        "inrush-under-running",
        running.as_ref(),
        inrush.as_ref(),
        true,
        "the load while it starts is at least that while it runs; without one of its own write the running load",
    );
    let source = optional(survey, SOURCE, None, |survey, path| {
        survey.number(path).map(|found| Some(found.value))
    });
    // Currents are kept in mA; a fuse is told in A.
    let fuse = optional(
        survey,
        "wiring.actuator-supply.fuse",
        None,
        |survey, path| survey.number(path).map(|found| Some(found.value / 1000.0)),
    );
    let isolated = survey.flag("wiring.actuator-supply.signal-isolated");
    let cable = cable(survey, &SUPPLY_CABLE, site);
    Some(Some(ActuatorSupply {
        voltage_v: voltage?.value,
        supply_lowest_v: supply_lowest?,
        alternating: current?.value == "alternating",
        lowest_v: lowest?.value,
        running_va: running?.value,
        inrush_va: inrush?.value,
        cable: cable?,
        source_va: source?,
        fuse_a: fuse?,
        signal_isolated: isolated?.value,
        terminals: survey.pair("wiring.actuator-supply.terminals"),
    }))
}

/// Lowest voltage of the actuator's supply, V.
fn lowest_voltage(survey: &mut Survey<'_>) -> Option<f64> {
    const PATH: &str = "wiring.actuator-supply.lowest-voltage";
    let nominal = survey.number("wiring.actuator-supply.voltage");
    let stated = survey.number(PATH);
    survey.check_below(
        "actuator-supply-voltages-reversed",
        stated.as_ref(),
        nominal.as_ref(),
        true,
        "the supply's lowest voltage is at most its nominal one",
    );
    if survey.is_present(PATH) {
        return stated.map(|stated| stated.value);
    }
    survey.number_or(
        PATH,
        USUAL_LOWEST_RATIO * nominal?.value,
        "not surveyed; common practice: 10 % under nominal, at low mains",
    )
}

fn output(survey: &mut Survey<'_>, site: Option<&Site>) -> Option<Option<OutputLoop>> {
    if survey.entries.count("wiring.output") == 0 {
        return Some(None);
    }
    let cable = cable(survey, &OUTPUT_CABLE, site);
    Some(Some(OutputLoop {
        largest_load_ohm: survey.number("wiring.output.largest-load")?.value,
        input_ohm: survey.number("wiring.output.input-resistance")?.value,
        cable: cable?,
        controller_terminals: survey.pair("wiring.output.controller-terminals"),
        actuator_terminals: survey.pair("wiring.output.actuator-terminals"),
    }))
}
