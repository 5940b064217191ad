//! Cold fill: water filled cold swells on the way to pressure.

use crate::description::Loop;
use crate::finding::{Finding, Severity};
use crate::protection::ProtectionError;
use crate::protection::inventory::{
    capacity_m3, contents_in_service, level_of_volume, water_volume_m3,
};
use crate::protection::sheets::ColdFill;
use crate::quantity::TrueLevel;
use crate::water::compressed_water_density_kg_m3;
use crate::working::Working;

/// The cold-fill mark; `None` for a vented tank, which is filled at the temperature it works at.
///
/// ```text
/// ρc·Vc = ρl·Vh + ρv·(V − Vh)
/// ```
///
/// | symbol | name                                     | unit  |
/// |--------|------------------------------------------|-------|
/// | ρc, Vc | cold water: density, volume              | kg/m3, m3 |
/// | ρl, Vh | water at normal pressure: density, volume | kg/m3, m3 |
/// | ρv     | steam at normal pressure                 | kg/m3 |
/// | V      | whole vessel less internals              | m3    |
///
/// **Source:** the mass filled cold is all there hot, as water and as the steam that fills the rest. **Departures:**
/// nothing fed, blown down or drawn as steam on the way; the air of the cold vessel is vented and weighs nothing.
/// **Checked by:** `crosscheck_cold_water_swells_12_percent_at_125_psi_gauge`, `property_cold_fill_conserves_mass`.
pub(super) fn cold_fill(
    described: &Loop,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Option<ColdFill>, ProtectionError> {
    if !described.vessel.kind.holds_steam() {
        return Ok(None);
    }
    let pressures = &described.pressures;
    let hot = contents_in_service(described, pressures.normal)?;
    let fill_k = pressures.start_up_water_k;
    let cold_kg_m3 = compressed_water_density_kg_m3(fill_k, pressures.start_up.pa())?;
    let whole_m3 = capacity_m3(described);
    let set_point = TrueLevel::from_m(described.limits.set_point_m);
    let set_point_m3 = water_volume_m3(described, set_point)?;

    let mass_at_set_point_kg =
        hot.liquid_kg_m3 * set_point_m3 + hot.steam_kg_m3 * (whole_m3 - set_point_m3);
    let cold_m3 = mass_at_set_point_kg / cold_kg_m3;
    let cold_level_m = level_of_volume(described, cold_m3)?.m();

    let hot_m3 = (cold_kg_m3 * set_point_m3 - hot.steam_kg_m3 * whole_m3) / hot.exchange_kg_m3();
    let goes_solid = hot_m3 >= whole_m3;
    let hot_level_m = level_of_volume(described, hot_m3.min(whole_m3))?.m();
    let volume_ratio = cold_kg_m3 / hot.liquid_kg_m3;

    workings.push(
        Working::new(
            "Cold-fill mark: water volume",
            "V_c = (rho_l * V_sp + rho_v * (V - V_sp)) / rho_c",
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
        .with(
            "rho_v",
            "steam at normal pressure",
            hot.steam_kg_m3,
            "kg/m3",
        )
        .with("rho_c", "water as filled", cold_kg_m3, "kg/m3")
        .with(
            "V_sp",
            "water volume under the set point",
            set_point_m3,
            "m3",
        )
        .with("V", "whole vessel less internals", whole_m3, "m3"),
    );
    let fill = ColdFill {
        fill_k,
        cold_level_m,
        hot_level_m,
        volume_ratio,
    };
    let floor = floor_over_mark(described, &fill);
    findings.extend(filled_to_set_point(described, &fill, goes_solid, floor));
    findings.extend(mark_under_cutoff(described, &fill, floor));
    Ok(Some(fill))
}

fn percent(described: &Loop, level_m: f64) -> f64 {
    TrueLevel::from_m(level_m).percent(described.range.span)
}

/// Highest of the cutoffs and the heated surface that the cold-fill mark does not clear.
fn floor_over_mark(described: &Loop, fill: &ColdFill) -> Option<(f64, &'static str)> {
    [
        (described.limits.low_cutoff_m, "the first low-water cutoff"),
        (
            described.limits.second_low_cutoff_m,
            "the second low-water cutoff",
        ),
        (
            described.elevations.highest_heated_surface_m,
            "the highest heated surface",
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
            "Filled cold to the set point, the water swells by {:.1} % of its volume and reaches {name} at normal pressure ({:.0} % of the level span).",
            100.0 * (fill.volume_ratio - 1.0),
            percent(described, fill.hot_level_m),
        ),
        consequence: "Water has to be blown down on the way up, or it leaves with the steam."
            .to_owned(),
        remedy: match floor {
            None => format!(
                "Fill cold to {:.0} % of the level span, true level.",
                percent(described, fill.cold_level_m)
            ),
            Some((_, name)) => format!(
                "Fill cold no higher than the burner needs above {name}, and blow down on the way to pressure."
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
            "The cold level that swells to the set point ({:.0} % of the level span) is not above {name} ({:.0} %).",
            percent(described, fill.cold_level_m),
            percent(described, mark_m),
        ),
        consequence: "Filled to that mark the burner must not be lit.".to_owned(),
        remedy: format!("Fill above {name}, and blow down on the way to pressure."),
        input: "limits.set-point",
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::example_loop::{kelvin, psig, shell_boiler};
    use crate::protection::signal_loss_sheet;
    use crate::vessel::{HeadKind, Orientation, Shell};

    fn filled(described: &Loop) -> (ColdFill, Vec<Finding>) {
        let sheet = signal_loss_sheet(described).unwrap();
        (sheet.cold_fill.unwrap(), sheet.findings)
    }

    /// CoolProp 8.0.0 (IAPWS-95): 998.207 kg/m3 at 20 degC and 1 atm over 888.857 kg/m3 boiling at 125 psi(g).
    #[test]
    fn crosscheck_cold_water_swells_12_percent_at_125_psi_gauge() {
        let (fill, _) = filled(&shell_boiler());
        assert!(
            (fill.volume_ratio - 998.207 / 888.857).abs() < 1e-5,
            "{fill:?}"
        );
        assert!((fill.volume_ratio - 1.12).abs() < 5e-3);
    }

    /// Standing straight vessel: level over the bottom scales with the volume, steam's weight taken off by hand.
    #[test]
    fn crosscheck_cold_mark_of_a_straight_vessel() {
        let mut described = shell_boiler();
        described.vessel.shell =
            Shell::new(Orientation::Vertical, 1.4, 4.0, HeadKind::Flat).unwrap();
        let (fill, _) = filled(&described);
        let bottom_m = described.vessel.lower_tap_above_bottom_m;
        let hot_m = described.limits.set_point_m + bottom_m;
        // CoolProp 8.0.0 (IAPWS-95), as above, and 4.964 kg/m3 of steam.
        let cold_m = (888.857 * hot_m + 4.964 * (4.0 - hot_m)) / 998.207;
        assert!(
            (fill.cold_level_m + bottom_m - cold_m).abs() < 1e-4,
            "{fill:?} {cold_m}"
        );
    }

    proptest! {
        #[test]
        fn property_cold_fill_conserves_mass(psi in 5.0_f64..300.0, celsius in 5.0_f64..80.0, set_point in 0.13_f64..0.35) {
            let mut described = shell_boiler();
            described.pressures.normal = psig(psi);
            described.pressures.start_up_water_k = kelvin(celsius);
            described.limits.set_point_m = set_point;
            let (fill, _) = filled(&described);
            let hot = contents_in_service(&described, described.pressures.normal).unwrap();
            let cold_kg_m3 = compressed_water_density_kg_m3(kelvin(celsius), psig(0.0).pa()).unwrap();
            let volume = |level_m| water_volume_m3(&described, TrueLevel::from_m(level_m)).unwrap();
            let hot_kg = |level_m| hot.liquid_kg_m3 * volume(level_m)
                + hot.steam_kg_m3 * (capacity_m3(&described) - volume(level_m));
            prop_assert!((cold_kg_m3 * volume(fill.cold_level_m) / hot_kg(set_point) - 1.0).abs() < 1e-9);
            if fill.hot_level_m + described.vessel.lower_tap_above_bottom_m < 2.199 {
                prop_assert!((cold_kg_m3 * volume(set_point) / hot_kg(fill.hot_level_m) - 1.0).abs() < 1e-9);
            }
            prop_assert!(fill.cold_level_m < set_point && fill.hot_level_m > set_point);
        }
    }

    #[test]
    fn practice_cold_fill_findings_follow_the_marks() {
        let code = |change: fn(&mut Loop), code: &str| {
            let mut described = shell_boiler();
            change(&mut described);
            filled(&described)
                .1
                .into_iter()
                .find(|finding| finding.code == code)
        };
        // 12 % of the water under the set point is about 0.2 m here: past the upper tap or the high trip.
        let swells = code(|_| {}, "cold-fill-swells").unwrap();
        assert_eq!(swells.severity, Severity::Warn);
        assert!(swells.what.contains("12.3 %"), "{}", swells.what);
        // Barely warm: nothing to tell.
        let warm = |described: &mut Loop| {
            described.pressures.normal = psig(1.0);
            described.pressures.start_up_water_k = kelvin(95.0);
        };
        assert!(code(warm, "cold-fill-swells").is_none());
        assert!(code(warm, "cold-fill-under-cutoff").is_none());
        let under = code(|_| {}, "cold-fill-under-cutoff").unwrap();
        assert!(
            under.what.contains("cutoff") || under.what.contains("heated"),
            "{}",
            under.what
        );
    }

    #[test]
    fn practice_vessel_that_goes_solid_is_a_stop() {
        let mut described = shell_boiler();
        described.vessel.shell =
            Shell::new(Orientation::Horizontal, 1.87, 4.5, HeadKind::Flat).unwrap();
        let (fill, findings) = filled(&described);
        let top_m = 1.87 - described.vessel.lower_tap_above_bottom_m;
        assert!((fill.hot_level_m - top_m).abs() < 1e-9, "{fill:?}");
        let solid = findings
            .iter()
            .find(|finding| finding.code == "cold-fill-swells")
            .unwrap();
        assert_eq!(solid.severity, Severity::Stop);
        assert!(solid.what.contains("top of the vessel"));
    }

    #[test]
    fn property_boiling_fill_water_is_refused() {
        let mut described = shell_boiler();
        described.pressures.start_up_water_k = kelvin(120.0);
        assert!(matches!(
            signal_loss_sheet(&described),
            Err(ProtectionError::Water(_))
        ));
    }
}
