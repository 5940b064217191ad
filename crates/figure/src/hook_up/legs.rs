//! Both legs of the hook-up with root valves and pot, the manifold between them, or the seals with their capillaries.

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_report::bill::{Item, ItemKind};

use super::{CELL, FOOT, Places, REFERENCE, ROOT, WORKING, from_wall, put};
use crate::chart::REMARK;
use crate::piping::{Filling, pipe};
use crate::svg::{GREY, INK, Lettering, PAPER, Stroke, Svg, WATER};
use crate::symbols::valve;

pub(super) fn working(svg: &mut Svg, places: &Places, items: &[Item]) {
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

pub(super) fn reference(svg: &mut Svg, described: &Loop, places: &Places, items: &[Item]) {
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
pub(super) fn manifold(svg: &mut Svg, described: &Loop, places: &Places, items: &[Item]) {
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
            vent(svg, CELL - side * 40.0, y);
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
            (CELL - 78.0, y - 36.0),
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

/// A vent of the cell's side, between its block valve and the cell.
fn vent(svg: &mut Svg, x: f64, y: f64) {
    svg.line((x, y - 2.0), (x, y - 36.0), Stroke::solid(INK, 1.1));
    valve(svg, (x, y - 25.0), true, 7.0);
    svg.text(
        (x, y - 40.0),
        Lettering::new(REMARK).middle().rimmed(),
        "vent",
    );
}

pub(super) fn seals(svg: &mut Svg, places: &Places, items: &[Item]) {
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
