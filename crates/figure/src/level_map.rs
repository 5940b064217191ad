//! The level map: vessel, taps, pot, legs, cell and glass to scale on one ruler, and every mark of the loop as the
//! vessel, the panel and the glass show it.

use halfglass_core::description::{Loop, VesselKind};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMark, MarkKind};
use halfglass_report::units::DisplayUnits;

use crate::frame::{Frame, LEFT, ROW, WALL, frame};
use crate::hatch::Slant;
use crate::labels::{Wish, spread};
use crate::outline::Outline;
use crate::piping::{self, Places};
use crate::ruler::{self, BAND};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, Point, Stroke, Svg, TRIP, WATER, WATER_LINE};

const WIDTH: f64 = 840.0;
/// Below the drawing: the footer.
const FOOT: f64 = 44.0;
const PLACES: Places = Places {
    glass_x: WALL + 34.0,
    working_x: WALL + 84.0,
    reference_x: WALL + 138.0,
};
const RULER: f64 = 466.0;
const NAMES: f64 = 522.0;
/// Right edges of the columns TRUE, PANEL, GLASS.
const COLUMNS: [f64; 3] = [706.0, 770.0, 834.0];
const TEXT: f64 = 13.5;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let Frame {
        y,
        per_m,
        cell,
        bottom,
    } = frame(described, sheets);
    let mut svg = Svg::new(
        "level-map",
        (WIDTH, bottom + FOOT),
        format!("Level map of {}", described.identity.tag),
        "Vessel, taps, legs, cell and glass drawn to scale on one ruler, with set point, alarms, trips and heated surface in true level and as panel and glass show them",
    );
    let outline = Outline::new(&described.vessel, per_m, WALL, WALL - LEFT);
    vessel(&mut svg, described, sheets, &outline, &y);
    guides(&mut svg, sheets, &outline, &y);
    piping::draw(
        &mut svg, described, sheets, &outline, &y, PLACES, cell, units,
    );
    ruler::draw(&mut svg, RULER, &y, units, 12.0);
    ruler::blind_bands(&mut svg, RULER, described, &y);
    heads(&mut svg, described, sheets, units);
    marks(&mut svg, sheets, &y, bottom, units);
    footer(&mut svg, bottom + FOOT);
    svg.finish()
}

fn vessel(svg: &mut Svg, described: &Loop, sheets: &Sheets, outline: &Outline, y: &Scale) {
    let set_point = described.limits.set_point_m;
    svg.group("vessel", |svg| {
        svg.polygon(
            &outline.shape(y, outline.bottom_m, set_point, 0.0),
            Some(WATER),
            None,
        );
        furnace(svg, described, sheets, outline, y, true);
        svg.polyline(&outline.wall(y), Stroke::solid(INK, 3.0));
        if !outline.whole {
            let (top, bottom) = (y.place(outline.top_m), y.place(outline.bottom_m));
            svg.line(
                (outline.axis_x, top - 12.0),
                (outline.axis_x, bottom + 12.0),
                Stroke::dashed(INK, 0.8, "14 3 2 3"),
            );
        }
        let gas = if described.vessel.kind.holds_steam() {
            "steam"
        } else {
            "air"
        };
        // Between the highest line in the gas and the top.
        let highest = sheets
            .level_map
            .marks
            .iter()
            .filter(|m| is_guide(m.kind) && m.true_level.m() < outline.top_m)
            .map(|m| m.true_level.m())
            .fold(set_point, f64::max);
        let middle = 0.5 * (highest + outline.top_m);
        let x = 0.5 * (outline.left_x(middle) + outline.wall_x(middle));
        svg.text(
            (x, y.place(middle) + 5.0),
            Lettering::new(TEXT).middle(),
            gas,
        );
    });
}

