//! What the charts share: a plot with two axes, curves cut to it, and labels that find their own room.

use crate::labels::{Room, Wish, spread};
use crate::lettering::{LINE, Weight, width};
use crate::scale::{Scale, cut};
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Point, Stroke, Svg};

/// Size of numbers on axes.
pub(crate) const TICK: f64 = 12.5;
/// Size of labels.
pub(crate) const LABEL: f64 = 13.5;
/// Size of remarks.
pub(crate) const REMARK: f64 = 12.0;

/// A plot: where it stands and its axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plot {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
    pub(crate) x: Scale,
    pub(crate) y: Scale,
}

/// Ends with some room beyond; a straight line keeps some height of its own.
pub(crate) fn roomy((low, high): (f64, f64)) -> (f64, f64) {
    let room = 0.08 * (high - low).max(0.02 * high.abs()).max(1e-6);
    (low - room, high + room)
}

impl Plot {
    /// One of several plots that stand above each other on one axis, its axes drawn: as wide as `x`, from `top` on.
    pub(crate) fn panel(
        svg: &mut Svg,
        (top, high): (f64, f64),
        x: Scale,
        ends: (f64, f64),
        (x_title, y_title): (&str, &str),
    ) -> Self {
        let (left, right) = x.places();
        let plot = Self {
            left,
            top,
            right,
            bottom: top + high,
            x,
            y: Scale::new(ends, (top + high, top)),
        };
        plot.axes(svg, x_title, y_title);
        plot
    }

    /// Where a pair of values sits.
    pub(crate) fn place(&self, (x, y): (f64, f64)) -> Point {
        (self.x.place(x), self.y.place(y))
    }

    /// Both axes with their ticks, a pale grid, and the titles.
    pub(crate) fn axes(&self, svg: &mut Svg, x_title: &str, y_title: &str) {
        svg.group("axes", |svg| {
            let ticks = self.y.ticks(6);
            for &value in &ticks.values {
                let y = self.y.place(value);
                svg.line(
                    (self.left, y),
                    (self.right, y),
                    Stroke::solid("#dedede", 0.6),
                );
                svg.line(
                    (self.left - 4.0, y),
                    (self.left, y),
                    Stroke::solid(INK, 0.8),
                );
                svg.text(
                    (self.left - 8.0, y + 0.33 * TICK),
                    Lettering::new(TICK).end(),
                    &ticks.text(value),
                );
            }
            let ticks = self.x.ticks(8);
            for &value in &ticks.values {
                let x = self.x.place(value);
                svg.line(
                    (x, self.bottom),
                    (x, self.bottom + 4.0),
                    Stroke::solid(INK, 0.8),
                );
                svg.text(
                    (x, self.bottom + 6.0 + TICK),
                    Lettering::new(TICK).middle(),
                    &ticks.text(value),
                );
            }
            let stroke = Stroke::solid(INK, 0.8);
            svg.line((self.left, self.top), (self.left, self.bottom), stroke);
            svg.line((self.left, self.bottom), (self.right, self.bottom), stroke);
            if !x_title.is_empty() {
                svg.text(
                    (
                        0.5 * (self.left + self.right),
                        self.bottom + 12.0 + TICK + LABEL,
                    ),
                    Lettering::new(LABEL).middle(),
                    x_title,
                );
            }
            svg.text(
                (self.left - 40.0, self.top - 14.0),
                Lettering::new(LABEL),
                y_title,
            );
        });
    }

    /// A curve, cut to the plot.
    pub(crate) fn curve(&self, svg: &mut Svg, points: &[(f64, f64)], stroke: Stroke) {
        let (low, high) = self.y.ends();
        for part in cut(points, low, high) {
            let part: Vec<Point> = part.into_iter().map(|p| self.place(p)).collect();
            svg.polyline(&part, stroke);
        }
    }

