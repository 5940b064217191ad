//! The choice of the valve in one figure: flow against travel in this system for the chosen size and its neighbours, the
//! duties as level lines, the travel that is wanted left clear between two hatched bands.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{Candidate, DutyKind, FeedwaterSheet};
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::{LABEL, Plot, REMARK, note};
use crate::error_map::extent;
use crate::hatch::Slant;
use crate::scale::Scale;
use crate::supply_curve::NOT_SURVEYED;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Stroke, Svg};
use crate::symbols::{fitted, safety_valve_mark, wrapped};

const SIZE: (f64, f64) = (720.0, 440.0);
/// Travel that is wanted: not less at the smallest duty, not more at the largest, percent; common practice.
const WANTED: (f64, f64) = (10.0, 80.0);
/// A row of the key, and the stroke that begins it.
const ROW: f64 = 20.0;
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

/// Sizes to draw, by rising Kv: the chosen one and the ones beside it; where another would serve better than the fitted
/// one, those two and what stands beside the better one.
fn drawn(sheet: &FeedwaterSheet) -> Vec<&Candidate> {
    let all = &sheet.candidates;
    let chosen = all.iter().position(|size| size.chosen).unwrap_or(0);
    let middle = all
        .iter()
        .position(|size| size.serves_better)
        .unwrap_or(chosen);
    all.iter()
        .enumerate()
        .filter(|(at, _)| at.abs_diff(middle) <= 1 || *at == chosen)
        .map(|(_, size)| size)
        .collect()
}

/// Stroke of a size; the ones that are neither fitted nor wanted are told apart by their place in the list.
fn stroke_of(size: &Candidate, middle_kv_m3_h: f64) -> Stroke {
    if size.chosen {
        Stroke::solid(INK, 2.6)
    } else if size.serves_better {
        Stroke::dashed(INK, 2.6, "9 4")
    } else if size.rated_kv_m3_h < middle_kv_m3_h {
        Stroke::dashed(INK, 1.4, "5 4")
    } else {
        Stroke::dashed(INK, 1.4, "12 3 2 3")
    }
}

/// What is said of a size beside its name.
const fn standing(size: &Candidate, is_fitted: bool) -> &'static str {
    match (size.chosen, is_fitted, size.serves_better) {
        (true, true, _) => ": fitted",
        (true, false, _) => ": chosen",
        (false, _, true) => ": would serve better",
        (false, _, false) => "",
    }
}

