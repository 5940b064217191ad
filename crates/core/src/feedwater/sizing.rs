//! Flow of a liquid through a control valve: the coefficient a flow wants, and the flow a coefficient passes.
//!
//! **Source:** IEC 60534-2-1:2011 (= ISA-75.01.01), incompressible flow: turbulent, choked, with attached fittings; Annex A for flow that is
//! not turbulent. Coefficients are Kv, m3/h.
//! **Reference density:** ρ0 = 999.1 kg/m3 (water at 15 °C), as in the standard; with 1000 every Kv would be 0.045 % smaller.
//! **Departures**, each to keep the answer continuous where the standard jumps, none of them felt by water in a feedwater valve:
//! - Annex A leaves out fittings and choking. Here `FR·C` stands for `C` in the turbulent equations, so that both fade with `FR`; at
//!   `FR = 1` this is the standard's turbulent equation, without fittings and choking it is Annex A.
//! - `n` changes from reduced to full-size trim where its two expressions meet (`C/d² = 0.0155·N18`), not at the rounded 0.016·N18.
//! - Below Rev 10 `FR` falls with √Rev from its value at Rev 10, which is Annex A wherever its laminar equation governs there.

use super::root::{RootError, bracketed_root};
use super::sheets::FlowRegime;
use super::valve_equations::{
    N1, N18, ROOT_TOLERANCE, SCOPE_LIMIT, TURBULENT_REYNOLDS, ValveEquations,
};
use thiserror::Error;

/// ρ0, density that the coefficient is defined with, kg/m3.
pub const REFERENCE_DENSITY_KG_M3: f64 = 999.1;
/// Cv (US gallons a minute at 1 psi) of a Kv of one m3/h at 1 bar; unit conversion.
pub const CV_PER_KV: f64 = 1.156_099_2;

/// Water at the valve, without the flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// ρ1, density at the inlet, kg/m3.
    pub density_kg_m3: f64,
    /// P1, absolute, Pa.
    pub inlet_pressure_pa: f64,
    /// P2, absolute, Pa.
    pub outlet_pressure_pa: f64,
    /// Pv, at the inlet's temperature, Pa.
    pub vapour_pressure_pa: f64,
    /// Pc, thermodynamic critical pressure, Pa.
    pub critical_pressure_pa: f64,
    /// ν, m2/s.
    pub kinematic_viscosity_m2_s: f64,
}

/// Water at the valve, with its flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flowing {
    /// Q, m3/s.
    pub flow_m3_s: f64,
    /// ρ1, density at the inlet, kg/m3.
    pub density_kg_m3: f64,
    /// P1, absolute, Pa.
    pub inlet_pressure_pa: f64,
    /// P2, absolute, Pa.
    pub outlet_pressure_pa: f64,
    /// Pv, at the inlet's temperature, Pa.
    pub vapour_pressure_pa: f64,
    /// Pc, thermodynamic critical pressure, Pa.
    pub critical_pressure_pa: f64,
    /// ν, m2/s.
    pub kinematic_viscosity_m2_s: f64,
}

impl Flowing {
    /// The same without the flow.
    #[must_use]
    pub fn conditions(&self) -> Conditions {
        Conditions {
            density_kg_m3: self.density_kg_m3,
            inlet_pressure_pa: self.inlet_pressure_pa,
            outlet_pressure_pa: self.outlet_pressure_pa,
            vapour_pressure_pa: self.vapour_pressure_pa,
            critical_pressure_pa: self.critical_pressure_pa,
            kinematic_viscosity_m2_s: self.kinematic_viscosity_m2_s,
        }
    }
}

/// The valve's body between its pipes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// FL, without fittings.
    pub recovery_factor: f64,
    /// Fd.
    pub style_modifier: f64,
    /// d, nominal bore of the valve, m.
    pub bore_m: f64,
    /// D1, inside diameter of the pipe before, m.
    pub pipe_before_m: f64,
    /// D2, inside diameter of the pipe after, m.
    pub pipe_after_m: f64,
}

