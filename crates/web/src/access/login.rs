//! The page that asks for the pass-code, and the guard that sends everybody to it.

use std::sync::Arc;
use std::time::Instant;

use askama::Template;
use axum::Extension;
use axum::Form;
use axum::extract::{Query, Request, State};
use axum::http::header::{CACHE_CONTROL, COOKIE, LOCATION, REFERER, RETRY_AFTER, SET_COOKIE};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};

use super::sessions::{Entry, LONGEST_S};
use super::{Peer, is_api, refuse};
use crate::frame::{Frame, in_address};
use crate::preferences::{Preferences, SignedIn};
use crate::refusal::Refusal;
use crate::workbench::Workbench;

/// Name of the cookie that holds the session's token.
const COOKIE_NAME: &str = "halfglass-session";

#[derive(Template)]
#[template(path = "login.html")]
struct LoginPage {
    frame: Frame,
    back: String,
    problem: String,
    encrypted: bool,
}

#[derive(Debug, Default, serde::Deserialize)]
pub(super) struct Back {
    #[serde(default)]
    back: String,
}

#[derive(Debug, serde::Deserialize)]
pub(super) struct Typed {
    #[serde(default)]
    code: String,
    #[serde(default)]
    back: String,
}

/// Lets through who has a session, the page that asks for the code, and what that page looks like.
pub(super) async fn demand(
    State(bench): State<Arc<Workbench>>,
    mut request: Request,
    next: Next,
) -> Response {
    let Some(sessions) = &bench.access.sessions else {
        return next.run(request).await;
    };
    let path = request.uri().path();
    let is_free = path == "/login" || path.starts_with("/assets/");
    let is_open =
        token(request.headers()).is_some_and(|token| sessions.is_open(&token, Instant::now()));
    if is_open {
        request.extensions_mut().insert(SignedIn);
    }
    if is_free || is_open {
        return next.run(request).await;
    }
    if is_api(&request) || request.method() != Method::GET {
        let refusal = Refusal::new(
            StatusCode::UNAUTHORIZED,
            "no-session",
            "nobody is signed in here, or the session has ended",
            "Nothing was written. Sign in at /login, then do it again; a form that was typed into still holds it.",
        );
        let to = format!("/login?back={}", in_address(&came_from(request.headers())));
        let way = Some((to, "Sign in".to_owned()));
        return refuse(is_api(&request), Refusal { way, ..refusal });
    }
    let back = request
        .uri()
        .path_and_query()
        .map_or("/", |address| address.as_str());
    (
        StatusCode::SEE_OTHER,
        [
            (LOCATION, format!("/login?back={}", in_address(back))),
            (CACHE_CONTROL, "no-store".into()),
        ],
    )
        .into_response()
}

/// `GET /login`.
pub(super) async fn show(
    State(bench): State<Arc<Workbench>>,
    Query(back): Query<Back>,
    chosen: Preferences,
) -> Response {
    drawn(&bench, chosen, back.back, String::new(), StatusCode::OK)
}

fn drawn(
    bench: &Workbench,
    chosen: Preferences,
    back: String,
    problem: String,
    status: StatusCode,
) -> Response {
    let page = LoginPage {
        frame: Frame::new("Sign in", chosen, "/login"),
        back,
        problem,
        encrypted: bench.access.encrypted,
    };
    match page.render() {
        Ok(html) => (status, [(CACHE_CONTROL, "no-store")], Html(html)).into_response(),
        Err(_) => Refusal::defect("the page that asks for the pass-code could not be drawn")
            .into_response(),
    }
}

/// `POST /login`.
pub(super) async fn enter(
    State(bench): State<Arc<Workbench>>,
    peer: Option<Extension<Peer>>,
    chosen: Preferences,
    Form(typed): Form<Typed>,
) -> Response {
    let back = own_address(&typed.back);
    let (Some(sessions), Some(Extension(Peer(from)))) = (&bench.access.sessions, peer) else {
        return (StatusCode::SEE_OTHER, [(LOCATION, back)]).into_response();
    };
    match sessions.enter(from.ip(), &typed.code, Instant::now()) {
        Entry::Open(token) => {
            let secure = if bench.access.encrypted {
                "; Secure"
            } else {
                ""
            };
            (
                StatusCode::SEE_OTHER,
                [
                    (
                        SET_COOKIE,
                        format!("{COOKIE_NAME}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age={LONGEST_S}{secure}"),
                    ),
                    (LOCATION, back),
                ],
            )
                .into_response()
        }
        Entry::Wrong => drawn(
            &bench,
            chosen,
            back,
            "This is not the pass-code. It stands on the terminal of the workbench.".into(),
            StatusCode::FORBIDDEN,
        ),
        Entry::Wait(wait_s) => {
            let mut response = drawn(
                &bench,
                chosen,
                back,
                format!("Too many wrong codes. Wait {wait_s} s, then try again."),
                StatusCode::TOO_MANY_REQUESTS,
            );
            response.headers_mut().insert(RETRY_AFTER, wait_s.into());
            response
        }
        Entry::NoRandomNumbers => {
            Refusal::defect("the system gives no random numbers for a session").into_response()
        }
    }
}

/// `POST /logout`.
pub(super) async fn leave(State(bench): State<Arc<Workbench>>, headers: HeaderMap) -> Response {
    if let (Some(sessions), Some(token)) = (&bench.access.sessions, token(&headers)) {
        sessions.leave(&token);
    }
    (
        StatusCode::SEE_OTHER,
        [
            (
                SET_COOKIE,
                format!("{COOKIE_NAME}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0"),
            ),
            (LOCATION, "/login".into()),
        ],
    )
        .into_response()
}

/// The page of this workbench that a form was sent from, as the browser tells it; the first page where it does not.
fn came_from(headers: &HeaderMap) -> String {
    let said = headers.get(REFERER).and_then(|said| said.to_str().ok());
    let path = said
        .and_then(|said| said.split_once("://"))
        .and_then(|(_, rest)| rest.find('/').map(|at| &rest[at..]));
    own_address(path.unwrap_or("/"))
}

fn token(headers: &HeaderMap) -> Option<String> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .find_map(|cookie| {
            let token = cookie.trim().strip_prefix(COOKIE_NAME)?.strip_prefix('=')?;
            Some(token.to_owned())
        })
}

/// An address of this workbench to go on to; anything else becomes the first page.
pub(crate) fn own_address(address: &str) -> String {
    let is_own = address.starts_with('/')
        && !address.starts_with("//")
        && address
            .bytes()
            .all(|byte| (0x21..0x7f).contains(&byte) && byte != b'\\');
    if is_own {
        address.to_owned()
    } else {
        "/".to_owned()
    }
}
