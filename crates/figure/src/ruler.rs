//! The ruler beside a vessel, and the bands of it where the cell is blind.

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_report::units::DisplayUnits;

use crate::hatch::Slant;
use crate::scale::Scale;
use crate::svg::{INK, Lettering, PAPER, Stroke, Svg};

/// Width of the band that says where the cell is blind.
pub(crate) const BAND: f64 = 15.0;

/// The ruler in the reader's unit, its numbers of a size.
pub(crate) fn draw(svg: &mut Svg, x: f64, y: &Scale, units: &DisplayUnits, size: f64) {
    // The same places in the reader's unit.
    let (high, low) = y.ends();
    let display = Scale::new(
        (units.level(high).0, units.level(low).0),
        (y.place(high), y.place(low)),
    );
    svg.group("ruler", |svg| {
        svg.line(
            (x, y.place(high)),
            (x, y.place(low)),
            Stroke::solid(INK, 1.4),
        );
        let ticks = display.ticks(12);
        let fine = display.ticks(60);
        for &value in &fine.values {
            let at = display.place(value);
            svg.line((x - 4.0, at), (x, at), Stroke::solid(INK, 0.7));
        }
        for &value in &ticks.values {
            let at = display.place(value);
            svg.line((x - 8.0, at), (x, at), Stroke::solid(INK, 1.1));
            svg.text(
                (x - 11.0, at + size / 3.0),
                Lettering::new(size).end().rimmed(),
                &ticks.text(value),
            );
        }
        svg.text(
            (x + 4.0, y.place(high) - 12.0),
            Lettering::new(size).end().bold(),
            units.level_unit(),
        );
    });
}

/// Beyond both connections the cell cannot tell.
pub(crate) fn blind_bands(svg: &mut Svg, x: f64, described: &Loop, y: &Scale) {
    let (lower, upper) = match &described.reference_leg {
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => (*lower_seal_m, Some(*upper_seal_m)),
        ReferenceLeg::None => (0.0, None),
        _ => (0.0, described.elevations.upper_tap_m),
    };
    let (high, low) = y.ends();
    let mut bands = vec![(y.place(lower), y.place(low))];
    if let Some(upper) = upper {
        bands.push((y.place(high), y.place(upper)));
    }
    svg.group("blind", |svg| {
        for (from, to) in bands {
            if to - from < 2.0 {
                continue;
            }
            let (left, right) = (x, x + BAND);
            svg.hatch(
                &[(left, from), (right, from), (right, to), (left, to)],
                Slant::Falling,
                4.0,
                Stroke::solid(INK, 0.6),
            );
            svg.rect(
                (left, from),
                (right, to),
                None,
                Some(Stroke::solid(INK, 0.8)),
            );
            let lettering = Lettering::new(12.0).bold().middle();
            let wide = lettering.width("cell blind") + 8.0;
            if wide + 2.0 < to - from {
                // On a white ground: letters in hatching cannot be read.
                let middle = 0.5 * (from + to);
                svg.polygon(
                    &[
                        (left + 0.4, middle - 0.5 * wide),
                        (right - 0.4, middle - 0.5 * wide),
                        (right - 0.4, middle + 0.5 * wide),
                        (left + 0.4, middle + 0.5 * wide),
                    ],
                    Some(PAPER),
                    None,
                );
                svg.text_upwards(
                    (0.5 * (left + right) + 4.2, middle),
                    lettering,
                    "cell blind",
                );
            }
        }
    });
}
