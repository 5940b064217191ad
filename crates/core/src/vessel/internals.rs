//! Internals: furnace tubes, smoke tubes, baffles and risers that take away free surface.

use super::error::VesselError;
use super::quadrature::integral;
use super::shell::{Shell, height_for_volume};

/// One row of a displacement table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DisplacementPoint {
    /// Height above the inside bottom of the shell, m.
    pub height_m: f64,
    /// Share of the bare free surface that internals take away at that height, 0 to below 1.
    pub displaced_fraction: f64,
}

/// Displacement against height: linear between the rows, constant outside them, none without rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Internals {
    rows: Vec<DisplacementPoint>,
}

impl Internals {
    /// An empty vessel.
    #[must_use]
    pub const fn none() -> Self {
        Self { rows: Vec::new() }
    }

    /// A checked displacement table: heights finite and rising, fractions 0 to below 1.
    ///
    /// # Errors
    /// [`VesselError::InternalsNotAscending`] or [`VesselError::DisplacedFraction`], for NaN too.
    pub fn new(rows: Vec<DisplacementPoint>) -> Result<Self, VesselError> {
        let mut previous_m = f64::NEG_INFINITY;
        for (index, point) in rows.iter().enumerate() {
            let (row, value_m) = (index + 1, point.height_m);
            if !(value_m.is_finite() && value_m > previous_m) {
                return Err(VesselError::InternalsNotAscending {
                    row,
                    value_m,
                    previous_m,
                });
            }
            let value = point.displaced_fraction;
            if !(0.0..1.0).contains(&value) {
                return Err(VesselError::DisplacedFraction { row, value });
            }
            previous_m = value_m;
        }
        Ok(Self { rows })
    }

    /// The displacement table, heights rising.
    #[must_use]
    pub fn table(&self) -> &[DisplacementPoint] {
        &self.rows
    }

    /// Share of the bare free surface displaced at a height above the inside bottom; NaN for NaN.
    #[must_use]
    pub fn displaced_fraction(&self, z_m: f64) -> f64 {
        let (Some(first), Some(last)) = (self.rows.first(), self.rows.last()) else {
            return 0.0;
        };
        if z_m <= first.height_m {
            return first.displaced_fraction;
        }
        if z_m >= last.height_m {
            return last.displaced_fraction;
        }
        for pair in self.rows.windows(2) {
            let [low, high] = pair else { continue };
            if z_m <= high.height_m {
                let share = (z_m - low.height_m) / (high.height_m - low.height_m);
                return low.displaced_fraction
                    + share * (high.displaced_fraction - low.displaced_fraction);
            }
        }
        f64::NAN
    }
}

impl Shell {
    /// Free surface at a height above the inside bottom, less what internals take away, m2.
    ///
    /// # Errors
    /// [`VesselError::Height`] outside the vessel, or for NaN.
    pub fn free_surface_with_internals_m2(
        &self,
        internals: &Internals,
        z_m: f64,
    ) -> Result<f64, VesselError> {
        let z = self.check_height(z_m)?;
        Ok(self.area_inside(z) * (1.0 - internals.displaced_fraction(z)))
    }

    /// Volume below a height above the inside bottom, less what internals take away, m3.
    ///
    /// ```text
    /// V(z) = ∫₀ᶻ A (1 − f) dz = V₀(z) (1 − f(z)) + ∫₀ᶻ V₀ f′ dz
    /// ```
    ///
    /// V₀ volume of the bare shell, A its free surface, f displaced fraction. The second form needs
    /// quadrature only where f changes; there z = m − n cos θ makes the ends of V₀ smooth.
    /// **Source:** integration by parts. **Checked by:** `property_volume_with_internals`.
    ///
    /// # Errors
    /// [`VesselError::Height`] outside the vessel, or for NaN.
    pub fn volume_with_internals_m3(
        &self,
        internals: &Internals,
        z_m: f64,
    ) -> Result<f64, VesselError> {
        self.check_height(z_m)
            .map(|z| self.net_volume_inside(internals, z))
    }

    /// Volume of the full vessel with its internals, m3.
    #[must_use]
    pub fn capacity_with_internals_m3(&self, internals: &Internals) -> f64 {
        self.net_volume_inside(internals, self.height_m())
    }

    /// Height above the inside bottom at which the vessel with internals holds a volume, m.
    ///
    /// # Errors
    /// [`VesselError::Volume`] outside 0 to the capacity with internals, or for NaN.
    pub fn height_for_volume_with_internals_m(
        &self,
        internals: &Internals,
        volume_m3: f64,
    ) -> Result<f64, VesselError> {
        height_for_volume(
            volume_m3,
            self.height_m(),
            self.capacity_with_internals_m3(internals),
            |z| self.net_volume_inside(internals, z),
            |z| self.area_inside(z) * (1.0 - internals.displaced_fraction(z)),
        )
    }

    fn net_volume_inside(&self, internals: &Internals, z: f64) -> f64 {
        let mut volume = self.volume_inside(z) * (1.0 - internals.displaced_fraction(z));
        for pair in internals.table().windows(2) {
            let [low, high] = pair else { continue };
            let slope =
                (high.displaced_fraction - low.displaced_fraction) / (high.height_m - low.height_m);
            let (from, to) = (low.height_m.max(0.0), high.height_m.min(z));
            if slope.abs() > 0.0 && from < to {
                volume += slope * self.volume_integral(from, to);
            }
        }
        volume
    }

    /// ∫ V₀ dz between two heights inside the vessel, m4.
    fn volume_integral(&self, from: f64, to: f64) -> f64 {
        let mut ends: Vec<f64> = self
            .seams_m()
            .into_iter()
            .filter(|seam| *seam > from && *seam < to)
            .collect();
        ends.extend([from, to]);
        ends.sort_by(f64::total_cmp);
        ends.windows(2)
            .map(|pair| {
                let (middle, half) = (0.5 * (pair[0] + pair[1]), 0.5 * (pair[1] - pair[0]));
                integral(0.0, std::f64::consts::PI, |theta| {
                    self.volume_inside(middle - half * theta.cos()) * half * theta.sin()
                })
            })
            .sum()
    }
}

#[cfg(test)]
#[path = "internals_tests.rs"]
mod tests;
