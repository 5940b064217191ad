//! What happens when something fails: signal loss, reserve minutes, cold fill, cool-down.

pub mod sheets;
