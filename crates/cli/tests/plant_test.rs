//! `halfglass tune` with the record of a test, as a person and a script use it.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod binary;

use binary::{check_documented, command, example, halfglass_with_input, root, run, scratch};

const LOOP: &str = "laundry-shell-boiler";

fn record(name: &str) -> String {
    root()
        .join("examples/records")
        .join(name)
        .display()
        .to_string()
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let done = run(command()
        .args(["tune", &example(LOOP), "--json"])
        .args(arguments));
    assert_eq!(done.code, 0, "{}", done.stderr);
    serde_json::from_str(&done.stdout).unwrap()
}

/// The trend of the example was made by the simulator, and the same ten minutes noted by hand tell the same process: the computed gain
/// of the maximum within a fifth, which pressure and valve curve account for.
#[test]
fn crosscheck_the_simulators_own_process_comes_back() {
    let trend = json(&["--bump", &record("laundry-bump-test.csv")]);
    check_documented(&trend, "## Plant test");
    let noted = json(&["--readings", &record("laundry-readings.txt")]);
    for value in [&trend, &noted] {
        assert_eq!(value["usable"], true, "{}", value["doubts"]);
        assert_eq!(value["right_way"], true);
        assert_eq!(value["duty"], "maximum");
        let gain = value["gain_per_s"]["value"].as_f64().unwrap();
        let computed = value["computed_gain_per_s"].as_f64().unwrap();
        assert!((gain / computed - 1.0).abs() < 0.2, "{gain} {computed}");
    }
    let [a, b] = [&trend, &noted].map(|value| value["gain_per_s"].clone());
    // Their intervals overlap.
    assert!(a["low"].as_f64() < b["high"].as_f64() && b["low"].as_f64() < a["high"].as_f64());
}

#[test]
fn practice_the_sheet_and_the_figure_are_for_a_person() {
    let folder = scratch();
    let figure = folder.path().join("bump.svg");
    let done = run(command()
        .args([
            "tune",
            &example(LOOP),
            "--bump",
            &record("laundry-bump-test.csv"),
        ])
        .arg("--figure")
        .arg(&figure));
    assert_eq!(done.code, 0, "{}", done.stderr);
    for words in [
        "BUMP TEST",
        "265 readings",
        "by the survey",
        "Never leave a",
    ] {
        assert!(done.stdout.contains(words), "{words}: {}", done.stdout);
    }
    for line in done.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let svg = std::fs::read_to_string(figure).unwrap();
    for words in [
        "read less fitted, %",
        "controller output, %",
        "panel, % of span",
    ] {
        assert!(svg.contains(words), "{words}");
    }
}

/// Accepted, the file holds the test and is otherwise the same; the tuning sheet says so and moves its settings.
#[test]
fn practice_a_test_is_taken_into_the_file() {
    let folder = scratch();
    let path = folder.path().join("loop.toml");
    std::fs::copy(example(LOOP), &path).unwrap();
    let before = std::fs::read_to_string(&path).unwrap();
    let accept = |more: &[&str]| {
        run(command()
            .arg("tune")
            .arg(&path)
            .args(["--bump", &record("laundry-bump-test.csv"), "--accept"])
            .args(more))
    };
    let undated = accept(&[]);
    assert_eq!(undated.code, 2);
    assert!(undated.stderr.contains("--date"), "{}", undated.stderr);
    let elsewhere = accept(&["--date", "2026-11-26", "--duty", "midnight"]);
    assert_eq!(elsewhere.code, 2);
    assert!(
        elsewhere.stderr.contains("“low fire”"),
        "{}",
        elsewhere.stderr
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    let taken = accept(&["--date", "2026-11-26", "--duty", "maximum"]);
    assert_eq!(taken.code, 0, "{}", taken.stderr);
    let after = std::fs::read_to_string(&path).unwrap();
    let block: Vec<&str> = after
        .lines()
        .skip_while(|line| *line != "[measured]")
        .take_while(|line| !line.is_empty())
        .collect();
    assert_eq!(block.len(), 6, "{block:?}");
    let lines = |text: &str| -> Vec<String> {
        text.lines()
            .filter(|line| !line.is_empty() && !block.contains(line))
            .map(str::to_owned)
            .collect()
    };
    assert!(lines(&after) == lines(&before), "another line has changed");
    let sheet = run(command().arg("sheet").arg(&path).args(["--only", "tuning"]));
    assert!(
        sheet
            .stdout
            .contains("MEASURED by the bump test of 2026-11-26"),
        "{}",
        sheet.stdout
    );
    assert!(!sheet.stdout.contains("no bump test has confirmed"));
}

/// What a record cannot tell, and what cannot be read, is told with the way out, and nothing is written.
#[test]
fn regression_records_that_tell_nothing_say_so() {
    let lines = |output: &dyn Fn(usize) -> f64, level: &dyn Fn(usize) -> f64| {
        (0..60).fold("time,level,output\n".to_owned(), |text, index| {
            format!("{text}{},{},{}\n", 10 * index, level(index), output(index))
        })
    };
    let stepped = |index: usize| {
        if (15..40).contains(&index) {
            60.0
        } else {
            50.0
        }
    };
    let noise = |index: usize| 50.0 + 0.05 * ((7919 * index) % 13) as f64;
    // Down while the output is up: the wrong way for a valve that fills.
    let wrong_way =
        |index: usize| 50.0 - 0.1 * index.clamp(17, 42) as f64 + 0.01 * (index % 3) as f64;
    for (what, text, code, words) in [
        (
            "no step",
            lines(&|_| 50.0, &noise),
            1,
            "step the output in manual",
        ),
        (
            "stands still",
            lines(&stepped, &|_| 50.0),
            1,
            "see whether the signal lives",
        ),
        (
            "automatic",
            lines(&|i| 50.0 + 3.0 * (i % 5) as f64, &noise),
            1,
            "in manual for the test",
        ),
        (
            "nothing moved",
            lines(&stepped, &noise),
            1,
            "larger or longer step",
        ),
        ("columns", "when,what\n1,2\n".into(), 1, "--time-column"),
        (
            "unit",
            "time,level (in),output\n1,2,3\n".into(),
            1,
            "percentage of its span",
        ),
        ("wrong way", lines(&stepped, &wrong_way), 0, "DO NOT USE"),
    ] {
        let done = halfglass_with_input(&["tune", &example(LOOP), "--bump", "-"], text.as_bytes());
        let told = format!("{}{}", done.stdout, done.stderr);
        let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(done.code, code, "{what}: {told}");
        assert!(flat.contains(words), "{what}: {told}");
    }
}
