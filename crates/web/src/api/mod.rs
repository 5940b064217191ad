//! The JSON API behind the pages, for programs. Described in `openapi.rs`, which is served and which the tests hold the
//! answers against.

mod body;
mod loops;
mod openapi;
#[cfg(test)]
mod tests;
mod work;

use std::sync::Arc;

use axum::Router;
use axum::response::Response;
use axum::routing::{get, post};

use crate::refusal::Refusal;
use crate::workbench::Workbench;

/// Addresses under `/api/v1`.
pub(crate) fn routes() -> Router<Arc<Workbench>> {
    Router::new()
        .route("/openapi.json", get(openapi::show))
        .route("/loops", get(loops::list).post(loops::create))
        .route(
            "/loops/{name}",
            get(loops::show).put(loops::save).delete(loops::delete),
        )
        .route("/loops/{name}/sheets", get(work::sheets))
        .route("/loops/{name}/problems", get(work::problems))
        .route("/loops/{name}/versions", get(loops::versions))
        .route("/check", post(work::check))
        .route("/compare", get(work::compare))
        .method_not_allowed_fallback(not_allowed)
        .fallback(nowhere)
}

async fn nowhere() -> Response {
    Refusal::not_found("there is no such address in this API").into_json()
}

async fn not_allowed() -> Response {
    Refusal::new(
        axum::http::StatusCode::METHOD_NOT_ALLOWED,
        "method",
        "this address does not take that method",
        "Look into /api/v1/openapi.json.",
    )
    .into_json()
}
