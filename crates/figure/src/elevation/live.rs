//! What moves: the water in vessel and glass, and the three markers in their lanes.

use halfglass_core::measurement::elevation::GlassReading;

use super::{Layout, Sketch};
use crate::piping::GLASS_HALF;
use crate::svg::{INK, Lettering, PALE, PAPER, Stroke, Svg, WATER, WATER_LINE};

/// Numbers that the page's script moves by: the map from m above the lower tap, the ruler's ends, the glass.
pub(super) fn numbers(sketch: &Sketch<'_>) -> Vec<(&'static str, f64)> {
    let y = sketch.y();
    let (high, low) = y.ends();
    let mut numbers = vec![
        ("y-at-zero", y.place(0.0)),
        ("y-per-m", y.place(1.0) - y.place(0.0)),
        ("y-top", y.place(high)),
        ("y-bottom", y.place(low)),
        // Where the control of the level stands: on the symbols of TRUE.
        (
            "true-x",
            symbol_x(sketch, [sketch.across.lanes[0], sketch.across.lanes[1]]),
        ),
    ];
    if let Some(glass) = &sketch.of.described.glass {
        numbers.push(("glass-top", y.place(glass.visible_top_m)));
        numbers.push(("glass-bottom", y.place(glass.visible_bottom_m)));
    }
    numbers
}

/// Where a level stands on the drawing: at the ruler's end for one beyond it.
fn place(sketch: &Sketch<'_>, level_m: f64) -> f64 {
    let (high, low) = sketch.y().ends();
    sketch.y().place(level_m.clamp(low, high))
}

/// The vessel's water, inside its outline.
pub(super) fn water(svg: &mut Svg, sketch: &Sketch<'_>) {
    let tall = sketch.y().place(sketch.outline.bottom_m) - sketch.y().place(sketch.outline.top_m);
    let (left, right) = (0.0, sketch.across.wall + 4.0);
    let dy = place(sketch, sketch.of.reading.true_level.m());
    svg.moved("water", dy, |svg| {
        svg.rect((left, 0.0), (right, tall + 4.0), Some(WATER), None);
        svg.line((left, 0.0), (right, 0.0), Stroke::solid(WATER_LINE, 2.6));
    });
}

/// Where the glass's surface is on the drawing: at an end of the visible length where it is empty or full.
fn surface(sketch: &Sketch<'_>, (top, bottom): (f64, f64)) -> f64 {
    match sketch.of.reading.glass {
        Some(GlassReading::Stands(level)) => sketch.y().place(level.m()),
        Some(GlassReading::Full) => top,
        Some(GlassReading::Empty) | None => bottom,
    }
}

/// The glass's water.
pub(super) fn glass_water(svg: &mut Svg, sketch: &Sketch<'_>, x: f64, (top, bottom): (f64, f64)) {
    let (left, right) = (x - GLASS_HALF, x + GLASS_HALF);
    let visible = [(left, top), (right, top), (right, bottom), (left, bottom)];
    svg.cut("glass", &visible, |svg| {
        svg.moved("glass-water", surface(sketch, (top, bottom)), |svg| {
            svg.rect((left, 0.0), (right, bottom - top), Some(WATER), None);
            svg.line((left, 0.0), (right, 0.0), Stroke::solid(INK, 2.0));
        });
    });
}

/// A lane with its head and its marker.
struct Lane {
    class: &'static str,
    word: &'static str,
    under: &'static str,
    /// Where its marker stands; `None`: there is none.
    at: Option<f64>,
    texts: [String; 3],
}

