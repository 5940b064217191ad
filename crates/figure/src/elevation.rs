//! The elevation: the loop as a drawing that a page's script moves. Vessel, taps, pot, legs, cell and glass to scale on one
//! ruler, and three lanes beside it in which TRUE, PANEL and GLASS stand at their own heights.
//!
//! One lane a level: however near to each other they stand, none hides another. A wide drawing, and a narrow one for a
//! phone that cuts the vessel off and names the marks in it.

mod live;
mod names;
mod valve;

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_core::measurement::elevation::ElevationReading;
use halfglass_report::elevation::Said;
use halfglass_report::units::DisplayUnits;

use crate::frame::{Frame, ROW, Space, frame_in};
use crate::level_map::{furnace, is_guide};
use crate::outline::Outline;
use crate::piping::{self, CELL_RADIUS, POT, Places};
use crate::ruler;
use crate::scale::Scale;
use crate::svg::{INK, Lettering, PALE, Point, Stroke, Svg};
use crate::symbols;

/// Room for a finger, in units of the drawing: 44 px where the drawing is shown a tenth smaller.
const FINGER: f64 = 50.0;

/// Which of the two drawings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// For a tablet and wider.
    Wide,
    /// For a phone.
    Narrow,
}

/// A part that leads to a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Shell and heated surface.
    Vessel,
    /// Taps, pot and legs.
    Legs,
    /// The cell.
    Cell,
    /// The glass.
    Glass,
    /// Set point, alarms and trips.
    Marks,
    /// The feedwater valve.
    Valve,
}

impl Part {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Vessel,
        Self::Legs,
        Self::Cell,
        Self::Glass,
        Self::Marks,
        Self::Valve,
    ];

    /// Its sheet.
    pub const fn sheet(self) -> &'static str {
        match self {
            Part::Vessel => "survey",
            Part::Legs => "error-map",
            Part::Cell => "range",
            Part::Glass => "glass",
            Part::Marks => "level-map",
            Part::Valve => "feedwater",
        }
    }

    /// What it is and where it leads.
    pub const fn words(self) -> &'static str {
        match self {
            Part::Vessel => "Vessel: the survey",
            Part::Legs => "Taps, pot and legs: the error map",
            Part::Cell => "Cell: its range",
            Part::Glass => "Glass: its sheet",
            Part::Marks => "Set point, alarms and trips: the level map",
            Part::Valve => "Feedwater valve: its sheet",
        }
    }
}

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct ElevationDrawing<'a> {
    /// The loop.
    pub described: &'a Loop,
    /// Its sheets.
    pub sheets: &'a Sheets,
    /// Units of the ruler.
    pub units: &'a DisplayUnits,
    /// Levels and condition.
    pub reading: &'a ElevationReading,
    /// The same in words.
    pub said: &'a Said,
    /// Address of the loop's sheets, with the slash at its end.
    pub sheets_address: &'a str,
}

/// Where things stand across the drawing.
#[derive(Debug, Clone, Copy)]
struct Across {
    width: f64,
    left: f64,
    wall: f64,
    places: Places,
    ruler: f64,
    /// Left ends of the lanes TRUE, PANEL, GLASS, and the right end of the last.
    lanes: [f64; 4],
    /// Where the names of the marks begin; `None`: in the vessel.
    names: Option<f64>,
    top: f64,
    tallest: f64,
    /// Size of the ruler's numbers.
    ticks: f64,
}

impl Layout {
    const fn stem(self) -> &'static str {
        match self {
            Layout::Wide => "elevation",
            Layout::Narrow => "elevation-narrow",
        }
    }

    const fn across(self) -> Across {
        match self {
            Layout::Wide => Across {
                width: 1000.0,
                left: 26.0,
                wall: 250.0,
                places: Places {
                    glass_x: 284.0,
                    working_x: 332.0,
                    reference_x: 384.0,
                },
                ruler: 448.0,
                lanes: [468.0, 576.0, 684.0, 792.0],
                names: Some(806.0),
                top: 78.0,
                tallest: 640.0,
                ticks: 15.0,
            },
            Layout::Narrow => Across {
                width: 360.0,
                left: 3.0,
                wall: 78.0,
                places: Places {
                    glass_x: 97.0,
                    working_x: 119.0,
                    reference_x: 157.0,
                },
                ruler: 199.0,
                lanes: [204.0, 256.0, 308.0, 360.0],
                names: None,
                top: 40.0,
                tallest: 470.0,
                ticks: 12.0,
            },
        }
    }
}

