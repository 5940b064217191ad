//! Supply and line at one duty's pressures: what stands before and after the valve at a flow.
//!
//! ```text
//! P1 = P_supply(w) − ρs·g·z_v − friction before(w)
//! P2 = P_vessel + ρv·g·(z_in − z_v) + friction after(w)
//! ```
//!
//! | symbol | name                                        | unit  |
//! |--------|---------------------------------------------|-------|
//! | w      | flow through the valve                      | kg/s  |
//! | z_v, z_in | valve and inlet above the supply         | m     |
//! | ρs, ρv | density at the supply and at the valve      | kg/m3 |
//!
//! **Source:** hydrostatics, see the supply and friction for the rest. **Departures:** densities at the supply's pressure without
//! flow: pressure changes them by less than 0.05 % a MPa. The part after an economiser stands at the valve's density.
//! **Checked by:** `property_drops_close`, `published_pumping_to_a_height`, `crosscheck_flow_from_a_reservoir`.

use crate::description::Loop;
use crate::description::feed_system::{FeedSystem, Supply, ValveSide};
use crate::feedwater::duties::ValveDuty;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::friction::{Drop, Friction, PipeFlow};
use crate::feedwater::supply::{AtSupply, Source};
use crate::water::{compressed_water_density_kg_m3, saturation_pressure_pa, water_viscosity_pa_s};

/// A part of the line, its water known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its friction.
    pub friction: Friction,
    /// Does it carry what others draw too.
    pub shared: bool,
}

/// Supply and line at one duty's pressures.
#[derive(Debug, Clone, PartialEq)]
pub struct System {
    /// Supply.
    pub source: Source,
    /// Line before the valve.
    pub before: Vec<Part>,
    /// Line after it.
    pub after: Vec<Part>,
    /// Weight of the column before the valve, Pa.
    pub static_before_pa: f64,
    /// After it, Pa.
    pub static_after_pa: f64,
    /// Vessel, absolute, Pa.
    pub vessel_pressure_pa: f64,
    /// Density at the supply, kg/m3.
    pub supply_density_kg_m3: f64,
    /// Density at the valve, kg/m3.
    pub density_kg_m3: f64,
    /// Vapour pressure at the valve, Pa.
    pub vapour_pressure_pa: f64,
    /// Vapour pressure at the supply, Pa.
    pub supply_vapour_pressure_pa: f64,
    /// Kinematic viscosity at the valve, m2/s.
    pub kinematic_viscosity_m2_s: f64,
}

/// What stands at the valve at a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtValve {
    /// Supply.
    pub supply: AtSupply,
    /// Friction before and after, Pa.
    pub friction_pa: (f64, f64),
    /// P1, absolute, Pa.
    pub inlet_pressure_pa: f64,
    /// P2, absolute, Pa.
    pub outlet_pressure_pa: f64,
    /// P1 − P2, Pa.
    pub drop_pa: f64,
    /// dP1/dw, Pa per kg/s.
    pub inlet_slope_pa_s_kg: f64,
    /// d(P1 − P2)/dw, Pa per kg/s.
    pub drop_slope_pa_s_kg: f64,
}

