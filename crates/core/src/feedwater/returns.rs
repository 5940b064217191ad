//! Returns that come in beside the make-up and flash on the way down to the vessel's pressure.

use crate::description::Loop;
use crate::description::feed_system::{FeedSystem, ReturnFlow};
use crate::feedwater::sheets::FlashingReturn;
use crate::finding::{Finding, Severity};
use crate::water::{SaturatedWater, WaterError, compressed_water_enthalpy_j_kg};

/// Water surveyed as this much hotter than it boils is taken as boiling, K: thermometers and rounding.
const BOILING_SLACK_K: f64 = 1.0;

/// Why a return cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReturnError {
    /// Water properties out of range.
    #[error("return “{name}”: {source}")]
    Water {
        /// Name.
        name: String,
        /// Reason.
        source: WaterError,
    },
}

/// What each return does behind its own valve or trap.
///
/// ```text
/// x = (h − hf)/(hg − hf), not under 0
/// ```
///
/// | symbol | name                                          | unit |
/// |--------|-----------------------------------------------|------|
/// | h      | enthalpy of the water before its valve        | J/kg |
/// | hf, hg | boiling water, dry steam at normal pressure   | J/kg |
///
/// **Source:** enthalpy is kept through a valve or trap; IAPWS R7-97(2012).
/// **Departures:** heat lost on the way and speed are left out.
/// **Checked by:** `published_flash_of_condensate`, `property_flash_falls_with_vessel_pressure`.
///
/// # Errors
/// [`ReturnError`] naming the return.
pub fn flashing_returns(
    the_loop: &Loop,
    system: &FeedSystem,
) -> Result<(Vec<FlashingReturn>, Vec<Finding>), ReturnError> {
    let vessel_pa = the_loop.pressures.normal.pa();
    let (mut returns, mut findings) = (Vec::new(), Vec::new());
    for flow in &system.returns {
        let flash_steam_ratio =
            flash_ratio(flow, vessel_pa).map_err(|source| ReturnError::Water {
                name: flow.name.clone(),
                source,
            })?;
        let enters = flow.pressure.pa() > vessel_pa;
        if !enters {
            findings.push(Finding {
                severity: Severity::Warn,
                code: "return-cannot-enter",
                what: format!("Return {} stands at no more than the vessel's normal pressure.", flow.name),
                consequence: "It does not flow in by itself; its share of the water must come through the control valve.".into(),
                remedy: "Check its pressure, or describe the pump that lifts it.".into(),
                input: "return.pressure",
            });
        }
        if flash_steam_ratio > 0.0 {
            findings.push(Finding {
                severity: Severity::Note,
                code: "return-flashes",
                what: format!(
                    "{:.1} % of return {} flashes to steam at the vessel's normal pressure.",
                    100.0 * flash_steam_ratio, flow.name
                ),
                consequence: "Water and steam run together behind its valve: noise, erosion, and water hammer where it meets cold water.".into(),
                remedy: "Bring it in through a pipe of its own, wide and short, its valve close to the vessel, above the water or through a sparge pipe.".into(),
                input: "return.temperature",
            });
        }
        returns.push(FlashingReturn {
            name: flow.name.clone(),
            flash_steam_ratio,
            words: words(flow, flash_steam_ratio, enters),
        });
    }
    let share: f64 = system
        .returns
        .iter()
        .map(|flow| flow.share_of_outflow)
        .sum();
    if share >= 1.0 {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "returns-leave-nothing-to-control",
            what: format!("The returns bring {:.0} % of what leaves the vessel.", 100.0 * share),
            consequence: "The valve shuts and the level is no longer in its hands.".into(),
            remedy: "Check the shares; where they are right the vessel needs an overflow or a drain valve under control.".into(),
            input: "return.share",
        });
    }
    Ok((returns, findings))
}

fn flash_ratio(flow: &ReturnFlow, vessel_pa: f64) -> Result<f64, WaterError> {
    let enthalpy_j_kg = match compressed_water_enthalpy_j_kg(flow.temperature_k, flow.pressure.pa())
    {
        Err(WaterError::AboveSaturation {
            saturation_temperature_k,
            ..
        }) if flow.temperature_k <= saturation_temperature_k + BOILING_SLACK_K => {
            SaturatedWater::at_pressure_pa(flow.pressure.pa())?.liquid_enthalpy_j_kg
        }
        other => other?,
    };
    let boiling = SaturatedWater::at_pressure_pa(vessel_pa)?;
    let ratio =
        (enthalpy_j_kg - boiling.liquid_enthalpy_j_kg) / boiling.evaporation_enthalpy_j_kg();
    Ok(ratio.max(0.0))
}

