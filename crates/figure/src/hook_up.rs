//! The hook-up: taps, root valves, pot or seals, legs, manifold, blow-down valves and cell, heights to scale on a ruler,
//! widths not. Every part carries its number of the bill of material.

use halfglass_core::description::{Loop, Polarity, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_report::bill::{Item, ItemKind, bill, number_of};
use halfglass_report::loop_tags;
use halfglass_report::units::DisplayUnits;

use crate::chart::REMARK;
use crate::labels::{Wish, spread};
use crate::outline::Outline;
use crate::piping::{Filling, leg_break, pipe};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Point, Stroke, Svg, WATER};
use crate::symbols::{balloon, bubble, fitted, valve};

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
        "The side of the vessel with its taps and root valves, pot or seals, both legs, manifold, blow-down valves and cell, heights to scale on a ruler; each part with its number of the bill of material",
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
    let end = key(&mut svg, &items, has_legs, bottom);
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

fn working(svg: &mut Svg, places: &Places, items: &[Item]) {
    let tap = places.y.place(0.0);
    // Falls towards the cell where that is below the tap.
    let fall = (0.5 * (places.cell_y - tap)).clamp(0.0, 7.0);
    svg.group("working-leg", |svg| {
        from_wall(
            svg,
            places,
            0.0,
            &[(WORKING, tap + fall), (WORKING, places.cell_y)],
            Filling::Water,
        );
        put(
            svg,
            items,
            ItemKind::RootValve,
            (ROOT, tap - 34.0),
            (ROOT, tap - 6.0),
        );
    });
}

fn reference(svg: &mut Svg, described: &Loop, places: &Places, items: &[Item]) {
    let cell_y = places.cell_y;
    svg.group("reference-leg", |svg| match &described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => {
            let lip = places.y.place(*pot_lip_m);
            let tap_m = places.upper_m.unwrap_or(*pot_lip_m);
            from_wall(
                svg,
                places,
                tap_m,
                &[(REFERENCE - 18.0, lip - 3.0)],
                Filling::Gas,
            );
            pipe(
                svg,
                &[(REFERENCE, lip + 12.0), (REFERENCE, cell_y)],
                Filling::Water,
            );
            let (left, right) = (REFERENCE - 18.0, REFERENCE + 18.0);
            svg.rect(
                (left, lip - 18.0),
                (right, lip + 15.0),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.4)),
            );
            svg.rect(
                (left + 0.7, lip),
                (right - 0.7, lip + 14.3),
                Some(WATER),
                None,
            );
            svg.line((left, lip), (right, lip), Stroke::solid(INK, 1.0));
            // The filling plug.
            svg.rect(
                (REFERENCE - 5.0, lip - 25.0),
                (REFERENCE + 5.0, lip - 18.0),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.1)),
            );
            put(
                svg,
                items,
                ItemKind::Pot,
                (REFERENCE + 42.0, lip - 22.0),
                (REFERENCE + 16.0, lip - 8.0),
            );
            let leg = 0.5 * (lip + 15.0 + cell_y);
            put(
                svg,
                items,
                ItemKind::LegPipe,
                (REFERENCE + 34.0, leg),
                (REFERENCE, leg),
            );
        }
        ReferenceLeg::Dry { .. } => {
            let tap_m = places.upper_m.unwrap_or(0.0);
            let tap = places.y.place(tap_m);
            from_wall(
                svg,
                places,
                tap_m,
                &[(REFERENCE, tap), (REFERENCE, cell_y)],
                Filling::Gas,
            );
            let leg = 0.5 * (tap + cell_y);
            put(
                svg,
                items,
                ItemKind::LegPipe,
                (REFERENCE + 34.0, leg),
                (REFERENCE, leg),
            );
        }
        ReferenceLeg::None | ReferenceLeg::Sealed { .. } => {
            pipe(
                svg,
                &[
                    (CELL + 20.0, cell_y),
                    (CELL + 62.0, cell_y),
                    (CELL + 62.0, cell_y - 20.0),
                ],
                Filling::Gas,
            );
            for (i, words) in ["open to the air,", "insect screen"]
                .into_iter()
                .enumerate()
            {
                svg.text(
                    (CELL + 72.0, cell_y - 18.0 + 14.0 * i as f64),
                    Lettering::new(REMARK),
                    words,
                );
            }
            let tap = places.y.place(0.0);
            put(
                svg,
                items,
                ItemKind::LegPipe,
                (WORKING - 14.0, tap - 34.0),
                (WORKING - 14.0, tap + 2.0),
            );
        }
    });
}

