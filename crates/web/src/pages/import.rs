//! A loop file from elsewhere, into the folder. What was uploaded stays in the page until it has a name that is free.

use std::sync::Arc;

use askama::Template;
use axum::extract::multipart::{MultipartError, MultipartRejection};
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_folder::{FolderError, LARGEST_BYTES, LoopName};

use super::upload::{self, LARGEST_FIELD_BYTES, Unread, at_most, words};
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// What the text grows to at most when it is kept in the page.
const LARGEST_KEPT_BYTES: usize = 3 * LARGEST_BYTES as usize;

#[derive(Template)]
#[template(path = "import.html")]
struct ImportPage {
    frame: Frame,
    name: String,
    /// The text that is kept in the page, and what its file was called.
    kept: Option<(String, String)>,
    refusal: Option<Refusal>,
}

/// What a form brought.
#[derive(Debug, Default)]
struct Upload {
    /// Typed name; empty is that of the file.
    name: String,
    /// A file chosen now.
    file: Option<(String, Vec<u8>)>,
    /// A file kept from the last try.
    kept: Option<Vec<u8>>,
    kept_name: String,
}

impl ImportPage {
    /// Would another name help.
    fn is_of_name(&self) -> bool {
        let code = self.refusal.as_ref().map_or("", |refusal| refusal.code);
        matches!(code, "name" | "name-taken")
    }
}

/// `GET /import`.
pub(crate) async fn show(chosen: Preferences) -> Result<Response, Refusal> {
    form_page(String::new(), None, None, chosen)
}

/// `POST /import`: then the loop's page, which shows its problems if it has any.
pub(crate) async fn import(
    State(bench): State<Arc<Workbench>>,
    chosen: Preferences,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Response, Refusal> {
    let form = form.map_err(|rejection| not_read(rejection.status()))?;
    let upload = match upload(form).await {
        Ok(upload) => upload,
        Err(refusal) => {
            let status = refusal.status;
            let page = form_page(String::new(), None, Some(refusal), chosen)?;
            return Ok((status, page).into_response());
        }
    };
    let typed = upload.name.trim().to_owned();
    let file = upload
        .file
        .or(upload.kept.map(|bytes| (upload.kept_name, bytes)));
    let Some((file_name, bytes)) = file else {
        let refusal = Refusal::bad("no-file", "no file is chosen", "Choose a loop file.");
        let page = form_page(typed, None, Some(refusal), chosen)?;
        return Ok((StatusCode::BAD_REQUEST, page).into_response());
    };
    let ended = run_aside({
        let (typed, file_name, bytes) = (typed.clone(), file_name.clone(), bytes.clone());
        move || {
            let name = match typed.as_str() {
                "" => LoopName::of_upload(&file_name)?,
                typed => LoopName::new(typed)?,
            };
            bench.folder.import(&name, &bytes)?;
            Ok(name)
        }
    })
    .await;
    match ended {
        Ok(name) => Ok(Redirect::to(&loop_address(&name)).into_response()),
        Err(refusal) => {
            let kept = kept_text(&bytes).map(|text| (file_name.clone(), text));
            let name = match typed.as_str() {
                "" => LoopName::of_upload(&file_name).map_or(file_name, |name| name.to_string()),
                _ => typed,
            };
            let status = refusal.status;
            let page = form_page(name, kept, Some(refusal), chosen)?;
            Ok((status, page).into_response())
        }
    }
}

fn form_page(
    name: String,
    kept: Option<(String, String)>,
    refusal: Option<Refusal>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    page(&ImportPage {
        frame: Frame::new("Import a file", chosen, "/import"),
        name,
        kept,
        refusal,
    })
}

async fn upload(mut form: Multipart) -> Result<Upload, Refusal> {
    let mut upload = Upload::default();
    let failed = |error: MultipartError| not_read(error.status());
    while let Some(field) = form.next_field().await.map_err(failed)? {
        match field.name() {
            Some("file") => {
                let file_name = field.file_name().unwrap_or_default().to_owned();
                let bytes = at_most(field, LARGEST_BYTES as usize)
                    .await
                    .map_err(refused)?;
                // A form without a chosen file sends an empty one without a name.
                if !file_name.is_empty() || !bytes.is_empty() {
                    upload.file = Some((file_name, bytes));
                }
            }
            Some("name") => upload.name = words(field).await.map_err(refused)?,
            Some("kept-name") => upload.kept_name = words(field).await.map_err(refused)?,
            Some("kept") => {
                let text = at_most(field, LARGEST_KEPT_BYTES).await.map_err(refused)?;
                upload.kept = Some(upload::kept_bytes(&text));
            }
            _ => {
                at_most(field, LARGEST_FIELD_BYTES).await.map_err(refused)?;
            }
        }
    }
    Ok(upload)
}

/// Why a field is refused.
fn refused(unread: Unread) -> Refusal {
    match unread {
        Unread::Form(status) => not_read(status),
        Unread::TooLarge(bytes) => FolderError::TooLarge {
            bytes: bytes as u64,
            most: LARGEST_BYTES,
        }
        .into(),
    }
}

fn not_read(status: StatusCode) -> Refusal {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        return Refusal::new(
            status,
            "too-large",
            "the file is far too large for a loop file, which has 1048576 bytes at most",
            "A loop file is a page or two of text; look whether this is one.",
        );
    }
    Refusal::new(
        status,
        "form",
        "the form that was sent cannot be read",
        "Load the page again and send it from there.",
    )
}

/// A text kept in the page; `None` for what is no text, which no other name would help.
fn kept_text(bytes: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(bytes).ok()?;
    let is_text = !text.contains('\0');
    is_text.then(|| upload::kept(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_what_is_no_text_is_not_kept() {
        assert_eq!(kept_text(b"a = 1").as_deref(), Some("a = 1"));
        assert_eq!(kept_text(b"\xff"), None);
        assert_eq!(kept_text(b"a\0"), None);
    }
}
