//! A cylinder with two like heads, lying or standing.

use std::f64::consts::PI;

use super::error::VesselError;
use super::head::{Head, HeadKind};
use super::lying_head::half_chord;

/// Shortest and longest inside diameter accepted, m: catches millimetres and inches.
const DIAMETER_M: (f64, f64) = (0.05, 30.0);
/// Shortest and longest straight length accepted, m.
const STRAIGHT_LENGTH_M: (f64, f64) = (0.0, 100.0);
/// Rounding allowed at both ends of the vessel, as a share of its height or volume.
const END_SLACK: f64 = 1e-9;

/// How the vessel's axis runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Orientation {
    /// Axis level.
    Horizontal,
    /// Axis upright.
    Vertical,
}

/// The inside of a vessel: a cylinder between two like heads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shell {
    orientation: Orientation,
    inside_diameter_m: f64,
    straight_length_m: f64,
    kind: HeadKind,
    head: Head,
}

impl Shell {
    /// A vessel of checked dimensions: inside diameter 0.05 m to 30 m, straight length up to 100 m
    /// (0 only where the heads hold something).
    ///
    /// # Errors
    /// [`VesselError::Dimension`] or [`VesselError::HeadRatio`] outside the ranges, or for NaN.
    pub fn new(
        orientation: Orientation,
        inside_diameter_m: f64,
        straight_length_m: f64,
        head: HeadKind,
    ) -> Result<Self, VesselError> {
        check_dimension("inside diameter", inside_diameter_m, DIAMETER_M)?;
        check_dimension("straight length", straight_length_m, STRAIGHT_LENGTH_M)?;
        let kind = head;
        let head = Head::new(kind, inside_diameter_m)?;
        if head == Head::Flat {
            // Two flat heads with nothing between them enclose nothing.
            let shortest = (END_SLACK * inside_diameter_m, STRAIGHT_LENGTH_M.1);
            check_dimension("straight length", straight_length_m, shortest)?;
        }
        Ok(Self {
            orientation,
            inside_diameter_m,
            straight_length_m,
            kind,
            head,
        })
    }

    /// How the axis runs.
    #[must_use]
    pub fn orientation(&self) -> Orientation {
        self.orientation
    }

    /// Inside diameter of the cylinder, m.
    #[must_use]
    pub fn inside_diameter_m(&self) -> f64 {
        self.inside_diameter_m
    }

    /// Length of the cylinder between the heads, m.
    #[must_use]
    pub fn straight_length_m(&self) -> f64 {
        self.straight_length_m
    }

    /// Shape of both heads.
    #[must_use]
    pub fn head(&self) -> HeadKind {
        self.kind
    }

    /// Inside depth of one head beyond the cylinder, m.
    #[must_use]
    pub fn head_depth_m(&self) -> f64 {
        self.head.depth_m()
    }

    /// Inside height from bottom to top, m.
    #[must_use]
    pub fn height_m(&self) -> f64 {
        match self.orientation {
            Orientation::Horizontal => self.inside_diameter_m,
            Orientation::Vertical => self.straight_length_m + 2.0 * self.head.depth_m(),
        }
    }

    /// Volume of the full vessel, m3.
    #[must_use]
    pub fn capacity_m3(&self) -> f64 {
        0.25 * PI * self.inside_diameter_m.powi(2) * self.straight_length_m
            + 2.0 * self.head.volume_m3()
    }

    /// Volume below a height above the inside bottom, m3.
    ///
    /// ```text
    /// lying     V = L (R²ψ + y c) + 2 V_head(h)
    /// standing  V = V_head(min(z, a)) + π R² (z − a) + ...
    /// ```
    ///
    /// | symbol | name  | unit | range              |
    /// |--------|-------|------|--------------------|
    /// | z, h   | `z_m` | m    | 0 to `height_m()`  |
    ///
    /// y height above the axis, c half the chord, ψ angle from the bottom, L straight length.
    /// **Source:** solid geometry; heads as in their own files.
    /// **Checked by:** `published_lying_tank_volumes`, `published_standing_tank_volumes`.
    ///
    /// # Errors
    /// [`VesselError::Height`] outside the vessel, or for NaN.
    pub fn volume_m3(&self, z_m: f64) -> Result<f64, VesselError> {
        self.check_height(z_m).map(|z| self.volume_inside(z))
    }

    /// Free surface at a height above the inside bottom, m2: the derivative of
    /// [`volume_m3`](Self::volume_m3).
    ///
    /// | name  | unit | range             |
    /// |-------|------|-------------------|
    /// | `z_m` | m    | 0 to `height_m()` |
    ///
    /// **Source:** solid geometry; exact but for the knuckle of a lying torispherical head.
    /// **Checked by:** `property_free_surface_is_the_derivative_of_volume`.
    ///
    /// # Errors
    /// [`VesselError::Height`] outside the vessel, or for NaN.
    pub fn free_surface_m2(&self, z_m: f64) -> Result<f64, VesselError> {
        self.check_height(z_m).map(|z| self.area_inside(z))
    }

