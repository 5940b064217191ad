//! How problems look on a terminal: place, caret, code, both places, help. Snapshots of our own earlier output.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at the first thing that is not as it must be"
)]

mod binary;

use binary::{example, halfglass_with_input};

/// The laundry example with lines replaced: (start of the line, new line).
fn broken(changes: &[(&str, &str)]) -> String {
    let text = std::fs::read_to_string(example("laundry-shell-boiler")).unwrap();
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            let changed = changes.iter().find(|(start, _)| line.starts_with(start));
            changed.map_or_else(|| line.to_owned(), |(_, new)| (*new).to_owned())
        })
        .collect();
    lines.join("\n")
}

#[test]
fn regression_problems_on_a_terminal() {
    let text = broken(&[
        ("upper-tap", "upper-tap = \"-2 in\""),
        ("pot-lip", "pot-lib = \"30 1/2 in\""),
        ("normal =", "normal = \"125 psi\""),
        ("minimum-span", "minimum-span = \"3 inH2O\""),
        ("deadband", "deadband = \"nan %\""),
        ("form =", "form = \"idael\""),
    ]);
    let run = halfglass_with_input(&["check", "-"], text.as_bytes());
    assert_eq!(run.code, 1);
    insta::assert_snapshot!(run.stderr);
}
