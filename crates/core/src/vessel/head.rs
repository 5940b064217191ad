//! The heads that close a cylinder.

use super::error::VesselError;
use super::lying_head;
use super::standing_head;
use super::torisphere::Torisphere;

/// Shape of a head, inside. Ratios are to the inside diameter D.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum HeadKind {
    /// A flat plate: no volume.
    Flat,
    /// A spherical crown and a toroidal knuckle.
    Torispherical {
        /// Inside radius of the crown over D: 1 for the usual flanged and dished head.
        crown_ratio: f64,
        /// Inside radius of the knuckle over D: 0.06 for the usual flanged and dished head.
        knuckle_ratio: f64,
    },
    /// Half an ellipsoid, a quarter of D deep.
    Ellipsoidal2To1,
    /// Half a sphere.
    Hemispherical,
    /// Half an ellipsoid of any depth.
    Ellipsoidal {
        /// Depth over D.
        depth_ratio: f64,
    },
    /// A cone.
    Conical {
        /// Depth over D.
        depth_ratio: f64,
    },
    /// A spherical cap without a knuckle.
    SphericalCap {
        /// Depth over D.
        depth_ratio: f64,
    },
}

const CROWN_RATIO: (f64, f64) = (0.5, 2.0);
const KNUCKLE_RATIO: (f64, f64) = (0.0, 0.49);
/// A shallower head holds less than 1 % of D^3 and is drawn flat.
const DEPTH_RATIO: (f64, f64) = (0.02, 2.0);
/// A cap deeper than half of D would bulge beyond the cylinder.
const CAP_DEPTH_RATIO: (f64, f64) = (0.02, 0.5);

impl HeadKind {
    /// The usual flanged and dished head: crown radius D, knuckle radius 6 % of D (the least that
    /// ASME BPVC VIII-1 UG-32 allows).
    pub const FLANGED_AND_DISHED: Self = Self::Torispherical {
        crown_ratio: 1.0,
        knuckle_ratio: 0.06,
    };

    /// Inside depth of the head beyond the end of the cylinder, m, for an inside diameter in m.
    ///
    /// # Errors
    /// [`VesselError::HeadRatio`] when a ratio is out of range, or NaN.
    pub fn depth_m(self, inside_diameter_m: f64) -> Result<f64, VesselError> {
        Ok(Head::new(self, inside_diameter_m)?.depth_m())
    }
}

/// A head of checked shape and known size. Lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Head {
    Flat,
    Ellipsoid { radius: f64, depth: f64 },
    Cone { radius: f64, depth: f64 },
    Cap { radius: f64, depth: f64 },
    Torisphere(Torisphere),
}

impl Head {
    pub(super) fn new(kind: HeadKind, inside_diameter_m: f64) -> Result<Self, VesselError> {
        let radius = 0.5 * inside_diameter_m;
        let ellipsoid = |depth_ratio: f64| Self::Ellipsoid {
            radius,
            depth: depth_ratio * inside_diameter_m,
        };
        Ok(match kind {
            HeadKind::Flat => Self::Flat,
            HeadKind::Torispherical {
                crown_ratio,
                knuckle_ratio,
            } => {
                check_ratio("crown radius", crown_ratio, CROWN_RATIO)?;
                check_ratio("knuckle radius", knuckle_ratio, KNUCKLE_RATIO)?;
                Self::Torisphere(Torisphere::new(
                    radius,
                    crown_ratio * inside_diameter_m,
                    knuckle_ratio * inside_diameter_m,
                ))
            }
            HeadKind::Ellipsoidal2To1 => ellipsoid(0.25),
            HeadKind::Hemispherical => ellipsoid(0.5),
            HeadKind::Ellipsoidal { depth_ratio } => {
                check_ratio("head depth", depth_ratio, DEPTH_RATIO)?;
                ellipsoid(depth_ratio)
            }
            HeadKind::Conical { depth_ratio } => {
                check_ratio("head depth", depth_ratio, DEPTH_RATIO)?;
                Self::Cone {
                    radius,
                    depth: depth_ratio * inside_diameter_m,
                }
            }
            HeadKind::SphericalCap { depth_ratio } => {
                check_ratio("head depth", depth_ratio, CAP_DEPTH_RATIO)?;
                Self::Cap {
                    radius,
                    depth: depth_ratio * inside_diameter_m,
                }
            }
        })
    }

    /// Inside depth beyond the end of the cylinder, m.
    pub(super) fn depth_m(&self) -> f64 {
        match self {
            Self::Flat => 0.0,
            Self::Ellipsoid { depth, .. } | Self::Cone { depth, .. } | Self::Cap { depth, .. } => {
                *depth
            }
            Self::Torisphere(t) => t.depth_m(),
        }
    }

    /// Volume of the whole head, m3.
    pub(super) fn volume_m3(&self) -> f64 {
        standing_head::volume_from_apex_m3(self, self.depth_m())
    }

    /// Axis vertical: volume within `t` of the apex, m3.
    pub(super) fn standing_volume_m3(&self, t: f64) -> f64 {
        standing_head::volume_from_apex_m3(self, t)
    }

