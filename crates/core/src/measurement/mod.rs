//! The measurement side: what the cell sees, the range, the error map, the glass, compensation, test points.

mod best_range;
pub mod cell;
pub mod condition;
mod error;
mod extremum;
pub mod range;
mod range_findings;
pub mod sheets;
pub mod signal;
mod workings;

pub use error::MeasurementError;
pub use range::range_sheet;
