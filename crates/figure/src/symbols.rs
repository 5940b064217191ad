//! Symbols of the drawings: bubbles and valve bodies as ISA-5.1 draws them, terminals, earth, item numbers.

use crate::svg::{INK, Lettering, PAPER, Point, Stroke, Svg};

/// Radius of an instrument's bubble.
pub(crate) const BUBBLE: f64 = 24.0;
/// Radius of an item's number.
pub(crate) const BALLOON: f64 = 10.0;

/// Smallest letters in a bubble.
const LEAST_SIZE: f64 = 7.5;
const LINE: Stroke = Stroke::solid(INK, 1.3);

/// Text no wider than there is room for: set smaller, never cut.
pub(crate) fn fitted(lettering: Lettering, text: &str, room: f64) -> Lettering {
    let size = lettering.size * (room / lettering.width(text).max(1e-6)).clamp(0.4, 1.0);
    Lettering { size, ..lettering }
}

/// A text in rows that keep within the room where its words do.
pub(crate) fn wrapped(lettering: Lettering, text: &str, room: f64) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match rows.last_mut() {
            Some(row) if lettering.width(&format!("{row} {word}")) <= room => {
                row.push(' ');
                row.push_str(word);
            }
            _ => rows.push(word.to_owned()),
        }
    }
    rows
}

/// An instrument: letters above, number below; on the panel's front with a line across.
pub(crate) fn bubble(svg: &mut Svg, (x, y): Point, letters: &str, number: &str, on_panel: bool) {
    svg.circle((x, y), BUBBLE, Some(PAPER), Stroke::solid(INK, 1.5));
    if on_panel {
        svg.line((x - BUBBLE, y), (x + BUBBLE, y), Stroke::solid(INK, 1.1));
    }
    let up = Lettering::new(13.5).bold().middle();
    svg.text((x, y - 5.0), fitted(up, letters, 40.0), letters);
    // A number too long to be read in there is left to the drawing's head.
    let down = fitted(Lettering::new(12.0).middle(), number, 38.0);
    if down.size > LEAST_SIZE {
        svg.text((x, y + 14.0), down, number);
    }
}

/// A valve's body in a level or an upright pipe.
pub(crate) fn valve(svg: &mut Svg, (x, y): Point, upright: bool, half: f64) {
    let (a, b) = (half, 0.62 * half);
    let corner = |u: f64, v: f64| {
        if upright {
            (x + v, y + u)
        } else {
            (x + u, y + v)
        }
    };
    svg.polygon(
        &[corner(-a, -b), corner(a, b), corner(a, -b), corner(-a, b)],
        Some(PAPER),
        Some(LINE),
    );
}

/// A terminal on the edge of its device.
pub(crate) fn terminal(svg: &mut Svg, at: Point) {
    svg.circle(at, 3.6, Some(PAPER), Stroke::solid(INK, 1.2));
}

/// Earth, below its point.
pub(crate) fn earth(svg: &mut Svg, (x, y): Point) {
    svg.line((x, y), (x, y + 8.0), LINE);
    for (i, half) in [9.0, 6.0, 3.0].into_iter().enumerate() {
        let at = y + 8.0 + 3.4 * i as f64;
        svg.line((x - half, at), (x + half, at), LINE);
    }
}

/// The mark of a duty with the vessel at the set of its safety valves.
pub(crate) fn safety_valve_mark(svg: &mut Svg, (x, y): Point) {
    svg.polygon(
        &[(x - 5.5, y + 4.0), (x + 5.5, y + 4.0), (x, y - 6.0)],
        Some(PAPER),
        Some(Stroke::solid(INK, 1.6)),
    );
}

/// The number of an item, led to the part that it names.
pub(crate) fn balloon(svg: &mut Svg, at: Point, part: Point, number: usize) {
    svg.line(at, part, Stroke::solid(INK, 0.8));
    svg.circle(part, 1.6, Some(INK), Stroke::solid(INK, 0.5));
    svg.circle(at, BALLOON, Some(PAPER), Stroke::solid(INK, 1.1));
    svg.text(
        (at.0, at.1 + 4.4),
        Lettering::new(12.5).middle().bold(),
        &number.to_string(),
    );
}
