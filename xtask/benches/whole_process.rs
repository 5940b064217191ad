//! Whole processes, from start to exit: `sheet` and `pack` on an example, beside a Python script that computes the range and
//! the valve of the same boiler with iapws and fluids.
//!
//! Run: `cargo xtask bench` (builds the stripped binary first).
#![allow(
    clippy::unwrap_used,
    reason = "a bench that cannot start its program has failed"
)]

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn path(variable: &str) -> PathBuf {
    std::env::var_os(variable).map(PathBuf::from).unwrap()
}

fn run(program: &PathBuf, arguments: &[&str]) {
    let status = Command::new(program)
        .args(arguments)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert!(status.success(), "{} {arguments:?}", program.display());
}

fn sheet() {
    run(
        &path("HALFGLASS"),
        &["sheet", "examples/laundry-shell-boiler.toml", "--json"],
    );
}

fn pack() {
    let pdf = std::env::temp_dir().join("halfglass-bench.pdf");
    run(
        &path("HALFGLASS"),
        &[
            "pack",
            "examples/laundry-shell-boiler.toml",
            "--output",
            pdf.to_str().unwrap(),
        ],
    );
}

fn script() {
    run(
        &path("CROSSCHECK_PYTHON"),
        &["validation/crosscheck/peer.py"],
    );
}

#[divan::bench(sample_count = 30, sample_size = 1)]
fn halfglass_sheet() {
    sheet();
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn python_range_and_valve() {
    script();
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn halfglass_pack() {
    pack();
}

fn median(count: usize, work: impl Fn()) -> Duration {
    let mut times: Vec<Duration> = (0..count)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    times.sort();
    times[count / 2]
}

fn main() {
    divan::main();
    let (ours, peer, papers) = (median(31, sheet), median(9, script), median(7, pack));
    println!(
        "sheet: {:.1} ms median; the Python script {:.0} ms: {:.0} times as long. Pack: {:.2} s median.",
        1e3 * ours.as_secs_f64(),
        1e3 * peer.as_secs_f64(),
        peer.as_secs_f64() / ours.as_secs_f64(),
        papers.as_secs_f64()
    );
}
