//! The page of a simulated run, asked as a browser asks.

use std::path::Path as FilePath;

use axum::body::{Body, to_bytes};
use axum::http::header::HOST;
use axum::http::{Request, StatusCode};
use halfglass_folder::Folder;
use tower::ServiceExt as _;

use super::*;
use crate::routes::routes;

fn ask(address: &str) -> (StatusCode, String) {
    let place = tempfile::tempdir().unwrap();
    let examples = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let file = "laundry-shell-boiler.toml";
    std::fs::copy(examples.join(file), place.path().join(file)).unwrap();
    let folder = Folder::open(place.path()).unwrap();
    let router = routes(Arc::new(Workbench::new(
        folder,
        Box::new(|_| Ok(Vec::new())),
    )));
    let request = Request::get(address)
        .header(HOST, "localhost")
        .body(Body::empty())
        .unwrap();
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let response = router.oneshot(request).await.unwrap();
        let status = response.status();
        let bytes = to_bytes(response.into_body(), 1 << 24).await.unwrap();
        (status, String::from_utf8(bytes.to_vec()).unwrap())
    })
}

#[test]
fn property_a_run_is_shown_with_its_mark_and_beside_a_changed_one() {
    let (status, text) = ask("/loops/laundry-shell-boiler/motion?scenario=pump-trip");
    assert_eq!(status, StatusCode::OK, "{text}");
    assert!(text.matches("SIMULATION").count() >= 3);
    assert!(text.contains("vessel (TRUE)") && text.contains("feed pump stops"));
    let (status, text) = ask(
        "/loops/laundry-shell-boiler/motion?scenario=load-step&gain=25+%25&reset=80+s%2Frepeat&range=bench",
    );
    assert_eq!(status, StatusCode::OK);
    assert!(
        text.contains("What to conclude: changed"),
        "the second run is there"
    );
}

#[test]
fn property_what_is_typed_wrong_is_told_and_kept() {
    let (status, text) =
        ask("/loops/laundry-shell-boiler/motion?scenario=load-step&gain=25&reset=80+s%2Frepeat");
    assert_eq!(status, StatusCode::OK);
    assert!(
        text.contains("has no unit") && text.contains("value=\"25\""),
        "{text}"
    );
    let (status, _) = ask("/loops/laundry-shell-boiler/motion?scenario=none-such");
    assert_eq!(status, StatusCode::NOT_FOUND);
    let (_, text) =
        ask("/loops/laundry-shell-boiler/motion?scenario=load-step&elements=3%0A%5B%5Bevent%5D%5D");
    assert!(
        text.contains("elements"),
        "no line of a file is smuggled in"
    );
    let (status, _) = ask("/loops/laundry-shell-boiler/motion?range=as-found");
    assert_eq!(status, StatusCode::BAD_REQUEST);
}

#[test]
fn property_samples_are_served_with_the_mark_in_every_row() {
    let (status, text) = ask("/loops/laundry-shell-boiler/motion.csv?scenario=lost-signal");
    assert_eq!(status, StatusCode::OK);
    let mut lines = text.lines();
    assert!(
        lines
            .next()
            .unwrap()
            .starts_with("simulation,time_s,true_level_m")
    );
    assert!(lines.clone().count() > 500);
    assert!(lines.all(|line| line.starts_with("SIMULATION: ")));
}

/// The band stands below the runs, bounded however it is asked for, and the address keeps it.
#[test]
fn property_the_band_of_many_draws_is_shown_when_it_is_asked_for() {
    let plain = ask("/loops/laundry-shell-boiler/motion?scenario=pump-trip").1;
    assert!(!plain.contains("Many draws"));
    let (status, text) = ask("/loops/laundry-shell-boiler/motion?scenario=pump-trip&band=yes");
    assert_eq!(status, StatusCode::OK, "{text}");
    assert!(text.contains("Many draws") && text.contains("the worst draw, number"));
    assert!(text.contains("panel (INDICATED)") && text.contains("band=yes"));
}
