//! A small SVG writer: one look, numbers rounded to a hundredth, nothing that a plain renderer cannot draw.
//!
//! Presentation attributes only: no script, no style sheet, no filter, no external reference, because the same text is
//! drawn by a browser and by the typesetter of the pack. Text stays text, so that it can be searched and read aloud.

mod live;

use std::fmt::Write;

use crate::hatch::{Slant, hatch_lines};
use crate::lettering::{self, Weight};

/// Family of all lettering; the pack embeds it.
pub(crate) const FONT_FAMILY: &str = "'Source Sans 3', sans-serif";

/// Lines and letters.
pub(crate) const INK: &str = "#1a1a1a";
/// Secondary lines and words.
pub(crate) const GREY: &str = "#6a6a6a";
/// Grid and leader lines.
pub(crate) const PALE: &str = "#b4b4b4";
/// Paper.
pub(crate) const PAPER: &str = "#ffffff";
/// Water, as a fill.
pub(crate) const WATER: &str = "#c9dcea";
/// Water, as a line.
pub(crate) const WATER_LINE: &str = "#2f6f9f";
/// Trips only, and never without a pattern of their own.
pub(crate) const TRIP: &str = "#8c2f1b";

/// A point of the drawing: x to the right, y down.
pub(crate) type Point = (f64, f64);

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) colour: &'static str,
    pub(crate) width: f64,
    /// Lengths of dashes and gaps; `None` is solid.
    pub(crate) dash: Option<&'static str>,
}

impl Stroke {
    pub(crate) const fn solid(colour: &'static str, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: None,
        }
    }
    pub(crate) const fn dashed(colour: &'static str, width: f64, dash: &'static str) -> Self {
        Self {
            colour,
            width,
            dash: Some(dash),
        }
    }
    fn attributes(self) -> String {
        let mut text = format!(
            r#"stroke="{}" stroke-width="{}""#,
            self.colour,
            number(self.width)
        );
        if let Some(dash) = self.dash {
            let _ = write!(text, r#" stroke-dasharray="{dash}""#);
        }
        text
    }
}

/// Which end of a text its point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    const fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// Lettering of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lettering {
    pub(crate) size: f64,
    pub(crate) colour: &'static str,
    pub(crate) weight: Weight,
    pub(crate) anchor: Anchor,
    /// A paper-coloured rim, so that a label stays readable over lines.
    pub(crate) rim: bool,
}

impl Lettering {
    pub(crate) const fn new(size: f64) -> Self {
        Self {
            size,
            colour: INK,
            weight: Weight::Regular,
            anchor: Anchor::Start,
            rim: false,
        }
    }
    pub(crate) const fn grey(self) -> Self {
        Self {
            colour: GREY,
            ..self
        }
    }
    pub(crate) const fn colour(self, colour: &'static str) -> Self {
        Self { colour, ..self }
    }
    pub(crate) const fn bold(self) -> Self {
        Self {
            weight: Weight::SemiBold,
            ..self
        }
    }
    pub(crate) const fn middle(self) -> Self {
        Self {
            anchor: Anchor::Middle,
            ..self
        }
    }
    pub(crate) const fn end(self) -> Self {
        Self {
            anchor: Anchor::End,
            ..self
        }
    }
    pub(crate) const fn rimmed(self) -> Self {
        Self { rim: true, ..self }
    }
    /// Width that a text takes, in units of the drawing.
    pub(crate) fn width(self, text: &str) -> f64 {
        lettering::width(text, self.size, self.weight)
    }
}

/// A drawing being written.
#[derive(Debug)]
pub(crate) struct Svg {
    stem: &'static str,
    width: f64,
    height: f64,
    title: String,
    description: String,
    body: String,
}

impl Svg {
    /// An empty drawing. The title names it, the description says in words what it shows.
    pub(crate) fn new(
        stem: &'static str,
        (width, height): (f64, f64),
        title: impl Into<String>,
        description: impl Into<String>,
    ) -> Self {
        Self {
            stem,
            width,
            height,
            title: title.into(),
            description: description.into(),
            body: String::new(),
        }
    }

