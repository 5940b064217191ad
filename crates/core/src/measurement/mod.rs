//! The measurement side: what the cell sees, the range, the error map, the glass, compensation, test points.
//!
//! [`range_sheet`] and [`error_map_sheet`] make the two sheets. [`indicated_level`] and [`glass_level`] say what the
//! panel and the glass make of one true level at one of the conditions of [`condition`].

mod band;
mod best_range;
pub mod cell;
mod compensation;
pub mod condition;
pub mod elevation;
pub mod equalised;
mod error;
pub mod error_grid;
pub mod error_map;
mod error_map_findings;
mod extremum;
pub mod glass;
pub mod range;
mod range_findings;
pub mod sheets;
pub mod signal;
pub mod uncertainty;
mod workings;

pub use error::MeasurementError;
pub use error_map::error_map_sheet;
pub use range::range_sheet;

use crate::description::Loop;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};
use sheets::{Condition, Range};

/// What the panel says at a true level, not clipped by saturation (see [`signal::clipped`]); `None` where the cell is
/// blind: outside its taps.
///
/// # Errors
/// [`MeasurementError`] when the condition cannot be computed, or for a level that is NaN.
pub fn indicated_level(
    described: &Loop,
    range: Range,
    condition: &Condition,
    level: TrueLevel,
) -> Result<Option<IndicatedLevel>, MeasurementError> {
    let cell = condition::cell_at(described, condition)?;
    if !level.m().is_nan() && !cell.geometry.weighs(level.m()) {
        return Ok(None);
    }
    cell.indicated(range, described.range.span, level).map(Some)
}

/// What the glass shows at a true level; `None` without a glass, or where the water stands outside its visible length.
///
/// # Errors
/// [`MeasurementError`] when the condition cannot be computed.
pub fn glass_level(
    described: &Loop,
    condition: &Condition,
    level: TrueLevel,
) -> Result<Option<GlassLevel>, MeasurementError> {
    Ok(glass::GlassAt::of(described, condition)?.and_then(|glass| glass.shows(level)))
}
