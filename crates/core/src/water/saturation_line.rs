//! The saturation line as a table, for what asks it a million times.
//!
//! Panels even in ln p, in each a polynomial of the seventh degree through the Chebyshev-Lobatto points of the panel: the ends of
//! panels are points of both, so that values do not jump. The
//! table ends below region 3 of the formulation, in which it jumps. Slopes are those of the polynomial, so that they agree with the values.
//!
//! **Source:** values from IAPWS R7-97(2012) through [`SaturatedWater`]; Trefethen, *Approximation Theory and Approximation
//! Practice* (2013), chapters 2 to 8. **Departures:** the table differs from the formulation by less than 1e-9 of every value.
//! **Checked by:** `property_table_is_the_formulation`, `property_slopes_are_those_of_the_values`.

use std::f64::consts::PI;

use super::error::WaterError;
use super::if97::REGION_3_MINIMUM_PRESSURE_PA;
use super::saturation::SaturatedWater;

/// Points of a panel: degree and one.
const POINTS: usize = 8;
/// Widest panel in ln p.
const PANEL_WIDTH: f64 = 0.125;

/// Values of a state, or their slopes over pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaturationValues {
    /// Temperature, K (slope: K/Pa).
    pub temperature_k: f64,
    /// Density of the boiling liquid, kg/m3.
    pub liquid_density_kg_m3: f64,
    /// Density of the dry vapour, kg/m3.
    pub vapour_density_kg_m3: f64,
    /// Specific enthalpy of the boiling liquid, J/kg.
    pub liquid_enthalpy_j_kg: f64,
    /// Specific enthalpy of the dry vapour, J/kg.
    pub vapour_enthalpy_j_kg: f64,
}

/// Boiling water and dry steam at a pressure, with their slopes along the saturation line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturation {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Values.
    pub at: SaturationValues,
    /// d/dp along the saturation line, each value's unit per Pa.
    pub slope: SaturationValues,
}

impl Saturation {
    /// Heat of evaporation, J/kg.
    pub fn evaporation_enthalpy_j_kg(&self) -> f64 {
        self.at.vapour_enthalpy_j_kg - self.at.liquid_enthalpy_j_kg
    }

    /// Internal energy of the boiling liquid, J/kg.
    pub fn liquid_energy_j_kg(&self) -> f64 {
        self.at.liquid_enthalpy_j_kg - self.pressure_pa / self.at.liquid_density_kg_m3
    }

    /// Internal energy of the dry vapour, J/kg.
    pub fn vapour_energy_j_kg(&self) -> f64 {
        self.at.vapour_enthalpy_j_kg - self.pressure_pa / self.at.vapour_density_kg_m3
    }
}

/// Coefficients of a panel, lowest power first, of the five values.
type Panel = [[f64; 5]; POINTS];

/// The saturation line between two pressures.
#[derive(Debug, Clone)]
pub struct SaturationLine {
    low_pa: f64,
    high_pa: f64,
    log_low: f64,
    width: f64,
    panels: Vec<Panel>,
}

impl SaturationLine {
    /// Tabulates the line between two absolute pressures, Pa.
    ///
    /// # Errors
    /// [`WaterError::PressureOutOfRange`] outside 611.213 Pa to 16.529 MPa, or where the ends do not rise.
    pub fn between(low_pa: f64, high_pa: f64) -> Result<Self, WaterError> {
        // The low end says what is wrong with it; NaN too.
        SaturatedWater::at_pressure_pa(low_pa)?;
        if !(high_pa > low_pa && high_pa <= REGION_3_MINIMUM_PRESSURE_PA) {
            return Err(WaterError::PressureOutOfRange {
                property: "saturation line to be tabulated",
                value_pa: high_pa,
                minimum_pa: low_pa,
                maximum_pa: REGION_3_MINIMUM_PRESSURE_PA,
            });
        }
        let (log_low, log_high) = (low_pa.ln(), high_pa.ln());
        let count = ((log_high - log_low) / PANEL_WIDTH).ceil().max(1.0);
        let width = (log_high - log_low) / count;
        let panels = (0..count as usize)
            .map(|index| {
                let middle = log_low + width * (index as f64 + 0.5);
                panel(|x| {
                    let pressure_pa = (middle + 0.5 * width * x).exp().clamp(low_pa, high_pa);
                    let state = SaturatedWater::at_pressure_pa(pressure_pa)?;
                    Ok([
                        state.temperature_k,
                        state.liquid_density_kg_m3,
                        state.vapour_density_kg_m3,
                        state.liquid_enthalpy_j_kg,
                        state.vapour_enthalpy_j_kg,
                    ])
                })
            })
            .collect::<Result<_, WaterError>>()?;
        Ok(Self {
            low_pa,
            high_pa,
            log_low,
            width,
            panels,
        })
    }

    /// Lowest and highest pressure of the table, Pa.
    pub fn pressures_pa(&self) -> (f64, f64) {
        (self.low_pa, self.high_pa)
    }

