//! The vessel's outline to scale: half its inside width at a height, from the shell's own geometry.

use halfglass_core::description::Vessel;
use halfglass_core::vessel::Orientation;

use crate::scale::Scale;
use crate::svg::Point;

/// Heights at which a curved outline is sampled.
const STEPS: usize = 120;

/// The vessel on the drawing: across its axis when lying, along it when standing.
#[derive(Debug, Clone)]
pub(crate) struct Outline {
    /// Inside bottom above the lower tap, m.
    pub(crate) bottom_m: f64,
    /// Inside top above the lower tap, m.
    pub(crate) top_m: f64,
    /// Height above the lower tap and half width there, m, rising.
    profile: Vec<(f64, f64)>,
    /// Where the vessel's axis stands on the drawing.
    pub(crate) axis_x: f64,
    /// False when only the right half is drawn, up to a centre line.
    pub(crate) whole: bool,
    per_m: f64,
}

impl Outline {
    /// The outline with its widest part ending at `wall_x` and no wider than `most`.
    pub(crate) fn new(vessel: &Vessel, per_m: f64, wall_x: f64, most: f64) -> Self {
        let bottom_m = -vessel.lower_tap_above_bottom_m;
        let height_m = vessel.shell.height_m();
        let profile: Vec<(f64, f64)> = (0..=STEPS)
            .map(|i| {
                // Closer together at both ends, where the outline turns.
                let share = 0.5 * (1.0 - (std::f64::consts::PI * i as f64 / STEPS as f64).cos());
                let z = share * height_m;
                (bottom_m + z, half_width_m(vessel, z))
            })
            .collect();
        let half = widest_half_m(vessel) * per_m;
        Self {
            bottom_m,
            top_m: bottom_m + height_m,
            profile,
            axis_x: wall_x - half,
            whole: 2.0 * half <= most,
            per_m,
        }
    }

    /// Where the inside of the wall is at an elevation; at the shell's ends for elevations beyond them.
    pub(crate) fn wall_x(&self, elevation_m: f64) -> f64 {
        self.axis_x + self.half(elevation_m) * self.per_m
    }

    /// Left end of what is drawn at an elevation.
    pub(crate) fn left_x(&self, elevation_m: f64) -> f64 {
        if self.whole {
            self.axis_x - self.half(elevation_m) * self.per_m
        } else {
            self.axis_x
        }
    }

    fn half(&self, elevation_m: f64) -> f64 {
        let mut previous = self.profile[0];
        if elevation_m <= previous.0 {
            return previous.1;
        }
        for &(z, half) in &self.profile {
            if elevation_m <= z {
                let share = (elevation_m - previous.0) / (z - previous.0).max(f64::MIN_POSITIVE);
                return previous.1 + share * (half - previous.1);
            }
            previous = (z, half);
        }
        previous.1
    }

    /// The shape between two elevations, kept `inset` units inside the wall.
    pub(crate) fn shape(&self, y: &Scale, from_m: f64, to_m: f64, inset: f64) -> Vec<Point> {
        let from_m = from_m.clamp(self.bottom_m, self.top_m);
        let to_m = to_m.clamp(self.bottom_m, self.top_m);
        let mut heights: Vec<f64> = self
            .profile
            .iter()
            .map(|p| p.0)
            .filter(|z| *z > from_m && *z < to_m)
            .collect();
        heights.insert(0, from_m);
        heights.push(to_m);
        let x = |m: f64| (self.half(m) * self.per_m - inset).max(0.0);
        let mut points: Vec<Point> = heights
            .iter()
            .map(|&m| (self.axis_x + x(m), y.place(m)))
            .collect();
        if self.whole {
            points.extend(
                heights
                    .iter()
                    .rev()
                    .map(|&m| (self.axis_x - x(m), y.place(m))),
            );
        } else {
            points.push((self.axis_x, y.place(to_m)));
            points.push((self.axis_x, y.place(from_m)));
        }
        points
    }

    /// The wall as open lines: one for a half, one around for a whole vessel.
    pub(crate) fn wall(&self, y: &Scale) -> Vec<Point> {
        let mut points: Vec<Point> = vec![(self.axis_x, y.place(self.bottom_m))];
        points.extend(
            self.profile
                .iter()
                .map(|&(m, half)| (self.axis_x + half * self.per_m, y.place(m))),
        );
        points.push((self.axis_x, y.place(self.top_m)));
        if self.whole {
            points.extend(
                self.profile
                    .iter()
                    .rev()
                    .map(|&(m, half)| (self.axis_x - half * self.per_m, y.place(m))),
            );
            points.push((self.axis_x, y.place(self.bottom_m)));
        }
        points
    }
}

/// Half of the greatest inside width, m.
pub(crate) fn widest_half_m(vessel: &Vessel) -> f64 {
    0.5 * vessel.shell.inside_diameter_m()
}

/// Half the inside width at a height above the inside bottom, m.
///
/// Lying: half the chord of the circle. Standing: the radius of the round free surface, so every head has its shape.
fn half_width_m(vessel: &Vessel, z_m: f64) -> f64 {
    match vessel.shell.orientation() {
        Orientation::Horizontal => {
            let diameter = vessel.shell.inside_diameter_m();
            (z_m * (diameter - z_m)).max(0.0).sqrt()
        }
        Orientation::Vertical => vessel
            .shell
            .free_surface_m2(z_m)
            .map_or(0.0, |m2| (m2.max(0.0) / std::f64::consts::PI).sqrt()),
    }
}
