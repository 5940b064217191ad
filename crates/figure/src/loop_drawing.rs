//! The loop drawing: cell, cable, barrier, receivers, supply, controller, output and actuator from terminal to terminal,
//! bubbles with the letters of ISA-5.1. Marks of terminals are the user's; a blank is left where none was typed.

mod actuator;
mod cell;
mod shield;
mod wire_numbers;

use halfglass_core::description::Loop;
use halfglass_core::description::wiring::Wiring;
use halfglass_core::design::Sheets;
use halfglass_report::loop_tags::{number_of, with_letters};
use halfglass_report::units::{DisplayUnits, keyed_number, ohm_text};

use crate::chart::{LABEL, REMARK, note};
use crate::svg::{GREY, INK, Lettering, PAPER, Stroke, Svg};
use crate::symbols::{bubble, fitted, terminal, wrapped};
use actuator::{Beside, actuator, power};
use cell::cell;
use wire_numbers::{WireNumbers, wire_number};

const WIDTH: f64 = 820.0;
/// Device boxes in the field.
const FIELD: (f64, f64) = (112.0, 172.0);
/// Wires in their cable.
const CABLE: (f64, f64) = (196.0, 392.0);
/// Edge of the panel.
const PANEL: f64 = 424.0;
const BARRIER: (f64, f64) = (448.0, 548.0);
/// Where the wires of the field carry their numbers, between cable and panel.
const NUMBER: f64 = 409.0;
/// Where the return from the cell goes down.
const DOWN: f64 = 580.0;
/// Where receivers are linked.
const LINK: f64 = 618.0;
/// Device boxes in the panel.
const DEVICE: (f64, f64) = (644.0, 808.0);
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
    let numbers = WireNumbers(sheets.wiring.as_ref());
    cell(&mut svg, tag, wires, numbers, units);
    let input = receivers(&mut svg, wires, numbers);
    let bottom = controller(&mut svg, tag, wires, input);
    // Between the way down and the receivers: the cell's return behind a barrier.
    if wires.barrier.is_some() {
        wire_number(&mut svg, (DOWN, input), numbers.of("signal \u{2212}", 1));
    }
    let mut end = bottom;
    if let Some(output) = &wires.output {
        end = end.max(actuator(
            &mut svg, tag, output, wires, numbers, units, bottom,
        ));
    }
    if let Some(supply) = &wires.actuator_supply {
        let beside = Beside {
            box_stands: wires.output.is_some(),
            sheet: sheets.wiring.as_ref(),
            units,
        };
        end = end.max(power(&mut svg, tag, supply, beside, bottom));
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
    let foot_words = "____: the device's own mark, to be filled in. Number in a box: the wire in the list of connections. + and \u{2212} as the current flows. Check every terminal against the device's own papers; safety circuits are no part of this drawing.";
    let lettering = Lettering::new(REMARK).grey();
    let rows = wrapped(lettering, foot_words, WIDTH - 24.0);
    for (i, row) in rows.iter().enumerate() {
        svg.text((12.0, foot + 15.0 * i as f64), lettering, row);
    }
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
    svg.shrink_to(foot + 15.0 * rows.len() as f64 - 3.0);
    svg.finish()
}

/// A terminal's own mark, or a blank.
fn mark(mark: &str) -> &str {
    if mark.is_empty() { "____" } else { mark }
}

/// A device's box with its name.
fn device(svg: &mut Svg, (left, right): (f64, f64), (top, bottom): (f64, f64), lines: &[&str]) {
    svg.rect((left, top), (right, bottom), Some(PAPER), Some(WIRE));
    let room = right - left - 64.0;
    let mut rows: Vec<(Lettering, String)> = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let lettering = if i == 0 {
            Lettering::new(LABEL).end()
        } else {
            Lettering::new(REMARK).end().grey()
        };
        rows.extend(
            wrapped(lettering, line, room)
                .into_iter()
                .map(|row| (lettering, row)),
        );
    }
    let middle = 0.5 * (top + bottom) - 7.5 * (rows.len() as f64 - 1.0) + 4.5;
    for (i, (lettering, row)) in rows.iter().enumerate() {
        svg.text(
            (right - 10.0, middle + 15.0 * i as f64),
            fitted(*lettering, row, room),
            row,
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

/// Supply on top, receivers below, the controller's input last; returns where that begins.
fn receivers(svg: &mut Svg, wires: &Wiring, numbers: WireNumbers<'_>) -> f64 {
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
    // The list goes on from the cell: its return comes first, the wire to the supply last.
    let before = usize::from(wires.barrier.is_some());
    let mut nth = before + wires.receivers.len();
    let mut link_from = MINUS;
    let mut top = MINUS + 40.0;
    svg.group("receivers", |svg| {
        for receiver in wires.receivers.iter().skip(1).rev() {
            let (minus, plus) = (top + 18.0, top + 52.0);
            link(svg, link_from, minus, numbers.of("signal \u{2212}", nth));
            nth -= 1;
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
        link(
            svg,
            link_from,
            top + 24.0,
            numbers.of("signal \u{2212}", nth),
        );
    });
    top
}

/// From a terminal to the one below it, beside the boxes.
fn link(svg: &mut Svg, from: f64, to: f64, number: Option<usize>) {
    svg.polyline(
        &[
            (DEVICE.0 - 3.6, from),
            (LINK, from),
            (LINK, to),
            (DEVICE.0 - 3.6, to),
        ],
        WIRE,
    );
    wire_number(svg, (LINK, 0.5 * (from + to)), number);
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
        let rows = wrapped(words, name, 104.0);
        let name_y = if rows.len() > 1 { 14.0 } else { 20.0 };
        for (i, row) in rows.iter().enumerate() {
            svg.text(
                (DEVICE.1 - 10.0, top + name_y + 13.0 * i as f64),
                fitted(words, row, 104.0),
                row,
            );
        }
        let ohm = first.map_or_else(String::new, |receiver| ohm_text(receiver.resistance_ohm));
        svg.text((DEVICE.1 - 10.0, top + 94.0), words, &ohm);
        bubble(
            svg,
            (DEVICE.1 - 40.0, top + 56.0),
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
