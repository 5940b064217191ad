//! The commented file of a new loop.

use halfglass_core::description::{UnitSystem, VesselKind};

use super::answers::{Answers, kind_word, literal};
use super::invented::invented;
use crate::keys::{Key, Kind, Need, SECTIONS, Section};
use crate::placeholders::MARK;

/// Comments are broken at this many columns.
const COLUMNS: usize = 96;

const HEAD: &str = "Loop file. Heights count from the centre of the LOWER tap, positive up. Quantities are text with a unit.";
const MARKS: &str = "A line marked `invented: replace` holds an example, not this plant's value: replace it with the survey's and take the mark away. A line that begins with # and a key is an example of what may be added: take the # away to use it.";
const MEASURE: &str = "Taps, pot lip, highest heated surface, low-water cutoffs and the safety valve's set pressure must be measured or read on this vessel. Local codes and licensed practice come first.";

/// The whole loop file: answers, invented examples for what is needed and was not answered, and as comments what may
/// be added, with what is used without it.
pub fn commented_file(answers: &Answers) -> String {
    let mut text = String::new();
    for (index, paragraph) in [HEAD, MARKS, MEASURE].into_iter().enumerate() {
        if index > 0 {
            text.push_str("#\n");
        }
        comment(&mut text, paragraph);
    }
    for section in SECTIONS {
        if is_foreign_section(answers, section) {
            continue;
        }
        let blocks = blocks(answers, section);
        if blocks == 0 {
            block(&mut text, answers, section, None);
        }
        for index in 0..blocks {
            block(&mut text, answers, section, Some(index));
        }
    }
    text
}

/// How many blocks of a section stand in the file; 0: it is an example in comments.
fn blocks(answers: &Answers, section: &Section) -> usize {
    let is_needed = section.required
        || section
            .keys
            .iter()
            .any(|key| matches!(key.need, Need::When(_)) && is_needed(answers, key))
        || section
            .keys
            .iter()
            .any(|key| is_level_of_tank(answers, key));
    let own_fill = section.name == "reference-leg.fill-density"
        && word(answers, "reference-leg.fill-fluid") == "own"
        && word(answers, "reference-leg.kind") == "sealed";
    let least = if own_fill { 2 } else { usize::from(is_needed) };
    answers.blocks(section).max(least)
}

/// One block; `index` is `None` for an example in comments.
fn block(text: &mut String, answers: &Answers, section: &Section, index: Option<usize>) {
    text.push('\n');
    if index.is_none_or(|index| index == 0) {
        comment(text, section.doc);
        if index.is_none() {
            comment(text, "May be left out as a whole.");
        } else if section.name == "duty" {
            comment(text, "Write one block like this for each duty point.");
        }
    }
    let off = if index.is_none() { "#" } else { "" };
    let name = section.name;
    text.push_str(&if section.repeated {
        format!("{off}[[{name}]]\n")
    } else {
        format!("{off}[{name}]\n")
    });
    for key in section.keys {
        if let Some(value) = index.and_then(|index| answers.value(section, index, key)) {
            comment(text, &about(key, false));
            text.push_str(&format!("{} = {value}\n", key.name()));
        } else if is_foreign_key(answers, key) {
            continue;
        } else if let Some(index) = index.filter(|_| is_needed(answers, key)) {
            let example = example(answers, key, index);
            comment(text, &about(key, false));
            let mark = if is_given(key) {
                String::new()
            } else {
                format!("  # {MARK}")
            };
            text.push_str(&format!("{} = {example}{mark}\n", key.name()));
        } else {
            comment(text, &about(key, true));
            text.push_str(&format!("#{} = {}\n", key.name(), example(answers, key, 0)));
        }
    }
}

/// Known from the start, not invented.
fn is_given(key: &Key) -> bool {
    matches!(key.path, "vessel.kind" | "loop.units")
}

/// Without an upper tap nothing says what the panel's 100 % is.
fn is_level_of_tank(answers: &Answers, key: &Key) -> bool {
    key.path == "range.level-at-100"
        && !answers.kind.holds_steam()
        && !answers.is_set("elevations.upper-tap")
}

pub(super) fn is_needed(answers: &Answers, key: &Key) -> bool {
    match key.need {
        Need::Required => true,
        Need::When(words) => holds(answers, words),
        Need::Default(_) | Need::Optional => is_level_of_tank(answers, key),
    }
}

/// The condition that [`Need::When`] says in words. What was found set is never invented.
pub(super) fn holds(answers: &Answers, words: &str) -> bool {
    match words {
        "the vessel is a vented tank" => matches!(answers.kind, VesselKind::VentedTank),
        "the vessel is fired" => answers.kind.is_fired(),
        "the vessel holds steam" => answers.kind.holds_steam(),
        "the leg is wet" => word(answers, "reference-leg.kind") == "wet",
        "the leg is sealed" => word(answers, "reference-leg.kind") == "sealed",
        "the wet leg is on the high port" => word(answers, "cell.polarity") == "wet-leg-on-high",
        _ => false,
    }
}

