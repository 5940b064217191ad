//! What stands in the margins of every printed page of a loop: which loop, which sheet, from which text and when, which
//! page. A style of its own, since it differs with the loop and pages hold no style; browsers that know no margin boxes
//! leave it out and print the line at the head of the sheet alone.

use std::fmt::Write as _;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use crate::blocks::Printed;
use crate::frame::{Frame, SHEETS};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::Workbench;

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Where {
    /// Id of the page in the way around.
    #[serde(default)]
    here: String,
}

/// `GET /loops/{name}/print.css?here=range`.
pub(crate) async fn style(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    Query(asked): Query<Where>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let opened = bench.open(&name).await?;
    let frame = Frame::of_loop(&opened.name, "", "", chosen);
    let mut ways = frame.ways().into_iter().chain(frame.sheets());
    let way = ways.find(|way| way.id == asked.here);
    let words = way.map_or("", |way| way.words);
    // These have the same line at the head of their first page.
    let has_head = asked.here == "print" || SHEETS.iter().any(|(id, _)| *id == asked.here);
    let heads = match opened.designed.described() {
        None => Heads {
            loop_words: opened.name.to_string(),
            page_words: words.to_owned(),
            file_words: format!("file {}", opened.stored.revision.short()),
        },
        Some(described) => {
            let printed = Printed::of(&opened, described);
            let draft = printed.draft();
            let parts = [words, draft.as_str()];
            let parts = parts.into_iter().filter(|part| !part.is_empty());
            Heads {
                loop_words: format!("{} · {}", printed.tag, printed.service),
                page_words: parts.collect::<Vec<_>>().join(" · "),
                file_words: format!(
                    "revision {} · file {} · as of {}",
                    printed.revision, printed.sha_short, printed.as_of
                ),
            }
        }
    };
    Ok((
        [
            (CONTENT_TYPE, "text/css; charset=utf-8"),
            (CACHE_CONTROL, "no-store"),
        ],
        heads.style(has_head),
    )
        .into_response())
}

struct Heads {
    loop_words: String,
    page_words: String,
    file_words: String,
}

impl Heads {
    fn style(&self, has_head: bool) -> String {
        let letters =
            "font: 8pt \"Source Sans 3\", sans-serif; color: #1a1a1a; vertical-align: middle;";
        let mut style = String::from("@page {\n");
        for (place, words) in [
            ("top-left", &self.loop_words),
            ("top-right", &self.page_words),
            ("bottom-left", &self.file_words),
        ] {
            let _ = writeln!(
                style,
                "  @{place} {{ content: {}; {letters} }}",
                quoted(words)
            );
        }
        let _ = writeln!(
            style,
            "  @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); {letters} }}\n}}"
        );
        if has_head {
            style.push_str(
                "@page :first { @top-left { content: none; } @top-right { content: none; } }\n",
            );
        }
        style
    }
}

/// A text as a string of a style: all but letters, digits and spaces by their numbers.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        if letter.is_ascii_alphanumeric() || letter == ' ' {
            quoted.push(letter);
        } else {
            let _ = write!(quoted, "\\{:X} ", u32::from(letter));
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_no_text_of_a_person_leaves_its_string() {
        let heads = Heads {
            loop_words: "\"; } * { color: red } /*\\\n</style>".into(),
            page_words: String::new(),
            file_words: "a".into(),
        };
        let style = heads.style(true);
        let line = style.lines().find(|l| l.contains("top-left")).unwrap();
        let (_, rest) = line.split_once("content: \"").unwrap();
        let (text, after) = rest.split_once('"').unwrap();
        assert!(after.starts_with("; font: 8pt"), "{line}");
        assert!(
            text.chars()
                .all(|c| c.is_ascii_alphanumeric() || c == ' ' || c == '\\'),
            "{text}"
        );
        assert!(
            text.contains("color\\3A  red") && text.contains("\\A "),
            "{text}"
        );
    }
}
