//! The rows of the card: what glass, vessel and panel say of one level, and which rows have room.

use halfglass_core::description::{Glass, Loop};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMark, MarkKind};

use crate::scale::Scale;

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RowKind {
    /// One step of the glass.
    Step,
    SetPoint,
    Alarm,
    Trip,
}

/// What a column says of a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Reading {
    /// This, m.
    Shown(f64),
    /// Nothing: the level lies above what the column shows; where its tag belongs, m.
    Above(f64),
    /// Nothing: the level lies under what the column shows; where its tag belongs, m.
    Below(f64),
}

impl Reading {
    /// Where its tag belongs, m.
    pub(super) const fn place_m(self) -> f64 {
        match self {
            Reading::Shown(m) | Reading::Above(m) | Reading::Below(m) => m,
        }
    }

    /// What is shown, m.
    pub(super) const fn shown_m(self) -> Option<f64> {
        match self {
            Reading::Shown(m) => Some(m),
            Reading::Above(_) | Reading::Below(_) => None,
        }
    }
}

/// One way across.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) kind: RowKind,
    /// Name of an alarm or a trip; empty otherwise.
    pub(super) name: String,
    pub(super) glass: Reading,
    pub(super) true_m: f64,
    pub(super) panel: Reading,
}

impl Row {
    /// Where its three tags belong, m.
    pub(super) const fn places_m(&self) -> [f64; 3] {
        [self.glass.place_m(), self.true_m, self.panel.place_m()]
    }
}

/// Even steps of the glass, highest first.
pub(super) fn steps(sheets: &Sheets) -> Vec<Row> {
    let mut rows: Vec<Row> = sheets
        .error_map
        .glass_card
        .iter()
        .map(|line| Row {
            kind: RowKind::Step,
            name: String::new(),
            glass: Reading::Shown(line.glass.m()),
            true_m: line.true_hot.m(),
            panel: Reading::Shown(line.indicated_hot.m()),
        })
        .filter(|row| row.places_m().iter().all(|m| m.is_finite()))
        .collect();
    rows.sort_by(|a, b| b.true_m.total_cmp(&a.true_m));
    rows
}

/// Set point, alarms and trips, as the level map has them at normal pressure.
pub(super) fn marks(described: &Loop, glass: &Glass, sheets: &Sheets) -> Vec<Row> {
    sheets
        .level_map
        .marks
        .iter()
        .filter_map(|mark| {
            let kind = match mark.kind {
                MarkKind::SetPoint => RowKind::SetPoint,
                MarkKind::Alarm => RowKind::Alarm,
                MarkKind::Trip => RowKind::Trip,
                _ => return None,
            };
            Some(Row {
                kind,
                name: if kind == RowKind::SetPoint {
                    String::new()
                } else {
                    short_name(&mark.name)
                },
                glass: in_glass(mark, glass),
                true_m: mark.true_level.m(),
                panel: on_panel(mark, described, sheets),
            })
        })
        .collect()
}

fn in_glass(mark: &LevelMark, glass: &Glass) -> Reading {
    let (bottom_m, top_m) = (glass.visible_bottom_m, glass.visible_top_m);
    let level_m = mark.true_level.m();
    match mark.glass_hot {
        Some(level) => Reading::Shown(level.m()),
        // The visible part is far longer than the distance between glass and vessel.
        None if level_m > 0.5 * (bottom_m + top_m) => Reading::Above(level_m.max(top_m)),
        None => Reading::Below(level_m.min(bottom_m)),
    }
}

fn on_panel(mark: &LevelMark, described: &Loop, sheets: &Sheets) -> Reading {
    /// Rounding on the way from current to percent, percent of span.
    const ROUNDING_PERCENT: f64 = 1e-6;
    let span = described.range.span;
    let ends = sheets.error_map.panel_ends;
    let level_m = mark.true_level.m();
    match (mark.indicated_hot, mark.blind) {
        (Some(says), _) => {
            let percent = says.percent(span);
            if percent >= ends.high_percent - ROUNDING_PERCENT {
                Reading::Above(says.m())
            } else if percent <= ends.low_percent + ROUNDING_PERCENT {
                Reading::Below(says.m())
            } else {
                Reading::Shown(says.m())
            }
        }
        (None, Some(Blind::Above)) => Reading::Above(level_m),
        (None, _) => Reading::Below(level_m),
    }
}

/// What an alarm or trip is called where there is little room.
fn short_name(name: &str) -> String {
    name.replace("first low-water", "1st")
        .replace("second low-water", "2nd")
        .replace("first low-level", "1st low")
        .replace("second low-level", "2nd low")
}

/// The marks, both ends of the glass, and as many steps as have room beside them, highest first.
pub(super) fn thinned(steps: Vec<Row>, marks: Vec<Row>, scale: &Scale, room: f64) -> Vec<Row> {
    let clear = |kept: &[Row], row: &Row, room: f64| {
        kept.iter().all(|k| {
            k.places_m()
                .iter()
                .zip(row.places_m())
                .all(|(a, b)| (scale.place(*a) - scale.place(b)).abs() >= room)
        })
    };
    /// A mark this near says what the end of the glass would.
    const SAME: f64 = 2.0;
    let mut kept = marks;
    for end in [steps.first(), steps.last()].into_iter().flatten() {
        if clear(&kept, end, SAME) {
            kept.push(end.clone());
        }
    }
    for row in steps {
        if clear(&kept, &row, room) {
            kept.push(row);
        }
    }
    // Stable: marks at one height keep the order of the level map.
    kept.sort_by(|a, b| b.true_m.total_cmp(&a.true_m));
    kept
}
