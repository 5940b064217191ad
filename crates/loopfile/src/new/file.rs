//! The commented file of a new loop.

use halfglass_core::description::{UnitSystem, VesselKind};

use super::answers::{Answers, kind_word, literal};
use super::default_words::in_units;
use super::foreign::{is_foreign_key, is_foreign_loss, is_foreign_section, is_loss};
use super::invented::invented;
use crate::keys::{self, Group, Key, Kind, Need, SECTIONS, Section};
use crate::placeholders::MARK;
use crate::resolve::is_rotary;

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
        for index in 0..blocks {
            block(&mut text, answers, section, index, false);
        }
        if blocks == 0 {
            for index in 0..rows(section) {
                block(&mut text, answers, section, index, true);
            }
        }
    }
    text
}

/// How many blocks show what a repeated section is for: a curve has three points, a part of the line is either of two.
fn rows(section: &Section) -> usize {
    match section.name {
        "supply.point" | "valve.travel" => 3,
        "line.part" => 2,
        _ => 1,
    }
}

/// True when anything was answered of what stands in a file together.
fn stands(answers: &Answers, group: &Group) -> bool {
    let names = group.together.iter().chain(group.beside);
    names
        .filter_map(|name| keys::section(name))
        .any(|section| answers.blocks(section) > 0)
}

/// True when the group of this section is in the file.
fn group_stands(answers: &Answers, section: &str) -> bool {
    keys::group(section).is_some_and(|group| stands(answers, group))
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
            .any(|key| is_level_of_tank(answers, key))
        || keys::group(section.name)
            .is_some_and(|group| group.together.contains(&section.name) && stands(answers, group));
    let own_fill = section.name == "reference-leg.fill-density"
        && word(answers, "reference-leg.fill-fluid") == "own"
        && word(answers, "reference-leg.kind") == "sealed";
    let is_curve = match section.name {
        "supply.point" => word(answers, "supply.kind") == "pump",
        "valve.travel" => word(answers, "valve.characteristic") == "table",
        // The reader's own series is of globe valves.
        "valve.size" => is_rotary(&word(answers, "valve.style")),
        _ => false,
    } && group_stands(answers, section.name);
    let least = if own_fill {
        2
    } else if is_curve {
        rows(section)
    } else {
        usize::from(is_needed)
    };
    answers.blocks(section).max(least)
}

/// What may be left out with a section that stands in comments.
fn left_out(section: &Section) -> String {
    let Some(group) = keys::group(section.name) else {
        return "May be left out as a whole.".to_owned();
    };
    let others: Vec<_> = group
        .together
        .iter()
        .filter(|name| **name != section.name)
        .map(|name| format!("[{name}]"))
        .collect();
    let others = others.join(", ");
    if group.together.contains(&section.name) {
        format!("May be left out as a whole, but only together with {others}.")
    } else {
        format!("May be left out as a whole; it stands beside {others}.")
    }
}

