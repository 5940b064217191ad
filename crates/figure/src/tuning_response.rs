//! True level after the largest load change: the chosen settings, what was found, and what habit would have set.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::tuning::sheets::Judged;
use halfglass_report::units::{DisplayUnits, percent_text};

use crate::chart::{CurveLabel, Plot, REMARK, labels_inside, tag};
use crate::error_map::extent;
use crate::scale::{Scale, cut};
use crate::svg::{GREY, INK, Lettering, Point, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 424.0);
/// Curves that leave the allowed band by more than this factor are cut.
const MOST_BANDS: f64 = 4.0;

pub(crate) fn draw(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    let sheet = &sheets.tuning;
    let mut svg = Svg::new(
        "tuning-response",
        SIZE,
        format!(
            "Response of {} to the largest load change",
            described.identity.tag
        ),
        "Forecast deviation of the true level over time for the chosen, the as-found and the habitual settings, with the allowed deviation",
    );
    let judged = judged(sheets);
    let allowed = units.level(sheet.allowed_deviation_m).0;
    let curves: Vec<Vec<(f64, f64)>> = judged
        .iter()
        .map(|(j, ..)| {
            j.response
                .iter()
                .map(|&(s, m)| (s / 60.0, units.level(m).0))
                .filter(|(t, m)| t.is_finite() && m.is_finite())
                .collect()
        })
        .collect();
    // The chosen settings say how long the figure looks; others that swing on are cut with it.
    let longest = extent(curves.iter().take(1).flatten().map(|p| p.0)).1;
    let (low, high) = extent(
        curves
            .iter()
            .flatten()
            .filter(|p| p.0 <= longest)
            .map(|p| p.1)
            .chain([-allowed, allowed]),
    );
    let most = MOST_BANDS * allowed;
    let (low, high) = (1.12 * low.max(-most), 1.12 * high.min(most));
    let plot = Plot {
        left: 70.0,
        top: 44.0,
        right: 700.0,
        bottom: 342.0,
        x: Scale::new((0.0, longest.max(1e-3)), (70.0, 700.0)),
        y: Scale::new((low, high), (342.0, 44.0)),
    };
    svg.rect(
        (plot.left, plot.y.place(allowed)),
        (plot.right, plot.y.place(-allowed)),
        Some("#f4f4f4"),
        None,
    );
    plot.axes(
        &mut svg,
        "minutes after the load change",
        &format!(
            "deviation of the true level from set point, {}",
            units.level_unit()
        ),
    );
    band(
        &mut svg,
        &plot,
        allowed,
        &units.level_text(sheet.allowed_deviation_m),
    );
    let mut drawn: Vec<Vec<Point>> = Vec::new();
    let mut labels = Vec::new();
    for ((judged, name, stroke), curve) in judged.iter().zip(&curves) {
        let curve: Vec<(f64, f64)> = curve
            .iter()
            .copied()
            .take_while(|p| p.0 <= longest * (1.0 + 1e-9))
            .collect();
        plot.curve(&mut svg, &curve, *stroke);
        let parts: Vec<Vec<Point>> = cut(&curve, low, high)
            .into_iter()
            .map(|part| part.into_iter().map(|p| plot.place(p)).collect())
            .collect();
        labels.push(CurveLabel {
            places: places(&parts, plot.y.place(0.0)),
            own: parts.clone(),
            text: label(judged, name),
        });
        drawn.extend(parts);
    }
    for value in [allowed, -allowed, 0.0] {
        let y = plot.y.place(value);
        drawn.push(vec![(plot.left, y), (plot.right, y)]);
    }
    // The words of the band keep their places at the right.
    for y in [plot.y.place(allowed) + 10.0, plot.y.place(-allowed) - 9.0] {
        drawn.push(vec![(plot.right - 120.0, y), (plot.right, y)]);
    }
    labels_inside(&mut svg, &plot, &drawn, &labels);
    tag(&mut svg, (plot.right, 12.0), "FORECAST");
    svg.text(
        (plot.left - 40.0, SIZE.1 - 8.0),
        Lettering::new(REMARK).grey(),
        &format!(
            "load change {} of full-valve flow, worst duty point; a bump test confirms or replaces it",
            percent_text(100.0 * sheet.load_change_ratio)
        ),
    );
    svg.finish()
}

fn judged(sheets: &Sheets) -> Vec<(&Judged, &'static str, Stroke)> {
    let sheet = &sheets.tuning;
    let mut all = vec![(&sheet.chosen, "chosen", Stroke::solid(INK, 2.2))];
    if let Some(found) = &sheet.as_found {
        all.push((found, "as found", Stroke::dashed(INK, 1.5, "8 4")));
    }
    all.push((&sheet.habit, "habit", Stroke::dashed(INK, 1.8, "1.5 3.5")));
    all
}

fn label(judged: &Judged, name: &str) -> String {
    if judged.stable {
        name.to_owned()
    } else {
        format!("{name} (unstable)")
    }
}

fn band(svg: &mut Svg, plot: &Plot, allowed: f64, text: &str) {
    let stroke = Stroke::dashed(GREY, 1.1, "14 4 3 4");
    for value in [allowed, -allowed] {
        let y = plot.y.place(value);
        svg.line((plot.left, y), (plot.right, y), stroke);
    }
    let zero = plot.y.place(0.0);
    svg.line(
        (plot.left, zero),
        (plot.right, zero),
        Stroke::solid(INK, 0.9),
    );
    for (value, dy, sign) in [(allowed, 14.0, "+"), (-allowed, -5.0, "\u{2212}")] {
        svg.text(
            (plot.right - 4.0, plot.y.place(value) + dy),
            Lettering::new(REMARK).grey().end().rimmed(),
            &format!("allowed {sign}{text}"),
        );
    }
}

/// Where a label may stand: where the curve is farthest from the set point, then along it.
fn places(parts: &[Vec<Point>], zero: f64) -> Vec<Point> {
    let mut points: Vec<Point> = parts.iter().flatten().copied().collect();
    points.sort_by(|a, b| (b.1 - zero).abs().total_cmp(&(a.1 - zero).abs()));
    let mut chosen: Vec<Point> = Vec::new();
    for point in points {
        if chosen.len() == 16 {
            break;
        }
        if chosen.iter().all(|c| (c.0 - point.0).abs() > 30.0) {
            chosen.push(point);
        }
    }
    chosen
}
