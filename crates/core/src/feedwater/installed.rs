//! The valve in its system: flow and gain over travel, both solved together.
//!
//! ```text
//! free      F(w, h) = ΔP(w) − a·w²·(1/C(h)² + Σ)
//! choked    F(w, h) = P1(w) − FF·Pv − a·w²·(1/(FL·C(h))² + ζi)
//! flow      the smaller root w of the two
//! slope     dw/dh = −(∂F/∂h)/(∂F/∂w) of the one that governs
//! a         relative density·(3600/ρ)²/N1²
//! ```
//!
//! | symbol | name                                                  | unit    |
//! |--------|-------------------------------------------------------|---------|
//! | w, h   | flow, travel                                          | kg/s, - |
//! | C      | flow coefficient at the travel                        | m3/h    |
//! | Σ, ζi  | coefficients of all fittings and of those before, over N2·d⁴ | h2/m6 |
//!
//! **Source:** IEC 60534-2-1:2011 for the valve; implicit differentiation. **Departures:** the flow counts as turbulent: where the valve
//! Reynolds number falls below 10 000 the true flow is a little smaller; the duties, sized in full, say so.
//! **Checked by:** `published_installed_characteristic`, `property_gain_is_the_difference`, `property_flow_rises_with_travel_and_size`.

use crate::description::feed_system::{Characteristic, Line, ValveSize};
use crate::feedwater::characteristic::CharacteristicError;
use crate::feedwater::sheets::{Installed, InstalledPoint};
use crate::feedwater::sizing::{REFERENCE_DENSITY_KG_M3, critical_ratio_factor};
use crate::feedwater::system::System;
use crate::feedwater::valve_equations::{N1, N2, fittings_loss};
use crate::water::CRITICAL_PRESSURE_PA;

/// Points of a curve, both ends counted.
pub const CURVE_POINTS: u32 = 21;

/// Points between two flows at which the gain is read for its spread.
const SPREAD_POINTS: u32 = 41;

/// A last step of Newton's that leaves its own square as the error.
const LAST_STEP_RATIO: f64 = 1e-6;

/// Travel below which a valve is not left to control, ratio (common practice: 10 %).
pub const LEAST_TRAVEL_RATIO: f64 = 0.1;

/// A size in a system.
#[derive(Debug, Clone, Copy)]
pub struct ValveInSystem<'a> {
    system: &'a System,
    characteristic: &'a Characteristic,
    rated_kv_m3_h: f64,
    recovery_factor: f64,
    fittings: f64,
    inlet_fittings: f64,
    /// a, Pa·(m3/h)²/(kg/s)².
    per_square: f64,
    /// FF·Pv, Pa.
    vapour_pa: f64,
}

/// Flow and its slope at a travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowAt {
    /// Flow, kg/s.
    pub flow_kg_s: f64,
    /// d(flow)/d(travel fraction), kg/s.
    pub slope_kg_s: f64,
}

/// What governs at a flow: value and slope of F, and what 1/C² is multiplied with.
struct Residual {
    value: f64,
    slope: f64,
    per_inverse_square: f64,
}

impl<'a> ValveInSystem<'a> {
    /// A size of a valve with its FL in a system.
    pub fn new(
        system: &'a System,
        characteristic: &'a Characteristic,
        size: &ValveSize,
        recovery_factor: f64,
        line: &Line,
    ) -> Self {
        let (all, inlet) = fittings_loss(
            size.bore_m,
            line.pipe_before_valve_m,
            line.pipe_after_valve_m,
        );
        let per_loss = 1.0 / (N2 * (1000.0 * size.bore_m).powi(4));
        let relative_density = system.density_kg_m3 / REFERENCE_DENSITY_KG_M3;
        // N1 takes kPa.
        let per_square = 1000.0 * relative_density * (3600.0 / (system.density_kg_m3 * N1)).powi(2);
        Self {
            system,
            characteristic,
            rated_kv_m3_h: size.rated_kv_m3_h,
            recovery_factor,
            fittings: all * per_loss,
            inlet_fittings: inlet * per_loss,
            per_square,
            vapour_pa: critical_ratio_factor(system.vapour_pressure_pa, CRITICAL_PRESSURE_PA)
                * system.vapour_pressure_pa,
        }
    }

