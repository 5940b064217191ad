//! A drum boiler's model from its loop: drum and taps as surveyed, the circuit scaled from the published unit and listed.
//!
//! Nobody surveys risers, downcomers and metal for a level loop. They are taken in proportion to the steam of the largest duty as
//! the 160 MW unit has them at its published working point (50.4 kg/s at 8.5 MPa), or to the circuit's volume where that is known.
//! The drum's metal goes with pressure and volume, as a thin wall's does; the steam under the surface with the drum's volume.
//!
//! **Source:** ratios of Åström & Bell, Automatica 36 (2000) 363-378; thin wall t = p·D/(2·f), hence mass ∝ p·V.
//! **Departures:** the scaling itself is common practice at best, and said so in the assumptions.
//! **Checked by:** `property_published_unit_comes_back`, `property_invented_loop_stands_still`, `property_assumptions_are_listed`.

use crate::description::{Duty, Loop, VesselKind};
use crate::finding::Assumption;
use crate::quantity::TrueLevel;
use crate::water::{SaturatedWater, compressed_water_enthalpy_j_kg};

use super::drum::{DrumLoad, DrumParameters, DrumSteam};
use super::error::DynamicsError;
use super::start::largest;

/// Steam of the published unit at its working point, kg/s.
const PUBLISHED_STEAM_KG_S: f64 = 50.4195;
/// Its pressure there, Pa.
const PUBLISHED_PRESSURE_PA: f64 = 8.5e6;
/// Density of its steam there, kg/m3 (IAPWS R7-97).
const PUBLISHED_STEAM_KG_M3: f64 = 45.6084;
/// Steam under its surface there, m3.
const PUBLISHED_DRUM_STEAM_M3: f64 = 4.9;

/// A drum boiler's sizes, and what was assumed for them.
///
/// `steam` says where the steam under the surface stands, which is not known: run both and show the band.
///
/// # Errors
/// [`DynamicsError`] for another kind of vessel, without a duty that draws steam, or where the vessel is none.
pub fn drum_parameters(
    the_loop: &Loop,
    steam: DrumSteam,
) -> Result<(DrumParameters, Vec<Assumption>), DynamicsError> {
    let vessel = &the_loop.vessel;
    if vessel.kind != VesselKind::DrumBoiler {
        return Err(DynamicsError::NoSteadyState {
            why: "this vessel is no drum boiler".into(),
        });
    }
    let Some(duty) = largest(the_loop).filter(|duty| duty.steam_kg_s > 0.0) else {
        return Err(DynamicsError::NoSteadyState {
            why: "no duty draws steam".into(),
        });
    };
    let unit = DrumParameters::published_160_mw();
    let by_steam = duty.steam_kg_s / PUBLISHED_STEAM_KG_S;
    let published_circuit_m3 = unit.riser_volume_m3 + unit.downcomer_volume_m3;
    // A circuit of nothing is a drum without tubes: no natural circulation to model.
    let by_circuit = match vessel.circuit_volume_m3 {
        Some(volume_m3) => volume_m3 / published_circuit_m3,
        None => by_steam,
    };

    let drum_volume_m3 = vessel.shell.capacity_with_internals_m3(&vessel.internals);
    let tap_m = vessel.lower_tap_above_bottom_m;
    let set_m = tap_m + the_loop.limits.set_point_m;
    let centre_m = 0.5 * vessel.shell.height_m();
    let drum_area_m2 = vessel
        .shell
        .free_surface_with_internals_m2(&vessel.internals, set_m)?;
    // Exact at the set point, where the surface's one area is taken.
    let volume_below_centre_m3 = vessel
        .shell
        .volume_with_internals_m3(&vessel.internals, set_m)?
        + drum_area_m2 * (centre_m - set_m);

    let safety_pa = the_loop.pressures.safety_valve.pa();
    let by_drum = drum_volume_m3 / unit.drum_volume_m3;
    let riser_metal_kg = unit.riser_metal_kg * by_circuit;
    let downcomer_metal_kg =
        (unit.total_metal_kg - unit.riser_metal_kg - unit.drum_metal_kg) * by_circuit;
    let drum_metal_kg = unit.drum_metal_kg * by_drum * safety_pa / PUBLISHED_PRESSURE_PA;

    let water = SaturatedWater::at_pressure_pa(duty.pressure.pa())?;
    // As the mass of steam that fills the drum, over the flow.
    let steam_residence_s = unit.steam_residence_s * by_drum / by_steam
        * water.vapour_density_kg_m3
        / PUBLISHED_STEAM_KG_M3;
    let feed_j_kg = compressed_water_enthalpy_j_kg(duty.feed_temperature_k, duty.pressure.pa())?;
    let condensed_kg_s = (duty.steam_kg_s + duty.blowdown_kg_s)
        * (water.liquid_enthalpy_j_kg - feed_j_kg)
        / water.evaporation_enthalpy_j_kg();
    let undisturbed_steam_m3 = PUBLISHED_DRUM_STEAM_M3 * by_drum
        + steam_residence_s * condensed_kg_s / water.vapour_density_kg_m3;

    let parameters = DrumParameters {
        drum_volume_m3,
        riser_volume_m3: unit.riser_volume_m3 * by_circuit,
        downcomer_volume_m3: unit.downcomer_volume_m3 * by_circuit,
        drum_area_m2,
        downcomer_area_m2: unit.downcomer_area_m2 * by_circuit,
        total_metal_kg: riser_metal_kg + downcomer_metal_kg + drum_metal_kg,
        riser_metal_kg,
        drum_metal_kg,
        steam_residence_s,
        undisturbed_steam_m3,
        gravity_m_s2: the_loop.site.gravity_m_s2,
        volume_below_centre_m3,
        lower_tap_above_centre_m: tap_m - centre_m,
        steam,
        ..unit
    };
    parameters.check()?;
    let assumptions = assumptions(&parameters, vessel.circuit_volume_m3.is_some());
    Ok((parameters, assumptions))
}

