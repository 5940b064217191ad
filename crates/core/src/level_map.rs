//! Every elevation on one ruler, in the three levels.

use crate::finding::Finding;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};

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
    /// What the panel says with water there, at normal pressure; `None` where the cell is blind.
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
