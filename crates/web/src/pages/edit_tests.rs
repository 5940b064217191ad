//! The editing pages, asked as a browser asks: with the fields of the page that was shown before.
#![cfg(test)]

use axum::body::Body;
use axum::http::header::HOST;
use axum::http::{Request, StatusCode};
use halfglass_folder::Revision;
use halfglass_loopfile::edit::{self, values};

use super::edit::parts::PARTS;
use super::edit_bench::{Answer, Bench, borrowed, example};
use super::typed::as_json;
use crate::frame::in_address;

const EXAMPLES: [&str; 5] = [
    "brewery-feed-tank",
    "district-deaerator",
    "inherited-cold-range",
    "laundry-shell-boiler",
    "paper-mill-drum-boiler",
];

#[test]
fn property_every_part_of_every_example_is_shown_and_saved_unchanged() {
    for name in EXAMPLES {
        let text = example(name);
        let bench = Bench::of(&text);
        let list = bench.get("/loops/boiler/edit");
        assert_eq!(list.status, StatusCode::OK);
        for part in PARTS {
            let address = format!("/loops/boiler/edit/{}", part.id);
            assert!(list.text.contains(&address), "{name} {}", part.id);
            let page = bench.get(&address);
            assert_eq!(page.status, StatusCode::OK, "{name} {}", part.id);
            // Every value of the part, sent back as a browser sends it.
            let all = values(&text).unwrap();
            let mut fields = bench.form(part.id, &[]);
            for standing in all.blocks.iter().flat_map(|block| {
                let own = part.sections.contains(&block.section.name) && block.is_there();
                block.keys.iter().filter(move |_| own)
            }) {
                let field = format!("name=\"{}\"", standing.path);
                assert!(page.text.contains(&field), "{name} {}", standing.path);
                let value = standing.text.clone().unwrap_or_default();
                fields.push((&standing.path, value.replace('\n', "\r\n")));
            }
            let saved = bench.post(&address, &borrowed(&fields));
            assert_eq!(saved.status, StatusCode::SEE_OTHER, "{name} {}", part.id);
            assert_eq!(bench.disk("boiler"), text, "{name} {}", part.id);
        }
        assert_eq!(bench.versions(), 0);
    }
}

