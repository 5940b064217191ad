//! Files that pages need, held in the binary: style, script, letters. Their address carries the hash of all of them, so
//! that a browser may keep them for good, and so that a style or a script can name its neighbours by their names alone.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use crate::refusal::Refusal;

/// Name, media type, bytes.
type Asset = (&'static str, &'static str, &'static [u8]);

const ASSETS: &[Asset] = &[
    (
        "style.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/style.css"),
    ),
    (
        "folder.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/folder.css"),
    ),
    (
        "edit.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/edit.css"),
    ),
    (
        "edit.js",
        "text/javascript; charset=utf-8",
        include_bytes!("../assets/edit.js"),
    ),
    (
        "page.js",
        "text/javascript; charset=utf-8",
        include_bytes!("../assets/page.js"),
    ),
    (
        "elevation.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/elevation.css"),
    ),
    (
        "elevation-layers.js",
        "text/javascript; charset=utf-8",
        include_bytes!("../assets/elevation-layers.js"),
    ),
    (
        "elevation.js",
        "text/javascript; charset=utf-8",
        include_bytes!("../assets/elevation.js"),
    ),
    (
        "motion.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/motion.css"),
    ),
    (
        "compare.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/compare.css"),
    ),
    (
        "new.css",
        "text/css; charset=utf-8",
        include_bytes!("../assets/new.css"),
    ),
    (
        "new.js",
        "text/javascript; charset=utf-8",
        include_bytes!("../assets/new.js"),
    ),
    (
        "mark.svg",
        "image/svg+xml",
        include_bytes!("../assets/mark.svg"),
    ),
    // The whole fonts of the pack, only compressed: the licence reserves their name for unchanged ones.
    (
        "source-sans-3-400.woff2",
        "font/woff2",
        include_bytes!("../assets/source-sans-3-400.woff2"),
    ),
    (
        "source-sans-3-400-italic.woff2",
        "font/woff2",
        include_bytes!("../assets/source-sans-3-400-italic.woff2"),
    ),
    (
        "source-sans-3-600.woff2",
        "font/woff2",
        include_bytes!("../assets/source-sans-3-600.woff2"),
    ),
    (
        "source-sans-3-OFL.txt",
        "text/plain; charset=utf-8",
        include_bytes!("../assets/source-sans-3-OFL.txt"),
    ),
];

/// Eight digits of the hash of all assets.
static EDITION: LazyLock<String> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    for (name, _, bytes) in ASSETS {
        hash.update(name);
        hash.update(bytes);
    }
    let digits = hash.finalize();
    digits
        .iter()
        .take(4)
        .map(|byte| format!("{byte:02x}"))
        .collect()
});

/// Address of an asset. A name that is none gives an address that answers 404; a test looks at all templates.
pub(crate) fn address(name: &str) -> String {
    let edition = if ASSETS.iter().any(|(known, _, _)| *known == name) {
        EDITION.as_str()
    } else {
        "missing"
    };
    format!("/assets/{edition}/{name}")
}

/// `GET /assets/{hash}/{name}`.
pub(crate) async fn show(Path((hash, name)): Path<(String, String)>) -> Result<Response, Refusal> {
    let (_, kind, bytes) = ASSETS
        .iter()
        .find(|(known, _, _)| *known == name)
        .filter(|_| *EDITION == hash)
        .ok_or_else(|| Refusal::not_found(format!("there is no asset {name} of that edition")))?;
    Ok((
        [
            (CONTENT_TYPE, *kind),
            (CACHE_CONTROL, "public, max-age=31536000, immutable"),
        ],
        *bytes,
    )
        .into_response())
}
