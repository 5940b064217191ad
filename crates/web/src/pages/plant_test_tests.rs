//! The page of a test on the plant, asked as a browser asks. Records are made by a simulation or by arithmetic, as their heads say.

use std::path::Path as FilePath;

use axum::body::{Body, to_bytes};
use axum::http::Request;
use axum::http::header::{CONTENT_TYPE, HOST, LOCATION};
use halfglass_folder::{Folder, LoopName};
use tower::ServiceExt as _;

use super::*;
use crate::routes::routes;

const NAME: &str = "laundry-shell-boiler";
const ADDRESS: &str = "/loops/laundry-shell-boiler/test";

fn example(path: &str) -> String {
    let examples = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    std::fs::read_to_string(examples.join(path)).unwrap()
}

struct Bench {
    place: tempfile::TempDir,
}

struct Answer {
    status: StatusCode,
    location: String,
    text: String,
}

impl Answer {
    /// The value of a field that the page holds hidden.
    fn hidden(&self, name: &str) -> String {
        let field = format!("name=\"{name}\" ");
        let after = self.text.rsplit_once(&field).expect(name).1;
        let after = after.split_once("value=\"").unwrap().1;
        let value = after.split_once('"').unwrap().0;
        value
            .replace("&#39;", "'")
            .replace("&#34;", "\"")
            .replace("&#60;", "<")
            .replace("&#62;", ">")
            .replace("&#38;", "&")
    }
}

impl Bench {
    fn new() -> Self {
        let bench = Self {
            place: tempfile::tempdir().unwrap(),
        };
        std::fs::write(bench.path(), example(&format!("{NAME}.toml"))).unwrap();
        bench
    }

    fn path(&self) -> std::path::PathBuf {
        self.place.path().join(format!("{NAME}.toml"))
    }

    fn file(&self) -> String {
        std::fs::read_to_string(self.path()).unwrap()
    }

    fn ask(&self, request: Request<Body>) -> Answer {
        let folder = Folder::open(self.place.path()).unwrap();
        let bench = Workbench::new(folder, Box::new(|_| Ok(Vec::new())));
        tokio::runtime::Runtime::new().unwrap().block_on(async {
            let response = routes(Arc::new(bench)).oneshot(request).await.unwrap();
            let status = response.status();
            let location = response.headers().get(LOCATION).cloned();
            let bytes = to_bytes(response.into_body(), 1 << 26).await.unwrap();
            Answer {
                status,
                location: location
                    .map_or_else(String::new, |value| value.to_str().unwrap().to_owned()),
                text: String::from_utf8(bytes.to_vec()).unwrap(),
            }
        })
    }

    fn get(&self, address: &str) -> Answer {
        let request = Request::get(address).header(HOST, "localhost");
        self.ask(request.body(Body::empty()).unwrap())
    }

    /// Sends the form with these fields and, where it is one, a file.
    fn send(&self, fields: &[(&str, &str)], file: Option<(&str, &[u8])>) -> Answer {
        let mut body = Vec::new();
        for (name, value) in fields {
            let head = format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(value.as_bytes());
            body.extend_from_slice(b"\r\n");
        }
        if let Some((name, bytes)) = file {
            let head = format!(
                "--cut\r\nContent-Disposition: form-data; name=\"record\"; filename=\"{name}\"\r\n\
                 Content-Type: text/csv\r\n\r\n"
            );
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(b"--cut--\r\n");
        let request = Request::post(ADDRESS)
            .header(HOST, "localhost")
            .header(CONTENT_TYPE, "multipart/form-data; boundary=cut");
        self.ask(request.body(Body::from(body)).unwrap())
    }

    fn send_record(&self, how: &str, record: &str) -> Answer {
        self.send(&[("how", how)], Some(("trend.csv", record.as_bytes())))
    }

    /// Sends the acceptance that a page offers.
    fn accept(&self, page: &Answer, date: &str) -> Answer {
        let names = ["how", "duty", "kept", "kept-name", "revision"];
        let values = names.map(|name| page.hidden(name));
        let mut fields = vec![("act", "accept"), ("date", date)];
        fields.extend(names.into_iter().zip(values.iter().map(String::as_str)));
        self.send(&fields, None)
    }
}

/// An integrator by arithmetic: the slope in %/s after each step of the output, from 100 s on and from 300 s on.
fn arithmetic(first: f64, second: f64, outputs: [f64; 3]) -> String {
    let mut record = String::from("time (s),level (%),output (%)\n");
    let mut level = 50.0;
    for tick in 0..120 {
        let time = 5.0 * f64::from(tick);
        let (slope, output) = match time {
            time if time < 100.0 => (0.0, outputs[0]),
            time if time < 300.0 => (first, outputs[1]),
            _ => (second, outputs[2]),
        };
        // Noise of a hundredth of a percent that repeats itself.
        let noise = 0.01 * (2.4 * f64::from(tick)).sin();
        record.push_str(&format!("{time},{:.4},{output}\n", level + noise));
        level += 5.0 * slope;
    }
    record
}

/// An output that changes with every reading.
fn to_and_fro() -> String {
    let rows = (0..60).map(|tick| {
        let output = if tick % 2 == 0 { 60 } else { 70 };
        format!(
            "{},{},{output}\n",
            5 * tick,
            50.0 + 0.1 * f64::from(tick % 3)
        )
    });
    std::iter::once("time (s),level (%),output (%)\n".to_owned())
        .chain(rows)
        .collect()
}

#[test]
fn property_a_record_is_shown_and_taken_with_its_date() {
    let bench = Bench::new();
    let before = bench.file();
    let empty = bench.get(ADDRESS);
    assert_eq!(empty.status, StatusCode::OK, "{}", empty.text);
    assert!(empty.text.contains("holds no test") && empty.text.contains("CAUTION"));
    let shown = bench.send_record("bump", &example("records/laundry-bump-test.csv"));
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.text);
    for words in [
        "read less fitted, %",
        "process gain k",
        "95 of 100",
        "by the survey",
        "LIC-101 level %",
        // The record says when it was made.
        "value=\"2026-11-26\"",
    ] {
        assert!(shown.text.contains(words), "{words}");
    }
    assert_eq!(bench.file(), before, "looking writes nothing");

