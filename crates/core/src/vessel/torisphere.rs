//! The torispherical head: a crown of radius f D and a knuckle of radius k D. Lengths in m.
//!
//! Knuckle centre: at b = R − r from the axis, in the plane where the cylinder ends. Crown centre:
//! on the axis, e = √((ρ − r)² − b²) behind that plane. They meet at sin α = b/(ρ − r): radius
//! ρ sin α, distance r cos α from the cylinder.
//!
//! Standing, everything is closed. Lying, the crown's share is closed too; the knuckle's is an
//! elliptic integral. With w = c sin θ across the cut at height y, c half the chord of the cylinder,
//! it is smooth and taken by quadrature:
//!
//! ```text
//! A = A_crown + 2c² ∫ cos²θ g dθ                        g = √((r + q − b)/(R + q))
//! V = V_crown + x_j S_j + 2c³ ∫ cos²θ sin θ g ψ dθ      q = √(y² + c² sin²θ), ψ = atan2(c sin θ, −y)
//! ```
//!
//! from θ where the cut leaves the crown to π/2; x_j distance and S_j wetted area of the joint's
//! circle. V is the sum over x of circle segments, integrated by parts; above the axis it is the
//! whole less its mirror image.
//! **Source:** solid geometry. **Checked by:** `published_lying_tank_volumes`,
//! `published_standing_tank_volumes`, `property_torisphere_quadrature_converges`.

use std::f64::consts::{FRAC_PI_2, PI};

use super::lying_head::{cap_volume_below_m3, half_chord};
use super::quadrature::integral;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Torisphere {
    /// R, radius of the cylinder.
    radius: f64,
    /// ρ, radius of the crown.
    crown: f64,
    /// r, radius of the knuckle.
    knuckle: f64,
    /// b, distance of the knuckle's centre from the axis.
    knuckle_centre: f64,
    /// e, distance of the crown's centre behind the end of the cylinder.
    crown_centre: f64,
    /// Radius at which crown and knuckle meet.
    joint_radius: f64,
    /// Distance from the cylinder at which they meet.
    joint_distance: f64,
}

impl Torisphere {
    /// For 0.5 D ≤ crown and 0 ≤ knuckle < 0.5 D, as [`super::HeadKind`] checks.
    pub(super) fn new(radius: f64, crown: f64, knuckle: f64) -> Self {
        let knuckle_centre = radius - knuckle;
        let between = crown - knuckle;
        let crown_centre = ((between - knuckle_centre) * (between + knuckle_centre))
            .max(0.0)
            .sqrt();
        Self {
            radius,
            crown,
            knuckle,
            knuckle_centre,
            crown_centre,
            joint_radius: crown * (knuckle_centre / between),
            joint_distance: knuckle * (crown_centre / between),
        }
    }

    pub(super) fn depth_m(&self) -> f64 {
        self.crown - self.crown_centre
    }

    /// Height above the axis at which a lying cut leaves the crown.
    pub(super) fn joint_radius_m(&self) -> f64 {
        self.joint_radius
    }

    /// Distance from the apex at which a standing cut leaves the crown.
    pub(super) fn joint_depth_m(&self) -> f64 {
        self.depth_m() - self.joint_distance
    }

    /// Standing: radius of the cut at `t` from the apex.
    pub(super) fn radius_at_m(&self, t: f64) -> f64 {
        if t <= self.joint_depth_m() {
            (t * (2.0 * self.crown - t)).max(0.0).sqrt()
        } else {
            let x = self.depth_m() - t;
            self.knuckle_centre + (self.knuckle.powi(2) - x.powi(2)).max(0.0).sqrt()
        }
    }

    /// Standing: volume within `t` of the apex.
    pub(super) fn volume_from_apex_m3(&self, t: f64) -> f64 {
        let in_crown = t.min(self.joint_depth_m());
        let crown = PI * in_crown.powi(2) * (3.0 * self.crown - in_crown) / 3.0;
        if t <= self.joint_depth_m() {
            return crown;
        }
        // ∫ (b + √(r² − x²))² dx
        let (b, r) = (self.knuckle_centre, self.knuckle);
        let primitive = |x: f64| {
            let root = (r.powi(2) - x.powi(2)).max(0.0).sqrt();
            (b.powi(2) + r.powi(2)) * x - x.powi(3) / 3.0
                + b * (x * root + r.powi(2) * x.atan2(root))
        };
        crown + PI * (primitive(self.joint_distance) - primitive(self.depth_m() - t))
    }