fn curves(mut svg: Svg, sheet: &FeedwaterSheet, units: &DisplayUnits) -> String {
    let sizes = drawn(sheet);
    let better = sizes.iter().copied().find(|size| size.serves_better);
    let middle_kv_m3_h = better.map_or(sheet.chosen_kv_m3_h, |size| size.rated_kv_m3_h);
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
        top: 34.0,
        right: 540.0,
        bottom: 312.0,
        x: Scale::new((0.0, 100.0), (78.0, 540.0)),
        y: Scale::new((0.0, 1.08 * high), (312.0, 34.0)),
    };
    unwanted(&mut svg, &plot);
    plot.axes(
        &mut svg,
        "travel, %",
        &format!("flow, {}", units.flow(0.0).1),
    );
    let mut names = Vec::new();
    let at_safety_valve = sheet
        .duties
        .iter()
        .enumerate()
        .find(|(_, duty)| duty.kind == DutyKind::SafetyValve);
    let travels = |index: usize| {
        let of = |wanted: &dyn Fn(&Candidate) -> bool| {
            let size = sizes.iter().find(|size| wanted(size));
            travel_words(size.and_then(|size| size.travel_percent.get(index).copied().flatten()))
        };
        let chosen = of(&|size| size.chosen);
        if better.is_some() {
            format!("fitted {chosen}, better {}", of(&|size| size.serves_better))
        } else {
            format!("{chosen} travel")
        }
    };
    for (index, duty) in stated() {
        let value = flow(duty.flow_kg_s);
        let line = vec![plot.place((0.0, value)), plot.place((100.0, value))];
        svg.polyline(&line, Stroke::dashed(GREY, 1.0, "2 3"));
        let mut lines = vec![duty.name.clone(), travels(index)];
        let same = at_safety_valve
            .filter(|(_, set)| (set.flow_kg_s - duty.flow_kg_s).abs() <= 1e-9 * duty.flow_kg_s);
        if let Some((index, set)) = same {
            lines.push(format!("{}:", set.name));
            lines.push(travels(index));
        }
        names.push((value, lines));
    }
    let mut key = Vec::new();
    for size in &sizes {
        let points: Vec<(f64, f64)> = size
            .curve
            .iter()
            .map(|point| (point.travel_percent, flow(point.flow_kg_s)))
            .collect();
        let stroke = stroke_of(size, middle_kv_m3_h);
        plot.curve(&mut svg, &points, stroke);
        let [coefficient, _] = units.coefficient_heads();
        let head = coefficient.split(',').next().unwrap_or_default();
        key.push((
            stroke,
            format!(
                "{}, {head} {}{}",
                size.name,
                units.coefficient_numbers(size.rated_kv_m3_h)[0],
                standing(size, sheet.is_fitted)
            ),
        ));
    }
    // The largest valve's curve is the highest.
    key.reverse();
    let end = named_strokes(&mut svg, &plot, &key);
    svg.group("duties", |svg| {
        for (index, duty) in stated().chain(at_safety_valve) {
            for size in &sizes {
                let Some(percent) = size.travel_percent.get(index).copied().flatten() else {
                    continue;
                };
                let at = plot.place((percent, flow(duty.flow_kg_s)));
                let emphasised = size.chosen || size.serves_better;
                match duty.kind {
                    DutyKind::SafetyValve if emphasised => safety_valve_mark(svg, at),
                    DutyKind::SafetyValve => {}
                    _ if emphasised => svg.circle(at, 4.6, Some(PAPER), Stroke::solid(INK, 1.8)),
                    _ => svg.rect(
                        (at.0 - 3.0, at.1 - 3.0),
                        (at.0 + 3.0, at.1 + 3.0),
                        Some(PAPER),
                        Some(Stroke::solid(INK, 1.1)),
                    ),
                }
            }
        }
    });
    plot.labels_at_right(&mut svg, &names);
    let ring = match (better, sheet.is_fitted) {
        (Some(_), _) => "ring: fitted and better valve at a duty",
        (None, true) => "ring: fitted valve at a duty",
        (None, false) => "ring: chosen valve at a duty",
    };
    let mut remarks = vec![
        "curves at the largest duty's pressures",
        ring,
        "square: another size",
    ];
    if at_safety_valve.is_some() {
        remarks.push("triangle: at the safety valves' set");
    }
    remarks.push("hatched: travel not wanted");
    let lettering = Lettering::new(REMARK).grey();
    let rows = wrapped(lettering, &remarks.join("; "), SIZE.0 - plot.left - 8.0);
    for (i, row) in rows.iter().enumerate() {
        svg.text((plot.left, end + 18.0 + 15.0 * i as f64), lettering, row);
    }
    svg.shrink_to(end + 12.0 + 15.0 * rows.len() as f64);
    svg.finish()
}

/// Travel in words.
fn travel_words(travel_percent: Option<f64>) -> String {
    travel_percent.map_or_else(
        || "past open".to_owned(),
        |percent| format!("{} %", number(percent, 0)),
    )
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

/// Names of the sizes beside a stroke of each, two a row below the plot; returns where they end.
fn named_strokes(svg: &mut Svg, plot: &Plot, key: &[(Stroke, String)]) -> f64 {
    let lettering = Lettering::new(LABEL);
    let top = plot.bottom + 48.0;
    let column = 0.5 * (SIZE.0 - plot.left - 8.0);
    let room = column - STROKE_LENGTH - 16.0;
    svg.group("key", |svg| {
        for (i, (stroke, text)) in key.iter().enumerate() {
            let y = top + ROW * ((i / 2) as f64 + 0.5);
            let from = plot.left + column * (i % 2) as f64;
            svg.line((from, y), (from + STROKE_LENGTH, y), *stroke);
            svg.text(
                (from + STROKE_LENGTH + 7.0, y + 4.6),
                fitted(lettering, text, room),
                text,
            );
        }
    });
    top + ROW * key.len().div_ceil(2) as f64
}
