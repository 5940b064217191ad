//! The cell of the loop drawing with its shielded cable, and the barrier at the panel's edge.

use halfglass_core::description::wiring::Wiring;
use halfglass_report::bill::cable_words;
use halfglass_report::loop_tags::number_of;
use halfglass_report::units::{DisplayUnits, ohm_text};

use super::shield::{earth_words, shield};
use super::wire_numbers::{WireNumbers, wire_number};
use super::{BARRIER, DOWN, FIELD, MINUS, NUMBER, PLUS, WIRE, cable, right_terminal};
use crate::chart::REMARK;
use crate::svg::{INK, Lettering, PAPER, Stroke, Svg};
use crate::symbols::{BUBBLE, bubble, fitted, terminal, wrapped};

pub(super) fn cell(
    svg: &mut Svg,
    tag: &str,
    wires: &Wiring,
    numbers: WireNumbers<'_>,
    units: &DisplayUnits,
) {
    svg.group("cell", |svg| {
        let middle = middle_of_wires();
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
        // Behind a barrier the list begins with its other side.
        let behind = usize::from(wires.barrier.is_some());
        wire_number(svg, (NUMBER, PLUS), numbers.of("signal +", behind));
        wire_number(svg, (NUMBER, MINUS), numbers.of("signal \u{2212}", 0));
        shield(
            svg,
            (PLUS, MINUS),
            &wires.shield_earth,
            "cell",
            numbers.of("shield", 0),
        );
        earth_words(svg, &wires.shield_earth);
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
        wire_number(
            svg,
            (0.5 * (BARRIER.1 + DOWN), PLUS),
            numbers.of("signal +", 0),
        );
        let name = Lettering::new(REMARK).middle();
        let rows = wrapped(name, &barrier.name, 94.0);
        let first = middle_of_wires() + 4.2 - 6.5 * (rows.len() as f64 - 1.0);
        for (i, row) in rows.iter().enumerate() {
            svg.text(
                (middle, first + 13.0 * i as f64),
                fitted(name, row, 94.0),
                row,
            );
        }
        svg.text(
            (middle, MINUS + 15.0),
            Lettering::new(REMARK).middle().grey(),
            &ohm_text(barrier.resistance_ohm),
        );
    });
}

/// Between the wires of the cell.
const fn middle_of_wires() -> f64 {
    0.5 * (PLUS + MINUS)
}
