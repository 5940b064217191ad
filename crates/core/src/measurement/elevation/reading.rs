//! One picture of the elevation, computed and not read off a table: what vessel, panel and glass say at one water
//! temperature, one leg temperature and one level.

use super::condition_at;
use crate::description::Loop;
use crate::level_map::Blind;
use crate::measurement::cell::percent_of_range;
use crate::measurement::condition::{LegState, cell_at, densities};
use crate::measurement::glass::GlassAt;
use crate::measurement::sheets::{Condition, Range};
use crate::measurement::{MeasurementError, signal};
use crate::quantity::{GlassLevel, IndicatedLevel, TrueLevel};
use crate::water::saturation_temperature_k;

/// What a glass shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GlassReading {
    /// A surface in the visible length.
    Stands(GlassLevel),
    /// The water stands below the visible length.
    Empty,
    /// The water stands above the visible length.
    Full,
}

/// What vessel, panel and glass say of one level.
#[derive(Debug, Clone, PartialEq)]
pub struct ElevationReading {
    /// Pressure, water and leg temperature.
    pub condition: Condition,
    /// Saturation temperature at the pressure, K.
    pub saturation_k: f64,
    /// What is wrong with the legs.
    pub legs: LegState,
    /// The vessel's level.
    pub true_level: TrueLevel,
    /// Where the cell is blind; the panel then stays at what it says at that tap, or beyond.
    pub blind: Option<Blind>,
    /// What the panel would say if no signal ended, percent of span.
    pub wanted_percent: f64,
    /// What the panel says.
    pub panel: IndicatedLevel,
    /// Loop current, mA.
    pub current_ma: f64,
    /// Is the signal at one of its ends.
    pub saturated: bool,
    /// What the glass shows; `None` without a glass.
    pub glass: Option<GlassReading>,
}

/// What vessel, panel and glass say.
///
/// **Checked by:** `property_a_reading_is_what_cell_and_glass_say`.
///
/// # Errors
/// [`MeasurementError`] where the condition cannot be computed.
pub fn elevation_reading(
    described: &Loop,
    range: Range,
    water_k: f64,
    leg_k: f64,
    true_level: TrueLevel,
) -> Result<ElevationReading, MeasurementError> {
    let condition = Condition {
        reference_leg_k: leg_k,
        ..condition_at(described, water_k)?
    };
    let cell = cell_at(described, &condition)?;
    let (_, legs) = densities(described, &condition)?;
    let level_m = true_level.m();
    let blind = if cell.geometry.weighs(level_m) {
        None
    } else if level_m < cell.geometry.lowest_m {
        Some(Blind::Below)
    } else {
        Some(Blind::Above)
    };
    let seen = TrueLevel::from_m(level_m.clamp(cell.geometry.lowest_m, cell.geometry.highest_m));
    let wanted_percent = percent_of_range(range, cell.differential_pa(seen)?)?;
    let wanted_ma = signal::current_ma(&described.cell, wanted_percent);
    let (current_ma, saturated) = signal::saturated_ma(&described.cell, wanted_ma);
    let span = described.range.span;
    let wanted = IndicatedLevel::from_percent(wanted_percent, span);
    let glass = GlassAt::of(described, &condition)?.map(|glass| match glass.shows(true_level) {
        Some(level) => GlassReading::Stands(level),
        None if glass.stands_at(true_level).m() < glass.visible_m.0 => GlassReading::Empty,
        None => GlassReading::Full,
    });
    Ok(ElevationReading {
        saturation_k: saturation_temperature_k(condition.pressure.pa())?,
        condition,
        legs,
        true_level,
        blind,
        wanted_percent,
        panel: signal::clipped(&described.cell, span, wanted).0,
        current_ma,
        saturated,
        glass,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{drum_boiler, shell_boiler, vented_tank};
    use crate::measurement::condition::{normal, start_up};
    use crate::measurement::{glass_level, indicated_level, range_sheet};

    #[test]
    fn property_a_reading_is_what_cell_and_glass_say() {
        let (mut blind, mut empty, mut full) = (0, 0, 0);
        for described in [shell_boiler(), drum_boiler(), vented_tank()] {
            let range = range_sheet(&described).unwrap().chosen;
            for at in [normal(&described).unwrap(), start_up(&described)] {
                for step in -20..=40 {
                    let level = TrueLevel::from_m(f64::from(step) * 0.05);
                    let reading =
                        elevation_reading(&described, range, at.water_k, at.reference_leg_k, level)
                            .unwrap();
                    // Pressure from temperature and back: to 1e-6.
                    let off = reading.condition.pressure.pa() / at.pressure.pa() - 1.0;
                    assert!(off.abs() < 1e-6, "{off}");
                    let says = indicated_level(&described, range, &at, level).unwrap();
                    assert_eq!(says.is_none(), reading.blind.is_some());
                    if let Some(says) = says {
                        let span = described.range.span;
                        let clipped = signal::clipped(&described.cell, span, says).0;
                        let off = (clipped.m() - reading.panel.m()).abs();
                        assert!(off < 1e-5 * span.height_m(), "{off}");
                    }
                    match (glass_level(&described, &at, level).unwrap(), reading.glass) {
                        (Some(level), Some(GlassReading::Stands(stands))) => {
                            assert!((level.m() - stands.m()).abs() < 1e-6);
                        }
                        (None, Some(GlassReading::Empty)) => {
                            empty += 1;
                            let glass = described.glass.as_ref().unwrap();
                            assert!(level.m() < glass.visible_top_m);
                        }
                        (None, Some(GlassReading::Full)) => {
                            full += 1;
                            let glass = described.glass.as_ref().unwrap();
                            assert!(level.m() > glass.visible_bottom_m);
                        }
                        (None, None) => {}
                        other => panic!("{other:?}"),
                    }
                    blind += usize::from(reading.blind.is_some());
                }
            }
        }
        assert!(blind > 0 && empty > 0 && full > 0);
    }
}
