//! THE way in: bytes to a loop, or every problem at once.

use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_core::site::STANDARD_ATMOSPHERE_PA;
use toml::de::DeTable;

use crate::entries::Entries;
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
    let mut problems = match read_text(text) {
        Ok(described) => return Ok(described),
        Err(problems) => problems,
    };
    for problem in &mut problems {
        for label in std::iter::once(&mut problem.primary).chain(&mut problem.secondary) {
            label.span = label.span.start + mark..label.span.end + mark;
        }
    }
    problems.sort_by_key(|problem| problem.primary.span.start);
    Err(problems)
}

fn read_text(text: &str) -> Result<Loop, Vec<Problem>> {
    let table = parse(text)?;
    let (entries, problems) = Entries::collect(table.get_ref(), text.trim_end().len());
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
fn parse(text: &str) -> Result<toml::Spanned<DeTable<'_>>, Vec<Problem>> {
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Ok(table);
    }
    let is_duplicate = |error: &toml::de::Error| error.message().starts_with("duplicate key");
    let syntax = errors.iter().find(|error| !is_duplicate(error));
    Err(match syntax {
        Some(error) => vec![syntax_problem(text, error)],
        None => errors
            .iter()
            .take(50)
            .map(|error| duplicate_problem(text, error))
            .collect(),
    })
}

fn span_within(text: &str, error: &toml::de::Error) -> std::ops::Range<usize> {
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

/// The nearest earlier line that begins with this key or is its section header.
fn earlier_line(text: &str, name: &str, before: usize) -> Option<std::ops::Range<usize>> {
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
