//! Duty points of the valve: the user's, then safety-valve set, start-up and shut-off, each with the flow that the valve must pass.
//!
//! ```text
//! boiler       w = steam + blowdown
//! tank         w = outflow + overflow − Σ returns
//! deaerator    mass    w + Σ r·W + s = W
//!              energy  w·h_w + Σ r·W·h_r + s·h_s = W·h_f
//!              so      w = [(W − Σ r·W)·h_s + Σ r·W·h_r − W·h_f]/(h_s − h_w)
//! ```
//!
//! | symbol | name                                             | unit |
//! |--------|--------------------------------------------------|------|
//! | W      | what leaves the vessel                           | kg/s |
//! | r      | share of W that a return brings                  | -    |
//! | s      | heating steam; negative: steam that is vented    | kg/s |
//! | h_s, h_f | dry saturated steam and boiling water at the vessel's pressure | J/kg |
//! | h_w, h_r | make-up and return                             | J/kg |
//!
//! **Source:** mass and energy balance. **Departures:** heating steam counts as dry saturated at the vessel's pressure; vent and heat
//! loss count as none.
//! **Checked by:** `published_deaerator_closes_both_balances`.

use crate::description::feed_system::{FeedSystem, ReturnFlow, ValveSide};
use crate::description::{Duty, Loop, VesselKind};
use crate::feedwater::error::FeedwaterError;
use crate::feedwater::sheets::DutyKind;
use crate::water::{
    SaturatedWater, WaterError, compressed_water_enthalpy_j_kg, saturation_temperature_k,
};

/// A duty as the valve meets it, before the system is solved.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveDuty {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: DutyKind,
    /// Flow through the valve, kg/s.
    pub flow_kg_s: f64,
    /// Heating steam of a deaerator, kg/s; negative: vented.
    pub heating_steam_kg_s: Option<f64>,
    /// Vessel pressure, absolute, Pa.
    pub vessel_pressure_pa: f64,
    /// Water at the supply, K.
    pub supply_temperature_k: f64,
    /// Water at the valve, K.
    pub valve_temperature_k: f64,
    /// Water that enters the vessel, K.
    pub feed_temperature_k: f64,
}

/// Is this name of the user's the start-up.
fn is_start_up(name: &str) -> bool {
    let letters: String = name
        .chars()
        .filter(char::is_ascii_alphabetic)
        .map(|letter| letter.to_ascii_lowercase())
        .collect();
    letters == "startup"
}

/// The user's duties in their order, then safety-valve set (fired vessels), start-up (unless one has that name) and shut-off.
///
/// # Errors
/// [`FeedwaterError::NoMakeUp`] or [`FeedwaterError::Water`], naming the duty.
pub fn valve_duties(
    the_loop: &Loop,
    system: &FeedSystem,
) -> Result<Vec<ValveDuty>, FeedwaterError> {
    let rise = |side| -> f64 {
        system
            .line
            .parts
            .iter()
            .filter(|part| part.side == side)
            .map(|part| part.temperature_rise_k)
            .sum()
    };
    let (rise_before_k, rise_after_k) = (rise(ValveSide::Before), rise(ValveSide::After));
    let mut duties = Vec::with_capacity(the_loop.duties.len() + 3);
    for duty in &the_loop.duties {
        let (flow_kg_s, heating_steam_kg_s) = valve_flow(the_loop, system, duty)?;
        if !(flow_kg_s > 0.0) {
            return Err(FeedwaterError::NoMakeUp {
                duty: duty.name.clone(),
                make_up_kg_s: flow_kg_s,
            });
        }
        let valve_temperature_k = duty.feed_temperature_k - rise_after_k;
        duties.push(ValveDuty {
            name: duty.name.clone(),
            kind: if is_start_up(&duty.name) {
                DutyKind::StartUp
            } else {
                DutyKind::Stated
            },
            flow_kg_s,
            heating_steam_kg_s,
            vessel_pressure_pa: duty.pressure.pa(),
            supply_temperature_k: valve_temperature_k - rise_before_k,
            valve_temperature_k,
            feed_temperature_k: duty.feed_temperature_k,
        });
    }
    let Some(smallest) = duties
        .iter()
        .min_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s))
        .cloned()
    else {
        return Ok(duties);
    };
    let has_start_up = duties.iter().any(|duty| duty.kind == DutyKind::StartUp);
    // The user's own start-up is no load to be held at the set of the safety valves.
    let largest = duties
        .iter()
        .filter(|duty| duty.kind == DutyKind::Stated)
        .max_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s))
        .cloned();
    if let Some(largest) = largest
        && the_loop.vessel.kind.is_fired()
    {
        duties.push(ValveDuty {
            name: "safety-valve set".into(),
            kind: DutyKind::SafetyValve,
            vessel_pressure_pa: the_loop.pressures.safety_valve.pa(),
            ..largest
        });
    }
    let start_up_pa = the_loop.pressures.start_up.pa();
    if !has_start_up {
        duties.push(ValveDuty {
            name: "start-up".into(),
            kind: DutyKind::StartUp,
            vessel_pressure_pa: start_up_pa,
            ..smallest.clone()
        });
    }
    duties.push(ValveDuty {
        name: "shut-off".into(),
        kind: DutyKind::ShutOff,
        flow_kg_s: 0.0,
        heating_steam_kg_s: None,
        vessel_pressure_pa: start_up_pa,
        ..smallest
    });
    Ok(duties)
}

