//! A new loop file: questions, answers, and the commented file they make.
//!
//! The file is complete at once: what was not answered stands in it as an invented example, marked so. It reads and
//! computes as it is, and the marks are what the survey still has to replace.

mod answers;
mod contradictions;
mod default_words;
mod file;
mod foreign;
mod invented;
mod questions;
mod understood;

pub use answers::{AnswerError, Answers};
pub use contradictions::{Contradiction, contradictions};
pub use file::commented_file;
pub use questions::{Question, questions};
pub use understood::understood;

#[cfg(test)]
mod questions_tests;
#[cfg(test)]
mod tests;
