//! Friction of the line: a part's drop at a flow, and how it grows.
//!
//! ```text
//! reference   Δp = Δp0·(w/w0)²
//! pipe        Δp = (f·L/D + K)·ρ·v²/2 ,  v = w/(ρ·π/4·D²) ,  Re = v·D·ρ/µ
//! laminar     f = 64/Re                                            Re ≤ 2000
//! turbulent   1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f))            Re ≥ 4000
//! transition  f on the straight line between the two limits        2000 < Re < 4000
//! ```
//!
//! | symbol | name                            | unit  |
//! |--------|---------------------------------|-------|
//! | w      | mass flow                       | kg/s  |
//! | f      | friction factor (Darcy)         | -     |
//! | L, D, ε| length, bore, roughness         | m     |
//! | K      | sum of loss coefficients        | -     |
//! | ρ, µ   | density and viscosity           | kg/m3, Pa s |
//!
//! **Source:** Darcy-Weisbach; Hagen-Poiseuille; Colebrook, J. Inst. Civ. Eng. 11 (1939) 133; solved as in Clamond, Ind.
//! Eng. Chem. Res. 48 (2009) 3665. **Departures:** nobody knows f in transition; the straight line is common practice
//! and keeps the drop rising.
//! **Checked by:** `published_smooth_pipe`, `property_colebrook_is_solved`, `property_drop_and_slope_are_continuous`.

use std::f64::consts::{LN_10, PI};

use crate::description::feed_system::{LinePart, Loss};
use crate::feedwater::error::FeedwaterError;

/// Reynolds number to which the flow in a pipe is reckoned as laminar.
pub const LAMINAR_REYNOLDS: f64 = 2000.0;
/// Reynolds number from which it is reckoned as turbulent.
pub const TURBULENT_REYNOLDS: f64 = 4000.0;
/// Largest ε/D of Moody's chart.
const ROUGHEST_RATIO: f64 = 0.05;

/// How the water flows in a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PipeFlow {
    /// Layers.
    Laminar,
    /// Neither: f is not known there.
    Transition,
    /// Turbulent.
    Turbulent,
}

/// Friction factor and its slope over the Reynolds number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionFactor {
    /// f.
    pub factor: f64,
    /// df/dRe.
    pub slope: f64,
    /// Flow.
    pub flow: PipeFlow,
}

/// Darcy friction factor of a pipe for Re > 0 and relative roughness ε/D.
pub fn friction_factor(reynolds: f64, roughness_ratio: f64) -> FrictionFactor {
    if reynolds <= LAMINAR_REYNOLDS {
        let factor = 64.0 / reynolds;
        return FrictionFactor {
            factor,
            slope: -factor / reynolds,
            flow: PipeFlow::Laminar,
        };
    }
    if reynolds < TURBULENT_REYNOLDS {
        let low = 64.0 / LAMINAR_REYNOLDS;
        let high = colebrook(TURBULENT_REYNOLDS, roughness_ratio).0;
        let slope = (high - low) / (TURBULENT_REYNOLDS - LAMINAR_REYNOLDS);
        return FrictionFactor {
            factor: low + slope * (reynolds - LAMINAR_REYNOLDS),
            slope,
            flow: PipeFlow::Transition,
        };
    }
    let (factor, slope) = colebrook(reynolds, roughness_ratio);
    FrictionFactor {
        factor,
        slope,
        flow: PipeFlow::Turbulent,
    }
}

/// Colebrook's f and df/dRe, by Clamond's two steps of the fourth order: to rounding with three logarithms.
///
/// With F = ln(10)/(2·√f), X1 = (ε/3.7D)·Re·ln(10)/(2·2.51) and X2 = ln(Re·ln(10)/(2·2.51)): F + ln(X1 + F) = X2.
fn colebrook(reynolds: f64, roughness_ratio: f64) -> (f64, f64) {
    const HALF_LN_10: f64 = 0.5 * LN_10;
    let scaled = reynolds * (HALF_LN_10 / 2.51);
    let x1 = roughness_ratio / 3.7 * scaled;
    let x2 = scaled.ln();
    let mut f = x2 - 0.2;
    for _ in 0..2 {
        let sum = 1.0 + x1 + f;
        let error = ((x1 + f).ln() + f - x2) / sum;
        f -= (sum + 0.5 * error) * error * (x1 + f) / (sum + error * (1.0 + error / 3.0));
    }
    let root = HALF_LN_10 / f;
    let factor = root * root;
    // d(F + ln(X1 + F)) = dX2, where X1 grows with Re: dF/dlnRe = F/(1 + X1 + F).
    (factor, -2.0 * factor / reynolds / (1.0 + x1 + f))
}

/// Pressure lost and its slope over the flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Drop, Pa.
    pub drop_pa: f64,
    /// d(drop)/d(flow), Pa per kg/s.
    pub slope_pa_s_kg: f64,
}

