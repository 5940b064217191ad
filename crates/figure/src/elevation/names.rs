//! The marks of the loop: lines through vessel and lanes, and their names.

use halfglass_core::level_map::{LevelMark, MarkKind};

use super::Sketch;
use crate::frame::ROW;
use crate::labels::{Wish, spread};
use crate::level_map::{class, is_guide, style};
use crate::svg::{Lettering, PALE, Stroke, Svg, TRIP};
use crate::symbols::fitted;

fn guides<'a>(sketch: &'a Sketch<'_>) -> impl Iterator<Item = &'a LevelMark> {
    let (high, low) = sketch.y().ends();
    let marks = &sketch.of.sheets.level_map.marks;
    marks.iter().filter(move |mark| {
        is_guide(mark.kind) && (low - 1e-9..=high + 1e-9).contains(&mark.true_level.m())
    })
}

/// The lines through the vessel, on to the ruler in a hair's breadth, and through the lanes.
pub(super) fn lines(svg: &mut Svg, sketch: &Sketch<'_>) {
    let (outline, across) = (&sketch.outline, &sketch.across);
    for mark in guides(sketch) {
        let m = mark.true_level.m();
        let at = sketch.y().place(m);
        let is_inside = (outline.bottom_m..=outline.top_m).contains(&m);
        if is_inside {
            let wall = outline.wall_x(m) - 1.5;
            // Names stand in a narrow drawing's vessel: no line runs through them.
            let clear = if across.names.is_some() { 0.0 } else { 64.0 };
            let left = outline.left_x(m).max(across.left + clear);
            if left < wall {
                svg.line((left, at), (wall, at), style(mark.kind));
            }
            svg.line(
                (wall + 3.5, at),
                (across.ruler, at),
                Stroke::solid(PALE, 0.7),
            );
        }
        let thin = style(mark.kind);
        let thin = Stroke {
            width: 0.6 * thin.width,
            ..thin
        };
        svg.line((across.ruler, at), (across.lanes[3], at), thin);
    }
}

fn lettering(kind: MarkKind, size: f64) -> Lettering {
    match kind {
        MarkKind::SetPoint | MarkKind::HeatedSurface => Lettering::new(size).bold(),
        MarkKind::Trip => Lettering::new(size).bold().colour(TRIP),
        _ => Lettering::new(size),
    }
}

/// A name for a narrow drawing.
fn short(name: &str) -> &str {
    match name {
        "first low-water cutoff" => "cutoff 1",
        "second low-water cutoff" => "cutoff 2",
        "first low-level trip" => "low trip 1",
        "second low-level trip" => "low trip 2",
        "highest heated surface" => "heated",
        other => other,
    }
}

/// The names: right of the lanes with their level, or in the vessel in short. Returns where the lowest is.
pub(super) fn names(svg: &mut Svg, sketch: &Sketch<'_>) -> f64 {
    let (y, across) = (sketch.y(), &sketch.across);
    let marks: Vec<&LevelMark> = guides(sketch).collect();
    let row = if across.names.is_some() {
        ROW * 1.3
    } else {
        15.0
    };
    let wishes: Vec<Wish> = marks
        .iter()
        .map(|mark| Wish {
            place: y.place(mark.true_level.m()),
            size: row,
        })
        .collect();
    let rows = spread(&wishes, across.top, sketch.frame.bottom + 8.0);
    let lowest = rows.iter().copied().fold(across.top, f64::max);
    for ((mark, wish), row) in marks.iter().zip(&wishes).zip(rows) {
        svg.group(class(mark.kind), |svg| {
            if let Some(x) = across.names {
                svg.polyline(
                    &[(across.lanes[3], wish.place), (x - 4.0, row), (x, row)],
                    Stroke::solid(crate::svg::GREY, 0.9),
                );
                let figure = sketch.of.units.level_number(mark.true_level.m());
                let right = across.width - 6.0;
                let figures = Lettering::new(16.0).end();
                let room = right - x - figures.width(&figure) - 12.0;
                let letters = fitted(lettering(mark.kind, 16.0), &mark.name, room);
                svg.text((x + 4.0, row + 5.4), letters, &mark.name);
                svg.text((right, row + 5.4), figures, &figure);
            } else {
                let name = short(&mark.name);
                let letters = lettering(mark.kind, 12.5);
                let letters = fitted(letters, name, across.wall - across.left - 16.0);
                let x = across.left + 4.0;
                let end = x + letters.width(name) + 2.0;
                svg.line(
                    (end, row),
                    (across.wall - 4.0, wish.place),
                    Stroke::solid(crate::svg::GREY, 0.9),
                );
                svg.text((x, row + 4.3), letters.rimmed(), name);
            }
        });
    }
    if let Some(x) = across.names {
        let grey = Lettering::new(16.0).grey();
        svg.text((x + 4.0, 26.0), Lettering::new(18.0).bold(), "marks");
        let words = format!("above the lower tap, {}", sketch.of.units.level_unit());
        svg.text((x + 4.0, 46.0), fitted(grey, &words, 180.0), &words);
    }
    lowest
}
