//! Differential against what the panel says: what the cell is ranged for hot, on the bench and as found, and where it reads
//! with no differential.

use halfglass_core::description::{Loop, RangeMethod, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::measurement::sheets::Range;
use halfglass_report::units::{DisplayUnits, percent_text};

use crate::chart::{Plot, REMARK};
use crate::error_map::extent;
use crate::hatch::Slant;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 430.0);

/// Ranges whose ends lie closer than this share of the chart's height are drawn as one line: it is thicker than their distance.
const SAME_LINE: f64 = 0.008;

struct Line {
    name: String,
    range: Range,
    stroke: Stroke,
    /// The range found, where it falls on this line.
    found: Option<Range>,
}

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let mut svg = Svg::new(
        "range-chart",
        SIZE,
        format!("Ranges of {}", described.identity.tag),
        "Differential pressure against what the panel says: each range by its line, and the cell with no differential at zero",
    );
    let lines = lines(described, sheets, units);
    let span = described.range.span;
    let x = (
        units.level(span.at_0_percent_m).0,
        units.level(span.at_100_percent_m).0,
    );
    let (low, high) = extent(
        lines
            .iter()
            .flat_map(|l| [l.range.lrv_pa, l.range.urv_pa])
            .chain([0.0])
            .map(|pa| units.differential(pa).0),
    );
    let room = 0.07 * (high - low);
    let plot = Plot {
        left: 78.0,
        top: 44.0,
        right: 520.0,
        bottom: 372.0,
        x: Scale::new(x, (78.0, 520.0)),
        y: Scale::new((low - room, high + room), (372.0, 44.0)),
    };
    plot.axes(
        &mut svg,
        &format!(
            "what the panel says (hot range: true level), {} above the lower tap",
            units.level_unit()
        ),
        &format!("differential, {}", units.differential_unit()),
    );
    limits(&mut svg, &plot, described, units);
    no_differential(&mut svg, &plot, (described, sheets), x);
    let mut labels = Vec::new();
    for line in &lines {
        let ends = [line.range.lrv_pa, line.range.urv_pa].map(|pa| units.differential(pa).0);
        plot.curve(&mut svg, &[(x.0, ends[0]), (x.1, ends[1])], line.stroke);
        let numbers = |range: Range| {
            format!(
                "{} to {}",
                units.differential_number(range.lrv_pa),
                units.differential_number(range.urv_pa)
            )
        };
        let mut rows = vec![line.name.clone(), numbers(line.range)];
        if let Some(found) = line.found
            && numbers(found) != numbers(line.range)
        {
            rows.push(format!("as found {}", numbers(found)));
        }
        labels.push((ends[1], rows));
    }
    plot.labels_at_right(&mut svg, &labels);
    svg.finish()
}

fn lines(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<Line> {
    let sheet = &sheets.range;
    let best = sheet.method == RangeMethod::Best;
    let state = if described.vessel.kind.holds_steam() {
        units.pressure_gauge_text(sheet.normal.pressure)
    } else {
        units.temperature_text(sheet.normal.water_k)
    };
    let mut lines = Vec::new();
    if best {
        lines.push(Line {
            name: "to set: best over band".into(),
            range: sheet.chosen,
            stroke: Stroke::solid(INK, 2.4),
            found: None,
        });
    }
    lines.push(Line {
        name: if best {
            format!("hot, {state}")
        } else {
            format!("to set: hot, {state}")
        },
        range: sheet.hot,
        stroke: Stroke::solid(INK, if best { 1.2 } else { 2.4 }),
        found: None,
    });
    lines.push(Line {
        name: "bench (cold)".into(),
        range: sheet.bench,
        stroke: Stroke::dashed(INK, 1.4, "8 4"),
        found: None,
    });
    if let Some(found) = &sheet.as_found {
        // Two ranges that cannot be told apart on paper are one line with both names.
        let (low, high) = extent(
            lines
                .iter()
                .flat_map(|line| [line.range.lrv_pa, line.range.urv_pa]),
        );
        let is_near = |line: &&mut Line| {
            let apart = |a: f64, b: f64| (a - b).abs() <= SAME_LINE * (high - low);
            apart(line.range.lrv_pa, found.range.lrv_pa)
                && apart(line.range.urv_pa, found.range.urv_pa)
        };
        if let Some(line) = lines.iter_mut().rev().find(is_near) {
            line.name = format!("{}; as found", line.name);
            line.found = Some(found.range);
            return lines;
        }
        lines.push(Line {
            name: "as found".into(),
            range: found.range,
            stroke: Stroke::dashed(INK, 2.0, "1.5 3.5"),
            found: None,
        });
    }
    lines
}

/// Both ports at one pressure: no differential, whatever the level.
fn no_differential(
    svg: &mut Svg,
    plot: &Plot,
    (described, sheets): (&Loop, &Sheets),
    (from, to): (f64, f64),
) {
    svg.polyline(
        &[plot.place((from, 0.0)), plot.place((to, 0.0))],
        Stroke::dashed(GREY, 1.2, "12 3 2 3"),
    );
    let how = match described.reference_leg {
        ReferenceLeg::Wet { .. } | ReferenceLeg::Dry { .. } => "equalised, no differential",
        ReferenceLeg::None => "cell vented, no differential",
        ReferenceLeg::Sealed { .. } => "no differential",
    };
    let y = plot.y.place(0.0);
    let percent = percent_text(sheets.range.equalised.percent);
    // Away from the lines: they meet zero on the side of the full vessel, if at all.
    let above = y - plot.top > 30.0;
    svg.text(
        (plot.left + 10.0, if above { y - 6.0 } else { y + 15.0 }),
        Lettering::new(REMARK).rimmed(),
        &format!("{how}: reads {percent}"),
    );
}

/// What the cell can be ranged to, where it comes into view.
fn limits(svg: &mut Svg, plot: &Plot, described: &Loop, units: &DisplayUnits) {
    let (low, high) = plot.y.ends();
    for (pa, name, outwards) in [
        (
            described.cell.lower_range_limit_pa,
            "lower range limit of the cell",
            8.0,
        ),
        (
            described.cell.upper_range_limit_pa,
            "upper range limit of the cell",
            -8.0,
        ),
    ] {
        let value = units.differential(pa).0;
        if !(value > low && value < high) {
            continue;
        }
        let y = plot.y.place(value);
        svg.line((plot.left, y), (plot.right, y), Stroke::solid(INK, 1.0));
        svg.hatch(
            &[
                (plot.left, y),
                (plot.right, y),
                (plot.right, y + outwards),
                (plot.left, y + outwards),
            ],
            Slant::Rising,
            5.0,
            Stroke::solid(INK, 0.6),
        );
        svg.text(
            (
                plot.right - 6.0,
                if outwards > 0.0 { y - 5.0 } else { y + 14.0 },
            ),
            Lettering::new(REMARK).end().rimmed(),
            name,
        );
    }
}
