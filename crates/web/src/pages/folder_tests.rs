//! The pages of the folder, asked as a browser asks.
#![cfg(test)]

use std::path::Path;
use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, HOST, LOCATION};
use axum::http::{HeaderMap, Request, StatusCode};
use halfglass_folder::{Folder, LoopName, Revision};
use tower::ServiceExt as _;

use crate::frame::in_address;
use crate::routes::routes;
use crate::workbench::Workbench;

const FORM: &str = "application/x-www-form-urlencoded";
const MULTIPART: &str = "multipart/form-data; boundary=cut";

/// A workbench on a folder with one example loop, `boiler-1`, and one with a problem, `broken`.
struct Bench {
    place: tempfile::TempDir,
    runtime: tokio::runtime::Runtime,
}

struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    text: String,
}

impl Answer {
    fn header(&self, name: axum::http::HeaderName) -> &str {
        self.headers[name].to_str().unwrap()
    }
}

impl Bench {
    fn empty() -> Self {
        Self {
            place: tempfile::tempdir().unwrap(),
            runtime: tokio::runtime::Runtime::new().unwrap(),
        }
    }

    fn new() -> Self {
        let bench = Self::empty();
        bench.write("boiler-1", &example());
        bench.write("broken", "tag = [\n");
        bench
    }

    fn folder(&self) -> Folder {
        Folder::open(self.place.path()).unwrap()
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.place.path().join(format!("{name}.toml")), text).unwrap();
    }

    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.place.path().join(format!("{name}.toml"))).unwrap()
    }

    fn save(&self, name: &str, text: &str) {
        let (folder, name) = (self.folder(), LoopName::new(name).unwrap());
        let seen = folder.read(&name).unwrap().revision;
        folder.save(&name, text.as_bytes(), &seen).unwrap();
    }

    fn ask(&self, request: Request<Body>) -> Answer {
        let bench = Arc::new(Workbench::new(
            self.folder(),
            Box::new(|_| Err("no typesetter in this test".into())),
        ));
        self.runtime.block_on(async {
            let response = routes(bench).oneshot(request).await.unwrap();
            let (parts, body) = response.into_parts();
            let bytes = to_bytes(body, usize::MAX).await.unwrap();
            Answer {
                status: parts.status,
                headers: parts.headers,
                text: String::from_utf8_lossy(&bytes).into_owned(),
            }
        })
    }

    fn get(&self, address: &str) -> Answer {
        let request = Request::get(address).header(HOST, "localhost");
        self.ask(request.body(Body::empty()).unwrap())
    }

    fn post(&self, address: &str, kind: &str, body: impl Into<Body>) -> Answer {
        let request = Request::post(address)
            .header(HOST, "localhost")
            .header(CONTENT_TYPE, kind);
        self.ask(request.body(body.into()).unwrap())
    }

    fn form(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let pairs: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{name}={}", in_address(value)))
            .collect();
        self.post(address, FORM, pairs.join("&"))
    }

    /// Uploads a file and other fields.
    fn upload(&self, file: Option<(&str, &[u8])>, fields: &[(&str, &str)]) -> Answer {
        let mut body = Vec::new();
        if let Some((name, bytes)) = file {
            body.extend(
                format!(
                    "--cut\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
                )
                .bytes(),
            );
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        for (name, value) in fields {
            body.extend(
                format!(
                    "--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
                )
                .bytes(),
            );
        }
        body.extend_from_slice(b"--cut--\r\n");
        self.post("/import", MULTIPART, body)
    }
}

fn example() -> String {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/laundry-shell-boiler.toml");
    std::fs::read_to_string(path).unwrap()
}

/// Answered 303 to this address, which answers 200.
#[track_caller]
fn check_sent_to(bench: &Bench, answer: &Answer, address: &str) {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(answer.header(LOCATION), address);
    assert_eq!(bench.get(address).status, StatusCode::OK);
}

/// Refused with this status, and the page holds these words.
#[track_caller]
fn check_refused(answer: &Answer, status: StatusCode, words: &[&str]) {
    assert_eq!(answer.status, status, "{}", answer.text);
    for words in words {
        assert!(answer.text.contains(words), "{words:?} in {}", answer.text);
    }
}

