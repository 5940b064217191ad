//! Indicated minus true over a grid of pressures, leg temperatures and levels: saturation is asked once a pressure, the
//! legs once a leg temperature, and a level costs a multiplication.

use super::cell::{CellAt, Geometry};
use super::condition::{self, densities_with_legs, vessel_fluids};
use super::error::MeasurementError;
use super::sheets::Range;
use crate::description::Loop;
use crate::quantity::{AbsolutePressure, TrueLevel};

/// Errors of a range in service, percent of span, not clipped: by pressure, then leg temperature, then level, the last
/// running fastest.
///
/// # Errors
/// [`MeasurementError`] when a condition cannot be computed, or a level lies where the cell is blind.
pub fn error_grid_percent(
    described: &Loop,
    range: Range,
    pressures: &[AbsolutePressure],
    legs_k: &[f64],
    levels: &[TrueLevel],
) -> Result<Vec<f64>, MeasurementError> {
    let span = described.range.span;
    let geometry = Geometry::of(described)?;
    let (Some(first), Some(leg_k)) = (levels.first(), legs_k.first()) else {
        return Ok(Vec::new());
    };
    for level in levels {
        geometry.check_weighs(level.m())?;
    }
    let mut errors = Vec::with_capacity(pressures.len() * legs_k.len() * levels.len());
    for pressure in pressures {
        let at = condition::in_service(described, "grid", *pressure, *leg_k)?;
        let fluids = vessel_fluids(described, &at)?;
        for leg_k in legs_k {
            let cell = CellAt {
                geometry,
                densities: densities_with_legs(described, &fluids, *leg_k)?.0,
            };
            // The error is linear in the level: its value at the first, and its slope.
            let at_first = cell.error_percent(range, span, *first)?;
            let slope_per_m = 100.0
                * (geometry.sign()
                    * geometry.gravity_m_s2
                    * (cell.densities.liquid - cell.densities.vapour)
                    / (range.urv_pa - range.lrv_pa)
                    - 1.0 / span.height_m());
            errors.extend(
                levels
                    .iter()
                    .map(|level| at_first + slope_per_m * (level.m() - first.m())),
            );
        }
    }
    Ok(errors)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop;
    use crate::measurement::range_sheet;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn property_the_grid_is_the_cell_at_each_of_its_points(
            psig in 5.0f64..200.0, leg_c in 5.0f64..90.0, percent in 0.0f64..100.0, wet_on_high: bool,
        ) {
            let mut described = example_loop::shell_boiler();
            if wet_on_high {
                described.cell.polarity = crate::description::Polarity::WetLegOnHigh;
                described.cell.reversal = crate::description::Reversal::InCell;
            }
            let range = range_sheet(&described).unwrap().chosen;
            let span = described.range.span;
            let pressures = [example_loop::psig(100.0), example_loop::psig(psig)];
            let legs_k = [300.0, example_loop::kelvin(leg_c)];
            let levels = [0.0, percent, 100.0].map(|percent| TrueLevel::from_percent(percent, span));
            let grid = error_grid_percent(&described, range, &pressures, &legs_k, &levels).unwrap();
            let mut index = 0;
            for pressure in pressures {
                for leg_k in legs_k {
                    let at = condition::in_service(&described, "point", pressure, leg_k).unwrap();
                    let cell = condition::cell_at(&described, &at).unwrap();
                    for level in levels {
                        let alone = cell.error_percent(range, span, level).unwrap();
                        prop_assert!((grid[index] - alone).abs() < 1e-9, "{} {alone}", grid[index]);
                        index += 1;
                    }
                }
            }
            prop_assert_eq!(index, grid.len());
        }
    }

    #[test]
    fn property_a_level_beyond_the_taps_is_refused() {
        let described = example_loop::shell_boiler();
        let range = range_sheet(&described).unwrap().chosen;
        let beyond = [TrueLevel::from_m(9.0)];
        let error = error_grid_percent(
            &described,
            range,
            &[example_loop::psig(100.0)],
            &[300.0],
            &beyond,
        )
        .unwrap_err();
        assert!(matches!(error, MeasurementError::LevelOutsideTaps { .. }));
    }
}
