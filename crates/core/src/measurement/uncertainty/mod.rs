//! Uncertainty of the panel reading and of the glass: GUM budget (JCGM 100) with a Monte-Carlo check (JCGM 101).
//!
//! [`uncertainty_sheet`] makes the sheet; [`propagation`] and [`monte_carlo`] know nothing of levels.

mod budget;
mod error;
#[cfg(test)]
mod example_survey;
mod inputs;
mod judge;
mod model;
pub mod monte_carlo;
pub mod propagation;
mod sheet;
pub mod sheets;
#[cfg(test)]
mod tests;

pub use error::UncertaintyError;
pub use sheet::uncertainty_sheet;
