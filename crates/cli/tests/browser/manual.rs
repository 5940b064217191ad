//! The pictures of the manual, taken of the workbench as it is; `cargo xtask manual-pictures` puts them into the manual.

use crate::harness::{Visit, project, visit};

/// Opens the invented boiler with its vessel cold, half full.
async fn open_cold(visit: &Visit) {
    visit.open("/loops/laundry-shell-boiler").await;
    let address = visit
        .find("a[data-water]")
        .await
        .attr("href")
        .await
        .unwrap()
        .expect("the named conditions have addresses");
    visit.open(&address).await;
    visit.until_it_says("The panel says").await;
}

#[test]
fn practice_the_manuals_pictures_are_taken() {
    visit(async |visit| {
        visit.dark(false).await;
        visit.screen(1180, 800).await;
        visit.open("/").await;
        visit.top_picture("manual-folder", 760).await;

        visit.screen(1440, 950).await;
        open_cold(visit).await;
        visit.top_picture("manual-elevation", 950).await;
        // The chapter tells what the picture shows.
        let chapter = std::fs::read_to_string(project().join("docs/src/workbench.md")).unwrap();
        let said = visit
            .text("#sentences")
            .await
            .replace(['\u{a0}', '\u{202f}'], " ");
        let error = said.lines().find(|line| line.contains("% of span high"));
        assert!(
            error.is_some_and(|error| chapter.contains(error)),
            "the manual does not say: {said}"
        );

        visit.dark(true).await;
        visit.screen(820, 1180).await;
        open_cold(visit).await;
        visit.top_picture("manual-tablet", 1180).await;
        visit.dark(false).await;

        // A number without its unit, told at its field while it is typed.
        visit.screen(820, 800).await;
        visit
            .open("/loops/laundry-shell-boiler/edit/elevations")
            .await;
        visit.fill("Centre of the upper tap", "30").await;
        visit
            .until(
                "the problem at its field",
                "return document.getElementById('p-elevations.upper-tap').textContent !== ''",
            )
            .await;
        visit.top_picture("manual-edit", 900).await;

        // The pot's lip an inch higher than surveyed, beside the text before.
        visit
            .open("/loops/laundry-shell-boiler/edit/reference-leg")
            .await;
        visit
            .fill("Overflow lip of the condensate pot", "31 1/2 in")
            .await;
        visit.press("Save").await;
        visit.until_it_says("Saved.").await;
        visit.screen(1180, 800).await;
        visit.open("/loops/laundry-shell-boiler/versions").await;
        let compare = visit
            .find("a[href*='/compare?a=']")
            .await
            .attr("href")
            .await
            .unwrap()
            .expect("the version can be compared");
        visit.open(&compare).await;
        visit.until_it_says("What that does to the results").await;
        visit.top_picture("manual-compare", 900).await;
    });
}