/// Answered or invented word.
fn word(answers: &Answers, path: &str) -> String {
    let found = SECTIONS
        .iter()
        .flat_map(|section| section.keys.iter().map(move |key| (section, key)))
        .find(|(_, key)| key.path == path);
    found.map_or_else(String::new, |(section, key)| {
        answers
            .value(section, 0, key)
            .map_or_else(
                || invented(answers.kind, answers.units, key),
                |value| value.trim_matches('"'),
            )
            .to_owned()
    })
}

/// Sections without meaning for this vessel.
fn is_foreign_section(answers: &Answers, section: &Section) -> bool {
    if answers.blocks(section) > 0 {
        return false;
    }
    match section.name {
        "pressures" => !answers.kind.holds_steam(),
        "reference-leg.fill-density" => word(answers, "reference-leg.kind") != "sealed",
        _ => false,
    }
}

/// Keys that the reader refuses for this vessel and leg, or that say nothing there.
fn is_foreign_key(answers: &Answers, key: &Key) -> bool {
    const WET: &[&str] = &["pot-lip", "below-tap-temperature"];
    const PROFILE: &[&str] = &["temperature", "top-temperature", "bottom-temperature"];
    const BAND: &[&str] = &["lowest-temperature", "highest-temperature"];
    let steam = answers.kind.holds_steam();
    match key.path {
        "vessel.water-temperature" => steam,
        "vessel.circuit-volume" => !matches!(answers.kind, VesselKind::DrumBoiler),
        "elevations.highest-heated-surface" => !answers.kind.is_fired(),
        "elevations.upper-tap" | "vessel.vacuum-breaker" | "duty.pressure" => !steam,
        "vessel.crown-radius-ratio" | "vessel.knuckle-radius-ratio" => {
            word(answers, "vessel.heads") != "torispherical"
        }
        path if path.starts_with("reference-leg.") && path.matches('.').count() == 1 => {
            let leg = word(answers, "reference-leg.kind");
            let name = key.name();
            match leg.as_str() {
                "wet" => {
                    !(name == "kind"
                        || WET.contains(&name)
                        || PROFILE.contains(&name)
                        || BAND.contains(&name))
                }
                "dry" => !(name == "kind" || PROFILE.contains(&name) || BAND.contains(&name)),
                "none" => name != "kind",
                _ => WET.contains(&name) || PROFILE.contains(&name),
            }
        }
        _ => false,
    }
}

/// An invented value as TOML.
fn example(answers: &Answers, key: &Key, index: usize) -> String {
    let text = match (key.path, index) {
        ("vessel.kind", _) => kind_word(answers.kind).to_owned(),
        ("loop.units", _) => match answers.units {
            UnitSystem::Us => "us".to_owned(),
            UnitSystem::Si => "si".to_owned(),
        },
        // With the wet leg on the high port the signal must be reversed once.
        ("cell.reversed-in", _) if word(answers, "cell.polarity") == "wet-leg-on-high" => {
            "cell".to_owned()
        }
        // Rows of a density table differ.
        ("reference-leg.fill-density.temperature", 1) => "100 degC".to_owned(),
        ("reference-leg.fill-density.density", 1) => "895 kg/m3".to_owned(),
        ("duty.name", 1..) => format!("duty {}", index + 1),
        _ => invented(answers.kind, answers.units, key).to_owned(),
    };
    let value = literal(key.kind, &text).unwrap_or(text);
    match key.kind {
        Kind::Texts => format!("[{value}]"),
        _ => value,
    }
}

fn about(key: &Key, is_off: bool) -> String {
    let choices = match key.kind {
        Kind::Word(words) => format!(" One of {}.", words.join(", ")),
        _ => String::new(),
    };
    let need = match key.need {
        Need::Default(default) if is_off => format!(" Left out: {default}."),
        Need::Optional if is_off => " May be left out.".to_owned(),
        Need::When(condition) if is_off => format!(" Needed when {condition}."),
        _ => String::new(),
    };
    format!("{}.{choices}{need}", key.doc)
}

/// A comment broken into lines.
fn comment(text: &mut String, words: &str) {
    let mut line = String::from("#");
    for word in words.split_whitespace() {
        if line.len() + 1 + word.len() > COLUMNS && line.len() > 1 {
            text.push_str(&line);
            text.push('\n');
            line = String::from("#");
        }
        line.push(' ');
        line.push_str(word);
    }
    text.push_str(&line);
    text.push('\n');
}
