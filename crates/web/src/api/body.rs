//! What programs send, read with answers in JSON when it cannot be; and how refusals are answered.

use axum::extract::rejection::{BytesRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use halfglass_folder::LoopName;
use serde::de::DeserializeOwned;

use crate::refusal::Refusal;

/// A refusal, answered as JSON.
#[derive(Debug)]
pub(super) struct ApiRefusal(Refusal);

impl<T: Into<Refusal>> From<T> for ApiRefusal {
    fn from(refusal: T) -> Self {
        Self(refusal.into())
    }
}

impl IntoResponse for ApiRefusal {
    fn into_response(self) -> Response {
        self.0.into_json()
    }
}

/// A JSON body.
#[derive(Debug)]
pub(super) struct Sent<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Sent<T> {
    type Rejection = ApiRefusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiRefusal> {
        let kind = request
            .headers()
            .get(CONTENT_TYPE)
            .and_then(|kind| kind.to_str().ok())
            .and_then(|kind| kind.split(';').next())
            .map(str::trim);
        if !kind.is_some_and(|kind| kind.eq_ignore_ascii_case("application/json")) {
            return Err(Refusal::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "media-type",
                "the body is not said to be JSON",
                "Send it with Content-Type: application/json.",
            )
            .into());
        }
        let bytes = axum::body::Bytes::from_request(request, state)
            .await
            .map_err(unreadable)?;
        serde_json::from_slice(&bytes).map(Self).map_err(|error| {
            Refusal::bad(
                "body",
                format!("the body is not what this address takes: {error}"),
                "Look into /api/v1/openapi.json.",
            )
            .into()
        })
    }
}

fn unreadable(rejection: BytesRejection) -> ApiRefusal {
    let status = rejection.status();
    let remedy = if status == StatusCode::PAYLOAD_TOO_LARGE {
        "A loop file is a page or two of text; look whether this is one."
    } else {
        "Send it again."
    };
    Refusal::new(status, "body", rejection.body_text(), remedy).into()
}

/// The name of a loop in the address.
#[derive(Debug)]
pub(super) struct Named(pub(super) LoopName);

impl<S: Send + Sync> FromRequestParts<S> for Named {
    type Rejection = ApiRefusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiRefusal> {
        let Path(name) = Path::<String>::from_request_parts(parts, state)
            .await
            .map_err(|rejection: PathRejection| {
                Refusal::bad("address", rejection.body_text(), "Encode it as UTF-8.")
            })?;
        Ok(Self(LoopName::new(&name)?))
    }
}

/// The query of the address.
#[derive(Debug)]
pub(super) struct Asked<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Asked<T> {
    type Rejection = ApiRefusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ApiRefusal> {
        Query::<T>::from_request_parts(parts, state)
            .await
            .map(|Query(asked)| Self(asked))
            .map_err(|rejection: QueryRejection| {
                Refusal::bad(
                    "query",
                    rejection.body_text(),
                    "Look into /api/v1/openapi.json.",
                )
                .into()
            })
    }
}
