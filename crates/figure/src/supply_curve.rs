//! Supply and system against flow: what the pump or header gives, what lift, friction and vessel take; the gap is the
//! valve's drop. Duties stand as upright lines between the two curves.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{DutyKind, FeedwaterSheet};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_report::units::DisplayUnits;

use crate::chart::{CurveLabel, Plot, labels_inside, note};
use crate::error_map::extent;
use crate::scale::Scale;
use crate::svg::{INK, PAPER, Point, Stroke, Svg, WATER_LINE};
use crate::symbols::safety_valve_mark;

const SIZE: (f64, f64) = (720.0, 400.0);

/// Words where the loop has no water side.
pub(crate) const NOT_SURVEYED: [&str; 2] = [
    "The loop file describes no supply, line and valve:",
    "no valve is sized, and there is nothing to draw.",
];

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let svg = Svg::new(
        "supply-curve",
        SIZE,
        format!("Supply and system of {}", described.identity.tag),
        "Pressure at the supply against flow: what the supply gives, what the system without the valve needs; the gap between them at each duty is the drop over the valve",
    );
    match &sheets.feedwater {
        Some(sheet) if sheet.supply.len() > 1 => curves(svg, sheet, units),
        _ => note(svg, &NOT_SURVEYED),
    }
}

fn curves(mut svg: Svg, sheet: &FeedwaterSheet, units: &DisplayUnits) -> String {
    let gauge = |pa: f64| units.pressure_gauge(AbsolutePressure::from_pa(pa)).0;
    let flow = |kg_s: f64| units.flow(kg_s).0;
    let supply: Vec<(f64, f64)> = sheet
        .supply
        .iter()
        .map(|point| (flow(point.flow_kg_s), gauge(point.supply_pressure_pa)))
        .collect();
    let system: Vec<(f64, f64)> = sheet
        .supply
        .iter()
        .map(|point| (flow(point.flow_kg_s), gauge(point.system_pressure_pa)))
        .collect();
    let all = || supply.iter().chain(&system);
    let (from, to) = extent(all().map(|p| p.0).chain([0.0]));
    let (lowest, high) = extent(all().map(|p| p.1));
    // Drops are differences: the axis begins a little under the lower curve, and at 0 where that is near.
    let low = (lowest - 0.3 * (high - lowest)).max(lowest.min(0.0));
    let plot = Plot {
        left: 78.0,
        top: 44.0,
        right: 690.0,
        bottom: 340.0,
        x: Scale::new((from, to * 1.02), (78.0, 690.0)),
        y: Scale::new((low, high + 0.18 * (high - low)), (340.0, 44.0)),
    };
    plot.axes(
        &mut svg,
        &format!("flow, {}", units.flow(0.0).1),
        &format!("pressure at the supply, {}", units.pressure_gauge_unit()),
    );
    plot.curve(&mut svg, &supply, Stroke::solid(WATER_LINE, 2.4));
    plot.curve(&mut svg, &system, Stroke::dashed(INK, 1.8, "8 3"));
    let on =
        |points: &[(f64, f64)]| -> Vec<Point> { points.iter().map(|p| plot.place(*p)).collect() };
    let (above, below) = (on(&supply), on(&system));
    let mut around = vec![above.clone(), below.clone()];
    let mut labels = vec![
        CurveLabel {
            own: vec![above.clone()],
            places: places(&above),
            text: format!("supply: {}", sheet.supply_words),
        },
        CurveLabel {
            own: vec![below.clone()],
            places: places(&below),
            text: "system without the valve".into(),
        },
    ];
    svg.group("duties", |svg| {
        for duty in &sheet.duties {
            if duty.kind != DutyKind::Stated || !plot.x.holds(flow(duty.flow_kg_s)) {
                continue;
            }
            let x = flow(duty.flow_kg_s);
            let (Some(top), Some(bottom)) = (between(&supply, x), between(&system, x)) else {
                continue;
            };
            let (top, bottom) = (plot.place((x, top)), plot.place((x, bottom)));
            svg.line(bottom, top, Stroke::solid(INK, 1.4));
            for end in [top, bottom] {
                svg.circle(end, 3.4, Some(PAPER), Stroke::solid(INK, 1.4));
            }
            let line = vec![top, bottom];
            around.push(line.clone());
            let middle = |share: f64| (top.0, bottom.1 + share * (top.1 - bottom.1));
            labels.push(CurveLabel {
                own: vec![line],
                places: [0.5, 0.35, 0.65, 0.2, 0.8].map(middle).into(),
                text: format!("{}: {}", duty.name, units.drop_text(duty.pressure_drop_pa)),
            });
        }
    });
    // At the safety valves' set the vessel takes more: the valve is left the part of the gap above the mark.
    for duty in &sheet.duties {
        let x = flow(duty.flow_kg_s);
        let Some(top) = between(&supply, x).filter(|_| duty.kind == DutyKind::SafetyValve) else {
            continue;
        };
        let taken = gauge(duty.pressure_drop_pa) - gauge(0.0);
        let at = plot.place((x, top - taken));
        svg.group("safety-valve", |svg| safety_valve_mark(svg, at));
        around.push(vec![(at.0 - 6.0, at.1), (at.0 + 6.0, at.1)]);
        labels.push(CurveLabel {
            own: vec![vec![at, at]],
            places: vec![at],
            text: format!("{}: {}", duty.name, units.drop_text(duty.pressure_drop_pa)),
        });
    }
    labels_inside(&mut svg, &plot, &around, &labels);
    svg.finish()
}

/// Places on a curve that a label may stand beside.
pub(crate) fn places(points: &[Point]) -> Vec<Point> {
    [0.85, 0.7, 0.55, 0.4, 0.25, 0.12]
        .iter()
        .filter_map(|share| {
            let last = points.len().checked_sub(1)?;
            points.get((share * last as f64) as usize).copied()
        })
        .collect()
}

/// Straight between the points of a curve that runs to the right.
pub(crate) fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
        let inside = x1 <= x && x <= x2 && x2 > x1;
        inside.then(|| y1 + (x - x1) / (x2 - x1) * (y2 - y1))
    })
}