    /// Gives the drawing another height; returns its width.
    pub(crate) const fn shrink_to(&mut self, height: f64) -> f64 {
        self.height = height;
        self.width
    }

    /// A straight line.
    pub(crate) fn line(&mut self, (x1, y1): Point, (x2, y2): Point, stroke: Stroke) {
        if ![x1, y1, x2, y2].iter().all(|v| v.is_finite()) {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<line x1="{}" y1="{}" x2="{}" y2="{}" {}/>"#,
            number(x1),
            number(y1),
            number(x2),
            number(y2),
            stroke.attributes()
        );
    }

    /// An open chain of straight lines.
    pub(crate) fn polyline(&mut self, points: &[Point], stroke: Stroke) {
        if points.len() < 2 {
            return;
        }
        if let Some(path) = path_of(points) {
            let _ = writeln!(
                self.body,
                r#"<path d="{path}" fill="none" stroke-linejoin="round" {}/>"#,
                stroke.attributes()
            );
        }
    }

    /// A closed shape.
    pub(crate) fn polygon(
        &mut self,
        points: &[Point],
        fill: Option<&'static str>,
        stroke: Option<Stroke>,
    ) {
        if points.len() < 3 {
            return;
        }
        if let Some(path) = path_of(points) {
            let _ = writeln!(
                self.body,
                r#"<path d="{path}Z" fill="{}" stroke-linejoin="round" {}/>"#,
                fill.unwrap_or("none"),
                stroke.map_or_else(|| r#"stroke="none""#.to_owned(), Stroke::attributes)
            );
        }
    }

    /// An upright rectangle by its corners.
    pub(crate) fn rect(
        &mut self,
        (x1, y1): Point,
        (x2, y2): Point,
        fill: Option<&'static str>,
        stroke: Option<Stroke>,
    ) {
        self.polygon(&[(x1, y1), (x2, y1), (x2, y2), (x1, y2)], fill, stroke);
    }

    /// A circle.
    pub(crate) fn circle(
        &mut self,
        (x, y): Point,
        radius: f64,
        fill: Option<&'static str>,
        stroke: Stroke,
    ) {
        if ![x, y, radius].iter().all(|v| v.is_finite()) {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<circle cx="{}" cy="{}" r="{}" fill="{}" {}/>"#,
            number(x),
            number(y),
            number(radius),
            fill.unwrap_or("none"),
            stroke.attributes()
        );
    }

    /// Text on one line; the point is on its baseline.
    pub(crate) fn text(&mut self, at: Point, lettering: Lettering, text: &str) {
        self.write_text(at, lettering, text, false);
    }

    /// Text that reads upwards; the point is on its baseline.
    pub(crate) fn text_upwards(&mut self, at: Point, lettering: Lettering, text: &str) {
        self.write_text(at, lettering, text, true);
    }

    fn write_text(&mut self, (x, y): Point, lettering: Lettering, text: &str, upwards: bool) {
        if text.is_empty() || !(x.is_finite() && y.is_finite()) {
            return;
        }
        let (x, y) = (number(x), number(y));
        let mut attributes = format!(
            r#"x="{x}" y="{y}" font-size="{}" fill="{}""#,
            number(lettering.size),
            lettering.colour
        );
        if lettering.weight == Weight::SemiBold {
            attributes.push_str(r#" font-weight="600""#);
        }
        if lettering.anchor != Anchor::Start {
            let _ = write!(attributes, r#" text-anchor="{}""#, lettering.anchor.word());
        }
        if upwards {
            let _ = write!(attributes, r#" transform="rotate(-90 {x} {y})""#);
        }
        let text = escape(text);
        if lettering.rim {
            // The rim is a text of its own below the letters: `paint-order` is not drawn everywhere.
            let _ = writeln!(
                self.body,
                r#"<text {attributes} stroke="{PAPER}" stroke-width="3.5" stroke-linejoin="round" aria-hidden="true">{text}</text>"#
            );
        }
        let _ = writeln!(self.body, "<text {attributes}>{text}</text>");
    }

    /// Fills a closed shape with slanted lines, a given distance apart.
    pub(crate) fn hatch(&mut self, shape: &[Point], slant: Slant, distance: f64, stroke: Stroke) {
        // One path: a page that moves what lies beside it paints it in one go.
        let path: String = hatch_lines(shape, slant, distance)
            .iter()
            .filter_map(|&(from, to)| path_of(&[from, to]))
            .collect();
        if !path.is_empty() {
            let _ = writeln!(
                self.body,
                r#"<path d="{path}" fill="none" {}/>"#,
                stroke.attributes()
            );
        }
    }

    /// What `draw` draws, in a group with a class, so that pages and tests find it.
    pub(crate) fn group(&mut self, class: &str, draw: impl FnOnce(&mut Self)) {
        let _ = writeln!(self.body, r#"<g class="{}">"#, escape(class));
        draw(self);
        self.body.push_str("</g>\n");
    }

    /// The drawing as text.
    pub(crate) fn finish(self) -> String {
        self.finish_as("img")
    }

    /// The drawing as text, in a role: an `img` hides the links in it from who cannot see.
    pub(crate) fn finish_as(self, role: &str) -> String {
        let (width, height) = (number(self.width), number(self.height));
        let Self {
            stem,
            title,
            description,
            body,
            ..
        } = self;
        format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" "#,
                r#"role="{role}" aria-labelledby="{stem}-title {stem}-description" "#,
                r#"font-family="{family}">"#,
                "\n<title id=\"{stem}-title\">{title}</title>",
                "\n<desc id=\"{stem}-description\">{description}</desc>\n",
                // Paper, so that a figure can be read on a dark page too.
                "<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n",
                "{body}</svg>\n"
            ),
            width = width,
            height = height,
            stem = stem,
            role = role,
            family = FONT_FAMILY,
            title = escape(&title),
            description = escape(&description),
            body = body,
        )
    }
}

/// A number as SVG writes it: at most two decimals, no trailing zeros, no minus zero.
pub(crate) fn number(value: f64) -> String {
    let mut text = format!("{value:.2}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// `None` when a point is not finite: such a shape is not drawn at all.
fn path_of(points: &[Point]) -> Option<String> {
    let mut path = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        if !(x.is_finite() && y.is_finite()) {
            return None;
        }
        path.push(if i == 0 { 'M' } else { 'L' });
        let _ = write!(path, "{} {}", number(*x), number(*y));
    }
    Some(path)
}

/// Text safe inside an element or an attribute; control characters, which XML forbids, are dropped.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_numbers_are_short() {
        for (value, text) in [
            (0.0, "0"),
            (-0.001, "0"),
            (12.0, "12"),
            (12.5, "12.5"),
            (100.0, "100"),
            (-3.456, "-3.46"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn practice_a_hostile_name_stays_text() {
        let mut svg = Svg::new("level-map", (10.0, 10.0), "a < b & \"c\"", "\u{1}");
        svg.text((1.0, 1.0), Lettering::new(9.0), "</text><script>x</script>");
        let text = svg.finish();
        let document = roxmltree::Document::parse(&text).unwrap();
        assert!(document.descendants().all(|n| !n.has_tag_name("script")));
        assert!(
            document
                .descendants()
                .any(|n| n.text() == Some("</text><script>x</script>"))
        );
    }

    #[test]
    fn practice_what_is_not_a_number_is_not_drawn() {
        let mut svg = Svg::new("level-map", (10.0, 10.0), "t", "d");
        let stroke = Stroke::solid(INK, 1.0);
        svg.line((0.0, f64::NAN), (1.0, 1.0), stroke);
        svg.polyline(&[(0.0, 0.0), (f64::INFINITY, 1.0)], stroke);
        svg.text((f64::NAN, 0.0), Lettering::new(9.0), "x");
        svg.circle((0.0, 0.0), f64::NAN, None, stroke);
        let text = svg.finish();
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    }
}
