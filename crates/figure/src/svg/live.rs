//! What a page moves and touches: groups with a place, parts cut to a shape, links with room for a finger.

use std::fmt::Write;

use super::{Lettering, PAPER, Point, Svg, Weight, escape, number, path_of};

impl Svg {
    /// What `draw` draws, moved down by `dy`; a page's script moves it on.
    pub(crate) fn moved(&mut self, class: &str, dy: f64, draw: impl FnOnce(&mut Self)) {
        let dy = if dy.is_finite() { dy } else { 0.0 };
        let _ = writeln!(
            self.body,
            r#"<g class="{}" transform="translate(0 {})">"#,
            escape(class),
            number(dy)
        );
        draw(self);
        self.body.push_str("</g>\n");
    }

    /// What `draw` draws, cut to a closed shape. The part's name is once in a drawing.
    pub(crate) fn cut(&mut self, part: &str, shape: &[Point], draw: impl FnOnce(&mut Self)) {
        let id = format!("{}-{}", self.stem, escape(part));
        let _ = writeln!(
            self.body,
            r#"<clipPath id="{id}"><path d="{}Z"/></clipPath><g clip-path="url(#{id})">"#,
            path_of(shape).unwrap_or_default()
        );
        draw(self);
        self.body.push_str("</g>\n");
    }

    /// A link with a name for who cannot see it.
    pub(crate) fn link(&mut self, address: &str, name: &str, draw: impl FnOnce(&mut Self)) {
        let _ = writeln!(
            self.body,
            r#"<a href="{}" class="part" aria-label="{}">"#,
            escape(address),
            escape(name)
        );
        draw(self);
        self.body.push_str("</a>\n");
    }

    /// Room for a finger, not seen.
    pub(crate) fn touch(&mut self, class: &str, (x1, y1): Point, (x2, y2): Point) {
        if ![x1, y1, x2, y2].iter().all(|v| v.is_finite()) {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<rect class="{}" x="{}" y="{}" width="{}" height="{}" fill="none" pointer-events="all"/>"#,
            escape(class),
            number(x1),
            number(y1),
            number((x2 - x1).max(0.0)),
            number((y2 - y1).max(0.0))
        );
    }

    /// A text that a page's script writes anew, with a paper-coloured rim of its own where it is to have one.
    pub(crate) fn text_live(
        &mut self,
        class: &str,
        (x, y): Point,
        lettering: Lettering,
        text: &str,
    ) {
        let weight = match lettering.weight {
            Weight::Regular => "400",
            Weight::SemiBold => "600",
        };
        let rim = if lettering.rim {
            format!(
                r#" stroke="{PAPER}" stroke-width="4" stroke-linejoin="round" paint-order="stroke""#
            )
        } else {
            String::new()
        };
        let _ = writeln!(
            self.body,
            r#"<text class="{}" x="{}" y="{}" font-size="{}" font-weight="{weight}" fill="{}" text-anchor="{}"{rim}>{}</text>"#,
            escape(class),
            number(x),
            number(y),
            number(lettering.size),
            lettering.colour,
            lettering.anchor.word(),
            escape(text)
        );
    }

    /// The linear map from metres to places, and other numbers that a page's script needs, on a group of what is live.
    pub(crate) fn live(&mut self, numbers: &[(&str, f64)], draw: impl FnOnce(&mut Self)) {
        self.body.push_str(r#"<g class="live""#);
        for (name, value) in numbers {
            let _ = write!(self.body, r#" data-{name}="{value:.6}""#);
        }
        self.body.push_str(">\n");
        draw(self);
        self.body.push_str("</g>\n");
    }
}