    /// Labels right of the plot, each led to the height where its curve leaves it.
    pub(crate) fn labels_at_right(&self, svg: &mut Svg, labels: &[(f64, Vec<String>)]) {
        let wishes: Vec<Wish> = labels
            .iter()
            .map(|(value, lines)| Wish {
                place: self.y.place(*value).clamp(self.top, self.bottom),
                size: lines.len() as f64 * LABEL * LINE + 3.0,
            })
            .collect();
        let centres = spread(&wishes, self.top - 14.0, self.bottom + 14.0);
        svg.group("labels", |svg| {
            for (((_, lines), wish), centre) in labels.iter().zip(&wishes).zip(centres) {
                svg.polyline(
                    &[
                        (self.right + 3.0, wish.place),
                        (self.right + 8.0, wish.place),
                        (self.right + 20.0, centre),
                        (self.right + 25.0, centre),
                    ],
                    Stroke::solid(PALE, 0.8),
                );
                let mut y = centre - 0.5 * lines.len() as f64 * LABEL * LINE + 0.92 * LABEL;
                for (i, line) in lines.iter().enumerate() {
                    let lettering = if i == 0 {
                        Lettering::new(LABEL)
                    } else {
                        Lettering::new(REMARK).grey()
                    };
                    svg.text((self.right + 29.0, y), lettering, line);
                    y += LABEL * LINE;
                }
            }
        });
    }
}

/// A label for a curve inside the plot.
#[derive(Debug, Clone)]
pub(crate) struct CurveLabel {
    /// The curve that it belongs to, in parts.
    pub(crate) own: Vec<Vec<Point>>,
    /// Places on that curve that it may stand beside, best first.
    pub(crate) places: Vec<Point>,
    pub(crate) text: String,
}

/// Gaps between a curve and its label, tried in turn.
const GAPS: [f64; 7] = [6.0, 14.0, 22.0, 32.0, 50.0, 75.0, 105.0];
/// Sides of a place: share of the label's width left of it, and whether it stands above, beside or below.
const SIDES: [(f64, f64); 8] = [
    (0.5, -1.0),
    (0.5, 1.0),
    (0.0, -1.0),
    (0.0, 1.0),
    (1.0, -1.0),
    (1.0, 1.0),
    (0.0, 0.0),
    (1.0, 0.0),
];

/// Writes each label beside its curve where no curve and no other label runs through it and no other curve is nearer.
///
/// Of the places and sides offered the cheapest wins, the first of equals. `around` is everything to keep off.
pub(crate) fn labels_inside(
    svg: &mut Svg,
    plot: &Plot,
    around: &[Vec<Point>],
    labels: &[CurveLabel],
) {
    let mut taken: Vec<Room> = Vec::new();
    // Grows by the lines that lead from labels to their places: later labels keep off them too.
    let mut around = around.to_vec();
    for label in labels {
        let mut best: Option<(usize, Room, Point)> = None;
        for (rank, &place) in label.places.iter().enumerate() {
            for gap in GAPS {
                for side in SIDES {
                    let room = beside(place, side, gap, &label.text);
                    if room.left < plot.left + 4.0
                        || room.right > plot.right
                        || room.top < plot.top
                        || room.bottom > plot.bottom - 2.0
                    {
                        continue;
                    }
                    let near = nearest_of(room, place);
                    let through = taken
                        .iter()
                        .filter(|other| other.is_crossed_by(place, near))
                        .count();
                    let cost = cost(room, label, &around, labels, &taken)
                        + 400 * through
                        + rank
                        + (gap / 4.0) as usize;
                    if best.is_none_or(|(least, ..)| cost < least) {
                        best = Some((cost, room, place));
                    }
                }
            }
        }
        // A plot too small for any place still names its curve, at the curve's first place.
        let Some((_, room, anchor)) = best.or_else(|| {
            let place = *label.places.first()?;
            Some((0, beside(place, (0.0, 0.0), 6.0, &label.text), place))
        }) else {
            continue;
        };
        taken.push(room);
        let near = nearest_of(room, anchor);
        if (near.0 - anchor.0).hypot(near.1 - anchor.1) > 12.0 {
            svg.line(anchor, near, Stroke::solid(GREY, 0.6));
            around.push(vec![anchor, near]);
        }
        svg.group("label", |svg| {
            svg.text(
                (room.left, room.top + 0.95 * LABEL),
                Lettering::new(LABEL).rimmed(),
                &label.text,
            );
        });
    }
}

