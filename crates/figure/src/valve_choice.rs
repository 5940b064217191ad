//! The choice of the valve in one figure: flow against travel in this system for the chosen size and its neighbours, the
//! duties as level lines, the travel that is wanted left clear between two hatched bands.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{Candidate, DutyKind, FeedwaterSheet};
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::{LABEL, Plot, REMARK, note};
use crate::error_map::extent;
use crate::hatch::Slant;
use crate::labels::Room;
use crate::scale::Scale;
use crate::supply_curve::NOT_SURVEYED;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Point, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 440.0);
/// Travel that is wanted: not less at the smallest duty, not more at the largest, percent; common practice.
const WANTED: (f64, f64) = (10.0, 80.0);
/// A row of the key, and the stroke that begins it.
const ROW: f64 = 17.0;
const STROKE_LENGTH: f64 = 42.0;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let svg = Svg::new(
        "valve-choice",
        SIZE,
        format!("Choice of the control valve of {}", described.identity.tag),
        "Installed flow against travel for the chosen valve and its neighbours; each duty is a level line, a ring where the chosen valve meets it and a square where a neighbour does; hatched: travel that is not wanted",
    );
    match &sheets.feedwater {
        Some(sheet) if sheet.candidates.iter().any(|size| size.chosen) => curves(svg, sheet, units),
        _ => note(svg, &NOT_SURVEYED),
    }
}

/// The chosen size and the ones beside it, by rising Kv.
fn neighbours(sheet: &FeedwaterSheet) -> &[Candidate] {
    let all = &sheet.candidates;
    let at = all.iter().position(|size| size.chosen).unwrap_or(0);
    &all[at.saturating_sub(1)..(at + 2).min(all.len())]
}

fn curves(mut svg: Svg, sheet: &FeedwaterSheet, units: &DisplayUnits) -> String {
    let sizes = neighbours(sheet);
    let flow = |kg_s: f64| units.flow(kg_s).0;
    let stated = || {
        sheet
            .duties
            .iter()
            .enumerate()
            .filter(|(_, duty)| duty.kind == DutyKind::Stated)
    };
    let (_, high) = extent(
        sizes
            .iter()
            .flat_map(|size| &size.curve)
            .map(|point| flow(point.flow_kg_s))
            .chain(stated().map(|(_, duty)| flow(duty.flow_kg_s)))
            .chain([0.0]),
    );
    let plot = Plot {
        left: 78.0,
        top: 44.0,
        right: 540.0,
        bottom: 376.0,
        x: Scale::new((0.0, 100.0), (78.0, 540.0)),
        y: Scale::new((0.0, 1.08 * high), (376.0, 44.0)),
    };
    unwanted(&mut svg, &plot);
    plot.axes(
        &mut svg,
        "travel, %",
        &format!("flow, {}", units.flow(0.0).1),
    );
    let mut curves: Vec<Vec<Point>> = Vec::new();
    let mut names = Vec::new();
    for duty in stated().map(|(_, duty)| duty) {
        let value = flow(duty.flow_kg_s);
        let line = vec![plot.place((0.0, value)), plot.place((100.0, value))];
        svg.polyline(&line, Stroke::dashed(GREY, 1.0, "2 3"));
        names.push((
            value,
            vec![
                duty.name.clone(),
                duty.travel_percent.map_or_else(
                    || "past open".to_owned(),
                    |percent| format!("{} % travel", number(percent, 0)),
                ),
            ],
        ));
    }
    let mut key = Vec::new();
    for size in sizes {
        let points: Vec<(f64, f64)> = size
            .curve
            .iter()
            .map(|point| (point.travel_percent, flow(point.flow_kg_s)))
            .collect();
        let stroke = if size.chosen {
            Stroke::solid(INK, 2.6)
        } else if size.rated_kv_m3_h < sheet.chosen_kv_m3_h {
            Stroke::dashed(INK, 1.4, "8 4")
        } else {
            Stroke::dashed(INK, 1.4, "12 3 2 3")
        };
        plot.curve(&mut svg, &points, stroke);
        curves.push(points.iter().map(|point| plot.place(*point)).collect());
        let [coefficient, _] = units.coefficient_heads();
        let head = coefficient.split(',').next().unwrap_or_default();
        key.push((
            stroke,
            format!(
                "{}, {head} {}{}",
                size.name,
                units.coefficient_numbers(size.rated_kv_m3_h)[0],
                match (size.chosen, sheet.is_fitted) {
                    (true, true) => ": fitted",
                    (true, false) => ": chosen",
                    (false, _) => "",
                }
            ),
        ));
    }
    // The largest valve's curve is the highest.
    key.reverse();
    named_strokes(&mut svg, &plot, &curves, &key);
    svg.group("duties", |svg| {
        for (index, duty) in stated() {
            for size in sizes {
                let Some(percent) = size.travel_percent.get(index).copied().flatten() else {
                    continue;
                };
                let at = plot.place((percent, flow(duty.flow_kg_s)));
                if size.chosen {
                    svg.circle(at, 4.6, Some(PAPER), Stroke::solid(INK, 1.8));
                } else {
                    svg.rect(
                        (at.0 - 3.0, at.1 - 3.0),
                        (at.0 + 3.0, at.1 + 3.0),
                        Some(PAPER),
                        Some(Stroke::solid(INK, 1.1)),
                    );
                }
            }
        }
    });
    plot.labels_at_right(&mut svg, &names);
    svg.text(
        (SIZE.0 - 8.0, 18.0),
        Lettering::new(REMARK).end(),
        "curves at the largest duty's pressures; ring: chosen valve at its duty; square: a neighbour; hatched: travel not wanted",
    );
    svg.finish()
}

