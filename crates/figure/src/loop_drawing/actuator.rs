//! The actuator of the loop drawing: its signal from the controller, its power and fuse.

use halfglass_core::description::wiring::{ActuatorSupply, OutputLoop, Wiring};
use halfglass_core::wiring::sheets::WiringSheet;
use halfglass_report::bill::cable_words;
use halfglass_report::loop_tags::{number_of, with_letters};
use halfglass_report::units::{DisplayUnits, keyed_number, number};

use super::shield::shield;
use super::wire_numbers::{WireNumbers, wire_number};
use super::{
    CABLE, DEVICE, DOWN, FIELD, NUMBER, WIRE, cable, device, left_terminal, right_terminal,
};
use crate::chart::{LABEL, REMARK};
use crate::svg::{INK, Lettering, PAPER, Point, Stroke, Svg};
use crate::symbols::{BUBBLE, bubble, earth, fitted, terminal, valve};

/// What the actuator's earth wire carries in the list of connections.
const PROTECTIVE_EARTH: &str = "protective earth";

/// The actuator with its signal; returns where it ends.
pub(super) fn actuator(
    svg: &mut Svg,
    tag: &str,
    output: &OutputLoop,
    wires: &Wiring,
    numbers: WireNumbers<'_>,
    units: &DisplayUnits,
    bottom: f64,
) -> f64 {
    let (plus, minus) = (bottom - 64.0, bottom - 28.0);
    let box_end = match (
        wires.actuator_supply.is_some(),
        numbers.of(PROTECTIVE_EARTH, 0),
    ) {
        (true, Some(_)) => minus + 162.0,
        (true, None) => minus + 124.0,
        (false, _) => minus + 20.0,
    };
    svg.group("actuator", |svg| {
        actuator_symbol(svg, tag, 0.5 * (plus + minus));
        svg.rect(
            (FIELD.0, plus - 20.0),
            (FIELD.1, box_end),
            Some(PAPER),
            Some(WIRE),
        );
        cable(
            svg,
            (plus, minus),
            DEVICE.0 - 3.6,
            &cable_words(&output.cable, units),
        );
        wire_number(svg, (NUMBER, plus), numbers.of("output +", 0));
        wire_number(svg, (NUMBER, minus), numbers.of("output \u{2212}", 0));
        shield(
            svg,
            (plus, minus),
            &wires.shield_earth,
            "actuator",
            numbers.of("shield", 1),
        );
        right_terminal(svg, plus, "+", &output.actuator_terminals[0]);
        right_terminal(svg, minus, "\u{2212}", &output.actuator_terminals[1]);
        left_terminal(svg, plus, "+", &output.controller_terminals[0]);
        left_terminal(svg, minus, "\u{2212}", &output.controller_terminals[1]);
    });
    box_end.max(0.5 * (plus + minus) + 100.0)
}

/// Bubble and valve left of the actuator's terminals.
fn actuator_symbol(svg: &mut Svg, tag: &str, y: f64) {
    svg.line((58.0 + BUBBLE, y), (FIELD.0, y), WIRE);
    svg.line((58.0, y + BUBBLE), (58.0, y + 62.0), WIRE);
    valve(svg, (58.0, y + 62.0), false, 18.0);
    bubble(svg, (58.0, y), "LY", &number_of(tag), false);
    let name = with_letters(tag, "LV");
    let lettering = Lettering::new(LABEL).middle();
    svg.text((58.0, y + 92.0), fitted(lettering, &name, 104.0), &name);
}

/// What the actuator's power is drawn beside.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beside<'a> {
    /// Does the actuator's box stand already, with its output.
    pub(super) box_stands: bool,
    pub(super) sheet: Option<&'a WiringSheet>,
    pub(super) units: &'a DisplayUnits,
}

/// The actuator's power below its signal; returns where it ends.
pub(super) fn power(
    svg: &mut Svg,
    tag: &str,
    supply: &ActuatorSupply,
    beside: Beside<'_>,
    bottom: f64,
) -> f64 {
    let numbers = WireNumbers(beside.sheet);
    let earthed = numbers.of(PROTECTIVE_EARTH, 0);
    let (first, second) = (bottom + 38.0, bottom + 76.0);
    svg.group("power", |svg| {
        if !beside.box_stands {
            actuator_symbol(svg, tag, 0.5 * (first + second));
            let below = if earthed.is_some() { 58.0 } else { 20.0 };
            svg.rect(
                (FIELD.0, first - 20.0),
                (FIELD.1, second + below),
                Some(PAPER),
                Some(WIRE),
            );
        }
        cable(
            svg,
            (first, second),
            DEVICE.0 - 3.6,
            &cable_words(&supply.cable, beside.units),
        );
        right_terminal(svg, first, "", &supply.terminals[0]);
        right_terminal(svg, second, "", &supply.terminals[1]);
        let kind = if supply.alternating { "a.c." } else { "d.c." };
        let volts = format!("{} V {kind}", keyed_number(supply.voltage_v, 4));
        device(
            svg,
            DEVICE,
            (first - 20.0, second + 20.0),
            &["actuator power", &volts],
        );
        for y in [first, second] {
            terminal(svg, (DEVICE.0, y));
        }
        fuse(svg, (DOWN, first));
        for (nth, y) in [first, second].into_iter().enumerate() {
            wire_number(svg, (NUMBER, y), numbers.of("power", nth));
        }
        if let Some(number) = earthed {
            protective_earth(svg, second + 38.0, number);
        }
        let fuse = beside.sheet.and_then(|sheet| sheet.actuator.as_ref());
        let words = match (supply.fuse_a, fuse) {
            (Some(a), _) => format!("fuse {} A", keyed_number(a, 3)),
            (None, Some(power)) => format!("fuse {} A, proposed", number(power.fuse_a, 1)),
            (None, None) => "fuse ____ A".to_owned(),
        };
        svg.text(
            (DOWN, first - 12.0),
            Lettering::new(REMARK).middle().rimmed(),
            &words,
        );
    });
    let lowest = second + if earthed.is_some() { 58.0 } else { 20.0 };
    lowest.max(0.5 * (first + second) + if beside.box_stands { 0.0 } else { 100.0 })
}

/// The conductor of its own from the protective earth bar to the actuator.
fn protective_earth(svg: &mut Svg, y: f64, number: usize) {
    svg.group("protective-earth", |svg| {
        let end = DEVICE.0 + 18.0;
        svg.line(
            (FIELD.1 + 3.6, y),
            (end, y),
            Stroke::dashed(INK, 1.5, "12 4"),
        );
        right_terminal(svg, y, "PE", "");
        wire_number(svg, (NUMBER, y), Some(number));
        let middle = Lettering::new(REMARK).middle().rimmed();
        svg.text(
            (0.5 * (CABLE.0 + CABLE.1), y - 6.0),
            middle,
            "protective earth, a conductor of its own",
        );
        earth(svg, (end, y));
        svg.text(
            (end + 16.0, y + 14.0),
            Lettering::new(REMARK),
            "protective earth bar",
        );
    });
}

fn fuse(svg: &mut Svg, (x, y): Point) {
    svg.rect(
        (x - 15.0, y - 5.5),
        (x + 15.0, y + 5.5),
        Some(PAPER),
        Some(WIRE),
    );
    svg.line((x - 15.0, y), (x + 15.0, y), Stroke::solid(INK, 1.0));
}