/// Furnace and tubes of a shell boiler. Of a drum only the tubes under it are heated, not its own bottom.
pub(crate) fn furnace(
    svg: &mut Svg,
    described: &Loop,
    sheets: &Sheets,
    outline: &Outline,
    y: &Scale,
    is_named: bool,
) {
    let heated = sheets
        .level_map
        .marks
        .iter()
        .find(|m| m.kind == MarkKind::HeatedSurface)
        .map(|m| m.true_level.m());
    let is_shell = described.vessel.kind == VesselKind::ShellBoiler;
    if let Some(heated) = heated.filter(|_| is_shell) {
        let inset_m = 9.0 / (y.place(0.0) - y.place(1.0));
        let shape = outline.shape(y, outline.bottom_m + inset_m, heated, 11.0);
        svg.hatch(&shape, Slant::Rising, 7.0, Stroke::solid(GREY, 0.6));
        svg.polygon(&shape, None, Some(Stroke::solid(GREY, 0.8)));
        let has_room = y.place(outline.bottom_m) - y.place(heated) > 60.0;
        if is_named && has_room {
            let x = 0.5 * (outline.left_x(heated) + outline.wall_x(heated));
            let floor = y.place(outline.bottom_m);
            svg.text(
                (
                    x,
                    (y.place(heated) + 0.4 * (floor - y.place(heated))).min(floor - 16.0),
                ),
                Lettering::new(TEXT).middle().rimmed(),
                "furnace and tubes",
            );
        }
    }
}

/// How the line of a mark is drawn: the style tells the kind, colour only repeats it.
pub(crate) fn style(kind: MarkKind) -> Stroke {
    match kind {
        MarkKind::SetPoint => Stroke::solid(WATER_LINE, 2.4),
        MarkKind::Alarm => Stroke::dashed(INK, 1.3, "7 4"),
        MarkKind::Trip => Stroke::dashed(TRIP, 1.8, "10 3 2 3"),
        MarkKind::HeatedSurface => Stroke::dashed(INK, 3.4, "5 1.5"),
        MarkKind::Overflow => Stroke::dashed(INK, 1.2, "2 3"),
        MarkKind::Tap | MarkKind::PotLip | MarkKind::Glass | MarkKind::Shell => {
            Stroke::solid(GREY, 0.8)
        }
    }
}

/// Is the mark drawn through the vessel.
pub(crate) const fn is_guide(kind: MarkKind) -> bool {
    matches!(
        kind,
        MarkKind::SetPoint
            | MarkKind::Alarm
            | MarkKind::Trip
            | MarkKind::HeatedSurface
            | MarkKind::Overflow
    )
}

/// Lines of the levels that matter through the vessel, and on to the ruler in a hair's breadth.
fn guides(svg: &mut Svg, sheets: &Sheets, outline: &Outline, y: &Scale) {
    svg.group("guides", |svg| {
        for mark in &sheets.level_map.marks {
            let m = mark.true_level.m();
            if !is_guide(mark.kind) || m > outline.top_m || m < outline.bottom_m {
                continue;
            }
            let at = y.place(m);
            let wall = outline.wall_x(m);
            svg.line((outline.left_x(m), at), (wall - 1.5, at), style(mark.kind));
            svg.line((wall + 2.0, at), (RULER, at), Stroke::solid(PALE, 0.6));
        }
    });
}

fn heads(svg: &mut Svg, described: &Loop, sheets: &Sheets, units: &DisplayUnits) {
    let pressure = if described.vessel.kind.holds_steam() {
        units.pressure_gauge_text(sheets.range.normal.pressure)
    } else {
        "open to the air".to_owned()
    };
    svg.text(
        (LEFT, 24.0),
        Lettering::new(16.0).bold(),
        &described.identity.tag,
    );
    svg.text(
        (LEFT, 42.0),
        Lettering::new(TEXT).grey(),
        &described.identity.service,
    );
    svg.text(
        (NAMES, 24.0),
        Lettering::new(TEXT),
        &format!("above the lower tap, {}", units.level_unit()),
    );
    svg.text(
        (NAMES, 42.0),
        Lettering::new(TEXT).grey(),
        &format!("normal: {pressure}"),
    );
    for (x, head, under) in [
        (COLUMNS[0], "TRUE", "vessel"),
        (COLUMNS[1], "PANEL", "normal"),
        (COLUMNS[2], "GLASS", "normal"),
    ] {
        svg.text((x, 24.0), Lettering::new(TEXT).bold().end(), head);
        svg.text((x, 42.0), Lettering::new(TEXT).grey().end(), under);
    }
    svg.line((NAMES, 50.0), (COLUMNS[2], 50.0), Stroke::solid(INK, 1.0));
}