/// What every part of the drawing needs.
struct Sketch<'a> {
    of: &'a ElevationDrawing<'a>,
    across: Across,
    frame: Frame,
    outline: Outline,
    layout: Layout,
}

impl Sketch<'_> {
    const fn y(&self) -> &Scale {
        &self.frame.y
    }

    fn address(&self, part: Part) -> String {
        format!("{}{}", self.of.sheets_address, part.sheet())
    }

    fn link(&self, svg: &mut Svg, part: Part, from: Point, to: Point) {
        // At least a finger wide and high, around its own middle.
        let grown = |a: f64, b: f64| {
            let short = (0.5 * (FINGER - (b - a))).max(0.0);
            (a - short, b + short)
        };
        let ((x1, x2), (y1, y2)) = (grown(from.0, to.0), grown(from.1, to.1));
        svg.link(&self.address(part), part.words(), |svg| {
            svg.touch("hit", (x1.max(0.0), y1), (x2, y2));
        });
    }
}

/// The elevation as SVG, as it stands at a reading.
pub fn elevation(of: &ElevationDrawing<'_>, layout: Layout) -> String {
    let across = layout.across();
    let (described, sheets) = (of.described, of.sheets);
    let guides = sheets
        .level_map
        .marks
        .iter()
        .filter(|m| is_guide(m.kind))
        .count();
    let space = Space {
        top: across.top,
        tallest: across.tallest,
        across: match layout {
            Layout::Wide => across.wall - across.left,
            Layout::Narrow => f64::INFINITY,
        },
        labels: guides as f64 * ROW * 1.3,
    };
    let frame = frame_in(described, sheets, space);
    let outline = Outline::new(
        &described.vessel,
        frame.per_m,
        across.wall,
        across.wall - across.left,
    );
    let bottom = frame.bottom.max(frame.cell.y + CELL_RADIUS + 22.0);
    let foot = match layout {
        Layout::Wide => 16.0,
        Layout::Narrow => 12.0,
    };
    let mut svg = Svg::new(
        layout.stem(),
        (across.width, bottom + foot),
        format!("Elevation of {}", described.identity.tag),
        format!(
            "Vessel, taps, legs, cell and glass to scale on one ruler. TRUE, the vessel's level, {}; PANEL {}; GLASS {}",
            of.said.value("true"),
            of.said.value("panel"),
            of.said.value("glass")
        ),
    );
    let sketch = Sketch {
        of,
        across,
        frame,
        outline,
        layout,
    };
    draw(&mut svg, &sketch);
    svg.finish_as("group")
}

fn draw(svg: &mut Svg, sketch: &Sketch<'_>) {
    let ElevationDrawing {
        described,
        sheets,
        units,
        ..
    } = *sketch.of;
    let (y, outline, across) = (sketch.y(), &sketch.outline, &sketch.across);
    let shape = outline.shape(y, outline.bottom_m, outline.top_m, 0.0);
    // What a narrow drawing cuts off is cut off everywhere.
    let end = sketch.frame.bottom + 60.0;
    let window = [
        (across.left, 0.0),
        (across.width, 0.0),
        (across.width, end),
        (across.left, end),
    ];
    let numbers = live::numbers(sketch);
    let mut lowest = 0.0;
    svg.live(&numbers, |svg| {
        svg.cut("window", &window, |svg| {
            svg.cut("vessel", &shape, |svg| live::water(svg, sketch));
            let is_named = sketch.layout == Layout::Wide;
            furnace(svg, described, sheets, outline, y, is_named);
            svg.polyline(&outline.wall(y), Stroke::solid(INK, 3.0));
            cut_edge(svg, sketch);
            names::lines(svg, sketch);
            piping::legs_and_cell(
                svg,
                described,
                outline,
                y,
                across.places,
                sketch.frame.cell,
                units,
            );
            if let Some(glass) = &described.glass {
                let x = across.places.glass_x;
                let (bottom, top) = piping::empty_glass(svg, glass, outline, y, x);
                live::glass_water(svg, sketch, x, (top, bottom));
            }
        });
        ruler::draw(svg, across.ruler, y, units, across.ticks);
        if sketch.layout == Layout::Wide {
            ruler::blind_bands(svg, across.ruler, described, y);
        }
        lowest = names::names(svg, sketch);
        live::lanes(svg, sketch);
        live::touch(svg, sketch);
    });
    links(svg, sketch);
    valve::sign(svg, sketch, lowest);
}

