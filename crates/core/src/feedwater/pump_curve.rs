//! The curve of one pump: a parabola through three points, a monotone cubic through more.
//!
//! **Source:** Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 for the monotone cubic; affinity laws for the speed.
//! **Departures:** past its last point the curve goes on as H = A − B·q² with the value and slope it ends with.
//! **Checked by:** `published_affinity_laws`, `published_three_points_are_a_parabola`, `property_curve_passes_its_points_and_falls`.

use crate::description::feed_system::PumpPoint;
use crate::feedwater::error::SupplyError;

/// The curve of one pump.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpCurve {
    /// Flow, m3/s, head, m, and slope at each point.
    knots: Vec<(f64, f64, f64)>,
}

impl PumpCurve {
    /// Curve through points of rising flow; the head must fall at the last.
    ///
    /// # Errors
    /// [`SupplyError`].
    pub fn through(points: &[PumpPoint]) -> Result<Self, SupplyError> {
        if points.len() < 3 {
            return Err(SupplyError::TooFewPoints {
                count: points.len(),
            });
        }
        let mut before = -f64::MIN_POSITIVE;
        for point in points {
            if !(point.flow_m3_s > before
                && point.flow_m3_s.is_finite()
                && point.head_m > 0.0
                && point.head_m.is_finite())
            {
                return Err(SupplyError::NotRising {
                    flow_m3_s: point.flow_m3_s,
                    head_m: point.head_m,
                });
            }
            before = point.flow_m3_s;
        }
        let q: Vec<f64> = points.iter().map(|point| point.flow_m3_s).collect();
        let h: Vec<f64> = points.iter().map(|point| point.head_m).collect();
        let step: Vec<f64> = q.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let secant: Vec<f64> = h
            .windows(2)
            .zip(&step)
            .map(|(pair, step)| (pair[1] - pair[0]) / step)
            .collect();
        let last = q.len() - 1;
        let slopes: Vec<f64> = if points.len() == 3 {
            // A cubic with the parabola's slopes at both ends of each piece is the parabola.
            let bend = (secant[1] - secant[0]) / (q[2] - q[0]);
            (0..3)
                .map(|i| secant[0] + bend * (2.0 * q[i] - q[0] - q[1]))
                .collect()
        } else {
            (0..=last)
                .map(|i| match i {
                    0 => end_slope(step[0], step[1], secant[0], secant[1]),
                    _ if i == last => {
                        end_slope(step[i - 1], step[i - 2], secant[i - 1], secant[i - 2])
                    }
                    _ => inner_slope(step[i - 1], step[i], secant[i - 1], secant[i]),
                })
                .collect()
        };
        let slope_s_m2 = slopes[last];
        if !(slope_s_m2 < 0.0) {
            return Err(SupplyError::RisesAtEnd { slope_s_m2 });
        }
        Ok(Self {
            knots: (0..=last).map(|i| (q[i], h[i], slopes[i])).collect(),
        })
    }

    /// Head, m, and slope, m per m3/s, at a flow.
    pub fn head(&self, flow_m3_s: f64) -> (f64, f64) {
        let last = self.knots[self.knots.len() - 1];
        if flow_m3_s >= last.0 {
            let bend = 0.5 * last.2 / last.0;
            return (
                last.1 + bend * (flow_m3_s * flow_m3_s - last.0 * last.0),
                2.0 * bend * flow_m3_s,
            );
        }
        let first = self.knots[0];
        if flow_m3_s <= first.0 {
            return (first.1 + first.2 * (flow_m3_s - first.0), first.2);
        }
        let i = self.knots.partition_point(|knot| knot.0 <= flow_m3_s) - 1;
        let ((q0, h0, s0), (q1, h1, s1)) = (self.knots[i], self.knots[i + 1]);
        let width = q1 - q0;
        let t = (flow_m3_s - q0) / width;
        let secant = (h1 - h0) / width;
        // Hermite: h0 + width·t·(s0 + t·(c2 + t·c3))
        let c3 = s0 + s1 - 2.0 * secant;
        let c2 = secant - s0 - c3;
        (
            h0 + width * t * (s0 + t * (c2 + t * c3)),
            s0 + t * (2.0 * c2 + 3.0 * t * c3),
        )
    }

    /// Head at a share of rated speed: s²·H(q/s).
    pub fn head_at_speed(&self, flow_m3_s: f64, speed_ratio: f64) -> f64 {
        speed_ratio * speed_ratio * self.head(flow_m3_s / speed_ratio).0
    }

    /// Flow of the last point, m3/s.
    pub fn end_flow_m3_s(&self) -> f64 {
        self.knots[self.knots.len() - 1].0
    }

    /// Does the head rise with flow anywhere.
    pub fn rises_somewhere(&self) -> bool {
        self.knots.windows(2).any(|pair| pair[1].1 > pair[0].1)
            || self.knots.iter().any(|knot| knot.2 > 0.0)
    }

    /// Share of rated speed that gives a head at a flow; `None` above twice rated speed.
    pub fn speed_ratio(&self, flow_m3_s: f64, head_m: f64) -> Option<f64> {
        let (mut low, mut high) = (1e-3, 2.0);
        if !(self.head_at_speed(flow_m3_s, high) >= head_m) {
            return None;
        }
        // Rises with speed as long as the curve falls; bisection to rounding.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.head_at_speed(flow_m3_s, middle) < head_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }
}

/// Slope at an inner point: weighted harmonic mean; none where the head turns.
fn inner_slope(step0: f64, step1: f64, secant0: f64, secant1: f64) -> f64 {
    if !(secant0 * secant1 > 0.0) {
        return 0.0;
    }
    let (w0, w1) = (2.0 * step1 + step0, step1 + 2.0 * step0);
    (w0 + w1) / (w0 / secant0 + w1 / secant1)
}

/// Slope at an end: three-point formula, limited so that the piece stays monotone.
fn end_slope(near_step: f64, next_step: f64, near: f64, next: f64) -> f64 {
    let slope = ((2.0 * near_step + next_step) * near - near_step * next) / (near_step + next_step);
    if !(slope * near > 0.0) {
        // Flat would be monotone too, but no pump's curve ends flat.
        near
    } else if near * next <= 0.0 && slope.abs() > 3.0 * near.abs() {
        3.0 * near
    } else {
        slope
    }
}
