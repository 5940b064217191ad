//! The cell in service: the differential of the pressure of that moment, its current with a lag, and what the panel says.
//!
//! Legs stand at the temperatures of the survey unless the scenario says otherwise. Between pressures 1 % apart the differential is
//! taken as straight: densities bend by less than 1e-5 of their value over so little.
//!
//! **Source:** [`crate::measurement::cell`]; first-order lag. **Checked by:** `property_signal_is_the_cell_equation`.

use std::collections::BTreeMap;

use crate::description::Loop;
use crate::measurement::MeasurementError;
use crate::measurement::cell::{CellAt, Geometry, percent_of_range};
use crate::measurement::condition;
use crate::measurement::sheets::{Condition, Range};
use crate::measurement::signal;
use crate::quantity::{AbsolutePressure, IndicatedLevel, TrueLevel};

/// ln of the ratio of neighbouring pressures of the table.
const LOG_STEP: f64 = 0.01;

/// The transmitter and its lag.
#[derive(Debug, Clone)]
pub struct CellSignal<'a> {
    described: &'a Loop,
    geometry: Geometry,
    range: Range,
    reference_leg_k: f64,
    /// Lost: the current of a broken wire or a dead cell.
    pub lost: bool,
    current_ma: f64,
    nodes: BTreeMap<i32, (f64, f64)>,
}

impl<'a> CellSignal<'a> {
    /// A cell of this range that has long seen this vessel.
    ///
    /// # Errors
    /// [`MeasurementError`] as the range sheet gives.
    pub fn at_rest(
        described: &'a Loop,
        range: Range,
        (pressure_pa, water_k, boiling): (f64, f64, bool),
        level: TrueLevel,
    ) -> Result<Self, MeasurementError> {
        let mut cell = Self {
            described,
            geometry: Geometry::of(described)?,
            range,
            reference_leg_k: condition::described_leg_k(described),
            lost: false,
            current_ma: 0.0,
            nodes: BTreeMap::new(),
        };
        cell.current_ma = cell.wanted_ma((pressure_pa, water_k, boiling), level)?;
        Ok(cell)
    }

    /// Changes the mean temperature of the reference leg, K.
    pub fn set_leg_temperature(&mut self, reference_leg_k: f64) {
        self.reference_leg_k = reference_leg_k;
        self.nodes.clear();
    }

    fn at(&self, pressure_pa: f64, water_k: f64) -> Result<CellAt, MeasurementError> {
        let condition = Condition {
            name: String::new(),
            pressure: AbsolutePressure::from_pa(pressure_pa),
            water_k,
            reference_leg_k: self.reference_leg_k,
        };
        let (densities, _) = condition::densities(self.described, &condition)?;
        Ok(CellAt {
            geometry: self.geometry,
            densities,
        })
    }

    /// Differential at the lowest level and its rise a metre, at a pressure of the table.
    fn node(&mut self, index: i32) -> Result<(f64, f64), MeasurementError> {
        if let Some(node) = self.nodes.get(&index) {
            return Ok(*node);
        }
        let pressure_pa = (f64::from(index) * LOG_STEP).exp();
        let water_k = crate::water::saturation_temperature_k(pressure_pa)?;
        let node = self.line(&self.at(pressure_pa, water_k)?)?;
        self.nodes.insert(index, node);
        Ok(node)
    }

    fn line(&self, cell: &CellAt) -> Result<(f64, f64), MeasurementError> {
        let low_m = self.geometry.lowest_m;
        let low = cell.differential_pa(TrueLevel::from_m(low_m))?;
        let above = cell.differential_pa(TrueLevel::from_m(low_m + 0.1))?;
        Ok((low, (above - low) / 0.1))
    }

    /// Differential at a vessel's state and TRUE level, Pa. Beyond its taps the cell weighs no more and no less.
    ///
    /// # Errors
    /// [`MeasurementError`] for a pressure without densities.
    pub fn differential_pa(
        &mut self,
        (pressure_pa, water_k, boiling): (f64, f64, bool),
        level: TrueLevel,
    ) -> Result<f64, MeasurementError> {
        let weighed_m = level
            .m()
            .clamp(self.geometry.lowest_m, self.geometry.highest_m);
        let (low, rise) = if boiling {
            let place = pressure_pa.ln() / LOG_STEP;
            let index = place.floor() as i32;
            let (a, b) = (self.node(index)?, self.node(index + 1)?);
            let part = place - f64::from(index);
            (a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1))
        } else {
            self.line(&self.at(pressure_pa, water_k)?)?
        };
        Ok(low + rise * (weighed_m - self.geometry.lowest_m))
    }

    fn wanted_ma(
        &mut self,
        vessel: (f64, f64, bool),
        level: TrueLevel,
    ) -> Result<f64, MeasurementError> {
        if self.lost {
            return Ok(self.described.cell.fault_ma);
        }
        let percent = percent_of_range(self.range, self.differential_pa(vessel, level)?)?;
        let wanted = signal::current_ma(&self.described.cell, percent);
        Ok(signal::saturated_ma(&self.described.cell, wanted).0)
    }

    /// Goes on for a time; returns the current, mA.
    ///
    /// # Errors
    /// As [`CellSignal::differential_pa`].
    pub fn advance(
        &mut self,
        vessel: (f64, f64, bool),
        level: TrueLevel,
        duration_s: f64,
    ) -> Result<f64, MeasurementError> {
        let wanted = self.wanted_ma(vessel, level)?;
        let lag_s = self.described.cell.damping_s;
        // A lost signal has no damping.
        let part = if self.lost || !(lag_s > 0.0) {
            1.0
        } else {
            -(-duration_s / lag_s).exp_m1()
        };
        self.current_ma += part * (wanted - self.current_ma);
        Ok(self.current_ma)
    }

    /// Current, mA.
    pub const fn current_ma(&self) -> f64 {
        self.current_ma
    }

    /// What the panel says of the current.
    pub fn indicated(&self) -> IndicatedLevel {
        let percent = signal::percent(&self.described.cell, self.current_ma);
        IndicatedLevel::from_percent(percent, self.described.range.span)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::measurement::range_sheet;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn property_signal_is_the_cell_equation(level in 0.0_f64..0.508, pressure in 1.5e5_f64..1.1e6) {
            let described = shell_boiler();
            let sheet = range_sheet(&described).unwrap();
            let water_k = crate::water::saturation_temperature_k(pressure).unwrap();
            let at = (pressure, water_k, true);
            let level = TrueLevel::from_m(level);
            let mut cell = CellSignal::at_rest(&described, sheet.hot, at, level).unwrap();
            let expected = cell.at(pressure, water_k).unwrap().differential_pa(level).unwrap();
            let found = cell.differential_pa(at, level).unwrap();
            let span = (sheet.hot.urv_pa - sheet.hot.lrv_pa).abs();
            prop_assert!((found - expected).abs() < 1e-5 * span, "{found} {expected}");
        }
    }

    #[test]
    fn property_hot_range_indicates_the_true_level_and_loss_its_current() {
        let described = shell_boiler();
        let sheet = range_sheet(&described).unwrap();
        let pressure = described.pressures.normal.pa();
        let water_k = crate::water::saturation_temperature_k(pressure).unwrap();
        let at = (pressure, water_k, true);
        let level = TrueLevel::from_m(0.3);
        let mut cell = CellSignal::at_rest(&described, sheet.hot, at, level).unwrap();
        assert!((cell.indicated().m() - 0.3).abs() < 1e-5);
        cell.lost = true;
        let current = cell.advance(at, level, 0.1).unwrap();
        assert!((current - described.cell.fault_ma).abs() < 1e-12);
    }
}