/// One block; `is_off` makes it an example in comments.
fn block(text: &mut String, answers: &Answers, section: &Section, index: usize, is_off: bool) {
    text.push('\n');
    if index == 0 {
        comment(text, section.doc);
        if is_off {
            comment(text, &left_out(section));
        } else if section.name == "duty" {
            comment(text, "Write one block like this for each duty point.");
        }
    }
    let off = if is_off { "#" } else { "" };
    let name = section.name;
    text.push_str(&if section.repeated {
        format!("{off}[[{name}]]\n")
    } else {
        format!("{off}[{name}]\n")
    });
    for key in section.keys {
        let value = answers.value(section, index, key).filter(|_| !is_off);
        if let Some(value) = value {
            comment(text, &about(answers, key, false));
            text.push_str(&format!("{} = {value}\n", key.name()));
        } else if is_foreign_key(answers, key) || is_foreign_loss(answers, section, index, key) {
            continue;
        } else if !is_off && (is_needed(answers, key) || is_loss(answers, section, index, key)) {
            let example = example(answers, key, index);
            comment(text, &about(answers, key, false));
            let mark = if is_given(key) {
                String::new()
            } else {
                format!("  # {MARK}")
            };
            text.push_str(&format!("{} = {example}{mark}\n", key.name()));
        } else {
            // The rows of an example differ in their values only.
            if index == 0 || !is_off {
                comment(text, &about(answers, key, true));
            }
            let example = example(answers, key, index);
            text.push_str(&format!("#{} = {example}\n", key.name()));
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
        "the supply is a pump" => {
            group_stands(answers, "supply") && word(answers, "supply.kind") == "pump"
        }
        "the supply is a header" => {
            group_stands(answers, "supply") && word(answers, "supply.kind") == "header"
        }
        "the recirculation is continuous" => {
            answers.is_set("supply.recirculation")
                && word(answers, "supply.recirculation") == "continuous"
        }
        "the actuator is linear" => {
            group_stands(answers, "actuator") && word(answers, "actuator.kind") == "linear"
        }
        "the actuator is rotary" => {
            group_stands(answers, "actuator") && word(answers, "actuator.kind") == "rotary"
        }
        "on/off control is replaced" => {
            answers.is_set("station.replaces-on-off")
                && word(answers, "station.replaces-on-off") == "true"
        }
        "the wet leg is on the high port" => word(answers, "cell.polarity") == "wet-leg-on-high",
        _ => false,
    }
}

/// Answered or invented word.
pub(super) fn word(answers: &Answers, path: &str) -> String {
    let found = SECTIONS
        .iter()
        .flat_map(|section| section.keys.iter().map(move |key| (section, key)))
        .find(|(_, key)| key.path == path);
    found.map_or_else(String::new, |(section, key)| {
        answers
            .value(section, 0, key)
            .map_or_else(
                || {
                    follows(answers, key)
                        .unwrap_or_else(|| invented(answers.kind, answers.units, key))
                },
                |value| value.trim_matches('"'),
            )
            .to_owned()
    })
}

/// What an answer elsewhere makes of a word that nobody answered: valve and actuator fit each other.
fn follows(answers: &Answers, key: &Key) -> Option<&'static str> {
    let answered = |path: &str| answers.is_set(path).then(|| word(answers, path));
    match key.path {
        "actuator.kind" => answered("valve.style").map(|style| {
            if is_rotary(&style) {
                "rotary"
            } else {
                "linear"
            }
        }),
        "actuator.flow" => answered("valve.style")
            .filter(|style| style.ends_with("flow-closes"))
            .map(|_| "closes"),
        "valve.style" => answered("actuator.kind")
            .filter(|kind| kind == "rotary")
            .map(|_| "eccentric-plug-flow-opens"),
        _ => None,
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
        ("supply.point.flow", 1) => "7 m3/h".to_owned(),
        ("supply.point.head", 1) => "125 m".to_owned(),
        ("supply.point.npsh-required", 1) => "1.6 m".to_owned(),
        ("supply.point.flow", 2..) => format!("{} m3/h", 5 * index),
        ("supply.point.head", 2..) => format!("{} m", 120 - 10 * index.min(11)),
        ("supply.point.npsh-required", 2..) => "2.4 m".to_owned(),
        ("line.part.name", 1..) => format!("part {} of the line", index + 1),
        ("line.part.side", 1..) => "after".to_owned(),
        ("valve.travel.travel" | "valve.travel.flow", 1) => "50 %".to_owned(),
        ("valve.travel.travel" | "valve.travel.flow", 2..) => "100 %".to_owned(),
        ("duty.name", 1..) => format!("duty {}", index + 1),
        _ => follows(answers, key)
            .unwrap_or_else(|| invented(answers.kind, answers.units, key))
            .to_owned(),
    };
    let value = literal(key.kind, &text).unwrap_or(text);
    match key.kind {
        kind if kind.is_list() => format!("[{value}]"),
        _ => value,
    }
}

fn about(answers: &Answers, key: &Key, is_off: bool) -> String {
    let choices = match key.kind {
        Kind::Word(words) => format!(" One of {}.", words.join(", ")),
        _ => String::new(),
    };
    let need = match key.need {
        Need::Default(default) if is_off => {
            format!(" Left out: {}.", in_units(default, answers.units))
        }
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
