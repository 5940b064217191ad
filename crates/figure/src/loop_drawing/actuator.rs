//! The actuator of the loop drawing: its signal from the controller, its power and fuse.

use halfglass_core::description::wiring::{ActuatorSupply, OutputLoop, Wiring};
use halfglass_core::design::Sheets;
use halfglass_report::bill::cable_words;
use halfglass_report::loop_tags::{number_of, with_letters};
use halfglass_report::units::{DisplayUnits, keyed_number, number};

use super::{DEVICE, DOWN, FIELD, WIRE, cable, device, left_terminal, right_terminal};
use crate::chart::{LABEL, REMARK};
use crate::svg::{INK, Lettering, PAPER, Point, Stroke, Svg};
use crate::symbols::{BUBBLE, bubble, fitted, terminal, valve};

/// The actuator with its signal; returns where it ends.
pub(super) fn actuator(
    svg: &mut Svg,
    tag: &str,
    output: &OutputLoop,
    wires: &Wiring,
    units: &DisplayUnits,
    bottom: f64,
) -> f64 {
    let (plus, minus) = (bottom - 64.0, bottom - 28.0);
    let box_end = if wires.actuator_supply.is_some() {
        minus + 124.0
    } else {
        minus + 20.0
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

/// The actuator's power below its signal; returns where it ends.
pub(super) fn power(
    svg: &mut Svg,
    tag: &str,
    supply: &ActuatorSupply,
    box_stands: bool,
    sheets: &Sheets,
    units: &DisplayUnits,
    bottom: f64,
) -> f64 {
    let (first, second) = (bottom + 38.0, bottom + 76.0);
    svg.group("power", |svg| {
        if !box_stands {
            actuator_symbol(svg, tag, 0.5 * (first + second));
            svg.rect(
                (FIELD.0, first - 20.0),
                (FIELD.1, second + 20.0),
                Some(PAPER),
                Some(WIRE),
            );
        }
        cable(
            svg,
            (first, second),
            DEVICE.0 - 3.6,
            &cable_words(&supply.cable, units),
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
        let fuse = sheets
            .wiring
            .as_ref()
            .and_then(|sheet| sheet.actuator.as_ref());
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
    (second + 20.0).max(0.5 * (first + second) + if box_stands { 0.0 } else { 100.0 })
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
