//! A vessel's volume against height as a table, for what asks it a million times.
//!
//! Heights are metres above the centre of the LOWER TAP. Between knots the volume is the cubic through both volumes whose slopes
//! are both free surfaces; the inverse is a bracketed Newton iteration in the panel.
//!
//! **Source:** cubic Hermite interpolation (any text of numerical analysis); volumes from [`Shell`].
//! **Departures:** the volume differs from the vessel's by less than 1e-7 of its capacity.
//! **Checked by:** `property_table_is_the_vessel`, `property_height_is_the_inverse`.

use std::f64::consts::PI;

use crate::description::Vessel;
use crate::vessel::{Internals, Shell};

use super::error::DynamicsError;

/// Panels of the vessel's height, thin at both ends, where a lying shell has little surface; rows of internals come on top.
const KNOTS: usize = 400;

/// One height of the table.
#[derive(Debug, Clone, Copy)]
struct Knot {
    /// Above the lower tap, m.
    height_m: f64,
    /// Below that height, m3.
    volume_m3: f64,
    /// Free surface there, m2.
    surface_m2: f64,
}

/// Volume and free surface of a vessel with its internals against height above the lower tap.
#[derive(Debug, Clone)]
pub struct HeightTable {
    knots: Vec<Knot>,
}

impl HeightTable {
    /// Tabulates a loop's vessel.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] where the lower tap is not in the vessel.
    pub fn of_vessel(vessel: &Vessel) -> Result<Self, DynamicsError> {
        Self::new(
            &vessel.shell,
            &vessel.internals,
            vessel.lower_tap_above_bottom_m,
        )
    }

    /// Tabulates a shell whose lower tap is this high above its inside bottom, m.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] where the lower tap is not in the vessel.
    pub fn new(
        shell: &Shell,
        internals: &Internals,
        lower_tap_above_bottom_m: f64,
    ) -> Result<Self, DynamicsError> {
        let top_m = shell.height_m();
        if !(0.0..top_m).contains(&lower_tap_above_bottom_m) {
            return Err(DynamicsError::Parameter {
                what: "height of the lower tap above the inside bottom",
                value: lower_tap_above_bottom_m,
                unit: "m",
                limit: "inside the vessel",
            });
        }
        let mut heights: Vec<f64> = (0..=KNOTS)
            .map(|k| 0.5 * top_m * (1.0 - (PI * k as f64 / KNOTS as f64).cos()))
            .collect();
        let rows = internals.table().iter().map(|row| row.height_m);
        heights.extend(rows.filter(|height| (0.0..top_m).contains(height)));
        heights.push(lower_tap_above_bottom_m);
        heights.push(shell.head_depth_m().min(top_m));
        heights.push((top_m - shell.head_depth_m()).max(0.0));
        heights.sort_by(f64::total_cmp);
        // Panels too thin to tell their ends apart.
        heights.dedup_by(|next, kept| *next - *kept < 1e-9 * top_m);
        let knots = heights
            .into_iter()
            .map(|height_m| {
                Ok(Knot {
                    height_m: height_m - lower_tap_above_bottom_m,
                    volume_m3: shell.volume_with_internals_m3(internals, height_m)?,
                    surface_m2: shell.free_surface_with_internals_m2(internals, height_m)?,
                })
            })
            .collect::<Result<Vec<_>, DynamicsError>>()?;
        Ok(Self { knots })
    }

    /// Volume of the full vessel, m3.
    pub fn capacity_m3(&self) -> f64 {
        self.knots.last().map_or(0.0, |knot| knot.volume_m3)
    }

    /// Inside bottom and top, m above the lower tap.
    pub fn ends_m(&self) -> (f64, f64) {
        let height = |knot: Option<&Knot>| knot.map_or(0.0, |knot| knot.height_m);
        (height(self.knots.first()), height(self.knots.last()))
    }

    /// Volume below a height above the lower tap, m3: 0 and the capacity beyond both ends.
    pub fn volume_m3(&self, height_m: f64) -> f64 {
        let (low, high) = self.panel(|knot| knot.height_m < height_m);
        cubic(&low, &high, height_m).0
    }

    /// Free surface at a height above the lower tap, m2: the table's slope.
    pub fn surface_m2(&self, height_m: f64) -> f64 {
        let (low, high) = self.panel(|knot| knot.height_m < height_m);
        cubic(&low, &high, height_m).1
    }

