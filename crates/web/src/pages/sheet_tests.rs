//! Sheets, paper and choices, asked as a browser asks.

use std::path::Path;
use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, COOKIE, HOST, LOCATION, SET_COOKIE};
use axum::http::{HeaderMap, Request, StatusCode};
use halfglass_core::description::{Paper, UnitSystem};
use halfglass_folder::Folder;
use tower::ServiceExt as _;

use crate::frame::SHEETS;
use crate::routes::routes;
use crate::workbench::Workbench;

const EXAMPLES: [&str; 5] = [
    "brewery-feed-tank",
    "district-deaerator",
    "inherited-cold-range",
    "laundry-shell-boiler",
    "paper-mill-drum-boiler",
];

struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    text: String,
}

/// All five examples and a file with a problem; the printer says in words what it was to print.
fn bench() -> (tempfile::TempDir, axum::Router) {
    let place = tempfile::tempdir().unwrap();
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for name in EXAMPLES {
        let file = format!("{name}.toml");
        std::fs::copy(examples.join(&file), place.path().join(&file)).unwrap();
    }
    std::fs::write(place.path().join("broken.toml"), "tag = [\n").unwrap();
    let bench = Workbench::new(
        Folder::open(place.path()).unwrap(),
        Box::new(|of| {
            let paper = match of.described.identity.paper {
                Paper::Letter => "letter",
                Paper::A4 => "a4",
            };
            let units = match of.units.system {
                UnitSystem::Us => "us",
                UnitSystem::Si => "si",
            };
            Ok(format!("pack of {} {paper} {units} {}", of.file_name, of.sha256).into_bytes())
        }),
    );
    (place, routes(Arc::new(bench)))
}

fn ask(router: &axum::Router, request: Request<Body>) -> Answer {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let response = router.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 16 << 20).await.unwrap();
        Answer {
            status: parts.status,
            headers: parts.headers,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    })
}

fn get_with(router: &axum::Router, address: &str, cookie: &str) -> Answer {
    let request = Request::get(address)
        .header(HOST, "127.0.0.1:4624")
        .header(COOKIE, format!("halfglass-view={cookie}"));
    ask(router, request.body(Body::empty()).unwrap())
}

fn get(router: &axum::Router, address: &str) -> Answer {
    get_with(router, address, "")
}

#[test]
fn practice_every_sheet_of_every_example_is_whole_and_opens_its_workings() {
    let (_place, router) = bench();
    for name in EXAMPLES {
        for (id, _) in SHEETS {
            let answer = get(&router, &format!("/loops/{name}/sheets/{id}"));
            assert_eq!(answer.status, StatusCode::OK, "{name} {id}");
            let page = &answer.text;
            assert!(page.contains("class=\"print-head\""), "{name} {id}");
            for forbidden in [" style=", "<style", " onclick=", "/assets/missing/"] {
                assert!(!page.contains(forbidden), "{name} {id}: {forbidden}");
            }
            assert_eq!(
                page.matches("<details").count(),
                page.matches("</details>").count(),
                "{name} {id}"
            );
        }
        let range = get(&router, &format!("/loops/{name}/sheets/range")).text;
        assert!(
            range.contains("<details class=\"opened\"><summary>"),
            "{name}"
        );
        assert!(range.contains("Workings of this sheet"), "{name}");
        assert!(
            range.contains("<details class=\"behind\"><summary>"),
            "{name}"
        );
    }
}

#[test]
fn practice_a_finding_stands_in_full_with_the_way_to_its_input() {
    let (_place, router) = bench();
    let page = get(&router, "/loops/inherited-cold-range/sheets/range").text;
    assert!(page.contains("href=\"/loops/inherited-cold-range/edit?key=as-found.range\""));
    assert!(page.contains("Change as found, range"));
    assert!(page.contains("What to do:"));
    assert!(!page.contains("what to do stands under Findings"));
}

#[test]
fn practice_a_choice_of_units_changes_the_numbers_and_of_paper_the_sheet() {
    let (_place, router) = bench();
    let address = "/loops/laundry-shell-boiler/sheets/level-map";
    let us = get_with(&router, address, "units=us&paper=letter&theme=dark&text=2").text;
    let si = get_with(&router, address, "units=si&paper=a4").text;
    assert!(us.contains("true level, in") && !us.contains("true level, mm"));
    assert!(si.contains("true level, mm") && !si.contains("true level, in<"));
    assert!(us.contains("data-theme=\"dark\" data-text=\"2\" data-paper=\"letter\""));
    assert!(si.contains("data-paper=\"a4\""));
}