    /// Height above the inside bottom at which the vessel holds a volume, m.
    ///
    /// Bracketed Newton iteration on [`volume_m3`](Self::volume_m3), to 1e-13 of the height.
    ///
    /// # Errors
    /// [`VesselError::Volume`] outside 0 to [`capacity_m3`](Self::capacity_m3), or for NaN.
    pub fn height_for_volume_m(&self, volume_m3: f64) -> Result<f64, VesselError> {
        height_for_volume(
            volume_m3,
            self.height_m(),
            self.capacity_m3(),
            |z| self.volume_inside(z),
            |z| self.area_inside(z),
        )
    }

    /// The height, moved by rounding at most, when it lies in the vessel.
    pub(super) fn check_height(&self, z_m: f64) -> Result<f64, VesselError> {
        let height_m = self.height_m();
        let slack = END_SLACK * height_m;
        if !(-slack..=height_m + slack).contains(&z_m) {
            return Err(VesselError::Height {
                value_m: z_m,
                height_m,
            });
        }
        Ok(z_m.clamp(0.0, height_m))
    }

    /// Heights where the volume's formula changes, m: where quadrature must be split.
    pub(super) fn seams_m(&self) -> Vec<f64> {
        let (height, radius) = (self.height_m(), 0.5 * self.inside_diameter_m);
        let mut seams = vec![0.0];
        match (self.orientation, &self.head) {
            (Orientation::Horizontal, Head::Torisphere(t)) => {
                let joint = t.joint_radius_m();
                seams.extend([radius - joint, radius, radius + joint]);
            }
            (Orientation::Horizontal, _) => seams.push(radius),
            (Orientation::Vertical, head) => {
                let depth = head.depth_m();
                if let Head::Torisphere(t) = head {
                    seams.extend([t.joint_depth_m(), height - t.joint_depth_m()]);
                }
                seams.extend([depth, height - depth]);
            }
        }
        seams.push(height);
        seams
    }

    pub(super) fn volume_inside(&self, z: f64) -> f64 {
        let radius = 0.5 * self.inside_diameter_m;
        match self.orientation {
            Orientation::Horizontal => {
                let (y, c) = (z - radius, half_chord(radius, z));
                let segment = radius.powi(2) * c.atan2(-y) + y * c;
                self.straight_length_m * segment + 2.0 * self.head.lying_volume_m3(z)
            }
            Orientation::Vertical => {
                let depth = self.head.depth_m();
                let in_cylinder = (z - depth).clamp(0.0, self.straight_length_m);
                let bottom = self.head.standing_volume_m3(z.min(depth));
                // The top head is empty below it and full from its apex down to the cylinder.
                let unfilled = (self.height_m() - z).clamp(0.0, depth);
                let top = self.head.volume_m3() - self.head.standing_volume_m3(unfilled);
                bottom + PI * radius.powi(2) * in_cylinder + top
            }
        }
    }

    pub(super) fn area_inside(&self, z: f64) -> f64 {
        let radius = 0.5 * self.inside_diameter_m;
        match self.orientation {
            Orientation::Horizontal => {
                2.0 * half_chord(radius, z) * self.straight_length_m
                    + 2.0 * self.head.lying_area_m2(z)
            }
            Orientation::Vertical => {
                let depth = self.head.depth_m();
                if z < depth {
                    self.head.standing_area_m2(z)
                } else if z > depth + self.straight_length_m {
                    self.head
                        .standing_area_m2((self.height_m() - z).clamp(0.0, depth))
                } else {
                    PI * radius.powi(2)
                }
            }
        }
    }
}

/// Inverse of a rising volume with its derivative: Newton, kept inside a shrinking bracket.
pub(super) fn height_for_volume(
    volume_m3: f64,
    height_m: f64,
    capacity_m3: f64,
    volume: impl Fn(f64) -> f64,
    area: impl Fn(f64) -> f64,
) -> Result<f64, VesselError> {
    let slack = END_SLACK * capacity_m3;
    if !(-slack..=capacity_m3 + slack).contains(&volume_m3) {
        return Err(VesselError::Volume {
            value_m3: volume_m3,
            capacity_m3,
        });
    }
    if volume_m3 <= 0.0 {
        return Ok(0.0);
    }
    if volume_m3 >= capacity_m3 {
        return Ok(height_m);
    }
    let (mut low, mut high) = (0.0, height_m);
    let mut z = height_m * volume_m3 / capacity_m3;
    // A bisection every eighth round guarantees the end: 50 of them halve the bracket to 1e-15.
    for round in 1..=400 {
        let excess = volume(z) - volume_m3;
        if excess > 0.0 {
            high = z;
        } else {
            low = z;
        }
        let newton = z - excess / area(z);
        let next = if round % 8 != 0 && newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - z).abs() <= 1e-13 * height_m || high - low <= 1e-13 * height_m {
            return Ok(next);
        }
        z = next;
    }
    Ok(z)
}

fn check_dimension(
    dimension: &'static str,
    value_m: f64,
    (minimum_m, maximum_m): (f64, f64),
) -> Result<(), VesselError> {
    if !(minimum_m..=maximum_m).contains(&value_m) {
        return Err(VesselError::Dimension {
            dimension,
            value_m,
            minimum_m,
            maximum_m,
        });
    }
    Ok(())
}

#[cfg(test)]
#[path = "shell_tests.rs"]
mod tests;
