//! A head on a horizontal axis, filled to a height. Lengths in m.
//!
//! With y the height above the axis, c = √(R² − y²) half the chord and ψ = atan2(c, −y) the angle
//! from the bottom:
//!
//! ```text
//! ellipsoid  A = π a c² / (2R)                        V = π a h² (3R − h) / (6R)
//! cone       A = a c − (a y²/R) L                     V = a [2yc/3 + R²ψ/3 − y³L/(3R)]
//!            L = ln((R + c)/|y|)
//! cap        A = s² α − d c,  α = atan2(c, d)         V = (ρ²y − y³/3) α + d [(R²ψ − yc)/6 − 2ρ²ψ/3]
//!            s² = ρ² − y², d = ρ − a                      + (2ρ³/3) atan2(ρc, −dy) − d (yc + R²ψ)/2
//! ```
//!
//! a depth, R radius of the cylinder, h = R + y, ρ radius of the cap's sphere; A and V of ONE head.
//! **Source:** integration of the cut at height y; D. Jones, "Calculating Tank Volume", has the same
//! shapes in another form. **Checked by:** `published_lying_tank_volumes` and the properties beside it.

use std::f64::consts::PI;

use super::head::Head;
use super::standing_head::sphere_radius;

/// Half the chord of a circle of radius `radius` at height `h` above its bottom.
pub(super) fn half_chord(radius: f64, h: f64) -> f64 {
    (h * (2.0 * radius - h)).max(0.0).sqrt()
}

/// Volume of one head below height `h` above the cylinder's bottom, 0 ≤ h ≤ 2R.
pub(super) fn volume_below_m3(head: &Head, h: f64) -> f64 {
    match *head {
        Head::Flat => 0.0,
        Head::Ellipsoid { radius, depth } => {
            PI * depth * h.powi(2) * (3.0 * radius - h) / (6.0 * radius)
        }
        Head::Cone { radius, depth } => {
            let (y, c) = (h - radius, half_chord(radius, h));
            let angle = c.atan2(-y);
            depth
                * (2.0 * y * c / 3.0 + radius.powi(2) * angle / 3.0
                    - y * cone_logarithm(radius, y, c) / (3.0 * radius))
        }
        Head::Cap { radius, depth } => cap_volume_below_m3(radius, depth, h - radius),
        Head::Torisphere(ref torisphere) => torisphere.volume_below_m3(h),
    }
}

/// Volume of a lying spherical cap below height `y` above its axis, −R ≤ y ≤ R.
pub(super) fn cap_volume_below_m3(radius: f64, depth: f64, y: f64) -> f64 {
    let c = half_chord(radius, y + radius);
    let sphere = sphere_radius(radius, depth);
    if c <= 0.0 {
        return if y < 0.0 {
            0.0
        } else {
            PI * depth.powi(2) * (3.0 * sphere - depth) / 3.0
        };
    }
    let offset = (sphere - depth).max(0.0);
    let angle = c.atan2(-y);
    (sphere.powi(2) * y - y.powi(3) / 3.0) * c.atan2(offset)
        + offset * ((radius.powi(2) * angle - y * c) / 6.0 - 2.0 * sphere.powi(2) * angle / 3.0)
        + 2.0 * sphere.powi(3) / 3.0 * (sphere * c).atan2(-offset * y)
        - 0.5 * offset * (y * c + radius.powi(2) * angle)
}

/// Free surface of one head at height `h` above the cylinder's bottom, 0 ≤ h ≤ 2R.
pub(super) fn area_at_m2(head: &Head, h: f64) -> f64 {
    match *head {
        Head::Flat => 0.0,
        Head::Ellipsoid { radius, depth } => {
            0.5 * PI * depth * half_chord(radius, h).powi(2) / radius
        }
        Head::Cone { radius, depth } => {
            let (y, c) = (h - radius, half_chord(radius, h));
            depth * (c - cone_logarithm(radius, y, c) / radius)
        }
        Head::Cap { radius, depth } => {
            let (y, c) = (h - radius, half_chord(radius, h));
            let sphere = sphere_radius(radius, depth);
            let offset = (sphere - depth).max(0.0);
            (sphere.powi(2) - y.powi(2)) * c.atan2(offset) - offset * c
        }
        Head::Torisphere(ref torisphere) => torisphere.area_at_m2(h),
    }
}

/// y² ln((R + c)/|y|), which vanishes at the axis.
fn cone_logarithm(radius: f64, y: f64, c: f64) -> f64 {
    if y.abs() < 1e-150 {
        0.0
    } else {
        y.powi(2) * ((radius + c) / y.abs()).ln()
    }
}
