//! Two sides, asked as a browser asks.
#![cfg(test)]

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::Request;
use axum::http::header::HOST;
use halfglass_folder::{Folder, LoopName};
use tower::ServiceExt as _;

use crate::frame::in_address;
use crate::routes::routes;
use crate::workbench::Workbench;

fn get(place: &tempfile::TempDir, address: &str) -> String {
    let bench = Arc::new(Workbench::new(
        Folder::open(place.path()).unwrap(),
        Box::new(|_| Err("no typesetter in this test".into())),
    ));
    let request = Request::get(address).header(HOST, "localhost");
    let request = request.body(Body::empty()).unwrap();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let response = routes(bench).oneshot(request).await.unwrap();
        let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        String::from_utf8_lossy(&bytes).into_owned()
    })
}

/// A folder with a loop whose cell was hung lower by its last save, and the address that compares both texts.
fn hung_lower() -> (tempfile::TempDir, String) {
    let place = tempfile::tempdir().unwrap();
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    let text = std::fs::read_to_string(format!("{examples}/laundry-shell-boiler.toml")).unwrap();
    let folder = Folder::open(place.path()).unwrap();
    let name = LoopName::new("boiler-1").unwrap();
    let seen = folder.create(&name, text.as_bytes()).unwrap();
    let line = text.lines().find(|l| l.starts_with("temperature")).unwrap();
    let lower = text.replacen(line, "temperature = \"180 degF\"", 1);
    assert_ne!(lower, text);
    folder.save(&name, lower.as_bytes(), &seen).unwrap();
    let id = folder.versions(&name).unwrap()[0].id.as_str().to_owned();
    let side = in_address(&format!("boiler-1@{id}"));
    (place, format!("/compare?a={side}&b=boiler-1"))
}

/// What stands between two words, the first of each.
fn between<'a>(page: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = page
        .split_once(from)
        .unwrap_or_else(|| panic!("{from}: {page}"));
    rest.split_once(to)
        .unwrap_or_else(|| panic!("{to}: {page}"))
        .0
}

#[test]
fn practice_the_input_comes_first_then_the_range_old_and_new_and_the_rest_is_folded() {
    let (place, address) = hung_lower();
    let page = get(&place, &address);
    let inputs = between(&page, "What differs in the file", "What that does");
    assert_eq!(
        inputs.matches("<tr role=\"row\"><th scope=\"row\"").count(),
        1,
        "{inputs}"
    );
    assert!(inputs.contains("180 degF"), "{inputs}");
    let range = between(&page, "<h3>Range</h3>", "<h3>Settings</h3>");
    assert!(
        range.contains("LRV") && range.contains(", until 20"),
        "{range}"
    );
    assert!(range.contains("the same in both</summary>"), "{range}");
    let others = &page[page.find("<h3>Settings</h3>").unwrap()..];
    assert!(
        others.contains("<details class=\"other\" id=\"survey\">"),
        "{others}"
    );
}

#[test]
fn practice_a_sheet_to_set_by_is_named_even_where_it_does_not_differ() {
    let (place, address) = hung_lower();
    let page = get(&place, &address);
    let settings = page.split_once("<h3>Settings</h3>").unwrap().1;
    assert!(
        settings.starts_with("\n<p>Nothing differs.</p>"),
        "{settings}"
    );
}

#[test]
fn practice_the_folder_leads_to_the_comparison_with_one_side_chosen() {
    let (place, _) = hung_lower();
    assert!(get(&place, "/").contains("href=\"/compare?a=boiler-1\""));
    let page = get(&place, "/compare?a=boiler-1");
    assert!(
        page.contains("<option value=\"boiler-1\" selected>"),
        "{page}"
    );
}

#[test]
fn practice_a_side_with_problems_is_compared_by_its_values_and_an_unknown_one_is_refused() {
    let (place, _) = hung_lower();
    let text = std::fs::read_to_string(place.path().join("boiler-1.toml")).unwrap();
    let line = text
        .lines()
        .find(|l| l.starts_with("set-point = \"15 in\""))
        .unwrap();
    let bad = text.replacen(line, "set-point = \"16\"", 1);
    std::fs::write(place.path().join("boiler-2.toml"), bad).unwrap();
    let page = get(&place, "/compare?a=boiler-1&b=boiler-2");
    let inputs = between(&page, "What differs in the file", "</table>");
    assert!(inputs.contains("16"), "{inputs}");
    assert!(page.contains("class=\"refusal\""), "{page}");
    assert!(!page.contains("What that does to the results"), "{page}");
    for unknown in ["nobody", "..%2Fboiler-1", "boiler-1%40yesterday"] {
        let page = get(&place, &format!("/compare?a=boiler-1&b={unknown}"));
        assert!(page.contains("<h1>Not done</h1>"), "{unknown}: {page}");
    }
}