    fn residual(&self, flow_kg_s: f64, inverse_square: f64) -> Residual {
        let at = self.system.at_flow(flow_kg_s);
        let twice = 2.0 * self.per_square * flow_kg_s;
        let square = 0.5 * twice * flow_kg_s;
        let free = inverse_square + self.fittings;
        let free_value = at.drop_pa - square * free;
        let per_recovery = 1.0 / (self.recovery_factor * self.recovery_factor);
        let choked = inverse_square * per_recovery + self.inlet_fittings;
        let choked_value = at.inlet_pressure_pa - self.vapour_pa - square * choked;
        if free_value <= choked_value {
            Residual {
                value: free_value,
                slope: at.drop_slope_pa_s_kg - twice * free,
                per_inverse_square: 1.0,
            }
        } else {
            Residual {
                value: choked_value,
                slope: at.inlet_slope_pa_s_kg - twice * choked,
                per_inverse_square: per_recovery,
            }
        }
    }

    /// Flow and slope at a travel of 0 to 1; no flow where the supply does not reach the vessel.
    ///
    /// # Errors
    /// [`CharacteristicError`].
    pub fn flow(&self, travel: f64) -> Result<FlowAt, CharacteristicError> {
        let (share, share_slope) = self.characteristic.value_and_slope(travel)?;
        Ok(self.flow_at_coefficient(share, share_slope, self.start_kg_s(share)))
    }

    /// A flow above the root for most systems: all of the drop without flow over the valve.
    fn start_kg_s(&self, share: f64) -> f64 {
        let kv = share * self.rated_kv_m3_h;
        let drop = self.system.at_flow(0.0).drop_pa.max(0.0);
        (drop / (self.per_square * (1.0 / (kv * kv) + self.fittings.max(0.0)))).sqrt()
    }

    /// Does the valve pass more than this flow at a share of its rated coefficient.
    pub fn passes(&self, flow_kg_s: f64, share: f64) -> bool {
        let kv = share * self.rated_kv_m3_h;
        self.residual(flow_kg_s, 1.0 / (kv * kv)).value > 0.0
    }

    /// Drop over the open valve at a flow that does not choke it, Pa.
    pub fn open_drop_pa(&self, flow_kg_s: f64) -> f64 {
        let inverse_square = 1.0 / (self.rated_kv_m3_h * self.rated_kv_m3_h);
        self.per_square * flow_kg_s * flow_kg_s * (inverse_square + self.fittings)
    }

    fn flow_at_coefficient(&self, share: f64, share_slope: f64, start_kg_s: f64) -> FlowAt {
        let none = FlowAt {
            flow_kg_s: 0.0,
            slope_kg_s: 0.0,
        };
        let kv = share * self.rated_kv_m3_h;
        if !(kv > 0.0 && start_kg_s > 0.0 && self.residual(0.0, 0.0).value > 0.0) {
            return none;
        }
        let inverse_square = 1.0 / (kv * kv);
        let (mut low, mut high) = (0.0, f64::INFINITY);
        let mut flow = start_kg_s;
        let mut residual = self.residual(flow, inverse_square);
        for _ in 0..100 {
            if residual.value > 0.0 {
                low = flow;
            } else {
                high = flow;
            }
            // Newton; what leaves the bracket is halved or doubled instead.
            let newton = flow - residual.value / residual.slope;
            let next = if newton > low && newton < high {
                newton
            } else if high.is_finite() {
                0.5 * (low + high)
            } else {
                2.0 * flow
            };
            let step = (next - flow).abs();
            flow = next;
            residual = self.residual(flow, inverse_square);
            if step <= LAST_STEP_RATIO * flow {
                break;
            }
        }
        // The step after the last, which the slope below needs anyway, squares what is left.
        flow -= residual.value / residual.slope;
        // ∂F/∂h = 2·a·w²·C'/C³, over FL² where choked.
        let by_travel = 2.0 * self.per_square * flow * flow * inverse_square * share_slope / share
            * residual.per_inverse_square;
        FlowAt {
            flow_kg_s: flow,
            slope_kg_s: -by_travel / residual.slope,
        }
    }

