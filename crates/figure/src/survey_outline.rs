//! The outline of a survey under way: shell, taps, pot, legs, glass and the levels that the loop acts at, to scale on one
//! ruler, drawn from heights alone. It needs no design, so it follows while heights are typed that do not go together yet.
//!
//! What was answered is written in ink; what is still an invented example in grey, with a question mark.

use std::f64::consts::PI;

use halfglass_report::units::DisplayUnits;

use crate::hatch::Slant;
use crate::labels::{Wish, spread};
use crate::piping::{self, CELL_RADIUS, Filling, POT};
use crate::ruler;
use crate::scale::Scale;
use crate::svg::{GREY, INK, Lettering, PALE, PAPER, Point, Stroke, Svg, TRIP, WATER, WATER_LINE};
use crate::symbols;

const WIDTH: f64 = 500.0;
const TOP: f64 = 52.0;
/// Room for the heights, at most and at least.
const TALL: (f64, f64) = (470.0, 320.0);
/// Below the lowest height: the footer.
const FOOT: f64 = 52.0;
const LEFT: f64 = 8.0;
const WALL: f64 = 172.0;
const GLASS_X: f64 = 195.0;
const WORKING_X: f64 = 218.0;
const REFERENCE_X: f64 = 245.0;
const RULER: f64 = 302.0;
const NAMES: f64 = 322.0;
const TEXT: f64 = 15.0;
const ROW: f64 = 19.0;

/// What a height of the survey belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SurveyMark {
    /// The lower tap, from which all heights count.
    LowerTap,
    /// The upper tap.
    UpperTap,
    /// Lip of the condensate pot, top of the reference leg.
    PotLip,
    /// The highest heated surface.
    HeatedSurface,
    /// Lower connection of the gauge glass.
    GlassConnection,
    /// Lowest level that the glass shows.
    GlassBottom,
    /// Highest level that the glass shows.
    GlassTop,
    /// The cell.
    Cell,
    /// Level at 100 percent, of an open vessel.
    RangeTop,
    /// The set point.
    SetPoint,
    /// An alarm.
    Alarm,
    /// A low-water cutoff or a high trip.
    Trip,
}

/// A height as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurveyHeight {
    /// What is there.
    pub mark: SurveyMark,
    /// Its name beside the ruler.
    pub words: &'static str,
    /// Height above the lower tap.
    pub at_m: f64,
    /// Answered, not an invented example.
    pub is_answered: bool,
}

/// The shell as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurveyShell {
    /// The shell lies: its section is round.
    pub lies: bool,
    /// Inside diameter.
    pub diameter_m: f64,
    /// Straight length between its heads, which are not drawn.
    pub length_m: f64,
    /// Lower tap above the inside bottom.
    pub lower_tap_above_bottom_m: f64,
}

impl SurveyShell {
    fn ends_m(&self) -> (f64, f64) {
        let bottom = -self.lower_tap_above_bottom_m;
        let high = if self.lies {
            self.diameter_m
        } else {
            self.length_m
        };
        (bottom, bottom + high)
    }

    /// Half the width at a height; nothing beyond the ends.
    fn half_m(&self, at_m: f64) -> f64 {
        let (bottom, top) = self.ends_m();
        if !(bottom..=top).contains(&at_m) {
            return 0.0;
        }
        if self.lies {
            ((at_m - bottom) * (top - at_m)).max(0.0).sqrt()
        } else {
            0.5 * self.diameter_m
        }
    }
}

struct Sketch<'a> {
    shell: &'a SurveyShell,
    heights: &'a [SurveyHeight],
    y: Scale,
    per_m: f64,
    axis_x: f64,
    /// Both sides of the axis have room.
    whole: bool,
}

