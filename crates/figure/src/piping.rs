//! Taps, condensate pot, legs, cell and glass of the level map. Heights are to scale, widths are not.

use halfglass_core::description::{Glass, Loop, Polarity, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::MarkKind;
use halfglass_report::units::DisplayUnits;

use crate::outline::Outline;
use crate::scale::Scale;
use crate::svg::{INK, Lettering, PAPER, Point, Stroke, Svg, WATER};

/// Size of words in the drawing.
const WORD: f64 = 11.5;
/// Radius of the cell's circle.
pub(crate) const CELL_RADIUS: f64 = 17.0;
/// Height of the condensate pot above and below its lip.
pub(crate) const POT: (f64, f64) = (15.0, 13.0);
const POT_HALF_WIDTH: f64 = 15.0;

/// Where the upright parts stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Places {
    pub(crate) glass_x: f64,
    pub(crate) working_x: f64,
    pub(crate) reference_x: f64,
}

/// Where the cell stands on the drawing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CellPlace {
    pub(crate) y: f64,
    /// The legs are broken: the cell is farther down than drawn.
    pub(crate) broken: bool,
}

/// What fills a pipe.
#[derive(Clone, Copy)]
pub(crate) enum Filling {
    Water,
    Gas,
}

/// A pipe as two lines with its filling between.
pub(crate) fn pipe(svg: &mut Svg, points: &[Point], filling: Filling) {
    svg.polyline(points, Stroke::solid(INK, 6.4));
    let colour = match filling {
        Filling::Water => WATER,
        Filling::Gas => PAPER,
    };
    svg.polyline(points, Stroke::solid(colour, 4.2));
}

/// Everything outside the shell, the glass filled to where it stands at the set point on the hot vessel.
#[expect(
    clippy::too_many_arguments,
    reason = "the parts of one drawing, each named"
)]
pub(crate) fn draw(
    svg: &mut Svg,
    described: &Loop,
    sheets: &Sheets,
    outline: &Outline,
    y: &Scale,
    places: Places,
    cell_place: CellPlace,
    units: &DisplayUnits,
) {
    legs_and_cell(svg, described, outline, y, places, cell_place, units);
    if let Some(glass) = &described.glass {
        draw_glass(svg, glass, sheets, outline, y, places.glass_x);
    }
}

/// Taps, pot, legs and cell.
pub(crate) fn legs_and_cell(
    svg: &mut Svg,
    described: &Loop,
    outline: &Outline,
    y: &Scale,
    places: Places,
    cell_place: CellPlace,
    units: &DisplayUnits,
) {
    let cell = (0.5 * (places.working_x + places.reference_x), cell_place.y);
    match &described.reference_leg {
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => {
            seal(
                svg,
                outline,
                y,
                *upper_seal_m,
                places.reference_x,
                cell,
                1.0,
            );
            seal(svg, outline, y, *lower_seal_m, places.working_x, cell, -1.0);
            words(
                svg,
                (
                    places.reference_x - 8.0,
                    y.place(0.5 * (lower_seal_m + upper_seal_m)),
                ),
                "capillary",
            );
        }
        leg => {
            reference(svg, described, leg, outline, y, places, cell);
            pipe(
                svg,
                &[
                    (outline.wall_x(0.0) - 1.0, y.place(0.0)),
                    (places.working_x, y.place(0.0)),
                    (places.working_x, cell.1),
                    (cell.0 - CELL_RADIUS, cell.1),
                ],
                Filling::Water,
            );
            working_words(svg, places, y.place(0.0), cell.1);
        }
    }
    if cell_place.broken {
        leg_break(svg, (places.working_x, cell.1 - 36.0));
        if !matches!(described.reference_leg, ReferenceLeg::None) {
            leg_break(svg, (places.reference_x, cell.1 - 36.0));
        }
    }
    draw_cell(svg, described, cell, units);
}

