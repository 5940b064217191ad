//! Numbers to SVG: every figure of a loop, the same on a page and in the printed pack.
//!
//! Drawn to be read without colour: what differs, differs in line style or in words as well.

mod labels;
mod lettering;
mod scale;
mod svg;
