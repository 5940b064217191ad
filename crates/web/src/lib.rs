//! The workbench: a folder of loop files in the browser.
//!
//! ```text
//! request ──access──> routes ──> pages/ or api/ ──> Workbench (folder, designs) ──> core, report, figure
//!                                    └── templates/, assets/
//! ```
//!
//! No formula lives here: pages draw the blocks of crate report and the drawings of crate figure, and the script moves
//! what the tables of the core say. Start at `routes.rs`; to run it, at [`serve`].

mod access;
mod api;
mod assets;
mod blocks;
#[cfg(test)]
mod contrast_tests;
mod designed;
mod frame;
mod pages;
mod preferences;
mod qr;
mod refusal;
mod routes;
mod serve;
mod workbench;

pub use access::{PassCode, PassCodeError};
pub use qr::qr_text;
pub use serve::{Listen, ServeError, Serving, serve};
pub use workbench::{PackOf, PackPrinter, Workbench};
