//! What goes wrong while a person works: a mistake in the text, a workbench that does not answer.

use std::time::{Duration, Instant};

use crate::harness::visit;

#[test]
fn practice_a_mistake_in_the_text_is_shown_at_its_line() {
    visit(async |visit| {
        let file = visit.folder.join("laundry-shell-boiler.toml");
        let before = std::fs::read_to_string(&file).unwrap();
        let place = before
            .lines()
            .position(|line| line.starts_with("upper-tap"))
            .unwrap();
        let line = place + 1;
        visit.open("/loops/laundry-shell-boiler/text").await;
        assert_eq!(
            visit
                .script("return document.querySelectorAll('#problems li').length")
                .await,
            0
        );
        // The unit is forgotten.
        visit
            .script("const t = document.querySelector('textarea[name=text]'); t.value = t.value.replace(/^upper-tap.*$/m, 'upper-tap = \"30\"'); t.dispatchEvent(new Event('input', {bubbles: true})); return true")
            .await;
        let told = format!("Line {line}, column ");
        visit.until_it_says(&told).await;
        // The mark may be scrolled out of sight: its text is read, not what is displayed.
        let mark = visit
            .script("return document.querySelector('#gutter .wrong').textContent.trim()")
            .await;
        assert_eq!(mark, format!("\u{25a0} {line}"));
        // The link leads to it.
        visit.find("#problems a").await.click().await.unwrap();
        let at = visit
            .script("const t = document.querySelector('#text'); return document.activeElement === t ? t.value.slice(0, t.selectionStart).split('\\n').length : 0")
            .await;
        assert_eq!(at, line);
        // Asked for in so many words it is told again, and nothing is written.
        visit.press("Check").await;
        visit.until_it_says(&told).await;
        assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
    });
}

#[test]
fn practice_what_is_typed_without_a_connection_is_kept_and_sent() {
    visit(async |visit| {
        let file = visit.folder.join("laundry-shell-boiler.toml");
        let lip = "Overflow lip of the condensate pot";
        visit
            .open("/loops/laundry-shell-boiler/edit/reference-leg")
            .await;
        visit.stop_workbench();
        visit.fill(lip, "31 1/2 in").await;
        visit
            .until_it_says("No connection to the workbench. What you typed is kept in this page.")
            .await;
        visit.press("Save").await;
        visit
            .until_it_says("It is saved as soon as the connection is back.")
            .await;
        let field = visit.field(lip).await;
        let typed = field.prop("value").await.unwrap();
        assert_eq!(typed.as_deref(), Some("31 1/2 in"));
        let before = std::fs::read_to_string(&file).unwrap();
        assert!(!before.contains("31 1/2 in"));
        visit.start_workbench_again();
        visit.until_it_says("Saved.").await;
        let began = Instant::now();
        while !std::fs::read_to_string(&file)
            .unwrap()
            .contains("31 1/2 in")
        {
            assert!(began.elapsed() < Duration::from_secs(5), "it was not saved");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let field = visit.field(lip).await;
        let kept = field.prop("value").await.unwrap();
        assert_eq!(kept.as_deref(), Some("31 1/2 in"));
    });
}
