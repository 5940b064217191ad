//! A new loop, asked as a browser asks.
#![cfg(test)]

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::header::{ACCEPT, CONTENT_TYPE, HOST, LOCATION};
use axum::http::{Request, StatusCode};
use halfglass_folder::Folder;
use tower::ServiceExt as _;

use crate::frame::in_address;
use crate::routes::routes;
use crate::workbench::Workbench;

struct Answer {
    status: StatusCode,
    location: String,
    text: String,
}

/// Sends answers to the questions of a shell boiler in millimetres.
fn post(place: &tempfile::TempDir, accept: &str, fields: &[(&str, &str)]) -> Answer {
    let bench = Arc::new(Workbench::new(
        Folder::open(place.path()).unwrap(),
        Box::new(|_| Err("no typesetter in this test".into())),
    ));
    let pairs = [("units", "si")].iter().chain(fields);
    let body: Vec<String> = pairs
        .map(|(name, value)| format!("{name}={}", in_address(value)))
        .collect();
    let request = Request::post("/new/shell-boiler")
        .header(HOST, "localhost")
        .header(ACCEPT, accept)
        .header(CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(body.join("&")))
        .unwrap();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let response = routes(bench).oneshot(request).await.unwrap();
        let location = response.headers().get(LOCATION);
        let location = location.map_or("", |l| l.to_str().unwrap()).to_owned();
        let status = response.status();
        let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        Answer {
            status,
            location,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    })
}

fn place() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn practice_the_drawing_follows_a_height_and_says_how_it_was_understood() {
    let place = place();
    let fields = [
        ("elevations.upper-tap", "40 in"),
        ("limits.set-point", "20"),
    ];
    let answer = post(&place, "application/json", &fields);
    assert_eq!(answer.status, StatusCode::OK);
    let judged: serde_json::Value = serde_json::from_str(&answer.text).unwrap();
    let drawing = judged["drawing"].as_str().unwrap();
    assert!(drawing.contains(">1016 mm<"), "{drawing}");
    // Not answered: an example, with its mark.
    assert!(drawing.contains("mm ?<"), "{drawing}");
    let asked = |path: &str| {
        let all = judged["asked"].as_array().unwrap();
        all.iter().find(|a| a["path"] == path).unwrap().clone()
    };
    let meant = asked("elevations.upper-tap")["meant"].to_string();
    assert!(meant.contains("1016 mm"), "{meant}");
    let problems = asked("limits.set-point")["problems"].to_string();
    assert!(problems.contains("unit"), "{problems}");
}

#[test]
fn practice_heights_that_contradict_each_other_are_still_drawn_and_told_at_both_fields() {
    let place = place();
    let fields = [
        ("act", "draw"),
        ("limits.low-cutoff", "300 mm"),
        ("limits.low-alarm", "200 mm"),
    ];
    let page = post(&place, "text/html", &fields).text;
    assert!(page.contains("<svg"), "{page}");
    assert!(
        page.contains(">300 mm<") && page.contains(">200 mm<"),
        "{page}"
    );
    assert_eq!(page.matches("aria-invalid").count(), 2, "{page}");
    assert_eq!(
        page.matches("<strong>Problem:</strong>").count(),
        2,
        "{page}"
    );
}

#[test]
fn practice_a_refused_name_is_told_at_its_field_and_nothing_typed_is_lost() {
    let place = place();
    let fields = [
        ("act", "write"),
        ("name", "../out"),
        ("elevations.upper-tap", "30 in"),
    ];
    let answer = post(&place, "text/html", &fields);
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for words in [
        "Nothing was written yet",
        "value=\"30 in\"",
        "value=\"../out\"",
        "id=\"name-told\"><p class=\"problem\">",
        "href=\"#name\"",
    ] {
        assert!(answer.text.contains(words), "{words}: {}", answer.text);
    }
    assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0);
}

#[test]
fn practice_sound_answers_become_a_file() {
    let place = place();
    let fields = [
        ("act", "write"),
        ("name", "boiler 9.toml"),
        ("elevations.upper-tap", "30 in"),
    ];
    let answer = post(&place, "text/html", &fields);
    assert_eq!(answer.location, "/loops/boiler%209");
    let text = std::fs::read_to_string(place.path().join("boiler 9.toml")).unwrap();
    assert!(text.contains("upper-tap = \"30 in\""), "{text}");
}

#[test]
fn practice_a_taken_name_is_told_while_it_is_typed_and_an_empty_one_is_not() {
    let place = place();
    std::fs::write(place.path().join("boiler 9.toml"), "# taken").unwrap();
    let named = |name: &str| {
        let answer = post(&place, "application/json", &[("name", name)]);
        let judged: serde_json::Value = serde_json::from_str(&answer.text).unwrap();
        judged["name"].as_str().unwrap_or_default().to_owned()
    };
    assert!(named("Boiler 9").contains("Choose another name"));
    assert!(named("a/b").contains("Choose another name"));
    assert_eq!(named("boiler 10"), "");
    assert_eq!(named(""), "");
    // Without the script it is told when the answers are drawn; to write, a name is needed.
    let drawn = post(
        &place,
        "text/html",
        &[("act", "draw"), ("name", "boiler 9")],
    );
    assert_eq!(drawn.status, StatusCode::OK);
    let told = "id=\"name-told\"><p class=\"problem\">";
    assert!(drawn.text.contains(told), "{}", drawn.text);
    let written = post(
        &place,
        "text/html",
        &[("act", "write"), ("name", "boiler 9")],
    );
    assert_eq!(written.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(written.text.contains(told), "{}", written.text);
    assert_eq!(
        std::fs::read_to_string(place.path().join("boiler 9.toml")).unwrap(),
        "# taken"
    );
    let nameless = post(&place, "text/html", &[("act", "write")]);
    assert!(nameless.text.contains(told), "{}", nameless.text);
}
