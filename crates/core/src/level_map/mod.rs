//! Every elevation on one ruler, in the three levels.
//!
//! The ruler runs past both taps, from the bottom of the shell to its top; where the cell is blind the map says so.

mod findings;
mod marks;

use crate::description::Loop;
use crate::finding::Finding;
use crate::measurement::MeasurementError;
use crate::measurement::sheets::RangeSheet;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};

/// Rounding of unit conversion, m: marks 1 in apart are 1 in apart.
const ROUNDING_M: f64 = 1e-9;

/// What a mark is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// Pressure tap.
    Tap,
    /// Condensate-pot lip.
    PotLip,
    /// End of the visible glass.
    Glass,
    /// Set point.
    SetPoint,
    /// Alarm.
    Alarm,
    /// Trip or cutoff.
    Trip,
    /// Highest heated surface.
    HeatedSurface,
    /// End of the shell.
    Shell,
    /// Overflow.
    Overflow,
}

/// Which side the cell is blind on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blind {
    /// Above the upper tap.
    Above,
    /// Below the lower tap.
    Below,
}

/// One elevation.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMark {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: MarkKind,
    /// Where it is.
    pub true_level: TrueLevel,
    /// What the panel says with water there, at normal pressure, clipped where the signal saturates; `None` where the
    /// cell is blind.
    pub indicated_hot: Option<IndicatedLevel>,
    /// The same, cold at start-up.
    pub indicated_cold: Option<IndicatedLevel>,
    /// Where the glass stands with water there, at normal pressure; `None` outside its visible length.
    pub glass_hot: Option<GlassLevel>,
    /// The same, cold.
    pub glass_cold: Option<GlassLevel>,
    /// Is the cell blind there.
    pub blind: Option<Blind>,
}

/// Distance between two neighbouring marks of set point, alarms, trips, heated surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Separation {
    /// Upper mark.
    pub upper: String,
    /// Lower mark.
    pub lower: String,
    /// Distance, m.
    pub distance_m: f64,
    /// Meets the smallest separation wanted.
    pub enough: bool,
}

/// The level map.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMapSheet {
    /// Marks, highest first.
    pub marks: Vec<LevelMark>,
    /// Separations, highest first.
    pub separations: Vec<Separation>,
    /// Inside bottom of the shell, m above the lower tap (negative).
    pub shell_bottom_m: f64,
    /// Inside top of the shell, m above the lower tap.
    pub shell_top_m: f64,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// The level map of a loop with its chosen range.
///
/// # Errors
/// [`MeasurementError`] where a condition of the vessel has no densities or the range no span.
pub fn level_map_sheet(
    described: &Loop,
    range: &RangeSheet,
) -> Result<LevelMapSheet, MeasurementError> {
    let marks = marks::marks(described, &range.normal, range.chosen)?;
    Ok(assemble(described, marks))
}

fn assemble(described: &Loop, marks: Vec<LevelMark>) -> LevelMapSheet {
    let (shell_bottom_m, shell_top_m) = marks::shell_ends_m(described);
    let separations = separations(described, &marks);
    let findings = findings::findings(described, &marks, &separations);
    LevelMapSheet {
        marks,
        separations,
        shell_bottom_m,
        shell_top_m,
        findings,
    }
}

/// Distances between neighbours among set point, alarms, trips and the heated surface, highest first.
fn separations(described: &Loop, marks: &[LevelMark]) -> Vec<Separation> {
    let kept: Vec<&LevelMark> = marks
        .iter()
        .filter(|mark| {
            matches!(
                mark.kind,
                MarkKind::SetPoint | MarkKind::Alarm | MarkKind::Trip | MarkKind::HeatedSurface
            )
        })
        .collect();
    kept.windows(2)
        .map(|pair| {
            let distance_m = pair[0].true_level.m() - pair[1].true_level.m();
            Separation {
                upper: pair[0].name.clone(),
                lower: pair[1].name.clone(),
                distance_m,
                enough: distance_m >= described.limits.smallest_separation_m - ROUNDING_M,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests;
