//! What holds for the elevation's page and its table: both are what the core says, for every example.

use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use halfglass_core::design::design;
use halfglass_core::measurement::elevation::{GlassReading, elevation_ends};
use halfglass_folder::Folder;
use halfglass_report::units::number;
use serde_json::Value;
use tempfile::TempDir;
use tower::ServiceExt;

use super::*;
use crate::routes::routes;

const EXAMPLES: [&str; 5] = [
    "brewery-feed-tank",
    "district-deaerator",
    "inherited-cold-range",
    "laundry-shell-boiler",
    "paper-mill-drum-boiler",
];

fn bytes_of(stem: &str) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    std::fs::read(folder.join(stem).with_extension("toml")).unwrap()
}

fn bench() -> (TempDir, Arc<Workbench>) {
    let folder = tempfile::tempdir().unwrap();
    for stem in EXAMPLES {
        let file = folder.path().join(stem).with_extension("toml");
        std::fs::write(file, bytes_of(stem)).unwrap();
    }
    let bench = Workbench::new(
        Folder::open(folder.path()).unwrap(),
        Box::new(|_| Err("no typesetter here".into())),
    );
    (folder, Arc::new(bench))
}

async fn get(bench: &Arc<Workbench>, address: &str) -> (StatusCode, String) {
    let request = Request::get(address)
        .header("host", "127.0.0.1")
        .body(Body::empty())
        .unwrap();
    let answer = routes(Arc::clone(bench)).oneshot(request).await.unwrap();
    let status = answer.status();
    let bytes = to_bytes(answer.into_body(), 4_000_000).await.unwrap();
    (status, String::from_utf8(bytes.to_vec()).unwrap())
}

fn f(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Words beside numbers agree with them, and each problem leads to its line.
#[tokio::test]
async fn practice_one_problem_is_it_and_two_are_they() {
    let (folder, bench) = bench();
    let text = String::from_utf8(bytes_of("laundry-shell-boiler")).unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("one.toml", "[loop\n");
    let bare = text
        .replace("\nset-point = \"15 in\"", "\nset-point = \"15\"")
        .replace("\nhigh-alarm = \"19 in\"", "\nhigh-alarm = \"19\"");
    write("two.toml", &bare);
    for (name, words) in [
        ("one", "The file has 1 problem: until it is mended"),
        ("two", "The file has 2 problems: until they are mended"),
    ] {
        let (status, page) = get(&bench, &format!("/loops/{name}")).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains(words), "{page}");
        assert!(
            page.contains(&format!("/loops/{name}/text#line-")),
            "{page}"
        );
    }
    let (_, page) = get(&bench, "/loops/laundry-shell-boiler").await;
    let counted = page.split_once("<p>In all ").unwrap().1;
    let counted = counted.split_once('.').unwrap().0;
    assert!(
        counted.contains(" warnings, ") && !format!(" {counted}").contains(" 0 "),
        "{counted}"
    );
}

/// Straight lines over the table, as the page's script draws them: what the panel wants to say, percent of span, and
/// where the glass stands, m.
fn read_off(table: &Value, water_k: f64, leg_k: f64, level_m: f64) -> (f64, Option<f64>) {
    let along = |low: f64, high: f64, share: f64| low + share * (high - low);
    let steps = table["steps"].as_array().unwrap();
    let legs = table["legs_k"].as_array().unwrap();
    let after = |places: Vec<f64>, value: f64| {
        let index = places
            .partition_point(|&place| place <= value)
            .clamp(1, places.len() - 1);
        (
            index,
            (value - places[index - 1]) / (places[index] - places[index - 1]),
        )
    };
    let (step, share) = after(steps.iter().map(|s| f(&s["water_k"])).collect(), water_k);
    let (leg, leg_share) = after(legs.iter().map(f).collect(), leg_k);
    let (from, to) = (f(&table["weighed_m"][0]), f(&table["weighed_m"][1]));
    let seen = (level_m.clamp(from, to) - from) / (to - from);
    let panel = |step: &Value| {
        let ends = |leg: usize| {
            let ends = &step["panel_percent"][leg];
            along(f(&ends[0]), f(&ends[1]), seen)
        };
        along(ends(leg - 1), ends(leg), leg_share)
    };
    let (low, high) = (&steps[step - 1], &steps[step]);
    let glass = low["glass_m"].is_array().then(|| {
        let of_level = (level_m - from) / (to - from);
        let stands = |step: &Value| along(f(&step["glass_m"][0]), f(&step["glass_m"][1]), of_level);
        along(stands(low), stands(high), share)
    });
    (along(panel(low), panel(high), share), glass)
}

/// The table's straight lines against the core at 1500 places an example, in percent of span.
#[tokio::test]
async fn property_the_table_meets_the_core_in_every_example() {
    let (_folder, bench) = bench();
    let mut worst: f64 = 0.0;
    for stem in EXAMPLES {
        let (status, text) = get(&bench, &format!("/loops/{stem}/elevation.json")).await;
        assert_eq!(status, StatusCode::OK, "{text}");
        let table: Value = serde_json::from_str(&text).unwrap();
        let described = halfglass_loopfile::read(&bytes_of(stem)).unwrap();
        let sheets = design(&described).unwrap();
        let ends = elevation_ends(&described).unwrap();
        let map = &sheets.level_map;
        let span = described.range.span;
        let mut of_loop: f64 = 0.0;
        for water in 0..25 {
            // Off the entries: an odd share of the way.
            let way = |share: f64, [low, high]: [f64; 2]| low + share * (high - low);
            let water_k = way((f64::from(water) + 0.37) / 25.0, ends.water_k);
            for leg in 0..6 {
                let leg_k = way((f64::from(leg) + 0.41) / 6.0, ends.leg_k);
                for level in 0..10 {
                    let vessel = [map.shell_bottom_m, map.shell_top_m];
                    let level_m = way((f64::from(level) + 0.5) / 10.0, vessel);
                    let exact = elevation_reading(
                        &described,
                        sheets.range.chosen,
                        water_k,
                        leg_k,
                        TrueLevel::from_m(level_m),
                    )
                    .unwrap();
                    let (panel, glass) = read_off(&table, water_k, leg_k, level_m);
                    of_loop = of_loop.max((panel - exact.wanted_percent).abs());
                    if let (Some(GlassReading::Stands(level)), Some(glass)) = (exact.glass, glass) {
                        let off = (level.m() - glass).abs() / span.height_m();
                        of_loop = of_loop.max(100.0 * off);
                    }
                }
            }
        }
        println!("{stem}: {of_loop:.4} % of span");
        worst = worst.max(of_loop);
    }
    assert!(worst < 0.05, "{worst} % of span");
}

