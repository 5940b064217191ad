//! The window on a logarithmic axis of reset time: left of it the loop is no longer robust, right of it the deviation is
//! no longer held. Chosen, as-found and habitual settings are marked where their reset lies.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::tuning::sheets::Judged;
use halfglass_report::units::number;

use crate::chart::{LABEL, REMARK, TICK, tag};
use crate::labels::{Wish, spread};
use crate::lettering::LINE;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, MIST, PAPER, Slant, Stroke, Svg};

const SIZE: (f64, f64) = (720.0, 330.0);
const LEFT: f64 = 30.0;
const RIGHT: f64 = 690.0;
const BAR_TOP: f64 = 150.0;
const BAR_BOTTOM: f64 = 196.0;
const AXIS: f64 = 266.0;

struct Mark<'a> {
    name: &'static str,
    judged: &'a Judged,
    reset_s: f64,
}

pub(crate) fn draw(described: &Loop, sheets: &Sheets) -> String {
    let sheet = &sheets.tuning;
    let mut svg = Svg::new(
        "tuning-window",
        SIZE,
        format!("Tuning window of {}", described.identity.tag),
        format!(
            "Reset time on a logarithmic axis, from the fastest settings that stay robust to the slowest that hold the deviation. {}",
            sheet.window_words
        ),
    );
    let fastest = sheet.fastest.reset_s.filter(|s| *s > 0.0);
    let slowest = sheet
        .slowest
        .as_ref()
        .and_then(|j| j.reset_s)
        .filter(|s| *s > 0.0);
    let marks = marks(sheets);
    let times = || {
        marks
            .iter()
            .map(|m| m.reset_s)
            .chain(fastest)
            .chain(slowest)
            .map(|s| s / 60.0)
    };
    let low = times().fold(f64::INFINITY, f64::min);
    let high = times().fold(f64::NEG_INFINITY, f64::max);
    if !(low > 0.0 && high.is_finite()) {
        crate::chart::note(
            &mut svg,
            (0.5 * SIZE.0, 0.5 * SIZE.1),
            &["No settings with reset to show."],
        );
        return svg.finish();
    }
    // Room of a factor of 1.6 beyond the outermost times.
    let scale = Scale::new(((low / 1.6).log10(), (high * 1.6).log10()), (LEFT, RIGHT));
    let x = |s: f64| scale.place((s / 60.0).log10());
    axis(&mut svg, &scale);
    bar(
        &mut svg,
        fastest.map(x),
        slowest.map(x),
        sheet.window_open,
        sheet.max_sensitivity_limit,
    );
    draw_marks(&mut svg, &marks, x);
    tag(&mut svg, (RIGHT, 10.0), "FORECAST");
    svg.finish()
}

fn marks(sheets: &Sheets) -> Vec<Mark<'_>> {
    let sheet = &sheets.tuning;
    [
        ("chosen", Some(&sheet.chosen)),
        ("as found", sheet.as_found.as_ref()),
        ("habit", Some(&sheet.habit)),
    ]
    .into_iter()
    .filter_map(|(name, judged)| {
        let judged = judged?;
        let reset_s = judged.reset_s.filter(|s| *s > 0.0 && s.is_finite())?;
        Some(Mark {
            name,
            judged,
            reset_s,
        })
    })
    .collect()
}

/// Minutes a repeat at 1, 2, 5 of each decade.
fn axis(svg: &mut Svg, scale: &Scale) {
    svg.group("axes", |svg| {
        svg.line((LEFT, AXIS), (RIGHT, AXIS), Stroke::solid(INK, 0.8));
        let (low, high) = scale.ends();
        for decade in low.floor() as i32..=high.ceil() as i32 {
            for step in 1..10 {
                let minutes = f64::from(step) * 10_f64.powi(decade);
                if !scale.holds(minutes.log10()) {
                    continue;
                }
                let x = scale.place(minutes.log10());
                let named = matches!(step, 1 | 2 | 5);
                svg.line(
                    (x, AXIS),
                    (x, AXIS + if named { 5.0 } else { 3.0 }),
                    Stroke::solid(INK, 0.8),
                );
                if named {
                    svg.text(
                        (x, AXIS + 8.0 + TICK),
                        Lettering::new(TICK).middle(),
                        &number(minutes, (-decade).max(0) as usize),
                    );
                }
            }
        }
        svg.text(
            (0.5 * (LEFT + RIGHT), AXIS + 14.0 + TICK + LABEL),
            Lettering::new(LABEL).middle(),
            "reset, minutes per repeat (logarithmic)",
        );
    });
}