#[test]
fn practice_a_save_changes_the_keys_that_were_typed_and_no_other() {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let fields = bench.form("limits", &[("limits.set-point", "16 in"), ("act", "save")]);
    let saved = bench.post("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    assert_eq!(saved.location(), "/loops/boiler/edit/limits?after=save");
    assert_eq!(
        bench.disk("boiler"),
        edit::set(&before, "limits.set-point", "16 in").unwrap()
    );
    assert_eq!(bench.versions(), 1);
    let page = bench.get(saved.location());
    assert!(page.text.contains("Saved."));
    assert!(page.text.contains("value=\"16 in\""));
    // The same form once more, as after an answer that was lost: nothing is written twice.
    let again = bench.script("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(again.json()["saved"], true);
    assert_eq!(bench.versions(), 1);
}

#[test]
fn practice_a_draft_with_problems_is_saved_and_says_so_at_its_field() {
    let bench = Bench::new();
    let fields = bench.form("limits", &[("limits.set-point", "16")]);
    let saved = bench.post("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let page = bench.get("/loops/boiler/edit/limits");
    assert!(
        page.at("p-limits.set-point").contains("has no unit"),
        "{}",
        page.at("p-limits.set-point")
    );
    assert!(
        page.at("f-limits.set-point")
            .contains("aria-invalid=\"true\"")
    );
    assert!(page.text.contains("there are no sheets until it is mended"));
    let list = bench.get("/loops/boiler/edit");
    assert!(
        list.text
            .contains("/loops/boiler/edit/limits#f-limits.set-point")
    );
}

#[test]
fn practice_check_without_script_keeps_what_was_typed_and_writes_nothing() {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let fields = bench.form(
        "limits",
        &[
            ("limits.set-point", "16 elbows"),
            ("limits.high-alarm", "19 in"),
        ],
    );
    let page = bench.post("/loops/boiler/check", &borrowed(&fields));
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("value=\"16 elbows\""));
    assert!(page.text.contains("value=\"19 in\""));
    assert!(
        page.at("p-limits.set-point")
            .contains("<strong>Problem:</strong>")
    );
    assert!(page.text.contains("data-typed"));
    assert_eq!(
        page.hidden("revision"),
        Revision::of(before.as_bytes()).to_string()
    );
    assert_eq!(bench.disk("boiler"), before);
    // And from there it is saved.
    let draft = page
        .hidden("draft")
        .replace("&#34;", "\"")
        .replace("&#60;", "<")
        .replace("&#62;", ">")
        .replace("&#39;", "'")
        .replace("&#38;", "&");
    let revision = page.hidden("revision");
    let saved = bench.post(
        "/loops/boiler/edit/limits",
        &[
            ("draft", &draft),
            ("revision", &revision),
            ("limits.set-point", "15 in"),
        ],
    );
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let now = edit::set(&before, "limits.set-point", "15 in").unwrap();
    assert_eq!(
        bench.disk("boiler"),
        edit::set(&now, "limits.high-alarm", "19 in").unwrap()
    );
}

#[test]
fn practice_the_script_is_told_the_key_of_each_problem() {
    let bench = Bench::new();
    let fields = bench.form("elevations", &[("elevations.upper-tap", "1 in")]);
    let judged = bench
        .script("/loops/boiler/check", &borrowed(&fields))
        .json();
    let problems = judged["problems"].as_array().unwrap();
    assert!(
        problems
            .iter()
            .any(|problem| problem["path"] == "elevations.upper-tap"
                || problem["also"]
                    .as_array()
                    .unwrap()
                    .contains(&"elevations.upper-tap".into())),
        "{problems:?}"
    );
    assert!(
        problems
            .iter()
            .all(|problem| problem["line"].as_u64().unwrap() > 1)
    );
    let right = bench.form("elevations", &[]);
    let judged = bench
        .script("/loops/boiler/check", &borrowed(&right))
        .json();
    assert_eq!(judged["problems"], serde_json::json!([]));
    assert_eq!(judged["is_computed"], false);
    let right = bench.form("elevations", &[("findings", "1")]);
    let judged = bench
        .script("/loops/boiler/check", &borrowed(&right))
        .json();
    assert_eq!(judged["is_computed"], true);
    assert!(!judged["findings"].as_array().unwrap().is_empty());
}

#[test]
fn practice_blocks_come_and_go_with_all_that_was_typed() {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let count = values(&before).unwrap().of_section("duty").count();
    let fields = bench.form(
        "duties",
        &[("duty[1].name", "full load"), ("act", "add:duty")],
    );
    let page = bench.post("/loops/boiler/edit/duties", &borrowed(&fields));
    assert!(page.text.contains("value=\"full load\""));
    assert!(
        page.text
            .contains(&format!("name=\"duty[{}].name\"", count + 1))
    );
    assert!(page.text.contains("Not saved yet"));
    let fields = bench.form("duties", &[("act", "remove:duty:1")]);
    let page = bench.post("/loops/boiler/edit/duties", &borrowed(&fields));
    assert!(!page.text.contains(&format!("name=\"duty[{count}].name\"")));
    assert_eq!(bench.disk("boiler"), before);
    let fields = bench.form("duties", &[("act", "add:vessel")]);
    let page = bench.post("/loops/boiler/edit/duties", &borrowed(&fields));
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let fields = bench.form("duties", &[("act", "burn")]);
    let page = bench.post("/loops/boiler/edit/duties", &borrowed(&fields));
    assert_eq!(page.status, StatusCode::BAD_REQUEST);
}

#[test]
fn practice_an_invented_value_is_confirmed_by_a_tick_only() {
    let right = example("laundry-shell-boiler");
    let tag = "tag = \"LIC-101\"";
    let text = right.replacen(tag, &format!("{tag}  # invented: replace"), 1);
    let bench = Bench::of(&text);
    let page = bench.get("/loops/boiler/edit/plant");
    assert!(page.text.contains("name=\"confirm\" value=\"loop.tag\""));
    assert!(bench.get("/loops/boiler/edit").text.contains("1 invented"));
    let typed = ("loop.tag", "LIC-101");
    let fields = bench.form("plant", &[typed]);
    bench.post("/loops/boiler/edit/plant", &borrowed(&fields));
    assert_eq!(bench.disk("boiler"), text);
    let fields = bench.form("plant", &[typed, ("confirm", "loop.tag")]);
    bench.post("/loops/boiler/edit/plant", &borrowed(&fields));
    assert_eq!(bench.disk("boiler"), right);
}

/// A form whose file was changed by another editor meanwhile.
fn collision() -> (Bench, String, String, Answer) {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let fields = bench.form("limits", &[("limits.set-point", "16 in")]);
    let disk = edit::set(&before, "loop.revision", "outside").unwrap();
    bench.write(&disk);
    let told = bench.script("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(told.status, StatusCode::CONFLICT);
    assert_eq!(told.json()["conflict"], true);
    let page = bench.post("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(page.status, StatusCode::CONFLICT);
    assert_eq!(bench.disk("boiler"), disk);
    assert_eq!(bench.versions(), 0);
    let mine = edit::set(&before, "limits.set-point", "16 in").unwrap();
    (bench, disk, mine, page)
}

#[test]
fn practice_a_file_changed_meanwhile_is_shown_beside_what_was_typed() {
    let (bench, disk, mine, page) = collision();
    assert!(page.text.contains("2 lines differ"));
    assert_eq!(
        page.text.matches("<td class=\"mark\">differs</td>").count(),
        2
    );
    assert!(page.text.contains("outside") && page.text.contains("16 in"));
    let revision = page.hidden("revision");
    assert_eq!(revision, Revision::of(disk.as_bytes()).to_string());
    // Mine stays, the text on disk becomes a version.
    let fields = [
        ("part", "limits"),
        ("revision", &*revision),
        ("mine", &as_json(&mine)),
        ("choice", "mine"),
    ];
    let kept = bench.post("/loops/boiler/conflict", &fields);
    assert_eq!(kept.location(), "/loops/boiler/edit/limits?after=save");
    assert_eq!(bench.disk("boiler"), mine);
    assert_eq!(bench.versions(), 1);
    // Changed once more meanwhile: asked again.
    bench.write(&disk.replace("outside", "again"));
    let fields = [
        ("part", "limits"),
        ("revision", &*revision),
        ("mine", &as_json(&mine)),
        ("choice", "mine"),
    ];
    let asked = bench.post("/loops/boiler/conflict", &fields);
    assert_eq!(asked.status, StatusCode::CONFLICT);
    assert!(asked.text.contains("again"));
}

#[test]
fn practice_the_text_on_disk_may_stay_or_both() {
    let (bench, disk, mine, page) = collision();
    let (revision, mine_json) = (page.hidden("revision"), as_json(&mine));
    let ask = |choice: &str, name: &str| {
        bench.post(
            "/loops/boiler/conflict",
            &[
                ("part", "text"),
                ("revision", &revision),
                ("mine", &mine_json),
                ("choice", choice),
                ("as", name),
            ],
        )
    };
    assert_eq!(ask("disk", "").location(), "/loops/boiler/text?after=left");
    assert_eq!(bench.disk("boiler"), disk);
    let taken = ask("aside", "boiler");
    assert_eq!(taken.status, StatusCode::CONFLICT);
    assert!(taken.text.contains("already"));
    assert_eq!(ask("aside", "../x").status, StatusCode::BAD_REQUEST);
    assert_eq!(
        ask("aside", "other").location(),
        "/loops/other/text?after=save"
    );
    assert_eq!((bench.disk("boiler"), bench.disk("other")), (disk, mine));
    assert_eq!(ask("", "").status, StatusCode::BAD_REQUEST);
}

#[test]
fn practice_a_file_that_is_gone_is_written_again_only_when_asked() {
    let bench = Bench::new();
    let fields = bench.form("limits", &[("limits.set-point", "16 in")]);
    let mine = edit::set(&bench.disk("boiler"), "limits.set-point", "16 in").unwrap();
    std::fs::remove_file(bench.place.path().join("boiler.toml")).unwrap();
    let page = bench.post("/loops/boiler/edit/limits", &borrowed(&fields));
    assert_eq!(page.status, StatusCode::CONFLICT);
    assert!(page.text.contains("no longer in the folder"));
    assert_eq!(page.hidden("revision"), "");
    let fields = [
        ("part", "limits"),
        ("mine", &*as_json(&mine)),
        ("choice", "mine"),
    ];
    bench.post("/loops/boiler/conflict", &fields);
    assert_eq!(bench.disk("boiler"), mine);
}

#[test]
fn practice_the_text_is_saved_in_the_line_ends_of_the_file() {
    let text = format!(
        "\u{feff}{}",
        example("laundry-shell-boiler").replace('\n', "\r\n")
    );
    let bench = Bench::of(&text);
    let page = bench.get("/loops/boiler/text");
    let revision = page.hidden("revision");
    assert!(
        !page.text.contains("Not saved yet</span>") || page.text.contains("id=\"unsaved\" hidden")
    );
    let typed = text
        .trim_start_matches('\u{feff}')
        .replace("revision = \"", "revision = \"\tx");
    let fields = [
        ("part", "text"),
        ("revision", &*revision),
        ("text", &*typed),
    ];
    let saved = bench.post("/loops/boiler/text", &fields);
    assert_eq!(saved.location(), "/loops/boiler/text?after=save");
    assert_eq!(bench.disk("boiler"), format!("\u{feff}{typed}"));
    // What is no TOML is not saved, and is shown again with its place.
    let revision = Revision::of(bench.disk("boiler").as_bytes()).to_string();
    let fields = [
        ("part", "text"),
        ("revision", &*revision),
        ("text", "[loop]\ntag = \"A\n"),
    ];
    let page = bench.post("/loops/boiler/text", &fields);
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("tag = &#34;A\n</textarea>"));
    assert!(page.text.contains("Line 2, column"));
    assert_eq!(bench.disk("boiler"), format!("\u{feff}{typed}"));
    let judged = bench.script("/loops/boiler/check", &fields).json();
    assert_eq!(judged["problems"][0]["code"], "not-toml");
    assert_eq!(judged["problems"][0]["line"], 2);
}

#[test]
fn practice_crafted_input_is_refused_and_nothing_is_written() {
    let bench = Bench::new();
    let before = bench.disk("boiler");
    let revision = Revision::of(before.as_bytes()).to_string();
    let draft = in_address(&as_json(&before));
    let addresses = [
        "/loops/boiler/edit/limits",
        "/loops/boiler/text",
        "/loops/boiler/check",
        "/loops/boiler/conflict",
    ];
    for address in addresses {
        for (body, status) in [
            (String::new(), StatusCode::BAD_REQUEST),
            ("part=limits&draft=%00".to_owned(), StatusCode::BAD_REQUEST),
            (
                "part=text&text=%ff%fe&revision=x".to_owned(),
                StatusCode::BAD_REQUEST,
            ),
            (
                "part=limits&draft=notjson&mine=notjson".to_owned(),
                StatusCode::BAD_REQUEST,
            ),
            (
                format!("text={}", "x".repeat(8 << 20)),
                StatusCode::PAYLOAD_TOO_LARGE,
            ),
            (
                format!(
                    "part=text&revision={revision}&text={0}&draft=%22{0}%22&mine=%22{0}%22",
                    "x".repeat((1 << 20) + 1)
                ),
                StatusCode::PAYLOAD_TOO_LARGE,
            ),
        ] {
            let answer = bench.raw(address, "text/html", body.clone());
            let start: String = body.chars().take(60).collect();
            assert_eq!(answer.status, status, "{address} {start}");
            assert!(
                answer.text.contains("class=\"refusal\""),
                "{address} {start}"
            );
        }
        let request = Request::post(address).header(HOST, "localhost");
        let plain = bench.ask(request.body(Body::from("x")).unwrap());
        assert_eq!(plain.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    }
    let odd = format!("revision=abc&draft={draft}");
    assert_eq!(
        bench
            .raw("/loops/boiler/edit/limits", "text/html", odd)
            .status,
        StatusCode::BAD_REQUEST
    );
    for address in [
        "/loops/boiler/edit/nothing",
        "/loops/none/edit",
        "/loops/none/text",
    ] {
        assert_eq!(
            bench.get(address).status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
    assert_eq!(bench.disk("boiler"), before);
    assert_eq!(bench.versions(), 0);
}

#[test]
fn practice_what_is_typed_stands_escaped() {
    let bench = Bench::new();
    let evil = "\"><script>alert(1)</script>";
    let fields = bench.form("plant", &[("loop.tag", evil), ("loop.notes", evil)]);
    let page = bench.post("/loops/boiler/check", &borrowed(&fields));
    assert!(!page.text.contains("<script>alert"));
    let text = [
        ("part", "text"),
        ("revision", &*Revision::of(b"").to_string()),
        ("text", "</textarea><script>alert(1)</script>"),
    ];
    assert!(
        !bench
            .post("/loops/boiler/check", &text)
            .text
            .contains("<script>alert")
    );
}

#[test]
fn practice_a_file_that_is_no_toml_is_mended_in_its_text() {
    let bench = Bench::of("[loop\n");
    assert_eq!(
        bench.get("/loops/boiler/edit").location(),
        "/loops/boiler/text"
    );
    assert_eq!(
        bench.get("/loops/boiler/edit/plant").location(),
        "/loops/boiler/text"
    );
    let page = bench.get("/loops/boiler/text");
    assert!(page.text.contains("id=\"l-1\""));
    let binary = Bench::of("");
    std::fs::write(binary.place.path().join("boiler.toml"), b"\xff\xfe").unwrap();
    let page = binary.get("/loops/boiler/text");
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
}
