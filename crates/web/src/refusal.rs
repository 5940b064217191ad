//! Why a request is refused or failed: one type for pages and API, with the way out in words.

use askama::Template;
use axum::extract::Request;
use axum::extract::rejection::FormRejection;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};
use halfglass_folder::{FolderError, LoopName, NameError};

use crate::frame::{Frame, loop_address};
use crate::preferences::Preferences;

/// Why a request is not answered as asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Refusal {
    pub(crate) status: StatusCode,
    /// Stable kebab-case code.
    pub(crate) code: &'static str,
    /// What happened, one sentence.
    pub(crate) what: String,
    /// What to do, one sentence; may be empty.
    pub(crate) remedy: String,
    /// Where that is done, and the page's name; the list of loops where it is empty.
    pub(crate) way: Option<(String, String)>,
}

impl Refusal {
    /// Any refusal.
    pub(crate) fn new(
        status: StatusCode,
        code: &'static str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            status,
            code,
            what: what.into(),
            remedy: remedy.into(),
            way: None,
        }
    }

    /// No such page.
    pub(crate) fn not_found(what: impl Into<String>) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "not-found",
            what,
            "Go back to the list of loops.",
        )
    }

    /// A request that makes no sense.
    pub(crate) fn bad(
        code: &'static str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self::new(StatusCode::BAD_REQUEST, code, what, remedy)
    }

    /// A defect of this program.
    pub(crate) fn defect(what: &str) -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "defect",
            format!("{what}; this is a defect of this program"),
            "Nothing was written. Try again; the terminal that runs it may say more.",
        )
    }

    /// As the API says it.
    pub(crate) fn into_json(self) -> Response {
        let body = serde_json::json!({
            "error": { "code": self.code, "what": self.what, "remedy": self.remedy },
        });
        (self.status, axum::Json(body)).into_response()
    }

    /// A loop without sheets.
    pub(crate) fn no_sheets(name: &LoopName) -> Self {
        let refusal = Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "no-sheets",
            "the loop file has problems, so there are no sheets",
            "Mend the problems listed on the loop's page.",
        );
        Self {
            way: Some((loop_address(name), format!("Problems of {name}"))),
            ..refusal
        }
    }

    /// The pack could not be printed.
    pub(crate) fn pack(what: String) -> Self {
        Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "no-pack",
            what,
            "Mend what is named and print again.",
        )
    }
}

impl From<NameError> for Refusal {
    fn from(error: NameError) -> Self {
        Self::bad("name", error.to_string(), "Choose another name.")
    }
}

impl From<FolderError> for Refusal {
    fn from(error: FolderError) -> Self {
        let mut what = error.to_string();
        let mut source = std::error::Error::source(&error);
        while let Some(cause) = source {
            what = format!("{what}: {cause}");
            source = cause.source();
        }
        let (status, code, remedy) = match &error {
            FolderError::Missing(_) => (
                StatusCode::NOT_FOUND,
                "no-such-loop",
                "It may have been renamed or deleted; look in the list of loops.",
            ),
            FolderError::Taken(_) => (StatusCode::CONFLICT, "name-taken", "Choose another name."),
            FolderError::Name(_) => (StatusCode::BAD_REQUEST, "name", "Choose another name."),
            FolderError::NotAFile(_) => (
                StatusCode::FORBIDDEN,
                "not-a-file",
                "Put the file itself into the folder.",
            ),
            FolderError::TooLarge { .. } => (
                StatusCode::PAYLOAD_TOO_LARGE,
                "too-large",
                "A loop file is a page or two of text; look whether this is one.",
            ),
            FolderError::NotText(_) => (
                StatusCode::UNPROCESSABLE_ENTITY,
                "not-text",
                "Choose the loop file itself, a text in UTF-8; a spreadsheet, a picture or a PDF is none.",
            ),
            FolderError::NotOurs(_) => (
                StatusCode::CONFLICT,
                "not-ours",
                "Nothing was written. Move it out of the folder by hand, then try again.",
            ),
            FolderError::Busy => (
                StatusCode::SERVICE_UNAVAILABLE,
                "busy",
                "Nothing was written. Try again in a moment.",
            ),
            FolderError::NothingEarlier(_) => (
                StatusCode::CONFLICT,
                "nothing-earlier",
                "Nothing has been saved over since the file was made.",
            ),
            FolderError::Write { .. } => (
                StatusCode::INSUFFICIENT_STORAGE,
                "not-saved",
                "The file is as it was and what you typed is kept in the page: make room or have the folder made writable, then save again.",
            ),
            _ => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "not-read",
                "Look whether the disk is there and may be read.",
            ),
        };
        Self::new(status, code, what, remedy)
    }
}

impl From<FormRejection> for Refusal {
    fn from(rejection: FormRejection) -> Self {
        Self::new(
            rejection.status(),
            "form",
            "the form that was sent cannot be read",
            "Go back, load the page again and send it from there.",
        )
    }
}

#[derive(Template)]
#[template(path = "refusal.html")]
struct RefusalPage {
    frame: Frame,
    refusal: Refusal,
}

impl Refusal {
    fn page(self, chosen: Preferences) -> Response {
        let status = self.status;
        let page = RefusalPage {
            frame: Frame::new("Not done", chosen, "/"),
            refusal: self,
        };
        match page.render() {
            Ok(html) => (status, Html(html)).into_response(),
            Err(_) => (status, page.refusal.what).into_response(),
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let refusal = self.clone();
        let mut response = self.page(Preferences::default());
        // For `as_chosen`, which knows who asked.
        response.extensions_mut().insert(refusal);
        response
    }
}

/// Draws the page of a refusal in the light and text size that the person chose.
pub(crate) async fn as_chosen(chosen: Preferences, request: Request, next: Next) -> Response {
    let is_api = request.uri().path().starts_with("/api/");
    let mut response = next.run(request).await;
    if !is_api && is_bare(&response) {
        return unread(response.status()).page(chosen);
    }
    if let Some(refusal) = response.extensions_mut().remove::<Refusal>() {
        *response.body_mut() = refusal.page(chosen).into_body();
    }
    response
}

/// Is it refused by the server's own machinery, in a bare line or without a word.
fn is_bare(response: &Response) -> bool {
    let kind = response.headers().get(CONTENT_TYPE);
    let is_text = kind.is_none_or(|kind| kind.as_bytes().starts_with(b"text/plain"));
    response.status().is_client_error() && is_text
}

/// A request that no page could read.
fn unread(status: StatusCode) -> Refusal {
    let (code, what) = match status {
        StatusCode::METHOD_NOT_ALLOWED => ("method", "this address is not asked for like this"),
        StatusCode::PAYLOAD_TOO_LARGE => ("too-large", "what was sent is too large"),
        _ => ("request", "the address or the form cannot be read"),
    };
    let remedy = "Nothing was written. Go back to the list of loops and start from there.";
    Refusal::new(status, code, what, remedy)
}
