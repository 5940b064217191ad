//! Loop and sheets to the printed commissioning pack: one PDF, typeset in memory, the same bytes for the same input.
//!
//! Start at [`pdf`]. Content is built as parts of blocks (`part.rs`); the templates only draw what they are given.

mod checklist;
mod cover;
mod encode;
mod limits;
mod manifold;
mod pack;
mod part;
mod parts;
mod steps;
mod steps_cold;
mod steps_hot;
mod steps_load;
mod steps_prepare;
mod steps_protections;
mod steps_settings;
mod test_record;
mod words;
mod world;

pub use pack::{PackError, PackInput, pdf};
