//! What was typed, checked and not saved: as JSON for the script, or as the same page again.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use halfglass_folder::LoopName;

use super::draft::{Judged, judged, read_only, with_typed};
use super::edit::{Draft, known, part_page};
use super::text::{plain_ends, text_page};
use super::typed::{Typed, too_large};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// `POST /loops/{name}/check`: the fields of a part's form with its draft, or the text of the text view.
pub(crate) async fn check(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
    chosen: Preferences,
    typed: Typed,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        if typed.get("part") == "text" {
            let text = plain_ends(typed.get("text"));
            if text.len() > halfglass_loopfile::LARGEST_FILE_BYTES {
                return Err(too_large());
            }
            if typed.wants_json {
                return Ok(Json(said(&bench, &text, &typed)).into_response());
            }
            return text_page(&bench, &name, text, &typed.revision()?, None, "", chosen);
        }
        let (text, unmade) = with_typed(&typed.text("draft")?, &typed)?;
        if typed.wants_json {
            return Ok(Json(said(&bench, &text, &typed)).into_response());
        }
        let draft = Draft {
            text,
            revision: typed.revision()?,
            unmade,
            refusal: None,
            said: "",
        };
        part_page(&bench, &name, known(typed.get("part"))?, draft, chosen)
    })
    .await
}

/// The problems, at once; the findings too where they are asked for.
fn said(bench: &Workbench, text: &str, typed: &Typed) -> Judged {
    if typed.get("findings").is_empty() {
        read_only(text)
    } else {
        judged(bench, text)
    }
}
