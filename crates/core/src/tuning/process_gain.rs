//! Process gain of a level from geometry: how fast the level moves for the valve.
//!
//! ```text
//! k'           = gv·w_full / ((ρl − ρv)·A(h)·span)       true level fraction per output fraction and second
//! k'_indicated = gv·g·w_full / (A(h)·|URV − LRV|)        the same as the panel sees it, for any range
//! ```
//!
//! | symbol   | name                                | unit  |
//! |----------|-------------------------------------|-------|
//! | w_full   | flow with the valve fully open      | kg/s  |
//! | gv       | installed gain of the valve; 1: linear | -  |
//! | ρl, ρv   | saturated liquid and vapour density | kg/m3 |
//! | A(h)     | free surface at the set point       | m2    |
//! | span     | height of the level span            | m     |
//! | URV, LRV | range ends                          | Pa    |
//!
//! **Source:** mass balance on the free surface, water entering at saturation; hydrostatics.

use crate::description::{Duty, Loop, VesselKind};
use crate::feedwater::sheets::FeedwaterSheet;
use crate::feedwater::valve_gain::{full_valve_flow_kg_s, valve_gain};
use crate::measurement::sheets::Range;
use crate::tuning::sheets::DutyGain;
use crate::vessel::VesselError;
use crate::water::{SaturatedWater, WaterError, air_density_kg_m3, compressed_water_density_kg_m3};

/// Why a process gain cannot be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProcessGainError {
    /// Water properties out of range.
    #[error("process gain at duty “{duty}”: {source}")]
    Water {
        /// Duty.
        duty: String,
        /// Reason.
        source: WaterError,
    },
    /// The set point is not inside the vessel.
    #[error("the free surface at the set point cannot be computed: {0}")]
    Vessel(#[from] VesselError),
    /// The installed characteristic has no gain.
    #[error("the installed characteristic has no gain above 0 for duty “{duty}”")]
    NoValveGain {
        /// Duty.
        duty: String,
    },
    /// No free surface is left.
    #[error(
        "the internals displace all of the free surface at the set point ({surface_m2} m2 left)"
    )]
    NoSurface {
        /// Surface left, m2.
        surface_m2: f64,
    },
}

/// Densities of the vessel's liquid and of what is above it at a duty, kg/m3.
fn liquid_and_vapour(the_loop: &Loop, duty: &Duty) -> Result<(f64, f64), WaterError> {
    if the_loop.vessel.kind == VesselKind::VentedTank {
        let water_k = the_loop
            .vessel
            .water_temperature_k
            .unwrap_or(duty.feed_temperature_k);
        let pressure = the_loop.site.atmosphere.pa();
        return Ok((
            compressed_water_density_kg_m3(water_k, pressure)?,
            air_density_kg_m3(water_k, pressure)?,
        ));
    }
    let saturated = SaturatedWater::at_pressure_pa(duty.pressure.pa())?;
    Ok((
        saturated.liquid_density_kg_m3,
        saturated.vapour_density_kg_m3,
    ))
}

/// Free surface at the set point, m2.
///
/// # Errors
/// [`ProcessGainError`] when the set point is outside the vessel or the internals leave no surface.
pub fn free_surface_at_set_point_m2(the_loop: &Loop) -> Result<f64, ProcessGainError> {
    let vessel = &the_loop.vessel;
    let height_m = the_loop.limits.set_point_m + vessel.lower_tap_above_bottom_m;
    let surface_m2 = vessel
        .shell
        .free_surface_with_internals_m2(&vessel.internals, height_m)?;
    if !(surface_m2 > 0.0) {
        return Err(ProcessGainError::NoSurface { surface_m2 });
    }
    Ok(surface_m2)
}

/// Mass that must enter for a cubic metre of water to appear at a duty, kg/m3: liquid less what it drives out.
///
/// # Errors
/// [`ProcessGainError::Water`], naming the duty.
pub fn exchange_density_kg_m3(the_loop: &Loop, duty: &Duty) -> Result<f64, ProcessGainError> {
    liquid_and_vapour(the_loop, duty)
        .map(|(liquid, vapour)| liquid - vapour)
        .map_err(|source| ProcessGainError::Water {
            duty: duty.name.clone(),
            source,
        })
}

/// Process gains at every duty point for a range, the valve installed or taken as linear.
///
/// **Checked by:** `property_gains_scale_with_the_installed_valve`.
///
/// # Errors
/// [`ProcessGainError`], naming the duty.
pub fn duty_gains(
    the_loop: &Loop,
    range: Range,
    feedwater: Option<&FeedwaterSheet>,
) -> Result<Vec<DutyGain>, ProcessGainError> {
    let free_surface_m2 = free_surface_at_set_point_m2(the_loop)?;
    let full_flow_kg_s = full_valve_flow_kg_s(the_loop, feedwater);
    let span_m = the_loop.range.span.height_m();
    let gain = |duty: &Duty| {
        let (liquid, vapour) =
            liquid_and_vapour(the_loop, duty).map_err(|source| ProcessGainError::Water {
                duty: duty.name.clone(),
                source,
            })?;
        let valve =
            valve_gain(feedwater, &duty.name).ok_or_else(|| ProcessGainError::NoValveGain {
                duty: duty.name.clone(),
            })?;
        Ok(DutyGain {
            name: duty.name.clone(),
            installed_gain_ratio: valve.ratio,
            process_gain_per_s: valve.ratio * full_flow_kg_s
                / ((liquid - vapour) * free_surface_m2 * span_m),
            indicated_gain_per_s: valve.ratio * the_loop.site.gravity_m_s2 * full_flow_kg_s
                / (free_surface_m2 * (range.urv_pa - range.lrv_pa).abs()),
            free_surface_m2,
            liquid_density_kg_m3: liquid,
        })
    };
    the_loop.duties.iter().map(gain).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::feedwater_sheet;
    use crate::measurement::range_sheet;

    #[test]
    fn property_gains_scale_with_the_installed_valve() {
        let the_loop = shell_boiler();
        let range = range_sheet(&the_loop).unwrap().chosen;
        let linear = duty_gains(&the_loop, range, None).unwrap();
        let sheet = feedwater_sheet(
            3.3,
            &[
                ("maximum", Some(0.6)),
                ("normal", Some(1.2)),
                ("low fire", None),
            ],
        );
        let installed = duty_gains(&the_loop, range, Some(&sheet)).unwrap();
        // 3.3 kg/s for 2.2; a duty without travel takes the curve's largest gain, 1.8.
        for ((before, after), gain) in linear.iter().zip(&installed).zip([0.6, 1.2, 1.8]) {
            assert!((before.installed_gain_ratio - 1.0).abs() < 1e-12);
            assert!((after.installed_gain_ratio - gain).abs() < 1e-12);
            for ratio in [
                after.process_gain_per_s / before.process_gain_per_s,
                after.indicated_gain_per_s / before.indicated_gain_per_s,
            ] {
                assert!((ratio / (1.5 * gain) - 1.0).abs() < 1e-12, "{ratio}");
            }
        }
        let mut flat = sheet;
        flat.installed.curve.clear();
        assert!(matches!(
            duty_gains(&the_loop, range, Some(&flat)),
            Err(ProcessGainError::NoValveGain { .. })
        ));
    }
}