    /// State at an absolute pressure within the table, Pa.
    ///
    /// # Errors
    /// [`WaterError::PressureOutOfRange`] outside the table, or for NaN.
    pub fn at(&self, pressure_pa: f64) -> Result<Saturation, WaterError> {
        if !(self.low_pa..=self.high_pa).contains(&pressure_pa) {
            return Err(WaterError::PressureOutOfRange {
                property: "saturation line as tabulated",
                value_pa: pressure_pa,
                minimum_pa: self.low_pa,
                maximum_pa: self.high_pa,
            });
        }
        let log = pressure_pa.ln();
        let place = ((log - self.log_low) / self.width).max(0.0);
        let index = (place as usize).min(self.panels.len() - 1);
        let x = 2.0 * (place - index as f64) - 1.0;
        let mut value = [0.0; 5];
        let mut slope = [0.0; 5];
        for row in self.panels[index].iter().rev() {
            for i in 0..5 {
                slope[i] = slope[i] * x + value[i];
                value[i] = value[i] * x + row[i];
            }
        }
        // dx/dp = 2/(width·p)
        let per_pa = 2.0 / (self.width * pressure_pa);
        let values = |v: [f64; 5], factor: f64| SaturationValues {
            temperature_k: factor * v[0],
            liquid_density_kg_m3: factor * v[1],
            vapour_density_kg_m3: factor * v[2],
            liquid_enthalpy_j_kg: factor * v[3],
            vapour_enthalpy_j_kg: factor * v[4],
        };
        Ok(Saturation {
            pressure_pa,
            at: values(value, 1.0),
            slope: values(slope, per_pa),
        })
    }
}

/// Polynomial on −1 to 1 through the Chebyshev-Lobatto points.
fn panel(value: impl Fn(f64) -> Result<[f64; 5], WaterError>) -> Result<Panel, WaterError> {
    let degree = POINTS - 1;
    let points: Vec<[f64; 5]> = (0..POINTS)
        .map(|j| value((PI * j as f64 / degree as f64).cos()))
        .collect::<Result<_, _>>()?;
    // Chebyshev coefficients by the discrete cosine transform of the first kind.
    let mut series = [[0.0; 5]; POINTS];
    for (k, row) in series.iter_mut().enumerate() {
        for (j, at) in points.iter().enumerate() {
            let end = if j == 0 || j == degree { 0.5 } else { 1.0 };
            let weight = end * 2.0 / degree as f64 * (PI * (j * k) as f64 / degree as f64).cos();
            for i in 0..5 {
                row[i] += weight * at[i];
            }
        }
        if k == 0 || k == degree {
            for value in row.iter_mut() {
                *value *= 0.5;
            }
        }
    }
    // To powers of x: T(k+1) = 2x·T(k) − T(k−1).
    let mut powers = [[0.0; 5]; POINTS];
    let (mut before, mut now) = ([0.0; POINTS], [0.0; POINTS]);
    now[0] = 1.0;
    for (k, row) in series.iter().enumerate() {
        for (power, factor) in now.iter().enumerate() {
            for i in 0..5 {
                powers[power][i] += factor * row[i];
            }
        }
        let mut next = [0.0; POINTS];
        let twice = if k == 0 { 1.0 } else { 2.0 };
        for power in 0..POINTS {
            let shifted = if power > 0 { now[power - 1] } else { 0.0 };
            next[power] = twice * shifted - before[power];
        }
        (before, now) = (now, next);
    }
    Ok(powers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn property_table_is_the_formulation(log in 7.0_f64..16.62) {
            let line = SaturationLine::between(700.0, 16.529e6).unwrap();
            let pressure_pa = log.exp();
            let (table, exact) = (line.at(pressure_pa).unwrap().at, SaturatedWater::at_pressure_pa(pressure_pa).unwrap());
            for (found, expected) in [
                (table.temperature_k, exact.temperature_k),
                (table.liquid_density_kg_m3, exact.liquid_density_kg_m3),
                (table.vapour_density_kg_m3, exact.vapour_density_kg_m3),
                (table.liquid_enthalpy_j_kg, exact.liquid_enthalpy_j_kg),
                (table.vapour_enthalpy_j_kg, exact.vapour_enthalpy_j_kg),
            ] {
                // Next to the triple point the liquid's enthalpy is nearly nothing: of 1 kJ/kg then.
                prop_assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1e3), "{found} {expected} at {pressure_pa}");
            }
        }

        #[test]
        fn property_slopes_are_those_of_the_values(log in 9.0_f64..16.5) {
            let line = SaturationLine::between(7_000.0, 16.5e6).unwrap();
            let pressure_pa = log.exp();
            let step = 1e-5 * pressure_pa;
            let slope = line.at(pressure_pa).unwrap().slope;
            let (low, high) = (
                SaturatedWater::at_pressure_pa(pressure_pa - step).unwrap(),
                SaturatedWater::at_pressure_pa(pressure_pa + step).unwrap(),
            );
            for (found, low, high) in [
                (slope.temperature_k, low.temperature_k, high.temperature_k),
                (slope.liquid_density_kg_m3, low.liquid_density_kg_m3, high.liquid_density_kg_m3),
                (slope.vapour_density_kg_m3, low.vapour_density_kg_m3, high.vapour_density_kg_m3),
                (slope.liquid_enthalpy_j_kg, low.liquid_enthalpy_j_kg, high.liquid_enthalpy_j_kg),
            ] {
                let expected = (high - low) / (2.0 * step);
                prop_assert!((found - expected).abs() <= 1e-5 * expected.abs(), "{found} {expected}");
            }
        }
    }

    #[test]
    fn property_outside_the_table_is_refused() {
        let line = SaturationLine::between(1e5, 1e6).unwrap();
        for pressure_pa in [0.99e5, 1.01e6, f64::NAN] {
            assert!(line.at(pressure_pa).is_err());
        }
        assert!(SaturationLine::between(1e5, 30e6).is_err());
        assert!(SaturationLine::between(f64::NAN, 1e6).is_err());
    }
}