impl Sketch<'_> {
    fn at_m(&self, mark: SurveyMark) -> Option<f64> {
        let mut heights = self.heights.iter();
        heights.find(|h| h.mark == mark).map(|h| h.at_m)
    }

    fn wall_x(&self, at_m: f64) -> f64 {
        self.axis_x + self.per_m * self.shell.half_m(at_m)
    }

    /// The left side at a height: the axis, where the other side has no room.
    fn left_x(&self, at_m: f64) -> f64 {
        if self.whole {
            2.0 * self.axis_x - self.wall_x(at_m)
        } else {
            self.axis_x
        }
    }

    /// A line across the shell, long enough to be seen where the height is beyond it.
    fn across(&self, at_m: f64) -> (Point, Point) {
        let (left, at) = (self.left_x(at_m), self.y.place(at_m));
        ((left, at), (self.wall_x(at_m).max(left + 30.0), at))
    }

    /// Right side up, left side down.
    fn side(&self, from_m: f64, to_m: f64) -> Vec<Point> {
        const STEPS: u32 = 40;
        // Closer at both ends, where a round shell turns fastest.
        let heights = || {
            (0..=STEPS).map(|step| {
                let turn = PI * f64::from(step) / f64::from(STEPS);
                from_m + (to_m - from_m) * 0.5 * (1.0 - turn.cos())
            })
        };
        let right = heights().map(|at| (self.wall_x(at), self.y.place(at)));
        let left = heights()
            .rev()
            .map(|at| (self.left_x(at), self.y.place(at)));
        right.chain(left).collect()
    }
}

/// The outline as SVG.
pub fn survey_outline(
    shell: &SurveyShell,
    heights: &[SurveyHeight],
    units: &DisplayUnits,
) -> String {
    let (bottom_m, top_m) = shell.ends_m();
    // The cell may hang far below: it is drawn at the foot, its legs broken.
    let scaled = heights
        .iter()
        .filter(|h| h.mark != SurveyMark::Cell)
        .map(|h| h.at_m);
    let (low, high) = scaled
        .chain([bottom_m, top_m, 0.0])
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
            (low.min(at), high.max(at))
        });
    let room = 0.02 * (high - low).max(1e-3);
    let (low, high) = (low - room, high + room);
    let radius_m = (0.5 * shell.diameter_m).max(1e-6);
    let per_m = (TALL.0 / (high - low)).min((WALL - LEFT) / radius_m);
    let foot = TOP + per_m * (high - low);
    let sketch = Sketch {
        shell,
        heights,
        y: Scale::new((high, low), (TOP, foot)),
        per_m,
        axis_x: WALL - per_m * radius_m,
        whole: 2.0 * per_m * radius_m <= WALL - LEFT,
    };
    let cell = heights.iter().find(|h| h.mark == SurveyMark::Cell);
    let cell_y = cell.map(|h| sketch.y.place(h.at_m).min(foot + CELL_RADIUS + 6.0));
    let bottom = foot
        .max(TOP + TALL.1)
        .max(cell_y.map_or(foot, |y| y + CELL_RADIUS + 4.0));
    let mut svg = Svg::new(
        "survey-outline",
        (WIDTH, bottom + FOOT),
        "The survey so far, to scale",
        said(heights, units),
    );
    draw_shell(&mut svg, &sketch);
    glass(&mut svg, &sketch);
    if let (Some(height), Some(y)) = (cell, cell_y) {
        legs_and_cell(&mut svg, &sketch, height.at_m, y);
    }
    ruler::draw(&mut svg, RULER, &sketch.y, units, 12.5);
    names(&mut svg, &sketch, units, bottom);
    for (row, words) in [
        "To scale, heads of the shell left out. Heights above the lower tap.",
        "Grey with ?: an invented example, not surveyed yet.",
    ]
    .into_iter()
    .enumerate()
    {
        let lettering = symbols::fitted(Lettering::new(13.5).grey(), words, WIDTH - 2.0 * LEFT);
        svg.text((LEFT, bottom + 24.0 + 18.0 * row as f64), lettering, words);
    }
    svg.finish()
}

