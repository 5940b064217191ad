//! Every page at three widths, light and dark, as pictures; and what must hold at each width.

use serde_json::Value;

use crate::axe::violations;
use crate::harness::{Visit, visit};

/// Name and address of every page.
pub(crate) const PAGES: &[(&str, &str)] = &[
    ("folder", "/"),
    ("elevation-boiler", "/loops/laundry-shell-boiler"),
    ("sheet-range", "/loops/laundry-shell-boiler/sheets/range"),
    (
        "sheet-error-map",
        "/loops/laundry-shell-boiler/sheets/error-map",
    ),
    (
        "sheet-feedwater",
        "/loops/laundry-shell-boiler/sheets/feedwater",
    ),
    (
        "sheet-findings",
        "/loops/laundry-shell-boiler/sheets/findings",
    ),
    (
        "sheet-workings",
        "/loops/laundry-shell-boiler/sheets/workings",
    ),
    ("new", "/new"),
    ("new-survey", "/new/shell-boiler"),
    ("import", "/import"),
    ("trash", "/trash"),
    (
        "compare",
        "/compare?a=laundry-shell-boiler&b=inherited-cold-range",
    ),
    ("edit", "/loops/laundry-shell-boiler/edit"),
    ("text", "/loops/laundry-shell-boiler/text"),
    ("versions", "/loops/laundry-shell-boiler/versions"),
    ("print", "/loops/laundry-shell-boiler/print"),
    (
        "motion",
        "/loops/laundry-shell-boiler/motion?scenario=fast-reset",
    ),
    ("plant-test", "/loops/laundry-shell-boiler/test"),
    ("nowhere", "/nowhere"),
];

/// Pages like those above but for their content: each is looked at once, the widths and themes taking turns.
const MORE_PAGES: &[(&str, &str)] = &[
    ("sheet-survey", "/loops/laundry-shell-boiler/sheets/survey"),
    (
        "sheet-level-map",
        "/loops/laundry-shell-boiler/sheets/level-map",
    ),
    ("sheet-glass", "/loops/laundry-shell-boiler/sheets/glass"),
    (
        "sheet-uncertainty",
        "/loops/laundry-shell-boiler/sheets/uncertainty",
    ),
    ("sheet-wiring", "/loops/laundry-shell-boiler/sheets/wiring"),
    (
        "sheet-settings",
        "/loops/laundry-shell-boiler/sheets/settings",
    ),
    ("sheet-tuning", "/loops/laundry-shell-boiler/sheets/tuning"),
    (
        "sheet-signal-loss",
        "/loops/laundry-shell-boiler/sheets/signal-loss",
    ),
    (
        "sheet-purchase",
        "/loops/laundry-shell-boiler/sheets/purchase",
    ),
    (
        "sheet-assumptions",
        "/loops/laundry-shell-boiler/sheets/assumptions",
    ),
    ("edit-plant", "/loops/laundry-shell-boiler/edit/plant"),
    ("edit-vessel", "/loops/laundry-shell-boiler/edit/vessel"),
    (
        "edit-elevations",
        "/loops/laundry-shell-boiler/edit/elevations",
    ),
    (
        "edit-reference-leg",
        "/loops/laundry-shell-boiler/edit/reference-leg",
    ),
    (
        "edit-working-leg",
        "/loops/laundry-shell-boiler/edit/working-leg",
    ),
    ("edit-glass", "/loops/laundry-shell-boiler/edit/glass"),
    ("edit-cell", "/loops/laundry-shell-boiler/edit/cell"),
    ("edit-range", "/loops/laundry-shell-boiler/edit/range"),
    (
        "edit-pressures",
        "/loops/laundry-shell-boiler/edit/pressures",
    ),
    ("edit-duties", "/loops/laundry-shell-boiler/edit/duties"),
    (
        "edit-feedwater",
        "/loops/laundry-shell-boiler/edit/feedwater",
    ),
    ("edit-supply", "/loops/laundry-shell-boiler/edit/supply"),
    ("edit-valve", "/loops/laundry-shell-boiler/edit/valve"),
    (
        "edit-controller",
        "/loops/laundry-shell-boiler/edit/controller",
    ),
    ("edit-limits", "/loops/laundry-shell-boiler/edit/limits"),
    ("edit-wiring", "/loops/laundry-shell-boiler/edit/wiring"),
    (
        "edit-uncertainty",
        "/loops/laundry-shell-boiler/edit/uncertainty",
    ),
    ("edit-people", "/loops/laundry-shell-boiler/edit/people"),
    ("elevation-deaerator", "/loops/district-deaerator"),
    ("elevation-tank", "/loops/brewery-feed-tank"),
    ("elevation-drum", "/loops/paper-mill-drum-boiler"),
    ("elevation-inherited", "/loops/inherited-cold-range"),
    (
        "sheet-feedwater-drum",
        "/loops/paper-mill-drum-boiler/sheets/feedwater",
    ),
    ("sheet-range-tank", "/loops/brewery-feed-tank/sheets/range"),
    ("card", "/loops/laundry-shell-boiler/card"),
    ("rename", "/loops/laundry-shell-boiler/rename"),
    ("duplicate", "/loops/laundry-shell-boiler/duplicate"),
    ("compare-asked", "/compare"),
    (
        "compare-unlike",
        "/compare?a=district-deaerator&b=paper-mill-drum-boiler",
    ),
];

