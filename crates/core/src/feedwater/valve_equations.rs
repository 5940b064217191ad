//! The equations of IEC 60534-2-1:2011 for one valve and one water, in the standard's own units: m3/h, kPa, mm, m2/s.
//!
//! `sizing.rs` says where they depart from the standard and why.

use super::root::bracketed_root;
use super::sheets::FlowRegime;
use super::sizing::{
    Body, Conditions, REFERENCE_DENSITY_KG_M3, Sizing, SizingError, check, critical_ratio_factor,
};

// Numerical constants of IEC 60534-2-1, Table 1, for Kv, m3/h, kPa, mm, m2/s.
pub(super) const N1: f64 = 0.1;
pub(super) const N2: f64 = 1.60e-3;
pub(super) const N4: f64 = 7.07e-2;
pub(super) const N18: f64 = 0.865;
pub(super) const N32: f64 = 140.0;

/// The standard is stated for `C/(N18·d²)` under this.
pub(super) const SCOPE_LIMIT: f64 = 0.047;
/// Turbulent above.
pub(super) const TURBULENT_REYNOLDS: f64 = 10_000.0;
/// The transitional equation begins here.
const TRANSITIONAL_REYNOLDS: f64 = 10.0;
/// Bores up to this share of the pipe's inside diameter are sized: a nominal bore exceeds the inside of a thick-walled pipe of its size.
const BORE_TO_PIPE_LIMIT: f64 = 1.25;
/// Relative tolerance of the roots.
pub(super) const ROOT_TOLERANCE: f64 = 1e-12;

/// Valve and water in the standard's units: m3/h, kPa, mm.
pub(super) struct ValveEquations {
    /// ΔP, kPa.
    pub(super) drop: f64,
    /// P1 − FF·Pv, kPa.
    pub(super) to_vapour: f64,
    /// ρ1/ρ0.
    pub(super) relative_density: f64,
    /// ν, m2/s.
    viscosity: f64,
    /// FF.
    critical_ratio: f64,
    /// FL.
    pub(super) recovery: f64,
    /// Fd.
    style: f64,
    /// d, mm.
    bore: f64,
    /// D1, mm.
    pub(super) pipe: f64,
    /// (ζ1 + ζ2 + ζB1 − ζB2)/(N2·d⁴).
    pub(super) fittings: f64,
    /// (ζ1 + ζB1)/(N2·d⁴).
    pub(super) inlet_fittings: f64,
}

/// Σζ of all fittings and ζi of those at the inlet: reducers, short and concentric, and the velocity heads.
///
/// **Source:** IEC 60534-2-1:2011, equations 16 to 20. **Checked by:** `published_loss_coefficients_of_reducers`.
pub(super) fn fittings_loss(bore: f64, pipe_before: f64, pipe_after: f64) -> (f64, f64) {
    let before = (bore / pipe_before).powi(2);
    let after = (bore / pipe_after).powi(2);
    let inlet = 0.5 * (1.0 - before).powi(2) + (1.0 - before * before);
    let outlet = (1.0 - after).powi(2) - (1.0 - after * after);
    (inlet + outlet, inlet)
}

impl ValveEquations {
    pub(super) fn new(water: &Conditions, body: &Body) -> Result<Self, SizingError> {
        check("density", water.density_kg_m3, "kg/m3", 1.0, 3000.0)?;
        check("inlet pressure", water.inlet_pressure_pa, "Pa", 1.0, 1e9)?;
        check("outlet pressure", water.outlet_pressure_pa, "Pa", 0.0, 1e9)?;
        check(
            "critical pressure",
            water.critical_pressure_pa,
            "Pa",
            1e5,
            1e9,
        )?;
        check(
            "vapour pressure",
            water.vapour_pressure_pa,
            "Pa",
            0.0,
            water.critical_pressure_pa,
        )?;
        check(
            "viscosity",
            water.kinematic_viscosity_m2_s,
            "m2/s",
            1e-9,
            1.0,
        )?;
        check("FL", body.recovery_factor, "", 0.1, 1.0)?;
        check("Fd", body.style_modifier, "", 0.001, 2.0)?;
        for (what, diameter) in [
            ("valve bore", body.bore_m),
            ("pipe before the valve", body.pipe_before_m),
            ("pipe after the valve", body.pipe_after_m),
        ] {
            check(what, diameter, "m", 1e-3, 3.0)?;
        }
        for pipe_m in [body.pipe_before_m, body.pipe_after_m] {
            if !(body.bore_m <= BORE_TO_PIPE_LIMIT * pipe_m) {
                return Err(SizingError::BoreAbovePipe {
                    bore_m: body.bore_m,
                    pipe_m,
                });
            }
        }
        if !(water.inlet_pressure_pa > water.vapour_pressure_pa) {
            return Err(SizingError::InletBoils {
                inlet_pressure_pa: water.inlet_pressure_pa,
                vapour_pressure_pa: water.vapour_pressure_pa,
            });
        }
        let critical_ratio =
            critical_ratio_factor(water.vapour_pressure_pa, water.critical_pressure_pa);
        let bore = 1000.0 * body.bore_m;
        let (all, inlet) = fittings_loss(body.bore_m, body.pipe_before_m, body.pipe_after_m);
        let per_loss = 1.0 / (N2 * bore.powi(4));
        Ok(Self {
            drop: 1e-3 * (water.inlet_pressure_pa - water.outlet_pressure_pa),
            to_vapour: 1e-3 * (water.inlet_pressure_pa - critical_ratio * water.vapour_pressure_pa),
            relative_density: water.density_kg_m3 / REFERENCE_DENSITY_KG_M3,
            viscosity: water.kinematic_viscosity_m2_s,
            critical_ratio,
            recovery: body.recovery_factor,
            style: body.style_modifier,
            bore,
            pipe: 1000.0 * body.pipe_before_m,
            fittings: all * per_loss,
            inlet_fittings: inlet * per_loss,
        })
    }