fn reference(
    svg: &mut Svg,
    described: &Loop,
    leg: &ReferenceLeg,
    outline: &Outline,
    y: &Scale,
    places: Places,
    cell: Point,
) {
    let down = [(places.reference_x, cell.1), (cell.0 + CELL_RADIUS, cell.1)];
    let upper = described.elevations.upper_tap_m;
    match leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => {
            let lip = y.place(*pot_lip_m);
            let tap_m = upper.unwrap_or(*pot_lip_m);
            let inlet = lip - 4.0;
            let side = places.reference_x - POT_HALF_WIDTH;
            let mut run = vec![(outline.wall_x(tap_m) - 1.0, y.place(tap_m))];
            if (y.place(tap_m) - inlet).abs() > 4.5 {
                run.push((side - 12.0, y.place(tap_m)));
                run.push((side - 12.0, inlet));
                run.push((side, inlet));
            } else {
                run.push((side, y.place(tap_m)));
            }
            pipe(svg, &run, Filling::Gas);
            pipe(
                svg,
                &[(places.reference_x, lip + POT.1 - 1.0), down[0], down[1]],
                Filling::Water,
            );
            let (left, right) = (side, places.reference_x + POT_HALF_WIDTH);
            svg.rect(
                (left, lip - POT.0),
                (right, lip + POT.1),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.3)),
            );
            svg.rect(
                (left + 0.7, lip),
                (right - 0.7, lip + POT.1 - 0.7),
                Some(WATER),
                None,
            );
            svg.line((left, lip), (right, lip), Stroke::solid(INK, 1.0));
            words(
                svg,
                (places.reference_x - 8.0, 0.5 * (lip + POT.1 + cell.1)),
                "reference leg",
            );
        }
        ReferenceLeg::Dry { .. } => {
            let tap = y.place(upper.unwrap_or(outline.top_m));
            let wall = outline.wall_x(upper.unwrap_or(outline.top_m)) - 1.0;
            pipe(
                svg,
                &[(wall, tap), (places.reference_x, tap), down[0], down[1]],
                Filling::Gas,
            );
            words(
                svg,
                (places.reference_x - 8.0, 0.5 * (tap + cell.1)),
                "dry reference leg",
            );
        }
        ReferenceLeg::None => {
            pipe(
                svg,
                &[(places.reference_x, cell.1 - 26.0), down[0], down[1]],
                Filling::Gas,
            );
            for (i, word) in ["open", "to air"].into_iter().enumerate() {
                svg.text(
                    (places.reference_x, cell.1 - 46.0 + 12.0 * i as f64),
                    Lettering::new(WORD).middle().rimmed(),
                    word,
                );
            }
        }
        ReferenceLeg::Sealed { .. } => {}
    }
}

/// Two strokes across a leg: it is longer than drawn.
pub(crate) fn leg_break(svg: &mut Svg, (x, y): Point) {
    let stroke = |dy: f64| [(x - 9.0, y + dy + 3.0), (x + 9.0, y + dy - 3.0)];
    let (upper, lower) = (stroke(-4.0), stroke(4.0));
    svg.polygon(&[upper[0], upper[1], lower[1], lower[0]], Some(PAPER), None);
    for line in [upper, lower] {
        svg.polyline(&line, Stroke::solid(INK, 1.2));
    }
}

/// A diaphragm seal on its nozzle and the capillary down to the cell.
fn seal(svg: &mut Svg, outline: &Outline, y: &Scale, seal_m: f64, x: f64, cell: Point, side: f64) {
    let wall = outline.wall_x(seal_m);
    let at = y.place(seal_m);
    pipe(svg, &[(wall - 1.0, at), (wall + 12.0, at)], Filling::Water);
    svg.rect(
        (wall + 12.0, at - 10.0),
        (wall + 16.0, at + 10.0),
        Some(INK),
        None,
    );
    svg.rect(
        (wall + 16.0, at - 8.0),
        (wall + 21.0, at + 8.0),
        Some(PAPER),
        Some(Stroke::solid(INK, 1.1)),
    );
    svg.polyline(
        &[
            (wall + 21.0, at),
            (x, at),
            (x, cell.1),
            (cell.0 + side * CELL_RADIUS, cell.1),
        ],
        Stroke::solid(INK, 1.5),
    );
}

fn words(svg: &mut Svg, at: Point, text: &str) {
    svg.text_upwards(at, Lettering::new(WORD).middle().rimmed(), text);
}

