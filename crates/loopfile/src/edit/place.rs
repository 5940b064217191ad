//! Which key a problem belongs to, so that it can be shown where the key is typed.

use super::EditError;
use super::values::{Block, Standing, Values, values};
use crate::problem::Problem;

/// Where a problem belongs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProblemPlace {
    /// Path of its key, blocks counted from 1; also of a key that is missing. `None` where it is no key's.
    pub key: Option<String>,
    /// Path of the block that it is in, or name of the section that is missing.
    pub block: Option<String>,
    /// Paths of the other keys that take part.
    pub also: Vec<String>,
}

/// Which keys of this text a problem belongs to.
///
/// # Errors
/// [`EditError::NotToml`].
pub fn problem_path(text: &str, problem: &Problem) -> Result<ProblemPlace, EditError> {
    Ok(values(text)?.place(problem))
}

impl Values {
    /// Which keys a problem of the same text belongs to.
    pub fn place(&self, problem: &Problem) -> ProblemPlace {
        let at = problem.primary.span.start;
        let (key, block) = match problem.code {
            "key-missing" => self.missing_key(problem),
            "section-missing" => (None, missing_section(problem)),
            _ => (self.key_at(at), self.block_at(at)),
        };
        let mut also = Vec::new();
        for label in &problem.secondary {
            let other = self.key_at(label.span.start);
            also.extend(other.filter(|other| Some(other) != key.as_ref() && !also.contains(other)));
        }
        ProblemPlace { key, block, also }
    }

    fn key_at(&self, at: usize) -> Option<String> {
        let holds = |standing: &&Standing| {
            [&standing.span, &standing.key_span]
                .into_iter()
                .flatten()
                .any(|span| span.contains(&at))
        };
        self.standing()
            .find(holds)
            .map(|standing| standing.path.clone())
    }

    /// The block whose header is nearest before.
    fn block_of(&self, at: usize) -> Option<&Block> {
        let start = |block: &&Block| block.span.as_ref().map(|span| span.start);
        self.blocks
            .iter()
            .filter(|block| start(block).is_some_and(|start| start <= at))
            .max_by_key(start)
    }

    fn block_at(&self, at: usize) -> Option<String> {
        self.block_of(at).map(|block| block.path.clone())
    }

    /// The reader points at the block that lacks the key and names the key without number.
    fn missing_key(&self, problem: &Problem) -> (Option<String>, Option<String>) {
        let named = problem.message.split('`').nth(1).unwrap_or_default();
        let Some((section, name)) = named.rsplit_once('.') else {
            return (None, None);
        };
        let at = problem.primary.span.start;
        let block = self
            .block_of(at)
            .filter(|block| block.section.name == section)
            .or_else(|| {
                self.blocks
                    .iter()
                    .find(|block| block.section.name == section)
            });
        match block {
            Some(block) => (
                Some(format!("{}.{name}", block.path)),
                Some(block.path.clone()),
            ),
            None => (None, None),
        }
    }
}

fn missing_section(problem: &Problem) -> Option<String> {
    let after = problem.message.split('[').find(|part| part.contains(']'))?;
    after.split(']').next().map(str::to_owned)
}
