//! Runs the binary that cargo built.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot start its program has failed"
)]

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// How a run ended.
pub(crate) struct Run {
    /// Exit status.
    pub(crate) code: i32,
    /// Standard output.
    pub(crate) stdout: String,
    /// Standard error.
    pub(crate) stderr: String,
}

/// The repository.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Path of an example by its stem.
pub(crate) fn example(stem: &str) -> String {
    root()
        .join(format!("examples/{stem}.toml"))
        .display()
        .to_string()
}

/// All examples.
pub(crate) fn examples() -> Vec<String> {
    let mut paths: Vec<String> = std::fs::read_dir(root().join("examples"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .map(|path| path.display().to_string())
        .collect();
    paths.sort();
    assert!(paths.len() >= 5, "at least five examples");
    paths
}

/// A folder that is removed when dropped.
pub(crate) fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// The binary, ready to be given arguments.
pub(crate) fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfglass"));
    command.stdin(Stdio::null()).env("NO_COLOR", "1");
    command
}

/// Runs with arguments and no input.
pub(crate) fn halfglass(arguments: &[&str]) -> Run {
    run(command().args(arguments))
}

/// Runs any prepared command.
pub(crate) fn run(command: &mut Command) -> Run {
    let output = command.output().unwrap();
    Run {
        code: output.status.code().unwrap(),
        stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Runs with bytes on standard input.
pub(crate) fn halfglass_with_input(arguments: &[&str], input: &[u8]) -> Run {
    let mut child = command()
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || {
        // The binary may stop reading early; that is its right.
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    Run {
        code: output.status.code().unwrap(),
        stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Runs with a reader that closes at once.
pub(crate) fn halfglass_into_closed_pipe(arguments: &[&str]) -> Run {
    let mut child = command()
        .args(arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code().unwrap_or(-1),
        stdout: String::new(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Runs on a terminal of its own, made by `script` of util-linux, and types one line after another.
#[cfg(target_os = "linux")]
pub(crate) fn halfglass_on_a_terminal(arguments: &[&str], typed: &[&str]) -> Run {
    let line: Vec<String> = std::iter::once(env!("CARGO_BIN_EXE_halfglass"))
        .chain(arguments.iter().copied())
        .map(|word| format!("'{word}'"))
        .collect();
    let mut child = Command::new("script")
        .args(["-q", "-e", "-c", &line.join(" "), "/dev/null"])
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let typed = typed.join("\n") + "\n";
    // Under 4096 bytes, which a terminal holds for a program that has not read yet.
    stdin.write_all(typed.as_bytes()).unwrap();
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code().unwrap(),
        stdout: String::from_utf8_lossy(&output.stdout).replace('\r', ""),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Every path of a JSON value stands in a chapter of docs/src/json.md.
pub(crate) fn check_documented(value: &serde_json::Value, chapter: &str) {
    let manual = std::fs::read_to_string(root().join("docs/src/json.md")).unwrap();
    let (_, manual) = manual.split_once(chapter).unwrap();
    let mut missing = Vec::new();
    walk("", value, &mut |path| {
        if !manual.contains(&format!("| `{path}` |")) {
            missing.push(path.to_owned());
        }
    });
    missing.sort();
    missing.dedup();
    assert!(missing.is_empty(), "{missing:#?}");
}

fn walk(path: &str, value: &serde_json::Value, told: &mut impl FnMut(&str)) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, value) in map {
                let path = if path.is_empty() {
                    key.clone()
                } else {
                    format!("{path}.{key}")
                };
                told(&path);
                walk(&path, value, told);
            }
        }
        serde_json::Value::Array(values) => {
            if let Some(first) = values.iter().find(|value| value.is_object()) {
                walk(&format!("{path}[]"), first, told);
            }
        }
        _ => {}
    }
}
