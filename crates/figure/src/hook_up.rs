//! The hook-up: taps, root valves, pot or seals, legs, manifold, blow-down valves and cell, heights to scale on a ruler,
//! widths not. Every part carries its number of the bill of material.

mod heights;
mod legs;

use halfglass_core::description::{Loop, Polarity, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_report::bill::{Item, ItemKind, between_vessel_and_cell, bill, number_of};
use halfglass_report::loop_tags;
use halfglass_report::units::DisplayUnits;

use crate::chart::REMARK;
use crate::outline::Outline;
use crate::piping::{Filling, leg_break, pipe};
use crate::scale::Scale;
use crate::svg::{INK, Lettering, Point, Stroke, Svg, WATER};
use crate::symbols::{balloon, bubble, fitted, valve};
use heights::{key, ruler};
use legs::{manifold, reference, seals, working};

const WIDTH: f64 = 840.0;
/// Room of the vessel's side: left edge, and where its widest part ends.
const LEFT: f64 = 14.0;
const WALL: f64 = 210.0;
const ROOT: f64 = 262.0;
const WORKING: f64 = 330.0;
const CELL: f64 = 436.0;
const REFERENCE: f64 = 542.0;
const RULER: f64 = 640.0;
const NAMES: f64 = 690.0;
const TOP: f64 = 96.0;
/// Height of what is to scale.
const TALL: f64 = 330.0;
/// A cell farther below than this many times the height of the taps is drawn with broken legs.
const FAR_BELOW: f64 = 3.0;
const BROKEN: f64 = 110.0;
/// Foot of the legs below the cell: blow-down valve and plug.
const FOOT: f64 = 66.0;

struct Places {
    y: Scale,
    cell_y: f64,
    broken: bool,
    outline: Outline,
    /// Elevation of the upper connection, if any, and of the pot's lip.
    upper_m: Option<f64>,
    lower_m: f64,
}

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "hook-up",
        (WIDTH, 600.0),
        format!("Hook-up of {}", described.identity.tag),
        format!(
            "The side of the vessel with {} and cell, heights to scale on a ruler; each part with its number of the bill of material",
            between_vessel_and_cell(&described.reference_leg)
        ),
    );
    svg.text(
        (LEFT, 24.0),
        Lettering::new(16.0).bold(),
        &described.identity.tag,
    );
    let service = Lettering::new(13.5).grey();
    svg.text(
        (LEFT, 42.0),
        fitted(service, &described.identity.service, 560.0),
        &described.identity.service,
    );
    let places = places(described);
    let items = bill(described, sheets, units);
    vessel(&mut svg, described, &places);
    let has_legs = !matches!(described.reference_leg, ReferenceLeg::Sealed { .. });
    if has_legs {
        reference(&mut svg, described, &places, &items);
        working(&mut svg, &places, &items);
        manifold(&mut svg, described, &places, &items);
    } else {
        seals(&mut svg, &places, &items);
    }
    cell(&mut svg, described, &places, &items);
    ruler(&mut svg, described, &places, units);
    let bottom = places.cell_y + if has_legs { FOOT + 34.0 } else { 56.0 };
    let end = key(&mut svg, &items, &described.reference_leg, bottom);
    svg.shrink_to(end);
    svg.finish()
}

fn places(described: &Loop) -> Places {
    let (upper_m, lip_m, lower_m) = match &described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => (
            Some(described.elevations.upper_tap_m.unwrap_or(*pot_lip_m)),
            Some(*pot_lip_m),
            0.0,
        ),
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => (Some(*upper_seal_m), None, *lower_seal_m),
        ReferenceLeg::Dry { .. } => (described.elevations.upper_tap_m, None, 0.0),
        ReferenceLeg::None => (None, None, 0.0),
    };
    let top_m = upper_m
        .into_iter()
        .chain(lip_m)
        .chain([
            described.limits.set_point_m,
            described.range.span.at_100_percent_m,
        ])
        .fold(lower_m, f64::max);
    let cell_m = -described.cell.below_lower_tap_m;
    let lowest_tap_m = lower_m.min(0.0);
    let extent = (top_m - lowest_tap_m).max(1e-3);
    let broken = lowest_tap_m - cell_m > FAR_BELOW * extent;
    let low_m = if broken {
        lowest_tap_m
    } else {
        lowest_tap_m.min(cell_m)
    };
    let high_m = top_m.max(cell_m);
    let y = Scale::new((high_m, low_m), (TOP, TOP + TALL));
    let per_m = TALL / (high_m - low_m);
    Places {
        cell_y: if broken {
            TOP + TALL + BROKEN
        } else {
            y.place(cell_m)
        },
        y,
        broken,
        outline: Outline::new(&described.vessel, per_m, WALL, WALL - LEFT),
        upper_m,
        lower_m,
    }
}

