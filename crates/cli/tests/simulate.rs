//! `halfglass simulate` and `halfglass tune` as a person and a script use it.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod binary;

use binary::{check_documented, command, example, run, scratch};
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::record::RowAccessor as _;

/// Vessels of every kind.
const LOOPS: [&str; 5] = [
    "laundry-shell-boiler",
    "inherited-cold-range",
    "paper-mill-drum-boiler",
    "district-deaerator",
    "brewery-feed-tank",
];

fn names() -> Vec<String> {
    let listed = run(command().args(["simulate", "--list"]));
    assert_eq!(listed.code, 0);
    let names: Vec<String> = listed
        .stdout
        .lines()
        .map(|line| line.split_whitespace().next().unwrap().to_owned())
        .collect();
    assert!(names.len() >= 9, "{names:?}");
    names
}

/// Every scenario of the program on every loop: it runs, says that it is a simulation, and fits a terminal.
#[test]
fn property_every_scenario_runs_and_says_that_it_is_one() {
    for name in names() {
        let stem = LOOPS[name.len() % LOOPS.len()];
        let done = run(command().args(["simulate", &example(stem), &name]));
        assert_eq!(done.code, 0, "{stem} {name}: {}", done.stderr);
        assert!(done.stdout.contains("SIMULATION: "), "{name}");
        assert!(done.stdout.contains("never vouches for"), "{name}");
        for line in done.stdout.lines() {
            assert!(line.chars().count() <= 80, "{name}: {line}");
        }
        assert!(
            !done.stdout.contains("NaN") && !done.stdout.contains("inf"),
            "{name}"
        );
    }
}

/// A pump that stops: the TRUE level comes down, and marks are passed at rising times.
#[test]
fn practice_a_tripped_pump_empties_towards_the_marks() {
    let done = run(command().args(["simulate", &example(LOOPS[0]), "pump-trip", "--json"]));
    let value: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
    let one = &value["runs"][0];
    assert!(
        one["summary"]["lowest_true_above_set_point_m"]
            .as_f64()
            .unwrap()
            < -0.01
    );
    let feed = one["samples"]["feed_kg_s"].as_array().unwrap();
    assert!(feed.iter().any(|flow| flow.as_f64() == Some(0.0)));
}

#[test]
fn property_samples_are_the_same_in_json_csv_and_parquet_and_from_run_to_run() {
    let folder = scratch();
    let (csv_path, parquet_path) = (folder.path().join("a.csv"), folder.path().join("a.parquet"));
    let figure_path = folder.path().join("a.svg");
    let call = || {
        run(command()
            .args([
                "simulate",
                &example(LOOPS[1]),
                "fast-reset",
                "--json",
                "--csv",
            ])
            .arg(&csv_path)
            .arg("--parquet")
            .arg(&parquet_path)
            .arg("--figure")
            .arg(&figure_path))
    };
    let first = call();
    assert_eq!(first.code, 0, "{}", first.stderr);
    let bytes = std::fs::read(&parquet_path).unwrap();
    assert_eq!(first.stdout, call().stdout, "same seed, same run");
    assert_eq!(bytes, std::fs::read(&parquet_path).unwrap());

    let svg = std::fs::read_to_string(&figure_path).unwrap();
    assert!(svg.contains("SIMULATION") && svg.contains("vessel (TRUE)"));

    let value: serde_json::Value = serde_json::from_str(&first.stdout).unwrap();
    assert_eq!(value["simulation"], true);
    let levels: Vec<f64> = value["runs"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|one| one["samples"]["true_level_m"].as_array().unwrap())
        .map(|level| level.as_f64().unwrap())
        .collect();
    let mut reader = csv::Reader::from_path(&csv_path).unwrap();
    let place = reader
        .headers()
        .unwrap()
        .iter()
        .position(|name| name == "true_level_m")
        .unwrap();
    let from_csv: Vec<f64> = reader
        .records()
        .map(|row| {
            let row = row.unwrap();
            assert!(row[0].starts_with("SIMULATION: "));
            row[place].parse().unwrap()
        })
        .collect();
    let reader = SerializedFileReader::new(std::fs::File::open(&parquet_path).unwrap()).unwrap();
    let from_parquet: Vec<f64> = reader
        .get_row_iter(None)
        .unwrap()
        .map(|row| {
            let row = row.unwrap();
            assert!(row.get_string(0).unwrap().starts_with("SIMULATION: "));
            row.get_double(place).unwrap()
        })
        .collect();
    assert!(levels.len() > 1000);
    assert_eq!(levels, from_csv);
    assert_eq!(levels, from_parquet);
}

