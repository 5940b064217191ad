//! What a new loop is asked, in the order of a survey: what every loop needs and nothing can stand in for, and what has
//! a default that a look at the plant betters.
//!
//! Data-sheet limits that an example can hold for a while are not asked; they stand in the file, marked.

use std::borrow::Cow;

use halfglass_core::description::{UnitSystem, VesselKind};

use super::answers::Answers;
use super::default_words::in_units;
use super::file::is_needed;
use super::invented::invented;
use crate::keys::{self, Key, Kind, LENGTH, Need};

/// A question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Key that the answer is for.
    pub path: &'static str,
    /// The question in words.
    pub text: String,
    /// The words it may be answered with, also by their number from 1; empty: anything of its kind.
    pub choices: &'static [&'static str],
    /// An invented answer, in the units asked for.
    pub example: String,
    /// What holds without an answer, in words; `None`: the invented answer stands in the file, marked.
    pub default: Option<Cow<'static, str>>,
    /// Asked only when this was answered.
    pub only_after: Option<&'static str>,
    /// What a plant goes without when this is left out, in words: an empty answer is to be asked again, and `none` meant.
    pub missed: Option<&'static str>,
}

impl Question {
    /// What a person typed, with the number of a choice made its word.
    pub fn answer<'a>(&self, typed: &'a str) -> &'a str
    where
        'static: 'a,
    {
        let typed = typed.trim();
        typed
            .parse::<usize>()
            .ok()
            .and_then(|number| self.choices.get(number.checked_sub(1)?).copied())
            .or_else(|| {
                let choices = self.choices.iter();
                choices
                    .copied()
                    .find(|choice| choice.eq_ignore_ascii_case(typed))
            })
            .unwrap_or(typed)
    }
}

/// The questions of a kind of vessel.
pub fn questions(kind: VesselKind, units: UnitSystem) -> Vec<Question> {
    let nothing_yet = Answers::new(kind, units);
    ASKED
        .iter()
        .filter(|(_, whom)| whom.includes(kind))
        .filter_map(|(path, _)| keys::key(path))
        .map(|key| Question {
            path: key.path,
            text: text(key),
            choices: match key.kind {
                Kind::Word(words) => words,
                _ => &[],
            },
            example: invented(kind, units, key).to_owned(),
            default: default(&nothing_yet, key),
            only_after: match key.path {
                "glass.visible-top" | "glass.lower-connection" => Some(FIRST_OF_GLASS),
                _ => None,
            },
            missed: match key.path {
                "limits.low-alarm" if kind.is_fired() => Some(
                    "a fired vessel without a low-level alarm warns nobody before the low-water cutoff stops the firing",
                ),
                "limits.high-alarm" if kind.is_fired() => Some(
                    "a fired vessel without a high-level alarm warns nobody before water is carried over",
                ),
                _ => None,
            },
        })
        .collect()
}

/// The glass is there when this is answered.
const FIRST_OF_GLASS: &str = "glass.visible-bottom";

fn text(key: &Key) -> String {
    let doc = key.doc.trim_end_matches("; never defaulted");
    let subject = match key.path {
        "vessel.circuit-volume" => {
            "Water outside the drum that heats and swells with it: tubes, headers, downcomers; without it no mark for the cold fill is given"
        }
        "cell.polarity" => {
            "Which port of the cell has which leg: bottom-on-high, lower tap on the high port; wet-leg-on-high, reference leg on the high port"
        }
        "duty.outflow" => {
            "Largest duty: what leaves, steam of a boiler (flow, bhp or kW), water of a deaerator or tank"
        }
        "duty.feed-temperature" => "Largest duty: temperature of the water that comes in",
        "controller.form" => "Form of the controller's algorithm; its manual says so",
        "controller.gain-unit" => {
            "How the controller takes gain: %/%, band in percent of span, or band in level units"
        }
        "controller.reset-unit" => "How the controller takes reset",
        "glass.visible-bottom" => "Gauge glass: lowest level that can be seen",
        "glass.visible-top" => "Gauge glass: highest level that can be seen",
        "glass.lower-connection" => "Gauge glass: its lower connection at the vessel",
        "reference-leg.temperature" => "Temperature of the reference leg, mean above the lower tap",
        "feedwater.full-valve-flow" => "Flow with the feed valve fully open",
        "feedwater.stroke-time" => "Time of the feed valve for a full stroke",
        "controller.input-fault" => "What the controller does when its input is out of range",
        _ => doc,
    };
    if is_height(key) {
        format!("{subject}, above the centre of the LOWER tap")
    } else {
        subject.to_owned()
    }
}

