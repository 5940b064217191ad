//! What the network may do to a workbench, asked byte by byte.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on says where")]

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::sync::mpsc;
use std::time::Duration;

use halfglass_folder::Folder;
use halfglass_web::{Listen, PassCode, ServeError, Workbench, serve};

const CODE: &str = "laundry-42";

/// Starts a workbench on a folder with one loop; it ends with the test process.
fn started(listen: Listen) -> (SocketAddr, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let example =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/laundry-shell-boiler.toml");
    std::fs::copy(example, folder.path().join("boiler.toml")).unwrap();
    std::fs::write(folder.path().join("secret.txt"), "not a loop").unwrap();
    let bench = Workbench::new(
        Folder::open(folder.path()).unwrap(),
        Box::new(|_| Err("no typesetter in this test".into())),
    );
    let (tell, told) = mpsc::channel();
    std::thread::spawn(move || {
        serve(bench, &listen, |serving| {
            tell.send(serving.address).unwrap()
        })
        .unwrap();
    });
    (told.recv().unwrap(), folder)
}

fn loopback() -> (SocketAddr, tempfile::TempDir) {
    started(Listen::loopback(0))
}

fn guarded() -> (SocketAddr, tempfile::TempDir) {
    started(Listen {
        pass_code: Some(PassCode::chosen(CODE).unwrap()),
        ..Listen::loopback(0)
    })
}

/// Sends bytes and reads all that comes back.
fn raw(address: SocketAddr, request: &[u8]) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(10)))
        .unwrap();
    // A server that refuses early may close before all is sent.
    let _ = stream.write_all(request);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8_lossy(&answer).into_owned()
}

/// One request with these header lines.
fn ask(address: SocketAddr, line: &str, headers: &str, body: &str) -> String {
    let length = if body.is_empty() {
        String::new()
    } else {
        format!(
            "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
            body.len()
        )
    };
    let host = if headers.contains("Host:") {
        String::new()
    } else {
        format!("Host: {address}\r\n")
    };
    raw(
        address,
        format!("{line} HTTP/1.1\r\n{host}{headers}{length}Connection: close\r\n\r\n{body}")
            .as_bytes(),
    )
}

fn status(answer: &str) -> u16 {
    answer
        .split_whitespace()
        .nth(1)
        .and_then(|status| status.parse().ok())
        .unwrap_or(0)
}

fn header<'a>(answer: &'a str, name: &str) -> Option<&'a str> {
    answer.split("\r\n\r\n").next()?.lines().find_map(|line| {
        let (key, value) = line.split_once(':')?;
        key.eq_ignore_ascii_case(name).then(|| value.trim())
    })
}

#[test]
fn practice_names_of_others_are_refused() {
    let (address, _folder) = loopback();
    let port = address.port();
    for (host, expect) in [
        (format!("127.0.0.1:{port}"), 200),
        (format!("localhost:{port}"), 200),
        (format!("LOCALHOST:{port}"), 200),
        (format!("[::1]:{port}"), 200),
        ("rebound.example".into(), 421),
        (format!("rebound.example:{port}"), 421),
        ("localhost.rebound.example".into(), 421),
        ("127.0.0.1.rebound.example".into(), 421),
        (String::new(), 421),
    ] {
        let answer = ask(address, "GET /", &format!("Host: {host}\r\n"), "");
        assert_eq!(status(&answer), expect, "{host}: {answer}");
    }
    // No host at all, and two.
    assert_eq!(status(&raw(address, b"GET / HTTP/1.0\r\n\r\n")), 421);
    assert!(matches!(
        status(&ask(
            address,
            "GET /",
            "Host: localhost\r\nHost: other.example\r\n",
            ""
        )),
        400 | 421
    ));
}

#[test]
fn practice_a_name_that_was_given_is_answered() {
    let (address, _folder) = started(Listen {
        host_names: vec!["boilerhouse.example".into()],
        ..Listen::loopback(0)
    });
    let answer = ask(address, "GET /", "Host: boilerhouse.example:4610\r\n", "");
    assert_eq!(status(&answer), 200);
}

#[test]
fn practice_forms_of_other_pages_change_nothing() {
    let (address, _folder) = loopback();
    let cases = [
        (String::new(), 303),
        (format!("Origin: http://{address}\r\n"), 303),
        ("Sec-Fetch-Site: same-origin\r\n".into(), 303),
        ("Origin: http://other.example\r\n".into(), 403),
        (format!("Origin: https://{address}\r\n"), 403),
        ("Origin: null\r\n".into(), 403),
        ("Sec-Fetch-Site: cross-site\r\n".into(), 403),
        ("Sec-Fetch-Site: same-site\r\n".into(), 403),
    ];
    for (headers, expect) in cases {
        let answer = ask(address, "POST /view", &headers, "theme=dark&back=%2F");
        assert_eq!(status(&answer), expect, "{headers}: {answer}");
    }
}