#[tokio::test]
async fn property_the_page_without_a_script_shows_what_the_core_says() {
    let (_folder, bench) = bench();
    for stem in EXAMPLES {
        let described = halfglass_loopfile::read(&bytes_of(stem)).unwrap();
        let sheets = design(&described).unwrap();
        let units = DisplayUnits::of(&described);
        let ends = elevation_ends(&described).unwrap();
        let map = &sheets.level_map;
        for water_k in ends.water_k {
            for level_m in [
                map.shell_bottom_m,
                described.limits.set_point_m,
                map.shell_top_m,
            ] {
                let leg_k = sheets.range.normal.reference_leg_k;
                let level = TrueLevel::from_m(level_m);
                let reading =
                    elevation_reading(&described, sheets.range.chosen, water_k, leg_k, level)
                        .unwrap();
                let words = said(&described, &sheets, &units, &reading);
                let address = format!("/loops/{stem}?water={water_k}&leg={leg_k}&level={level_m}");
                let (status, text) = get(&bench, &address).await;
                assert_eq!(status, StatusCode::OK);
                for name in ["true", "panel", "panel-percent", "glass", "current"] {
                    let value = format!("data-say=\"{name}\">{}<", words.value(name));
                    assert!(text.contains(&value), "{address}: {value}");
                }
                for sentence in &words.sentences {
                    let held = crate::blocks::unbroken(&sentence.text);
                    let start = held.split('\'').next().unwrap();
                    assert!(text.contains(start), "{address}: {start}");
                }
                assert!(
                    !text.contains(" style=") && !text.contains("<style"),
                    "{address}"
                );
            }
        }
    }
}

#[tokio::test]
async fn property_every_id_of_the_page_is_there_once() {
    let (_folder, bench) = bench();
    for stem in EXAMPLES {
        let (_, text) = get(&bench, &format!("/loops/{stem}")).await;
        let mut ids: Vec<&str> = text
            .split(" id=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert!(count > 10 && ids.len() == count, "{stem}: {ids:?}");
    }
}

#[tokio::test]
async fn property_what_is_asked_with_units_is_drawn_and_what_is_no_quantity_is_refused() {
    let (_folder, bench) = bench();
    let page = "/loops/laundry-shell-boiler";
    let (_, text) = get(&bench, &format!("{page}?level=10%20in&water=300%20degF")).await;
    assert!(
        text.contains("data-say=\"true\">10.0 in<"),
        "level with a unit"
    );
    assert!(text.contains("300 degF, "), "temperature with a unit");
    let (status, text) = get(&bench, &format!("{page}?level=9000")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(text.contains("beyond what is drawn"), "told when clamped");
    for bad in [
        "level=abc",
        "water=10%20in",
        "leg=NaN",
        "level=inf",
        "level=%3Cb%3E",
    ] {
        let (status, text) = get(&bench, &format!("{page}?{bad}")).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{bad}");
        assert!(!text.contains("<b>"), "{bad}");
    }
}

#[tokio::test]
async fn property_a_file_with_problems_lists_them_with_their_lines() {
    let (folder, bench) = bench();
    let text = String::from_utf8(bytes_of("laundry-shell-boiler")).unwrap();
    let line = 1 + text
        .lines()
        .position(|line| line.starts_with("set-point"))
        .unwrap();
    let broken = text.replacen("set-point", "set-piont", 1);
    std::fs::write(folder.path().join("broken.toml"), broken).unwrap();
    let (status, page) = get(&bench, "/loops/broken").await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        page.contains(&format!("/loops/broken/text#line-{line}")),
        "{page}"
    );
    assert!(page.contains("/loops/broken/edit") && !page.contains("id=\"elevation\""));
    let (status, _) = get(&bench, "/loops/broken/elevation.json").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// The script's own test takes readings that the server computed; they carry what it needs.
#[tokio::test]
async fn property_a_reading_as_json_is_the_core_s() {
    let (_folder, bench) = bench();
    let stem = "laundry-shell-boiler";
    let described = halfglass_loopfile::read(&bytes_of(stem)).unwrap();
    let sheets = design(&described).unwrap();
    let address = format!("/loops/{stem}/elevation.json?water=400&leg=320&level=0.3");
    let json: Value = serde_json::from_str(&get(&bench, &address).await.1).unwrap();
    let level = TrueLevel::from_m(0.3);
    let exact = elevation_reading(&described, sheets.range.chosen, 400.0, 320.0, level).unwrap();
    assert!((f(&json["wanted_percent"]) - exact.wanted_percent).abs() < 1e-9);
    let percent = exact.panel.percent(described.range.span);
    assert_eq!(
        json["values"]["panel-percent"],
        format!("{} %", number(percent, 1))
    );
}