#[test]
fn property_the_list_shows_tag_service_vessel_and_standing_in_words() {
    let bench = Bench::new();
    bench.write("nul", "a name that no loop may have");
    let page = bench.get("/").text;
    let described = halfglass_loopfile::read(example().as_bytes()).unwrap();
    for words in [
        described.identity.tag.as_str(),
        described.identity.service.as_str(),
        halfglass_report::vessel_kind(described.vessel.kind),
        "1 problem in the file",
        "href=\"/loops/broken\"",
        "href=\"/loops/boiler-1/duplicate\"",
        "Files that are not shown",
        "<strong>nul.toml</strong>: some systems keep this name for a device",
    ] {
        assert!(page.contains(words), "{words:?} in {page}");
    }
    assert!(!page.contains("1 problems") && !page.contains("1 notes"));
}

#[test]
fn property_an_empty_folder_says_how_to_begin() {
    let page = Bench::empty().get("/").text;
    for words in ["No loop yet", "href=\"/new\"", "href=\"/import\""] {
        assert!(page.contains(words), "{words:?}");
    }
}

#[test]
fn property_a_search_finds_words_and_says_how_many() {
    let bench = Bench::new();
    let page = bench.get("/?q=BROKEN").text;
    assert!(page.contains("1 of 2 loops") && !page.contains("/loops/boiler-1"));
    let page = bench.get("/?q=no-such-word%3Cb%3E").text;
    assert!(page.contains("0 of 2 loops") && page.contains("no-such-word&#60;b&#62;"));
    assert_eq!(bench.get("/?q=a&q=b").status, StatusCode::BAD_REQUEST);
}

#[test]
fn property_a_duplicate_is_offered_a_free_name_and_opened() {
    let bench = Bench::new();
    bench.write("Boiler-1 Copy", "x");
    let page = bench.get("/loops/boiler-1/duplicate");
    assert!(page.text.contains("value=\"boiler-1 copy 2\""));
    let answer = bench.form("/loops/boiler-1/duplicate", &[("name", "Süd 2")]);
    check_sent_to(&bench, &answer, "/loops/S%C3%BCd%202");
    assert_eq!(bench.read("Süd 2"), example());
}

#[test]
fn property_a_refused_name_stays_in_the_form_with_the_reason() {
    let bench = Bench::new();
    for act in ["rename", "duplicate"] {
        let address = format!("/loops/boiler-1/{act}");
        let taken = bench.form(&address, &[("name", "BROKEN")]);
        check_refused(
            &taken,
            StatusCode::CONFLICT,
            &["value=\"BROKEN\"", "already", "Choose another name"],
        );
        let crafted = bench.form(&address, &[("name", "../x\"<b>")]);
        check_refused(
            &crafted,
            StatusCode::BAD_REQUEST,
            &["value=\"../x&#34;&#60;b&#62;\"", "cannot name a loop file"],
        );
        let missing = bench.form(&format!("/loops/none/{act}"), &[("name", "x")]);
        check_refused(&missing, StatusCode::NOT_FOUND, &["no loop file named"]);
        assert_eq!(
            bench.get(&format!("/loops/none/{act}")).status,
            StatusCode::NOT_FOUND
        );
        let no_form = bench.post(&address, "text/plain", "name=x");
        check_refused(
            &no_form,
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            &["cannot be read"],
        );
    }
    assert_eq!(bench.read("boiler-1"), example());
    assert_eq!(bench.folder().list().unwrap().loops.len(), 2);
}

#[test]
fn property_a_renamed_loop_is_found_under_its_new_name_only() {
    let bench = Bench::new();
    let answer = bench.form("/loops/boiler-1/rename", &[("name", "Boiler-1")]);
    check_sent_to(&bench, &answer, "/loops/Boiler-1");
    assert_eq!(bench.get("/loops/boiler-1").status, StatusCode::NOT_FOUND);
}

