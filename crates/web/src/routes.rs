//! THE table: address to handler.

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use crate::workbench::Workbench;
use crate::{access, api, assets, pages};

/// All addresses of the workbench.
pub(crate) fn routes(bench: Arc<Workbench>) -> Router {
    let router = Router::new()
        // The folder.
        .route("/", get(pages::folder::show))
        .route(
            "/import",
            get(pages::import::show)
                .post(pages::import::import)
                .layer(pages::upload::limit()),
        )
        .route("/new", get(pages::new::kinds))
        .route(
            "/new/{kind}",
            get(pages::new::survey).post(pages::new::answer),
        )
        .route("/trash", get(pages::trash::show))
        .route("/trash/restore", post(pages::trash::restore))
        .route("/trash/{id}", get(pages::trash::text))
        // One loop.
        .route("/loops/{name}", get(pages::elevation::show))
        .route("/loops/{name}/elevation.json", get(pages::elevation::data))
        .route("/loops/{name}/file", get(pages::file::export))
        .route(
            "/loops/{name}/duplicate",
            get(pages::naming::show_duplicate).post(pages::naming::duplicate),
        )
        .route(
            "/loops/{name}/rename",
            get(pages::naming::show_rename).post(pages::naming::rename),
        )
        .route("/loops/{name}/delete", post(pages::trash::delete))
        .route("/loops/{name}/versions", get(pages::versions::show))
        .route("/loops/{name}/versions/{id}", get(pages::versions::text))
        .route(
            "/loops/{name}/versions/{id}/file",
            get(pages::file::export_version),
        )
        .route(
            "/loops/{name}/versions/{id}/bring-back",
            post(pages::versions::bring_back),
        )
        .route("/loops/{name}/undo", post(pages::versions::undo))
        .route("/loops/{name}/sheets/{id}", get(pages::sheet::show))
        .route("/loops/{name}/motion", get(pages::motion::show))
        .route("/loops/{name}/motion.csv", get(pages::motion::samples))
        .route(
            "/loops/{name}/test",
            get(pages::plant_test::show)
                .post(pages::plant_test::judge)
                .layer(pages::upload::limit()),
        )
        .route("/loops/{name}/print", get(pages::print::show))
        .route("/loops/{name}/print.css", get(pages::running_head::style))
        .route("/loops/{name}/pack.pdf", get(pages::print::pack))
        .route("/loops/{name}/figures/{file}", get(pages::print::figure))
        .route("/loops/{name}/card", get(pages::print::card))
        // Its text, changed.
        .route("/loops/{name}/edit", get(pages::edit::list))
        .route(
            "/loops/{name}/edit/{part}",
            get(pages::edit::show)
                .post(pages::edit::change)
                .layer(pages::typed::limit()),
        )
        .route(
            "/loops/{name}/text",
            get(pages::text::show)
                .post(pages::text::change)
                .layer(pages::typed::limit()),
        )
        .route(
            "/loops/{name}/check",
            post(pages::check::check).layer(pages::typed::limit()),
        )
        .route(
            "/loops/{name}/conflict",
            post(pages::conflict::choose).layer(pages::typed::limit()),
        )
        .route("/compare", get(pages::compare::show))
        // The person's choices.
        .route("/view", post(pages::view::choose))
        .route("/assets/{hash}/{name}", get(assets::show))
        .nest("/api/v1", api::routes())
        .fallback(pages::nowhere);
    access::guard(router, &bench).with_state(bench)
}
