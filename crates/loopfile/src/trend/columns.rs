//! Which column is which: by the name asked for, or by the words of its head.

use super::Cell;
use crate::problem::{Label, Problem};

/// Columns named by the person; the rest is matched by the words of the head.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AskedColumns {
    /// Column of the time.
    pub time: Option<String>,
    /// Column of the INDICATED level.
    pub level: Option<String>,
    /// Column of the controller output.
    pub output: Option<String>,
}

/// What a number of a column means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scale {
    /// Times this.
    Factor(f64),
    /// 4 to 20 mA as 0 to 100 %.
    Milliampere,
}

/// Places and scales of the three columns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Columns {
    pub(super) time: usize,
    pub(super) level: usize,
    pub(super) output: usize,
    pub(super) time_scale: f64,
    pub(super) level_scale: Scale,
    pub(super) output_scale: Scale,
    pub(super) names: [String; 3],
}

impl Columns {
    /// Time, level, output, in seconds and percent.
    pub(super) fn in_order() -> Self {
        Self {
            time: 0,
            level: 1,
            output: 2,
            time_scale: 1.0,
            level_scale: Scale::Factor(1.0),
            output_scale: Scale::Factor(1.0),
            names: ["first", "second", "third"].map(str::to_owned),
        }
    }
}

/// A role: how it is asked for, the words that tell it, and words that tell another.
struct Role {
    what: &'static str,
    option: &'static str,
    words: &'static [&'static str],
    never: &'static [&'static str],
}

const TIME: Role = Role {
    what: "time",
    option: "time-column",
    words: &[
        "time",
        "timestamp",
        "datetime",
        "date",
        "seconds",
        "elapsed",
        "t",
    ],
    never: &[],
};
const LEVEL: Role = Role {
    what: "INDICATED level",
    option: "level-column",
    words: &["level", "indicated", "pv", "panel", "measurement"],
    never: &["true", "glass", "point", "sp", "setpoint"],
};
const OUTPUT: Role = Role {
    what: "controller output",
    option: "output-column",
    words: &["output", "out", "op"],
    never: &[],
};

/// Finds the three columns in the head.
pub(super) fn match_columns(head: &[Cell], asked: &AskedColumns) -> Result<Columns, Box<Problem>> {
    let time = place(head, &TIME, asked.time.as_deref())?;
    let level = place(head, &LEVEL, asked.level.as_deref())?;
    let output = place(head, &OUTPUT, asked.output.as_deref())?;
    Ok(Columns {
        time,
        level,
        output,
        time_scale: time_scale(&head[time]),
        level_scale: percent_scale(&head[level], &LEVEL)?,
        output_scale: percent_scale(&head[output], &OUTPUT)?,
        names: [time, level, output].map(|index| head[index].text.clone()),
    })
}

fn place(head: &[Cell], role: &Role, asked: Option<&str>) -> Result<usize, Box<Problem>> {
    let all = || {
        let names: Vec<String> = head
            .iter()
            .filter(|cell| !cell.text.is_empty())
            .map(|cell| format!("`{}`", cell.text))
            .collect();
        names.join(", ")
    };
    let whole_head =
        head.first().map_or(0, |cell| cell.span.start)..head.last().map_or(0, |cell| cell.span.end);
    let found: Vec<usize> = match asked {
        Some(name) => (0..head.len())
            .filter(|&index| head[index].text.eq_ignore_ascii_case(name.trim()))
            .collect(),
        None => (0..head.len())
            .filter(|&index| {
                let words = words(&head[index].text);
                words.iter().any(|word| role.words.contains(&word.as_str()))
                    && !words.iter().any(|word| role.never.contains(&word.as_str()))
            })
            .collect(),
    };
    match (found.as_slice(), asked) {
        (&[one], _) => Ok(one),
        ([], Some(name)) => Err(Box::new(
            Problem::new(
                "record-column-missing",
                format!("no column of the record is called `{name}`"),
                Label::new(whole_head, "the columns"),
            )
            .help(format!("its columns are {}", all())),
        )),
        ([], None) => Err(Box::new(
            Problem::new(
                "record-column-missing",
                format!("no column of the record is known as the {}", role.what),
                Label::new(whole_head, "the columns"),
            )
            .help(format!(
                "say which with --{}; its columns are {}",
                role.option,
                all()
            )),
        )),
        (several, _) => {
            let mut problem = Problem::new(
                "record-column-ambiguous",
                format!("more than one column could be the {}", role.what),
                Label::new(head[several[0]].span.clone(), "this one"),
            )
            .help(format!("say which with --{}", role.option));
            for &index in &several[1..] {
                problem = problem.and(Label::new(head[index].span.clone(), "or this one"));
            }
            Err(Box::new(problem))
        }
    }
}

/// The words of a head, small; units go with them.
fn words(head: &str) -> Vec<String> {
    head.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// The unit of a head: in brackets, after a comma, or behind the last underscore.
fn unit(head: &str) -> String {
    let head = head.trim();
    let inside = |open: char, close: char| {
        let start = head.rfind(open)? + open.len_utf8();
        let end = head[start..].find(close)? + start;
        Some(&head[start..end])
    };
    inside('(', ')')
        .or_else(|| inside('[', ']'))
        .or_else(|| head.rsplit_once(',').map(|(_, unit)| unit))
        .or_else(|| head.rsplit_once('_').map(|(_, unit)| unit))
        .or_else(|| head.ends_with('%').then_some("%"))
        .unwrap_or("")
        .trim()
        .to_lowercase()
}

fn time_scale(head: &Cell) -> f64 {
    match unit(&head.text).as_str() {
        "ms" => 1e-3,
        "min" | "minutes" => 60.0,
        "h" | "hours" => 3600.0,
        // What else stands there, a time zone for example, is no unit of a number.
        _ => 1.0,
    }
}

fn percent_scale(head: &Cell, role: &Role) -> Result<Scale, Box<Problem>> {
    match unit(&head.text).as_str() {
        "" | "%" | "percent" | "pct" => Ok(Scale::Factor(1.0)),
        "ratio" | "fraction" => Ok(Scale::Factor(100.0)),
        "ma" => Ok(Scale::Milliampere),
        // The word itself behind an underscore.
        word if role.words.contains(&word) => Ok(Scale::Factor(1.0)),
        other => Err(Box::new(Problem::new(
            "record-unit",
            format!(
                "the {} of a record is a percentage of its span, and this column says `{other}`",
                role.what
            ),
            Label::new(head.span.clone(), "here"),
        )
        .help(
            "export it in % or in mA (4 to 20), or convert it with the range that the panel had",
        ))),
    }
}
