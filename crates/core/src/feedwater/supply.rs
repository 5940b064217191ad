//! What the supply gives at a flow: pumps with their curve, or a header with its droop.
//!
//! ```text
//! one pump     H(q): parabola through three points, monotone cubic through more
//! its flow     q = (w + w_other)/(ρ·n) + q_recirculated
//! recirculated continuous: q0·√(H(q)/H(0)) ; automatic: what is missing to the smallest flow
//! pressure     p = p_surface + ρ·g·(z + H(q)) − suction loss
//! NPSH         (p_surface − p_v)/(ρ·g) + z − suction loss/(ρ·g)
//! speed        H(q, s) = s²·H(q/s)
//! header       p = p0 − droop·(w/w_droop)²
//! ```
//!
//! | symbol | name                                       | unit  |
//! |--------|--------------------------------------------|-------|
//! | q, H   | flow and head of one pump                  | m3/s, m |
//! | n      | pumps running                              | -     |
//! | w, w_other | flow to this vessel and to the others  | kg/s  |
//! | z      | water surface above the pump's centre      | m     |
//! | s      | speed over rated speed                     | -     |
//!
//! **Source:** hydrostatics; Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 for the monotone cubic; affinity laws.
//! **Departures:** past its last point the curve goes on as H = A − B·q² with the value and slope it ends with; a duty there is told.
//! **Checked by:** `published_affinity_laws`, `published_npsh_with_lift`, `property_curve_passes_its_points`.

use crate::description::feed_system::{Header, Pump, Recirculation, ReferenceDrop, Supply};
use crate::feedwater::error::SupplyError;
use crate::feedwater::pump_curve::PumpCurve;

/// The supply with its water known.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// Pumps.
    Pumps(Pumps),
    /// Header: pressure at no flow, Pa, and Pa per (kg/s)² that it loses.
    Header {
        /// Pa, absolute.
        pressure_pa: f64,
        /// Pa per (kg/s)².
        droop_pa_s2_kg2: f64,
    },
}

/// Pumps in parallel.
#[derive(Debug, Clone, PartialEq)]
pub struct Pumps {
    /// Curve of one.
    pub curve: PumpCurve,
    running: f64,
    density_kg_m3: f64,
    gravity_m_s2: f64,
    surface_pa: f64,
    surface_above_m: f64,
    suction_pa_s2_kg2: f64,
    recirculation: Recirculation,
    minimum_flow_m3_s: f64,
    shut_off_head_m: f64,
    npsh_required: Vec<(f64, f64)>,
    /// Water to other vessels, kg/s.
    pub other_kg_s: f64,
}

/// The supply at a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtSupply {
    /// Pressure, absolute, Pa.
    pub pressure_pa: f64,
    /// Its slope over the flow, Pa per kg/s.
    pub slope_pa_s_kg: f64,
    /// Flow of each pump, m3/s.
    pub pump_flow_m3_s: Option<f64>,
    /// Head, m.
    pub head_m: Option<f64>,
}

fn check(
    what: &'static str,
    value: f64,
    unit: &'static str,
    is_sound: bool,
) -> Result<(), SupplyError> {
    if is_sound && value.is_finite() {
        Ok(())
    } else {
        Err(SupplyError::Impossible { what, value, unit })
    }
}

fn square(drop: ReferenceDrop) -> Result<f64, SupplyError> {
    check(
        "a reference flow",
        drop.flow_kg_s,
        "kg/s",
        drop.flow_kg_s > 0.0,
    )?;
    check("a reference drop", drop.drop_pa, "Pa", drop.drop_pa >= 0.0)?;
    Ok(drop.drop_pa / (drop.flow_kg_s * drop.flow_kg_s))
}

