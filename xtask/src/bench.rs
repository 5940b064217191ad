//! The benches, each with a peer in the same run.

use crate::setup::crosscheck_python;
use crate::shell::{run, run_with, target, text};

/// Runs them all.
pub(crate) fn bench() -> Result<(), String> {
    let python = crosscheck_python()?;
    run(
        "cargo",
        &["build", "--profile", "dist", "--package", "halfglass"],
    )?;
    let binary = target().join(format!("dist/halfglass{}", std::env::consts::EXE_SUFFIX));
    run("cargo", &["bench", "--package", "halfglass-core"])?;
    run_with(
        "cargo",
        &["bench", "--package", "xtask", "--bench", "whole_process"],
        &[
            ("HALFGLASS", text(&binary)?),
            ("CROSSCHECK_PYTHON", text(&python)?),
        ],
    )
}
