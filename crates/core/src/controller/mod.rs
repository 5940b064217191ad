//! The controller: forms and units of its settings, its action, and the settings sheet.

pub mod action;
pub mod forms;
pub mod settings;
pub mod sheets;
pub mod units;

pub use settings::{SettingsError, settings_sheet};