/// Where a line that leads from a place meets its label.
fn nearest_of(room: Room, (x, y): Point) -> Point {
    (
        x.clamp(room.left, room.right),
        y.clamp(room.top + 3.0, room.bottom - 1.0),
    )
}

/// The room of a label beside a place.
fn beside((x, y): Point, (share, vertical): (f64, f64), gap: f64, text: &str) -> Room {
    let (wide, tall) = (width(text, LABEL, Weight::Regular), LABEL * LINE);
    // Beside the place when neither above nor below it.
    let shift = if vertical == 0.0 { gap } else { 0.0 };
    let left = x - share * wide + shift * (1.0 - 2.0 * share);
    let top = match vertical {
        v if v < 0.0 => y - gap - tall,
        v if v > 0.0 => y + gap,
        _ => y - 0.5 * tall,
    };
    Room {
        left,
        top,
        right: left + wide,
        bottom: top + tall,
    }
}

fn cost(
    room: Room,
    label: &CurveLabel,
    around: &[Vec<Point>],
    labels: &[CurveLabel],
    taken: &[Room],
) -> usize {
    let wider = Room {
        left: room.left - 5.0,
        top: room.top - 1.0,
        right: room.right + 5.0,
        bottom: room.bottom + 1.0,
    };
    let crossed = |curves: &[Vec<Point>]| {
        curves
            .iter()
            .flat_map(|c| c.windows(2))
            .filter(|pair| wider.is_crossed_by(pair[0], pair[1]))
            .count()
    };
    let met = taken.iter().filter(|other| wider.meets(**other)).count();
    let own = nearest(room, &label.own);
    let mistaken = labels
        .iter()
        .filter(|other| other.text != label.text && nearest(room, &other.own) <= own + 4.0)
        .count();
    crossed(around) * 60 + crossed(&label.own) * 60 + met * 2000 + mistaken * 40
}

/// Distance from the middle of a label to the nearest point of a curve.
fn nearest(room: Room, curves: &[Vec<Point>]) -> f64 {
    let (x, y) = (
        0.5 * (room.left + room.right),
        0.5 * (room.top + room.bottom),
    );
    curves
        .iter()
        .flat_map(|c| c.windows(2))
        .map(|pair| {
            let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
            let (dx, dy) = (x2 - x1, y2 - y1);
            let square = dx * dx + dy * dy;
            let share = if square > 0.0 {
                (((x - x1) * dx + (y - y1) * dy) / square).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (x1 + share * dx - x).hypot(y1 + share * dy - y)
        })
        .fold(f64::INFINITY, f64::min)
}

/// A small tag with a rim in a corner, for a word that must not be missed.
pub(crate) fn tag(svg: &mut Svg, (right, top): Point, text: &str) {
    let lettering = Lettering::new(REMARK).bold();
    let wide = lettering.width(text) + 14.0;
    svg.rect(
        (right - wide, top),
        (right, top + 20.0),
        Some(PAPER),
        Some(Stroke::solid(INK, 0.9)),
    );
    svg.text((right - 0.5 * wide, top + 14.2), lettering.middle(), text);
}

/// A figure that has nothing to draw says why, and takes no more room than the words.
pub(crate) fn note(mut svg: Svg, lines: &[&str]) -> String {
    let pitch = LABEL * 1.5;
    let width = svg.shrink_to(2.0 * pitch + pitch * lines.len() as f64);
    for (i, line) in lines.iter().enumerate() {
        svg.text(
            (0.5 * width, pitch * (1.8 + i as f64)),
            Lettering::new(LABEL).middle(),
            line,
        );
    }
    svg.finish()
}
