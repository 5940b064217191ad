//! The card for the boiler-house wall: where the water stands in the glass, in the vessel, and what the panel says,
//! at normal pressure, joined so that a person reads across.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::MarkKind;
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::note;
use crate::labels::{Wish, spread};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Point, Stroke, Svg, TRIP, WATER, WATER_LINE};

const SIZE: (f64, f64) = (720.0, 916.0);
/// Middles of the three scales.
const GLASS_X: f64 = 110.0;
const VESSEL_X: f64 = 340.0;
const PANEL_X: f64 = 570.0;
const TOP: f64 = 190.0;
const BOTTOM: f64 = 668.0;
/// Half of a tag's width and its height.
const TAG: (f64, f64) = (66.0, 34.0);

/// Size of the words of alarms and trips, and how far they keep off the lines across.
const LIMIT: f64 = 12.0;
const LIMIT_CLEAR: f64 = 2.0;

/// One way across: glass, true and indicated level, m.
#[derive(Debug, Clone, Copy)]
struct Across {
    glass_m: f64,
    true_m: f64,
    indicated_m: f64,
    set_point: bool,
}

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "glass-card",
        SIZE,
        format!("Glass card of {}", described.identity.tag),
        "Three scales side by side in normal service: gauge glass, true level in the vessel with its alarms and trips, and panel",
    );
    let all = card_lines(sheets);
    let (Some(glass), false) = (&described.glass, all.is_empty()) else {
        return note(svg, &["This vessel has no gauge glass."]);
    };
    let levels = || {
        all.iter()
            .flat_map(|r| [r.glass_m, r.true_m, r.indicated_m])
            .chain([glass.visible_bottom_m, glass.visible_top_m])
    };
    let low = levels().fold(f64::INFINITY, f64::min);
    let high = levels().fold(f64::NEG_INFINITY, f64::max);
    let scale = Scale::new((low, high.max(low + 1e-6)), (BOTTOM, TOP));
    let rows = thinned(all, set_point(sheets), &scale);
    heads(&mut svg, described, sheets, units);
    columns(
        &mut svg,
        &scale,
        (glass.visible_bottom_m, glass.visible_top_m),
    );
    crossings(&mut svg, &scale, (described, sheets), &rows, units);
    words(&mut svg, described, sheets, units);
    svg.finish()
}

/// The lines of the card, highest first.
fn card_lines(sheets: &Sheets) -> Vec<Across> {
    let mut rows: Vec<Across> = sheets
        .error_map
        .glass_card
        .iter()
        .map(|line| Across {
            glass_m: line.glass.m(),
            true_m: line.true_hot.m(),
            indicated_m: line.indicated_hot.m(),
            set_point: false,
        })
        .filter(|r| r.glass_m.is_finite() && r.true_m.is_finite() && r.indicated_m.is_finite())
        .collect();
    rows.sort_by(|a, b| b.glass_m.total_cmp(&a.glass_m));
    rows
}

/// The set point as the level map has it; `None` where the glass or the cell does not show it.
fn set_point(sheets: &Sheets) -> Option<Across> {
    let mark = sheets
        .level_map
        .marks
        .iter()
        .find(|m| m.kind == MarkKind::SetPoint)?;
    Some(Across {
        glass_m: mark.glass_hot?.m(),
        true_m: mark.true_level.m(),
        indicated_m: mark.indicated_hot?.m(),
        set_point: true,
    })
}

/// As many lines as have room: the set point first, then both ends, then from the top down.
fn thinned(all: Vec<Across>, set_point: Option<Across>, scale: &Scale) -> Vec<Across> {
    let clear = |kept: &[Across], row: &Across| {
        kept.iter()
            .all(|k| (scale.place(k.glass_m) - scale.place(row.glass_m)).abs() >= TAG.1 + 6.0)
    };
    let mut kept: Vec<Across> = set_point.into_iter().collect();
    let ends = [all.first().copied(), all.last().copied()];
    for row in ends.into_iter().flatten().chain(all) {
        if clear(&kept, &row) {
            kept.push(row);
        }
    }
    kept.sort_by(|a, b| b.glass_m.total_cmp(&a.glass_m));
    kept
}

fn heads(svg: &mut Svg, described: &Loop, sheets: &Sheets, units: &DisplayUnits) {
    let identity = &described.identity;
    svg.text((30.0, 46.0), Lettering::new(26.0).bold(), &identity.tag);
    svg.text((30.0, 72.0), Lettering::new(17.0).grey(), &identity.service);
    let (where_it_holds, remark) = if described.vessel.kind.holds_steam() {
        let pressure = units.pressure_gauge_text(sheets.range.normal.pressure);
        (format!("at {pressure}"), "at no other pressure")
    } else {
        ("open to the air".to_owned(), "at the stored temperature")
    };
    svg.text(
        (690.0, 46.0),
        Lettering::new(26.0).bold().end(),
        &where_it_holds,
    );
    svg.text((690.0, 72.0), Lettering::new(17.0).grey().end(), remark);
    let unit = units.level_unit();
    for (x, head, under) in [
        (GLASS_X, "GLASS", format!("what you see, {unit}")),
        (VESSEL_X, "VESSEL", format!("true level, {unit}")),
        (PANEL_X, "PANEL", format!("what it says, {unit}")),
    ] {
        svg.text((x, 128.0), Lettering::new(28.0).bold().middle(), head);
        svg.text((x, 150.0), Lettering::new(17.0).middle().grey(), &under);
    }
    svg.line((30.0, 84.0), (690.0, 84.0), Stroke::solid(INK, 1.0));
}