/// Block valves beside the cell, the equaliser below it, blow-down valves at the feet of the legs.
fn manifold(svg: &mut Svg, described: &Loop, places: &Places, items: &[Item]) {
    let y = places.cell_y;
    let both = !matches!(described.reference_leg, ReferenceLeg::None);
    let is_dry = matches!(described.reference_leg, ReferenceLeg::Dry { .. });
    svg.group("manifold", |svg| {
        let mut legs = vec![(WORKING, 1.0)];
        if both {
            legs.push((REFERENCE, -1.0));
        }
        for &(x, side) in &legs {
            let filling = if side < 0.0 && is_dry {
                Filling::Gas
            } else {
                Filling::Water
            };
            pipe(svg, &[(x, y), (CELL - side * 20.0, y)], filling);
            pipe(svg, &[(x, y), (x, y + FOOT - 16.0)], filling);
            valve(svg, (x, y + FOOT - 30.0), true, 10.0);
            svg.rect(
                (x - 5.0, y + FOOT - 18.0),
                (x + 5.0, y + FOOT - 11.0),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.1)),
            );
        }
        if both {
            let under = y + 44.0;
            pipe(
                svg,
                &[
                    (CELL - 34.0, y),
                    (CELL - 34.0, under),
                    (CELL + 34.0, under),
                    (CELL + 34.0, y),
                ],
                Filling::Water,
            );
            valve(svg, (CELL, under), false, 11.0);
        }
        for &(_, side) in &legs {
            valve(svg, (CELL - side * 56.0, y), false, 11.0);
        }
        // The manifold's body around all three.
        let (right, under) = if both {
            (CELL + 74.0, y + 57.0)
        } else {
            (CELL - 38.0, y + 13.0)
        };
        svg.polygon(
            &[
                (CELL - 74.0, y - 13.0),
                (right, y - 13.0),
                (right, under),
                (CELL - 74.0, under),
            ],
            None,
            Some(Stroke::dashed(GREY, 1.0, "5 3")),
        );
        put(
            svg,
            items,
            ItemKind::Manifold,
            (CELL - 60.0, y - 34.0),
            (CELL - 66.0, y - 13.0),
        );
        put(
            svg,
            items,
            ItemKind::DrainValve,
            (WORKING - 34.0, y + FOOT - 30.0),
            (WORKING - 6.0, y + FOOT - 30.0),
        );
    });
}

fn seals(svg: &mut Svg, places: &Places, items: &[Item]) {
    let y = places.cell_y;
    let upper_m = places.upper_m.unwrap_or(0.0);
    svg.group("seals", |svg| {
        for (m, x, side) in [(upper_m, REFERENCE, 1.0), (places.lower_m, WORKING, -1.0)] {
            let at = places.y.place(m);
            from_wall(svg, places, m, &[], Filling::Water);
            svg.rect(
                (ROOT + 20.0, at - 13.0),
                (ROOT + 25.0, at + 13.0),
                Some(INK),
                None,
            );
            svg.rect(
                (ROOT + 25.0, at - 10.0),
                (ROOT + 32.0, at + 10.0),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.2)),
            );
            svg.polyline(
                &[(ROOT + 32.0, at), (x, at), (x, y), (CELL + side * 20.0, y)],
                Stroke::solid(INK, 1.6),
            );
        }
        let lower = places.y.place(places.lower_m);
        put(
            svg,
            items,
            ItemKind::RootValve,
            (ROOT, lower - 34.0),
            (ROOT, lower - 6.0),
        );
        put(
            svg,
            items,
            ItemKind::Seal,
            (ROOT + 46.0, lower - 34.0),
            (ROOT + 28.0, lower - 8.0),
        );
    });
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
                (CELL + side * 30.0, y - 18.0),
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

