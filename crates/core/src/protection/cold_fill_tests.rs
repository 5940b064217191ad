//! The cold-fill mark against densities and steam tables, and what is found about it.

use proptest::prelude::*;

use super::*;
use crate::example_loop::{kelvin, psig, shell_boiler};
use crate::protection::signal_loss_sheet;
use crate::quantity::AbsolutePressure;
use crate::vessel::{HeadKind, Orientation, Shell};

fn filled(described: &Loop) -> (ColdFill, Vec<Finding>) {
    let sheet = signal_loss_sheet(described, None).unwrap();
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
    described.vessel.shell = Shell::new(Orientation::Vertical, 1.4, 4.0, HeadKind::Flat).unwrap();
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

/// Steam tables after IAPWS R7-97: hf 440.2, hg 2683.4 kJ/kg at 105 degC (1.209 bar absolute), h 63.0 kJ/kg at 15 degC:
/// 16.8 % more water; 999.1 over 954.7 kg/m3.
#[test]
fn published_deaerator_takes_up_its_heating_steam() {
    let mut described = shell_boiler();
    described.vessel.kind = VesselKind::Deaerator;
    described.vessel.shell = Shell::new(Orientation::Vertical, 1.4, 4.0, HeadKind::Flat).unwrap();
    described.pressures.normal = AbsolutePressure::from_pa(120_900.0);
    described.pressures.start_up_water_k = kelvin(15.0);
    let (fill, _) = filled(&described);
    let gain: f64 = (2683.4 - 63.0) / (2683.4 - 440.2);
    assert!(
        (fill.condensed_ratio - (gain - 1.0)).abs() < 3e-4,
        "{fill:?}"
    );
    let bottom_m = described.vessel.lower_tap_above_bottom_m;
    let hot_m = described.limits.set_point_m + bottom_m;
    let swell = gain * 999.1 / 954.7;
    assert!((fill.cold_level_m + bottom_m - hot_m / swell).abs() < 1e-3);
    assert!((fill.hot_level_m + bottom_m - hot_m * swell).abs() < 1e-3);
}

/// Standing straight drum: its level falls by what the circuit swells, by hand with CoolProp 8.0.0 densities.
#[test]
fn property_circuit_water_swells_into_the_drum() {
    let mut described = shell_boiler();
    described.vessel.kind = VesselKind::DrumBoiler;
    described.vessel.shell = Shell::new(Orientation::Vertical, 1.4, 4.0, HeadKind::Flat).unwrap();
    let sheet = signal_loss_sheet(&described, None).unwrap();
    assert_eq!(sheet.cold_fill, None);
    let has = |findings: &[Finding], code| findings.iter().any(|finding| finding.code == code);
    assert!(has(&sheet.findings, "cold-fill-needs-circuit-volume"));

    described.vessel.circuit_volume_m3 = Some(0.0);
    let (alone, findings) = filled(&described);
    assert!(!has(&findings, "cold-fill-needs-circuit-volume"));
    described.vessel.circuit_volume_m3 = Some(3.0);
    let (whole, _) = filled(&described);
    let area_m2 = std::f64::consts::PI * 0.7 * 0.7;
    let cold_m = 3.0 * (1.0 - 888.857 / 998.207) / area_m2;
    assert!((alone.cold_level_m - whole.cold_level_m - cold_m).abs() < 1e-4);
    let hot_m = 3.0 * (998.207 - 888.857) / (888.857 - 4.964) / area_m2;
    assert!((whole.hot_level_m - alone.hot_level_m - hot_m).abs() < 1e-4);

    described.vessel.circuit_volume_m3 = Some(60.0);
    let sheet = signal_loss_sheet(&described, None).unwrap();
    assert_eq!(sheet.cold_fill, None);
    assert!(has(&sheet.findings, "cold-fill-under-vessel"));
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
        signal_loss_sheet(&described, None),
        Err(ProtectionError::Water(_))
    ));
}
