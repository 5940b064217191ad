//! The pages, one file each: a handler, what the page shows, and a template of the same name.

pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod conflict;
pub(crate) mod draft;
pub(crate) mod edit;
#[cfg(test)]
pub(crate) mod edit_bench;
#[cfg(test)]
mod edit_tests;
pub(crate) mod elevation;
pub(crate) mod file;
pub(crate) mod folder;
#[cfg(test)]
mod folder_tests;
pub(crate) mod import;
pub(crate) mod motion;
pub(crate) mod naming;
pub(crate) mod new;
mod new_drawing;
pub(crate) mod plant_test;
pub(crate) mod print;
pub(crate) mod running_head;
pub(crate) mod sheet;
pub(crate) mod text;
pub(crate) mod trash;
pub(crate) mod typed;
pub(crate) mod upload;
pub(crate) mod versions;
pub(crate) mod view;

use axum::http::Uri;

use crate::refusal::Refusal;

/// Any other address.
pub(crate) async fn nowhere(uri: Uri) -> Refusal {
    let path: String = uri.path().chars().take(80).collect();
    Refusal::not_found(format!("there is no page at {path}"))
}