/// Friction of one part, its water known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Friction {
    /// By the square of the flow, Pa per (kg/s)².
    Square {
        /// Pa per (kg/s)².
        pa_per_flow_squared: f64,
    },
    /// Pipe.
    Pipe {
        /// Bore, m.
        diameter_m: f64,
        /// L/D.
        length_ratio: f64,
        /// ε/D.
        roughness_ratio: f64,
        /// K.
        fittings_k: f64,
        /// Density, kg/m3.
        density_kg_m3: f64,
        /// Viscosity, Pa s.
        viscosity_pa_s: f64,
    },
}

impl Friction {
    /// Friction of a part of the line with its water.
    ///
    /// # Errors
    /// [`FeedwaterError::Part`] for data that cannot be; NaN too.
    pub fn of(
        part: &LinePart,
        density_kg_m3: f64,
        viscosity_pa_s: f64,
    ) -> Result<Self, FeedwaterError> {
        let refuse = |what, value, unit| FeedwaterError::Part {
            part: part.name.clone(),
            what,
            value,
            unit,
        };
        match part.loss {
            Loss::Reference(reference) => {
                if !(reference.flow_kg_s > 0.0 && reference.flow_kg_s.is_finite()) {
                    return Err(refuse("a reference flow", reference.flow_kg_s, "kg/s"));
                }
                if !(reference.drop_pa >= 0.0 && reference.drop_pa.is_finite()) {
                    return Err(refuse("a reference drop", reference.drop_pa, "Pa"));
                }
                Ok(Self::Square {
                    pa_per_flow_squared: reference.drop_pa
                        / (reference.flow_kg_s * reference.flow_kg_s),
                })
            }
            Loss::Pipe {
                inside_diameter_m,
                length_m,
                roughness_m,
                fittings_k,
            } => {
                if !(inside_diameter_m > 0.0 && inside_diameter_m.is_finite()) {
                    return Err(refuse("an inside diameter", inside_diameter_m, "m"));
                }
                if !(length_m >= 0.0 && length_m.is_finite()) {
                    return Err(refuse("a length", length_m, "m"));
                }
                if !(0.0..=ROUGHEST_RATIO * inside_diameter_m).contains(&roughness_m) {
                    return Err(refuse("a roughness", roughness_m, "m"));
                }
                if !(fittings_k >= 0.0 && fittings_k.is_finite()) {
                    return Err(refuse("a sum of loss coefficients", fittings_k, "-"));
                }
                Ok(Self::Pipe {
                    diameter_m: inside_diameter_m,
                    length_ratio: length_m / inside_diameter_m,
                    roughness_ratio: roughness_m / inside_diameter_m,
                    fittings_k,
                    density_kg_m3,
                    viscosity_pa_s,
                })
            }
        }
    }

    /// Drop at a flow of 0 or more, kg/s.
    pub fn drop(&self, flow_kg_s: f64) -> Drop {
        match *self {
            Self::Square {
                pa_per_flow_squared,
            } => Drop {
                drop_pa: pa_per_flow_squared * flow_kg_s * flow_kg_s,
                slope_pa_s_kg: 2.0 * pa_per_flow_squared * flow_kg_s,
            },
            Self::Pipe {
                diameter_m,
                length_ratio,
                roughness_ratio,
                fittings_k,
                density_kg_m3,
                viscosity_pa_s,
            } => {
                let area_m2 = 0.25 * PI * diameter_m * diameter_m;
                // ρ·v²/2 = half·w²
                let half = 0.5 / (density_kg_m3 * area_m2 * area_m2);
                let per_flow = diameter_m / (area_m2 * viscosity_pa_s);
                let reynolds = per_flow * flow_kg_s;
                if reynolds <= LAMINAR_REYNOLDS {
                    // 64/Re·w² without dividing by no flow.
                    let linear = 64.0 / per_flow * length_ratio * half;
                    return Drop {
                        drop_pa: (linear + fittings_k * half * flow_kg_s) * flow_kg_s,
                        slope_pa_s_kg: linear + 2.0 * fittings_k * half * flow_kg_s,
                    };
                }
                let f = friction_factor(reynolds, roughness_ratio);
                let loss = f.factor * length_ratio + fittings_k;
                Drop {
                    drop_pa: loss * half * flow_kg_s * flow_kg_s,
                    slope_pa_s_kg: half
                        * flow_kg_s
                        * (2.0 * loss + f.slope * reynolds * length_ratio),
                }
            }
        }
    }