/// What a flow wants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizing {
    /// C as Kv, m3/h.
    pub kv_m3_h: f64,
    /// Regime.
    pub regime: FlowRegime,
    /// Does the drop exceed the choked one.
    pub choked: bool,
    /// (FLP/FP)²·(P1 − FF·Pv), Pa.
    pub choked_drop_pa: f64,
    /// FF.
    pub critical_ratio_factor: f64,
    /// Rev; 0 without flow.
    pub reynolds: f64,
    /// FR.
    pub reynolds_factor: f64,
    /// FP.
    pub piping_factor: f64,
    /// FLP.
    pub piping_recovery_factor: f64,
    /// `C/d²` over the standard's limit 0.047·N18: above 1 the equations are used beyond their stated scope.
    pub scope_ratio: f64,
}

impl Sizing {
    /// Is the coefficient small enough for its bore for the equations to hold as stated.
    #[must_use]
    pub fn is_within_scope(&self) -> bool {
        self.scope_ratio < 1.0
    }
}

/// Why a valve cannot be sized.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SizingError {
    /// A value out of its range.
    #[error("{what} is {value} {unit}; it must lie between {low} and {high}")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least.
        low: f64,
        /// Most.
        high: f64,
    },
    /// The water boils before the valve.
    #[error(
        "inlet pressure {inlet_pressure_pa:.0} Pa is not above the vapour pressure {vapour_pressure_pa:.0} Pa: steam before the valve"
    )]
    InletBoils {
        /// P1, Pa.
        inlet_pressure_pa: f64,
        /// Pv, Pa.
        vapour_pressure_pa: f64,
    },
    /// No drop to drive the flow.
    #[error("pressure drop over the valve is {drop_pa:.0} Pa: nothing drives the water through it")]
    NoDrop {
        /// P1 − P2, Pa.
        drop_pa: f64,
    },
    /// The valve is larger than its pipe.
    #[error("valve bore {bore_m} m is more than 1.25 times the pipe's inside diameter {pipe_m} m")]
    BoreAbovePipe {
        /// d, m.
        bore_m: f64,
        /// D, m.
        pipe_m: f64,
    },
    /// The reducers alone lose as much as there is.
    #[error(
        "the fittings of a valve of bore {bore_m} m alone take the whole drop at this flow: no coefficient of that bore passes it"
    )]
    FittingsTakeTheDrop {
        /// d, m.
        bore_m: f64,
    },
    /// Too viscous for the bore.
    #[error("flow that is not turbulent: no coefficient of a valve of bore {bore_m} m passes it")]
    TooViscous {
        /// d, m.
        bore_m: f64,
    },
    /// Root finding.
    #[error(transparent)]
    Root(#[from] RootError),
}

/// Cv of a Kv.
#[must_use]
pub fn cv_from_kv(kv_m3_h: f64) -> f64 {
    kv_m3_h * CV_PER_KV
}

/// Kv, m3/h, of a Cv.
#[must_use]
pub fn kv_m3_h_from_cv(cv: f64) -> f64 {
    cv / CV_PER_KV
}

/// Largest Kv, m3/h, that the standard is stated for with a bore: 0.047·N18·d².
#[must_use]
pub fn scope_limit_kv_m3_h(bore_m: f64) -> f64 {
    SCOPE_LIMIT * N18 * (1000.0 * bore_m).powi(2)
}

/// FF, liquid critical pressure ratio factor.
///
/// ```text
/// FF = 0.96 − 0.28·√(Pv/Pc)
/// ```
///
/// **Source:** IEC 60534-2-1:2011, equation 4.
#[must_use]
pub fn critical_ratio_factor(vapour_pressure_pa: f64, critical_pressure_pa: f64) -> f64 {
    0.96 - 0.28 * (vapour_pressure_pa / critical_pressure_pa).sqrt()
}