#[test]
fn property_a_deleted_loop_is_offered_back_and_comes_back() {
    let bench = Bench::new();
    let answer = bench.form("/loops/boiler-1/delete", &[]);
    let address = answer.header(LOCATION).to_owned();
    check_sent_to(&bench, &answer, &address);
    let id = bench.folder().trashed().unwrap()[0].id.to_string();
    let list = bench.get(&address).text;
    assert!(list.contains("is in the trash now") && list.contains(&format!("value=\"{id}\"")));
    assert!(!list.contains("href=\"/loops/boiler-1\""));
    assert!(bench.get("/trash").text.contains(&id));
    // Its text can be read before it is restored.
    let deleted = bench.get(&format!("/trash/{id}"));
    assert_eq!(deleted.status, StatusCode::OK);
    assert!(deleted.text.contains("LIC-101"), "{}", deleted.text);
    for missing in ["/trash/x", "/trash/20200101T000000.000Z-none"] {
        assert_eq!(bench.get(missing).status, StatusCode::NOT_FOUND);
    }

    bench.write("boiler-1", "another");
    let taken = bench.form("/trash/restore", &[("id", &id)]);
    check_refused(&taken, StatusCode::CONFLICT, &["already", "aria-invalid"]);
    let again = bench.form("/trash/restore", &[("id", &id), ("name", "BROKEN")]);
    check_refused(&again, StatusCode::CONFLICT, &["value=\"BROKEN\""]);
    let answer = bench.form("/trash/restore", &[("id", &id), ("name", "old one")]);
    check_sent_to(&bench, &answer, "/loops/old%20one");
    assert_eq!(bench.read("old one"), example());
    assert_eq!(bench.read("boiler-1"), "another");
    assert!(bench.get("/trash").text.contains("Nothing is in the trash"));
    for id in [id.as_str(), "../../x", ""] {
        let missing = bench.form("/trash/restore", &[("id", id)]);
        check_refused(&missing, StatusCode::NOT_FOUND, &["Trash"]);
    }
}

#[test]
fn property_a_file_is_exported_byte_for_byte_under_its_name() {
    let bench = Bench::new();
    bench.write("Süd", "a = 1\r\n# ü");
    let answer = bench.get("/loops/S%C3%BCd/file");
    assert_eq!(answer.text, "a = 1\r\n# ü");
    assert_eq!(
        answer.header(CONTENT_DISPOSITION),
        "attachment; filename=\"S_d.toml\"; filename*=UTF-8''S%C3%BCd.toml"
    );
    assert_eq!(bench.get("/loops/none/file").status, StatusCode::NOT_FOUND);
    for crafted in ["/loops/..%2Fx/file", "/loops/%2e%2e/file"] {
        assert!(bench.get(crafted).status.is_client_error(), "{crafted}");
    }
}

#[test]
fn property_an_import_takes_the_name_of_the_file_or_the_one_typed() {
    let bench = Bench::new();
    let text = example();
    let answer = bench.upload(Some(("C:\\x\\two.TOML", text.as_bytes())), &[("name", "")]);
    check_sent_to(&bench, &answer, "/loops/two");
    assert_eq!(bench.read("two"), text);
    let answer = bench.upload(Some(("two.toml", b"broken = [")), &[("name", " three ")]);
    check_sent_to(&bench, &answer, "/loops/three");
    assert_eq!(
        bench.read("three"),
        "broken = [",
        "problems are no reason to refuse"
    );
}

#[test]
fn property_a_taken_name_keeps_the_uploaded_text_in_the_page() {
    let bench = Bench::new();
    let text = "# 100 %\r\n\"<b>\" = 1\n";
    let refused = bench.upload(Some(("boiler-1.toml", text.as_bytes())), &[("name", "")]);
    check_refused(
        &refused,
        StatusCode::CONFLICT,
        &["already", "value=\"boiler-1\"", "is kept in this page"],
    );
    assert_eq!(bench.read("boiler-1"), example());
    let kept = "# 100 %25%0D%0A&#34;&#60;b&#62;&#34; = 1%0A";
    assert!(refused.text.contains(kept), "{}", refused.text);
    let kept = kept
        .replace("&#34;", "\"")
        .replace("&#60;", "<")
        .replace("&#62;", ">");
    let answer = bench.upload(
        Some(("", b"")),
        &[
            ("kept", &kept),
            ("kept-name", "boiler-1.toml"),
            ("name", "second"),
        ],
    );
    check_sent_to(&bench, &answer, "/loops/second");
    assert_eq!(bench.read("second"), text);
}

