//! Gain against reset, both logarithmic: the settings between the fastest that stay robust and the slowest that hold
//! the deviation are a line on it, and the chosen, as-found and habitual settings are points.
//!
//! Halving the reset without doubling the gain leaves that line towards the lower left, where a level loop swings.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::tuning::sheets::Judged;
use halfglass_report::units::number;

use crate::chart::{CurveLabel, LABEL, Plot, REMARK, TICK, labels_inside, note, tag};
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PAPER, Point, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 430.0);
/// Room beyond the outermost settings, as a factor.
const ROOM: f64 = 2.2;
/// The same beyond the fastest reset: its label stands left of it, clear of the line of damping.
const ROOM_AT_LEFT: f64 = 5.0;
/// The same beyond the slowest reset, where its label stands.
const ROOM_AT_RIGHT: f64 = 11.0;

/// One point of the figure.
struct Spot<'a> {
    judged: &'a Judged,
    words: String,
    /// log10 of minutes a repeat and of the gain.
    at: (f64, f64),
    look: Look,
}

#[derive(Clone, Copy, PartialEq)]
enum Look {
    End,
    Chosen,
    Other,
}

pub(crate) fn draw(described: &Loop, sheets: &Sheets) -> String {
    let sheet = &sheets.tuning;
    let mut svg = Svg::new(
        "tuning-window",
        SIZE,
        format!("Tuning window of {}", described.identity.tag),
        format!(
            "Gain against reset, from the fastest settings that stay robust to the slowest that hold the deviation. {}",
            sheet.window_words
        ),
    );
    let spots = spots(sheets);
    let Some(plot) = plot(&spots) else {
        return note(svg, &["None of these settings has a reset to show."]);
    };
    tag(&mut svg, (plot.right, 10.0), "FORECAST");
    axes(&mut svg, &plot);
    let window = window_line(&spots);
    let line: Vec<Point> = window.iter().map(|p| plot.place(*p)).collect();
    let stroke = if sheet.window_open {
        Stroke::solid(INK, 4.5)
    } else {
        Stroke::dashed(INK, 1.4, "3 4")
    };
    svg.polyline(&line, stroke);
    let mut labels = Vec::new();
    let mut around = vec![line];
    let half_damped = half_damped(sheets, &plot);
    if let Some(line) = &half_damped {
        svg.polyline(line, Stroke::dashed(GREY, 1.3, "8 4"));
        around.push(line.clone());
    }
    for spot in &spots {
        let at = plot.place(spot.at);
        draw_spot(&mut svg, at, spot.look);
        // Other labels keep off the point.
        around.push(vec![(at.0 - 7.0, at.1), (at.0 + 7.0, at.1)]);
        around.push(vec![(at.0, at.1 - 9.0), (at.0, at.1 + 9.0)]);
        labels.push(CurveLabel {
            own: vec![vec![at, at]],
            places: vec![at],
            text: label(spot),
        });
    }
    if let Some(line) = half_damped {
        labels.push(CurveLabel {
            places: along(&line),
            own: vec![line],
            text: "damping 0.5: swings below this line".to_owned(),
        });
    }
    if !sheet.window_open {
        svg.text(
            (plot.left + 12.0, plot.bottom - 12.0),
            Lettering::new(LABEL).bold(),
            if sheet.slowest.is_none() {
                "No settings hold the deviation: the window is empty."
            } else {
                "The window is empty: what holds the deviation is not robust."
            },
        );
    }
    labels_inside(&mut svg, &plot, &around, &labels);
    svg.finish()
}

fn spots(sheets: &Sheets) -> Vec<Spot<'_>> {
    let sheet = &sheets.tuning;
    let limit = number(sheet.max_sensitivity_limit, 2);
    [
        (Some(&sheet.chosen), "chosen".to_owned(), Look::Chosen),
        (
            Some(&sheet.fastest),
            format!("fastest robust, Ms at most {limit}"),
            Look::End,
        ),
        (
            sheet.slowest.as_ref(),
            "slowest that holds the deviation".to_owned(),
            Look::End,
        ),
        (sheet.as_found.as_ref(), "as found".to_owned(), Look::Other),
        (Some(&sheet.habit), "habit".to_owned(), Look::Other),
    ]
    .into_iter()
    .filter_map(|(judged, words, look)| {
        let judged = judged?;
        let reset_s = judged.reset_s?;
        let at = ((reset_s / 60.0).log10(), judged.gain_ratio.log10());
        (at.0.is_finite() && at.1.is_finite()).then_some(Spot {
            judged,
            words,
            at,
            look,
        })
    })
    .collect()
}

/// What stands beside a point: name, and how far the worst duty point is from the edge of swinging.
fn label(spot: &Spot<'_>) -> String {
    let sensitivity = spot.judged.max_sensitivity_ratio;
    match spot.look {
        Look::End => spot.words.clone(),
        _ if spot.judged.stable && sensitivity.is_finite() => {
            format!("{}, Ms {}", spot.words, number(sensitivity, 2))
        }
        _ => format!("{}, unstable", spot.words),
    }
}

fn plot(spots: &[Spot<'_>]) -> Option<Plot> {
    let extent = |pick: fn(&Spot<'_>) -> f64| {
        spots
            .iter()
            .map(pick)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            })
    };
    let room = ROOM.log10();
    let (x, y) = (extent(|s| s.at.0), extent(|s| s.at.1));
    if spots.is_empty() {
        return None;
    }
    let (left, top, right, bottom) = (72.0, 44.0, 700.0, 372.0);
    Some(Plot {
        left,
        top,
        right,
        bottom,
        x: Scale::new(
            (x.0 - ROOM_AT_LEFT.log10(), x.1 + ROOM_AT_RIGHT.log10()),
            (left, right),
        ),
        y: Scale::new((y.0 - room, y.1 + room), (bottom, top)),
    })
}

