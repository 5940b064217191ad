//! Leg temperatures at which the legs leave what the cell equation takes for granted.

use super::{Condition, FREEZING_K, Legs, VesselFluids, vessel_fluids};
use crate::description::{Loop, ReferenceLeg};
use crate::measurement::MeasurementError;

/// Mean reference-leg temperatures at which something goes wrong in the legs, K; `None` where it cannot.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LegLimits {
    /// Above it some leg water is hotter than saturation.
    pub flashes_above_k: Option<f64>,
    /// Below it some leg water is below freezing.
    pub freezes_below_k: Option<f64>,
    /// Below it the steam in a dry leg condenses.
    pub condenses_below_k: Option<f64>,
}

/// The limits at a condition, whatever its own leg temperature.
///
/// **Checked by:** `property_leg_limits_are_where_the_state_changes`.
///
/// # Errors
/// As [`super::densities`].
pub fn leg_limits(described: &Loop, condition: &Condition) -> Result<LegLimits, MeasurementError> {
    let VesselFluids {
        saturation_k,
        boiling,
        ..
    } = vessel_fluids(described, condition)?;
    let holds_steam = described.vessel.kind.holds_steam();
    let base = if holds_steam && !boiling {
        Legs::on_cold_vessel(described)
    } else {
        Legs::described(described)
    };
    let mean_k = base.mean_above_k();
    let (hottest_k, coldest_k) = match &described.reference_leg {
        ReferenceLeg::Sealed { .. } => return Ok(LegLimits::default()),
        ReferenceLeg::Wet { .. } => (base.hottest_k(), base.coldest_k()),
        ReferenceLeg::Dry { .. } | ReferenceLeg::None => (base.working_k, base.working_k),
    };
    let is_dry = matches!(described.reference_leg, ReferenceLeg::Dry { .. });
    Ok(LegLimits {
        flashes_above_k: Some(saturation_k - (hottest_k - mean_k)),
        freezes_below_k: Some(FREEZING_K - (coldest_k - mean_k)),
        condenses_below_k: (is_dry && holds_steam && boiling).then_some(saturation_k),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{drum_boiler, shell_boiler, vented_tank};
    use crate::measurement::condition::{densities, normal, start_up};

    #[test]
    fn property_leg_limits_are_where_the_state_changes() {
        let mut dry = shell_boiler();
        dry.reference_leg = ReferenceLeg::Dry {
            temperature_k: 400.0,
        };
        for described in [shell_boiler(), drum_boiler(), vented_tank(), dry] {
            for condition in [normal(&described).unwrap(), start_up(&described)] {
                let limits = leg_limits(&described, &condition).unwrap();
                let state = |leg_k: f64| {
                    let at = Condition {
                        reference_leg_k: leg_k,
                        ..condition.clone()
                    };
                    densities(&described, &at).unwrap().1
                };
                let flash_k = limits.flashes_above_k.unwrap();
                assert!(!state(flash_k - 1e-3).flashes && state(flash_k + 1e-3).flashes);
                let frost_k = limits.freezes_below_k.unwrap();
                assert!(state(frost_k - 1e-3).freezes && !state(frost_k + 1e-3).freezes);
                if let Some(k) = limits.condenses_below_k {
                    assert!(state(k - 1e-3).condenses && !state(k + 1e-3).condenses);
                }
            }
        }
    }
}
