//! Problems of a loop file, drawn with the line and a caret, or as JSON.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use halfglass_loopfile::{Problem, problem_json};
use serde_json::json;

use crate::failure::Failure;
use crate::input::{NoSheets, Source};
use crate::output;

/// Prints why a file gave no sheets: to standard error as text, to standard output as JSON.
pub(crate) fn report(source: &Source, reason: &NoSheets, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return output::print(&format!("{}\n", problems_json(source, reason)));
    }
    match reason {
        NoSheets::Problems(problems) => {
            let text = String::from_utf8_lossy(&source.bytes);
            for problem in problems {
                anstream::eprintln!("{}\n", drawn(problem, &text, &source.name));
            }
            let count = problems.len();
            anstream::eprintln!(
                "{}: {count} problem{}; nothing was computed",
                source.name,
                if count == 1 { "" } else { "s" }
            );
        }
        NoSheets::Design(words) => {
            anstream::eprintln!("error[cannot-compute]: {words}\n --> {}", source.name);
        }
    }
    Ok(())
}

/// One problem with its line, caret, code and help.
fn drawn(problem: &Problem, text: &str, name: &str) -> String {
    let clamp = |span: &std::ops::Range<usize>| {
        let floor = |mut at: usize| {
            at = at.min(text.len());
            while !text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        floor(span.start)..floor(span.end.max(span.start))
    };
    let mut snippet = Snippet::source(text).path(name).annotation(
        AnnotationKind::Primary
            .span(clamp(&problem.primary.span))
            .label(problem.primary.text.as_str()),
    );
    for label in &problem.secondary {
        snippet = snippet.annotation(
            AnnotationKind::Context
                .span(clamp(&label.span))
                .label(label.text.as_str()),
        );
    }
    let mut group = Level::ERROR
        .primary_title(problem.message.as_str())
        .id(problem.code)
        .element(snippet);
    if let Some(help) = &problem.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    Renderer::styled().render(&[group])
}

fn problems_json(source: &Source, reason: &NoSheets) -> serde_json::Value {
    let problems: Vec<serde_json::Value> = match reason {
        NoSheets::Problems(problems) => problems
            .iter()
            .map(|problem| problem_json(&source.bytes, problem))
            .collect(),
        NoSheets::Design(words) => vec![json!({ "code": "cannot-compute", "message": words })],
    };
    json!({ "file": source.name, "problems": problems })
}