    /// Flow over travel from shut to open at even steps.
    ///
    /// # Errors
    /// [`CharacteristicError`].
    pub fn flows(&self, points: u32) -> Result<Vec<(f64, FlowAt)>, CharacteristicError> {
        self.flows_between((0.0, 1.0), points)
    }

    /// Flow over travel at even steps, each solve started where the curve before it points.
    fn flows_between(
        &self,
        (first, last): (f64, f64),
        points: u32,
    ) -> Result<Vec<(f64, FlowAt)>, CharacteristicError> {
        let mut flows: Vec<(f64, FlowAt)> = Vec::with_capacity(points as usize);
        let steps = f64::from(points.max(2) - 1);
        let step = (last - first) / steps;
        for index in 0..points.max(2) {
            let travel = first + (last - first) * f64::from(index) / steps;
            let (share, share_slope) = self.characteristic.value_and_slope(travel)?;
            let start = match flows.last() {
                // By the logarithm: an equal percentage valve with the whole drop is a straight line there.
                Some((_, before)) if before.flow_kg_s > 0.0 => {
                    before.flow_kg_s * (step * before.slope_kg_s / before.flow_kg_s).exp()
                }
                _ => self.start_kg_s(share),
            };
            flows.push((travel, self.flow_at_coefficient(share, share_slope, start)));
        }
        Ok(flows)
    }

    /// The installed characteristic; gain spread between the travels of two flows, smallest and largest, kg/s.
    ///
    /// # Errors
    /// [`CharacteristicError`].
    pub fn installed(&self, between_kg_s: (f64, f64)) -> Result<Installed, CharacteristicError> {
        let flows = self.flows(CURVE_POINTS)?;
        let full_flow_kg_s = flows.last().map_or(0.0, |(_, at)| at.flow_kg_s);
        let gain = |at: FlowAt| {
            if full_flow_kg_s > 0.0 {
                at.slope_kg_s / full_flow_kg_s
            } else {
                0.0
            }
        };
        let curve: Vec<InstalledPoint> = flows
            .iter()
            .map(|(travel, at)| InstalledPoint {
                travel_percent: 100.0 * travel,
                flow_kg_s: at.flow_kg_s,
                gain_ratio: gain(*at),
            })
            .collect();
        let low = self.travel_of(between_kg_s.0)?.unwrap_or(0.0);
        let high = self.travel_of(between_kg_s.1)?.unwrap_or(1.0);
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for (_, at) in self.flows_between((low, high), SPREAD_POINTS)? {
            least = least.min(gain(at));
            most = most.max(gain(at));
        }
        let least_flow = self.flow(LEAST_TRAVEL_RATIO)?.flow_kg_s;
        let drop_when_shut = self.system.at_flow(0.0).drop_pa;
        Ok(Installed {
            curve,
            full_flow_kg_s,
            gain_spread_ratio: if least > 0.0 { most / least } else { 1.0 },
            turndown_ratio: if least_flow > 0.0 {
                full_flow_kg_s / least_flow
            } else {
                1.0
            },
            authority_ratio: if drop_when_shut > 0.0 {
                self.system.at_flow(full_flow_kg_s).drop_pa / drop_when_shut
            } else {
                0.0
            },
        })
    }

    /// Travel that passes a flow: `None` where the open valve does not; 0 where the shut one's least coefficient passes more.
    fn travel_of(&self, flow_kg_s: f64) -> Result<Option<f64>, CharacteristicError> {
        if !(flow_kg_s > 0.0) {
            return Ok(Some(0.0));
        }
        // F = 0 solved for 1/C², which needs no search.
        let at = self.system.at_flow(flow_kg_s);
        let square = self.per_square * flow_kg_s * flow_kg_s;
        let free = at.drop_pa / square - self.fittings;
        let choked = ((at.inlet_pressure_pa - self.vapour_pa) / square - self.inlet_fittings)
            * self.recovery_factor
            * self.recovery_factor;
        let share = free.min(choked).sqrt().recip() / self.rated_kv_m3_h;
        if !(share <= 1.0) {
            return Ok(None);
        }
        if share <= self.characteristic.least_coefficient() {
            return Ok(Some(0.0));
        }
        self.characteristic.travel(share).map(Some)
    }
}

#[cfg(test)]
#[path = "installed_tests.rs"]
mod tests;
