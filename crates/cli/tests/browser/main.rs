//! The workbench in a real browser: Chromium through its driver, used as a person would.
//!
//! `cargo xtask setup` installs what is needed. Screenshots of every page at three widths, light and dark, are written to
//! `target/screens`; look at them.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on says where")]

mod axe;
mod harness;
mod manual;
mod mishaps;
mod paper;
mod screens;
mod work;