/// The coefficient that a flow wants.
///
/// ```text
/// C = Q/(N1·FP·FR)·√((ρ1/ρ0)/ΔPs)      ΔPs = min(ΔP, (FLP/FP)²·(P1 − FF·Pv))
/// ```
///
/// `FP` and `FLP` hold `C` themselves. With `Σ` and `ζi` the fittings' coefficients over `N2·d⁴`, both branches solve exactly:
/// `1/C² = N1²·ΔP/((ρ1/ρ0)·Q²) − Σ` and `1/(FL·C)² = N1²·(P1 − FF·Pv)/((ρ1/ρ0)·Q²) − ζi`; the larger C is wanted. Only `FR` needs a root.
///
/// **Source:** IEC 60534-2-1:2011, equations 1 to 4, 15 to 21, A.1 to A.8. **Departures:** head of this file.
/// **Checked by:** `published_annex_examples`, `crosscheck_exact_roots`, `property_continuous_at_the_choke`, and more.
///
/// # Errors
/// [`SizingError`]: input out of range, no drop, steam before the valve, a bore that cannot pass the flow.
pub fn required_kv(flowing: &Flowing, body: &Body) -> Result<Sizing, SizingError> {
    let conditions = flowing.conditions();
    let valve = ValveEquations::new(&conditions, body)?;
    check("flow", flowing.flow_m3_s, "m3/s", 0.0, 1e4)?;
    let flow = 3600.0 * flowing.flow_m3_s;
    if flow == 0.0 {
        return Ok(valve.sizing(0.0, 0.0, 0.0));
    }
    if !(valve.drop > 0.0) {
        return Err(SizingError::NoDrop {
            drop_pa: 1000.0 * valve.drop,
        });
    }
    let per_square = N1 * N1 / (valve.relative_density * flow * flow);
    let free = per_square * valve.drop - valve.fittings;
    let choked =
        valve.recovery * valve.recovery * (per_square * valve.to_vapour - valve.inlet_fittings);
    if !(free > 0.0 && choked > 0.0) {
        return Err(SizingError::FittingsTakeTheDrop {
            bore_m: body.bore_m,
        });
    }
    let effective = 1.0 / free.min(choked).sqrt();
    let kv = valve.kv_of_effective(effective, flow)?;
    Ok(valve.sizing(kv, effective, flow))
}

/// The flow, m3/s, that a coefficient passes: the exact inverse of [`required_kv`], choking, fittings and viscosity included. Explicit where
/// the flow is turbulent.
///
/// **Source and departures:** as [`required_kv`].
/// **Checked by:** `property_flow_is_the_inverse_of_required_kv`, `crosscheck_installed_flow_of_a_fixed_system`.
///
/// # Errors
/// [`SizingError`]: input out of range, a negative drop, steam before the valve, a coefficient far beyond what its bore can pass.
pub fn flow_m3_s(kv_m3_h: f64, conditions: &Conditions, body: &Body) -> Result<f64, SizingError> {
    let valve = ValveEquations::new(conditions, body)?;
    check("Kv", kv_m3_h, "m3/h", 0.0, 1e6)?;
    if !(valve.drop >= 0.0) {
        return Err(SizingError::NoDrop {
            drop_pa: 1000.0 * valve.drop,
        });
    }
    if kv_m3_h == 0.0 || valve.drop == 0.0 {
        return Ok(0.0);
    }
    let turbulent = valve.flow_of_effective(kv_m3_h)?;
    if valve.reynolds(kv_m3_h, turbulent) >= TURBULENT_REYNOLDS {
        return Ok(turbulent / 3600.0);
    }
    let excess = |flow: f64| {
        let (factor, _) = valve.reynolds_factor(kv_m3_h, valve.reynolds(kv_m3_h, flow));
        valve
            .flow_of_effective(factor * kv_m3_h)
            .map_or(f64::NAN, |passed| passed / flow - 1.0)
    };
    let mut low = turbulent;
    while excess(low) <= 0.0 && low > f64::MIN_POSITIVE {
        low *= 0.1;
    }
    if low >= turbulent {
        return Ok(turbulent / 3600.0);
    }
    let high = (10.0 * low).min(turbulent);
    Ok(bracketed_root(excess, low, high, ROOT_TOLERANCE * low)? / 3600.0)
}

pub(super) fn check(
    what: &'static str,
    value: f64,
    unit: &'static str,
    low: f64,
    high: f64,
) -> Result<(), SizingError> {
    if !(low..=high).contains(&value) {
        return Err(SizingError::OutOfRange {
            what,
            value,
            unit,
            low,
            high,
        });
    }
    Ok(())
}

#[cfg(test)]
#[path = "sizing_tests.rs"]
mod tests;
