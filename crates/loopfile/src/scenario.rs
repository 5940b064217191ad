//! Scenario file text to scenarios: the run it describes and its variants, or all its problems at once.

use halfglass_core::description::UnitSystem;
use halfglass_core::dynamics::scan::Elements;
use halfglass_core::dynamics::scenario::{
    Event, Happening, RangeChoice, Scenario, SettingsChoice, StartAt,
};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_core::site::STANDARD_ATMOSPHERE_PA;

use crate::entries::Entries;
use crate::keys::SCENARIO_FILE;
use crate::problem::{Label, Problem};
use crate::quantity_text::Basis;
use crate::read::{parse, placed};
use crate::survey::Survey;
use crate::text;

/// Most events of a run, repetitions counted.
const MOST_EVENTS: usize = 10_000;
/// Time in which a load moves unless the file says otherwise, s.
const LOAD_WITHIN_S: f64 = 10.0;

/// A scenario file, read.
#[derive(Debug, Clone, PartialEq)]
pub struct ScenarioFile {
    /// Name.
    pub name: String,
    /// What it is to show.
    pub purpose: String,
    /// The run described and its variants: what each is called beside the others, and the scenario.
    pub runs: Vec<(String, Scenario)>,
}

/// Scenarios that come with the program: name, and the file's text. Invented, and they say so.
pub const BUILT_IN: [(&str, &str); 11] = [
    (
        "load-step",
        include_str!("../../../examples/scenarios/load-step.toml"),
    ),
    (
        "batch-load",
        include_str!("../../../examples/scenarios/batch-load.toml"),
    ),
    (
        "low-fire-hold",
        include_str!("../../../examples/scenarios/low-fire-hold.toml"),
    ),
    (
        "pump-trip",
        include_str!("../../../examples/scenarios/pump-trip.toml"),
    ),
    (
        "stuck-valve",
        include_str!("../../../examples/scenarios/stuck-valve.toml"),
    ),
    (
        "lost-signal",
        include_str!("../../../examples/scenarios/lost-signal.toml"),
    ),
    (
        "ranged-cold",
        include_str!("../../../examples/scenarios/ranged-cold.toml"),
    ),
    (
        "fast-reset",
        include_str!("../../../examples/scenarios/fast-reset.toml"),
    ),
    (
        "hot-leg",
        include_str!("../../../examples/scenarios/hot-leg.toml"),
    ),
    (
        "cold-start",
        include_str!("../../../examples/scenarios/cold-start.toml"),
    ),
    (
        "cool-down",
        include_str!("../../../examples/scenarios/cool-down.toml"),
    ),
];

/// Reads a scenario file.
///
/// # Errors
/// All problems, in the order of their places. A file that is no TOML gives its syntax problem only.
pub fn read_scenario(bytes: &[u8]) -> Result<ScenarioFile, Vec<Problem>> {
    let (text, mark) = text::checked(bytes)?;
    read_text(text).map_err(|problems| placed(problems, mark))
}

fn read_text(text: &str) -> Result<ScenarioFile, Vec<Problem>> {
    let table = parse(text)?;
    let (entries, problems) =
        Entries::collect(SCENARIO_FILE, table.get_ref(), text.trim_end().len());
    let mut survey = Survey {
        entries: &entries,
        problems,
        assumptions: Vec::new(),
        units: UnitSystem::Si,
        atmosphere: AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA),
    };
    let events = events(&mut survey);
    let base = base(&mut survey);
    let runs = base
        .zip(events)
        .map(|(base, events)| runs(&mut survey, Scenario { events, ..base }));
    match runs {
        Some(runs) if survey.problems.is_empty() => Ok(ScenarioFile {
            name: runs[0].1.name.clone(),
            purpose: runs[0].1.purpose.clone(),
            runs,
        }),
        _ => Err(survey.problems),
    }
}

fn base(survey: &mut Survey<'_>) -> Option<Scenario> {
    let elements = elements(survey, "scenario.elements").unwrap_or(Elements::One);
    let settings = settings(survey, "scenario").unwrap_or(SettingsChoice::Chosen);
    let level_m = survey
        .number("scenario.cold-level")
        .map(|level| level.value);
    let start = match survey.number("scenario.cold") {
        Some(cold) => StartAt::Cold {
            temperature_k: cold.value,
            level_m,
        },
        None => {
            survey.refuse("scenario.cold-level", "it does not start cold");
            StartAt::Duty
        }
    };
    Some(Scenario {
        name: survey.text("scenario.name")?.value,
        purpose: survey.text("scenario.purpose")?.value,
        duration_s: survey.number("scenario.duration")?.value,
        start_duty: survey.text("scenario.start-duty").map(|duty| duty.value),
        start,
        range: range(survey, "scenario.range").unwrap_or(RangeChoice::Chosen),
        settings,
        elements,
        noise_percent: survey
            .number("scenario.noise")
            .map_or(0.0, |noise| noise.value),
        seed: survey
            .integer("scenario.seed")
            .map_or(1, |seed| seed.value.unsigned_abs()),
        bubble_rise_ratio: survey
            .number("scenario.bubble-rise")
            .map_or(0.5, |rise| 0.01 * rise.value),
        events: Vec::new(),
    })
}

