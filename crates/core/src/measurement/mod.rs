//! The measurement side: what the cell sees, the range, the error map, the glass, compensation, test points.

pub mod cell;
mod error;
pub mod sheets;

pub use error::MeasurementError;
