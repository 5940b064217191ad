//! The least and the greatest differential that a band of pressures and leg temperatures gives at a true level.

use super::cell::{CellAt, Geometry};
use super::condition::{self, densities};
use super::error::MeasurementError;
use super::extremum::largest;
use super::sheets::{Condition, Range};
use crate::description::Loop;
use crate::quantity::{AbsolutePressure, TrueLevel};

/// Intervals over the pressure band before refinement.
const PRESSURE_SAMPLES: u32 = 48;
/// Intervals over the leg-temperature band before refinement: leg density has one peak, near 4 degC.
const LEG_SAMPLES: u32 = 8;
/// Rounds of refining pressure and leg temperature in turn.
const REFINEMENTS: u32 = 2;
/// An extreme differential of the band at one true level.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Extreme {
    /// Where it occurs.
    pub(super) condition: Condition,
    /// True level.
    pub(super) level: TrueLevel,
    /// True level, fraction of span.
    pub(super) true_share: f64,
    /// Differential, as the fraction that the hot range makes of it.
    pub(super) hot_share: f64,
    /// Weighted errors count here (ends of the span).
    pub(super) weighed: bool,
    /// The limit on high errors holds here (at and below the low alarm).
    pub(super) limited: bool,
}

/// The extreme differentials of a loop's band, at the ends of its span and at the low alarm.
///
/// # Errors
/// [`MeasurementError`] when a density or the geometry fails, or a band is not rising.
pub(super) fn extremes(described: &Loop, hot: Range) -> Result<Vec<Extreme>, MeasurementError> {
    let span = described.range.span;
    let lowest = TrueLevel::from_m(span.at_0_percent_m);
    let mut levels = vec![
        (lowest, true, true),
        (TrueLevel::from_m(span.at_100_percent_m), true, false),
    ];
    if let Some(alarm_m) = described.limits.low_alarm_m {
        let inside = alarm_m > span.at_0_percent_m && alarm_m <= span.at_100_percent_m;
        if inside {
            levels.push((TrueLevel::from_m(alarm_m), false, true));
        }
    }
    let band = Band::of(described, hot)?;
    let grid = band.grid()?;
    let mut found = Vec::new();
    for (level, weighed, limited) in levels {
        for sign in [1.0, -1.0] {
            let (condition, hot_share) = band.extreme(&grid, level, sign)?;
            found.push(Extreme {
                condition,
                level,
                true_share: level.percent(span) / 100.0,
                hot_share,
                weighed,
                limited,
            });
        }
    }
    Ok(found)
}

/// The band of pressures and leg temperatures of a loop.
struct Band<'a> {
    described: &'a Loop,
    hot: Range,
    geometry: Geometry,
    pressures_pa: (f64, f64),
    legs_k: (f64, f64),
}

impl<'a> Band<'a> {
    fn of(described: &'a Loop, hot: Range) -> Result<Self, MeasurementError> {
        let pressures_pa = (
            described.pressures.lowest_sustained.pa(),
            described.pressures.highest.pa(),
        );
        let legs_k = described.leg_temperature_band_k;
        check_band("the band of pressures", pressures_pa, "Pa")?;
        check_band("the band of leg temperatures", legs_k, "K")?;
        Ok(Self {
            described,
            hot,
            geometry: Geometry::of(described)?,
            pressures_pa,
            legs_k,
        })
    }

    fn condition(&self, pressure_pa: f64, leg_k: f64) -> Result<Condition, MeasurementError> {
        let pressure = AbsolutePressure::from_pa(pressure_pa);
        let name = name(self.described, pressure_pa);
        condition::in_service(self.described, &name, pressure, leg_k)
    }

    fn cell(&self, pressure_pa: f64, leg_k: f64) -> Result<CellAt, MeasurementError> {
        Ok(CellAt {
            geometry: self.geometry,
            densities: densities(self.described, &self.condition(pressure_pa, leg_k)?)?.0,
        })
    }

    /// Fraction of the hot range.
    fn share(&self, cell: &CellAt, level: TrueLevel) -> Result<f64, MeasurementError> {
        Ok((cell.differential_pa(level)? - self.hot.lrv_pa) / (self.hot.urv_pa - self.hot.lrv_pa))
    }

    /// The cell at evenly spaced pressures and leg temperatures.
    fn grid(&self) -> Result<Vec<(f64, f64, CellAt)>, MeasurementError> {
        let at = |(low, high): (f64, f64), i: u32, n: u32| {
            if i == n {
                high
            } else {
                low + (high - low) * f64::from(i) / f64::from(n)
            }
        };
        let mut grid = Vec::new();
        for i in 0..=PRESSURE_SAMPLES {
            let pressure_pa = at(self.pressures_pa, i, PRESSURE_SAMPLES);
            for j in 0..=LEG_SAMPLES {
                let leg_k = at(self.legs_k, j, LEG_SAMPLES);
                grid.push((pressure_pa, leg_k, self.cell(pressure_pa, leg_k)?));
            }
        }
        Ok(grid)
    }

    /// Largest (`sign` +1) or least (-1) fraction of the hot range that the band gives at a true level, and where:
    /// the best of the grid, then pressure and leg temperature refined in turn.
    fn extreme(
        &self,
        grid: &[(f64, f64, CellAt)],
        level: TrueLevel,
        sign: f64,
    ) -> Result<(Condition, f64), MeasurementError> {
        let mut best = (self.pressures_pa.0, self.legs_k.0, f64::NEG_INFINITY);
        for (pressure_pa, leg_k, cell) in grid {
            let value = sign * self.share(cell, level)?;
            if value > best.2 {
                best = (*pressure_pa, *leg_k, value);
            }
        }
        let around = |(low, high): (f64, f64), x: f64, samples: u32| {
            let step = (high - low) / f64::from(samples);
            ((x - step).max(low), (x + step).min(high))
        };
        for _ in 0..REFINEMENTS {
            let (low, high) = around(self.pressures_pa, best.0, PRESSURE_SAMPLES);
            let (pressure_pa, value) = largest(low, high, 2, |pressure_pa| {
                Ok(sign * self.share(&self.cell(pressure_pa, best.1)?, level)?)
            })?;
            if value > best.2 {
                best = (pressure_pa, best.1, value);
            }
            let (low, high) = around(self.legs_k, best.1, LEG_SAMPLES);
            let (leg_k, value) = largest(low, high, 2, |leg_k| {
                Ok(sign * self.share(&self.cell(best.0, leg_k)?, level)?)
            })?;
            if value > best.2 {
                best = (best.0, leg_k, value);
            }
        }
        Ok((self.condition(best.0, best.1)?, sign * best.2))
    }
}

/// The named condition that has this pressure, else `within the band`.
fn name(described: &Loop, pressure_pa: f64) -> String {
    let pressures = &described.pressures;
    [
        (condition::LOWEST, pressures.lowest_sustained),
        (condition::HIGHEST, pressures.highest),
        (condition::NORMAL, pressures.normal),
    ]
    .into_iter()
    .find(|(_, pressure)| (pressure.pa() - pressure_pa).abs() <= 1e-6 * pressure_pa)
    .map_or("within the band", |(name, _)| name)
    .to_owned()
}

/// Refuses a pair that falls or is not finite.
pub(super) fn check_band(
    name: &'static str,
    (low, high): (f64, f64),
    unit: &'static str,
) -> Result<(), MeasurementError> {
    if low <= high && low.is_finite() && high.is_finite() {
        Ok(())
    } else {
        Err(MeasurementError::BandNotRising {
            name,
            low,
            high,
            unit,
        })
    }
}