/// The run described, and it again with what each variant changes.
fn runs(survey: &mut Survey<'_>, base: Scenario) -> Vec<(String, Scenario)> {
    let label = survey
        .text("scenario.label")
        .map_or_else(|| "as designed".to_owned(), |label| label.value);
    let mut runs = vec![(label, base)];
    for index in 0..survey.entries.count("variant") {
        let path = |key: &str| format!("variant[{index}].{key}");
        let Some(label) = survey.text(&path("label")) else {
            continue;
        };
        if runs.iter().any(|(known, _)| *known == label.value) {
            survey.problems.push(
                Problem::new(
                    "label-twice",
                    format!("two runs of this scenario are called `{}`", label.text),
                    label.label("again here"),
                )
                .help("give every run a label of its own"),
            );
        }
        let mut scenario = runs[0].1.clone();
        if let Some(range) = range(survey, &path("range")) {
            scenario.range = range;
        }
        if let Some(settings) = settings(survey, &format!("variant[{index}]")) {
            scenario.settings = settings;
        }
        if let Some(elements) = elements(survey, &path("elements")) {
            scenario.elements = elements;
        }
        if let Some(rise) = survey.number(&path("bubble-rise")) {
            scenario.bubble_rise_ratio = 0.01 * rise.value;
        }
        runs.push((label.value, scenario));
    }
    runs
}

fn range(survey: &Survey<'_>, path: &str) -> Option<RangeChoice> {
    Some(match survey.word(path)?.value {
        "bench" => RangeChoice::Bench,
        "as-found" => RangeChoice::AsFound,
        _ => RangeChoice::Chosen,
    })
}

fn elements(survey: &mut Survey<'_>, path: &str) -> Option<Elements> {
    Some(match survey.integer(path)?.value {
        2 => Elements::Two,
        3 => Elements::Three,
        _ => Elements::One,
    })
}

/// Settings of a section; gain and reset stand there exactly when they are stated.
fn settings(survey: &mut Survey<'_>, section: &str) -> Option<SettingsChoice> {
    let path = |key: &str| format!("{section}.{key}");
    let word = survey.word(&path("settings"));
    let choice = match word.as_ref().map(|word| word.value) {
        Some("habit") => SettingsChoice::Habit,
        Some("as-found") => SettingsChoice::AsFound,
        Some("stated") => return stated(survey, section),
        Some(_) => SettingsChoice::Chosen,
        None => {
            for key in ["gain", "reset"] {
                survey.refuse(
                    &path(key),
                    "settings are \"stated\" where gain and reset stand",
                );
            }
            return None;
        }
    };
    for key in ["gain", "reset"] {
        survey.refuse(
            &path(key),
            "only stated settings have numbers of their own here",
        );
    }
    Some(choice)
}

fn stated(survey: &mut Survey<'_>, section: &str) -> Option<SettingsChoice> {
    let (gain_path, reset_path) = (format!("{section}.gain"), format!("{section}.reset"));
    for (path, example) in [
        (&gain_path, "gain = \"25 %\""),
        (&reset_path, "reset = \"80 s/repeat\""),
    ] {
        if survey.is_absent(path) {
            survey.problems.push(
                Problem::new(
                    "key-missing",
                    format!("`{path}` is missing: the settings are stated"),
                    Label::new(survey.entries.section_span(section), "it belongs here"),
                )
                .help(format!("write for instance {example}")),
            );
        }
    }
    let gain = survey.quantity(&gain_path);
    let reset_s = if survey.is_none_word(&reset_path) {
        Some(None)
    } else {
        survey.number(&reset_path).map(|reset| Some(reset.value))
    };
    let gain = gain?;
    let gain_ratio = match gain.value.basis {
        Basis::BandPercent => 100.0 / gain.value.value,
        Basis::BandLevel => {
            survey.problems.push(
                Problem::new(
                    "gain-in-another-form",
                    format!("`{gain_path}`: {} is a band in level units, which differs from loop to loop", gain.text),
                    gain.label("a scenario fits any loop"),
                )
                .help("write a band in percent of span, \"25 %\", or a gain, \"4 %/%\""),
            );
            return None;
        }
        _ => gain.value.value,
    };
    Some(SettingsChoice::Stated {
        gain_ratio,
        reset_s: reset_s?,
    })
}