/// Bands at both ends of the travel.
fn unwanted(svg: &mut Svg, plot: &Plot) {
    for (from, to) in [(0.0, WANTED.0), (WANTED.1, 100.0)] {
        let (left, right) = (plot.x.place(from), plot.x.place(to));
        svg.hatch(
            &[
                (left, plot.top),
                (right, plot.top),
                (right, plot.bottom),
                (left, plot.bottom),
            ],
            Slant::Rising,
            9.0,
            Stroke::solid(PALE, 0.7),
        );
        let edge = plot.x.place(if from > 0.0 { from } else { to });
        svg.line(
            (edge, plot.top),
            (edge, plot.bottom),
            Stroke::solid(GREY, 0.8),
        );
    }
}

/// Names of the curves beside a stroke of each, in the corner that fewer curves run through.
fn named_strokes(svg: &mut Svg, plot: &Plot, curves: &[Vec<Point>], key: &[(Stroke, String)]) {
    let lettering = Lettering::new(LABEL);
    let wide = key
        .iter()
        .map(|(_, text)| lettering.width(text))
        .fold(0.0, f64::max)
        + STROKE_LENGTH
        + 14.0;
    let tall = ROW * key.len() as f64 + 6.0;
    let corner = |left: f64, top: f64| Room {
        left,
        top,
        right: left + wide,
        bottom: top + tall,
    };
    let high_left = corner(plot.x.place(WANTED.0) + 6.0, plot.top + 4.0);
    let low_right = corner(
        plot.x.place(WANTED.1) - wide - 6.0,
        plot.bottom - tall - 4.0,
    );
    let crossings = |room: Room| {
        curves
            .iter()
            .flat_map(|curve| curve.windows(2))
            .filter(|pair| room.is_crossed_by(pair[0], pair[1]))
            .count()
    };
    let room = if crossings(high_left) <= crossings(low_right) {
        high_left
    } else {
        low_right
    };
    svg.group("key", |svg| {
        svg.rect(
            (room.left, room.top),
            (room.right, room.bottom),
            Some(PAPER),
            Some(Stroke::solid(PALE, 0.8)),
        );
        for (i, (stroke, text)) in key.iter().enumerate() {
            let y = room.top + 3.0 + ROW * (i as f64 + 0.5);
            let from = room.left + 5.0;
            svg.line((from, y), (from + STROKE_LENGTH, y), *stroke);
            svg.text((from + STROKE_LENGTH + 5.0, y + 4.6), lettering, text);
        }
    });
}
