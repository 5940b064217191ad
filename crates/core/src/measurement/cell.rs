//! The cell equation: what a differential-pressure cell sees of a level, for every kind of reference leg.
//!
//! A cell weighs what stands ABOVE its lower tap (or lower seal) and below its upper one; outside it is blind.

use super::error::MeasurementError;
use super::sheets::{Densities, Range};
use crate::description::{Loop, Polarity, ReferenceLeg};
use crate::quantity::{IndicatedLevel, LevelSpan, TrueLevel};

/// Slack at the taps, m, so that a level given at the tap passes after unit conversion.
const TAP_SLACK_M: f64 = 1e-9;

/// The heights that the cell equation needs, m above the centre of the lower tap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometry {
    /// Local gravity, m/s2.
    pub gravity_m_s2: f64,
    /// Lowest level weighed: the lower tap (0), or the lower seal, m.
    pub lowest_m: f64,
    /// Highest level weighed: the upper tap or upper seal, m; infinite where the reference port is open.
    pub highest_m: f64,
    /// Top of the reference column: pot lip, upper tap or upper seal, m.
    pub reference_top_m: f64,
    /// Cell below the lower tap, m; positive down.
    pub cell_below_m: f64,
    /// Ports.
    pub polarity: Polarity,
}

impl Geometry {
    /// The heights of a described loop.
    ///
    /// # Errors
    /// [`MeasurementError::NoUpperTap`] for a dry leg without upper tap,
    /// [`MeasurementError::OpenReferenceOnClosedVessel`] for an open port on a closed vessel,
    /// [`MeasurementError::BandNotRising`] when the heights are not in order.
    pub fn of(described: &Loop) -> Result<Self, MeasurementError> {
        let upper_tap_m = described.elevations.upper_tap_m;
        let (lowest_m, highest_m, reference_top_m) = match &described.reference_leg {
            ReferenceLeg::Wet { pot_lip_m, .. } => {
                (0.0, upper_tap_m.unwrap_or(*pot_lip_m), *pot_lip_m)
            }
            ReferenceLeg::Dry { .. } => {
                let upper_tap_m = upper_tap_m.ok_or(MeasurementError::NoUpperTap)?;
                (0.0, upper_tap_m, upper_tap_m)
            }
            ReferenceLeg::None if described.vessel.kind.holds_steam() => {
                return Err(MeasurementError::OpenReferenceOnClosedVessel);
            }
            // The gas over the water and outside is one air: its height cancels.
            ReferenceLeg::None => (0.0, f64::INFINITY, 0.0),
            ReferenceLeg::Sealed {
                lower_seal_m,
                upper_seal_m,
                ..
            } => (*lower_seal_m, *upper_seal_m, *upper_seal_m),
        };
        let rises = highest_m > lowest_m;
        if !rises {
            return Err(MeasurementError::BandNotRising {
                name: "the height the cell weighs",
                low: lowest_m,
                high: highest_m,
                unit: "m",
            });
        }
        Ok(Self {
            gravity_m_s2: described.site.gravity_m_s2,
            lowest_m,
            highest_m,
            reference_top_m,
            cell_below_m: described.cell.below_lower_tap_m,
            polarity: described.cell.polarity,
        })
    }

    /// Does the cell see a surface at this level. False for NaN.
    pub fn weighs(&self, level_m: f64) -> bool {
        (self.lowest_m - TAP_SLACK_M..=self.highest_m + TAP_SLACK_M).contains(&level_m)
    }

    /// Refuses a level where the cell is blind.
    ///
    /// # Errors
    /// [`MeasurementError::LevelOutsideTaps`], or for NaN.
    pub(super) fn check_weighs(&self, level_m: f64) -> Result<(), MeasurementError> {
        if self.weighs(level_m) {
            return Ok(());
        }
        Err(MeasurementError::LevelOutsideTaps {
            level_m,
            lowest_m: self.lowest_m,
            highest_m: self.highest_m,
        })
    }

    /// +1 where the working leg is on the high port, -1 where the reference leg is.
    pub const fn sign(&self) -> f64 {
        match self.polarity {
            Polarity::BottomOnHigh => 1.0,
            Polarity::WetLegOnHigh => -1.0,
        }
    }

    /// Weight of everything but the level, per unit of gravity, kg/m2: the bracket of
    /// [`differential_pa`] at h = 0.
    fn offset_kg_m2(&self, densities: &Densities) -> f64 {
        -densities.liquid * self.lowest_m
            + densities.vapour * self.reference_top_m
            + densities.working_below * (self.lowest_m + self.cell_below_m)
            - densities.reference_above * self.reference_top_m
            - densities.reference_below * self.cell_below_m
    }
}

