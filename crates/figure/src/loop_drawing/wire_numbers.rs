//! Numbers of the wires, as the list of connections has them, each in a box on its wire.

use halfglass_core::wiring::sheets::WiringSheet;

use crate::chart::REMARK;
use crate::svg::{INK, Lettering, PAPER, Point, Stroke, Svg};

/// The list of connections, looked up by what a wire carries.
#[derive(Debug, Clone, Copy)]
pub(super) struct WireNumbers<'a>(pub(super) Option<&'a WiringSheet>);

impl WireNumbers<'_> {
    /// Number of the wire that is the `nth`, from 0, to carry this.
    pub(super) fn of(self, carries: &str, nth: usize) -> Option<usize> {
        self.0?
            .connections
            .iter()
            .filter(|wire| wire.carries.starts_with(carries))
            .nth(nth)
            .map(|wire| wire.number)
    }
}

/// A wire's number on it; nothing where the list does not have the wire.
pub(super) fn wire_number(svg: &mut Svg, (x, y): Point, number: Option<usize>) {
    let Some(number) = number else { return };
    let text = number.to_string();
    let lettering = Lettering::new(REMARK).middle();
    let half = 0.5 * lettering.width(&text).max(8.0) + 3.0;
    svg.group("wire-number", |svg| {
        svg.rect(
            (x - half, y - 7.5),
            (x + half, y + 7.5),
            Some(PAPER),
            Some(Stroke::solid(INK, 0.8)),
        );
        svg.text((x, y + 4.2), lettering, &text);
    });
}
