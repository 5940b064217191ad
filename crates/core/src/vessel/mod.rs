//! Vessel shapes: volume and free surface against height, exact where a closed form exists.
//!
//! Every height is measured from the INSIDE BOTTOM of the shell: for a vertical vessel, from the
//! lowest point of the bottom head. A level loop's own datum (the lower tap) is converted before
//! it comes here.
//!
//! A [`Shell`] is a cylinder with two like heads ([`HeadKind`]), lying or standing. [`Internals`]
//! says how much of the free surface tubes, furnaces and baffles take away at each height.

mod error;
mod head;
mod internals;
mod lying_head;
mod quadrature;
mod shell;
mod standing_head;
mod torisphere;

pub use error::VesselError;
pub use head::HeadKind;
pub use internals::{DisplacementPoint, Internals};
pub use shell::{Orientation, Shell};
