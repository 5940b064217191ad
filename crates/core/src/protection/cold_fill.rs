//! Cold fill: water filled cold swells on the way to pressure.

use crate::description::{Loop, Pressures, VesselKind};
use crate::finding::{Finding, Severity};
use crate::protection::ProtectionError;
use crate::protection::inventory::{
    Contents, capacity_m3, contents_in_service, level_of_volume, water_volume_m3,
};
use crate::protection::sheets::ColdFill;
use crate::quantity::TrueLevel;
use crate::water::{
    SaturatedWater, compressed_water_density_kg_m3, compressed_water_enthalpy_j_kg,
};
use crate::working::Working;

/// The cold-fill mark; `None` for a vented tank, which is filled at the temperature it works at, and for a drum boiler
/// whose circuit volume is not known.
///
/// ```text
/// heated from outside:    ρc·(Vc + C) = ρl·(Vh + C) + ρv·(V − Vh)
/// heated by live steam:   F·ρc·Vc = ρl·Vh,   F = (hg − hc)/(hg − hf)
/// ```
///
/// | symbol | name                                     | unit  |
/// |--------|------------------------------------------|-------|
/// | ρc, Vc | cold water: density, volume              | kg/m3, m3 |
/// | ρl, Vh | water at normal pressure: density, volume | kg/m3, m3 |
/// | ρv     | steam at normal pressure                 | kg/m3 |
/// | V      | whole vessel less internals              | m3    |
/// | C      | circuit outside the vessel, full of water | m3   |
/// | F      | water after heating over water filled    | kg/kg |
/// | hc, hf, hg | cold water, boiling water, steam     | J/kg  |
///
/// **Source:** conservation of mass: what was filled cold is all there hot, as water and as the steam that fills the rest.
/// A deaerator is heated by the steam blown into it: mixing balance of enthalpy, the steam that fills the rest comes from
/// outside too. **Departures:** nothing fed, blown down or drawn on the way; the air of the cold vessel is vented and weighs
/// nothing; no bubbles in the circuit; heating steam dry saturated at normal pressure, no heat lost, flow work of the
/// vessel's own contents left out (3e-4 at 0.2 bar gauge).
/// **Checked by:** `crosscheck_cold_water_swells_12_percent_at_125_psi_gauge`, `property_cold_fill_conserves_mass`,
/// `published_deaerator_takes_up_its_heating_steam`, `property_circuit_water_swells_into_the_drum`.
pub(super) fn cold_fill(
    described: &Loop,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Option<ColdFill>, ProtectionError> {
    let vessel = &described.vessel;
    if !vessel.kind.holds_steam() {
        return Ok(None);
    }
    let circuit_m3 = match (vessel.kind, vessel.circuit_volume_m3) {
        (VesselKind::DrumBoiler, None) => {
            findings.push(circuit_volume_unknown());
            return Ok(None);
        }
        (_, volume_m3) => volume_m3.unwrap_or(0.0),
    };
    let pressures = &described.pressures;
    let hot = contents_in_service(described, pressures.normal)?;
    let fill_k = pressures.start_up_water_k;
    let cold_kg_m3 = compressed_water_density_kg_m3(fill_k, pressures.start_up.pa())?;
    let whole_m3 = capacity_m3(described);
    let set_point = TrueLevel::from_m(described.limits.set_point_m);
    let set_point_m3 = water_volume_m3(described, set_point)?;

    let condensed_ratio = if vessel.kind == VesselKind::Deaerator {
        condensed(fill_k, pressures, workings)?
    } else {
        0.0
    };
    let (cold_m3, hot_m3) = if vessel.kind == VesselKind::Deaerator {
        let swell = (1.0 + condensed_ratio) * cold_kg_m3 / hot.liquid_kg_m3;
        (set_point_m3 / swell, set_point_m3 * swell)
    } else {
        let at_set_point_kg = hot.liquid_kg_m3 * (set_point_m3 + circuit_m3)
            + hot.steam_kg_m3 * (whole_m3 - set_point_m3);
        let filled_kg = cold_kg_m3 * (set_point_m3 + circuit_m3);
        (
            at_set_point_kg / cold_kg_m3 - circuit_m3,
            (filled_kg - hot.liquid_kg_m3 * circuit_m3 - hot.steam_kg_m3 * whole_m3)
                / hot.exchange_kg_m3(),
        )
    };
    workings.push(cold_volume_working(
        described,
        cold_m3,
        (cold_kg_m3, hot),
        (set_point_m3, whole_m3, circuit_m3),
        condensed_ratio,
    ));
    if !(cold_m3 > 0.0) {
        findings.push(mark_under_drum(described));
        return Ok(None);
    }
    let cold_level_m = level_of_volume(described, cold_m3)?.m();
    let goes_solid = hot_m3 >= whole_m3;
    let hot_level_m = level_of_volume(described, hot_m3.min(whole_m3))?.m();
    let fill = ColdFill {
        fill_k,
        cold_level_m,
        hot_level_m,
        volume_ratio: (1.0 + condensed_ratio) * cold_kg_m3 / hot.liquid_kg_m3,
        condensed_ratio,
    };
    let floor = floor_over_mark(described, &fill);
    findings.extend(filled_to_set_point(described, &fill, goes_solid, floor));
    findings.extend(mark_under_cutoff(described, &fill, floor));
    Ok(Some(fill))
}

/// Heating steam that condenses into the water, over the mass filled: F − 1.
fn condensed(
    fill_k: f64,
    pressures: &Pressures,
    workings: &mut Vec<Working>,
) -> Result<f64, ProtectionError> {
    let pressure_pa = pressures.normal.pa();
    let hot = SaturatedWater::at_pressure_pa(pressure_pa)?;
    let cold_j_kg = compressed_water_enthalpy_j_kg(fill_k, pressure_pa)?;
    let ratio = (hot.vapour_enthalpy_j_kg - cold_j_kg) / hot.evaporation_enthalpy_j_kg() - 1.0;
    workings.push(
        Working::new(
            "Heating steam that condenses into the water",
            "F - 1 = (hg - hc) / (hg - hf) - 1",
            ratio,
            "kg/kg",
            "mixing balance of enthalpy; IAPWS R7-97",
            "heating steam dry saturated at normal pressure; no heat lost, nothing drawn",
        )
        .with("hg", "heating steam", hot.vapour_enthalpy_j_kg, "J/kg")
        .with("hf", "boiling water", hot.liquid_enthalpy_j_kg, "J/kg")
        .with("hc", "water as filled", cold_j_kg, "J/kg"),
    );
    Ok(ratio)
}

fn cold_volume_working(
    described: &Loop,
    cold_m3: f64,
    (cold_kg_m3, hot): (f64, Contents),
    (set_point_m3, whole_m3, circuit_m3): (f64, f64, f64),
    condensed_ratio: f64,
) -> Working {
    let is_deaerator = described.vessel.kind == VesselKind::Deaerator;
    let working = Working::new(
        "Cold-fill mark: water volume",
        if is_deaerator {
            "V_c = rho_l * V_sp / (rho_c * F)"
        } else {
            "V_c = (rho_l * (V_sp + C) + rho_v * (V - V_sp)) / rho_c - C"
        },
        cold_m3,
        "m3",
        "conservation of mass; densities by IAPWS R7-97",
        "nothing fed, blown down or drawn as steam between filling and normal pressure",
    )
    .with(
        "rho_l",
        "water at normal pressure",
        hot.liquid_kg_m3,
        "kg/m3",
    )
    .with("rho_c", "water as filled", cold_kg_m3, "kg/m3")
    .with(
        "V_sp",
        "water volume under the set point",
        set_point_m3,
        "m3",
    );
    if is_deaerator {
        return working.with(
            "F",
            "water after heating over water filled",
            1.0 + condensed_ratio,
            "kg/kg",
        );
    }
    working
        .with(
            "rho_v",
            "steam at normal pressure",
            hot.steam_kg_m3,
            "kg/m3",
        )
        .with("V", "whole vessel less internals", whole_m3, "m3")
        .with(
            "C",
            "circuit outside the vessel, full of water",
            circuit_m3,
            "m3",
        )
}

/// A drum boiler whose tubes hold an unknown amount of water.
fn circuit_volume_unknown() -> Finding {
    Finding {
        severity: Severity::Note,
        code: "cold-fill-needs-circuit-volume",
        what: "There is no cold-fill mark: the water volume of the tubes, downcomers and headers is not described.".to_owned(),
        consequence: "All of that water swells into the drum as it heats, and it is often more than the drum's own: a mark from the drum alone would be far too high.".to_owned(),
        remedy: "Take the water volume of the circuit from the maker's data sheet (or meter the water that fills it from empty up to the drum's bottom) and write it as vessel.circuit-volume; until then fill as the maker's instructions say.".to_owned(),
        input: "vessel.circuit-volume",
    }
}

/// The circuit swells by more than the drum holds under the set point.
fn mark_under_drum(described: &Loop) -> Finding {
    Finding {
        severity: Severity::Warn,
        code: "cold-fill-under-vessel",
        what: format!(
            "There is no cold-fill mark: the circuit's water swells by more than the vessel holds under the set point ({:.0} % of the level span).",
            percent(described, described.limits.set_point_m)
        ),
        consequence: "However low the vessel is filled cold, water has to be blown down on the way up.".to_owned(),
        remedy: "Fill no higher than the cutoffs and the maker's instructions ask for, and blow down on the way to pressure.".to_owned(),
        input: "vessel.circuit-volume",
    }
}

fn percent(described: &Loop, level_m: f64) -> f64 {
    TrueLevel::from_m(level_m).percent(described.range.span)
}

/// Highest of the cutoffs and the heated surface that the cold-fill mark does not clear.
fn floor_over_mark(described: &Loop, fill: &ColdFill) -> Option<(f64, &'static str)> {
    let kind = described.vessel.kind;
    [
        (described.limits.low_cutoff_m, kind.first_low_trip()),
        (described.limits.second_low_cutoff_m, kind.second_low_trip()),
        (
            described.elevations.highest_heated_surface_m,
            "highest heated surface",
        ),
    ]
    .into_iter()
    .filter_map(|(mark_m, name)| mark_m.map(|mark_m| (mark_m, name)))
    .filter(|(mark_m, _)| fill.cold_level_m <= *mark_m)
    .max_by(|a, b| a.0.total_cmp(&b.0))
}

/// What follows from filling cold to the set point.
fn filled_to_set_point(
    described: &Loop,
    fill: &ColdFill,
    goes_solid: bool,
    floor: Option<(f64, &'static str)>,
) -> Option<Finding> {
    let passed = if goes_solid {
        Some((Severity::Stop, "the top of the vessel"))
    } else {
        [
            (
                described.elevations.upper_tap_m,
                Severity::Warn,
                "the upper tap, where the cell is blind",
            ),
            (
                described.limits.high_trip_m,
                Severity::Warn,
                "the high trip",
            ),
            (
                described.limits.high_alarm_m,
                Severity::Note,
                "the high alarm",
            ),
        ]
        .into_iter()
        .find(|(mark_m, ..)| mark_m.is_some_and(|mark_m| fill.hot_level_m >= mark_m))
        .map(|(_, severity, name)| (severity, name))
    };
    let (severity, name) = passed?;
    Some(Finding {
        severity,
        code: "cold-fill-swells",
        what: format!(
            "Filled cold to the set point, the water swells by {:.1} % of its volume{} and reaches {name} at normal pressure ({:.0} % of the level span).",
            100.0 * (fill.volume_ratio - 1.0),
            if fill.condensed_ratio > 0.0 {
                ", heating steam condensed into it counted,"
            } else {
                ""
            },
            percent(described, fill.hot_level_m),
        ),
        consequence: if described.vessel.kind.is_fired() {
            "Water has to be blown down on the way up, or it leaves with the steam.".to_owned()
        } else {
            "Water has to be drawn off on the way up, or it leaves by the overflow or floods the vessel.".to_owned()
        },
        remedy: match floor {
            None => format!(
                "Fill cold to {:.0} % of the level span, true level.",
                percent(described, fill.cold_level_m)
            ),
            Some((_, name)) if described.vessel.kind.is_fired() => format!(
                "Fill cold no higher than the burner needs above the {name}, and blow down on the way to pressure."
            ),
            Some((_, name)) => format!(
                "Fill cold no higher than the pumps need above {name}, and draw off on the way to pressure."
            ),
        },
        input: "pressures.start-up-water",
    })
}

/// The cold-fill mark lies where a cutoff keeps the burner off or a heated surface dry.
fn mark_under_cutoff(
    described: &Loop,
    fill: &ColdFill,
    floor: Option<(f64, &'static str)>,
) -> Option<Finding> {
    let (mark_m, name) = floor?;
    Some(Finding {
        severity: Severity::Warn,
        code: "cold-fill-under-cutoff",
        what: format!(
            "The cold level that swells to the set point ({:.0} % of the level span) is not above the {name} ({:.0} %).",
            percent(described, fill.cold_level_m),
            percent(described, mark_m),
        ),
        consequence: if described.vessel.kind.is_fired() {
            "Filled to that mark the burner must not be lit.".to_owned()
        } else {
            "Filled to that mark the pumps must not be started.".to_owned()
        },
        remedy: format!(
            "Fill above the {name}, and {} on the way to pressure.",
            if described.vessel.kind.is_fired() {
                "blow down"
            } else {
                "draw off"
            }
        ),
        input: "limits.set-point",
    })
}

#[cfg(test)]
#[path = "cold_fill_tests.rs"]
mod tests;
