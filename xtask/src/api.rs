//! The API held to the document that it serves, and the elevation's script to the server's numbers: both against a
//! workbench that really runs.

use std::path::Path;

use serde_json::Value;

use crate::served::{Served, examples};
use crate::setup::{Libraries, node, python};
use crate::shell::{root, run, run_in, target, text};

/// Builds the binary, serves with it, and lets schemathesis ask.
///
/// Schemathesis makes requests from the document, right and wrong ones, alone and in rows, and holds each answer against
/// it: never a server error, statuses and bodies as described, what is wrong refused, what is right taken.
pub(crate) fn api() -> Result<(), String> {
    let python = python(Libraries::Api)?;
    let served = Served::start(&built()?, "api")?;
    let folder = root().join("validation/api");
    let told = target().join("served/api-report.json");
    let document = format!("{}/api/v1/openapi.json", served.url);
    run_in(
        &folder,
        text(&python)?,
        &[
            "-m",
            "schemathesis.cli",
            "--no-color",
            "--config-file",
            text(&folder.join("schemathesis.toml"))?,
            "run",
            &document,
            "--checks",
            "all",
            "--report",
            "json",
            "--report-json-path",
            text(&told)?,
        ],
        &[
            ("HALFGLASS_EXAMPLES", text(&examples())?),
            ("PYTHONPATH", text(&folder)?),
            ("PYTHONDONTWRITEBYTECODE", "1"),
            ("SCHEMATHESIS_HOOKS", "hooks"),
        ],
    )?;
    let report =
        std::fs::read_to_string(&told).map_err(|error| format!("{}: {error}", told.display()))?;
    println!("xtask: {}", cases(&report)?);
    Ok(())
}

/// How many cases there were; an error where an operation never did what it is for.
fn cases(report: &str) -> Result<String, String> {
    let report: Value = serde_json::from_str(report)
        .map_err(|error| format!("the report of schemathesis: {error}"))?;
    let count = |pointer: &str| report.pointer(pointer).and_then(Value::as_u64).unwrap_or(0);
    let (operations, tested) = (count("/operations/total"), count("/operations/tested"));
    let rates = report["valid_rates"]
        .as_object()
        .ok_or("the report of schemathesis has no rates")?;
    let mut wrong = Vec::new();
    for (operation, phases) in rates {
        let taken: u64 = phases
            .as_object()
            .into_iter()
            .flatten()
            .filter_map(|(_, phase)| phase["accepted"].as_u64())
            .sum();
        if taken == 0 {
            wrong.push(format!(
                "{operation} was never asked for something that it could do"
            ));
        }
    }
    if operations == 0 || tested != operations || rates.len() as u64 != operations {
        wrong.push(format!(
            "{tested} of {operations} operations of the API were asked"
        ));
    }
    if report["complete"] != Value::Bool(true) {
        wrong.push("the run of schemathesis is not complete".into());
    }
    if wrong.is_empty() {
        Ok(format!(
            "the API answered {} cases over {operations} operations as its document says",
            count("/test_cases/generated")
        ))
    } else {
        Err(wrong.join("\n"))
    }
}

/// Runs the tests of the elevation's script in Node.js.
pub(crate) fn script() -> Result<(), String> {
    node()?;
    let served = Served::start(&built()?, "script")?;
    run_in(
        &root(),
        "node",
        &["--test", "crates/web/tests/elevation.test.mjs"],
        &[("HALFGLASS_URL", &served.url)],
    )
}

fn built() -> Result<std::path::PathBuf, String> {
    run("cargo", &["build", "--package", "halfglass"])?;
    Ok(Path::new(&target()).join(format!("debug/halfglass{}", std::env::consts::EXE_SUFFIX)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn report(accepted: u64, tested: u64) -> String {
        serde_json::json!({
            "complete": true,
            "operations": { "total": 1, "tested": tested },
            "test_cases": { "generated": 7 },
            "valid_rates": { "GET /loops": { "fuzzing": { "accepted": accepted, "rejected": 3 } } },
        })
        .to_string()
    }

    #[test]
    fn regression_an_operation_that_only_refused_fails_the_run() {
        assert!(
            cases(&report(2, 1))
                .unwrap()
                .contains("7 cases over 1 operations")
        );
        assert!(cases(&report(0, 1)).unwrap_err().contains("GET /loops"));
        assert!(cases(&report(2, 0)).unwrap_err().contains("0 of 1"));
        assert!(cases("{}").is_err());
    }
}