/// Where it is robust, where the deviation is held, and what they share.
fn bar(svg: &mut Svg, fastest: Option<f64>, slowest: Option<f64>, open: bool, limit: f64) {
    let from = fastest.unwrap_or(RIGHT);
    let to = slowest.unwrap_or(LEFT);
    let outline = Stroke::solid(INK, 1.2);
    svg.group("window", |svg| {
        svg.rect(
            (LEFT, BAR_TOP),
            (RIGHT, BAR_BOTTOM),
            Some(PAPER),
            Some(Stroke::solid(GREY, 0.6)),
        );
        // Left of the fastest: hatched one way; right of the slowest: the other way; both where the window is empty.
        for (a, b, slant) in [(LEFT, from, Slant::Rising), (to, RIGHT, Slant::Falling)] {
            if b > a {
                svg.hatch(
                    &[(a, BAR_TOP), (b, BAR_TOP), (b, BAR_BOTTOM), (a, BAR_BOTTOM)],
                    slant,
                    6.0,
                    Stroke::solid(GREY, 0.7),
                );
            }
        }
        if open && to > from {
            svg.rect((from, BAR_TOP), (to, BAR_BOTTOM), Some(MIST), Some(outline));
        }
        let mid = 0.5 * (BAR_TOP + BAR_BOTTOM) + 0.33 * LABEL;
        if open && to > from {
            let text = "window";
            if to - from > 60.0 {
                svg.text(
                    (0.5 * (from + to), mid),
                    Lettering::new(LABEL).bold().middle(),
                    text,
                );
            }
        } else {
            svg.text(
                (0.5 * (LEFT + RIGHT), mid),
                Lettering::new(LABEL).bold().middle().rimmed(),
                "the window is empty",
            );
        }
        // Both edges with their words below the bar, kept apart.
        let robust = format!(
            "fastest that stays robust (Ms at most {})",
            number(limit, 2)
        );
        let held = "slowest that holds the deviation";
        let lettering = Lettering::new(REMARK).middle();
        let mut edges = Vec::new();
        if let Some(x) = fastest {
            edges.push((x, robust.as_str()));
        }
        if let Some(x) = slowest {
            edges.push((x, held));
        }
        let wishes: Vec<Wish> = edges
            .iter()
            .map(|(x, text)| Wish {
                place: *x,
                size: lettering.width(text) + 14.0,
            })
            .collect();
        for ((x, text), centre) in edges.iter().zip(spread(&wishes, 4.0, SIZE.0 - 4.0)) {
            svg.line(
                (*x, BAR_TOP - 6.0),
                (*x, BAR_BOTTOM + 6.0),
                Stroke::solid(INK, 1.6),
            );
            svg.polyline(
                &[
                    (*x, BAR_BOTTOM + 6.0),
                    (centre, BAR_BOTTOM + 16.0),
                    (centre, BAR_BOTTOM + 20.0),
                ],
                Stroke::solid(GREY, 0.7),
            );
            svg.text((centre, BAR_BOTTOM + 22.0 + REMARK), lettering, text);
        }
        if slowest.is_none() {
            svg.text(
                (RIGHT, BAR_BOTTOM + 56.0),
                Lettering::new(REMARK).end(),
                "no settings hold the deviation",
            );
        }
    });
}

fn draw_marks(svg: &mut Svg, marks: &[Mark<'_>], x: impl Fn(f64) -> f64) {
    let name = Lettering::new(LABEL).middle();
    let value = Lettering::new(REMARK).grey().middle();
    let texts: Vec<[String; 3]> = marks
        .iter()
        .map(|mark| {
            let sensitivity = mark.judged.max_sensitivity_ratio;
            [
                mark.name.to_owned(),
                format!(
                    "gain {}, reset {} min",
                    number(mark.judged.gain_ratio, 2),
                    number(mark.reset_s / 60.0, 1)
                ),
                if mark.judged.stable && sensitivity.is_finite() {
                    format!("Ms {}", number(sensitivity, 2))
                } else {
                    "unstable".to_owned()
                },
            ]
        })
        .collect();
    let wishes: Vec<Wish> = marks
        .iter()
        .zip(&texts)
        .map(|(mark, text)| Wish {
            place: x(mark.reset_s),
            size: text.iter().map(|t| name.width(t)).fold(0.0, f64::max) + 14.0,
        })
        .collect();
    let centres = spread(&wishes, 4.0, SIZE.0 - 4.0);
    svg.group("marks", |svg| {
        for (((mark, text), wish), centre) in marks.iter().zip(&texts).zip(&wishes).zip(centres) {
            let at = wish.place;
            let chosen = mark.name == "chosen";
            let stroke = match mark.name {
                "chosen" => Stroke::solid(INK, 2.4),
                "as found" => Stroke::dashed(INK, 1.8, "6 3"),
                _ => Stroke::dashed(INK, 1.8, "1.5 3"),
            };
            svg.line((at, BAR_TOP - 18.0), (at, AXIS), stroke);
            svg.polyline(
                &[(centre, 102.0), (centre, 106.0), (at, BAR_TOP - 18.0)],
                Stroke::solid(GREY, 0.8),
            );
            let shape = [
                (at, BAR_TOP - 2.0),
                (at - 6.0, BAR_TOP - 13.0),
                (at + 6.0, BAR_TOP - 13.0),
            ];
            svg.polygon(
                &shape,
                Some(if chosen { INK } else { PAPER }),
                Some(Stroke::solid(INK, 1.2)),
            );
            for (i, line) in text.iter().enumerate() {
                let lettering = match (i, chosen) {
                    (0, true) => name.bold(),
                    (0, false) => name,
                    _ => value,
                };
                svg.text((centre, 62.0 + i as f64 * LABEL * LINE), lettering, line);
            }
        }
    });
}
