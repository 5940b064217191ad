//! `halfglass new` of the real binary: what is wrong with the values given is told at once and in full.

mod binary;

use binary::{halfglass, scratch};

#[test]
fn practice_every_wrong_value_is_told_at_once() {
    let run = halfglass(&[
        "new",
        "--kind",
        "shell-boiler",
        "--set",
        "elevations.upper-tap=30",
        "--set",
        "limits.seet-point=3 in",
        "--set",
        "loop.tag=LIC-7",
        "--set",
        "duty[0].outflow=1 t/h",
        "--set",
        "no equals sign",
        "--set",
        "duty.feed-temperature=95 C",
    ]);
    assert_eq!(run.code, 2, "{}", run.stderr);
    assert!(run.stdout.is_empty(), "{}", run.stdout);
    for words in [
        "5 of the values",
        "`30` has no unit",
        "did you mean `limits.set-point`?",
        "counted from 1",
        "has no `=`",
        "did you mean `degC`?",
    ] {
        assert!(run.stderr.contains(words), "{words}: {}", run.stderr);
    }
    assert!(!run.stderr.contains("LIC-7"), "{}", run.stderr);
}

#[test]
fn practice_values_that_do_not_go_together_are_told_when_the_file_is_written() {
    let folder = scratch();
    let path = folder.path().join("drum.toml").display().to_string();
    let run = halfglass(&[
        "new",
        &path,
        "--kind",
        "drum-boiler",
        "--units",
        "si",
        "--set",
        "limits.set-point=5 m",
    ]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    for words in ["set-point-outside-taps", "limits.set-point", "drum.toml:"] {
        assert!(run.stderr.contains(words), "{words}: {}", run.stderr);
    }
    let written = std::fs::read_to_string(&path).unwrap();
    assert!(written.contains("set-point = \"5 m\""), "{written}");
}

#[test]
fn practice_a_new_file_is_called_a_draft_and_a_second_duty_can_be_set() {
    let folder = scratch();
    let path = folder.path().join("boiler.toml").display().to_string();
    let run = halfglass(&["new", &path, "--kind", "Shell-Boiler", "--units", "US"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert!(run.stderr.contains("It is a draft: "), "{}", run.stderr);
    let printed = halfglass(&[
        "new",
        "--kind",
        "SHELL-BOILER",
        "--units",
        "us",
        "--set",
        "duty[2].outflow=6000 lb/h",
    ]);
    assert_eq!(printed.code, 0, "{}", printed.stderr);
    assert_eq!(printed.stdout.matches("\n[[duty]]\n").count(), 2);
    let help = halfglass(&["new", "--help"]).stdout;
    assert!(help.contains("duty[2].outflow="), "{help}");
}