impl Source {
    /// The supply with water of a density.
    ///
    /// # Errors
    /// [`SupplyError`].
    pub fn of(supply: &Supply, density_kg_m3: f64, gravity_m_s2: f64) -> Result<Self, SupplyError> {
        match supply {
            Supply::Pump(pump) => Ok(Self::Pumps(Pumps::of(pump, density_kg_m3, gravity_m_s2)?)),
            Supply::Header(Header { pressure, droop }) => {
                check(
                    "a header pressure",
                    pressure.pa(),
                    "Pa",
                    pressure.pa() > 0.0,
                )?;
                Ok(Self::Header {
                    pressure_pa: pressure.pa(),
                    droop_pa_s2_kg2: droop.map_or(Ok(0.0), square)?,
                })
            }
        }
    }

    /// Water that flows to others, kg/s.
    pub fn other_kg_s(&self) -> f64 {
        match self {
            Self::Pumps(pumps) => pumps.other_kg_s,
            Self::Header { .. } => 0.0,
        }
    }

    /// What it gives when this flow goes to the vessel.
    pub fn at_flow(&self, flow_kg_s: f64) -> AtSupply {
        match self {
            Self::Pumps(pumps) => pumps.at_flow(flow_kg_s),
            Self::Header {
                pressure_pa,
                droop_pa_s2_kg2,
            } => AtSupply {
                pressure_pa: pressure_pa - droop_pa_s2_kg2 * flow_kg_s * flow_kg_s,
                slope_pa_s_kg: -2.0 * droop_pa_s2_kg2 * flow_kg_s,
                pump_flow_m3_s: None,
                head_m: None,
            },
        }
    }
}

impl Pumps {
    fn of(pump: &Pump, density_kg_m3: f64, gravity_m_s2: f64) -> Result<Self, SupplyError> {
        if pump.running == 0 {
            return Err(SupplyError::NoPumpRuns);
        }
        let curve = PumpCurve::through(&pump.curve)?;
        let (shut_off_head_m, _) = curve.head(0.0);
        check(
            "a head at no flow",
            shut_off_head_m,
            "m",
            shut_off_head_m > 0.0,
        )?;
        let minimum_flow_m3_s = pump.minimum_flow_m3_s.unwrap_or(0.0);
        check(
            "a smallest flow",
            minimum_flow_m3_s,
            "m3/s",
            minimum_flow_m3_s >= 0.0,
        )?;
        if let Recirculation::Continuous { flow_m3_s } = pump.recirculation {
            check("a recirculated flow", flow_m3_s, "m3/s", flow_m3_s >= 0.0)?;
        }
        let surface_pa = pump.suction_surface.pa();
        check(
            "a pressure on the water drawn",
            surface_pa,
            "Pa",
            surface_pa > 0.0,
        )?;
        check(
            "a suction height",
            pump.suction_surface_above_pump_m,
            "m",
            true,
        )?;
        check(
            "a flow to others",
            pump.other_flow_kg_s,
            "kg/s",
            pump.other_flow_kg_s >= 0.0,
        )?;
        Ok(Self {
            curve,
            running: f64::from(pump.running),
            density_kg_m3,
            gravity_m_s2,
            surface_pa,
            surface_above_m: pump.suction_surface_above_pump_m,
            suction_pa_s2_kg2: pump.suction_loss.map_or(Ok(0.0), square)?,
            recirculation: pump.recirculation,
            minimum_flow_m3_s,
            shut_off_head_m,
            npsh_required: pump
                .curve
                .iter()
                .filter_map(|point| Some((point.flow_m3_s, point.npsh_required_m?)))
                .collect(),
            other_kg_s: pump.other_flow_kg_s,
        })
    }

    /// Flow of each pump, m3/s, and its slope over what goes forward.
    fn pump_flow(&self, forward_m3_s: f64) -> (f64, f64) {
        match self.recirculation {
            Recirculation::None => (forward_m3_s, 1.0),
            Recirculation::Automatic if forward_m3_s < self.minimum_flow_m3_s => {
                (self.minimum_flow_m3_s, 0.0)
            }
            Recirculation::Automatic => (forward_m3_s, 1.0),
            Recirculation::Continuous { flow_m3_s } => {
                let mut q = forward_m3_s + flow_m3_s;
                let mut steepness = 1.0;
                for _ in 0..50 {
                    let (head_m, slope) = self.curve.head(q);
                    let root = (head_m.max(0.0) / self.shut_off_head_m).sqrt();
                    let growth = if root > 0.0 {
                        flow_m3_s * slope / (2.0 * root * self.shut_off_head_m)
                    } else {
                        0.0
                    };
                    // A drooping curve may make the growth positive, never near 1.
                    steepness = (1.0 - growth).max(0.5);
                    let step = (q - forward_m3_s - flow_m3_s * root) / steepness;
                    q -= step;
                    if step.abs() <= 1e-15 * q.abs() {
                        break;
                    }
                }
                (q, 1.0 / steepness)
            }
        }
    }