fn words(flow: &ReturnFlow, flash_steam_ratio: f64, enters: bool) -> String {
    let what = if flash_steam_ratio > 0.0 {
        format!(
            "Behind its valve or trap it is two-phase: {:.1} % by mass is steam, and steam takes most of the room. Liquid sizing does not hold for that valve or trap and its pipe.",
            100.0 * flash_steam_ratio
        )
    } else {
        "It stays water: single-phase behind its valve or trap.".to_owned()
    };
    format!(
        "{what} It brings {:.0} % of what leaves the vessel{}.",
        100.0 * flow.share_of_outflow,
        if enters {
            ", which the control valve need not"
        } else {
            " only if something lifts it to the vessel's pressure"
        }
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::example_loop::{kelvin, shell_boiler};
    use crate::feedwater::example_sheet::feed_system;
    use crate::quantity::AbsolutePressure;

    fn condensate(celsius: f64, pressure_pa: f64, share_of_outflow: f64) -> ReturnFlow {
        ReturnFlow {
            name: "condensate".into(),
            share_of_outflow,
            temperature_k: kelvin(celsius),
            pressure: AbsolutePressure::from_pa(pressure_pa),
        }
    }

    fn at(vessel_pa: f64, flow: ReturnFlow) -> (FlashingReturn, Vec<&'static str>) {
        let mut the_loop = shell_boiler();
        the_loop.pressures.normal = AbsolutePressure::from_pa(vessel_pa);
        let mut system = feed_system();
        system.returns = vec![flow];
        let (mut returns, findings) = flashing_returns(&the_loop, &system).unwrap();
        (
            returns.remove(0),
            findings.iter().map(|finding| finding.code).collect(),
        )
    }

    /// Steam tables after IAPWS R7-97: hf 762.7 kJ/kg at 10 bar; hf 504.7 and hfg 2201.6 kJ/kg at 2 bar: 11.72 %.
    #[test]
    fn published_flash_of_condensate() {
        let (flashing, codes) = at(2e5, condensate(179.88, 1e6, 0.4));
        let expected = (762.7 - 504.7) / 2201.6;
        assert!(
            (flashing.flash_steam_ratio - expected).abs() < 1e-4,
            "{flashing:?}"
        );
        assert!(flashing.words.contains("two-phase"));
        assert_eq!(codes, ["return-flashes"]);
        // A thermometer half a degree high is still boiling water.
        let (high, _) = at(2e5, condensate(180.4, 1e6, 0.4));
        assert!((high.flash_steam_ratio - expected).abs() < 1e-4);
    }

    #[test]
    fn practice_cold_returns_stay_water_and_odd_ones_are_said() {
        let (cold, codes) = at(2e5, condensate(80.0, 4e5, 0.4));
        assert!(
            cold.flash_steam_ratio == 0.0
                && cold.words.contains("single-phase")
                && codes.is_empty()
        );
        assert_eq!(
            at(2e5, condensate(80.0, 1.5e5, 0.4)).1,
            ["return-cannot-enter"]
        );
        assert_eq!(
            at(2e5, condensate(80.0, 4e5, 1.0)).1,
            ["returns-leave-nothing-to-control"]
        );
        let mut system = feed_system();
        system.returns = vec![condensate(200.0, 4e5, 0.1)];
        let error = flashing_returns(&shell_boiler(), &system).unwrap_err();
        assert!(
            error.to_string().starts_with("return “condensate”:"),
            "{error}"
        );
    }

    proptest! {
        #[test]
        fn property_flash_falls_with_vessel_pressure(low in 1.1e5_f64..8e5, more in 1.01_f64..1.2) {
            let flash = |vessel_pa| at(vessel_pa, condensate(179.0, 1e6, 0.4)).0.flash_steam_ratio;
            prop_assert!(flash(low * more) < flash(low) || flash(low) == 0.0);
            prop_assert!((0.0..1.0).contains(&flash(low)));
        }
    }
}
