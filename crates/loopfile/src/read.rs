//! THE way in: bytes to a loop, or every problem at once.

use std::ops::Range;

use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_core::site::STANDARD_ATMOSPHERE_PA;
use toml::de::DeTable;

use crate::entries::Entries;
use crate::keys;
use crate::placeholders::placeholders;
use crate::problem::{Label, Problem};
use crate::resolve::resolve;
use crate::survey::Survey;
use crate::text;

/// Reads a loop file.
///
/// # Errors
/// All problems, in the order of their places. A file that is no TOML gives its syntax problem only.
pub fn read(bytes: &[u8]) -> Result<Loop, Vec<Problem>> {
    let (text, mark) = text::checked(bytes)?;
    read_text(text).map_err(|problems| placed(problems, mark))
}

/// Problems in the order of their places, counted from the file's first byte.
pub(crate) fn placed(mut problems: Vec<Problem>, mark: usize) -> Vec<Problem> {
    for problem in &mut problems {
        for label in std::iter::once(&mut problem.primary).chain(&mut problem.secondary) {
            label.span = label.span.start + mark..label.span.end + mark;
        }
    }
    problems.sort_by_key(|problem| problem.primary.span.start);
    problems
}

fn read_text(text: &str) -> Result<Loop, Vec<Problem>> {
    let table = parse(text)?;
    let (entries, problems) =
        Entries::collect(keys::LOOP_FILE, table.get_ref(), text.trim_end().len());
    let mut survey = Survey {
        entries: &entries,
        problems,
        assumptions: Vec::new(),
        units: UnitSystem::Si,
        atmosphere: AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA),
    };
    if survey.word("loop.units").map(|word| word.value) == Some("us") {
        survey.units = UnitSystem::Us;
    }
    let described = resolve(&mut survey);
    match described {
        Some(described) if survey.problems.is_empty() => Ok(Loop {
            placeholders: placeholders(text, &entries),
            ..described
        }),
        _ if survey.problems.is_empty() => Err(vec![Problem::new(
            "loop-incomplete",
            "the loop cannot be put together although nothing was found wrong; this is a defect of this program",
            Label::new(0..0, "somewhere in this file"),
        )]),
        _ => Err(survey.problems),
    }
}

/// Duplicate keys are all reported, with both places; any other syntax error makes what follows unsure, so only the
/// first is.
pub(crate) fn parse(text: &str) -> Result<toml::Spanned<DeTable<'_>>, Vec<Problem>> {
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Ok(table);
    }
    let is_duplicate = |error: &toml::de::Error| error.message().starts_with("duplicate key");
    let syntax = errors.iter().find(|error| !is_duplicate(error));
    Err(match syntax {
        Some(error) => vec![syntax_problem(text, error)],
        None => {
            let explained = single_again(text);
            let is_explained = |at: usize| {
                let after = explained.partition_point(|range| range.start <= at);
                after > 0 && explained[after - 1].contains(&at)
            };
            let told: Vec<_> = errors
                .iter()
                .filter(|error| !is_explained(span_within(text, error).start))
                .collect();
            // Never without any problem, whatever the parser calls a duplicate.
            let told = if told.is_empty() {
                errors.iter().collect()
            } else {
                told
            };
            told.into_iter()
                .take(50)
                .map(|error| duplicate_problem(text, error))
                .collect()
        }
    })
}

fn span_within(text: &str, error: &toml::de::Error) -> Range<usize> {
    let span = error.span().unwrap_or(0..0);
    let start = span.start.min(text.len());
    start..span.end.clamp(start, text.len())
}

fn syntax_problem(text: &str, error: &toml::de::Error) -> Problem {
    Problem::new(
        "not-toml",
        format!("the file cannot be read as TOML: {}", error.message()),
        Label::new(span_within(text, error), "here"),
    )
    .help("sections are [name], values are name = \"30 in\", texts are in double quotes, remarks begin with #")
}

fn duplicate_problem(text: &str, error: &toml::de::Error) -> Problem {
    let span = span_within(text, error);
    let name = text.get(span.clone()).unwrap_or_default();
    if let Some(section) = repeated_header(text, span.start) {
        let name = section.name;
        return Problem::new(
            "section-header",
            format!("`{name}` may be there more than once and is written [[{name}]]"),
            Label::new(span, "once more, and single brackets are among them"),
        )
        .help(format!("write [[{name}]] each time, also the first"));
    }
    let problem = Problem::new(
        "key-twice",
        format!(
            "`{}` is written twice",
            name.chars().take(60).collect::<String>()
        ),
        Label::new(span.clone(), "again here"),
    )
    .help("keep the right one");
    match earlier_line(text, name, span.start) {
        Some(first) => problem.and(Label::new(first, "first here")),
        None => problem,
    }
}

/// The repeated section whose header, in single or double brackets, stands on the line of this place.
fn repeated_header(text: &str, at: usize) -> Option<&'static keys::Section> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |newline| newline + 1);
    let line = text.get(start..)?.lines().next()?.trim_start();
    let line = line.strip_prefix('[')?;
    let (name, _) = line.strip_prefix('[').unwrap_or(line).split_once(']')?;
    let name = name.trim();
    keys::section(name)
        .or_else(|| keys::SCENARIO_FILE.section(name))
        .filter(|section| section.repeated)
}

/// Places of the headers of repeated sections that stand in single brackets for the second time, and where each ends.
///
/// Keys under them are double only because of the brackets, which are reported themselves.
fn single_again(text: &str) -> Vec<Range<usize>> {
    let mut seen: Vec<&str> = Vec::new();
    let mut found: Vec<Range<usize>> = Vec::new();
    let mut is_open = false;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with('[') {
            if is_open && let Some(last) = found.last_mut() {
                last.end = at;
            }
            let section = repeated_header(line, 0).filter(|_| !line.trim_start().starts_with("[["));
            is_open = section.is_some_and(|section| seen.contains(&section.name));
            if is_open {
                found.push(at + line.len()..text.len());
            }
            seen.extend(
                section
                    .map(|section| section.name)
                    .filter(|name| !seen.contains(name)),
            );
        }
        at += line.len();
    }
    found
}

/// The nearest earlier line that begins with this key or is its section header.
fn earlier_line(text: &str, name: &str, before: usize) -> Option<Range<usize>> {
    let head = text.get(..before)?;
    let head = &head[..head.rfind('\n').map_or(0, |newline| newline)];
    let mut end = head.len();
    for line in head.rsplit('\n') {
        let start = end - line.len();
        let inner = line.trim_start();
        let indent = line.len() - inner.len();
        let bare = inner.trim_start_matches('[');
        let follows = bare
            .strip_prefix(name)
            .is_some_and(|rest| rest.trim_start().starts_with(['=', ']']));
        if follows && !name.is_empty() {
            let at = start + indent + (inner.len() - bare.len());
            return Some(at..at + name.len());
        }
        end = start.saturating_sub(1);
    }
    None
}