/// Events in the order of their times, repetitions written out.
fn events(survey: &mut Survey<'_>) -> Option<Vec<Event>> {
    let duration_s = survey.number("scenario.duration").map(|found| found.value);
    let mut events: Vec<Event> = Vec::new();
    for index in 0..survey.entries.count("event") {
        let at = survey.number(&format!("event[{index}].at"));
        let happening = happening(survey, index);
        let (Some(at), Some(happening), Some(duration_s)) = (at, happening, duration_s) else {
            continue;
        };
        if at.value > duration_s {
            survey.problems.push(
                Problem::new(
                    "event-after-the-end",
                    format!(
                        "`{}` at {} lies after the end of the run",
                        at.shown(),
                        at.text
                    ),
                    at.label("later than `scenario.duration`"),
                )
                .help("let the scenario run longer, or the event come sooner"),
            );
            continue;
        }
        let every = survey.number(&format!("event[{index}].every"));
        let mut time_s = at.value;
        loop {
            events.push(Event { time_s, happening });
            let Some(every) = &every else { break };
            time_s += every.value;
            if time_s > duration_s {
                break;
            }
            if events.len() >= MOST_EVENTS {
                survey.problems.push(
                    Problem::new(
                        "events-too-many",
                        format!("more than {MOST_EVENTS} events"),
                        every.label("repeated this often"),
                    )
                    .help("repeat it less often"),
                );
                return None;
            }
        }
    }
    // Stable: events of one time happen in the order written.
    events.sort_by(|left, right| left.time_s.total_cmp(&right.time_s));
    Some(events)
}

/// Keys of which every event has exactly one.
const HAPPENINGS: [&str; 12] = [
    "load",
    "feed-temperature",
    "pump",
    "valve",
    "signal",
    "reference-leg",
    "set-point",
    "output",
    "controller",
    "blowdown",
    "foam",
    "heat",
];

fn happening(survey: &mut Survey<'_>, index: usize) -> Option<Happening> {
    let path = |key: &str| format!("event[{index}].{key}");
    let stated: Vec<&str> = HAPPENINGS
        .into_iter()
        .filter(|key| survey.is_present(&path(key)))
        .collect();
    let section = survey.entries.section_span(&format!("event[{index}]"));
    let help = format!("an event has one of {}", HAPPENINGS.join(", "));
    let key = match stated[..] {
        [key] => key,
        [] => {
            survey.problems.push(
                Problem::new(
                    "event-empty",
                    "nothing happens in this event",
                    Label::new(section, "only a time"),
                )
                .help(help),
            );
            return None;
        }
        _ => {
            survey.problems.push(
                Problem::new(
                    "event-with-several",
                    format!("several things happen in this event: {}", stated.join(", ")),
                    Label::new(section, "one event each"),
                )
                .help("write an [[event]] for each, with the same `at`"),
            );
            return None;
        }
    };
    if key != "load" {
        survey.refuse(&path("within"), "only a load takes its time");
    }
    let number = |survey: &Survey<'_>| survey.number(&path(key)).map(|found| found.value);
    let is =
        |survey: &Survey<'_>, word: &str| survey.word(&path(key)).map(|found| found.value == word);
    Some(match key {
        "load" => Happening::Load {
            share_ratio: 0.01 * number(survey)?,
            within_s: survey
                .number(&path("within"))
                .map_or(LOAD_WITHIN_S, |within| within.value),
        },
        "feed-temperature" => Happening::FeedTemperature {
            temperature_k: number(survey)?,
        },
        "pump" => Happening::Pump {
            runs: is(survey, "runs")?,
        },
        "valve" => Happening::Valve {
            stuck: is(survey, "sticks")?,
        },
        "signal" => Happening::Signal {
            lost: is(survey, "lost")?,
        },
        "reference-leg" => Happening::ReferenceLeg {
            temperature_k: number(survey)?,
        },
        "set-point" => Happening::SetPoint {
            level_m: number(survey)?,
        },
        "output" => Happening::Hand {
            output_percent: number(survey)?,
        },
        "controller" => is(survey, "auto").map(|_| Happening::Auto)?,
        "blowdown" => {
            let flow = survey.quantity(&path(key))?;
            if flow.value.basis != Basis::Plain {
                survey.problems.push(
                    Problem::new(
                        "flow-not-mass",
                        format!("`{}`: {} is not a flow of mass", flow.shown(), flow.text),
                        flow.label("of another kind"),
                    )
                    .help("write kg/s, kg/h, t/h or lb/h"),
                );
                return None;
            }
            Happening::Blowdown {
                flow_kg_s: flow.value.value,
            }
        }
        "foam" => Happening::Foam {
            share_ratio: 0.01 * number(survey)?,
        },
        _ => Happening::Heat {
            lit: is(survey, "on")?,
        },
    })
}

#[cfg(test)]
mod tests;