/// The working leg's name, left of it, where the leg is long enough for two lines.
fn working_words(svg: &mut Svg, places: Places, top: f64, bottom: f64) {
    if (bottom - top).abs() < 34.0 {
        return;
    }
    let middle = 0.5 * (top + bottom);
    for (i, word) in ["working", "leg"].into_iter().enumerate() {
        svg.text(
            (places.working_x - 8.0, middle + 13.0 * i as f64),
            Lettering::new(WORD).end().rimmed(),
            word,
        );
    }
}

/// A circle with the letters that ISA-5.1 gives a level transmitter, and which leg is on which port.
fn draw_cell(svg: &mut Svg, described: &Loop, (x, y): Point, units: &DisplayUnits) {
    svg.group("cell", |svg| {
        svg.circle((x, y), CELL_RADIUS, Some(PAPER), Stroke::solid(INK, 1.6));
        svg.text((x, y + 5.0), Lettering::new(14.5).bold().middle(), "LT");
        let (left, right) = match described.cell.polarity {
            Polarity::BottomOnHigh => ("H", "L"),
            Polarity::WetLegOnHigh => ("L", "H"),
        };
        for (side, word) in [(-1.0, left), (1.0, right)] {
            svg.text(
                (x + side * (CELL_RADIUS + 6.0), y + 17.0),
                Lettering::new(WORD).middle().rimmed(),
                word,
            );
        }
        let level = units.level_text(-described.cell.below_lower_tap_m);
        svg.text(
            (x, y + CELL_RADIUS + 16.0),
            Lettering::new(WORD).middle().rimmed(),
            &format!("cell at {level}"),
        );
    });
}

/// Half the inside width of the glass.
pub(crate) const GLASS_HALF: f64 = 6.0;

/// The glass with its visible length to scale, filled to where it stands at the set point on the hot vessel.
fn draw_glass(svg: &mut Svg, glass: &Glass, sheets: &Sheets, outline: &Outline, y: &Scale, x: f64) {
    svg.group("glass", |svg| {
        let (bottom, top) = empty_glass(svg, glass, outline, y, x);
        let standing = sheets
            .level_map
            .marks
            .iter()
            .find(|m| m.kind == MarkKind::SetPoint)
            .and_then(|m| m.glass_hot);
        if let Some(standing) = standing {
            let surface = y.place(standing.m()).clamp(top, bottom);
            svg.rect(
                (x - GLASS_HALF, surface),
                (x + GLASS_HALF, bottom),
                Some(WATER),
                None,
            );
            svg.line(
                (x - GLASS_HALF, surface),
                (x + GLASS_HALF, surface),
                Stroke::solid(INK, 1.4),
            );
        }
    });
}

/// The glass without water; where its visible length ends below and above.
pub(crate) fn empty_glass(
    svg: &mut Svg,
    glass: &Glass,
    outline: &Outline,
    y: &Scale,
    x: f64,
) -> (f64, f64) {
    let (bottom, top) = (
        y.place(glass.visible_bottom_m),
        y.place(glass.visible_top_m),
    );
    let lower = y.place(glass.lower_connection_m);
    // The upper connection is not surveyed: drawn as far above the visible length as the lower one is below it.
    let upper_m =
        glass.visible_top_m + (glass.visible_bottom_m - glass.lower_connection_m).max(0.0);
    let upper = y.place(upper_m).min(top - 9.0);
    pipe(
        svg,
        &[(outline.wall_x(upper_m) - 1.0, upper), (x, upper), (x, top)],
        Filling::Gas,
    );
    pipe(
        svg,
        &[
            (outline.wall_x(glass.lower_connection_m) - 1.0, lower),
            (x, lower),
            (x, bottom),
        ],
        Filling::Water,
    );
    svg.rect(
        (x - 9.5, top - 4.0),
        (x + 9.5, bottom + 4.0),
        Some(INK),
        Some(Stroke::solid(PAPER, 1.6)),
    );
    svg.rect(
        (x - GLASS_HALF, top),
        (x + GLASS_HALF, bottom),
        Some(PAPER),
        None,
    );
    (bottom, top)
}
