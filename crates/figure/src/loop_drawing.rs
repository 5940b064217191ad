//! The loop drawing: cell, cable, barrier, receivers, supply, controller, output and actuator from terminal to terminal,
//! bubbles with the letters of ISA-5.1. Marks of terminals are the user's; a blank is left where none was typed.

use halfglass_core::description::Loop;
use halfglass_core::description::wiring::{ActuatorSupply, OutputLoop, Wiring};
use halfglass_core::design::Sheets;
use halfglass_report::bill::cable_words;
use halfglass_report::loop_tags::{number_of, with_letters};
use halfglass_report::units::{DisplayUnits, keyed_number, number, ohm_text};

use crate::chart::{LABEL, REMARK, note};
use crate::svg::{GREY, INK, Lettering, PAPER, Point, Stroke, Svg};
use crate::symbols::{BUBBLE, bubble, earth, fitted, terminal, valve};

const WIDTH: f64 = 900.0;
/// Device boxes in the field.
const FIELD: (f64, f64) = (112.0, 172.0);
/// Wires in their cable.
const CABLE: (f64, f64) = (196.0, 392.0);
/// Edge of the panel.
const PANEL: f64 = 424.0;
const BARRIER: (f64, f64) = (458.0, 560.0);
/// Where the return from the cell goes down.
const DOWN: f64 = 600.0;
/// Where receivers are linked.
const LINK: f64 = 646.0;
/// Device boxes in the panel.
const DEVICE: (f64, f64) = (670.0, 850.0);
/// Wires of the cell.
const PLUS: f64 = 126.0;
const MINUS: f64 = 166.0;
const WIRE: Stroke = Stroke::solid(INK, 1.5);

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "loop-drawing",
        (WIDTH, 600.0),
        format!("Loop drawing of {}", described.identity.tag),
        "Field on the left, panel on the right: the cell with its shielded cable, barrier, receivers and supply in series, the controller's output to the actuator, the actuator's power, every terminal with its own mark or a blank",
    );
    let Some(wires) = &described.wiring else {
        return note(
            svg,
            &[
                "The loop file describes no wires:",
                "there is no loop to draw.",
            ],
        );
    };
    let tag = &described.identity.tag;
    svg.text((12.0, 24.0), Lettering::new(16.0).bold(), tag);
    let service = Lettering::new(LABEL).grey();
    svg.text(
        (12.0, 42.0),
        fitted(service, &described.identity.service, 380.0),
        &described.identity.service,
    );
    let head = Lettering::new(LABEL).bold();
    svg.text((PANEL - 14.0, 76.0), head.end(), "FIELD");
    svg.text((PANEL + 14.0, 76.0), head, "PANEL");
    cell(&mut svg, tag, wires, units);
    let input = receivers(&mut svg, wires);
    let bottom = controller(&mut svg, tag, wires, input);
    let mut end = bottom;
    if let Some(output) = &wires.output {
        end = end.max(actuator(&mut svg, tag, output, wires, units, bottom));
    }
    if let Some(supply) = &wires.actuator_supply {
        let box_stands = wires.output.is_some();
        end = end.max(power(
            &mut svg, tag, supply, box_stands, sheets, units, bottom,
        ));
    }
    svg.line(
        (PANEL, 62.0),
        (PANEL, end + 8.0),
        Stroke::dashed(GREY, 1.2, "14 4 3 4"),
    );
    let foot = end + 36.0;
    svg.line(
        (12.0, foot - 16.0),
        (WIDTH - 12.0, foot - 16.0),
        Stroke::solid(INK, 1.0),
    );
    svg.text(
        (12.0, foot),
        Lettering::new(REMARK).grey(),
        "____: the device's own mark, to be filled in. + and \u{2212} as the current flows. Check every terminal against the device's own papers; safety circuits are no part of this drawing.",
    );
    let revision = format!("revision {}", described.identity.revision);
    svg.text(
        (WIDTH - 12.0, 24.0),
        fitted(service.end(), &revision, 200.0),
        &revision,
    );
    svg.text(
        (WIDTH - 12.0, 42.0),
        fitted(service.end(), &described.identity.plant, 400.0),
        &described.identity.plant,
    );
    svg.shrink_to(foot + 12.0);
    svg.finish()
}

/// A terminal's own mark, or a blank.
fn mark(mark: &str) -> &str {
    if mark.is_empty() { "____" } else { mark }
}

/// A device's box with its name.
fn device(svg: &mut Svg, (left, right): (f64, f64), (top, bottom): (f64, f64), lines: &[&str]) {
    svg.rect((left, top), (right, bottom), Some(PAPER), Some(WIRE));
    let middle = 0.5 * (top + bottom) - 7.5 * (lines.len() as f64 - 1.0) + 4.5;
    for (i, line) in lines.iter().enumerate() {
        let lettering = if i == 0 {
            Lettering::new(LABEL).end()
        } else {
            Lettering::new(REMARK).end().grey()
        };
        svg.text(
            (right - 10.0, middle + 15.0 * i as f64),
            fitted(lettering, line, right - left - 64.0),
            line,
        );
    }
}

