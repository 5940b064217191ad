//! A form as it was typed: fields in their order, decoded strictly. Nothing is guessed of what is no text.

use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, FromRequest, Request};
use axum::http::header::{ACCEPT, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use halfglass_folder::Revision;
use halfglass_loopfile::LARGEST_FILE_BYTES;

use crate::refusal::Refusal;

/// Two texts of the largest size, every byte of them written as three, and the form around them.
const LARGEST_FORM_BYTES: usize = 7 * LARGEST_FILE_BYTES;

/// Largest form of the editing pages: both texts of a conflict travel in it.
pub(crate) fn limit() -> DefaultBodyLimit {
    DefaultBodyLimit::max(LARGEST_FORM_BYTES)
}

/// The fields of a form, and whether a script asks for JSON.
#[derive(Debug, Default)]
pub(crate) struct Typed {
    fields: Vec<(String, String)>,
    pub(crate) wants_json: bool,
}

impl Typed {
    /// The first field of this name; empty where there is none.
    pub(crate) fn get(&self, name: &str) -> &str {
        let named = self.fields().find(|(known, _)| *known == name);
        named.map_or("", |(_, value)| value)
    }

    /// All fields of this name.
    pub(crate) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.fields
            .iter()
            .filter(move |(known, _)| known == name)
            .map(|(_, value)| value.as_str())
    }

    /// All fields.
    pub(crate) fn fields(&self) -> impl Iterator<Item = (&str, &str)> {
        self.fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// The text of the file that the page was made from, as its hash.
    pub(crate) fn revision(&self) -> Result<Revision, Refusal> {
        Revision::parse(self.get("revision")).ok_or_else(|| {
            Refusal::bad(
                "revision",
                "the form does not say which text of the file it was made from",
                "Load the page again and type it there.",
            )
        })
    }

    /// A whole text in a field, written as JSON so that no browser changes its line ends.
    pub(crate) fn text(&self, name: &str) -> Result<String, Refusal> {
        let text: String = serde_json::from_str(self.get(name)).map_err(|_| {
            Refusal::bad(
                "draft",
                "the form does not hold the text that it was made from",
                "Load the page again and type it there.",
            )
        })?;
        if text.len() > LARGEST_FILE_BYTES {
            return Err(too_large());
        }
        Ok(text)
    }
}

/// A text as [`Typed::text`] reads it back.
pub(crate) fn as_json(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

pub(crate) fn too_large() -> Refusal {
    Refusal::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "too-large",
        format!("what was sent is larger than a loop file may be, {LARGEST_FILE_BYTES} bytes"),
        "A loop file is a page or two of text; look whether this is one.",
    )
}

impl<S: Send + Sync> FromRequest<S> for Typed {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let headers = request.headers().clone();
        if !has(&headers, CONTENT_TYPE, "application/x-www-form-urlencoded") {
            return Err(Refusal::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "not-a-form",
                "the request is not the form of a page",
                "Send it from the page itself.",
            ));
        }
        let body =
            Bytes::from_request(request, state)
                .await
                .map_err(|rejection| match rejection.status() {
                    StatusCode::PAYLOAD_TOO_LARGE => too_large(),
                    status => Refusal::new(
                        status,
                        "not-whole",
                        "the form did not arrive whole",
                        "Nothing was written. Send it again.",
                    ),
                })?;
        Ok(Self {
            fields: fields(&body)?,
            wants_json: has(&headers, ACCEPT, "application/json"),
        })
    }
}

fn has(headers: &HeaderMap, name: axum::http::HeaderName, kind: &str) -> bool {
    headers
        .get(name)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.get(..kind.len()))
        .is_some_and(|value| value.eq_ignore_ascii_case(kind))
}

/// Names and values of a form.
fn fields(body: &[u8]) -> Result<Vec<(String, String)>, Refusal> {
    body.split(|byte| *byte == b'&')
        .filter(|pair| !pair.is_empty())
        .map(|pair| {
            let middle = pair.iter().position(|byte| *byte == b'=');
            let (name, value) = match middle {
                Some(middle) => (&pair[..middle], &pair[middle + 1..]),
                None => (pair, &[][..]),
            };
            Ok((decoded(name)?, decoded(value)?))
        })
        .collect()
}

fn decoded(bytes: &[u8]) -> Result<String, Refusal> {
    let no_text = |what: &str| {
        Refusal::bad(
            "not-text",
            what,
            "Nothing was written. Type it as plain text.",
        )
    };
    let mut decoded = Vec::with_capacity(bytes.len());
    let mut rest = bytes;
    while let Some((first, after)) = rest.split_first() {
        let digit = |place: usize| after.get(place).and_then(|b| char::from(*b).to_digit(16));
        let (byte, left) = match (first, digit(0), digit(1)) {
            (b'%', Some(high), Some(low)) => {
                let byte = u8::try_from(16 * high + low).unwrap_or_default();
                (byte, &after[2..])
            }
            (b'+', _, _) => (b' ', after),
            _ => (*first, after),
        };
        decoded.push(byte);
        rest = left;
    }
    if decoded.contains(&0) {
        return Err(no_text("what was sent has a NUL character in it"));
    }
    String::from_utf8(decoded).map_err(|_| no_text("what was sent is not UTF-8 text"))
}
