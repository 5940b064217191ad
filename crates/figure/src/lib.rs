//! Numbers to SVG: every figure of a loop, the same on a page and in the printed pack.
//!
//! Start at [`svg`]. Drawn to be read without colour: what differs, differs in line style or in words as well. Text
//! stays text; nothing refers to anything outside the drawing; the same numbers give the same bytes.

mod chart;
mod draws;
mod elevation;
mod error_map;
mod frame;
mod glass_card;
mod hatch;
mod hook_up;
mod labels;
mod lettering;
mod level_map;
mod loop_drawing;
mod motion;
mod outline;
mod piping;
mod plant_test;
mod range_chart;
mod ruler;
mod scale;
mod supply_curve;
mod survey_outline;
mod svg;
mod symbols;
mod tuning_response;
mod tuning_window;
mod uncertainty_budget;
mod valve_choice;

pub use draws::draws;
pub use elevation::{ElevationDrawing, Layout, Part, elevation};
pub use motion::motion;
pub use plant_test::plant_test;
pub use survey_outline::{SurveyHeight, SurveyMark, SurveyShell, survey_outline};

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;

/// A figure of a loop as SVG text.
///
/// Sheets are drawn as they are; a figure that has nothing to show (no gauge glass, one pressure only) says so in words.
pub fn svg(id: FigureId, the_loop: &Loop, sheets: &Sheets, units: &DisplayUnits) -> String {
    match id {
        FigureId::LevelMap => level_map::draw(the_loop, sheets, units),
        FigureId::ErrorMap => error_map::draw(the_loop, sheets, units),
        FigureId::RangeChart => range_chart::draw(the_loop, sheets, units),
        FigureId::GlassCard => glass_card::draw(the_loop, sheets, units),
        FigureId::TuningResponse => tuning_response::draw(the_loop, sheets, units),
        FigureId::TuningWindow => tuning_window::draw(the_loop, sheets),
        FigureId::ValveChoice => valve_choice::draw(the_loop, sheets, units),
        FigureId::SupplyCurve => supply_curve::draw(the_loop, sheets, units),
        FigureId::UncertaintyBudget => uncertainty_budget::draw(the_loop, sheets, units),
        FigureId::LoopDrawing => loop_drawing::draw(the_loop, sheets, units),
        FigureId::HookUp => hook_up::draw(the_loop, sheets, units),
    }
}

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod level_map_tests;
#[cfg(test)]
mod loop_drawing_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod water_figures_tests;
