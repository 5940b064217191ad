//! Who may ask, for what, and how much.
//!
//! | file | guards against |
//! |---|---|
//! | `host.rs` | other sites: names that point here (DNS rebinding), forms of other pages (CSRF) |
//! | `sessions.rs`, `login.rs` | strangers on the network: pass-code, sessions, lockout |
//! | `headers.rs` | scripts and frames of others in our pages |
//!
//! Sizes and time limits of a request are set in `guard` here and in `serve.rs`.

mod headers;
mod host;
mod login;
mod pass_code;
mod sessions;

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::StatusCode;
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};

use crate::refusal::{Refusal, as_chosen};
use crate::workbench::Workbench;

pub use pass_code::{PassCode, PassCodeError};
pub(crate) use sessions::Sessions;

/// Largest body of a request: a loop file and as much again for the form around it.
const LARGEST_BODY_BYTES: usize = 2 << 20;
/// Longest time for one request, s: a pack on a slow machine.
const LONGEST_REQUEST_S: u64 = 60;

/// Who sent a request.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Peer(pub(crate) SocketAddr);

/// Who may ask.
#[derive(Debug)]
pub(crate) struct Access {
    /// Sessions, where the network may ask; `None`: this machine only.
    sessions: Option<Sessions>,
    /// Names, beside addresses and `localhost`, under which this workbench may be asked for.
    names: Vec<String>,
    /// Is the traffic encrypted.
    encrypted: bool,
}

impl Access {
    /// This machine only, without a pass-code.
    pub(crate) const fn loopback() -> Self {
        Self {
            sessions: None,
            names: Vec::new(),
            encrypted: false,
        }
    }

    /// This machine only, under these names too.
    pub(crate) const fn of_this_machine(names: Vec<String>, encrypted: bool) -> Self {
        Self {
            sessions: None,
            names,
            encrypted,
        }
    }

    /// Anyone who has the pass-code.
    pub(crate) fn with_pass_code(code: &PassCode, names: Vec<String>, encrypted: bool) -> Self {
        Self {
            sessions: Some(Sessions::new(code)),
            names,
            encrypted,
        }
    }

    const fn scheme(&self) -> &'static str {
        if self.encrypted { "https" } else { "http" }
    }
}

/// Puts the guards before all addresses.
pub(crate) fn guard(
    router: Router<Arc<Workbench>>,
    bench: &Arc<Workbench>,
) -> Router<Arc<Workbench>> {
    router
        .route("/login", get(login::show).post(login::enter))
        .route("/logout", post(login::leave))
        .layer(DefaultBodyLimit::max(LARGEST_BODY_BYTES))
        .layer(from_fn_with_state(Arc::clone(bench), login::demand))
        .layer(from_fn_with_state(Arc::clone(bench), host::check))
        .layer(from_fn(in_time))
        .layer(from_fn(as_chosen))
        .layer(from_fn_with_state(Arc::clone(bench), headers::add))
}

/// Ends a request that takes too long, also one whose body trickles in.
async fn in_time(request: Request, next: Next) -> Response {
    let is_api = is_api(&request);
    match tokio::time::timeout(Duration::from_secs(LONGEST_REQUEST_S), next.run(request)).await {
        Ok(response) => response,
        Err(_) => refuse(
            is_api,
            Refusal::new(
                StatusCode::REQUEST_TIMEOUT,
                "too-slow",
                "the request took longer than a minute",
                "Nothing was written. Try again; on a weak signal, nearer to the workbench.",
            ),
        ),
    }
}

/// Is the API asked.
fn is_api(request: &Request) -> bool {
    request.uri().path().starts_with("/api/")
}

/// A refusal as its asker reads it.
fn refuse(is_api: bool, refusal: Refusal) -> Response {
    if is_api {
        refusal.into_json()
    } else {
        refusal.into_response()
    }
}
