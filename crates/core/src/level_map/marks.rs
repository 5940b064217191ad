//! The marks, and what cell and glass say with water at each.

use super::{Blind, LevelMark, MarkKind};
use crate::description::{Loop, ReferenceLeg};
use crate::measurement::MeasurementError;
use crate::measurement::cell::CellAt;
use crate::measurement::condition::{cell_at, start_up};
use crate::measurement::glass::GlassAt;
use crate::measurement::sheets::{Condition, Range};
use crate::measurement::signal;
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};

pub(super) const SET_POINT: &str = "set point";
pub(super) const LOW_ALARM: &str = "low alarm";
pub(super) const HIGH_ALARM: &str = "high alarm";
pub(super) const HIGH_TRIP: &str = "high trip";
pub(super) const HEATED_SURFACE: &str = "highest heated surface";
pub(super) const GLASS_BOTTOM: &str = "lowest visible in the glass";

/// Inside bottom and top of the shell, m above the lower tap.
pub(super) fn shell_ends_m(described: &Loop) -> (f64, f64) {
    let vessel = &described.vessel;
    let bottom_m = -vessel.lower_tap_above_bottom_m;
    (bottom_m, bottom_m + vessel.shell.height_m())
}

/// Elevations with their names, in the order in which marks at one height are listed.
fn elevations(described: &Loop) -> Vec<(&'static str, MarkKind, f64)> {
    let kind = described.vessel.kind;
    let (limits, places) = (&described.limits, &described.elevations);
    let (shell_bottom_m, shell_top_m) = shell_ends_m(described);
    let pot_lip_m = match described.reference_leg {
        ReferenceLeg::Wet { pot_lip_m, .. } => Some(pot_lip_m),
        ReferenceLeg::Dry { .. } | ReferenceLeg::None | ReferenceLeg::Sealed { .. } => None,
    };
    let (lower_seal_m, upper_seal_m) = match described.reference_leg {
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            ..
        } => (Some(lower_seal_m), Some(upper_seal_m)),
        _ => (None, None),
    };
    let glass = described.glass.as_ref();
    [
        ("top of the shell", MarkKind::Shell, Some(shell_top_m)),
        ("pot lip", MarkKind::PotLip, pot_lip_m),
        ("upper tap", MarkKind::Tap, places.upper_tap_m),
        ("upper seal", MarkKind::Tap, upper_seal_m),
        ("overflow", MarkKind::Overflow, places.overflow_m),
        (HIGH_TRIP, MarkKind::Trip, limits.high_trip_m),
        (HIGH_ALARM, MarkKind::Alarm, limits.high_alarm_m),
        (
            "highest visible in the glass",
            MarkKind::Glass,
            glass.map(|glass| glass.visible_top_m),
        ),
        (SET_POINT, MarkKind::SetPoint, Some(limits.set_point_m)),
        (LOW_ALARM, MarkKind::Alarm, limits.low_alarm_m),
        (kind.first_low_trip(), MarkKind::Trip, limits.low_cutoff_m),
        (
            kind.second_low_trip(),
            MarkKind::Trip,
            limits.second_low_cutoff_m,
        ),
        (
            GLASS_BOTTOM,
            MarkKind::Glass,
            glass.map(|glass| glass.visible_bottom_m),
        ),
        (
            HEATED_SURFACE,
            MarkKind::HeatedSurface,
            places.highest_heated_surface_m,
        ),
        ("lower seal", MarkKind::Tap, lower_seal_m),
        ("lower tap", MarkKind::Tap, Some(0.0)),
        ("bottom of the shell", MarkKind::Shell, Some(shell_bottom_m)),
    ]
    .into_iter()
    .filter_map(|(name, kind, level_m)| level_m.map(|level_m| (name, kind, level_m)))
    .collect()
}

/// What cell and glass say at one condition.
struct Witness<'a> {
    described: &'a Loop,
    cell: CellAt,
    glass: Option<GlassAt>,
    range: Range,
}

impl<'a> Witness<'a> {
    fn at(
        described: &'a Loop,
        condition: &Condition,
        range: Range,
    ) -> Result<Self, MeasurementError> {
        Ok(Self {
            described,
            cell: cell_at(described, condition)?,
            glass: GlassAt::of(described, condition)?,
            range,
        })
    }

    fn indicated(&self, level: TrueLevel) -> Result<Option<IndicatedLevel>, MeasurementError> {
        if self.blind(level).is_some() {
            return Ok(None);
        }
        let span = self.described.range.span;
        let wanted = self.cell.indicated(self.range, span, level)?;
        Ok(Some(signal::clipped(&self.described.cell, span, wanted).0))
    }

    fn glass(&self, level: TrueLevel) -> Option<GlassLevel> {
        self.glass.as_ref().and_then(|glass| glass.shows(level))
    }

    fn blind(&self, level: TrueLevel) -> Option<Blind> {
        if self.cell.geometry.weighs(level.m()) {
            None
        } else if level.m() > self.cell.geometry.highest_m {
            Some(Blind::Above)
        } else {
            Some(Blind::Below)
        }
    }
}

/// All marks, highest first, with a range set in the cell.
pub(super) fn marks(
    described: &Loop,
    hot_condition: &Condition,
    range: Range,
) -> Result<Vec<LevelMark>, MeasurementError> {
    let cold_condition = start_up(described);
    let hot = Witness::at(described, hot_condition, range)?;
    let cold = Witness::at(described, &cold_condition, range)?;
    let mut marks = Vec::new();
    for (name, kind, level_m) in elevations(described) {
        let true_level = TrueLevel::from_m(level_m);
        marks.push(LevelMark {
            name: name.to_owned(),
            kind,
            true_level,
            indicated_hot: hot.indicated(true_level)?,
            indicated_cold: cold.indicated(true_level)?,
            glass_hot: hot.glass(true_level),
            glass_cold: cold.glass(true_level),
            blind: hot.blind(true_level),
        });
    }
    // Stable: marks at one height keep the order of the list.
    marks.sort_by(|a, b| b.true_level.m().total_cmp(&a.true_level.m()));
    Ok(marks)
}
