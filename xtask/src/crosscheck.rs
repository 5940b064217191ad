//! The crosscheck: random loops, the binary's sheets recomputed with other libraries; the drum boiler's motion solved by another solver; the virtual
//! plant asked by another Modbus client.

use crate::setup::{Libraries, python};
use crate::shell::{output, root, run, target, text};

/// Builds the binary and compares.
pub(crate) fn crosscheck() -> Result<(), String> {
    let python = python(Libraries::Crosscheck)?;
    run("cargo", &["build", "--package", "halfglass"])?;
    let binary = target().join(format!("debug/halfglass{}", std::env::consts::EXE_SUFFIX));
    let script = root().join("validation/crosscheck/run.py");
    run(text(&python)?, &[text(&script)?, text(&binary)?])?;
    motion(text(&python)?)?;
    let client = root().join("validation/link/run.py");
    let example = root().join("examples/laundry-shell-boiler.toml");
    run(
        text(&python)?,
        &[text(&client)?, text(&binary)?, text(&example)?],
    )
}

/// The drum boiler's trajectories beside scipy's stiff solvers.
fn motion(python: &str) -> Result<(), String> {
    let trajectories = output(
        "cargo",
        &[
            "run",
            "--quiet",
            "--package",
            "halfglass-core",
            "--example",
            "trajectories",
        ],
    )?;
    let file = target().join("trajectories.json");
    std::fs::write(&file, trajectories).map_err(|error| format!("{}: {error}", file.display()))?;
    let script = root().join("validation/motion/run.py");
    run(python, &[text(&script)?, text(&file)?])
}
