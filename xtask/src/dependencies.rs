//! Which crate may depend on which: data flows one way.

use std::path::Path;
use std::process::Command;

/// Crate, and the crates of ours that it may depend on.
const ALLOWED: &[(&str, &[&str])] = &[
    ("halfglass-core", &[]),
    ("halfglass-loopfile", &["halfglass-core"]),
    ("halfglass-report", &["halfglass-core"]),
    ("halfglass-figure", &["halfglass-core", "halfglass-report"]),
    (
        "halfglass-pack",
        &["halfglass-core", "halfglass-report", "halfglass-figure"],
    ),
    ("halfglass-folder", &[]),
    ("halfglass-link", &["halfglass-core"]),
    // The typesetter is handed to the workbench by the binary.
    (
        "halfglass-web",
        &[
            "halfglass-core",
            "halfglass-loopfile",
            "halfglass-report",
            "halfglass-figure",
            "halfglass-folder",
        ],
    ),
    (
        "halfglass",
        &[
            "halfglass-core",
            "halfglass-loopfile",
            "halfglass-report",
            "halfglass-figure",
            "halfglass-pack",
            "halfglass-folder",
            "halfglass-web",
            "halfglass-link",
        ],
    ),
    ("xtask", &[]),
];

/// What the core may be built on: it stays small. Reasons in ARCHITECTURE.md.
const CORE_ALLOWED: &[&str] = &["nalgebra", "rand_xoshiro", "seuif97", "statrs", "thiserror"];

/// Compares `cargo metadata` with the allowed directions; test-only dependencies are free.
pub(crate) fn check(root: &Path) -> Result<(), String> {
    let output = Command::new("cargo")
        .args(["metadata", "--no-deps", "--format-version", "1"])
        .current_dir(root)
        .output()
        .map_err(|error| format!("cargo metadata could not be started: {error}"))?;
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout)
        .map_err(|error| format!("cargo metadata does not read: {error}"))?;
    let packages = metadata["packages"]
        .as_array()
        .ok_or("cargo metadata lists no packages")?;
    let mut wrong = Vec::new();
    for package in packages {
        let name = package["name"].as_str().unwrap_or_default();
        let Some((_, allowed)) = ALLOWED.iter().find(|(known, _)| *known == name) else {
            wrong.push(format!(
                "crate {name} has no row in xtask/src/dependencies.rs"
            ));
            continue;
        };
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            let on = dependency["name"].as_str().unwrap_or_default();
            let ours = on.starts_with("halfglass") || on == "xtask";
            let in_build = dependency["kind"].as_str() != Some("dev");
            if ours && in_build && !allowed.contains(&on) {
                wrong.push(format!("{name} may not depend on {on}"));
            }
            if name == "halfglass-core" && in_build && !CORE_ALLOWED.contains(&on) {
                wrong.push(format!("the core stays small: {on} is not in its list"));
            }
        }
    }
    if wrong.is_empty() {
        println!(
            "xtask: {} crates depend in the allowed directions",
            packages.len()
        );
        Ok(())
    } else {
        Err(wrong.join("\n"))
    }
}