/// The marks: a line from the ruler to a row that keeps clear of its neighbours.
fn marks(svg: &mut Svg, sheets: &Sheets, y: &Scale, bottom: f64, units: &DisplayUnits) {
    let marks = &sheets.level_map.marks;
    let wishes: Vec<Wish> = marks
        .iter()
        .map(|m| Wish {
            place: y.place(m.true_level.m()),
            size: ROW,
        })
        .collect();
    let rows = spread(&wishes, 58.0, bottom + 8.0);
    for ((mark, wish), row) in marks.iter().zip(&wishes).zip(rows) {
        svg.group(class(mark.kind), |svg| {
            let from = RULER + BAND + 2.0;
            svg.line(
                (RULER, wish.place),
                (from, wish.place),
                Stroke::solid(INK, 1.2),
            );
            let leader: [Point; 4] = [
                (from, wish.place),
                (from + 4.0, wish.place),
                (NAMES - 18.0, row),
                (NAMES - 4.0, row),
            ];
            svg.polyline(&leader, style(mark.kind));
            write_row(svg, mark, row + 0.34 * TEXT, units);
        });
    }
}

pub(crate) const fn class(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::Tap => "mark tap",
        MarkKind::PotLip => "mark pot-lip",
        MarkKind::Glass => "mark glass-end",
        MarkKind::SetPoint => "mark set-point",
        MarkKind::Alarm => "mark alarm",
        MarkKind::Trip => "mark trip",
        MarkKind::HeatedSurface => "mark heated-surface",
        MarkKind::Shell => "mark shell",
        MarkKind::Overflow => "mark overflow",
    }
}

fn write_row(svg: &mut Svg, mark: &LevelMark, y: f64, units: &DisplayUnits) {
    let lettering = match mark.kind {
        MarkKind::SetPoint | MarkKind::HeatedSurface => Lettering::new(TEXT).bold(),
        MarkKind::Trip => Lettering::new(TEXT).bold().colour(TRIP),
        MarkKind::Alarm | MarkKind::Overflow => Lettering::new(TEXT),
        _ => Lettering::new(TEXT).grey(),
    };
    // Long names are set smaller, never cut.
    let room = COLUMNS[0] - 50.0 - NAMES;
    let size = TEXT * (room / lettering.width(&mark.name).max(1e-6)).clamp(0.5, 1.0);
    svg.text((NAMES, y), Lettering { size, ..lettering }, &mark.name);
    let figures = Lettering::new(TEXT).end();
    svg.text(
        (COLUMNS[0], y),
        figures.bold(),
        &units.level_number(mark.true_level.m()),
    );
    match (mark.blind, mark.indicated_hot) {
        (None, Some(level)) => {
            svg.text((COLUMNS[1], y), figures, &units.level_number(level.m()));
        }
        (Some(Blind::Above | Blind::Below), _) | (None, None) => {
            svg.text((COLUMNS[1], y), figures.grey(), "blind");
        }
    }
    match mark.glass_hot {
        Some(level) => svg.text((COLUMNS[2], y), figures, &units.level_number(level.m())),
        None => svg.text((COLUMNS[2], y), figures.grey(), "\u{2013}"),
    }
}

fn footer(svg: &mut Svg, height: f64) {
    svg.text(
        (LEFT, height - 10.0),
        Lettering::new(12.0).grey(),
        "Heights and shell to scale. Panel with the range to set. Hatched, blind: beyond its taps the cell cannot tell. \u{2013}: beyond the visible glass.",
    );
}
