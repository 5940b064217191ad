//! A workbench on a folder with one loop, for tests of editing pages and API.
#![cfg(test)]

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::header::{ACCEPT, CONTENT_TYPE, HOST, LOCATION};
use axum::http::{HeaderMap, Request, StatusCode};
use halfglass_folder::{Folder, LoopName, Revision};
use tower::ServiceExt as _;

use super::typed::as_json;
use crate::frame::in_address;
use crate::routes::routes;
use crate::workbench::Workbench;

const FORM: &str = "application/x-www-form-urlencoded";

pub(crate) fn example(name: &str) -> String {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    std::fs::read_to_string(format!("{root}/{name}.toml")).unwrap()
}

pub(crate) struct Bench {
    pub(crate) place: tempfile::TempDir,
    runtime: tokio::runtime::Runtime,
    pub(crate) bench: Arc<Workbench>,
}

pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    headers: HeaderMap,
    pub(crate) text: String,
}

impl Answer {
    pub(crate) fn location(&self) -> &str {
        self.headers[LOCATION].to_str().unwrap()
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.text).unwrap()
    }

    /// The value of a hidden field.
    pub(crate) fn hidden(&self, name: &str) -> String {
        let start = format!("name=\"{name}\" value=\"");
        let at = self.text.find(&start).unwrap() + start.len();
        self.text[at..].split('"').next().unwrap().to_owned()
    }

    /// What the page holds at an id, to the end of its element.
    pub(crate) fn at(&self, id: &str) -> &str {
        let at = self.text.find(&format!("id=\"{id}\"")).unwrap();
        self.text[at..].split("</div>").next().unwrap()
    }
}

impl Bench {
    /// The shell boiler as `boiler`.
    pub(crate) fn new() -> Self {
        Self::of(&example("laundry-shell-boiler"))
    }

    pub(crate) fn of(text: &str) -> Self {
        let place = tempfile::tempdir().unwrap();
        std::fs::write(place.path().join("boiler.toml"), text).unwrap();
        Self {
            bench: Arc::new(Workbench::new(
                Folder::open(place.path()).unwrap(),
                Box::new(|_| Err("no typesetter in this test".into())),
            )),
            place,
            runtime: tokio::runtime::Runtime::new().unwrap(),
        }
    }

    pub(crate) fn disk(&self, name: &str) -> String {
        std::fs::read_to_string(self.place.path().join(format!("{name}.toml"))).unwrap()
    }

    pub(crate) fn write(&self, text: &str) {
        std::fs::write(self.place.path().join("boiler.toml"), text).unwrap();
    }

    pub(crate) fn versions(&self) -> usize {
        let name = LoopName::new("boiler").unwrap();
        self.bench.folder.versions(&name).unwrap().len()
    }

    pub(crate) fn ask(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(async {
            let response = routes(Arc::clone(&self.bench))
                .oneshot(request)
                .await
                .unwrap();
            let (parts, body) = response.into_parts();
            let bytes = to_bytes(body, usize::MAX).await.unwrap();
            Answer {
                status: parts.status,
                headers: parts.headers,
                text: String::from_utf8_lossy(&bytes).into_owned(),
            }
        })
    }

    pub(crate) fn get(&self, address: &str) -> Answer {
        let request = Request::get(address).header(HOST, "localhost");
        self.ask(request.body(Body::empty()).unwrap())
    }

    pub(crate) fn raw(&self, address: &str, accept: &str, body: impl Into<Body>) -> Answer {
        let request = Request::post(address)
            .header(HOST, "localhost")
            .header(ACCEPT, accept)
            .header(CONTENT_TYPE, FORM);
        self.ask(request.body(body.into()).unwrap())
    }

    pub(crate) fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        self.raw(address, "text/html", encoded(fields))
    }

    pub(crate) fn script(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        self.raw(address, "application/json", encoded(fields))
    }

    /// The fields that a form made from the file now has, and these.
    pub(crate) fn form<'a>(
        &self,
        part: &'a str,
        typed: &[(&'a str, &'a str)],
    ) -> Vec<(&'a str, String)> {
        let draft = self.disk("boiler");
        let mut fields = vec![
            ("part", part.to_owned()),
            ("revision", Revision::of(draft.as_bytes()).to_string()),
            ("draft", as_json(&draft)),
        ];
        fields.extend(
            typed
                .iter()
                .map(|(name, value)| (*name, (*value).to_owned())),
        );
        fields
    }
}

fn encoded(fields: &[(&str, &str)]) -> String {
    let pairs: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{}={}", in_address(name), in_address(value)))
        .collect();
    pairs.join("&")
}

pub(crate) fn borrowed<'a>(fields: &'a [(&'a str, String)]) -> Vec<(&'a str, &'a str)> {
    fields
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect()
}