    let taken = bench.accept(&shown, "2026-11-26");
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    let after = bench.file();
    let without = halfglass_loopfile::edit::remove_block(&after, "measured", 1).unwrap();
    assert_eq!(without.trim_end(), before.trim_end());
    let measured = halfglass_loopfile::read(after.as_bytes())
        .unwrap()
        .measured
        .unwrap();
    assert_eq!(measured.date, "2026-11-26");
    assert_eq!(measured.duty, shown.hidden("duty"));
    let done = bench.get(&taken.location);
    assert!(done.text.contains("Taken into the file"));
    assert!(
        done.text
            .contains("MEASURED by the bump test of 2026-11-26")
    );
    let tuning = bench.get("/loops/laundry-shell-boiler/sheets/tuning");
    assert!(
        tuning
            .text
            .contains("MEASURED by the bump test of 2026-11-26")
    );

    // Sent again after a lost answer: done already, and no second version.
    let again = bench.accept(&shown, "2026-11-26");
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.file(), after);
}

#[test]
fn property_a_file_that_changed_meanwhile_is_not_written_over() {
    let bench = Bench::new();
    let shown = bench.send_record("bump", &example("records/laundry-bump-test.csv"));
    let changed = format!("# somebody else was here\n{}", bench.file());
    std::fs::write(bench.path(), &changed).unwrap();
    let refused = bench.accept(&shown, "2026-11-27");
    assert_eq!(refused.status, StatusCode::CONFLICT);
    assert_eq!(bench.file(), changed);
    // The page holds record and date still, and the text that it is computed from now.
    let taken = bench.accept(&refused, &refused.hidden("date"));
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    assert!(bench.file().starts_with(&changed) || bench.file().contains("somebody else was here"));
    assert!(bench.file().contains("2026-11-27"));
}

#[test]
fn practice_readings_are_typed_and_a_date_is_asked_for() {
    let bench = Bench::new();
    let readings = example("records/laundry-readings.txt").replace('\n', "\r\n");
    let shown = bench.send(
        &[
            ("how", "readings"),
            ("readings", &readings),
            ("duty", "maximum"),
        ],
        None,
    );
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.text);
    assert!(shown.text.contains("0:00, 50.0 %, 70 %"), "kept as typed");
    for date in ["", "yesterday", "2026-13-01"] {
        let refused = bench.accept(&shown, date);
        assert_eq!(refused.status, StatusCode::BAD_REQUEST, "{date}");
        assert!(!bench.file().contains("[measured]"));
        assert!(
            refused.text.contains("id=\"accept\""),
            "it can be given now"
        );
    }
    let taken = bench.accept(&shown, "2026-11-27");
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    let measured = halfglass_loopfile::read(bench.file().as_bytes())
        .unwrap()
        .measured
        .unwrap();
    assert_eq!(measured.duty, "maximum");
}