/// Many draws: bands around the worst draw, the same from call to call, every path documented, and the figure of bands.
#[test]
fn property_draws_show_band_and_worst_case() {
    let folder = scratch();
    let figure = folder.path().join("band.svg");
    for stem in [LOOPS[0], LOOPS[2], LOOPS[4]] {
        let call = |extra: &[&str]| {
            run(command()
                .args(["simulate", &example(stem), "pump-trip", "--draws", "8"])
                .args(extra)
                .arg("--figure")
                .arg(&figure))
        };
        let first = call(&["--seed", "3", "--json"]);
        assert_eq!(first.code, 0, "{stem}: {}", first.stderr);
        assert_eq!(first.stdout, call(&["--seed", "3", "--json"]).stdout);
        assert_ne!(first.stdout, call(&["--seed", "4", "--json"]).stdout);
        let value: serde_json::Value = serde_json::from_str(&first.stdout).unwrap();
        check_documented(&value, "## Simulated runs");
        let draws = &value["draws"][0];
        assert_eq!(draws["count"], 8);
        let band = |whose: &str, which: &str| -> Vec<f64> {
            draws["bands"][whose][which]
                .as_array()
                .unwrap()
                .iter()
                .map(|level| level.as_f64().unwrap())
                .collect()
        };
        for whose in ["true_level", "indicated_level"] {
            let (low, high) = (band(whose, "lowest_m"), band(whose, "highest_m"));
            assert_eq!(
                low.len(),
                draws["bands"]["time_s"].as_array().unwrap().len()
            );
            assert!(low.iter().zip(&high).all(|(low, high)| low <= high));
            assert!(
                low.iter().zip(&high).any(|(low, high)| low < high),
                "{stem}"
            );
        }
        let lowest = draws["spread"]["lowest_true_above_set_point_m"]["lowest"]
            .as_f64()
            .unwrap();
        let worst = draws["worst"]["lowest_true_above_set_point_m"]
            .as_f64()
            .unwrap();
        assert!(lowest < 0.0 && lowest <= worst + 1e-12, "{lowest} {worst}");
        let svg = std::fs::read_to_string(&figure).unwrap();
        assert!(svg.contains("SIMULATION") && svg.contains("worst draw"));

        let printed = call(&[]);
        assert!(printed.stdout.contains("8 draws, seed 1"));
        assert!(printed.stdout.contains("the worst draw, number"));
        for line in printed.stdout.lines() {
            assert!(line.chars().count() <= 80, "{stem}: {line}");
        }
    }
    let none = run(command().args(["simulate", &example(LOOPS[0]), "load-step", "--draws", "0"]));
    assert_eq!(none.code, 2, "{}", none.stderr);
}

#[test]
fn property_every_path_of_the_json_is_in_the_manual() {
    let done = run(command().args(["simulate", &example(LOOPS[0]), "lost-signal", "--json"]));
    check_documented(
        &serde_json::from_str(&done.stdout).unwrap(),
        "## Simulated runs",
    );
}

/// The proof: settings rise from slow to fast, those picked hold, and the paths of its JSON are documented.
#[test]
fn property_the_proof_picks_the_slowest_settings_that_hold() {
    let folder = scratch();
    let path = folder.path().join("quick.toml");
    let text = std::fs::read_to_string(example(LOOPS[0])).unwrap();
    // A controller that looks once a second: the same proof in a quarter of the time.
    let line = text
        .lines()
        .find(|line| line.starts_with("sample-time"))
        .unwrap();
    std::fs::write(&path, text.replacen(line, "sample-time = \"1 s\"", 1)).unwrap();
    let done = run(command()
        .arg("tune")
        .arg(&path)
        .args(["--draws", "6", "--json"]));
    assert_eq!(done.code, 0, "{}", done.stderr);
    let value: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
    check_documented(&value, "## Tuning proof");
    let tried = value["tried"].as_array().unwrap();
    let gains: Vec<f64> = tried
        .iter()
        .map(|one| one["gain_ratio"].as_f64().unwrap())
        .collect();
    assert!(gains.is_sorted(), "{gains:?}");
    let first = tried.iter().find(|one| one["holds"] == true).unwrap();
    assert_eq!(value["picked"], *first);
    assert_eq!(value["draws"]["of"], 6);
    let printed = run(command().arg("tune").arg(&path).args(["--draws", "6"]));
    assert!(printed.stdout.contains("SIMULATION") && printed.stdout.contains(", picked"));
    for line in printed.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn regression_bad_scenarios_are_told_with_the_way_out() {
    let folder = scratch();
    let unknown = run(command().args(["simulate", &example(LOOPS[0]), "no-such"]));
    assert_eq!(unknown.code, 2);
    assert!(
        unknown.stderr.contains("choose from load-step"),
        "{}",
        unknown.stderr
    );
    let path = folder.path().join("mine.toml");
    let text = run(command().args(["simulate", &example(LOOPS[0]), "load-step", "--show"])).stdout;
    for (from, to, told) in [
        ("load = \"70 %\"", "load = \"70\"", "has no unit"),
        (
            "[[event]]\nat = \"10 min\"",
            "[[event]]\nat = \"10 h\"",
            "after the end",
        ),
        (
            "label",
            "start-duty = \"banquet\"\nlabel",
            "which the loop does not have",
        ),
        (
            "label",
            "range = \"as-found\"\nlabel",
            "the loop file says none",
        ),
    ] {
        assert!(text.contains(from), "{from}");
        std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
        let done = run(command().args(["simulate", &example(LOOPS[0])]).arg(&path));
        assert_eq!(done.code, 1, "{told}: {}", done.stdout);
        assert!(done.stderr.contains(told), "{}", done.stderr);
    }
}