/// A terminal on the left edge of a panel device: sign outside, mark inside.
fn left_terminal(svg: &mut Svg, y: f64, sign: &str, own: &str) {
    terminal(svg, (DEVICE.0, y));
    svg.text(
        (DEVICE.0 - 7.0, y - 5.0),
        Lettering::new(REMARK).end().rimmed(),
        sign,
    );
    let inside = Lettering::new(REMARK);
    svg.text(
        (DEVICE.0 + 9.0, y + 4.2),
        fitted(inside, mark(own), 42.0),
        mark(own),
    );
}

/// A terminal on the right edge of a field device.
fn right_terminal(svg: &mut Svg, y: f64, sign: &str, own: &str) {
    terminal(svg, (FIELD.1, y));
    svg.text(
        (FIELD.1 + 7.0, y - 5.0),
        Lettering::new(REMARK).rimmed(),
        sign,
    );
    let inside = Lettering::new(REMARK).end();
    svg.text(
        (FIELD.1 - 9.0, y + 4.2),
        fitted(inside, mark(own), 46.0),
        mark(own),
    );
}

/// Two wires in a cable, its mark and what it is above them.
fn cable(svg: &mut Svg, (upper, lower): (f64, f64), to_x: f64, words: &str) {
    for y in [upper, lower] {
        svg.line((FIELD.1 + 3.6, y), (to_x, y), WIRE);
    }
    let middle = 0.5 * (CABLE.0 + CABLE.1);
    let lettering = Lettering::new(REMARK).middle().rimmed();
    svg.text(
        (middle, 0.5 * (upper + lower) + 4.2),
        fitted(lettering, words, CABLE.1 - CABLE.0 - 8.0),
        words,
    );
}

fn cell(svg: &mut Svg, tag: &str, wires: &Wiring, units: &DisplayUnits) {
    svg.group("cell", |svg| {
        let middle = 0.5 * (PLUS + MINUS);
        svg.line((58.0 + BUBBLE, middle), (FIELD.0, middle), WIRE);
        bubble(svg, (58.0, middle), "LT", &number_of(tag), false);
        svg.rect(
            (FIELD.0, PLUS - 20.0),
            (FIELD.1, MINUS + 20.0),
            Some(PAPER),
            Some(WIRE),
        );
        let end = if wires.barrier.is_some() {
            BARRIER.0
        } else {
            DOWN
        };
        cable(svg, (PLUS, MINUS), end, &cable_words(&wires.cable, units));
        right_terminal(svg, PLUS, "+", &wires.cell_terminals[0]);
        right_terminal(svg, MINUS, "\u{2212}", &wires.cell_terminals[1]);
        shield(svg, wires);
    });
    svg.group("barrier", |svg| {
        let Some(barrier) = &wires.barrier else {
            return;
        };
        svg.rect(
            (BARRIER.0, PLUS - 20.0),
            (BARRIER.1, MINUS + 20.0),
            Some(PAPER),
            Some(WIRE),
        );
        let middle = 0.5 * (BARRIER.0 + BARRIER.1);
        for y in [PLUS, MINUS] {
            for x in [BARRIER.0, BARRIER.1] {
                terminal(svg, (x, y));
            }
            svg.line(
                (BARRIER.0 + 3.6, y),
                (BARRIER.1 - 3.6, y),
                Stroke::dashed(INK, 1.0, "3 3"),
            );
            svg.line((BARRIER.1 + 3.6, y), (DOWN, y), WIRE);
        }
        let name = Lettering::new(LABEL).middle();
        svg.text(
            (middle, 0.5 * (PLUS + MINUS) - 1.0),
            fitted(name, &barrier.name, 92.0),
            &barrier.name,
        );
        svg.text(
            (middle, 0.5 * (PLUS + MINUS) + 13.0),
            Lettering::new(REMARK).middle().grey(),
            &ohm_text(barrier.resistance_ohm),
        );
    });
}

/// The shield round the pair, earthed at the end that the user's words name: the panel's unless they name the field's.
fn shield(svg: &mut Svg, wires: &Wiring) {
    let (top, bottom) = (PLUS - 12.0, MINUS + 12.0);
    svg.polygon(
        &[
            (CABLE.0, top),
            (CABLE.1, top),
            (CABLE.1, bottom),
            (CABLE.0, bottom),
        ],
        None,
        Some(Stroke::dashed(INK, 1.0, "5 3")),
    );
    let words = wires.shield_earth.to_lowercase();
    let at_field = ["field", "cell", "transmitter", "vessel"]
        .iter()
        .any(|word| words.contains(word))
        && !["panel", "cabinet", "controller", "control room"]
            .iter()
            .any(|word| words.contains(word));
    let (earthed, open) = if at_field {
        (CABLE.0 + 14.0, CABLE.1 - 4.0)
    } else {
        (CABLE.1 - 14.0, CABLE.0 + 4.0)
    };
    earth(svg, (earthed, bottom));
    let anchor = |lettering: Lettering| if at_field { lettering } else { lettering.end() };
    let lines = ["shield earthed here only:", wires.shield_earth.as_str()];
    let side = if at_field { FIELD.0 } else { PANEL - 10.0 };
    for (i, line) in lines.into_iter().enumerate() {
        let lettering = anchor(Lettering::new(REMARK));
        svg.text(
            (side, bottom + 34.0 + 15.0 * i as f64),
            fitted(lettering, line, PANEL - FIELD.0 - 14.0),
            line,
        );
    }
    let lettering = Lettering::new(REMARK).grey();
    let (lettering, words) = if at_field {
        (lettering.end(), "insulated at the panel")
    } else {
        (lettering, "insulated at the cell")
    };
    svg.text((open, bottom + 15.0), lettering, words);
}

