//! Feedwater through the valve at a travel and a vessel pressure: the installed valve tabulated once, or a straight line.
//!
//! **Source:** [`crate::feedwater::installed`]. **Departures:** between the points of the table the flow is taken as straight in
//! travel and pressure (41 travels; 17 pressures, even in the logarithm); without a described feed system the flow is the travel's
//! share of the stated full flow, whatever the pressure. **Checked by:** `property_table_is_the_installed_valve`.

use super::balance::liquid_enthalpy_j_kg;
use crate::description::Loop;
use crate::feedwater::duties::valve_duties;
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::installed::ValveInSystem;
use crate::feedwater::root::bracketed_root;
use crate::feedwater::sheets::{DutyKind, FeedwaterSheet};
use crate::feedwater::system::System;
use crate::water::{WaterError, saturation_pressure_pa};

const TRAVELS: u32 = 41;
const PRESSURES: usize = 17;
/// Pressure under which the feedwater's enthalpy counts as that at it, Pa.
const LOWEST_FEED_PA: f64 = 1.0e5;

/// The water side as a simulation uses it.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedFlow {
    /// Flow of the full valve at the normal pressure, kg/s.
    full_kg_s: f64,
    table: Option<Table>,
}

#[derive(Debug, Clone, PartialEq)]
struct Table {
    log_low: f64,
    log_step: f64,
    /// A row a pressure, a flow a travel, kg/s.
    rows: Vec<Vec<f64>>,
}

impl FeedFlow {
    /// Tabulates the chosen valve of the sheet between two vessel pressures, Pa; a straight line without a sheet.
    ///
    /// # Errors
    /// [`FeedwaterError`] as the sheet gives.
    pub fn of(
        the_loop: &Loop,
        sheet: Option<&FeedwaterSheet>,
        (low_pa, high_pa): (f64, f64),
        full_kg_s: f64,
    ) -> Result<Self, FeedwaterError> {
        let (Some(system), Some(sheet)) = (&the_loop.feed_system, sheet) else {
            return Ok(Self {
                full_kg_s,
                table: None,
            });
        };
        let duty = valve_duties(the_loop, system)?
            .into_iter()
            .filter(|duty| duty.kind != DutyKind::ShutOff)
            .max_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s))
            .ok_or(FeedwaterError::NoSize)?;
        let size = system
            .valve
            .sizes
            .iter()
            .chain(&system.valve.fitted)
            .find(|size| {
                size.name == sheet.chosen_name
                    && (size.rated_kv_m3_h - sheet.chosen_kv_m3_h).abs() <= 0.0
            })
            .ok_or(FeedwaterError::NoSize)?;
        let recovery = sheet
            .factors
            .iter()
            .find(|factor| factor.symbol == "FL")
            .map(|factor| factor.value)
            .ok_or(FeedwaterError::NoSize)?;
        let (log_low, log_high) = (low_pa.ln(), high_pa.max(1.001 * low_pa).ln());
        let log_step = (log_high - log_low) / (PRESSURES - 1) as f64;
        let rows = (0..PRESSURES)
            .map(|index| {
                let mut duty = duty.clone();
                duty.vessel_pressure_pa = (log_low + log_step * index as f64).exp();
                let at = System::of(the_loop, system, &duty)?;
                let valve = ValveInSystem::new(
                    &at,
                    &system.valve.characteristic,
                    size,
                    recovery,
                    &system.line,
                );
                let flows = valve.flows(TRAVELS)?;
                Ok(flows.iter().map(|(_, at)| at.flow_kg_s).collect())
            })
            .collect::<Result<_, FeedwaterError>>()?;
        Ok(Self {
            full_kg_s,
            table: Some(Table {
                log_low,
                log_step,
                rows,
            }),
        })
    }

    /// Flow of the full valve that percents of flow refer to, kg/s.
    pub const fn full_kg_s(&self) -> f64 {
        self.full_kg_s
    }

    /// Flow at a travel of 0 to 1 and a vessel pressure, kg/s; the shut valve passes nothing.
    pub fn flow_kg_s(&self, travel_ratio: f64, vessel_pressure_pa: f64) -> f64 {
        let travel = travel_ratio.clamp(0.0, 1.0);
        let Some(table) = &self.table else {
            return self.full_kg_s * travel;
        };
        let place = ((vessel_pressure_pa.ln() - table.log_low) / table.log_step)
            .clamp(0.0, (PRESSURES - 1) as f64);
        let row = (place as usize).min(PRESSURES - 2);
        let across = travel * f64::from(TRAVELS - 1);
        let column = (across as usize).min(TRAVELS as usize - 2);
        let part = across - column as f64;
        let along = |row: &[f64]| {
            // Below its first step the valve lifts off its seat: the least it controls is reached from nothing.
            let first = if column == 0 { 0.0 } else { row[column] };
            first + part * (row[column + 1] - first)
        };
        let (low, high) = (along(&table.rows[row]), along(&table.rows[row + 1]));
        low + (place - row as f64) * (high - low)
    }

    /// Travel that passes a flow at a pressure; 1 where the open valve does not.
    pub fn travel_ratio(&self, flow_kg_s: f64, vessel_pressure_pa: f64) -> f64 {
        bracketed_root(
            |travel| self.flow_kg_s(travel, vessel_pressure_pa) - flow_kg_s,
            0.0,
            1.0,
            1e-14,
        )
        .unwrap_or(if flow_kg_s > 0.0 { 1.0 } else { 0.0 })
    }

    /// The same water side with a valve that passes so much more or less at every travel.
    #[must_use]
    pub fn scaled(&self, ratio: f64) -> Self {
        let mut scaled = self.clone();
        scaled.full_kg_s *= ratio;
        for flow in scaled
            .table
            .iter_mut()
            .flat_map(|table| &mut table.rows)
            .flatten()
        {
            *flow *= ratio;
        }
        scaled
    }
}

