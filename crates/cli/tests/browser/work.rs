//! What a person does with the workbench, from nothing to paper.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::harness::{Visit, visit};

/// Opens the questions for a shell boiler in US units.
async fn begin(visit: &Visit) {
    visit.open("/").await;
    visit.press("New loop").await;
    visit.press("shell boiler (fire-tube)").await;
    visit.until_it_says("Name of the loop's file").await;
}

#[test]
fn practice_a_loop_from_nothing_with_a_problem_mended() {
    visit(async |visit| {
        begin(visit).await;
        visit.fill("Name of the loop's file", "boiler 7").await;
        let tap = "input[name='elevations.upper-tap']";
        visit.find(tap).await.send_keys("30").await.unwrap();
        visit.press("Write the file").await;
        visit.until_it_says("Nothing was written yet").await;
        assert!(!visit.folder.join("boiler 7.toml").exists());
        // What was typed is still there; the unit was missing.
        let field = visit.find(tap).await;
        assert_eq!(field.prop("value").await.unwrap().as_deref(), Some("30"));
        assert_eq!(
            field.attr("aria-invalid").await.unwrap().as_deref(),
            Some("true")
        );
        field.send_keys(" in").await.unwrap();
        visit.press("Write the file").await;
        visit.until_it_says("DRAFT").await;
        assert_eq!(visit.here().await, "/loops/boiler%207");
        let text = std::fs::read_to_string(visit.folder.join("boiler 7.toml")).unwrap();
        assert!(text.contains("upper-tap = \"30 in\""), "{text}");
    });
}

#[test]
fn practice_the_pressure_is_moved_and_the_error_read() {
    visit(async |visit| {
        visit.open("/loops/laundry-shell-boiler").await;
        visit.until_it_says("The panel says").await;
        let before = visit.text("[data-say='panel-percent']").await;
        let level = visit.text("[data-say='true']").await;
        // To the cold end by keyboard: the vessel holds the same water, the panel says something else.
        visit.until(
            "the table",
            "return performance.getEntriesByType('resource').some(e => e.name.endsWith('elevation.json') && e.responseEnd > 0)",
        )
        .await;
        visit
            .find("#water")
            .await
            .send_keys("\u{e011}")
            .await
            .unwrap();
        visit
            .until(
                "another reading",
                &format!("return document.querySelector(\"[data-say='panel-percent']\").textContent !== {before:?}"),
            )
            .await;
        assert_eq!(visit.text("[data-say='true']").await, level);
        assert!(visit.text("#sentences").await.contains("The panel says"));
        // The state is in the address: loaded again without the script's help it is the same picture.
        visit
            .until(
                "the address",
                "const w = document.querySelector('#water'); return location.search.includes(`water=${Number(w.min).toFixed(3)}`)",
            )
            .await;
        let here = visit.text("[data-say='panel-percent']").await;
        visit.client.refresh().await.unwrap();
        assert_eq!(visit.text("[data-say='panel-percent']").await, here);
    });
}

#[test]
fn practice_a_number_opens_to_its_working() {
    visit(async |visit| {
        visit.open("/loops/laundry-shell-boiler/sheets/range").await;
        let opened = visit
            .script("const d = document.querySelector('dl details, .values details'); d.querySelector('summary').click(); return d.open ? d.innerText : ''")
            .await;
        let words = opened.as_str().unwrap().to_owned();
        assert!(words.contains('='), "{words}");
    });
}

#[test]
fn practice_the_pack_holds_the_range_that_the_page_shows() {
    visit(async |visit| {
        visit.open("/loops/laundry-shell-boiler/sheets/range").await;
        let range = visit
            .script("return [...document.querySelectorAll('dt')].filter(e => e.innerText.includes('LRV')).map(e => e.parentElement.querySelector('dd').innerText)")
            .await;
        let shown = range[0].as_str().unwrap();
        let number: String = shown.chars().take_while(|c| !c.is_whitespace()).collect();
        assert!(number.contains('.'), "{shown}");
        visit.open("/loops/laundry-shell-boiler/print").await;
        visit.press("Download the pack").await;
        let began = Instant::now();
        let pack = loop {
            let found = std::fs::read_dir(&visit.downloads)
                .unwrap()
                .map(|entry| entry.unwrap().path())
                .find(|path| path.extension().is_some_and(|ending| ending == "pdf"));
            if let Some(path) = found {
                break path;
            }
            assert!(began.elapsed() < Duration::from_secs(60), "no pack came");
            tokio::time::sleep(Duration::from_millis(100)).await;
        };
        let text = words_of(&pack);
        assert!(text.contains(&number), "{number} is not in the pack");
    });
}

pub(crate) fn words_of(pdf: &Path) -> String {
    let output = Command::new("pdftotext")
        .arg("-layout")
        .arg(pdf)
        .arg("-")
        .output()
        .unwrap();
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn practice_an_edit_from_outside_is_not_saved_over() {
    visit(async |visit| {
        visit.open("/loops/brewery-feed-tank/text").await;
        let file = visit.folder.join("brewery-feed-tank.toml");
        let before = std::fs::read_to_string(&file).unwrap();
        let outside = format!("# From outside.\n{before}");
        visit
            .script("const t = document.querySelector('textarea[name=text]'); t.value = '# From the page.\\n' + t.value; t.dispatchEvent(new Event('input', {bubbles: true})); return true")
            .await;
        std::fs::write(&file, &outside).unwrap();
        visit.press("Save").await;
        visit.until_it_says("Nothing was written").await;
        assert_eq!(std::fs::read_to_string(&file).unwrap(), outside);
        visit.press("Keep mine").await;
        visit
            .until(
                "the save",
                "return !document.body.innerText.includes('Nothing was written')",
            )
            .await;
        let after = std::fs::read_to_string(&file).unwrap();
        assert!(after.starts_with("# From the page."), "{after}");
        // What was on disk is a version.
        visit.open("/loops/brewery-feed-tank/versions").await;
        visit.until_it_says("ring back").await;
    });
}

#[test]
fn practice_units_are_remembered() {
    visit(async |visit| {
        visit.open("/loops/laundry-shell-boiler").await;
        assert!(visit.text("[data-say='true']").await.contains(" in"));
        visit
            .script("const s = document.querySelector('select[name=units]'); s.value = 'si'; s.form.requestSubmit(); return true")
            .await;
        visit
            .until(
                "millimetres",
                "return (document.querySelector(\"[data-say='true']\") || {textContent: ''}).textContent.includes('mm')",
            )
            .await;
        visit.open("/loops/district-deaerator").await;
        assert!(visit.text("[data-say='true']").await.contains("mm"));
    });
}