impl System {
    /// The system at a duty.
    ///
    /// # Errors
    /// [`FeedwaterError`].
    pub fn of(
        the_loop: &Loop,
        system: &FeedSystem,
        duty: &ValveDuty,
    ) -> Result<Self, FeedwaterError> {
        let water = |source| FeedwaterError::Water {
            duty: duty.name.clone(),
            source,
        };
        let gravity = the_loop.site.gravity_m_s2;
        // Pressure without flow, first with 1000 kg/m3: only the densities' pressure hangs on it.
        let pressure_pa = match &system.supply {
            Supply::Pump(_) => {
                Source::of(&system.supply, 1000.0, gravity)?
                    .at_flow(0.0)
                    .pressure_pa
            }
            Supply::Header(header) => header.pressure.pa(),
        };
        let density = |temperature_k| {
            compressed_water_density_kg_m3(temperature_k, pressure_pa).map_err(water)
        };
        let viscosity =
            |temperature_k| water_viscosity_pa_s(temperature_k, pressure_pa).map_err(water);
        let supply_density_kg_m3 = density(duty.supply_temperature_k)?;
        let density_kg_m3 = density(duty.valve_temperature_k)?;
        let source = Source::of(&system.supply, supply_density_kg_m3, gravity)?;
        let line = &system.line;
        for (part, value) in [
            ("valve", line.valve_above_supply_m),
            ("inlet", line.inlet_above_supply_m),
        ] {
            if !value.is_finite() {
                return Err(FeedwaterError::Part {
                    part: part.into(),
                    what: "a height above the supply",
                    value,
                    unit: "m",
                });
            }
        }
        let mut sides = (Vec::new(), Vec::new());
        for part in &line.parts {
            // A part that heats is reckoned with the water that leaves it towards the vessel's side of the mean: its entry.
            let temperature_k = match part.side {
                ValveSide::Before => duty.supply_temperature_k,
                ValveSide::After => duty.valve_temperature_k,
            };
            let friction = Friction::of(part, density(temperature_k)?, viscosity(temperature_k)?)?;
            let side = match part.side {
                ValveSide::Before => &mut sides.0,
                ValveSide::After => &mut sides.1,
            };
            side.push(Part {
                friction,
                shared: part.shared,
            });
        }
        Ok(Self {
            source,
            before: sides.0,
            after: sides.1,
            static_before_pa: supply_density_kg_m3 * gravity * line.valve_above_supply_m,
            static_after_pa: density_kg_m3
                * gravity
                * (line.inlet_above_supply_m - line.valve_above_supply_m),
            vessel_pressure_pa: duty.vessel_pressure_pa,
            supply_density_kg_m3,
            density_kg_m3,
            vapour_pressure_pa: saturation_pressure_pa(duty.valve_temperature_k).map_err(water)?,
            supply_vapour_pressure_pa: saturation_pressure_pa(duty.supply_temperature_k)
                .map_err(water)?,
            kinematic_viscosity_m2_s: viscosity(duty.valve_temperature_k)? / density_kg_m3,
        })
    }

    fn side(&self, parts: &[Part], flow_kg_s: f64) -> Drop {
        let mut sum = Drop {
            drop_pa: 0.0,
            slope_pa_s_kg: 0.0,
        };
        for part in parts {
            let through = if part.shared {
                flow_kg_s + self.source.other_kg_s()
            } else {
                flow_kg_s
            };
            let drop = part.friction.drop(through);
            sum.drop_pa += drop.drop_pa;
            sum.slope_pa_s_kg += drop.slope_pa_s_kg;
        }
        sum
    }

    /// What stands at the valve at a flow of 0 or more, kg/s.
    pub fn at_flow(&self, flow_kg_s: f64) -> AtValve {
        let supply = self.source.at_flow(flow_kg_s);
        let before = self.side(&self.before, flow_kg_s);
        let after = self.side(&self.after, flow_kg_s);
        let inlet_pressure_pa = supply.pressure_pa - self.static_before_pa - before.drop_pa;
        let outlet_pressure_pa = self.vessel_pressure_pa + self.static_after_pa + after.drop_pa;
        let inlet_slope_pa_s_kg = supply.slope_pa_s_kg - before.slope_pa_s_kg;
        AtValve {
            supply,
            friction_pa: (before.drop_pa, after.drop_pa),
            inlet_pressure_pa,
            outlet_pressure_pa,
            drop_pa: inlet_pressure_pa - outlet_pressure_pa,
            inlet_slope_pa_s_kg,
            drop_slope_pa_s_kg: inlet_slope_pa_s_kg - after.slope_pa_s_kg,
        }
    }

    /// Pressure that the supply must give for a flow with this drop left for the valve, Pa.
    pub fn pressure_wanted_pa(&self, flow_kg_s: f64, valve_drop_pa: f64) -> f64 {
        let before = self.side(&self.before, flow_kg_s).drop_pa;
        let after = self.side(&self.after, flow_kg_s).drop_pa;
        self.vessel_pressure_pa
            + self.static_before_pa
            + self.static_after_pa
            + before
            + after
            + valve_drop_pa
    }

    /// Does any pipe with data flow in transition, where its friction is not known.
    pub fn has_transition(&self, flow_kg_s: f64) -> bool {
        self.before
            .iter()
            .chain(&self.after)
            .any(|part| part.friction.pipe_flow(flow_kg_s) == Some(PipeFlow::Transition))
    }
}

#[cfg(test)]
#[path = "system_tests.rs"]
mod tests;
