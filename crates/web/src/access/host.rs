//! Requests that other sites make a browser send.
//!
//! A name under somebody else's control can be made to point at this machine; a request under such a name is refused.
//! An address or `localhost` can not. What changes anything must come from a page of ours: browsers say in `Origin` or
//! `Sec-Fetch-Site` where a form or script comes from. Programs that are no browsers send neither and are let through.

use std::net::{Ipv4Addr, Ipv6Addr};
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{HOST, HeaderName, ORIGIN};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;

use super::{Access, is_api, refuse};
use crate::refusal::Refusal;
use crate::workbench::Workbench;

const SEC_FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// Refuses what other sites send.
pub(super) async fn check(
    State(bench): State<Arc<Workbench>>,
    request: Request,
    next: Next,
) -> Response {
    let verdict = host(&bench.access, &request).and_then(|host| {
        if matches!(*request.method(), Method::GET | Method::HEAD) {
            Ok(())
        } else {
            from_here(&bench.access, &host, request.headers())
        }
    });
    match verdict {
        Ok(()) => next.run(request).await,
        Err(refusal) => refuse(is_api(&request), refusal),
    }
}

/// The host that was asked for, where it is one of ours.
fn host(access: &Access, request: &Request) -> Result<String, Refusal> {
    let misdirected = |what: String| {
        Refusal::new(
            StatusCode::MISDIRECTED_REQUEST,
            "host",
            what,
            "Open the workbench by the address that it printed when it started, or name it with --host-name.",
        )
    };
    let mut hosts = request.headers().get_all(HOST).iter();
    let host = match (hosts.next(), hosts.next(), request.uri().authority()) {
        (Some(host), None, _) => host.to_str().unwrap_or_default().to_owned(),
        (None, None, Some(authority)) => authority.as_str().to_owned(),
        _ => return Err(misdirected("the request names no host, or two".into())),
    };
    let name = without_port(&host);
    if is_address(name)
        || name.eq_ignore_ascii_case("localhost")
        || access
            .names
            .iter()
            .any(|known| known.eq_ignore_ascii_case(name))
    {
        Ok(host)
    } else {
        Err(misdirected(
            "this workbench is not known by the host name in the address".into(),
        ))
    }
}

/// Does the request come from a page of this workbench, or from no page at all.
fn from_here(access: &Access, host: &str, headers: &HeaderMap) -> Result<(), Refusal> {
    let foreign = || {
        Err(Refusal::new(
            StatusCode::FORBIDDEN,
            "foreign-page",
            "the request comes from a page that is not one of this workbench",
            "Nothing was done. Open the workbench itself and do it there.",
        ))
    };
    if let Some(origin) = headers.get(ORIGIN) {
        let ours = format!("{}://{host}", access.scheme());
        return if origin
            .to_str()
            .is_ok_and(|origin| origin.eq_ignore_ascii_case(&ours))
        {
            Ok(())
        } else {
            foreign()
        };
    }
    match headers.get(SEC_FETCH_SITE).map(|site| site.as_bytes()) {
        None | Some(b"same-origin" | b"none") => Ok(()),
        Some(_) => foreign(),
    }
}

fn without_port(host: &str) -> &str {
    if let Some(rest) = host.strip_prefix('[') {
        return rest.split_once(']').map_or(rest, |(address, _)| address);
    }
    host.rsplit_once(':').map_or(host, |(name, _)| name)
}

fn is_address(name: &str) -> bool {
    name.parse::<Ipv4Addr>().is_ok() || name.parse::<Ipv6Addr>().is_ok()
}
