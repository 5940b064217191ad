//! Loop file text to a checked [`Loop`](halfglass_core::description::Loop), or all its problems at once.
//!
//! ```text
//! bytes -> text -> toml -> entries (kinds, units, names) -> survey (defaults, checks) -> Loop
//! ```
//!
//! Start at [`read`]. What a file may say is declared in [`keys`].

pub mod edit;
mod entries;
mod entry_value;
mod free_text;
pub mod keys;
mod near_miss;
pub mod new;
mod placeholders;
pub mod problem;
pub mod quantity_text;
mod read;
mod resolve;
mod scenario;
mod schema;
mod survey;
mod text;
mod trend;
mod words;

pub use problem::{Label, Problem, line_and_column, problem_json};
pub use read::read;
pub use scenario::{BUILT_IN, ScenarioFile, read_scenario};
pub use schema::json_schema;
pub use text::LARGEST_FILE_BYTES;
pub use trend::{AskedColumns, LARGEST_RECORD_BYTES, Taken, Trend, read_trend};
