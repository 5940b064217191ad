//! What an engineer should notice, in words: findings (something is odd) and assumptions (something was not surveyed).

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Do not put this loop in service like this.
    Stop,
    /// Works, but costs accuracy, stability or safety margin.
    Warn,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word printed before a finding.
    pub const fn word(self) -> &'static str {
        match self {
            Severity::Stop => "stop",
            Severity::Warn => "warn",
            Severity::Note => "note",
        }
    }
}

/// Something odd but possible, with its consequence and the way out.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Stable kebab-case code, for instance `range-is-cold`.
    pub code: &'static str,
    /// What was found, one sentence.
    pub what: String,
    /// What follows from it, one sentence.
    pub consequence: String,
    /// What to do, one sentence.
    pub remedy: String,
    /// Dotted path of the input that causes it, for instance `as-found.range-low`; empty when none.
    pub input: &'static str,
}

/// A value that the survey did not give.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumption {
    /// Dotted path in the loop file, for instance `feedwater.deadband`.
    pub input: &'static str,
    /// The value used, with its unit, in words.
    pub value: String,
    /// Why this value, and what it touches.
    pub why: &'static str,
}
