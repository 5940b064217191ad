//! The cell of the loop drawing with its shielded cable, and the barrier at the panel's edge.

use halfglass_core::description::wiring::Wiring;
use halfglass_report::bill::cable_words;
use halfglass_report::loop_tags::number_of;
use halfglass_report::units::{DisplayUnits, ohm_text};

use super::{BARRIER, CABLE, DOWN, FIELD, MINUS, PANEL, PLUS, WIRE, cable, right_terminal};
use crate::chart::REMARK;
use crate::svg::{INK, Lettering, PAPER, Stroke, Svg};
use crate::symbols::{BUBBLE, bubble, earth, fitted, terminal, wrapped};

pub(super) fn cell(svg: &mut Svg, tag: &str, wires: &Wiring, units: &DisplayUnits) {
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