/// The side of the vessel that the taps stand on, filled to the set point.
fn vessel(svg: &mut Svg, described: &Loop, places: &Places) {
    let outline = &places.outline;
    let (y_top, y_bottom) = (TOP - 26.0, places.y.place(places.lower_m.min(0.0)) + 34.0);
    let per_m = places.y.place(0.0) - places.y.place(1.0);
    let m = |y: f64| -(y - places.y.place(0.0)) / per_m;
    let high_m = m(y_top).min(outline.top_m);
    let low_m = m(y_bottom).max(outline.bottom_m);
    let steps = 40;
    let wall: Vec<Point> = (0..=steps)
        .map(|i| low_m + (high_m - low_m) * f64::from(i) / f64::from(steps))
        .map(|m| (outline.wall_x(m).max(LEFT + 30.0), places.y.place(m)))
        .collect();
    svg.group("vessel", |svg| {
        let surface = described.limits.set_point_m.clamp(low_m, high_m);
        let mut water: Vec<Point> = wall
            .iter()
            .copied()
            .filter(|p| p.1 >= places.y.place(surface))
            .collect();
        let side = (
            outline.wall_x(surface).max(LEFT + 30.0),
            places.y.place(surface),
        );
        water.push(side);
        water.push((LEFT, side.1));
        water.push((LEFT, places.y.place(low_m)));
        svg.polygon(&water, Some(WATER), None);
        svg.polyline(&wall, Stroke::solid(INK, 3.0));
        svg.line((LEFT, side.1), side, Stroke::solid(INK, 1.0));
        svg.text(
            (LEFT + 6.0, side.1 - 6.0),
            Lettering::new(REMARK).rimmed(),
            "set point",
        );
        svg.text(
            (LEFT + 6.0, places.y.place(low_m) - 8.0),
            Lettering::new(REMARK).rimmed(),
            "vessel",
        );
    });
}

/// A run from the vessel's wall with its root valve.
fn from_wall(svg: &mut Svg, places: &Places, m: f64, then: &[Point], filling: Filling) {
    let at = (
        places.outline.wall_x(m).max(LEFT + 30.0) - 1.0,
        places.y.place(m),
    );
    let mut run = vec![at, (ROOT + 20.0, at.1)];
    run.extend_from_slice(then);
    pipe(svg, &run, filling);
    valve(svg, (ROOT, at.1), false, 12.0);
}

fn put(svg: &mut Svg, items: &[Item], kind: ItemKind, at: Point, part: Point) {
    if let Some(number) = number_of(items, kind) {
        balloon(svg, at, part, number);
    }
}

fn cell(svg: &mut Svg, described: &Loop, places: &Places, items: &[Item]) {
    let y = places.cell_y;
    svg.group("cell", |svg| {
        if places.broken {
            let upper = places.y.place(0.0) + 60.0;
            leg_break(svg, (WORKING, upper));
            if !matches!(described.reference_leg, ReferenceLeg::None) {
                leg_break(svg, (REFERENCE, upper));
            }
        }
        let number = loop_tags::number_of(&described.identity.tag);
        bubble(svg, (CELL, y), "LT", &number, false);
        let (left, right) = match described.cell.polarity {
            Polarity::BottomOnHigh => ("H", "L"),
            Polarity::WetLegOnHigh => ("L", "H"),
        };
        for (side, word) in [(-1.0, left), (1.0, right)] {
            svg.text(
                (CELL + side * 28.0, y - 14.0),
                Lettering::new(13.0).bold().middle().rimmed(),
                word,
            );
        }
        put(
            svg,
            items,
            ItemKind::Cell,
            (CELL + 14.0, y - 48.0),
            (CELL + 6.0, y - 22.0),
        );
    });
}
