//! The hook-up's ruler with the heights to build, and the key of its numbers.

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_report::bill::{Item, ItemKind};
use halfglass_report::units::DisplayUnits;

use super::{LEFT, NAMES, Places, RULER, TALL, TOP, WIDTH};
use crate::chart::REMARK;
use crate::labels::{Wish, spread};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, Stroke, Svg};
use crate::symbols::fitted;

/// The ruler, and the heights that must be kept when it is built.
pub(super) fn ruler(svg: &mut Svg, described: &Loop, places: &Places, units: &DisplayUnits) {
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
pub(super) fn key(svg: &mut Svg, items: &[Item], leg: &ReferenceLeg, top: f64) -> f64 {
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
    const SCALE: &str = "Heights to scale above the centre of the lower tap, widths not. Build the heights at the right to the survey: the range rests on them.";
    let remarks: &[&str] = match leg {
        ReferenceLeg::Wet { .. } => &[
            SCALE,
            "Level runs fall at least 1 in 12 towards the cell, and back to the vessel between upper tap and pot, so that gas rises and water drains (common practice).",
            "Run and insulate both legs alike down to the cell; leave a condensate pot bare.",
        ],
        ReferenceLeg::Dry { .. } => &[
            SCALE,
            "Level runs of the working leg fall at least 1 in 12 towards the cell, so that gas rises to the vessel (common practice).",
            "The dry leg rises from the cell to the upper tap without a pocket; what condenses in it is drained at its low point.",
        ],
        ReferenceLeg::None => &[
            SCALE,
            "Level runs fall at least 1 in 12 from tap to cell, so that air rises to the tank (common practice).",
            "The open port of the cell points down, behind an insect screen, and stays open.",
        ],
        ReferenceLeg::Sealed { .. } => &[
            SCALE,
            "Run both capillaries together, away from heat, without kinks; never loosen a seal from its capillary.",
        ],
    };
    for line in remarks {
        let lettering = Lettering::new(REMARK).grey();
        svg.text((LEFT, y), fitted(lettering, line, WIDTH - 2.0 * LEFT), line);
        y += 16.0;
    }
    y
}
