//! The real binary: exit status, standard output, standard error.

mod binary;

use binary::{Run, example, examples, halfglass, halfglass_with_input, scratch};
use serde_json::Value;

/// Codes of exit: 0 fine, 1 input, 2 usage, 3 machine.
fn check_exit(run: &Run, code: i32) {
    assert_eq!(
        run.code, code,
        "stdout:\n{}\nstderr:\n{}",
        run.stdout, run.stderr
    );
}

#[test]
fn property_every_example_checks_and_prints_within_80_columns() {
    for path in examples() {
        check_exit(&halfglass(&["check", &path]), 0);
        for units in ["us", "si"] {
            let run = halfglass(&["sheet", &path, "--units", units]);
            check_exit(&run, 0);
            for line in run.stdout.lines().filter(|line| !line.contains("sha256")) {
                assert!(line.chars().count() <= 80, "{path} --units {units}: {line}");
            }
            assert!(
                !run.stdout.contains("NaN") && !run.stdout.contains("inf "),
                "{path}"
            );
        }
    }
}

#[test]
fn regression_exit_codes() {
    check_exit(&halfglass(&["sheet"]), 2);
    check_exit(
        &halfglass(&["sheet", &example("laundry-shell-boiler"), "--only", "rnage"]),
        2,
    );
    let missing = halfglass(&[
        "check",
        "--json",
        "no-such-file.toml",
        &example("brewery-feed-tank"),
    ]);
    check_exit(&missing, 3);
    assert_eq!(
        missing.stdout.lines().count(),
        2,
        "the file after an unreadable one is checked too"
    );
    check_exit(&halfglass(&["check", "-", "-"]), 2);
    check_exit(
        &halfglass(&[
            "sheet",
            &example("laundry-shell-boiler"),
            "--only",
            " Range,tuning",
        ]),
        0,
    );
    let run = halfglass_with_input(&["check", "-"], b"[loop]\ntag = 3\n");
    check_exit(&run, 1);
    assert!(run.stderr.contains("standard input:2:7"), "{}", run.stderr);
}

#[test]
fn regression_a_missing_unit_is_shown_at_its_line_with_help() {
    let text = std::fs::read_to_string(example("laundry-shell-boiler")).unwrap();
    let line = text
        .lines()
        .position(|line| line.starts_with("upper-tap"))
        .unwrap();
    let broken: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(index, words)| {
            if index == line {
                "upper-tap = \"30\"".into()
            } else {
                words.to_owned()
            }
        })
        .collect();
    let run = halfglass_with_input(&["check", "-"], broken.join("\n").as_bytes());
    check_exit(&run, 1);
    assert!(
        run.stderr
            .contains(&format!("standard input:{}:13", line + 1)),
        "{}",
        run.stderr
    );
    assert!(
        run.stderr.contains("upper-tap = \"30\"") && run.stderr.contains("help"),
        "{}",
        run.stderr
    );
}

#[test]
fn property_hostile_input_gets_a_clear_answer() {
    let mut deep = b"a = ".to_vec();
    deep.extend(std::iter::repeat_n(b'[', 100_000));
    let large = vec![b'#'; 10 * 1024 * 1024];
    let cases: [(&str, &[u8]); 6] = [
        ("empty", b""),
        ("invalid UTF-8", b"[loop]\ntag = \"\xff\"\n"),
        ("only a byte-order mark", b"\xef\xbb\xbf"),
        ("nul bytes", b"\0\0\0"),
        ("deep nesting", &deep),
        ("10 MB", &large),
    ];
    for (name, bytes) in cases {
        let run = halfglass_with_input(&["check", "-"], bytes);
        assert_eq!(run.code, 1, "{name}: {}", run.stderr);
        assert!(run.stderr.contains("error["), "{name}: {}", run.stderr);
        assert!(
            run.stderr.len() < 200_000,
            "{name}: an answer nobody can read"
        );
    }
}

#[test]
fn property_json_of_several_files_is_one_object_a_line() {
    let run = halfglass_with_input(
        &[
            "sheet",
            "--json",
            &example("laundry-shell-boiler"),
            "-",
            &example("brewery-feed-tank"),
        ],
        b"[loop]\n",
    );
    check_exit(&run, 1);
    let objects: Vec<Value> = run
        .stdout
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(objects.len(), 3);
    assert!(objects[0]["range"]["lrv_pa"].is_number() && objects[2]["range"]["lrv_pa"].is_number());
    assert!(
        objects[1]["problems"]
            .as_array()
            .is_some_and(|problems| !problems.is_empty())
    );
    assert!(objects[1]["problems"][0]["line"].is_number());
}