/// The three lanes.
pub(super) fn lanes(svg: &mut Svg, sketch: &Sketch<'_>) {
    let (said, reading) = (sketch.of.said, sketch.of.reading);
    let glass = sketch.of.described.glass.as_ref().map(|glass| {
        let y = sketch.y();
        surface(
            sketch,
            (
                y.place(glass.visible_top_m),
                y.place(glass.visible_bottom_m),
            ),
        )
    });
    let text = |name: &str| said.value(name).to_owned();
    let note = said.value("panel-note").to_owned();
    let lanes = [
        Lane {
            class: "true",
            word: "TRUE",
            under: "vessel",
            at: Some(place(sketch, reading.true_level.m())),
            texts: [text("true"), text("true-percent"), String::new()],
        },
        Lane {
            class: "panel",
            word: "PANEL",
            under: "cell",
            at: Some(place(sketch, reading.panel.m())),
            texts: [text("panel"), text("panel-percent"), note],
        },
        Lane {
            class: "glass",
            word: "GLASS",
            under: if glass.is_some() { "glass" } else { "none" },
            at: glass,
            texts: [text("glass"), String::new(), String::new()],
        },
    ];
    let (high, low) = sketch.y().ends();
    let (top, bottom) = (sketch.y().place(high), sketch.y().place(low));
    for (lane, ends) in lanes.iter().zip(sketch.across.lanes.windows(2)) {
        let right = ends[1] - 0.5;
        svg.line((right, top), (right, bottom), Stroke::solid(PALE, 0.8));
        if sketch.layout == Layout::Wide {
            let x = ends[0] + 23.0;
            svg.text((x, 26.0), Lettering::new(18.0).bold(), lane.word);
            svg.text((x, 46.0), Lettering::new(16.0).grey(), lane.under);
        } else {
            let x = 0.5 * (ends[0] + ends[1]);
            svg.text((x, 17.0), Lettering::new(13.0).bold().middle(), lane.word);
        }
    }
    let standing = || {
        let ends = sketch.across.lanes.windows(2);
        lanes
            .iter()
            .zip(ends)
            .filter_map(|(lane, ends)| Some((lane, lane.at?, [ends[0], ends[1]])))
    };
    // Lines under all markers: none runs through a number.
    for (lane, at, ends) in standing() {
        svg.moved(&format!("reach {}", lane.class), at, |svg| {
            let stroke = match lane.class {
                "true" => Stroke::solid(WATER_LINE, 2.0),
                "panel" => Stroke::solid(INK, 1.1),
                _ => Stroke::dashed(INK, 1.1, "2 3"),
            };
            let to = (symbol_x(sketch, ends), 0.0);
            svg.line((sketch.across.ruler, 0.0), to, stroke);
        });
    }
    for (lane, at, ends) in standing() {
        svg.moved(&format!("marker {}", lane.class), at, |svg| {
            marker(svg, sketch, lane, ends);
        });
    }
}

fn symbol_x(sketch: &Sketch<'_>, [left, right]: [f64; 2]) -> f64 {
    match sketch.layout {
        Layout::Wide => left + 10.0,
        Layout::Narrow => 0.5 * (left + right),
    }
}

/// A mark whose shape tells whose level it is, with its word above and its values below the line that it stands on.
fn marker(svg: &mut Svg, sketch: &Sketch<'_>, lane: &Lane, [left, right]: [f64; 2]) {
    let is_wide = sketch.layout == Layout::Wide;
    let x = symbol_x(sketch, [left, right]);
    let [value, percent, note] = &lane.texts;
    if is_wide {
        let x = left + 23.0;
        let under = if percent.is_empty() { 26.0 } else { 45.0 };
        svg.rect((x - 1.0, 3.0), (right - 3.0, under), Some(PAPER), None);
        let word = Lettering::new(14.0).bold().rimmed();
        svg.text_live("word", (x, -5.0), word, lane.word);
        svg.text_live("value", (x, 22.0), Lettering::new(20.5).bold(), value);
        svg.text_live("percent", (x, 41.0), Lettering::new(17.0), percent);
        svg.text_live(
            "note",
            (x, 58.0),
            Lettering::new(15.0).bold().rimmed(),
            note,
        );
    } else {
        let small = Lettering::new(12.5).middle();
        let bold = Lettering::new(13.0).bold().middle();
        let under = if percent.is_empty() { 28.0 } else { 43.0 };
        svg.rect((left + 1.5, 12.0), (right - 1.5, under), Some(PAPER), None);
        svg.text_live("value", (x, 25.0), bold, value);
        svg.text_live("percent", (x, 40.0), small, percent);
        svg.text_live("note", (x, 54.0), small.bold().rimmed(), note);
    }
    match lane.class {
        "true" => svg.polygon(
            &[(x - 10.0, 0.0), (x + 8.0, -10.5), (x + 8.0, 10.5)],
            Some(WATER_LINE),
            Some(Stroke::solid(INK, 1.2)),
        ),
        "panel" => svg.rect(
            (x - 8.5, -8.5),
            (x + 8.5, 8.5),
            Some(PAPER),
            Some(Stroke::solid(INK, 2.6)),
        ),
        _ => svg.circle((x, 0.0), 9.0, Some(PAPER), Stroke::solid(INK, 2.6)),
    }
}

/// Where a finger moves the water: the lanes, and on a wide drawing the vessel too. A phone's vessel is left to scrolling.
pub(super) fn touch(svg: &mut Svg, sketch: &Sketch<'_>) {
    let (high, low) = sketch.y().ends();
    let (top, bottom) = (sketch.y().place(high), sketch.y().place(low));
    let across = &sketch.across;
    svg.touch(
        "drag",
        (across.ruler - 12.0, top - 12.0),
        (across.lanes[3], bottom + 12.0),
    );
    if sketch.layout == Layout::Wide {
        svg.touch("drag", (across.left, top), (across.wall, bottom));
    }
}
