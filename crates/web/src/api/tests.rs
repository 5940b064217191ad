//! The API's work, asked as a program asks: what it writes, and what it refuses to write. Shapes of answers are held
//! against the served document by `cargo xtask api`.
#![cfg(test)]

use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, HOST};
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};

use crate::pages::edit_bench::{Bench, example};

/// One request with a JSON body, or none for `null`.
fn ask(bench: &Bench, line: &str, body: &Value) -> (StatusCode, Value) {
    let (method, address) = line.split_once(' ').unwrap();
    let request = Request::builder()
        .method(method)
        .uri(format!("/api/v1{address}"))
        .header(HOST, "localhost")
        .header(CONTENT_TYPE, "application/json");
    let sent = match body {
        Value::Null => Body::empty(),
        body => Body::from(body.to_string()),
    };
    let answer = bench.ask(request.body(sent).unwrap());
    let said = serde_json::from_str(&answer.text).unwrap_or(Value::Null);
    (answer.status, said)
}

#[test]
fn practice_a_loop_is_made_saved_over_its_revision_only_and_trashed() {
    let bench = Bench::new();
    let text = example("district-deaerator");
    let (status, made) = ask(
        &bench,
        "POST /loops",
        &json!({ "name": "da 1", "text": text }),
    );
    assert_eq!(status, StatusCode::CREATED, "{made}");
    assert_eq!(bench.disk("da 1"), text);
    let again = json!({ "name": "DA 1", "text": "# other" });
    let (status, taken) = ask(&bench, "POST /loops", &again);
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(taken["error"]["code"], "name-taken");
    assert_eq!(bench.disk("da 1"), text);

    let edited = format!("# A remark.\n{text}");
    let save = |from: &Value| json!({ "text": edited, "edited": from });
    let (status, saved) = ask(&bench, "PUT /loops/da%201", &save(&made["revision"]));
    assert_eq!(status, StatusCode::OK, "{saved}");
    assert_eq!(bench.disk("da 1"), edited);
    // From the revision before, the file has changed meanwhile: both texts are told, nothing is written.
    let (status, clash) = ask(&bench, "PUT /loops/da%201", &save(&made["revision"]));
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(clash["error"]["code"], "changed-on-disk");
    assert_eq!(clash["on_disk"]["revision"], saved["revision"]);
    let (_, versions) = ask(&bench, "GET /loops/da%201/versions", &Value::Null);
    assert_eq!(versions["versions"].as_array().unwrap().len(), 1);

    let (status, _) = ask(&bench, "DELETE /loops/da%201", &Value::Null);
    assert_eq!(status, StatusCode::NO_CONTENT);
    let (_, list) = ask(&bench, "GET /loops", &Value::Null);
    let names: Vec<&Value> = list["loops"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| &l["name"])
        .collect();
    assert_eq!(names, ["boiler"]);
    assert_eq!(bench.bench.folder.trashed().unwrap().len(), 1);
}

#[test]
fn practice_a_text_is_judged_with_its_line_and_two_files_are_compared_by_what_differs() {
    let bench = Bench::new();
    let good = example("laundry-shell-boiler");
    let line = good
        .lines()
        .position(|line| line.starts_with("set-point = \"15 in\""))
        .unwrap();
    let typed = good.lines().nth(line).unwrap();
    let (_, verdict) = ask(&bench, "POST /check", &json!({ "text": good }));
    assert_eq!(verdict["problems"], json!([]));
    let bad = good.replacen(typed, "set-point = \"16\"", 1);
    let (status, verdict) = ask(&bench, "POST /check", &json!({ "text": bad }));
    assert_eq!(status, StatusCode::OK);
    let told = verdict["problems"][0].to_string();
    assert!(told.contains(&format!("\"line\":{}", line + 1)), "{told}");

    let other = good.replacen(typed, "set-point = \"16 in\"", 1);
    let body = json!({ "name": "other", "text": other });
    assert_eq!(ask(&bench, "POST /loops", &body).0, StatusCode::CREATED);
    let (_, compared) = ask(&bench, "GET /compare?a=boiler&b=other", &Value::Null);
    let inputs = compared["inputs"].as_array().unwrap();
    assert_eq!(inputs.len(), 1, "{compared}");
    assert_eq!(inputs[0]["b"], "16 in");
}

#[test]
fn practice_what_makes_no_sense_is_refused_in_json_and_nothing_is_written() {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let deep = "[".repeat(100_000);
    for (line, body, status, code) in [
        ("GET /loops/..%2Fboiler", Value::Null, 400, "name"),
        ("GET /loops/%E2%80%AEboiler", Value::Null, 400, "name"),
        ("GET /loops/nobody", Value::Null, 404, "no-such-loop"),
        ("GET /nothing", Value::Null, 404, "not-found"),
        ("PATCH /loops", Value::Null, 405, "method"),
        (
            "POST /loops",
            json!({ "name": "../out", "text": "" }),
            400,
            "name",
        ),
        ("POST /loops", json!({ "name": "out" }), 400, "body"),
        (
            "POST /loops",
            json!({ "name": "out", "text": "", "more": 1 }),
            400,
            "body",
        ),
        (
            "PUT /loops/boiler",
            json!({ "text": "", "edited": "latest" }),
            400,
            "revision",
        ),
        ("POST /check", json!({ "text": 3 }), 400, "body"),
        ("POST /check", json!(deep), 400, "body"),
        ("GET /compare?a=boiler", Value::Null, 400, "query"),
        (
            "GET /compare?a=boiler&b=boiler%40now",
            Value::Null,
            400,
            "version",
        ),
    ] {
        let (got, said) = ask(&bench, line, &body);
        assert_eq!(got.as_u16(), status, "{line} {said}");
        let error = &said["error"];
        assert_eq!(error["code"], code, "{line}");
        assert!(
            error["what"].as_str().is_some_and(|what| !what.is_empty()),
            "{line} {said}"
        );
        assert!(
            error["remedy"].as_str().is_some_and(|way| !way.is_empty()),
            "{line} {said}"
        );
    }
    assert_eq!(bench.disk("boiler"), before);
    let files = std::fs::read_dir(bench.place.path()).unwrap().flatten();
    let loops: Vec<_> = files
        .map(|file| file.file_name())
        .filter(|name| name != ".halfglass")
        .collect();
    assert_eq!(loops, ["boiler.toml"]);
}
