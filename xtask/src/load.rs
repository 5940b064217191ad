//! Two hundred clients at two hundred requests a second against a loop's page, beside an empty page of axum in the same run.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::served::Served;
use crate::shell::{run, target, text};

/// Load tool from crates.io and its version: it spaces the requests evenly, and counts from when each was due.
const TOOL: (&str, &str) = ("oha", "1.16.0");
const CLIENTS: &str = "200";
const REQUESTS_A_SECOND: &str = "200";
const SECONDS: &str = "15s";
/// Limits of a loop's page.
const LIMIT_P99_MS: f64 = 100.0;
const LIMIT_MEMORY_MB: f64 = 150.0;

/// What the load tool says of an address.
struct Answered {
    median_ms: f64,
    p99_ms: f64,
    answers: f64,
    failures: f64,
}

/// Runs both and prints them beside each other.
pub(crate) fn load(binary: &Path) -> Result<(), String> {
    let tool = tool()?;
    run(
        "cargo",
        &[
            "build",
            "--profile",
            "dist",
            "--package",
            "halfglass-web",
            "--example",
            "empty_page",
        ],
    )?;
    let empty = target().join(format!(
        "dist/examples/empty_page{}",
        std::env::consts::EXE_SUFFIX
    ));
    let peer = {
        let served = Served::waiting(Command::new(empty))?;
        fire(&tool, &format!("{}/", served.url))?
    };
    let served = Served::start(binary, "load")?;
    let page = fire(&tool, &format!("{}/loops/laundry-shell-boiler", served.url))?;
    let memory_mb = served.most_memory_mb();
    println!(
        "load: {CLIENTS} clients, {REQUESTS_A_SECOND} requests a second, evenly spaced, for {SECONDS}"
    );
    for (name, answered) in [("empty page", &peer), ("loop page", &page)] {
        println!(
            "  {name:<11} median {:7.1} ms   p99 {:7.1} ms   {:.0} answers, {:.0} failures",
            answered.median_ms, answered.p99_ms, answered.answers, answered.failures
        );
    }
    println!(
        "  ratio of p99 {:.1}; limit of the loop page {LIMIT_P99_MS} ms: {}",
        page.p99_ms / peer.p99_ms,
        kept(page.p99_ms <= LIMIT_P99_MS)
    );
    match memory_mb {
        Some(memory_mb) => println!(
            "  most memory {memory_mb:.0} MB; limit {LIMIT_MEMORY_MB} MB: {}",
            kept(memory_mb <= LIMIT_MEMORY_MB)
        ),
        None => println!("  most memory: this system does not tell"),
    }
    if page.failures + peer.failures > 0.0 {
        return Err("requests of the load bench failed".into());
    }
    Ok(())
}

const fn kept(is_kept: bool) -> &'static str {
    if is_kept { "kept" } else { "NOT KEPT" }
}

/// The load tool, built once.
fn tool() -> Result<std::path::PathBuf, String> {
    let (name, version) = TOOL;
    let folder = target().join("load-tool");
    let binary = folder.join(format!("bin/{name}{}", std::env::consts::EXE_SUFFIX));
    if !binary.exists() {
        run(
            "cargo",
            &[
                "install",
                name,
                "--version",
                version,
                "--locked",
                "--root",
                text(&folder)?,
            ],
        )?;
    }
    Ok(binary)
}

fn fire(tool: &Path, url: &str) -> Result<Answered, String> {
    let out = Command::new(tool)
        .args(["-c", CLIENTS, "-q", REQUESTS_A_SECOND, "-z", SECONDS])
        .args([
            "--latency-correction",
            "--no-tui",
            "--output-format",
            "json",
            url,
        ])
        .output()
        .map_err(|error| format!("{}: {error}", tool.display()))?;
    let told: Value = serde_json::from_slice(&out.stdout).map_err(|error| {
        format!(
            "the load tool said no JSON ({error}): {}",
            String::from_utf8_lossy(&out.stderr)
        )
    })?;
    let number = |pointer: &str| {
        told.pointer(pointer)
            .and_then(Value::as_f64)
            .ok_or_else(|| format!("the load tool does not tell {pointer}"))
    };
    let sum = |pointer: &str| -> f64 {
        told.pointer(pointer)
            .and_then(Value::as_object)
            .map_or(0.0, |counts| {
                counts.values().filter_map(Value::as_f64).sum()
            })
    };
    let answers = told
        .pointer("/statusCodeDistribution/200")
        .and_then(Value::as_f64)
        .unwrap_or(0.0);
    // Requests under way when the time is up are broken off by the tool itself.
    let broken_off = told
        .pointer("/errorDistribution/aborted due to deadline")
        .and_then(Value::as_f64)
        .unwrap_or(0.0);
    Ok(Answered {
        median_ms: 1e3 * number("/latencyPercentiles/p50")?,
        p99_ms: 1e3 * number("/latencyPercentiles/p99")?,
        answers,
        failures: sum("/statusCodeDistribution") - answers + sum("/errorDistribution") - broken_off,
    })
}
