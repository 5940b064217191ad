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

/// Answers, in the order of the questions, of a shell boiler whose other values are given.
#[cfg(target_os = "linux")]
#[test]
fn practice_on_a_terminal_answers_are_told_back_and_contradictions_asked_again() {
    let folder = scratch();
    let path = folder.path().join("boiler.toml").display().to_string();
    let mut typed = vec!["1", "us", "LIC-9", "", "back", "level of boiler 2", "", ""];
    // Diameter, length, lower tap, upper tap, heated surface, pot lip.
    typed.extend(["84 in", "", "53", "53 in", "762 mm", "", ""]);
    // Leg, glass, cell, polarity, pressures, duty, feedwater, controller.
    typed.extend([""; 16]);
    // A set point outside the shell, taken back; then no low alarm, meant; a high alarm.
    typed.extend(["40 in", "1", "15 in", "", "none", "20 in", "", "", ""]);
    let run = binary::halfglass_on_a_terminal(&["new", &path], &typed);
    assert_eq!(run.code, 0, "{}", run.stdout);
    for words in [
        "Ctrl-C quits",
        "`53` has no unit",
        "= 762 mm = 30 in above the lower tap",
        "do not go together: `limits.set-point` at 40 in",
        "[as answered: 40 in above the lower tap]",
        "warns nobody before the low-water cutoff",
        "It is a draft",
    ] {
        assert!(run.stdout.contains(words), "{words}:\n{}", run.stdout);
    }
    let written = std::fs::read_to_string(&path).unwrap();
    for line in [
        "service = \"level of boiler 2\"\n",
        "set-point = \"15 in\"\n",
        "high-alarm = \"20 in\"\n",
    ] {
        assert!(written.contains(line), "{line}{}", run.stdout);
    }
    assert!(!written.contains("\nlow-alarm"), "{written}");
}