/// The edge where a vessel is cut: its centre line, or the edge of a narrow drawing.
fn cut_edge(svg: &mut Svg, sketch: &Sketch<'_>) {
    let outline = &sketch.outline;
    if outline.whole {
        return;
    }
    let (top, bottom) = (
        sketch.y().place(outline.top_m),
        sketch.y().place(outline.bottom_m),
    );
    let x = outline.axis_x.max(sketch.across.left);
    if outline.axis_x < sketch.across.left {
        svg.line((x, top), (x, bottom), Stroke::dashed(PALE, 2.0, "2 4"));
    } else {
        svg.line(
            (x, top - 12.0),
            (x, bottom + 12.0),
            Stroke::dashed(INK, 0.8, "14 3 2 3"),
        );
    }
}

fn links(svg: &mut Svg, sketch: &Sketch<'_>) {
    let described = sketch.of.described;
    let (y, across, places) = (sketch.y(), &sketch.across, sketch.across.places);
    let cell_y = sketch.frame.cell.y;
    vessel_link(svg, sketch);
    let top_m = match &described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => *pot_lip_m,
        ReferenceLeg::Sealed { upper_seal_m, .. } => *upper_seal_m,
        ReferenceLeg::Dry { .. } => described.elevations.upper_tap_m.unwrap_or(0.0),
        ReferenceLeg::None => 0.0,
    };
    let legs_top = (y.place(top_m) - POT.0).min(cell_y - CELL_RADIUS - FINGER);
    let cell_x = 0.5 * (places.working_x + places.reference_x);
    sketch.link(
        svg,
        Part::Legs,
        (places.working_x - 8.0, legs_top),
        (places.reference_x + 16.0, cell_y - CELL_RADIUS - 6.0),
    );
    sketch.link(
        svg,
        Part::Cell,
        (cell_x - CELL_RADIUS, cell_y - CELL_RADIUS),
        (cell_x + CELL_RADIUS, cell_y + CELL_RADIUS + 10.0),
    );
    if let Some(glass) = &described.glass {
        // Beside the legs: no wider than there is room between vessel and working leg.
        let right = (places.glass_x + 0.5 * FINGER).min(places.working_x - 8.0);
        svg.link(&sketch.address(Part::Glass), Part::Glass.words(), |svg| {
            svg.touch(
                "hit",
                (right - FINGER, y.place(glass.visible_top_m) - 10.0),
                (right, y.place(glass.visible_bottom_m) + 10.0),
            );
        });
    }
    if let Some(x) = across.names {
        sketch.link(
            svg,
            Part::Marks,
            (x, 8.0),
            (across.width - 6.0, 8.0 + FINGER),
        );
    }
}

/// The vessel's own link: its tag above it, and on a wide drawing the valve below.
fn vessel_link(svg: &mut Svg, sketch: &Sketch<'_>) {
    let described = sketch.of.described;
    let left = sketch.across.left;
    match sketch.layout {
        Layout::Wide => {
            svg.text(
                (left, 26.0),
                Lettering::new(18.0).bold(),
                &described.identity.tag,
            );
            let service = Lettering::new(16.0).grey();
            let service = symbols::fitted(service, &described.identity.service, 380.0);
            svg.text((left, 46.0), service, &described.identity.service);
            // Over the words, not around them: the link's name is its own.
            svg.link(&sketch.address(Part::Vessel), Part::Vessel.words(), |svg| {
                svg.touch("hit", (left - 6.0, 4.0), (sketch.across.wall, 58.0));
            });
        }
        Layout::Narrow => {
            sketch.link(
                svg,
                Part::Vessel,
                (left, 0.0),
                (sketch.across.wall, sketch.across.top - 8.0),
            );
            svg.text((left + 2.0, 17.0), Lettering::new(13.5).bold(), "vessel");
        }
    }
}

#[cfg(test)]
mod tests;
