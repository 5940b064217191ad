//! The shield round a pair, earthed at the end that the user's words name: the panel's unless they name the field's, and at both
//! where the survey found it so.

use halfglass_core::wiring::shield_at_both_ends;

use super::wire_numbers::wire_number;
use super::{CABLE, FIELD, PANEL};
use crate::chart::REMARK;
use crate::svg::{INK, Lettering, Stroke, Svg};
use crate::symbols::{earth, fitted};

/// Ends that are earthed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Earthed {
    Panel,
    Field,
    Both,
}

fn earthed(place: &str) -> Earthed {
    let words = place.to_lowercase();
    let names = |places: &[&str]| places.iter().any(|place| words.contains(place));
    if shield_at_both_ends(place) {
        Earthed::Both
    } else if names(&["field", "cell", "transmitter", "vessel"])
        && !names(&["panel", "cabinet", "controller", "control room"])
    {
        Earthed::Field
    } else {
        Earthed::Panel
    }
}

/// A dashed box round a pair of wires with its earth, the number of its wire beside that, and what is done at the other end.
pub(super) fn shield(
    svg: &mut Svg,
    (upper, lower): (f64, f64),
    place: &str,
    device: &str,
    number: Option<usize>,
) {
    let (top, bottom) = (upper - 12.0, lower + 12.0);
    svg.group("shield", |svg| {
        svg.polygon(
            &[
                (CABLE.0, top),
                (CABLE.1, top),
                (CABLE.1, bottom),
                (CABLE.0, bottom),
            ],
            None,
            Some(Stroke::dashed(INK, 1.0, "5 3")),
        );
        let lettering = Lettering::new(REMARK).grey();
        let (at_field, at_panel) = (CABLE.0 + 14.0, CABLE.1 - 14.0);
        match earthed(place) {
            Earthed::Panel => {
                earth(svg, (at_panel, bottom));
                wire_number(svg, (at_panel - 22.0, bottom + 11.0), number);
                let words = format!("insulated at the {device}");
                svg.text((CABLE.0 + 4.0, bottom + 15.0), lettering, &words);
            }
            Earthed::Field => {
                earth(svg, (at_field, bottom));
                wire_number(svg, (at_field + 22.0, bottom + 11.0), number);
                let words = "insulated at the panel";
                svg.text((CABLE.1 - 4.0, bottom + 15.0), lettering.end(), words);
            }
            Earthed::Both => {
                earth(svg, (at_field, bottom));
                earth(svg, (at_panel, bottom));
                wire_number(svg, (at_panel - 22.0, bottom + 11.0), number);
                svg.text((at_field + 16.0, bottom + 15.0), lettering, "to be lifted");
            }
        }
    });
}

/// Where the shields are earthed, in the user's words.
pub(super) fn earth_words(svg: &mut Svg, place: &str) {
    let bottom = super::MINUS + 12.0;
    let (at_field, lines) = match earthed(place) {
        Earthed::Panel => (false, ["shield earthed here only:", place]),
        Earthed::Field => (true, ["shield earthed here only:", place]),
        Earthed::Both => (
            false,
            [
                "shield as found earthed at both ends:",
                "lift the field end, cut it back, insulate it",
            ],
        ),
    };
    let side = if at_field { FIELD.0 } else { PANEL - 10.0 };
    let lettering = Lettering::new(REMARK);
    let lettering = if at_field { lettering } else { lettering.end() };
    for (i, line) in lines.into_iter().enumerate() {
        svg.text(
            (side, bottom + 36.0 + 15.0 * i as f64),
            fitted(lettering, line, PANEL - FIELD.0 - 14.0),
            line,
        );
    }
}