/// What cannot be read or cannot tell is told with its place and its way out in words of the page, and nothing is offered.
#[test]
fn practice_a_record_that_will_not_do_is_told() {
    let bench = Bench::new();
    let before = bench.file();
    let plain = arithmetic(-0.05, 0.0, [70.0, 60.0, 70.0]);
    let cases = [
        (
            "bump",
            plain
                .replace("level (%)", "LT-1")
                .replace(",50.0", ",50.00"),
            "its columns are `time (s)`, `LT-1`, `output (%)`",
            "“Column of level”",
        ),
        (
            "bump",
            plain.replacen("5,50.0", "5,fifty", 1),
            "Line 3, column 3: ",
            "fifty",
        ),
        (
            "bump",
            arithmetic(0.0, 0.0, [70.0, 70.0, 70.0]),
            "the record cannot tell",
            "To do: ",
        ),
        ("relay", plain.clone(), "the record cannot tell", "To do: "),
        (
            "bump",
            to_and_fro(),
            "this is no test in manual",
            "“Relay test”",
        ),
        // The valve stands where it was stepped to.
        (
            "bump",
            arithmetic(-0.05, -0.05, [70.0, 60.0, 70.0]),
            "no one gain fits the record",
            "watch the stem",
        ),
        ("bump", String::new(), "the record is empty", "To do: "),
        (
            "readings",
            "now, 50, 70\n".into(),
            "Line 1, column 1: ",
            "now",
        ),
    ];
    for (how, record, what, way_out) in cases {
        let told = bench.send_record(how, &record);
        assert_eq!(told.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
        assert!(told.text.contains(what), "{what}: {}", told.text);
        assert!(told.text.contains(way_out), "{way_out}: {}", told.text);
        let alert = told.text.split_once("role=\"alert\"").unwrap().1;
        let alert = alert.split_once("</div>").unwrap().0;
        assert!(!alert.contains("--"), "no option of the terminal: {alert}");
        assert!(!told.text.contains("id=\"accept\""));
        let kept = kept(record.as_bytes());
        if !record.is_empty() {
            assert_eq!(told.hidden("kept"), kept, "nothing is lost");
        }
    }
    let none = bench.send(&[("how", "bump")], None);
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.text.contains("no record is given"));
    // The plain record itself will do, with the column named.
    let named = bench.send(
        &[("how", "bump"), ("level-column", "LT-1")],
        Some(("a.csv", plain.replace("level (%)", "LT-1").as_bytes())),
    );
    assert_eq!(named.status, StatusCode::OK, "{}", named.text);
    assert_eq!(bench.file(), before);
}

#[test]
fn practice_options_of_the_terminal_are_fields_of_the_page() {
    let help = "put the controller in manual; the record of a relay test is read with --relay, else name it with --level-column";
    assert!(cannot_tell_remedy(halfglass_core::identify::CannotTell::NoRelay).contains("--bump"));
    assert!(!on_page(help).contains("--"));
}

#[test]
fn property_a_test_in_doubt_is_neither_offered_nor_taken() {
    let bench = Bench::new();
    let before = bench.file();
    for record in [
        // The valve came back by six of ten.
        arithmetic(-0.001, -0.0004, [70.0, 60.0, 70.0]),
        // A falling output raises the level: the wrong way for this loop.
        arithmetic(0.05, 0.0, [70.0, 60.0, 70.0]),
    ] {
        let shown = bench.send_record("bump", &record);
        assert_eq!(shown.status, StatusCode::OK, "{}", shown.text);
        assert!(shown.text.contains("DO NOT USE"));
        assert!(!shown.text.contains("id=\"accept\""));
        let revision = Folder::open(bench.place.path())
            .unwrap()
            .read(&LoopName::new(NAME).unwrap())
            .unwrap()
            .revision
            .to_string();
        let crafted = bench.send(
            &[
                ("how", "bump"),
                ("act", "accept"),
                ("date", "2026-11-27"),
                ("revision", &revision),
            ],
            Some(("a.csv", record.as_bytes())),
        );
        assert_eq!(crafted.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(bench.file(), before);
    }
}

#[test]
fn practice_what_is_too_large_or_hostile_is_refused_or_escaped() {
    let bench = Bench::new();
    let large = vec![b'1'; LARGEST_RECORD_BYTES + 1];
    let refused = bench.send(&[("how", "bump")], Some(("a.csv", &large)));
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(refused.text.contains("are the most"));
    let record = "<b>t</b>,\"<script>\",\"'>\"\n1,2,3\n";
    let told = bench.send_record("bump", record);
    assert!(!told.text.contains("<script>") && !told.text.contains("<b>t"));
    assert_eq!(
        kept_bytes(told.hidden("kept").as_bytes()),
        record.as_bytes()
    );
    let missing = bench.get("/loops/none-such/test");
    assert_eq!(missing.status, StatusCode::NOT_FOUND);
}