fn columns(svg: &mut Svg, scale: &Scale, (visible_bottom, visible_top): (f64, f64)) {
    // A tube for the glass, a plain scale for the vessel, a narrow one for the panel.
    svg.rect(
        (GLASS_X - 15.0, scale.place(visible_top)),
        (GLASS_X + 15.0, scale.place(visible_bottom)),
        Some(WATER),
        Some(Stroke::solid(INK, 1.6)),
    );
    svg.line((VESSEL_X, TOP), (VESSEL_X, BOTTOM), Stroke::solid(INK, 2.2));
    svg.line(
        (PANEL_X, TOP),
        (PANEL_X, BOTTOM),
        Stroke::dashed(INK, 1.8, "10 4"),
    );
}

fn crossings(
    svg: &mut Svg,
    scale: &Scale,
    (described, sheets): (&Loop, &Sheets),
    rows: &[Across],
    units: &DisplayUnits,
) {
    let centres = |levels: Vec<f64>| {
        let wishes: Vec<Wish> = levels
            .into_iter()
            .map(|m| Wish {
                place: scale.place(m),
                size: TAG.1 + 6.0,
            })
            .collect();
        spread(&wishes, TOP - TAG.1, BOTTOM + TAG.1)
    };
    let glass = centres(rows.iter().map(|r| r.glass_m).collect());
    let vessel = centres(rows.iter().map(|r| r.true_m).collect());
    let panel = centres(rows.iter().map(|r| r.indicated_m).collect());
    svg.group("crossings", |svg| {
        for (i, row) in rows.iter().enumerate() {
            let stroke = if row.set_point {
                Stroke::solid(WATER_LINE, 2.6)
            } else {
                Stroke::solid(GREY, 1.1)
            };
            for ((from, a), (to, b)) in [
                ((GLASS_X, glass[i]), (VESSEL_X, vessel[i])),
                ((VESSEL_X, vessel[i]), (PANEL_X, panel[i])),
            ] {
                svg.line((from + TAG.0, a), (to - TAG.0, b), stroke);
            }
            if row.set_point {
                svg.text(
                    (
                        0.5 * (GLASS_X + VESSEL_X),
                        0.5 * (glass[i] + vessel[i]) - 8.0,
                    ),
                    Lettering::new(15.0).bold().middle().rimmed(),
                    "SET POINT",
                );
            }
        }
    });
    limits(svg, scale, sheets, &bands(rows, &vessel, &panel), units);
    let span = described.range.span;
    for (i, row) in rows.iter().enumerate() {
        let percent = 100.0 * (row.indicated_m - span.at_0_percent_m) / span.height_m();
        number_tag(
            svg,
            (GLASS_X, glass[i]),
            &units.level_number(row.glass_m),
            row.set_point,
        );
        number_tag(
            svg,
            (VESSEL_X, vessel[i]),
            &units.level_number(row.true_m),
            row.set_point,
        );
        number_tag(
            svg,
            (PANEL_X, panel[i]),
            &units.level_number(row.indicated_m),
            row.set_point,
        );
        svg.text(
            (690.0, panel[i] + 6.5),
            Lettering::new(18.0).end().grey(),
            &format!("{} %", number(percent, 0)),
        );
    }
}

/// Room between the lines across, from the top: its ends, and the true level of the row under it (none under the last).
fn bands(rows: &[Across], vessel: &[f64], panel: &[f64]) -> Vec<(f64, f64, Option<f64>)> {
    let mut from = TOP - TAG.1;
    let mut bands = Vec::new();
    for ((row, a), b) in rows.iter().zip(vessel).zip(panel) {
        bands.push((from, a.min(*b) - LIMIT_CLEAR, Some(row.true_m)));
        from = a.max(*b) + LIMIT_CLEAR;
    }
    bands.push((from, BOTTOM + TAG.1, None));
    bands
}

/// What an alarm or trip is called where there is little room.
fn short_name(name: &str) -> String {
    name.replace("first low-water", "1st")
        .replace("second low-water", "2nd")
        .replace("first low-level", "1st low")
        .replace("second low-level", "2nd low")
}