/// Flow that the valve must pass, and the heating steam of a deaerator, kg/s.
fn valve_flow(
    the_loop: &Loop,
    system: &FeedSystem,
    duty: &Duty,
) -> Result<(f64, Option<f64>), FeedwaterError> {
    let out_kg_s = duty.steam_kg_s + duty.blowdown_kg_s;
    match the_loop.vessel.kind {
        VesselKind::ShellBoiler | VesselKind::DrumBoiler => Ok((out_kg_s, None)),
        VesselKind::VentedTank => {
            let back: f64 = system
                .returns
                .iter()
                .map(|flow| flow.share_of_outflow)
                .sum();
            Ok((out_kg_s * (1.0 - back), None))
        }
        VesselKind::Deaerator => deaerator_make_up(
            out_kg_s,
            &system.returns,
            duty.feed_temperature_k,
            duty.pressure.pa(),
        )
        .map(|(make_up, steam)| (make_up, Some(steam)))
        .map_err(|source| FeedwaterError::Water {
            duty: duty.name.clone(),
            source,
        }),
    }
}

/// Make-up and heating steam of a deaerator, kg/s; steam below 0: the returns flash more than is needed and it is vented.
///
/// # Errors
/// [`WaterError`].
pub fn deaerator_make_up(
    out_kg_s: f64,
    returns: &[ReturnFlow],
    make_up_k: f64,
    vessel_pa: f64,
) -> Result<(f64, f64), WaterError> {
    let vessel = SaturatedWater::at_pressure_pa(vessel_pa)?;
    let make_up = compressed_water_enthalpy_j_kg(make_up_k, vessel_pa)?;
    let (mut back_kg_s, mut brought_w) = (0.0, 0.0);
    for flow in returns {
        let flow_kg_s = flow.share_of_outflow * out_kg_s;
        // A return at saturation may be a hair above it by rounding of its own gauge reading.
        let temperature_k = flow
            .temperature_k
            .min(saturation_temperature_k(flow.pressure.pa())?);
        back_kg_s += flow_kg_s;
        brought_w += flow_kg_s * compressed_water_enthalpy_j_kg(temperature_k, flow.pressure.pa())?;
    }
    let steam = vessel.vapour_enthalpy_j_kg;
    let make_up_kg_s = ((out_kg_s - back_kg_s) * steam + brought_w
        - out_kg_s * vessel.liquid_enthalpy_j_kg)
        / (steam - make_up);
    Ok((make_up_kg_s, out_kg_s - back_kg_s - make_up_kg_s))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::{LinePart, Loss, ReferenceDrop};
    use crate::example_loop::{kelvin, psig, shell_boiler, vented_tank};
    use crate::feedwater::example_sheet::feed_system;
    use crate::quantity::AbsolutePressure;

    fn back(share: f64, celsius: f64) -> ReturnFlow {
        ReturnFlow {
            name: "condensate".into(),
            share_of_outflow: share,
            temperature_k: kelvin(celsius),
            pressure: psig(100.0),
        }
    }

    /// Steam tables (IAPWS R7-97 in round figures): at 1.2 bar h_f 439.3, h_g 2683.1 kJ/kg; make-up at 20 degC 84.0 kJ/kg:
    /// w/W = (2683.1 − 439.3)/(2683.1 − 84.0) = 0.8633.
    #[test]
    fn published_deaerator_closes_both_balances() {
        let (make_up, steam) = deaerator_make_up(10.0, &[], kelvin(20.0), 120_000.0).unwrap();
        assert!((make_up - 8.633).abs() < 2e-3, "{make_up}");
        assert!((make_up + steam - 10.0).abs() < 1e-12);
        // Hot returns take the place of steam; very hot ones vent it.
        let (_, less) =
            deaerator_make_up(10.0, &[back(0.5, 95.0)], kelvin(20.0), 120_000.0).unwrap();
        assert!(less > 0.0 && less < steam);
        let (_, vented) =
            deaerator_make_up(10.0, &[back(0.95, 165.0)], kelvin(60.0), 120_000.0).unwrap();
        assert!(vented < 0.0);
    }

    #[test]
    fn property_order_start_up_and_shut_off() {
        let mut the_loop = shell_boiler();
        let mut system = feed_system();
        let duties = valve_duties(&the_loop, &system).unwrap();
        let names: Vec<&str> = duties.iter().map(|duty| duty.name.as_str()).collect();
        assert_eq!(
            names,
            [
                "maximum",
                "normal",
                "low fire",
                "safety-valve set",
                "start-up",
                "shut-off"
            ]
        );
        // The largest flow at 150 psi gauge.
        assert!((duties[3].flow_kg_s - 1.65).abs() < 1e-12);
        assert!((duties[3].vessel_pressure_pa - (101_325.0 + 150.0 * 6_894.757)).abs() < 1.0);
        assert!((duties[4].flow_kg_s - 0.36).abs() < 1e-12 && duties[5].flow_kg_s.abs() <= 0.0);
        assert!((duties[4].vessel_pressure_pa - 101_325.0).abs() < 1e-6);
        the_loop.duties[2].name = "Start up".into();
        let named = valve_duties(&the_loop, &system).unwrap();
        assert_eq!(named.len(), 5);
        assert_eq!(named[2].kind, DutyKind::StartUp);
        // An economiser after the valve: its water is cooler at the valve.
        system.line.parts.push(LinePart {
            name: "economiser".into(),
            side: ValveSide::After,
            loss: Loss::Reference(ReferenceDrop {
                drop_pa: 2e4,
                flow_kg_s: 1.0,
            }),
            shared: false,
            temperature_rise_k: 30.0,
        });
        let cooler = valve_duties(&the_loop, &system).unwrap();
        assert!((cooler[0].valve_temperature_k - kelvin(55.0)).abs() < 1e-9);
        assert!((cooler[0].feed_temperature_k - kelvin(85.0)).abs() < 1e-9);
    }

    #[test]
    fn property_returns_of_a_tank_take_their_share() {
        let the_loop = vented_tank();
        let mut system = feed_system();
        system.returns = vec![ReturnFlow {
            pressure: AbsolutePressure::from_pa(150_000.0),
            ..back(0.4, 80.0)
        }];
        let duties = valve_duties(&the_loop, &system).unwrap();
        assert!((duties[0].flow_kg_s - 0.6 * 1.65).abs() < 1e-12);
        system.returns[0].share_of_outflow = 1.0;
        assert!(matches!(
            valve_duties(&the_loop, &system),
            Err(FeedwaterError::NoMakeUp { .. })
        ));
    }
}