#[test]
fn practice_every_answer_forbids_foreign_script_and_frames() {
    let (address, _folder) = loopback();
    for line in [
        "GET /",
        "GET /loops/boiler",
        "GET /nowhere",
        "GET /loops/none",
        "DELETE /",
    ] {
        let answer = ask(address, line, "", "");
        let policy = header(&answer, "content-security-policy").unwrap_or_default();
        assert!(policy.contains("default-src 'none'"), "{line}: {answer}");
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(
            header(&answer, "x-content-type-options"),
            Some("nosniff"),
            "{line}"
        );
    }
}

#[test]
fn practice_bad_requests_get_an_answer_of_their_own_fault() {
    let (address, folder) = loopback();
    let long = "x".repeat(70_000);
    for (line, headers, body) in [
        ("GET /loops/..%2F..%2Fetc%2Fpasswd", "", ""),
        ("GET /loops/..", "", ""),
        ("GET /loops/%2e%2e", "", ""),
        ("GET /loops/..%5Csecret", "", ""),
        ("GET /loops/boiler%00", "", ""),
        ("GET /loops/%ff%fe", "", ""),
        ("GET /loops/%E2%80%AEboiler", "", ""),
        ("GET /loops/secret.txt", "", ""),
        ("GET /loops/.halfglass", "", ""),
        ("GET /loops/boiler/sheets/../../secret", "", ""),
        ("GET /loops/boiler/sheets/%00", "", ""),
        ("GET /assets/0/../../Cargo.toml", "", ""),
        ("GET /%", "", ""),
        ("DELETE /", "", ""),
        ("BREW /", "", ""),
        ("POST /", "", "x=1"),
        ("POST /login", "", "code"),
    ] {
        let answer = ask(address, line, headers, body);
        let status = status(&answer);
        // Axum merges `..` in no address: such a path has no route.
        assert!(
            matches!(status, 303 | 400..=499),
            "{line}: {status} {answer}"
        );
        assert!(
            !answer.contains("not a loop") && !answer.contains("[workspace]"),
            "{line}"
        );
        assert!(!answer.contains("panicked"), "{line}");
    }
    let answer = ask(address, "GET /", &format!("X-Long: {long}\r\n"), "");
    assert!(matches!(status(&answer), 400 | 431), "{answer}");
    let many = "X-A: 1\r\n".repeat(200);
    assert!(matches!(
        status(&ask(address, "GET /", &many, "")),
        400 | 431
    ));
    let body = "x".repeat(3 << 20);
    assert_eq!(status(&ask(address, "POST /view", "", &body)), 413);
    for garbage in [
        &b"\0\0\0\0"[..],
        b"GET\r\n\r\n",
        b"\x16\x03\x01\x02\x00",
        b"GET / HTTP/9.9\r\n\r\n",
    ] {
        let answer = raw(address, garbage);
        assert!(
            answer.is_empty() || matches!(status(&answer), 400..=499 | 505),
            "{answer}"
        );
    }
    // After all that it still works, and nothing was written.
    assert_eq!(status(&ask(address, "GET /", "", "")), 200);
    let mut files: Vec<_> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    files.sort();
    assert_eq!(files, ["boiler.toml", "secret.txt"]);
}

#[test]
fn practice_the_network_needs_the_pass_code() {
    let (address, _folder) = guarded();
    let turned_away = ask(address, "GET /loops/boiler?x=1", "", "");
    assert_eq!(status(&turned_away), 303);
    assert_eq!(
        header(&turned_away, "location"),
        Some("/login?back=%2Floops%2Fboiler%3Fx%3D1")
    );
    assert_eq!(status(&ask(address, "GET /api/v1/loops", "", "")), 401);
    let form = ask(
        address,
        "POST /view",
        &format!("Referer: http://{address}/loops/boiler/edit/cell\r\n"),
        "theme=dark",
    );
    assert_eq!(status(&form), 401);
    // The way out of the refusal, and from there back to the page.
    assert!(
        form.contains("href=\"/login?back=%2Floops%2Fboiler%2Fedit%2Fcell\">Sign in</a>"),
        "{form}"
    );
    assert_eq!(status(&ask(address, "GET /login", "", "")), 200);

    let wrong = ask(address, "POST /login", "", "code=guess-guess&back=%2F");
    assert_eq!(status(&wrong), 403);
    assert_eq!(header(&wrong, "set-cookie"), None);

    let entered = ask(
        address,
        "POST /login",
        "",
        "code=laundry-42&back=%2Floops%2Fboiler",
    );
    assert_eq!(status(&entered), 303);
    assert_eq!(header(&entered, "location"), Some("/loops/boiler"));
    let cookie = header(&entered, "set-cookie").unwrap();
    for flag in ["HttpOnly", "SameSite=Strict", "Max-Age="] {
        assert!(cookie.contains(flag), "{cookie}");
    }
    let session = cookie.split(';').next().unwrap();
    let answer = ask(
        address,
        "GET /loops/boiler",
        &format!("Cookie: a=b; {session}\r\n"),
        "",
    );
    assert_eq!(status(&answer), 200);
    assert!(answer.contains("action=\"/logout\""), "{answer}");
    // A login form cannot send anyone elsewhere.
    for back in [
        "//other.example",
        "https://other.example",
        "/\\other.example",
        "/a\r\nX: 1",
    ] {
        let entered = ask(
            address,
            "POST /login",
            "",
            &format!("code=laundry-42&back={back}"),
        );
        assert_eq!(header(&entered, "location"), Some("/"), "{back}");
    }
    let left = ask(
        address,
        "POST /logout",
        &format!("Cookie: {session}\r\n"),
        "",
    );
    assert_eq!(status(&left), 303);
    let answer = ask(
        address,
        "GET /loops/boiler",
        &format!("Cookie: {session}\r\n"),
        "",
    );
    assert_eq!(status(&answer), 303);
}