    /// Axis vertical: cross-section at `t` from the apex, m2.
    pub(super) fn standing_area_m2(&self, t: f64) -> f64 {
        standing_head::area_at_m2(self, t)
    }

    /// Axis horizontal: volume of one head below height `h` above the cylinder's bottom, m3.
    pub(super) fn lying_volume_m3(&self, h: f64) -> f64 {
        lying_head::volume_below_m3(self, h)
    }

    /// Axis horizontal: free surface of one head at height `h` above the cylinder's bottom, m2.
    pub(super) fn lying_area_m2(&self, h: f64) -> f64 {
        lying_head::area_at_m2(self, h)
    }
}

fn check_ratio(
    ratio: &'static str,
    value: f64,
    (minimum, maximum): (f64, f64),
) -> Result<(), VesselError> {
    if !(minimum..=maximum).contains(&value) {
        return Err(VesselError::HeadRatio {
            ratio,
            value,
            minimum,
            maximum,
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Depth and volume of the usual heads over D and D^3: closed forms as in handbooks of
    /// pressure vessels (flanged and dished 0.169338 and 0.080999, 2:1 ellipsoid pi/24).
    #[test]
    fn published_depth_and_volume_of_usual_heads() {
        let pi = std::f64::consts::PI;
        for (kind, depth, volume, tolerance) in [
            (HeadKind::FLANGED_AND_DISHED, 0.169_338, 0.080_999, 0.51e-6),
            (HeadKind::Ellipsoidal2To1, 0.25, pi / 24.0, 1e-12),
            (HeadKind::Hemispherical, 0.5, pi / 12.0, 1e-12),
            (HeadKind::Flat, 0.0, 0.0, 1e-12),
        ] {
            let head = Head::new(kind, 1.0).unwrap();
            assert!(
                (head.depth_m() - depth).abs() <= tolerance,
                "{kind:?} {}",
                head.depth_m()
            );
            assert!((head.volume_m3() - volume).abs() <= tolerance, "{kind:?}");
        }
    }

    #[test]
    fn property_special_cases_agree() {
        let same = |a: HeadKind, b: HeadKind, tolerance: f64| {
            let (a, b) = (Head::new(a, 1.2).unwrap(), Head::new(b, 1.2).unwrap());
            assert!((a.depth_m() - b.depth_m()).abs() < tolerance, "{a:?} {b:?}");
            for share in [0.0, 0.1, 0.3, 0.5, 0.8, 1.0] {
                let (h, t) = (1.2 * share, a.depth_m().min(b.depth_m()) * share);
                for (name, x, y) in [
                    ("lying volume", a.lying_volume_m3(h), b.lying_volume_m3(h)),
                    ("lying area", a.lying_area_m2(h), b.lying_area_m2(h)),
                    (
                        "standing volume",
                        a.standing_volume_m3(t),
                        b.standing_volume_m3(t),
                    ),
                    (
                        "standing area",
                        a.standing_area_m2(t),
                        b.standing_area_m2(t),
                    ),
                ] {
                    assert!(
                        (x - y).abs() < tolerance,
                        "{name} {share}: {x} {y} of {a:?} {b:?}"
                    );
                }
            }
        };
        same(
            HeadKind::Hemispherical,
            HeadKind::SphericalCap { depth_ratio: 0.5 },
            1e-12,
        );
        same(
            HeadKind::Ellipsoidal2To1,
            HeadKind::Ellipsoidal { depth_ratio: 0.25 },
            1e-12,
        );
        // A crown of half the diameter is a hemisphere, whatever the knuckle.
        same(
            HeadKind::Hemispherical,
            HeadKind::Torispherical {
                crown_ratio: 0.5,
                knuckle_ratio: 0.1,
            },
            1e-10,
        );
        // Without a knuckle the crown is a cap: depth f - sqrt(f^2 - 1/4).
        same(
            HeadKind::SphericalCap {
                depth_ratio: 1.0 - 0.75_f64.sqrt(),
            },
            HeadKind::Torispherical {
                crown_ratio: 1.0,
                knuckle_ratio: 0.0,
            },
            1e-10,
        );
    }

    #[test]
    fn property_bad_heads_are_refused() {
        let ratio = |crown_ratio, knuckle_ratio| HeadKind::Torispherical {
            crown_ratio,
            knuckle_ratio,
        };
        for kind in [
            ratio(0.49, 0.06),
            ratio(2.1, 0.06),
            ratio(1.0, -0.01),
            ratio(1.0, 0.5),
            ratio(f64::NAN, 0.06),
            ratio(1.0, f64::NAN),
            HeadKind::Ellipsoidal { depth_ratio: 0.0 },
            HeadKind::Conical {
                depth_ratio: f64::NAN,
            },
            HeadKind::SphericalCap { depth_ratio: 0.51 },
        ] {
            assert!(
                matches!(kind.depth_m(1.0), Err(VesselError::HeadRatio { .. })),
                "{kind:?}"
            );
        }
    }
}