    fn at_flow(&self, flow_kg_s: f64) -> AtSupply {
        let per_kg = 1.0 / (self.density_kg_m3 * self.running);
        let (pump_flow_m3_s, growth) = self.pump_flow((flow_kg_s + self.other_kg_s) * per_kg);
        let (head_m, slope) = self.curve.head(pump_flow_m3_s);
        let weight = self.density_kg_m3 * self.gravity_m_s2;
        let drawn_kg_s = pump_flow_m3_s / per_kg;
        AtSupply {
            pressure_pa: self.surface_pa + weight * (self.surface_above_m + head_m)
                - self.suction_pa_s2_kg2 * drawn_kg_s * drawn_kg_s,
            slope_pa_s_kg: growth
                * (weight * slope * per_kg - 2.0 * self.suction_pa_s2_kg2 * drawn_kg_s),
            pump_flow_m3_s: Some(pump_flow_m3_s),
            head_m: Some(head_m),
        }
    }

    /// NPSH available at a flow of each pump, m, with water of this vapour pressure.
    pub fn npsh_available_m(&self, pump_flow_m3_s: f64, vapour_pressure_pa: f64) -> f64 {
        let drawn_kg_s = pump_flow_m3_s * self.running * self.density_kg_m3;
        (self.surface_pa - vapour_pressure_pa - self.suction_pa_s2_kg2 * drawn_kg_s * drawn_kg_s)
            / (self.density_kg_m3 * self.gravity_m_s2)
            + self.surface_above_m
    }

    /// NPSH required at a flow of each pump, m: straight between the points that give it, the first one's below them; `None` past
    /// the last.
    pub fn npsh_required_m(&self, pump_flow_m3_s: f64) -> Option<f64> {
        let points = &self.npsh_required;
        let (first, last) = (points.first()?, points.last()?);
        if pump_flow_m3_s <= first.0 {
            return Some(first.1);
        }
        if !(pump_flow_m3_s <= last.0) {
            return None;
        }
        let i = points
            .partition_point(|point| point.0 < pump_flow_m3_s)
            .max(1);
        let ((q0, n0), (q1, n1)) = (points[i - 1], points[i]);
        Some(n0 + (n1 - n0) * (pump_flow_m3_s - q0) / (q1 - q0))
    }

    /// Share of rated speed at which this flow leaves with this pressure; `None` above twice rated speed.
    pub fn speed_ratio(&self, flow_kg_s: f64, pressure_pa: f64) -> Option<f64> {
        let forward = (flow_kg_s + self.other_kg_s) / (self.density_kg_m3 * self.running);
        let weight = self.density_kg_m3 * self.gravity_m_s2;
        // Recirculation follows the head, and the head is nearly known: two rounds settle the suction loss.
        let mut flow = forward;
        let mut head_m = 0.0;
        for _ in 0..20 {
            let drawn = flow * self.running * self.density_kg_m3;
            head_m = (pressure_pa - self.surface_pa + self.suction_pa_s2_kg2 * drawn * drawn)
                / weight
                - self.surface_above_m;
            flow = match self.recirculation {
                Recirculation::None => forward,
                Recirculation::Automatic => forward.max(self.minimum_flow_m3_s),
                Recirculation::Continuous { flow_m3_s } => {
                    forward + flow_m3_s * (head_m.max(0.0) / self.shut_off_head_m).sqrt()
                }
            };
        }
        self.curve.speed_ratio(flow, head_m)
    }
}

#[cfg(test)]
#[path = "supply_tests.rs"]
mod tests;
