//! A head on a vertical axis: bodies of revolution cut square to it. Lengths in m.
//!
//! ```text
//! ellipsoid  V = π R² t² (3a − t) / (3a²)      r² = R² (1 − (1 − t/a)²)
//! cone       V = π R² t³ / (3a²)               r  = R t / a
//! cap        V = π t² (3ρ − t) / 3             r² = t (2ρ − t),  ρ = (R² + a²) / (2a)
//! ```
//!
//! t distance from the apex, a depth, R radius of the cylinder, r radius of the cut.
//! **Source:** solid geometry.

use std::f64::consts::PI;

use super::head::Head;

/// Volume within `t` of the apex, 0 ≤ t ≤ depth.
pub(super) fn volume_from_apex_m3(head: &Head, t: f64) -> f64 {
    match *head {
        Head::Flat => 0.0,
        Head::Ellipsoid { radius, depth } => {
            PI * radius.powi(2) * t.powi(2) * (3.0 * depth - t) / (3.0 * depth.powi(2))
        }
        Head::Cone { radius, depth } => PI * radius.powi(2) * t.powi(3) / (3.0 * depth.powi(2)),
        Head::Cap { radius, depth } => {
            PI * t.powi(2) * (3.0 * sphere_radius(radius, depth) - t) / 3.0
        }
        Head::Torisphere(ref torisphere) => torisphere.volume_from_apex_m3(t),
    }
}

/// Area of the cut at `t` from the apex, 0 ≤ t ≤ depth.
pub(super) fn area_at_m2(head: &Head, t: f64) -> f64 {
    match *head {
        Head::Flat => 0.0,
        Head::Ellipsoid { radius, depth } => {
            PI * radius.powi(2) * t * (2.0 * depth - t) / depth.powi(2)
        }
        Head::Cone { radius, depth } => PI * (radius * t / depth).powi(2),
        Head::Cap { radius, depth } => PI * t * (2.0 * sphere_radius(radius, depth) - t),
        Head::Torisphere(ref torisphere) => PI * torisphere.radius_at_m(t).powi(2),
    }
}

/// Radius of the sphere of a cap of base radius `radius` and depth `depth`.
pub(super) fn sphere_radius(radius: f64, depth: f64) -> f64 {
    (radius.powi(2) + depth.powi(2)) / (2.0 * depth)
}