    /// How the water flows at a flow, for a pipe with data.
    pub fn pipe_flow(&self, flow_kg_s: f64) -> Option<PipeFlow> {
        match *self {
            Self::Square { .. } => None,
            Self::Pipe {
                diameter_m,
                viscosity_pa_s,
                roughness_ratio,
                ..
            } => {
                let reynolds = 4.0 * flow_kg_s / (PI * diameter_m * viscosity_pa_s);
                (reynolds > 0.0).then(|| friction_factor(reynolds, roughness_ratio).flow)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::{ReferenceDrop, ValveSide};
    use crate::water::{compressed_water_density_kg_m3, water_viscosity_pa_s};
    use proptest::prelude::*;

    fn part(loss: Loss) -> LinePart {
        LinePart {
            name: "pipe".into(),
            side: ValveSide::Before,
            loss,
            shared: false,
            temperature_rise_k: 0.0,
        }
    }

    /// Crane TP-410, example 7-1: water at 30 degC, 200 L/min in smooth 50 mm pipe of schedule 40 (52.5 mm inside): Re 100 600,
    /// f 0.0179. Its viscosity is printed to two digits.
    #[test]
    fn published_smooth_pipe() {
        let density = compressed_water_density_kg_m3(303.15, 101_325.0).unwrap();
        let viscosity = water_viscosity_pa_s(303.15, 101_325.0).unwrap();
        let reynolds = 4.0 * (0.2 / 60.0) * density / (PI * 0.0525 * viscosity);
        assert!((reynolds / 100_600.0 - 1.0).abs() < 0.01, "{reynolds}");
        let f = friction_factor(reynolds, 0.0);
        assert!((f.factor / 0.0179 - 1.0).abs() < 0.01, "{}", f.factor);
        assert_eq!(f.flow, PipeFlow::Turbulent);
    }

    /// Hagen-Poiseuille: Δp = 128·µ·L·Q/(π·D⁴), written out.
    #[test]
    fn published_laminar_pipe() {
        let friction = Friction::of(
            &part(Loss::Pipe {
                inside_diameter_m: 0.05,
                length_m: 10.0,
                roughness_m: 4.5e-5,
                fittings_k: 0.0,
            }),
            1000.0,
            1e-3,
        )
        .unwrap();
        let expected = 128.0 * 1e-3 * 10.0 * 2e-5 / (PI * 0.05_f64.powi(4));
        let drop = friction.drop(0.02).drop_pa;
        assert!((drop / expected - 1.0).abs() < 1e-12, "{drop} {expected}");
        assert_eq!(friction.pipe_flow(0.02), Some(PipeFlow::Laminar));
        assert_eq!(friction.pipe_flow(0.12), Some(PipeFlow::Transition));
    }

    #[test]
    fn property_impossible_parts_are_refused() {
        for (diameter, length, roughness, k) in [
            (0.0, 1.0, 0.0, 0.0),
            (f64::NAN, 1.0, 0.0, 0.0),
            (0.05, -1.0, 0.0, 0.0),
            (0.05, 1.0, 0.01, 0.0),
            (0.05, 1.0, 0.0, f64::NAN),
        ] {
            let loss = Loss::Pipe {
                inside_diameter_m: diameter,
                length_m: length,
                roughness_m: roughness,
                fittings_k: k,
            };
            assert!(Friction::of(&part(loss), 1000.0, 1e-3).is_err(), "{loss:?}");
        }
        for (drop_pa, flow_kg_s) in [(1.0, 0.0), (-1.0, 1.0), (f64::NAN, 1.0)] {
            let loss = Loss::Reference(ReferenceDrop { drop_pa, flow_kg_s });
            assert!(Friction::of(&part(loss), 1000.0, 1e-3).is_err(), "{loss:?}");
        }
    }

    proptest! {
        #[test]
        fn property_colebrook_is_solved(log_re in 3.61_f64..8.0, ratio in 0.0_f64..0.05) {
            let reynolds = 10_f64.powf(log_re);
            let f = friction_factor(reynolds, ratio);
            let root = 1.0 / f.factor.sqrt();
            let other = -2.0 * (ratio / 3.7 + 2.51 * root / reynolds).log10();
            prop_assert!((root / other - 1.0).abs() < 1e-12);
            let step = 1e-5 * reynolds;
            let slope = (friction_factor(reynolds + step, ratio).factor
                - friction_factor(reynolds - step, ratio).factor) / (2.0 * step);
            prop_assert!((slope - f.slope).abs() <= 1e-5 * f.slope.abs() + 1e-18);
        }

        #[test]
        fn property_drop_and_slope_are_continuous(
            log_flow in -3.0_f64..2.0, roughness in 0.0_f64..2e-4, k in 0.0_f64..20.0,
        ) {
            let friction = Friction::of(
                &part(Loss::Pipe { inside_diameter_m: 0.05, length_m: 20.0, roughness_m: roughness, fittings_k: k }),
                960.0,
                3e-4,
            ).unwrap();
            let flow = 10_f64.powf(log_flow);
            let step = 1e-6 * flow;
            let (low, high) = (friction.drop(flow - step).drop_pa, friction.drop(flow + step).drop_pa);
            prop_assert!(high > low);
            let slope = friction.drop(flow).slope_pa_s_kg;
            // A limit of a branch may lie within the step: then the slope is one of two.
            prop_assert!(((high - low) / (2.0 * step) / slope - 1.0).abs() < 1.0);
            let limit = LAMINAR_REYNOLDS * PI * 0.05 * 3e-4 / 4.0;
            for at in [limit, 2.0 * limit] {
                let jump = friction.drop(at * (1.0 + 1e-9)).drop_pa / friction.drop(at * (1.0 - 1e-9)).drop_pa;
                prop_assert!((jump - 1.0).abs() < 1e-7);
            }
        }
    }
}
