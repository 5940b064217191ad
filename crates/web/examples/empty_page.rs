//! An empty page from axum alone, on a free port of the loopback: the peer of the load bench.

use std::error::Error;

use axum::Router;
use axum::response::Html;
use axum::routing::get;

#[tokio::main]
async fn main() -> Result<(), Box<dyn Error>> {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    eprintln!("http://{}/", listener.local_addr()?);
    let page = get(|| async { Html("<!doctype html><title>empty</title>") });
    axum::serve(listener, Router::new().route("/", page)).await?;
    Ok(())
}