#[test]
fn practice_guessing_locks_out() {
    let (address, _folder) = guarded();
    let last = (0..6)
        .map(|guess| ask(address, "POST /login", "", &format!("code=guess-{guess}")))
        .fold(None, |_, answer| Some(answer))
        .unwrap();
    assert_eq!(status(&last), 429);
    let wait_s: u64 = header(&last, "retry-after").unwrap().parse().unwrap();
    assert!((29..=61).contains(&wait_s), "{wait_s}");
    assert_eq!(
        status(&ask(address, "POST /login", "", &format!("code={CODE}"))),
        429
    );
}

#[test]
fn practice_the_network_is_not_served_without_a_pass_code() {
    let folder = tempfile::tempdir().unwrap();
    let bench = Workbench::new(
        Folder::open(folder.path()).unwrap(),
        Box::new(|_| Err(String::new())),
    );
    let listen = Listen {
        address: ([0, 0, 0, 0], 0).into(),
        ..Listen::loopback(0)
    };
    let error = serve(bench, &listen, |_| panic!("it listens")).unwrap_err();
    assert!(matches!(error, ServeError::NoPassCode(_)), "{error}");
    assert!(PassCode::chosen("short").is_err());
    let code = PassCode::made_up().unwrap();
    assert_eq!(code.shown().len(), 11);
    assert!(!format!("{code:?}").contains(code.shown()));
}

#[test]
fn practice_with_a_certificate_the_traffic_is_encrypted() {
    let made = rcgen::generate_simple_self_signed(vec!["localhost".into()]).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (chain, key) = (
        folder.path().join("chain.pem"),
        folder.path().join("key.pem"),
    );
    std::fs::write(&chain, made.cert.pem()).unwrap();
    std::fs::write(&key, made.signing_key.serialize_pem()).unwrap();
    let (address, _folder) = started(Listen {
        certificate: Some((chain.clone(), key)),
        pass_code: Some(PassCode::chosen(CODE).unwrap()),
        ..Listen::loopback(0)
    });
    let provider = std::sync::Arc::new(rustls::crypto::ring::default_provider());
    let mut roots = rustls::RootCertStore::empty();
    roots.add(made.cert.der().clone()).unwrap();
    let config = rustls::ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let name = rustls::pki_types::ServerName::try_from("localhost").unwrap();
    let mut client = rustls::ClientConnection::new(std::sync::Arc::new(config), name).unwrap();
    let mut socket = TcpStream::connect(address).unwrap();
    let mut stream = rustls::Stream::new(&mut client, &mut socket);
    let body = format!("code={CODE}");
    stream
        .write_all(
            format!(
                "POST /login HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
                body.len()
            )
            .as_bytes(),
        )
        .unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    let answer = String::from_utf8_lossy(&answer).into_owned();
    assert_eq!(status(&answer), 303, "{answer}");
    assert!(
        header(&answer, "set-cookie").unwrap().contains("Secure"),
        "{answer}"
    );
    // Without the handshake nothing is said.
    assert_eq!(
        status(&raw(address, b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")),
        0
    );
    // A file that is no certificate is told at the start.
    let bench = Workbench::new(
        Folder::open(folder.path()).unwrap(),
        Box::new(|_| Err(String::new())),
    );
    let listen = Listen {
        certificate: Some((chain.clone(), chain)),
        ..Listen::loopback(0)
    };
    let error = serve(bench, &listen, |_| panic!("it listens")).unwrap_err();
    assert!(matches!(error, ServeError::Certificate { .. }), "{error}");
}

#[test]
fn practice_what_no_page_can_read_is_refused_by_a_page() {
    let (address, _folder) = loopback();
    for (line, expect) in [
        ("GET /loops/%ff", 400),
        ("GET /loops/a%00b", 400),
        ("GET /loops/boiler/delete", 405),
        ("POST /loops/boiler", 405),
    ] {
        let answer = ask(address, line, "", "");
        assert_eq!(status(&answer), expect, "{line}: {answer}");
        assert!(answer.contains("All loops"), "{line}: {answer}");
    }
}
