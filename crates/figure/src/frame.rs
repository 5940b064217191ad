//! The level map's layout in height: one scale for vessel, legs and ruler, as large as the page lets it be.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;

use crate::outline::widest_half_m;
use crate::piping::{CELL_RADIUS, CellPlace, POT};
use crate::scale::Scale;

/// Upper end of the drawing.
const TOP: f64 = 78.0;
/// Tallest that the drawing may get; a lying shell is as wide as there is room for and less tall.
const TALLEST: f64 = 600.0;
/// Left end of the drawing.
pub(crate) const LEFT: f64 = 26.0;
/// Widest part of the shell ends here.
pub(crate) const WALL: f64 = 268.0;
/// Height of a row of labels.
pub(crate) const ROW: f64 = 17.0;

/// How the drawing is laid out in height.
pub(crate) struct Frame {
    /// Heights above the lower tap, m, to places.
    pub(crate) y: Scale,
    /// Units a metre, the same up and across.
    pub(crate) per_m: f64,
    /// Where the cell stands, and whether the legs down to it are broken because it is far below.
    pub(crate) cell: CellPlace,
    /// Where the drawing ends.
    pub(crate) bottom: f64,
}

/// A cell farther below the vessel than this share of the vessel's height would leave no vessel to see.
const FAR_BELOW: f64 = 0.4;
/// Length of broken legs below the ruler.
const BROKEN: f64 = 74.0;

/// Room for a drawing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Space {
    /// Upper end.
    pub(crate) top: f64,
    /// Tallest that it may get.
    pub(crate) tallest: f64,
    /// Widest that half the vessel may get; what is wider is cut off.
    pub(crate) across: f64,
    /// Height that its labels need.
    pub(crate) labels: f64,
}

/// The frame that shows the whole vessel, and the legs down to the cell where they leave the vessel room.
pub(crate) fn frame(described: &Loop, sheets: &Sheets) -> Frame {
    let space = Space {
        top: TOP,
        tallest: TALLEST,
        across: WALL - LEFT,
        labels: sheets.level_map.marks.len() as f64 * ROW,
    };
    frame_in(described, sheets, space)
}

/// The frame that shows the vessel in so much room.
pub(crate) fn frame_in(described: &Loop, sheets: &Sheets, space: Space) -> Frame {
    let mut low = sheets.level_map.shell_bottom_m;
    let mut high = sheets.level_map.shell_top_m;
    for mark in &sheets.level_map.marks {
        low = low.min(mark.true_level.m());
        high = high.max(mark.true_level.m());
    }
    let cell_m = -described.cell.below_lower_tap_m;
    let broken = low - cell_m > FAR_BELOW * (high - low);
    if !broken {
        low = low.min(cell_m);
    }
    let extent = (high - low).max(1e-3);
    // Above and below the outermost heights pot, circle and words need room that does not scale.
    let under_cell = CELL_RADIUS + 20.0;
    let (above, below) = (
        POT.0 + 3.0,
        if broken {
            BROKEN + under_cell
        } else {
            under_cell
        },
    );
    let most = (space.tallest - above - below) / extent;
    let per_m = most.min(space.across / widest_half_m(&described.vessel));
    let height = (per_m * extent + above + below).max(space.labels);
    let top = space.top + above + 0.5 * (height - above - below - per_m * extent);
    let y = Scale::new((high, low), (top, top + per_m * extent));
    let cell = CellPlace {
        y: if broken {
            y.place(low) + BROKEN
        } else {
            y.place(cell_m)
        },
        broken,
    };
    Frame {
        y,
        per_m,
        cell,
        bottom: space.top + height,
    }
}