/// Alarms and trips in small words beside the vessel's scale, where they lie within the card: each between the rows that
/// stand higher and lower, clear of their lines.
fn limits(
    svg: &mut Svg,
    scale: &Scale,
    sheets: &Sheets,
    bands: &[(f64, f64, Option<f64>)],
    units: &DisplayUnits,
) {
    let (one, other) = scale.ends();
    let within = one.min(other)..=one.max(other);
    let shown: Vec<_> = sheets
        .level_map
        .marks
        .iter()
        .filter(|mark| matches!(mark.kind, MarkKind::Alarm | MarkKind::Trip))
        .filter(|mark| within.contains(&mark.true_level.m()))
        .collect();
    let mut upper_m = f64::INFINITY;
    svg.group("limits", |svg| {
        for (top, bottom, lower) in bands {
            let lower_m = lower.unwrap_or(f64::NEG_INFINITY);
            let inside: Vec<_> = shown
                .iter()
                .filter(|mark| (lower_m..upper_m).contains(&mark.true_level.m()))
                .collect();
            let wishes: Vec<Wish> = inside
                .iter()
                .map(|mark| Wish {
                    place: scale.place(mark.true_level.m()),
                    size: LIMIT + 2.0,
                })
                .collect();
            for (mark, y) in inside.iter().zip(spread(&wishes, *top, *bottom)) {
                let words = format!(
                    "{} {}",
                    short_name(&mark.name),
                    units.level_number(mark.true_level.m())
                );
                limit(svg, scale.place(mark.true_level.m()), y, mark.kind, &words);
            }
            upper_m = lower_m;
        }
    });
}

fn limit(svg: &mut Svg, place: f64, y: f64, kind: MarkKind, words: &str) {
    let stroke = if kind == MarkKind::Trip {
        Stroke::dashed(TRIP, 1.8, "8 2 2 2")
    } else {
        Stroke::dashed(INK, 1.3, "5 3")
    };
    let edge = VESSEL_X + TAG.0;
    svg.polyline(
        &[
            (VESSEL_X, place),
            (edge - 4.0, place),
            (edge + 4.0, y),
            (edge + 10.0, y),
        ],
        stroke,
    );
    svg.text(
        (edge + 12.0, y + 0.34 * LIMIT),
        Lettering::new(LIMIT).rimmed(),
        words,
    );
}

fn number_tag(svg: &mut Svg, (x, y): Point, text: &str, strong: bool) {
    let outline = if strong {
        Stroke::solid(INK, 2.2)
    } else {
        Stroke::solid(PALE, 1.0)
    };
    svg.rect(
        (x - TAG.0, y - 0.5 * TAG.1),
        (x + TAG.0, y + 0.5 * TAG.1),
        Some(PAPER),
        Some(outline),
    );
    let lettering = Lettering::new(22.0).middle();
    svg.text(
        (x, y + 7.5),
        if strong { lettering.bold() } else { lettering },
        text,
    );
}

/// What an empty and a full glass mean, and where the card stops to hold.
fn words(svg: &mut Svg, described: &Loop, sheets: &Sheets, units: &DisplayUnits) {
    let fired = described.vessel.kind.is_fired();
    let (empty, full) = if fired {
        (
            "EMPTY GLASS: stop firing, do not feed.",
            "FULL GLASS: too high to see. Stop feeding, find out.",
        )
    } else {
        (
            "EMPTY GLASS: too low to see. Protect the pumps, find out.",
            "FULL GLASS: too high to see. Stop feeding, find out.",
        )
    };
    svg.rect(
        (30.0, 716.0),
        (690.0, 794.0),
        None,
        Some(Stroke::solid(INK, 2.4)),
    );
    svg.text((360.0, 747.0), Lettering::new(23.0).bold().middle(), empty);
    svg.text((360.0, 780.0), Lettering::new(23.0).bold().middle(), full);
    let glass_water = sheets
        .error_map
        .glass_water_k
        .map_or_else(String::new, |k| {
            format!(", glass water at {}", units.temperature_text(k))
        });
    let mut lines = vec![format!(
        "Levels above the lower tap ({}), percent of span, at {}{glass_water}.",
        units.level_unit(),
        if described.vessel.kind.holds_steam() {
            units.pressure_gauge_text(sheets.range.normal.pressure)
        } else {
            described.vessel.kind.normal_state().to_owned()
        },
    )];
    lines.push(
        "Panel with the range that this pack sets; set otherwise, its column does not hold."
            .to_owned(),
    );
    if described.vessel.kind.holds_steam() {
        lines.push(
            "Water in a glass is cooler and heavier than in the vessel: hot, the glass stands low."
                .to_owned(),
        );
    }
    lines.push(if fired {
        "More water than the glass shows never licenses running below it.".to_owned()
    } else {
        "Neither glass nor panel shows what lies beyond its ends.".to_owned()
    });
    lines.push(if fired {
        "Neither glass nor panel is a low-water cutoff. Local code and the maker's instructions come first.".to_owned()
    } else {
        "Neither glass nor panel is a level trip. Local code and the maker's instructions come first.".to_owned()
    });
    for (i, line) in lines.iter().enumerate() {
        svg.text((30.0, 820.0 + 19.0 * i as f64), Lettering::new(15.0), line);
    }
}