#[test]
fn practice_the_inherited_loop_reads_ten_percent_low_and_resets_too_fast() {
    // Common knowledge of the trade: a wet-leg loop ranged cold shows about 90 % with the vessel full at about 125 psi(g).
    let run = halfglass(&["sheet", "--json", &example("inherited-cold-range")]);
    check_exit(&run, 0);
    let sheets: Value = serde_json::from_str(&run.stdout).unwrap();
    let codes: Vec<&str> = sheets["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|finding| finding["code"].as_str())
        .collect();
    for code in ["range-is-cold", "as-found-reset-too-fast"] {
        assert!(codes.contains(&code), "{codes:?}");
    }
}

#[test]
fn property_the_pack_is_whole_and_identical() {
    let folder = scratch();
    let target = |name: &str| folder.path().join(name).display().to_string();
    let loop_file = example("brewery-feed-tank");
    check_exit(
        &halfglass(&["pack", &loop_file, "--output", &target("a.pdf")]),
        0,
    );
    check_exit(
        &halfglass(&["pack", &loop_file, "--output", &target("b.pdf")]),
        0,
    );
    let (a, b) = (
        std::fs::read(target("a.pdf")).unwrap(),
        std::fs::read(target("b.pdf")).unwrap(),
    );
    assert!(a.starts_with(b"%PDF-") && a == b);

    let copy = target("copy.toml");
    std::fs::copy(&loop_file, &copy).unwrap();
    check_exit(&halfglass(&["pack", &copy, "--output", &copy]), 2);
    assert_eq!(
        std::fs::read(&copy).unwrap(),
        std::fs::read(&loop_file).unwrap(),
        "the loop file is untouched"
    );
    check_exit(
        &halfglass(&["pack", &copy, "--output", &target("no/such/folder/a.pdf")]),
        3,
    );
}

#[cfg(unix)]
#[test]
fn property_writing_follows_links_keeps_permissions_and_spares_devices() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = scratch();
    let (real, link) = (
        folder.path().join("real.svg"),
        folder.path().join("link.svg"),
    );
    std::fs::write(&real, "old").unwrap();
    std::fs::set_permissions(&real, std::fs::Permissions::from_mode(0o600)).unwrap();
    symlink(&real, &link).unwrap();
    let loop_file = example("laundry-shell-boiler");
    check_exit(
        &halfglass(&["figure", &loop_file, "-o", &link.display().to_string()]),
        0,
    );
    assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
    assert!(std::fs::read_to_string(&real).unwrap().starts_with("<svg"));
    assert_eq!(
        std::fs::metadata(&real).unwrap().permissions().mode() & 0o777,
        0o600
    );
    if std::path::Path::new("/dev/full").exists() {
        check_exit(&halfglass(&["figure", &loop_file, "-o", "/dev/full"]), 3);
        assert!(
            !std::fs::metadata("/dev/full").unwrap().is_file(),
            "a device stays a device"
        );
    }
}

#[test]
fn regression_json_obeys_only() {
    let run = halfglass(&[
        "sheet",
        "--json",
        "--only",
        "range",
        &example("laundry-shell-boiler"),
    ]);
    let value: Value = serde_json::from_str(&run.stdout).unwrap();
    assert!(value["range"].is_object() && value["tuning"].is_null() && value["sha256"].is_string());
}

#[test]
fn property_two_packs_never_share_a_place() {
    let folder = scratch();
    for name in ["a", "b"] {
        std::fs::create_dir(folder.path().join(name)).unwrap();
        std::fs::copy(
            example("brewery-feed-tank"),
            folder.path().join(name).join("x.toml"),
        )
        .unwrap();
    }
    let path = |name: &str| folder.path().join(name).display().to_string();
    let run = halfglass(&[
        "pack",
        &path("a/x.toml"),
        &path("b/x.toml"),
        "-o",
        &path("out"),
    ]);
    check_exit(&run, 2);
    assert!(run.stderr.contains("same pack"), "{}", run.stderr);
}

