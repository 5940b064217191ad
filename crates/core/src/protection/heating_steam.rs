//! Steam that condenses into a deaerator to heat what is fed.

use crate::description::{Duty, Loop, VesselKind};
use crate::water::{SaturatedWater, WaterError, compressed_water_enthalpy_j_kg};

/// Heating steam that condenses for a kilogram of feed, at one duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HeatingSteam<'a> {
    /// Steam over feed, by mass.
    pub(crate) ratio: f64,
    /// The duty.
    pub(crate) duty: &'a str,
}

/// The duty at which a kilogram of feed condenses most heating steam; `None` for all but a deaerator.
///
/// # Errors
/// [`WaterError`] for a pressure or a temperature outside the formulation.
pub(crate) fn most_condensed(described: &Loop) -> Result<Option<HeatingSteam<'_>>, WaterError> {
    if described.vessel.kind != VesselKind::Deaerator {
        return Ok(None);
    }
    let mut most: Option<HeatingSteam<'_>> = None;
    for duty in &described.duties {
        let ratio = condensed_ratio(described.vessel.kind, duty)?;
        if most.is_none_or(|most| ratio > most.ratio) {
            most = Some(HeatingSteam {
                ratio,
                duty: &duty.name,
            });
        }
    }
    Ok(most)
}

/// Steam that condenses to heat a kilogram of feed to boiling; 0 but in a deaerator.
///
/// ```text
/// x = (hg − h_feed)/(hg − hf) − 1
/// ```
///
/// | symbol | name                              | unit |
/// |--------|-----------------------------------|------|
/// | hf, hg | water and steam, duty's pressure  | J/kg |
/// | h_feed | feed at its temperature           | J/kg |
///
/// **Source:** mixing balance of enthalpy, heating steam dry saturated at the duty's pressure. **Departures:** vented
/// steam and heat lost through the shell are left out.
/// **Checked by:** `published_condensing_steam_of_a_deaerator`.
///
/// # Errors
/// [`WaterError`] for a pressure or a temperature outside the formulation.
pub(crate) fn condensed_ratio(kind: VesselKind, duty: &Duty) -> Result<f64, WaterError> {
    if kind != VesselKind::Deaerator {
        return Ok(0.0);
    }
    let boiling = SaturatedWater::at_pressure_pa(duty.pressure.pa())?;
    let feed_j_kg = compressed_water_enthalpy_j_kg(duty.feed_temperature_k, duty.pressure.pa())?;
    Ok((boiling.vapour_enthalpy_j_kg - feed_j_kg) / boiling.evaporation_enthalpy_j_kg() - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::{kelvin, shell_boiler};
    use crate::quantity::AbsolutePressure;

    /// Steam tables after IAPWS R7-97: hf 440.2, hg 2683.4 kJ/kg at 105 degC (1.209 bar absolute); h 230.3 kJ/kg at
    /// 55 degC: 9.4 %.
    #[test]
    fn published_condensing_steam_of_a_deaerator() {
        let mut described = shell_boiler();
        for duty in &mut described.duties {
            duty.pressure = AbsolutePressure::from_pa(120_900.0);
            duty.feed_temperature_k = kelvin(70.0);
        }
        described.duties[2].feed_temperature_k = kelvin(55.0);
        assert_eq!(most_condensed(&described).unwrap(), None);
        described.vessel.kind = VesselKind::Deaerator;
        let most = most_condensed(&described).unwrap().unwrap();
        let expected = (2683.4 - 230.3) / (2683.4 - 440.2) - 1.0;
        assert!((most.ratio - expected).abs() < 5e-5, "{}", most.ratio);
        assert_eq!(most.duty, "low fire");
    }
}