    /// Height above the lower tap below which there is this volume, m.
    ///
    /// # Errors
    /// [`DynamicsError::Left`] where the vessel does not hold it, or for NaN.
    pub fn height_m(&self, volume_m3: f64) -> Result<f64, DynamicsError> {
        if !(0.0..=self.capacity_m3()).contains(&volume_m3) {
            return Err(DynamicsError::Left {
                why: format!(
                    "{volume_m3:.4} m3 in a vessel of {:.4} m3",
                    self.capacity_m3()
                ),
            });
        }
        let (low, high) = self.panel(|knot| knot.volume_m3 < volume_m3);
        let (mut floor, mut ceiling) = (low.height_m, high.height_m);
        let share = (volume_m3 - low.volume_m3) / (high.volume_m3 - low.volume_m3);
        let mut height_m = floor + share.clamp(0.0, 1.0) * (ceiling - floor);
        for _ in 0..60 {
            let (volume, surface) = cubic(&low, &high, height_m);
            if volume > volume_m3 {
                ceiling = height_m;
            } else {
                floor = height_m;
            }
            let newton = height_m - (volume - volume_m3) / surface;
            let next = if newton >= floor && newton <= ceiling {
                newton
            } else {
                0.5 * (floor + ceiling)
            };
            if (next - height_m).abs() <= 1e-13 {
                return Ok(next);
            }
            height_m = next;
        }
        Ok(height_m)
    }

    fn panel(&self, below: impl Fn(&Knot) -> bool) -> (Knot, Knot) {
        let index = self
            .knots
            .partition_point(below)
            .clamp(1, self.knots.len() - 1);
        (self.knots[index - 1], self.knots[index])
    }
}

/// Volume and surface at a height of a panel; at its ends beyond it.
fn cubic(low: &Knot, high: &Knot, height_m: f64) -> (f64, f64) {
    let width = high.height_m - low.height_m;
    let t = ((height_m - low.height_m) / width).clamp(0.0, 1.0);
    let rise = high.volume_m3 - low.volume_m3;
    let (start, end) = (low.surface_m2 * width, high.surface_m2 * width);
    let square = 3.0 * rise - 2.0 * start - end;
    let cube = start + end - 2.0 * rise;
    (
        low.volume_m3 + t * (start + t * (square + t * cube)),
        (start + t * (2.0 * square + 3.0 * t * cube)) / width,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vessel::{DisplacementPoint, HeadKind, Orientation};

    fn lying() -> (Shell, Internals) {
        let row = |height_m, displaced_fraction| DisplacementPoint {
            height_m,
            displaced_fraction,
        };
        (
            Shell::new(Orientation::Horizontal, 2.0, 4.9, HeadKind::Flat).unwrap(),
            Internals::new(vec![
                row(0.15, 0.0),
                row(0.56, 0.55),
                row(1.06, 0.42),
                row(1.09, 0.0),
            ])
            .unwrap(),
        )
    }

    #[test]
    fn property_table_is_the_vessel() {
        let (shell, internals) = lying();
        let table = HeightTable::new(&shell, &internals, 1.0).unwrap();
        for k in 1..1000 {
            let z = 2.0 * f64::from(k) / 1000.0;
            let expected = shell.volume_with_internals_m3(&internals, z).unwrap();
            let found = table.volume_m3(z - 1.0);
            assert!(
                (found - expected).abs() < 1e-7 * table.capacity_m3(),
                "{z}: {found} {expected}"
            );
        }
    }

    #[test]
    fn property_height_is_the_inverse() {
        let (shell, internals) = lying();
        let table = HeightTable::new(&shell, &internals, 1.0).unwrap();
        for k in 1..500 {
            let z = -1.0 + 2.0 * f64::from(k) / 500.0;
            let found = table.height_m(table.volume_m3(z)).unwrap();
            assert!((found - z).abs() < 1e-10, "{z} {found}");
        }
        assert!(table.height_m(1.01 * table.capacity_m3()).is_err());
        assert!(table.height_m(f64::NAN).is_err());
        assert!(HeightTable::new(&shell, &internals, 2.5).is_err());
        assert!(HeightTable::new(&shell, &internals, f64::NAN).is_err());
    }
}
