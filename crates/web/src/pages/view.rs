//! What a person chooses: units, paper, light or dark, size of text.

use axum::body::Bytes;
use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse, Response};

use crate::preferences::{COOKIE_NAME, Preferences};

/// A year, s.
const KEPT_S: u32 = 31_536_000;

/// `POST /view`: keeps the choice and goes back to the page.
pub(crate) async fn choose(body: Bytes) -> Response {
    let text = String::from_utf8_lossy(&body);
    let chosen = Preferences::parse(&text);
    let back = text
        .split('&')
        .find_map(|pair| pair.strip_prefix("back="))
        .map(percent_decoded)
        .filter(|address| address.starts_with('/') && !address.starts_with("//"))
        .filter(|address| {
            address
                .bytes()
                .all(|b| (0x21..0x7f).contains(&b) && b != b'\\')
        })
        .unwrap_or_else(|| "/".to_owned());
    (
        StatusCode::SEE_OTHER,
        [
            (
                SET_COOKIE,
                format!(
                    "{COOKIE_NAME}={}; Path=/; Max-Age={KEPT_S}; SameSite=Strict",
                    chosen.value()
                ),
            ),
            (LOCATION, back),
        ],
    )
        .into_response()
}

fn percent_decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let pair: Vec<u8> = rest.by_ref().take(2).collect();
            let digit = |at: usize| pair.get(at).and_then(|b| char::from(*b).to_digit(16));
            if let (Some(high), Some(low)) = (digit(0), digit(1)) {
                bytes.push(u8::try_from(16 * high + low).unwrap_or(b'?'));
            }
        } else {
            bytes.push(if byte == b'+' { b' ' } else { byte });
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}