/// Specific enthalpy of feedwater of one temperature as a straight line over the vessel's pressure.
///
/// Between 0.1 MPa and 3 MPa it bends by less than 1e-5 of its value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FeedEnthalpy {
    from_pa: f64,
    at_from_j_kg: f64,
    j_kg_pa: f64,
}

impl FeedEnthalpy {
    /// Of a temperature, K, up to a pressure, Pa.
    ///
    /// # Errors
    /// [`WaterError`] for a temperature that liquid water does not have.
    pub(super) fn of(temperature_k: f64, highest_pa: f64) -> Result<Self, WaterError> {
        let from_pa = LOWEST_FEED_PA.max(saturation_pressure_pa(temperature_k)?);
        let to_pa = highest_pa.max(2.0 * from_pa);
        let at_from_j_kg = liquid_enthalpy_j_kg(temperature_k, from_pa)?;
        let at_to_j_kg = liquid_enthalpy_j_kg(temperature_k, to_pa)?;
        Ok(Self {
            from_pa,
            at_from_j_kg,
            j_kg_pa: (at_to_j_kg - at_from_j_kg) / (to_pa - from_pa),
        })
    }

    /// At a vessel pressure, Pa, in J/kg.
    pub(super) fn at_j_kg(&self, pressure_pa: f64) -> f64 {
        self.at_from_j_kg + self.j_kg_pa * (pressure_pa - self.from_pa).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::feed_system;
    use crate::feedwater::sheet::feedwater_sheet;

    #[test]
    fn property_table_is_the_installed_valve() {
        let mut described = shell_boiler();
        described.feed_system = Some(feed_system());
        let sheet = feedwater_sheet(&described).unwrap().unwrap();
        let normal = described.pressures.normal.pa();
        let flow = FeedFlow::of(&described, Some(&sheet), (1.2e5, 1.3e6), 1.0).unwrap();
        let largest = sheet
            .duties
            .iter()
            .filter(|duty| duty.kind == DutyKind::Stated)
            .max_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s))
            .unwrap();
        let travel = largest.travel_percent.unwrap() / 100.0;
        let found = flow.flow_kg_s(travel, largest.vessel_pressure_pa);
        assert!(
            (found / largest.flow_kg_s - 1.0).abs() < 5e-3,
            "{found} {}",
            largest.flow_kg_s
        );
        assert!((flow.travel_ratio(found, largest.vessel_pressure_pa) - travel).abs() < 1e-9);
        assert!(flow.flow_kg_s(0.0, normal).abs() <= 0.0);
        assert!(flow.flow_kg_s(0.6, 5e5) > flow.flow_kg_s(0.6, 1e6));
        assert!(
            (flow.travel_ratio(1e3, normal) - 1.0).abs() < 1e-12,
            "the open valve does not pass it"
        );
        assert!(flow.travel_ratio(0.0, normal).abs() < 1e-12);
        let wide = flow.scaled(1.1);
        assert!(
            (wide.flow_kg_s(travel, normal) / flow.flow_kg_s(travel, normal) - 1.1).abs() < 1e-12
        );
    }

    #[test]
    fn property_enthalpy_of_the_feed_is_nearly_straight() {
        for celsius in [15.0, 60.0, 105.0, 150.0] {
            let temperature_k = celsius + 273.15;
            let line = FeedEnthalpy::of(temperature_k, 3e6).unwrap();
            for pressure_pa in [1e3, 1.2e5, 5e5, 1.3e6, 3e6] {
                let expected = liquid_enthalpy_j_kg(temperature_k, pressure_pa).unwrap();
                let found = line.at_j_kg(pressure_pa);
                assert!((found - expected).abs() < 120.0, "{found} {expected}");
            }
        }
        assert!(FeedEnthalpy::of(f64::NAN, 1e6).is_err());
    }
}