    /// Turbulent flow, m3/h, at the effective coefficient `FR·C`.
    pub(super) fn flow_of_effective(&self, effective: f64) -> Result<f64, SizingError> {
        let inverse = 1.0 / (effective * effective);
        let free = inverse + self.fittings;
        let choked = inverse / (self.recovery * self.recovery) + self.inlet_fittings;
        if !(free > 0.0 && choked > 0.0) {
            return Err(SizingError::FittingsTakeTheDrop {
                bore_m: 1e-3 * self.bore,
            });
        }
        let square = (self.drop / free).min(self.to_vapour / choked) / self.relative_density;
        Ok(N1 * square.sqrt())
    }

    /// C whose `FR·C` is `effective` at a flow in m3/h: `effective` itself where the flow is turbulent.
    pub(super) fn kv_of_effective(&self, effective: f64, flow: f64) -> Result<f64, SizingError> {
        if self.reynolds(effective, flow) >= TURBULENT_REYNOLDS {
            return Ok(effective);
        }
        let excess = |kv: f64| {
            let (factor, _) = self.reynolds_factor(kv, self.reynolds(kv, flow));
            factor * kv / effective - 1.0
        };
        // FR <= 1, so C lies above; the first crossing is the smallest valve that passes the flow. With full-size trim FR·C has a greatest
        // value, hence steps.
        let most = self.bore * self.bore;
        let (mut low, mut high) = (effective, effective);
        while excess(high) < 0.0 {
            if !(high < most) {
                return Err(SizingError::TooViscous {
                    bore_m: 1e-3 * self.bore,
                });
            }
            low = high;
            high *= 1.1;
        }
        if low >= high {
            return Ok(effective);
        }
        Ok(bracketed_root(excess, low, high, ROOT_TOLERANCE * low)?)
    }

    /// Rev, valve Reynolds number.
    ///
    /// ```text
    /// Rev = N4·Fd·Q/(ν·√(C·FL))·(FL²·C²/(N2·D⁴) + 1)^(1/4)
    /// ```
    ///
    /// **Source:** IEC 60534-2-1:2011, equation 23.
    pub(super) fn reynolds(&self, kv: f64, flow: f64) -> f64 {
        let approach = (self.recovery * kv).powi(2) / (N2 * self.pipe.powi(4)) + 1.0;
        N4 * self.style * flow / (self.viscosity * (kv * self.recovery).sqrt())
            * approach.sqrt().sqrt()
    }

    /// FR, and whether the laminar equation governs it.
    ///
    /// **Source:** IEC 60534-2-1:2011, equations A.3 to A.8.
    /// **Checked by:** `published_reynolds_factor_of_a_small_flow_valve`, `property_reynolds_factor_is_continuous`.
    pub(super) fn reynolds_factor(&self, kv: f64, reynolds: f64) -> (f64, bool) {
        let per_bore = kv / (self.bore * self.bore);
        let full_size = N2 / (per_bore * per_bore);
        let reduced = 1.0 + N32 * per_bore.powf(2.0 / 3.0);
        let n = full_size.min(reduced);
        let governing = |reynolds: f64| {
            let laminar = 0.026 / self.recovery * (n * reynolds).sqrt();
            let decades = (reynolds / TURBULENT_REYNOLDS).log10();
            let transitional = 1.0 + 0.33 * self.recovery.sqrt() / n.powf(0.25) * decades;
            (laminar.min(transitional).min(1.0), laminar < transitional)
        };
        if reynolds >= TURBULENT_REYNOLDS {
            (1.0, false)
        } else if reynolds >= TRANSITIONAL_REYNOLDS {
            governing(reynolds)
        } else {
            let (at_limit, _) = governing(TRANSITIONAL_REYNOLDS);
            (at_limit * (reynolds / TRANSITIONAL_REYNOLDS).sqrt(), true)
        }
    }

    /// FP and FLP at the effective coefficient.
    fn piping_factors(&self, effective: f64) -> (f64, f64) {
        let square = effective * effective;
        let recovery = self.recovery;
        (
            1.0 / (1.0 + self.fittings * square).sqrt(),
            recovery / (1.0 + recovery * recovery * self.inlet_fittings * square).sqrt(),
        )
    }

    pub(super) fn sizing(&self, kv: f64, effective: f64, flow: f64) -> Sizing {
        let (piping_factor, piping_recovery_factor) = self.piping_factors(effective);
        let choked_drop = (piping_recovery_factor / piping_factor).powi(2) * self.to_vapour;
        let flows = flow > 0.0;
        let choked = flows && self.drop >= choked_drop;
        let reynolds = if flows { self.reynolds(kv, flow) } else { 0.0 };
        let (reynolds_factor, laminar) = if flows {
            self.reynolds_factor(kv, reynolds)
        } else {
            (1.0, false)
        };
        let regime = if !flows {
            FlowRegime::None
        } else if laminar {
            FlowRegime::Laminar
        } else if reynolds < TURBULENT_REYNOLDS {
            FlowRegime::Transitional
        } else if choked {
            FlowRegime::Choked
        } else {
            FlowRegime::Turbulent
        };
        Sizing {
            kv_m3_h: kv,
            regime,
            choked,
            choked_drop_pa: 1000.0 * choked_drop,
            critical_ratio_factor: self.critical_ratio,
            reynolds,
            reynolds_factor,
            piping_factor,
            piping_recovery_factor,
            scope_ratio: kv / (SCOPE_LIMIT * N18 * self.bore * self.bore),
        }
    }
}
