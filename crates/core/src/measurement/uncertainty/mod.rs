//! Uncertainty of the panel reading and of the glass: GUM budget (JCGM 100) with a Monte-Carlo check (JCGM 101).

pub mod sheets;