    /// Lying: free surface at height `h` above the cylinder's bottom.
    pub(super) fn area_at_m2(&self, h: f64) -> f64 {
        let y = (h - self.radius).abs();
        let c = half_chord(self.radius, h);
        if c <= 0.0 {
            return 0.0;
        }
        let w = self.joint_half_chord(y, c);
        let mut area = 0.0;
        if w > 0.0 {
            let at_joint = ((self.crown - self.joint_radius) * (self.crown + self.joint_radius))
                .max(0.0)
                .sqrt();
            let s2 = self.crown.powi(2) - y.powi(2);
            area += w * at_joint + s2 * w.atan2(at_joint) - 2.0 * self.crown_centre * w;
        }
        let knuckle = integral((w / c).asin(), FRAC_PI_2, |theta| {
            theta.cos().powi(2) * self.slenderness(y.hypot(c * theta.sin()))
        });
        area + 2.0 * c.powi(2) * knuckle
    }

    /// Lying: volume below height `h` above the cylinder's bottom.
    pub(super) fn volume_below_m3(&self, h: f64) -> f64 {
        if h > self.radius {
            let mirrored = self.volume_below_m3(2.0 * self.radius - h);
            return self.volume_from_apex_m3(self.depth_m()) - mirrored;
        }
        let y = h - self.radius;
        let c = half_chord(self.radius, h);
        if c <= 0.0 {
            return 0.0;
        }
        let w = self.joint_half_chord(y, c);
        let mut volume = 0.0;
        if w > 0.0 {
            let segment = self.joint_radius.powi(2) * w.atan2(-y) + y * w;
            volume += cap_volume_below_m3(self.joint_radius, self.joint_depth_m(), y)
                + self.joint_distance * segment;
        }
        let knuckle = integral((w / c).asin(), FRAC_PI_2, |theta| {
            let across = c * theta.sin();
            let angle = across.atan2(-y);
            theta.cos().powi(2) * theta.sin() * self.slenderness(y.hypot(across)) * angle
        });
        volume + 2.0 * c.powi(3) * knuckle
    }

    /// Half the chord of the joint's circle at height y above the axis; 0 where a cut misses it.
    fn joint_half_chord(&self, y: f64, c: f64) -> f64 {
        ((self.joint_radius - y) * (self.joint_radius + y))
            .max(0.0)
            .sqrt()
            .min(c)
    }

    /// √((r + q − b)/(R + q)): the knuckle's x over √(R² − q²) at radius q.
    fn slenderness(&self, q: f64) -> f64 {
        ((self.knuckle + q - self.knuckle_centre).max(0.0) / (self.radius + q)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_torisphere_quadrature_converges() {
        for (crown, knuckle) in [
            (1.0, 0.06),
            (1.0, 0.1),
            (0.8, 0.154),
            (0.9, 0.01),
            (0.55, 0.4),
            (1.5, 0.0),
            (1.0, 0.45),
        ] {
            let head = Torisphere::new(0.5, crown, knuckle);
            // Half full is half of the closed total: quadrature against closed form.
            let half = head.volume_below_m3(0.5);
            let closed = 0.5 * head.volume_from_apex_m3(head.depth_m());
            assert!(
                (half / closed - 1.0).abs() < 1e-9,
                "{crown} {knuckle}: {half} {closed}"
            );
            // Slice by slice against a plain midpoint rule across the cut.
            for h in [0.01, 0.05, 0.2, 0.4999, 0.5, 0.9] {
                let (y, c) = (h - 0.5, half_chord(0.5, h));
                let n = 200_000;
                let step = c / f64::from(n);
                let plain: f64 = (0..n)
                    .map(|i| {
                        let q = ((f64::from(i) + 0.5) * step).hypot(y);
                        if q <= head.joint_radius {
                            (crown * crown - q * q).sqrt() - head.crown_centre
                        } else {
                            (knuckle * knuckle - (q - head.knuckle_centre).powi(2))
                                .max(0.0)
                                .sqrt()
                        }
                    })
                    .sum::<f64>()
                    * 2.0
                    * step;
                let got = head.area_at_m2(h);
                assert!(
                    (got - plain).abs() < 2e-6 * plain,
                    "{crown} {knuckle} {h}: {got} {plain}"
                );
            }
        }
    }

    #[test]
    fn property_profile_is_continuous_and_meets_the_cylinder() {
        let head = Torisphere::new(0.5, 1.0, 0.06);
        let joint = head.joint_depth_m();
        assert!((head.radius_at_m(joint - 1e-9) - head.radius_at_m(joint + 1e-9)).abs() < 1e-8);
        assert!((head.radius_at_m(head.depth_m()) - 0.5).abs() < 1e-12);
        assert!(head.radius_at_m(0.0).abs() < 1e-12);
    }
}