/// Where the damping of the ideal integrator is 0.5 at the duty point that damps least: a straight line.
///
/// ```text
/// ζ = 0.5 √(Kc k' Ti)
/// ```
///
/// **Source:** characteristic equation s² + Kc k' s + Kc k'/Ti of an integrator under PI control.
fn half_damped(sheets: &Sheets, plot: &Plot) -> Option<Vec<Point>> {
    let least = sheets
        .tuning
        .duties
        .iter()
        .map(|d| d.process_gain_per_s)
        .fold(f64::INFINITY, f64::min);
    // Kc Ti = 1/k' with Ti in minutes: log Kc + log Ti is one number.
    let sum = (1.0 / (60.0 * least)).log10();
    if !sum.is_finite() {
        return None;
    }
    let ((left, right), (low, high)) = (plot.x.ends(), plot.y.ends());
    let (from, to) = (left.max(sum - high), right.min(sum - low));
    (from < to).then(|| vec![plot.place((from, sum - from)), plot.place((to, sum - to))])
}

/// Places along a straight line for its label.
fn along(line: &[Point]) -> Vec<Point> {
    let (Some(&a), Some(&b)) = (line.first(), line.last()) else {
        return Vec::new();
    };
    [0.7, 0.6, 0.8, 0.5, 0.4, 0.3, 0.9, 0.2]
        .into_iter()
        .map(|t| (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)))
        .collect()
}

/// From the fastest over the chosen to the slowest, in order of reset.
fn window_line(spots: &[Spot<'_>]) -> Vec<(f64, f64)> {
    let mut line: Vec<(f64, f64)> = spots
        .iter()
        .filter(|s| s.look != Look::Other)
        .map(|s| s.at)
        .collect();
    line.sort_by(|a, b| a.0.total_cmp(&b.0));
    if spots.iter().filter(|s| s.look == Look::End).count() < 2 {
        line.clear();
    }
    line
}

/// Ticks at 1, 2, 5 of each decade on both axes.
fn axes(svg: &mut Svg, plot: &Plot) {
    svg.group("axes", |svg| {
        for (value, named, text) in decades(&plot.x) {
            let x = plot.x.place(value);
            if named {
                svg.line(
                    (x, plot.top),
                    (x, plot.bottom),
                    Stroke::solid("#dedede", 0.6),
                );
                svg.text(
                    (x, plot.bottom + 6.0 + TICK),
                    Lettering::new(TICK).middle(),
                    &text,
                );
            }
            let long = if named { 4.0 } else { 2.0 };
            svg.line(
                (x, plot.bottom),
                (x, plot.bottom + long),
                Stroke::solid(INK, 0.8),
            );
        }
        for (value, named, text) in decades(&plot.y) {
            let y = plot.y.place(value);
            if named {
                svg.line(
                    (plot.left, y),
                    (plot.right, y),
                    Stroke::solid("#dedede", 0.6),
                );
                svg.text(
                    (plot.left - 8.0, y + 0.33 * TICK),
                    Lettering::new(TICK).end(),
                    &text,
                );
            }
            let long = if named { 4.0 } else { 2.0 };
            svg.line(
                (plot.left - long, y),
                (plot.left, y),
                Stroke::solid(INK, 0.8),
            );
        }
        let stroke = Stroke::solid(INK, 0.8);
        svg.line((plot.left, plot.top), (plot.left, plot.bottom), stroke);
        svg.line((plot.left, plot.bottom), (plot.right, plot.bottom), stroke);
        svg.text(
            (plot.left - 40.0, plot.top - 14.0),
            Lettering::new(LABEL),
            "gain, %/%",
        );
        svg.text(
            (
                0.5 * (plot.left + plot.right),
                plot.bottom + 12.0 + TICK + LABEL,
            ),
            Lettering::new(LABEL).middle(),
            "reset, minutes per repeat",
        );
        svg.text(
            (plot.right, plot.bottom + 12.0 + TICK + LABEL),
            Lettering::new(REMARK).grey().end(),
            "both axes logarithmic",
        );
    });
}

/// Ticks of a logarithmic axis: logarithm, whether its number is written, the number.
fn decades(scale: &Scale) -> Vec<(f64, bool, String)> {
    let (low, high) = scale.ends();
    let mut ticks = Vec::new();
    for decade in low.floor() as i32..=high.ceil() as i32 {
        for step in 1..10 {
            let value = f64::from(step) * 10_f64.powi(decade);
            if scale.holds(value.log10()) {
                ticks.push((
                    value.log10(),
                    matches!(step, 1 | 2 | 5),
                    number(value, (-decade).max(0) as usize),
                ));
            }
        }
    }
    ticks
}

fn draw_spot(svg: &mut Svg, (x, y): Point, look: Look) {
    match look {
        Look::Chosen => svg.circle((x, y), 6.0, Some(INK), Stroke::solid(PAPER, 1.5)),
        Look::End => svg.line((x, y - 9.0), (x, y + 9.0), Stroke::solid(INK, 2.2)),
        Look::Other => svg.polygon(
            &[(x, y - 6.5), (x + 6.5, y), (x, y + 6.5), (x - 6.5, y)],
            Some(PAPER),
            Some(Stroke::solid(INK, 1.5)),
        ),
    }
    if look == Look::Other {
        svg.circle((x, y), 1.2, Some(GREY), Stroke::solid(GREY, 0.6));
    }
}
