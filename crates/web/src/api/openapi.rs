//! What the API takes and answers, as OpenAPI 3.1: `openapi.json` beside this file.

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

const DESCRIPTION: &str = include_str!("openapi.json");

/// `GET /openapi.json`.
pub(super) async fn show() -> Response {
    ([(CONTENT_TYPE, "application/json")], DESCRIPTION).into_response()
}