/// Counted from the lower tap.
pub(super) fn is_height(key: &Key) -> bool {
    const SECTIONS_OF_HEIGHTS: [&str; 5] = [
        "elevations.",
        "reference-leg.",
        "glass.",
        "range.",
        "limits.",
    ];
    key.kind == LENGTH
        && SECTIONS_OF_HEIGHTS
            .iter()
            .any(|section| key.path.starts_with(section))
}

fn default(answers: &Answers, key: &Key) -> Option<Cow<'static, str>> {
    if is_needed(answers, key) && key.path != FIRST_OF_GLASS {
        return None;
    }
    Some(match key.need {
        Need::Default(default) => in_units(default, answers.units),
        _ if key.path == FIRST_OF_GLASS => "no gauge glass".into(),
        _ => "none".into(),
    })
}

#[derive(Debug, Clone, Copy)]
enum Whom {
    All,
    Fired,
    Steam,
    /// All but a shell boiler, which lies and has flat tube sheets.
    NotShell,
    Tank,
    Drum,
}

impl Whom {
    const fn includes(self, kind: VesselKind) -> bool {
        match self {
            Whom::All => true,
            Whom::Fired => kind.is_fired(),
            Whom::Steam => kind.holds_steam(),
            Whom::NotShell => !matches!(kind, VesselKind::ShellBoiler),
            Whom::Drum => matches!(kind, VesselKind::DrumBoiler),
            Whom::Tank => !kind.holds_steam(),
        }
    }
}

const ASKED: &[(&str, Whom)] = &[
    ("loop.tag", Whom::All),
    ("loop.service", Whom::All),
    ("loop.plant", Whom::All),
    ("loop.water-column", Whom::All),
    ("vessel.orientation", Whom::NotShell),
    ("vessel.inside-diameter", Whom::All),
    ("vessel.length", Whom::All),
    ("vessel.heads", Whom::NotShell),
    ("vessel.lower-tap-above-bottom", Whom::All),
    ("vessel.circuit-volume", Whom::Drum),
    ("vessel.water-temperature", Whom::Tank),
    ("elevations.upper-tap", Whom::Steam),
    ("elevations.highest-heated-surface", Whom::Fired),
    ("reference-leg.pot-lip", Whom::Steam),
    ("reference-leg.temperature", Whom::Steam),
    ("glass.visible-bottom", Whom::All),
    ("glass.visible-top", Whom::All),
    ("glass.lower-connection", Whom::All),
    ("cell.below-lower-tap", Whom::All),
    ("cell.polarity", Whom::Steam),
    ("range.level-at-100", Whom::Tank),
    ("pressures.normal", Whom::Steam),
    ("pressures.safety-valve", Whom::Steam),
    ("duty.outflow", Whom::All),
    ("duty.feed-temperature", Whom::All),
    ("feedwater.rising-output", Whom::All),
    ("feedwater.full-valve-flow", Whom::All),
    ("feedwater.stroke-time", Whom::All),
    ("feedwater.on-signal-loss", Whom::All),
    ("controller.form", Whom::All),
    ("controller.gain-unit", Whom::All),
    ("controller.reset-unit", Whom::All),
    ("controller.input-fault", Whom::All),
    ("limits.set-point", Whom::All),
    ("limits.low-alarm", Whom::All),
    ("limits.high-alarm", Whom::All),
    ("limits.low-cutoff", Whom::Fired),
    ("limits.second-low-cutoff", Whom::Fired),
    ("limits.high-trip", Whom::All),
];