/// How the title of a page begins that says what was not done; `nowhere` is one.
const REFUSED: &str = "Not done";

/// What is wrong with the layout of the page that is open.
async fn faults(visit: &Visit, name: &str, width: u32) -> Vec<String> {
    let mut found = Vec::new();
    let wide = visit
        .script("return document.documentElement.scrollWidth > document.documentElement.clientWidth + 1")
        .await;
    if wide == Value::Bool(true) {
        found.push(format!("{name} is wider than {width}"));
    }
    let small = visit
        .script(
            "return [...document.querySelectorAll('button, select, input:not([type=hidden]), summary, nav a')]\
             .filter(e => e.checkVisibility())\
             .map(e => [e, e.closest('label') || e])\
             .filter(([e, l]) => Math.max(e.getBoundingClientRect().height, l.getBoundingClientRect().height) < 43.5)\
             .map(([e]) => e.outerHTML.slice(0, 90))",
        )
        .await;
    for target in small.as_array().into_iter().flatten() {
        found.push(format!("{name} at {width}: lower than 44 px: {target}"));
    }
    found
}

#[test]
fn practice_no_page_is_wider_than_its_screen_and_targets_are_large() {
    visit(async |visit| {
        let mut found = Vec::new();
        for dark in [false, true] {
            visit.dark(dark).await;
            for (width, height) in [(360, 740), (820, 1180), (1440, 900)] {
                visit.screen(width, height).await;
                for (name, path) in PAGES {
                    visit.open(path).await;
                    let title = visit.client.title().await.unwrap();
                    if title.starts_with(REFUSED) != (*name == "nowhere") {
                        found.push(format!("{name}: {path} is {title}"));
                    }
                    let theme = if dark { "dark" } else { "light" };
                    visit.picture(&format!("{name}-{width}-{theme}")).await;
                    found.extend(faults(visit, name, width).await);
                }
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}

/// Makes a version and something in the trash; the addresses of both texts, and of a comparison with the version.
async fn pages_of_history(visit: &Visit) -> Vec<(&'static str, String)> {
    visit.open("/loops/brewery-feed-tank/text").await;
    visit
        .script("const t = document.querySelector('textarea[name=text]'); t.value = '# A remark.\\n' + t.value; t.dispatchEvent(new Event('input', {bubbles: true})); return true")
        .await;
    visit.press("Save").await;
    visit.until_it_says("Saved.").await;
    visit.open("/loops/brewery-feed-tank/versions").await;
    let mut pages = Vec::new();
    for (name, css) in [
        ("version-text", "main a[href*='/versions/']"),
        ("compare-version", "main a[href*='/compare?a=']"),
    ] {
        let address = visit.find(css).await.attr("href").await.unwrap();
        pages.push((name, address.unwrap()));
    }
    visit.open("/").await;
    visit
        .script("document.querySelector(\"form[action='/loops/inherited-cold-range/delete']\").submit(); return true")
        .await;
    visit.until_it_says("is in the trash now").await;
    visit.open("/trash").await;
    let text = visit.find("main a[href^='/trash/']").await;
    pages.push(("trash-filled", "/trash".to_owned()));
    pages.push(("trash-text", text.attr("href").await.unwrap().unwrap()));
    pages
}

#[test]
fn practice_the_other_pages_hold_at_widths_and_themes_in_turn() {
    visit(async |visit| {
        let mut found = Vec::new();
        let mut turn = 0;
        let mut look = async |name: &str, path: &str| {
            let (width, height) = [(360, 740), (820, 1180), (1440, 900)][turn % 3];
            let dark = turn % 2 == 1;
            turn += 1;
            visit.dark(dark).await;
            visit.screen(width, height).await;
            visit.open(path).await;
            let theme = if dark { "dark" } else { "light" };
            let title = visit.client.title().await.unwrap();
            if title.starts_with(REFUSED) {
                found.push(format!("{name}: {path} is {title}"));
            }
            visit.picture(&format!("{name}-{width}-{theme}")).await;
            found.extend(faults(visit, name, width).await);
            for violation in violations(visit).await {
                found.push(format!("{name} at {width}, {theme}: {violation}"));
            }
        };
        for (name, path) in MORE_PAGES {
            look(name, path).await;
        }
        visit.screen(1440, 900).await;
        for (name, path) in pages_of_history(visit).await {
            look(name, &path).await;
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
