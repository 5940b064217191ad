//! The feedwater valve's sign: a body and a diaphragm actuator as ISA-5.1 draws them, on a line that leads to the vessel,
//! with the valve's tag. It stands below the names of the marks where they leave room, and leads to the valve's sheet.

use halfglass_report::loop_tags::with_letters;

use super::{FINGER, Layout, Part, Sketch};
use crate::svg::{GREY, INK, Lettering, PAPER, Stroke, Svg, WATER_LINE};
use crate::symbols::{fitted, valve};

/// Half of the body's length.
const HALF: f64 = 13.0;
/// What the sign takes above and below its line.
const ABOVE: f64 = 40.0;
const BELOW: f64 = 24.0;

/// The sign, below `lowest` of the names.
pub(super) fn sign(svg: &mut Svg, sketch: &Sketch<'_>, lowest: f64) {
    let (Layout::Wide, Some(names)) = (sketch.layout, sketch.across.names) else {
        return;
    };
    let y = sketch.frame.bottom - BELOW;
    if y - ABOVE < lowest + 16.0 {
        return;
    }
    let (left, right) = (names + 4.0, sketch.across.width - 6.0);
    let x = left + 34.0;
    let line = Stroke::solid(WATER_LINE, 2.4);
    svg.line((left, y), (x - HALF, y), line);
    svg.line((x + HALF, y), (right - 10.0, y), line);
    svg.polygon(
        &[(right, y), (right - 12.0, y - 5.5), (right - 12.0, y + 5.5)],
        Some(WATER_LINE),
        None,
    );
    // Stem and diaphragm.
    svg.line((x, y), (x, y - 18.0), Stroke::solid(INK, 1.3));
    let dome: Vec<(f64, f64)> = (0..=12_u8)
        .map(|step| {
            let angle = std::f64::consts::PI * f64::from(step) / 12.0;
            (x - 12.0 * angle.cos(), y - 18.0 - 11.0 * angle.sin())
        })
        .collect();
    svg.polygon(&dome, Some(PAPER), Some(Stroke::solid(INK, 1.3)));
    valve(svg, (x, y), false, HALF);
    let tag = with_letters(&sketch.of.described.identity.tag, "LV");
    let room = right - x - HALF - 8.0;
    let bold = Lettering::new(16.0).bold();
    svg.text((x + HALF + 8.0, y - 10.0), fitted(bold, &tag, room), &tag);
    let under = Lettering::new(14.0).colour(GREY);
    svg.text((x + HALF + 8.0, y + 17.0), under, "water to the vessel");
    svg.link(&sketch.address(Part::Valve), Part::Valve.words(), |svg| {
        svg.touch(
            "hit",
            (left - 4.0, y - ABOVE),
            (right, (y + BELOW).max(y - ABOVE + FINGER)),
        );
    });
}
