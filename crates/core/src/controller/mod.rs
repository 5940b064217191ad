//! The controller: forms and units of its settings, and its action.

pub mod action;
pub mod forms;
pub mod sheets;
pub mod units;
