//! Tidiness that no lint checks: file lengths, module docs, leftovers, names of drawers.

use std::fs;
use std::path::{Path, PathBuf};

/// Lines past which a file is split by topic.
const MOST_LINES: usize = 500;

/// Files that are no topic but a drawer.
const DRAWERS: [&str; 4] = ["utils.rs", "helpers.rs", "common.rs", "manager.rs"];

/// Walks the crates and xtask.
pub(crate) fn check(root: &Path) -> Result<(), String> {
    let mut files = Vec::new();
    for folder in ["crates", "xtask"] {
        collect(&root.join(folder), &mut files)?;
    }
    let mut wrong = Vec::new();
    for file in &files {
        let text =
            fs::read_to_string(file).map_err(|error| format!("{}: {error}", file.display()))?;
        let shown = file
            .strip_prefix(root)
            .unwrap_or(file)
            .display()
            .to_string();
        wrong.extend(complaints(&shown, &text));
    }
    if wrong.is_empty() {
        println!("xtask: {} source files are tidy", files.len());
        Ok(())
    } else {
        Err(wrong.join("\n"))
    }
}

fn complaints(shown: &str, text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let lines = text.lines().count();
    if lines > MOST_LINES {
        wrong.push(format!(
            "{shown}: {lines} lines; split it by topic below {MOST_LINES}"
        ));
    }
    if !text.starts_with("//!") {
        wrong.push(format!("{shown}: starts without a module doc (//!)"));
    }
    if DRAWERS.iter().any(|drawer| shown.ends_with(drawer)) {
        wrong.push(format!("{shown}: this name is a drawer; name the topic"));
    }
    // Spelt in two parts so that this file does not find itself.
    for leftover in [
        concat!("to", "do!("),
        concat!("unimple", "mented!("),
        concat!("db", "g!("),
        concat!("#[ig", "nore"),
    ] {
        if text.contains(leftover) {
            wrong.push(format!("{shown}: leftover `{leftover}`"));
        }
    }
    wrong
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), String> {
    let entries = fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    for entry in entries {
        let path = entry.map_err(|error| error.to_string())?.path();
        if path.is_dir() {
            if !path.ends_with("target") {
                collect(&path, files)?;
            }
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files.sort();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regression_tidy_names_what_is_wrong() {
        let long = "//! Doc.\n".to_owned() + &"fn a() {}\n".repeat(MOST_LINES);
        assert_eq!(complaints("a.rs", &long).len(), 1);
        assert_eq!(complaints("a.rs", "fn a() {}\n").len(), 1);
        assert_eq!(complaints("x/utils.rs", "//! Doc.\n").len(), 1);
        assert_eq!(complaints("a.rs", "//! Doc.\n").len(), 0);
    }
}