fn said(heights: &[SurveyHeight], units: &DisplayUnits) -> String {
    let heights = heights.iter().map(|height| {
        let invented = if height.is_answered {
            ""
        } else {
            ", an example"
        };
        format!(
            "{} {}{invented}",
            height.words,
            units.level_text(height.at_m)
        )
    });
    heights.collect::<Vec<_>>().join("; ")
}

fn draw_shell(svg: &mut Svg, sketch: &Sketch<'_>) {
    let (bottom, top) = sketch.shell.ends_m();
    let y = &sketch.y;
    svg.group("vessel", |svg| {
        if let Some(level) = sketch.at_m(SurveyMark::SetPoint) {
            let level = level.min(top);
            if level > bottom {
                svg.polygon(&sketch.side(bottom, level), Some(WATER), None);
            }
        }
        if let Some(heated) = sketch.at_m(SurveyMark::HeatedSurface) {
            let at = y.place(heated);
            let (from, to) = sketch.across(heated);
            let band = [from, to, (to.0, at + 10.0), (from.0, at + 10.0)];
            svg.hatch(&band, Slant::Rising, 6.0, Stroke::solid(GREY, 0.7));
            svg.line(from, to, Stroke::solid(INK, 1.6));
        }
        let side = sketch.side(bottom, top);
        let wall = Stroke::solid(INK, 2.4);
        if sketch.whole {
            svg.polygon(&side, None, Some(wall));
        } else {
            // The wall's own points are the first half; the axis is where the drawing is cut.
            let axis = |at_m: f64| (sketch.axis_x, y.place(at_m));
            let mut points = vec![axis(bottom)];
            points.extend_from_slice(&side[..side.len() / 2]);
            points.push(axis(top));
            svg.polyline(&points, wall);
            let (above, below) = (axis(top).1 - 10.0, axis(bottom).1 + 10.0);
            svg.line(
                (sketch.axis_x, above),
                (sketch.axis_x, below),
                Stroke::dashed(INK, 0.8, "14 3 2 3"),
            );
        }
        for height in sketch.heights {
            let stroke = match height.mark {
                SurveyMark::SetPoint => Stroke::solid(WATER_LINE, 2.0),
                SurveyMark::Alarm => Stroke::dashed(GREY, 1.2, "5 3"),
                SurveyMark::Trip => Stroke::dashed(TRIP, 1.4, "9 3 2 3"),
                _ => continue,
            };
            let (from, to) = sketch.across(height.at_m);
            svg.line(from, to, stroke);
        }
    });
}

fn glass(svg: &mut Svg, sketch: &Sketch<'_>) {
    let (Some(bottom), Some(top)) = (
        sketch.at_m(SurveyMark::GlassBottom),
        sketch.at_m(SurveyMark::GlassTop),
    ) else {
        return;
    };
    let y = &sketch.y;
    svg.group("glass", |svg| {
        if let Some(lower) = sketch.at_m(SurveyMark::GlassConnection) {
            let at = y.place(lower);
            let points = [
                (sketch.wall_x(lower) - 1.0, at),
                (GLASS_X, at),
                (GLASS_X, y.place(bottom)),
            ];
            piping::pipe(svg, &points, Filling::Water);
        }
        let (high, low) = (y.place(bottom.max(top)), y.place(bottom.min(top)));
        svg.rect(
            (GLASS_X - 6.0, high),
            (GLASS_X + 6.0, low),
            Some(PAPER),
            Some(Stroke::solid(INK, 2.4)),
        );
    });
}