/// The ruler, and the heights that must be kept when it is built.
fn ruler(svg: &mut Svg, described: &Loop, places: &Places, units: &DisplayUnits) {
    let (high, low) = places.y.ends();
    let display = Scale::new(
        (units.level(high).0, units.level(low).0),
        (places.y.place(high), places.y.place(low)),
    );
    svg.group("ruler", |svg| {
        svg.line((RULER, TOP), (RULER, TOP + TALL), Stroke::solid(INK, 1.4));
        for value in display.ticks(40).values {
            let at = display.place(value);
            svg.line((RULER - 4.0, at), (RULER, at), Stroke::solid(INK, 0.7));
        }
        let ticks = display.ticks(9);
        for &value in &ticks.values {
            let at = display.place(value);
            svg.line((RULER - 8.0, at), (RULER, at), Stroke::solid(INK, 1.1));
            svg.text(
                (RULER - 11.0, at + 4.0),
                Lettering::new(12.0).end().rimmed(),
                &ticks.text(value),
            );
        }
        svg.text(
            (RULER, TOP - 14.0),
            Lettering::new(12.0).end().bold(),
            units.level_unit(),
        );
    });
    let cell_m = -described.cell.below_lower_tap_m;
    let mut marks: Vec<(&str, f64, f64)> = Vec::new();
    let mut mark = |name, m: f64| marks.push((name, m, places.y.place(m)));
    match &described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => {
            mark("pot lip", *pot_lip_m);
            if let Some(m) = described.elevations.upper_tap_m {
                mark("upper tap", m);
            }
            mark("lower tap", 0.0);
        }
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => {
            mark("upper seal", *upper_seal_m);
            mark("lower seal", *lower_seal_m);
        }
        ReferenceLeg::Dry { .. } | ReferenceLeg::None => {
            if let Some(m) = described.elevations.upper_tap_m {
                mark("upper tap", m);
            }
            mark("lower tap", 0.0);
        }
    }
    marks.push(("cell", cell_m, places.cell_y));
    let wishes: Vec<Wish> = marks
        .iter()
        .map(|row| Wish {
            place: row.2,
            size: 19.0,
        })
        .collect();
    let rows = spread(&wishes, TOP - 10.0, (TOP + TALL).max(places.cell_y) + 24.0);
    svg.group("heights", |svg| {
        for ((name, m, at), row) in marks.iter().zip(rows) {
            svg.polyline(
                &[
                    (RULER, *at),
                    (RULER + 10.0, *at),
                    (NAMES - 14.0, row),
                    (NAMES - 4.0, row),
                ],
                Stroke::solid(GREY, 0.9),
            );
            svg.text((NAMES, row + 4.6), Lettering::new(13.5), name);
            svg.text(
                (WIDTH - 10.0, row + 4.6),
                Lettering::new(13.5).bold().end(),
                &units.small_length_text(*m),
            );
        }
    });
}

/// What the numbers are, and how it is built; returns where it ends.
fn key(svg: &mut Svg, items: &[Item], has_legs: bool, top: f64) -> f64 {
    let drawn = [
        ItemKind::Cell,
        ItemKind::Manifold,
        ItemKind::Pot,
        ItemKind::Seal,
        ItemKind::RootValve,
        ItemKind::LegPipe,
        ItemKind::DrainValve,
    ];
    let named: Vec<&Item> = items
        .iter()
        .filter(|item| drawn.contains(&item.kind))
        .collect();
    let half = named.len().div_ceil(2);
    let top = top.max(TOP + TALL + 30.0);
    svg.line(
        (LEFT, top - 18.0),
        (WIDTH - 10.0, top - 18.0),
        Stroke::solid(PALE, 0.8),
    );
    svg.group("key", |svg| {
        for (index, item) in named.iter().enumerate() {
            let (column, row) = (index / half.max(1), index % half.max(1));
            let text = format!("{}  {}", item.number, item.what);
            let lettering = Lettering::new(REMARK + 0.5);
            svg.text(
                (LEFT + 412.0 * column as f64, top + 17.0 * row as f64),
                fitted(lettering, &text, 396.0),
                &text,
            );
        }
    });
    let mut y = top + 17.0 * half as f64 + 8.0;
    let remarks: &[&str] = if has_legs {
        &[
            "Heights to scale above the centre of the lower tap, widths not. Build the heights at the right to the survey: the range rests on them.",
            "Level runs fall at least 1 in 12 towards the cell, and back to the vessel between upper tap and pot, so that gas rises and water drains (common practice).",
            "Run and insulate both legs alike down to the cell; leave a condensate pot bare.",
        ]
    } else {
        &[
            "Heights to scale above the centre of the lower tap, widths not. Build the heights at the right to the survey: the range rests on them.",
            "Run both capillaries together, away from heat, without kinks; never loosen a seal from its capillary.",
        ]
    };
    for line in remarks {
        let lettering = Lettering::new(REMARK).grey();
        svg.text((LEFT, y), fitted(lettering, line, WIDTH - 2.0 * LEFT), line);
        y += 16.0;
    }
    y
}
