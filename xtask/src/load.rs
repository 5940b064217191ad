//! Two hundred clients at two hundred requests a second against a loop's page, beside an empty page of axum in the same run.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::served::Served;
use crate::setup::npm_install;
use crate::shell::{run, target};

/// Version of the load tool from npm.
const TOOL: &str = "autocannon@8.0.0";
const CLIENTS: &str = "200";
const REQUESTS_A_SECOND: &str = "200";
const SECONDS: &str = "15";
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
    println!("load: {CLIENTS} clients, {REQUESTS_A_SECOND} requests a second for {SECONDS} s");
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

/// The load tool's script, fetched once.
fn tool() -> Result<std::path::PathBuf, String> {
    let folder = target().join("load-tool");
    let script = folder.join("node_modules/autocannon/autocannon.js");
    if !script.exists() {
        std::fs::create_dir_all(&folder)
            .map_err(|error| format!("{}: {error}", folder.display()))?;
        npm_install(&folder, &[TOOL])?;
    }
    Ok(script)
}

fn fire(tool: &Path, url: &str) -> Result<Answered, String> {
    let out = Command::new("node")
        .arg(tool)
        .args([
            "-c",
            CLIENTS,
            "-R",
            REQUESTS_A_SECOND,
            "-d",
            SECONDS,
            "-j",
            url,
        ])
        .output()
        .map_err(|error| format!("node: {error}"))?;
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
    Ok(Answered {
        median_ms: number("/latency/p50")?,
        p99_ms: number("/latency/p99")?,
        answers: number("/2xx")?,
        failures: number("/non2xx")? + number("/errors")? + number("/timeouts")?,
    })
}