/// A duty of the loop at its set point.
///
/// # Errors
/// [`DynamicsError::Water`] where the feed is no water at that pressure.
pub fn drum_load(the_loop: &Loop, duty: &Duty) -> Result<DrumLoad, DynamicsError> {
    let pressure_pa = duty.pressure.pa();
    Ok(DrumLoad {
        pressure_pa,
        steam_kg_s: duty.steam_kg_s,
        blowdown_kg_s: duty.blowdown_kg_s,
        feed_enthalpy_j_kg: compressed_water_enthalpy_j_kg(duty.feed_temperature_k, pressure_pa)?,
        level: TrueLevel::from_m(the_loop.limits.set_point_m),
    })
}

fn assumptions(parameters: &DrumParameters, circuit_known: bool) -> Vec<Assumption> {
    let assumption = |input, value, why| Assumption { input, value, why };
    vec![
        assumption(
            "simulation.circuit",
            format!(
                "risers {:.2} m3, downcomers {:.2} m3 of {:.4} m2",
                parameters.riser_volume_m3,
                parameters.downcomer_volume_m3,
                parameters.downcomer_area_m2
            ),
            if circuit_known {
                "assumed: the circuit's surveyed volume, shared between risers and downcomers as in the 160 MW unit of Åström and Bell (2000): it decides how far the level swells"
            } else {
                "assumed: in proportion to the largest steam flow from the 160 MW unit of Åström and Bell (2000), not surveyed: it decides how far the level swells; state the circuit's volume if it is known"
            },
        ),
        assumption(
            "simulation.metal-mass",
            format!(
                "{:.0} kg, of it risers {:.0} kg and drum {:.0} kg",
                parameters.total_metal_kg, parameters.riser_metal_kg, parameters.drum_metal_kg
            ),
            "assumed: tubes in proportion to their volume, the drum to volume and safety valve's pressure, from the same unit: it slows the pressure",
        ),
        assumption(
            "simulation.circulation",
            format!(
                "friction {:.0}, steam slip {:.1}, metal {:.0} J/(kg K)",
                parameters.friction, parameters.beta, parameters.metal_heat_capacity_j_kg_k
            ),
            "assumed: as the same unit: they decide how fast steam leaves the risers",
        ),
        assumption(
            "simulation.drum-steam",
            format!(
                "{:.1} s in the water, {:.2} m3 undisturbed",
                parameters.steam_residence_s, parameters.undisturbed_steam_m3
            ),
            "assumed: an eighth of the drum at the largest duty, and a stay that goes with drum, flow and steam's density, from the same unit: it decides how deep the level shrinks on cold feed",
        ),
        assumption(
            "simulation.drum-steam-place",
            match parameters.steam {
                DrumSteam::AboveTap => "all above the lower tap",
                DrumSteam::Even => "even through the drum's water",
            }
            .into(),
            "assumed: bubbles below the lower tap push water above it, where the cell weighs it; not known: both ends make a band",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dynamics::drum::DrumBoiler;
    use crate::dynamics::vessel::VesselModel;
    use crate::example_loop::{drum_boiler, kelvin, psig, shell_boiler};
    use crate::quantity::AbsolutePressure;
    use crate::vessel::{HeadKind, Orientation, Shell};

    /// The invented drum boiler, in a drum's usual size.
    fn invented() -> Loop {
        let mut described = drum_boiler();
        described.vessel.shell =
            Shell::new(Orientation::Horizontal, 1.2, 4.0, HeadKind::Flat).unwrap();
        described.vessel.lower_tap_above_bottom_m = 0.3;
        described
    }

    /// A loop with the published unit's drum and duty gives the published numbers back.
    #[test]
    fn property_published_unit_comes_back() {
        let unit = DrumParameters::published_160_mw();
        let mut described = invented();
        // 40 m3 with 20 m2 at the centre line: D = 40·4/(π·20).
        let diameter_m = 8.0 / std::f64::consts::PI;
        described.vessel.shell = Shell::new(
            Orientation::Horizontal,
            diameter_m,
            20.0 / diameter_m,
            HeadKind::Flat,
        )
        .unwrap();
        described.vessel.lower_tap_above_bottom_m = 0.5 * diameter_m - 0.3;
        described.limits.set_point_m = 0.3;
        described.site.gravity_m_s2 = 9.81;
        described.pressures.safety_valve = AbsolutePressure::from_pa(8.5e6);
        let duty = &mut described.duties[0];
        duty.steam_kg_s = 50.4195;
        duty.blowdown_kg_s = 0.0;
        duty.pressure = AbsolutePressure::from_pa(8.5e6);
        // Water of 1 047.009 kJ/kg at 8.5 MPa.
        duty.feed_temperature_k = kelvin(241.87);
        let (found, _) = drum_parameters(&described, DrumSteam::AboveTap).unwrap();
        for (found, expected, relative) in [
            (found.drum_volume_m3, unit.drum_volume_m3, 1e-9),
            (found.drum_area_m2, unit.drum_area_m2, 1e-9),
            (found.volume_below_centre_m3, 20.0, 1e-9),
            (found.lower_tap_above_centre_m, -0.3, 1e-9),
            (found.riser_volume_m3, unit.riser_volume_m3, 1e-9),
            (found.downcomer_area_m2, unit.downcomer_area_m2, 1e-9),
            (found.total_metal_kg, unit.total_metal_kg, 1e-9),
            (found.steam_residence_s, unit.steam_residence_s, 1e-5),
            (found.undisturbed_steam_m3, unit.undisturbed_steam_m3, 1e-3),
        ] {
            assert!(
                (found - expected).abs() <= relative * expected.abs(),
                "{found} against {expected}"
            );
        }
    }

    /// Every duty stands still, with circulation and void that a boiler of natural circulation has.
    #[test]
    fn property_invented_loop_stands_still() {
        for (steam, circuit_volume_m3) in [
            (DrumSteam::AboveTap, None),
            (DrumSteam::Even, None),
            (DrumSteam::Even, Some(3.0)),
        ] {
            let mut described = invented();
            described.vessel.circuit_volume_m3 = circuit_volume_m3;
            let (parameters, _) = drum_parameters(&described, steam).unwrap();
            for duty in &described.duties {
                let load = drum_load(&described, duty).unwrap();
                let (mut boiler, boundary) = DrumBoiler::steady(parameters, &load).unwrap();
                let before = boiler.view().unwrap();
                assert!((before.true_level.m() - described.limits.set_point_m).abs() < 1e-9);
                assert!((0.0..0.5).contains(&before.void_ratio), "{before:?}");
                let quality = boiler.state().quality;
                // Circulation of 10 to 500 (practice: low pressure and part load circulate most).
                assert!((0.002..0.1).contains(&quality), "{quality}");
                boiler.advance(&boundary, 600.0).unwrap();
                let after = boiler.view().unwrap();
                assert!((after.true_level.m() - before.true_level.m()).abs() < 1e-6);
                assert!((after.pressure_pa / before.pressure_pa - 1.0).abs() < 1e-6);
            }
        }
    }

    /// Swell on a load step at the invented drum: the surface rises first.
    #[test]
    fn property_invented_loop_swells() {
        let described = invented();
        let (parameters, _) = drum_parameters(&described, DrumSteam::Even).unwrap();
        let load = drum_load(&described, &described.duties[1]).unwrap();
        let (mut boiler, mut boundary) = DrumBoiler::steady(parameters, &load).unwrap();
        let before = boiler.view().unwrap();
        boundary.steam_kg_s *= 1.3;
        boiler.advance(&boundary, 5.0).unwrap();
        let after = boiler.view().unwrap();
        assert!(after.true_level > before.true_level);
        assert!(after.mixture_surface_m > before.mixture_surface_m + 0.002);
    }

    #[test]
    fn property_assumptions_are_listed() {
        let (_, assumptions) = drum_parameters(&invented(), DrumSteam::Even).unwrap();
        assert_eq!(assumptions.len(), 5);
        for assumption in &assumptions {
            assert!(assumption.input.starts_with("simulation."));
            assert!(assumption.why.starts_with("assumed: "), "{assumption:?}");
        }
        let mut known = invented();
        known.vessel.circuit_volume_m3 = Some(4.8);
        let (parameters, _) = drum_parameters(&known, DrumSteam::Even).unwrap();
        assert!((parameters.riser_volume_m3 - 3.7).abs() < 1e-12);
        assert!((parameters.downcomer_volume_m3 - 1.1).abs() < 1e-12);
    }

    #[test]
    fn property_other_vessels_are_refused() {
        assert!(drum_parameters(&shell_boiler(), DrumSteam::Even).is_err());
        let mut idle = invented();
        idle.duties.clear();
        assert!(drum_parameters(&idle, DrumSteam::Even).is_err());
        let mut bare = invented();
        bare.vessel.circuit_volume_m3 = Some(0.0);
        bare.pressures.safety_valve = psig(150.0);
        assert!(drum_parameters(&bare, DrumSteam::Even).is_err());
    }
}
