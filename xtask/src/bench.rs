//! The benches, each with a peer in the same run.

use crate::load;
use crate::setup::{Libraries, python};
use crate::shell::{run, run_with, target, text};

/// Runs them all, or the one named: `core`, `process`, `load`, `browser`.
pub(crate) fn bench(only: Option<&str>) -> Result<(), String> {
    const NAMES: [&str; 4] = ["core", "process", "load", "browser"];
    if let Some(name) = only.filter(|name| !NAMES.contains(name)) {
        return Err(format!("there is no bench `{name}`: {}", NAMES.join(", ")));
    }
    let wanted = |name| only.is_none_or(|only| only == name);
    if wanted("core") {
        run("cargo", &["bench", "--package", "halfglass-core"])?;
    }
    if only == Some("core") {
        return Ok(());
    }
    run(
        "cargo",
        &["build", "--profile", "dist", "--package", "halfglass"],
    )?;
    let binary = target().join(format!("dist/halfglass{}", std::env::consts::EXE_SUFFIX));
    if wanted("process") {
        let python = python(Libraries::Crosscheck)?;
        run_with(
            "cargo",
            &["bench", "--package", "xtask", "--bench", "whole_process"],
            &[
                ("HALFGLASS", text(&binary)?),
                ("CROSSCHECK_PYTHON", text(&python)?),
            ],
        )?;
    }
    if wanted("load") {
        load::load(&binary)?;
    }
    if wanted("browser") {
        browser(text(&binary)?)?;
    }
    Ok(())
}

/// First paint, answers while typing and frames of a drag, in Chromium.
fn browser(binary: &str) -> Result<(), String> {
    run("node", &["validation/browser/drag.mjs", binary])
}
