//! A page printed by the browser itself.

use crate::harness::visit;
use crate::work::words_of;

#[test]
fn practice_a_printed_sheet_holds_its_range_and_no_navigation() {
    visit(async |visit| {
        visit.open("/loops/laundry-shell-boiler/sheets/range").await;
        let shown = visit
            .script("return [...document.querySelectorAll('dt')].filter(e => /LRV|URV/.test(e.innerText)).map(e => e.parentElement.querySelector('dd').innerText.trim().split(/\\s/)[0])")
            .await;
        let shown: Vec<&str> = shown
            .as_array()
            .unwrap()
            .iter()
            .map(|number| number.as_str().unwrap())
            .collect();
        assert!(shown.len() >= 2, "LRV and URV are on the page: {shown:?}");
        let words = words_of(&visit.printed().await);
        for number in shown {
            assert!(number.contains('.'), "{number} is no number");
            assert!(words.contains(number), "{number} is not on paper: {words}");
        }
        // What only leads around the screen is on the screen, and not on paper.
        visit.screen(1440, 900).await;
        let screen = visit.text("body").await;
        for way in [
            "Units, paper, light, text",
            "Signal loss",
            "All loops",
            "Versions",
            "To the content",
        ] {
            assert!(!words.contains(way), "{way:?} is on paper: {words}");
        }
        for way in ["Units, paper, light, text", "Versions"] {
            assert!(
                screen.contains(way),
                "{way:?} is not on the screen: {screen}"
            );
        }
    });
}