/// Differential pressure at the cell, high port minus low port, Pa.
///
/// ```text
/// Δp = s·g·[ ρl·(h − z0) + ρv·(H − h) + ρa·(z0 + d) − ρr·H − ρb·d ]
/// ```
///
/// | symbol | name                        | unit  | range |
/// |--------|-----------------------------|-------|-------|
/// | s      | `geometry.sign()`           | -     | +1 working leg on the high port, −1 reference leg on it |
/// | g      | `geometry.gravity_m_s2`     | m/s2  | |
/// | h      | `level_m`, true level       | m     | z0 to upper tap or seal |
/// | z0     | `geometry.lowest_m`         | m     | 0 at the lower tap; centre of the lower seal |
/// | H      | `geometry.reference_top_m`  | m     | wet: pot lip; dry: upper tap; sealed: centre of the upper seal |
/// | d      | `geometry.cell_below_m`     | m     | cell below the lower tap, positive down |
/// | ρl, ρv | `densities.liquid`, `.vapour` | kg/m3 | ρl > ρv |
/// | ρa     | `densities.working_below`   | kg/m3 | working leg below the tap, or the fill of its capillary |
/// | ρr, ρb | `densities.reference_above`, `.reference_below` | kg/m3 | reference leg above and below the lower tap |
///
/// With the reference port open to the air ρv = ρr = ρb is the air, and H cancels:
/// `g·[ρl·h + ρa·d − ρair·(h + d)]`.
///
/// **Source:** hydrostatics. **Departures:** the level is the collapsed (weight) level; flow losses
/// and the weight of the column on its own density are left out.
/// **Checked by:** `crosscheck_wet_leg_differential`, `property_level_inverts_differential`,
/// `property_polarity_mirrors`, `property_lengths_rescale_differential`.
///
/// # Errors
/// [`MeasurementError::LevelOutsideTaps`] where the cell is blind, or for NaN.
pub fn differential_pa(
    densities: &Densities,
    geometry: &Geometry,
    level_m: f64,
) -> Result<f64, MeasurementError> {
    geometry.check_weighs(level_m)?;
    let weight_kg_m2 =
        (densities.liquid - densities.vapour) * level_m + geometry.offset_kg_m2(densities);
    Ok(geometry.sign() * geometry.gravity_m_s2 * weight_kg_m2)
}

/// True level that makes this differential, m above the lower tap: the inverse of [`differential_pa`].
/// May lie outside the taps; ask [`Geometry::weighs`].
///
/// # Errors
/// [`MeasurementError::LiquidNotHeavier`] when the liquid does not outweigh what is above it, or for NaN.
pub fn level_m(
    densities: &Densities,
    geometry: &Geometry,
    differential_pa: f64,
) -> Result<f64, MeasurementError> {
    let heavier = densities.liquid - densities.vapour;
    let outweighs = heavier > 0.0;
    if !outweighs {
        return Err(MeasurementError::LiquidNotHeavier {
            liquid_kg_m3: densities.liquid,
            vapour_kg_m3: densities.vapour,
        });
    }
    let weight_kg_m2 = geometry.sign() * differential_pa / geometry.gravity_m_s2;
    Ok((weight_kg_m2 - geometry.offset_kg_m2(densities)) / heavier)
}

/// The cell at one condition: heights and densities together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellAt {
    /// Heights.
    pub geometry: Geometry,
    /// Densities.
    pub densities: Densities,
}

impl CellAt {
    /// Differential at a true level, Pa. See [`differential_pa`].
    ///
    /// # Errors
    /// As [`differential_pa`].
    pub fn differential_pa(&self, level: TrueLevel) -> Result<f64, MeasurementError> {
        differential_pa(&self.densities, &self.geometry, level.m())
    }

    /// True level at a differential. See [`level_m`].
    ///
    /// # Errors
    /// As [`level_m`].
    pub fn true_level(&self, differential_pa: f64) -> Result<TrueLevel, MeasurementError> {
        level_m(&self.densities, &self.geometry, differential_pa).map(TrueLevel::from_m)
    }

    /// The range that is exact here: differentials at 0 % and 100 % of a level span.
    ///
    /// # Errors
    /// [`MeasurementError::LevelSpanNotRising`]; [`MeasurementError::LevelOutsideTaps`] for a span beyond the taps.
    pub fn exact_range(&self, span: LevelSpan) -> Result<Range, MeasurementError> {
        let rises = span.height_m() > 0.0;
        if !rises {
            return Err(MeasurementError::LevelSpanNotRising {
                at_0_percent_m: span.at_0_percent_m,
                at_100_percent_m: span.at_100_percent_m,
            });
        }
        Ok(Range {
            lrv_pa: differential_pa(&self.densities, &self.geometry, span.at_0_percent_m)?,
            urv_pa: differential_pa(&self.densities, &self.geometry, span.at_100_percent_m)?,
        })
    }

    /// What a cell with this range says at a true level, not clipped.
    ///
    /// # Errors
    /// As [`differential_pa`], and [`MeasurementError::NoSpan`].
    pub fn indicated(
        &self,
        range: Range,
        span: LevelSpan,
        level: TrueLevel,
    ) -> Result<IndicatedLevel, MeasurementError> {
        let percent = percent_of_range(range, self.differential_pa(level)?)?;
        Ok(IndicatedLevel::from_percent(percent, span))
    }

    /// Indicated minus true at a true level, percent of span, not clipped.
    ///
    /// # Errors
    /// As [`CellAt::indicated`].
    pub fn error_percent(
        &self,
        range: Range,
        span: LevelSpan,
        level: TrueLevel,
    ) -> Result<f64, MeasurementError> {
        Ok(percent_of_range(range, self.differential_pa(level)?)? - level.percent(span))
    }
}

/// What a differential is in percent of a range: 0 at `lrv_pa`, 100 at `urv_pa`, whichever is larger.
///
/// # Errors
/// [`MeasurementError::NoSpan`] when both ends are the same, or NaN.
pub fn percent_of_range(range: Range, differential_pa: f64) -> Result<f64, MeasurementError> {
    let span_pa = range.urv_pa - range.lrv_pa;
    let has_span = span_pa.abs() > 0.0;
    if !has_span {
        return Err(MeasurementError::NoSpan {
            lrv_pa: range.lrv_pa,
            urv_pa: range.urv_pa,
        });
    }
    Ok(100.0 * (differential_pa - range.lrv_pa) / span_pa)
}

#[cfg(test)]
#[path = "cell_tests.rs"]
mod tests;
