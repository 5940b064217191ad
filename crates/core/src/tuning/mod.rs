//! Tuning of a level loop: rules, margins with exact dead time, response to a load change.

pub mod rules;