#[test]
fn property_what_is_no_loop_file_is_refused_in_words() {
    let bench = Bench::new();
    let binary = bench.upload(Some(("x.toml", b"\x89PNG\r\n\xff\0")), &[]);
    check_refused(
        &binary,
        StatusCode::UNPROCESSABLE_ENTITY,
        &["the file is no text", "Import a file"],
    );
    assert!(!binary.text.contains("name=\"kept\""));
    let large = vec![b'#'; (1 << 20) + 1];
    let refused = bench.upload(Some(("x.toml", &large)), &[]);
    check_refused(
        &refused,
        StatusCode::PAYLOAD_TOO_LARGE,
        &["1048576 at most"],
    );
    let huge = vec![b'#'; 33 << 20];
    let refused = bench.upload(Some(("x.toml", &huge)), &[]);
    check_refused(
        &refused,
        StatusCode::PAYLOAD_TOO_LARGE,
        &["1048576 bytes at most"],
    );
    let none = bench.upload(Some(("", b"")), &[("name", "typed")]);
    check_refused(
        &none,
        StatusCode::BAD_REQUEST,
        &["no file is chosen", "value=\"typed\""],
    );
    let torn = bench.post("/import", MULTIPART, "--cut\r\nContent-Disp");
    assert!(torn.status.is_client_error());
    let no_form = bench.post("/import", FORM, "name=x");
    assert!(no_form.status.is_client_error());
    let crafted = bench.upload(Some(("nul.toml", b"a = 1")), &[]);
    check_refused(
        &crafted,
        StatusCode::BAD_REQUEST,
        &["value=\"nul.toml\"", "a = 1"],
    );
    assert_eq!(bench.folder().list().unwrap().loops.len(), 2);
}

#[test]
fn property_versions_are_listed_seen_compared_taken_and_brought_back() {
    let bench = Bench::new();
    let none = bench.get("/loops/boiler-1/versions").text;
    assert!(none.contains("Nothing has been saved over") && !none.contains("/undo"));
    bench.save("boiler-1", "# second");
    let folder = bench.folder();
    let name = LoopName::new("boiler-1").unwrap();
    let id = folder.versions(&name).unwrap()[0].id.as_str().to_owned();
    let seen = Revision::of(b"# second");
    let page = bench.get("/loops/boiler-1/versions").text;
    for words in [
        seen.short(),
        seen.as_str(),
        Revision::of(example().as_bytes()).short(),
        &format!("/compare?a=boiler-1%40{id}&#38;b=boiler-1"),
        &format!("/loops/boiler-1/versions/{id}/file"),
        "in the file",
    ] {
        assert!(page.contains(words), "{words:?} in {page}");
    }
    let base = format!("/loops/boiler-1/versions/{id}");
    let text = bench.get(&base);
    assert_eq!(text.status, StatusCode::OK);
    assert!(text.text.contains("laundry") || text.text.contains("Laundry"));
    assert_eq!(bench.get(&format!("{base}/file")).text, example());

    let stale = [("seen", Revision::of(b"other").as_str().to_owned())];
    let stale: Vec<_> = stale.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let back = format!("{base}/bring-back");
    check_refused(
        &bench.form(&back, &stale),
        StatusCode::CONFLICT,
        &["has changed since this page was shown", seen.as_str()],
    );
    assert_eq!(bench.read("boiler-1"), "# second");
    check_refused(
        &bench.form(&back, &[("seen", "x")]),
        StatusCode::BAD_REQUEST,
        &["which text was seen"],
    );
    let answer = bench.form(&back, &[("seen", seen.as_str())]);
    check_sent_to(&bench, &answer, "/loops/boiler-1/versions");
    assert_eq!(bench.read("boiler-1"), example());
    for missing in [
        "/loops/boiler-1/versions/x",
        "/loops/boiler-1/versions/20200101T000000.000Z-0123456789ab",
        "/loops/boiler-1/versions/20200101T000000.000Z-0123456789ab/file",
        "/loops/none/versions",
    ] {
        assert_eq!(
            bench.get(missing).status,
            StatusCode::NOT_FOUND,
            "{missing}"
        );
    }
}

#[test]
fn property_undo_takes_back_the_last_save_and_itself() {
    let bench = Bench::new();
    let nothing = bench.form("/loops/boiler-1/undo", &[]);
    check_refused(&nothing, StatusCode::CONFLICT, &["no earlier text"]);
    bench.save("boiler-1", "# second");
    for expected in [example(), "# second".to_owned(), example()] {
        let answer = bench.form("/loops/boiler-1/undo", &[]);
        check_sent_to(&bench, &answer, "/loops/boiler-1/versions");
        assert_eq!(bench.read("boiler-1"), expected);
    }
    let stale = Revision::of(b"other");
    let refused = bench.form("/loops/boiler-1/undo", &[("seen", stale.as_str())]);
    check_refused(&refused, StatusCode::CONFLICT, &["has changed"]);
    let missing = bench.form("/loops/none/undo", &[]);
    check_refused(&missing, StatusCode::NOT_FOUND, &["no loop file named"]);
}
