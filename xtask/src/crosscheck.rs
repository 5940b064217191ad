//! The crosscheck: random loops, the binary's sheets recomputed with other libraries.

use crate::setup::{Libraries, python};
use crate::shell::{root, run, target, text};

/// Builds the binary and compares.
pub(crate) fn crosscheck() -> Result<(), String> {
    let python = python(Libraries::Crosscheck)?;
    run("cargo", &["build", "--package", "halfglass"])?;
    let binary = target().join(format!("debug/halfglass{}", std::env::consts::EXE_SUFFIX));
    let script = root().join("validation/crosscheck/run.py");
    run(text(&python)?, &[text(&script)?, text(&binary)?])
}
