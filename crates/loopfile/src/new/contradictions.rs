//! Answers that do not go together, found while they are given.

use super::answers::Answers;
use super::file::commented_file;
use crate::read;

/// Answers that do not go together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradiction {
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
    /// The keys that take part, each answered.
    pub paths: Vec<String>,
}

/// All contradictions between answers. A rule that an invented example takes part in is left out: the example may still
/// be replaced by an answer.
pub fn contradictions(answers: &Answers) -> Vec<Contradiction> {
    let text = commented_file(answers);
    let Err(problems) = read(text.as_bytes()) else {
        return Vec::new();
    };
    problems
        .into_iter()
        .filter_map(|problem| {
            let mut paths: Vec<String> = Vec::new();
            for label in std::iter::once(&problem.primary).chain(&problem.secondary) {
                let path = path_at(&text, label.span.start)?;
                if !answers.is_set(&path) {
                    return None;
                }
                if !paths.contains(&path) {
                    paths.push(path);
                }
            }
            Some(Contradiction {
                message: problem.message,
                help: problem.help,
                paths,
            })
        })
        .collect()
}

/// The key whose line a byte of a new file lies on; in a repeated section with its number from 1.
fn path_at(text: &str, offset: usize) -> Option<String> {
    let start = text.get(..offset)?.rfind('\n').map_or(0, |at| at + 1);
    let (before, line) = (&text[..start], text[start..].lines().next()?);
    let name = line.split_once('=')?.0.trim();
    let header = before.lines().rev().find(|line| line.starts_with('['))?;
    let section = header.trim_matches(['[', ']']);
    if header.starts_with("[[") {
        let number = before.lines().filter(|line| *line == header).count();
        Some(format!("{section}[{number}].{name}"))
    } else {
        Some(format!("{section}.{name}"))
    }
}