/// Supply on top, receivers below, the controller's input last; returns where that begins.
fn receivers(svg: &mut Svg, wires: &Wiring) -> f64 {
    svg.group("supply", |svg| {
        svg.line((DOWN, PLUS), (DEVICE.0, PLUS), WIRE);
        let range = format!(
            "{} to {} V",
            keyed_number(wires.supply_lowest_v, 3),
            keyed_number(wires.supply_highest_v, 3)
        );
        let name = if wires.powered_by_controller {
            "supply of the controller"
        } else {
            "power supply"
        };
        device(svg, DEVICE, (PLUS - 20.0, MINUS + 20.0), &[name, &range]);
        left_terminal(svg, PLUS, "+", &wires.supply_terminals[0]);
        left_terminal(svg, MINUS, "\u{2212}", &wires.supply_terminals[1]);
    });
    let mut link_from = MINUS;
    let mut top = MINUS + 40.0;
    svg.group("receivers", |svg| {
        for receiver in wires.receivers.iter().skip(1).rev() {
            let (minus, plus) = (top + 18.0, top + 52.0);
            link(svg, link_from, minus);
            device(
                svg,
                DEVICE,
                (top, top + 70.0),
                &[&receiver.name, &ohm_text(receiver.resistance_ohm)],
            );
            left_terminal(svg, minus, "\u{2212}", &receiver.terminals[1]);
            left_terminal(svg, plus, "+", &receiver.terminals[0]);
            link_from = plus;
            top += 90.0;
        }
        link(svg, link_from, top + 24.0);
    });
    top
}

/// From a terminal to the one below it, beside the boxes.
fn link(svg: &mut Svg, from: f64, to: f64) {
    svg.polyline(
        &[
            (DEVICE.0 - 3.6, from),
            (LINK, from),
            (LINK, to),
            (DEVICE.0 - 3.6, to),
        ],
        WIRE,
    );
}

/// The controller: its input ends the loop, its output begins the next. Returns where its box ends.
fn controller(svg: &mut Svg, tag: &str, wires: &Wiring, top: f64) -> f64 {
    let (minus, plus) = (top + 24.0, top + 64.0);
    let bottom = if wires.output.is_some() {
        top + 184.0
    } else {
        top + 98.0
    };
    svg.group("controller", |svg| {
        svg.polyline(&[(DOWN, MINUS), (DOWN, plus), (DEVICE.0 - 3.6, plus)], WIRE);
        let first = wires.receivers.first();
        let name = first.map_or("controller input", |receiver| receiver.name.as_str());
        device(svg, DEVICE, (top, bottom), &[]);
        let words = Lettering::new(REMARK).end().grey();
        svg.text(
            (DEVICE.1 - 10.0, top + 17.0),
            fitted(words, name, 116.0),
            name,
        );
        let ohm = first.map_or_else(String::new, |receiver| ohm_text(receiver.resistance_ohm));
        svg.text((DEVICE.1 - 10.0, top + 90.0), words, &ohm);
        bubble(
            svg,
            (DEVICE.1 - 40.0, top + 50.0),
            &letters(tag),
            &number_of(tag),
            true,
        );
        let terminals = first.map(|receiver| &receiver.terminals);
        left_terminal(
            svg,
            minus,
            "\u{2212}",
            terminals.map_or("", |both| &both[1]),
        );
        left_terminal(svg, plus, "+", terminals.map_or("", |both| &both[0]));
        if let Some(output) = &wires.output {
            svg.line(
                (DEVICE.0, top + 104.0),
                (DEVICE.1, top + 104.0),
                Stroke::dashed(INK, 0.8, "3 3"),
            );
            svg.text(
                (DEVICE.1 - 10.0, top + 138.0),
                Lettering::new(LABEL).end(),
                "output",
            );
            let most = format!("{} at most", ohm_text(output.largest_load_ohm));
            svg.text((DEVICE.1 - 10.0, top + 154.0), words, &most);
        }
    });
    bottom
}

/// The loop's own letters, LIC where the tag has none.
fn letters(tag: &str) -> String {
    let marked = with_letters(tag, "\u{0}");
    let bare = marked.replace('\u{0}', "");
    match tag.len().checked_sub(bare.len()) {
        Some(length @ 2..=4) => marked
            .find('\u{0}')
            .and_then(|at| tag.get(at..at + length))
            .unwrap_or("LIC")
            .to_owned(),
        _ => "LIC".into(),
    }
}

/// The actuator with its signal; returns where it ends.
fn actuator(
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
fn power(
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