fn legs_and_cell(svg: &mut Svg, sketch: &Sketch<'_>, cell_m: f64, cell_y: f64) {
    let y = &sketch.y;
    let cell_x = 0.5 * (WORKING_X + REFERENCE_X);
    svg.group("legs", |svg| {
        let lower = y.place(0.0);
        let working = [
            (sketch.wall_x(0.0) - 1.0, lower),
            (WORKING_X, lower),
            (WORKING_X, cell_y),
            (cell_x, cell_y),
        ];
        piping::pipe(svg, &working, Filling::Water);
        let reference = sketch.at_m(SurveyMark::PotLip);
        if let Some(lip) = reference {
            let lip_y = y.place(lip);
            if let Some(upper) = sketch.at_m(SurveyMark::UpperTap) {
                let at = y.place(upper);
                let points = [
                    (sketch.wall_x(upper) - 1.0, at),
                    (REFERENCE_X, at),
                    (REFERENCE_X, lip_y),
                ];
                piping::pipe(svg, &points, Filling::Gas);
            }
            let points = [
                (REFERENCE_X, lip_y),
                (REFERENCE_X, cell_y),
                (cell_x, cell_y),
            ];
            piping::pipe(svg, &points, Filling::Water);
            svg.rect(
                (REFERENCE_X - POT.0, lip_y - POT.1),
                (REFERENCE_X + POT.0, lip_y + POT.1),
                Some(PAPER),
                Some(Stroke::solid(INK, 1.6)),
            );
            svg.line(
                (REFERENCE_X - POT.0, lip_y),
                (REFERENCE_X + POT.0, lip_y),
                Stroke::solid(WATER_LINE, 1.6),
            );
        }
        // Deeper than the ruler goes.
        if cell_y + 1.0 < y.place(cell_m) {
            let at = cell_y - CELL_RADIUS - 12.0;
            piping::leg_break(svg, (WORKING_X, at));
            if reference.is_some() {
                piping::leg_break(svg, (REFERENCE_X, at));
            }
        }
        let at = (cell_x, cell_y);
        svg.circle(at, CELL_RADIUS, Some(PAPER), Stroke::solid(INK, 1.6));
        let lettering = Lettering::new(TEXT).bold().middle();
        svg.text((cell_x, cell_y + 5.0), lettering, "LT");
    });
}

fn names(svg: &mut Svg, sketch: &Sketch<'_>, units: &DisplayUnits, bottom: f64) {
    let mut heights: Vec<&SurveyHeight> = sketch.heights.iter().collect();
    // From above: of two at one height the one asked first stands first.
    heights.sort_by(|a, b| b.at_m.total_cmp(&a.at_m));
    let wishes: Vec<Wish> = heights
        .iter()
        .map(|height| Wish {
            place: sketch.y.place(height.at_m).min(bottom - 0.5 * ROW),
            size: ROW,
        })
        .collect();
    let rows = spread(&wishes, TOP - ROW, bottom + 4.0);
    for ((height, wish), row) in heights.iter().zip(&wishes).zip(rows) {
        let (from, to) = (RULER + 2.0, NAMES - 4.0);
        let leader = if height.is_answered { GREY } else { PALE };
        let points = [(from, wish.place), (to - 6.0, row), (to, row)];
        svg.polyline(&points, Stroke::solid(leader, 0.9));
        let lettering = match (height.is_answered, height.mark) {
            (false, _) => Lettering::new(TEXT).grey(),
            (true, SurveyMark::Trip) => Lettering::new(TEXT).bold().colour(TRIP),
            (true, _) => Lettering::new(TEXT).bold(),
        };
        let doubt = if height.is_answered { "" } else { " ?" };
        let value = format!("{}{doubt}", units.level_text(height.at_m));
        let baseline = row + 0.34 * TEXT;
        svg.text((WIDTH - 4.0, baseline), lettering.end(), &value);
        let room = WIDTH - 12.0 - lettering.width(&value) - NAMES;
        let name = symbols::fitted(lettering, height.words, room);
        svg.text((NAMES, baseline), name, height.words);
    }
}

#[cfg(test)]
#[path = "survey_outline_tests.rs"]
mod tests;