#[test]
fn property_new_files_check_for_every_kind_and_unit() {
    let folder = scratch();
    for kind in ["shell-boiler", "drum-boiler", "deaerator", "vented-tank"] {
        for units in ["us", "si"] {
            let path = folder
                .path()
                .join(format!("{kind}-{units}.toml"))
                .display()
                .to_string();
            check_exit(
                &halfglass(&["new", &path, "--kind", kind, "--units", units]),
                0,
            );
            let draft = halfglass(&["check", &path]);
            check_exit(&draft, 1);
            let first = draft.stdout.lines().next().unwrap();
            // A boiler's glass stands in comments until it is described, and its absence is a stop of its own.
            let stops = if kind.ends_with("boiler") {
                "STOP, 2 stop findings;"
            } else {
                "STOP, 1 stop finding;"
            };
            assert!(
                first.contains(stops) && !first.contains("no problems"),
                "{first}"
            );
            check_exit(&halfglass(&["check", "--json", &path]), 1);
            check_exit(&halfglass(&["sheet", "--only", "range", &path]), 0);
            let again = halfglass(&["new", &path, "--kind", kind]);
            check_exit(&again, 2);
            assert!(again.stderr.contains("there already"), "{}", again.stderr);
        }
    }
    let set = halfglass(&[
        "new",
        "--kind",
        "shell-boiler",
        "--units",
        "us",
        "--set",
        "loop.tag=LT-7",
    ]);
    check_exit(&set, 0);
    assert!(set.stdout.contains("\"LT-7\""), "{}", set.stdout);
    check_exit(
        &halfglass(&[
            "new",
            "--kind",
            "shell-boiler",
            "--set",
            "elevations.upper-tap=30",
        ]),
        2,
    );
    check_exit(&halfglass(&["new"]), 2);
}

#[test]
fn regression_schema_completions_and_man_pages() {
    let schema: Value = serde_json::from_str(&halfglass(&["schema"]).stdout).unwrap();
    assert!(schema["properties"]["elevations"].is_object());
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let run = halfglass(&["completions", shell]);
        check_exit(&run, 0);
        assert!(run.stdout.contains("halfglass"));
    }
    let folder = scratch();
    check_exit(
        &halfglass(&["man", &folder.path().display().to_string()]),
        0,
    );
    let page = std::fs::read_to_string(folder.path().join("halfglass-pack.1")).unwrap();
    assert!(page.contains("commissioning pack"));
}

#[test]
fn regression_the_picture_in_the_readme_is_the_tools_own() {
    let run = halfglass(&["figure", &example("laundry-shell-boiler")]);
    check_exit(&run, 0);
    let picture = binary::root().join("docs/src/images/level-map.svg");
    let kept = std::fs::read_to_string(&picture).unwrap();
    assert!(
        run.stdout == kept,
        "the picture is old: cargo run -- figure examples/laundry-shell-boiler.toml -o docs/src/images/level-map.svg"
    );
}

#[test]
fn property_a_closed_pipe_is_no_failure() {
    let run = binary::halfglass_into_closed_pipe(&["sheet", &example("laundry-shell-boiler")]);
    assert_eq!(run.code, 0, "{}", run.stderr);
}

#[test]
fn crosscheck_poppler_reads_every_page_of_the_pack() {
    // Poppler's pdftotext, installed by `cargo xtask setup`, as a reader that is not ours.
    let folder = scratch();
    let pdf = folder.path().join("pack.pdf").display().to_string();
    let loop_file = example("inherited-cold-range");
    check_exit(&halfglass(&["pack", &loop_file, "--output", &pdf]), 0);
    let sheets: Value = serde_json::from_str(
        &halfglass(&["sheet", "--json", "--only", "range", &loop_file]).stdout,
    )
    .unwrap();
    let hash = &sheets["sha256"].as_str().unwrap()[..12];
    let output = std::process::Command::new("pdftotext")
        .args(["-layout", &pdf, "-"])
        .output();
    let output = output.expect("pdftotext is missing: run `cargo xtask setup`");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let pages: Vec<&str> = text
        .split('\u{c}')
        .filter(|page| !page.trim().is_empty())
        .collect();
    assert!(pages.len() > 20, "{} pages", pages.len());
    for (index, page) in pages.iter().enumerate() {
        assert!(
            page.contains(hash) && page.contains("inherited-cold-range.toml"),
            "page {}: {page}",
            index + 1
        );
        assert!(
            page.contains(&format!("page {} of {}", index + 1, pages.len())),
            "page {}: {page}",
            index + 1
        );
    }
    for words in [
        "HOLD POINT",
        "low-water cutoff",
        "FORECAST",
        "Manifold",
        "CAUTION",
    ] {
        assert!(text.contains(words), "{words}");
    }
}
