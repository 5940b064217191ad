//! The loop file itself, or an earlier text of it, to take away: its bytes, unchanged.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use halfglass_folder::{LoopName, VersionId};

use crate::frame::in_address;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// `GET /loops/{name}/file`.
pub(crate) async fn export(
    State(bench): State<Arc<Workbench>>,
    Path(name): Path<String>,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    run_aside(move || {
        let stored = bench.folder.read(&name)?;
        Ok(attachment(&name.file_name(), stored.bytes))
    })
    .await
}

/// `GET /loops/{name}/versions/{id}/file`.
pub(crate) async fn export_version(
    State(bench): State<Arc<Workbench>>,
    Path((name, id)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    let name = LoopName::new(&name)?;
    let id = version_id(&id)?;
    run_aside(move || {
        let stored = bench.folder.version(&name, &id)?;
        Ok(attachment(
            &format!("{name} {}.toml", id.as_str()),
            stored.bytes,
        ))
    })
    .await
}

/// The version that an address names.
pub(crate) fn version_id(text: &str) -> Result<VersionId, Refusal> {
    VersionId::parse(text).ok_or_else(|| Refusal::not_found("there is no such version"))
}

/// RFC 6266: the name in ASCII for old programs, and as it is for all others.
fn attachment(file_name: &str, bytes: Vec<u8>) -> Response {
    let ascii: String = file_name
        .chars()
        .map(|c| if c.is_ascii() { c } else { '_' })
        .collect();
    (
        [
            (CONTENT_TYPE, "application/toml".to_owned()),
            (CACHE_CONTROL, "no-store".to_owned()),
            (
                CONTENT_DISPOSITION,
                format!(
                    "attachment; filename=\"{ascii}\"; filename*=UTF-8''{}",
                    in_address(file_name)
                ),
            ),
        ],
        bytes,
    )
        .into_response()
}
