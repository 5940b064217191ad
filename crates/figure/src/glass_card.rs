//! The card for the boiler-house wall: where the water stands in the glass, in the vessel, and what the panel says,
//! at normal pressure, joined so that a person reads across; set point, alarms and trips in all three columns.

mod rows;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_report::units::{DisplayUnits, number};

use crate::chart::note;
use crate::labels::{Wish, spread};
use crate::scale::Scale;
use crate::svg::{INK, Lettering, PALE, PAPER, Point, Stroke, Svg, TRIP, WATER, WATER_LINE};
use rows::{Reading, Row, RowKind};

const SIZE: (f64, f64) = (720.0, 936.0);
/// Middles of the three scales.
const GLASS_X: f64 = 110.0;
const VESSEL_X: f64 = 340.0;
const PANEL_X: f64 = 570.0;
const TOP: f64 = 190.0;
const BOTTOM: f64 = 668.0;
/// Half of a tag's width and its height.
const TAG: (f64, f64) = (66.0, 34.0);
/// From the middle of a tag to the middle of the next, at least.
const PITCH: f64 = TAG.1 + 6.0;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "glass-card",
        SIZE,
        format!("Glass card of {}", described.identity.tag),
        "Three scales side by side in normal service: gauge glass, true level in the vessel, and panel, with set point, alarms and trips on each",
    );
    let steps = rows::steps(sheets);
    let (Some(glass), false) = (&described.glass, steps.is_empty()) else {
        return note(svg, &["This vessel has no gauge glass."]);
    };
    let marks = rows::marks(described, glass, sheets);
    let levels = || {
        steps
            .iter()
            .chain(&marks)
            .flat_map(Row::places_m)
            .chain([glass.visible_bottom_m, glass.visible_top_m])
    };
    let low = levels().fold(f64::INFINITY, f64::min);
    let high = levels().fold(f64::NEG_INFINITY, f64::max);
    let scale = Scale::new((low, high.max(low + 1e-6)), (BOTTOM, TOP));
    let rows = rows::thinned(steps, marks, &scale, PITCH);
    heads(&mut svg, described, sheets, units);
    columns(
        &mut svg,
        &scale,
        (glass.visible_bottom_m, glass.visible_top_m),
    );
    crossings(&mut svg, &scale, described, &rows, units);
    words(&mut svg, described, sheets, units);
    svg.finish()
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

fn crossings(svg: &mut Svg, scale: &Scale, described: &Loop, rows: &[Row], units: &DisplayUnits) {
    let centres = |column: usize| {
        let wishes: Vec<Wish> = rows
            .iter()
            .map(|row| Wish {
                place: scale.place(row.places_m()[column]),
                size: PITCH,
            })
            .collect();
        spread(&wishes, TOP - TAG.1, BOTTOM + TAG.1)
    };
    let (glass, vessel, panel) = (centres(0), centres(1), centres(2));
    svg.group("crossings", |svg| {
        for (i, row) in rows.iter().enumerate() {
            for ((from, a), (to, b)) in [
                ((GLASS_X, glass[i]), (VESSEL_X, vessel[i])),
                ((VESSEL_X, vessel[i]), (PANEL_X, panel[i])),
            ] {
                svg.line((from + TAG.0, a), (to - TAG.0, b), across(row.kind));
            }
            if row.kind == RowKind::SetPoint {
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
    let span = described.range.span;
    for (i, row) in rows.iter().enumerate() {
        svg.group(class(row.kind), |svg| {
            tag(svg, (GLASS_X, glass[i]), row, row.glass, "the glass", units);
            tag(
                svg,
                (VESSEL_X, vessel[i]),
                row,
                Reading::Shown(row.true_m),
                "",
                units,
            );
            tag(svg, (PANEL_X, panel[i]), row, row.panel, "its range", units);
        });
        if let Some(level_m) = row.panel.shown_m() {
            let percent = 100.0 * (level_m - span.at_0_percent_m) / span.height_m();
            svg.text(
                (690.0, panel[i] + 6.5),
                Lettering::new(18.0).end().grey(),
                &format!("{} %", number(percent, 0)),
            );
        }
    }
}

const fn class(kind: RowKind) -> &'static str {
    match kind {
        RowKind::Step => "row step",
        RowKind::SetPoint => "row set-point",
        RowKind::Alarm => "row alarm",
        RowKind::Trip => "row trip",
    }
}

/// Line from column to column.
const fn across(kind: RowKind) -> Stroke {
    match kind {
        RowKind::Step => Stroke::solid(PALE, 1.0),
        RowKind::SetPoint => Stroke::solid(WATER_LINE, 2.6),
        RowKind::Alarm => Stroke::dashed(INK, 1.4, "5 3"),
        RowKind::Trip => Stroke::dashed(TRIP, 1.9, "8 2 2 2"),
    }
}

/// A number in its frame; of an alarm or a trip with its name, and in words where the column does not show it.
fn tag(
    svg: &mut Svg,
    (x, y): Point,
    row: &Row,
    reading: Reading,
    column: &str,
    units: &DisplayUnits,
) {
    let frame = match row.kind {
        RowKind::Step => Stroke::solid(PALE, 1.0),
        RowKind::SetPoint => Stroke::solid(INK, 2.2),
        RowKind::Alarm | RowKind::Trip => across(row.kind),
    };
    svg.rect(
        (x - TAG.0, y - 0.5 * TAG.1),
        (x + TAG.0, y + 0.5 * TAG.1),
        Some(PAPER),
        Some(frame),
    );
    let name = if row.kind == RowKind::SetPoint {
        "set point"
    } else {
        &row.name
    };
    let beyond = match reading {
        Reading::Shown(level_m) => {
            let text = units.level_number(level_m);
            match row.kind {
                RowKind::Step => {
                    svg.text((x, y + 7.5), Lettering::new(20.0).middle().grey(), &text);
                }
                RowKind::SetPoint => {
                    svg.text((x, y + 7.5), Lettering::new(22.0).middle().bold(), &text);
                }
                RowKind::Alarm | RowKind::Trip => named(svg, (x, y), name, &text),
            }
            return;
        }
        Reading::Above(_) => "above",
        Reading::Below(_) => "below",
    };
    for (baseline, size, text) in [
        (y - 2.5, 14.0, name.to_owned()),
        (y + 12.0, 13.0, format!("{beyond} {column}")),
    ] {
        let lettering = Lettering::new(size).middle();
        svg.text((x, baseline), lettering.bold(), &text);
    }
}

/// Name on the left and number on the right of a tag; a long name is set smaller, never cut.
fn named(svg: &mut Svg, (x, y): Point, name: &str, number: &str) {
    const NAME: f64 = 14.0;
    const MARGIN: f64 = 5.0;
    let figures = Lettering::new(18.0).bold().end();
    let room = 2.0 * TAG.0 - 3.0 * MARGIN - figures.width(number);
    let lettering = Lettering::new(NAME);
    let size = NAME * (room / lettering.width(name).max(1e-6)).clamp(0.5, 1.0);
    svg.text(
        (x - TAG.0 + MARGIN, y + 6.0),
        Lettering { size, ..lettering },
        name,
    );
    svg.text((x + TAG.0 - MARGIN, y + 6.0), figures, number);
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
    lines.push("Broken line: alarm. Line of dashes and dots: trip. Above or below: that column does not show it.".to_owned());
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
