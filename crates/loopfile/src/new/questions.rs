//! What a new loop must be asked: what every loop needs and nothing can stand in for, in the order of a survey.
//!
//! Data-sheet limits and names that an example can hold for a while are not asked; they stand in the file, marked.

use halfglass_core::description::{UnitSystem, VesselKind};

use super::invented::invented;
use crate::keys::{self, Kind};

/// A question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Key that the answer is for.
    pub path: &'static str,
    /// The question in words.
    pub text: String,
    /// An invented answer, in the units asked for.
    pub example: String,
}

/// The questions of a kind of vessel.
pub fn questions(kind: VesselKind, units: UnitSystem) -> Vec<Question> {
    ASKED
        .iter()
        .filter(|(_, whom)| whom.includes(kind))
        .filter_map(|(path, _)| keys::key(path))
        .map(|key| {
            let words = match key.kind {
                Kind::Word(words) if words.len() > 1 => format!(" ({})", words.join(", ")),
                _ => String::new(),
            };
            let doc = key.doc.trim_end_matches("; never defaulted");
            Question {
                path: key.path,
                text: format!("{doc}{words}"),
                example: invented(kind, units, key).to_owned(),
            }
        })
        .collect()
}

#[derive(Debug, Clone, Copy)]
enum Whom {
    All,
    Fired,
    Steam,
    /// All but a shell boiler, which lies and has flat tube sheets.
    NotShell,
    Tank,
}

impl Whom {
    const fn includes(self, kind: VesselKind) -> bool {
        match self {
            Whom::All => true,
            Whom::Fired => kind.is_fired(),
            Whom::Steam => kind.holds_steam(),
            Whom::NotShell => !matches!(kind, VesselKind::ShellBoiler),
            Whom::Tank => !kind.holds_steam(),
        }
    }
}

const ASKED: &[(&str, Whom)] = &[
    ("loop.tag", Whom::All),
    ("loop.service", Whom::All),
    ("loop.plant", Whom::All),
    ("vessel.orientation", Whom::NotShell),
    ("vessel.inside-diameter", Whom::All),
    ("vessel.length", Whom::All),
    ("vessel.heads", Whom::NotShell),
    ("vessel.lower-tap-above-bottom", Whom::All),
    ("vessel.water-temperature", Whom::Tank),
    ("elevations.upper-tap", Whom::Steam),
    ("elevations.highest-heated-surface", Whom::Fired),
    ("reference-leg.pot-lip", Whom::Steam),
    ("cell.below-lower-tap", Whom::All),
    ("cell.polarity", Whom::Steam),
    ("range.level-at-100", Whom::Tank),
    ("pressures.normal", Whom::Steam),
    ("pressures.safety-valve", Whom::Steam),
    ("duty.outflow", Whom::All),
    ("duty.feed-temperature", Whom::All),
    ("feedwater.rising-output", Whom::All),
    ("feedwater.on-signal-loss", Whom::All),
    ("controller.form", Whom::All),
    ("controller.gain-unit", Whom::All),
    ("controller.reset-unit", Whom::All),
    ("limits.set-point", Whom::All),
    ("limits.low-cutoff", Whom::Fired),
    ("limits.second-low-cutoff", Whom::Fired),
];