#[test]
fn practice_a_sheet_that_is_none_and_a_loop_with_problems_are_refused_with_the_way_out() {
    let (_place, router) = bench();
    for (address, status) in [
        (
            "/loops/laundry-shell-boiler/sheets/nothing",
            StatusCode::NOT_FOUND,
        ),
        ("/loops/nobody/sheets/range", StatusCode::NOT_FOUND),
        (
            "/loops/broken/sheets/range",
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        ("/loops/broken/pack.pdf", StatusCode::UNPROCESSABLE_ENTITY),
        ("/loops/broken/card", StatusCode::UNPROCESSABLE_ENTITY),
        (
            "/loops/laundry-shell-boiler/figures/nothing.svg",
            StatusCode::NOT_FOUND,
        ),
    ] {
        let answer = get(&router, address);
        assert_eq!(answer.status, status, "{address}");
        assert!(answer.text.contains("class=\"refusal\""), "{address}");
    }
    let print = get(&router, "/loops/broken/print");
    assert_eq!(print.status, StatusCode::OK);
    assert!(print.text.contains("has problems") && !print.text.contains("/pack.pdf"));
}

#[test]
fn practice_the_pack_is_printed_in_the_chosen_units_on_the_chosen_paper() {
    let (_place, router) = bench();
    let address = "/loops/laundry-shell-boiler/pack.pdf";
    for (cookie, words) in [
        ("units=us&paper=a4", "a4 us"),
        ("units=si&paper=letter", "letter si"),
    ] {
        let answer = get_with(&router, address, cookie);
        assert_eq!(answer.headers[CONTENT_TYPE], "application/pdf");
        let start = format!("pack of laundry-shell-boiler.toml {words} ");
        assert!(answer.text.starts_with(&start), "{}", answer.text);
        // The SHA-256 in full.
        assert_eq!(answer.text.len(), start.len() + 64);
    }
    let shown = get(&router, address);
    let kept = get(&router, &format!("{address}?keep=yes"));
    let how = |answer: &Answer| {
        answer.headers[CONTENT_DISPOSITION]
            .to_str()
            .unwrap()
            .to_owned()
    };
    assert_eq!(how(&shown), "inline; filename=\"laundry-shell-boiler.pdf\"");
    assert_eq!(
        how(&kept),
        "attachment; filename=\"laundry-shell-boiler.pdf\""
    );
}

#[test]
fn practice_every_figure_on_the_page_of_paper_can_be_had_and_the_card_stands_alone() {
    let (_place, router) = bench();
    let base = "/loops/laundry-shell-boiler";
    let page = get(&router, &format!("{base}/print")).text;
    let figures: Vec<&str> = page
        .split("href=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|address| address.contains("/figures/"))
        .collect();
    assert!(figures.len() >= 9, "{figures:?}");
    for address in figures {
        let answer = get(&router, address);
        assert_eq!(answer.headers[CONTENT_TYPE], "image/svg+xml", "{address}");
        assert!(answer.text.starts_with("<svg xmlns="), "{address}");
    }
    let card = get(&router, &format!("{base}/card")).text;
    assert_eq!(card.matches("<svg").count(), 1);
    assert!(card.contains("CAUTION"));
}

#[test]
fn practice_a_choice_is_kept_in_the_cookie_and_comes_back_to_the_page_only_here() {
    let (_place, router) = bench();
    for (back, to) in [
        ("%2Floops%2Fx%2Fsheets%2Frange", "/loops/x/sheets/range"),
        ("https%3A%2F%2Felsewhere.invalid", "/"),
        ("%2F%2Felsewhere.invalid", "/"),
        ("%2F%5Celsewhere.invalid", "/"),
        ("%2Fa%0D%0AX: y", "/"),
    ] {
        let request = Request::post("/view").header(HOST, "127.0.0.1:4624");
        let body = format!("back={back}&units=si&theme=dark&text=1");
        let answer = ask(&router, request.body(Body::from(body)).unwrap());
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
        assert_eq!(answer.headers[LOCATION], to, "{back}");
        let cookie = answer.headers[SET_COOKIE].to_str().unwrap();
        assert!(
            cookie.starts_with("halfglass-view=units=si&paper=file&theme=dark&text=1; Path=/;"),
            "{cookie}"
        );
        assert!(cookie.contains("SameSite=Strict"));
    }
}

#[test]
fn practice_every_printed_page_names_loop_sheet_text_and_date_and_a_draft_says_so() {
    let (place, router) = bench();
    let text = std::fs::read_to_string(place.path().join("laundry-shell-boiler.toml")).unwrap();
    let line = text.lines().find(|l| l.starts_with("upper-tap")).unwrap();
    let draft = text.replacen(line, "upper-tap = \"30 in\" # invented: replace", 1);
    std::fs::write(place.path().join("draft.toml"), draft).unwrap();
    for (name, is_draft) in [("laundry-shell-boiler", false), ("draft", true)] {
        let page = get(&router, &format!("/loops/{name}/sheets/range")).text;
        let address = format!("/loops/{name}/print.css?here=range");
        assert!(
            page.contains(&format!("media=\"print\" href=\"{address}\"")),
            "{page}"
        );
        assert!(page.contains("· as of 20"), "{page}");
        let style = get(&router, &address);
        assert_eq!(style.headers[CONTENT_TYPE], "text/css; charset=utf-8");
        for words in ["LIC\\2D 101", "Range", "as of 20", "counter(pages)"] {
            assert!(style.text.contains(words), "{words}: {}", style.text);
        }
        assert_eq!(
            style.text.contains("DRAFT\\3A  1 invented value remains"),
            is_draft
        );
        assert_eq!(page.contains("DRAFT: 1 invented value remains"), is_draft);
    }
    // A file with problems still says which file it is; a missing one is refused.
    let broken = get(&router, "/loops/broken/print.css?here=text").text;
    assert!(broken.contains("\"broken\""), "{broken}");
    let missing = get(&router, "/loops/none/print.css");
    assert_eq!(missing.status, StatusCode::NOT_FOUND);
}

#[test]
fn practice_a_refusal_leads_to_where_it_is_mended_in_the_light_that_was_chosen() {
    let (_place, router) = bench();
    let cookie = "theme=dark&text=2";
    for address in ["/loops/broken/sheets/range", "/loops/broken/card"] {
        let answer = get_with(&router, address, cookie);
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            answer
                .text
                .contains("href=\"/loops/broken\">Problems of broken</a>"),
            "{}",
            answer.text
        );
    }
    let nowhere = get_with(&router, "/nowhere", cookie);
    assert_eq!(nowhere.status, StatusCode::NOT_FOUND);
    let head = "data-theme=\"dark\" data-text=\"2\"";
    assert!(nowhere.text.contains(head), "{}", nowhere.text);
}
