//! Cool-down: a closed vessel that cools pulls a vacuum.

use crate::description::{Loop, ReferenceLeg, UnitSystem};
use crate::finding::{Finding, Severity};
use crate::protection::ProtectionError;
use crate::protection::sheets::CoolDown;
use crate::water::saturation_pressure_pa;
use crate::working::Working;

/// Freezing point; the saturation line starts here, K.
const FREEZING_K: f64 = 273.15;

/// Pressure of the closed vessel at the lowest ambient temperature against the cell's limit; `None` for a vented tank.
///
/// The head of the legs is not counted in the cell's favour: a leg may have flashed or drained.
///
/// **Source:** IAPWS R7-97 saturation line. **Departures:** no air has leaked in; below freezing, the pressure at
/// 273.15 K. **Checked by:** `crosscheck_cool_down_pressure`.
pub(super) fn cool_down(
    described: &Loop,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Option<CoolDown>, ProtectionError> {
    if !described.vessel.kind.holds_steam() {
        return Ok(None);
    }
    let ambient_k = described.site.ambient_lowest_k;
    // A NaN must reach the checked call, hence no `max`.
    let water_k = if ambient_k < FREEZING_K {
        FREEZING_K
    } else {
        ambient_k
    };
    let pressure_pa = saturation_pressure_pa(water_k)?;
    let cell_limit_pa = described.cell.vacuum_limit.pa();
    let breaker = described.vessel.vacuum_breaker;
    let exceeds = !breaker && pressure_pa < cell_limit_pa;
    workings.push(
        Working::new(
            "Pressure of the closed vessel after cooling down",
            "p = p_sat(T)",
            pressure_pa,
            "Pa",
            "IAPWS R7-97 saturation line",
            "closed vessel, no air leaked in, no vacuum breaker; below freezing taken at 273.15 K",
        )
        .with("T", "lowest ambient temperature", ambient_k, "K"),
    );
    if exceeds {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "vacuum-beyond-cell",
            what: format!(
                "Cooled to the lowest ambient temperature, the closed vessel pulls a vacuum down to {}; the lowest that the cell may see is {}.",
                absolute_words(described, pressure_pa),
                absolute_words(described, cell_limit_pa)
            ),
            consequence: "The cell's fill may degas: its zero shifts for good.".to_owned(),
            remedy: "Fit a vacuum breaker, or vent the vessel before it is cold; where the cell must be blocked off instead, vent it to the air as well, since water locked in a cell shrinks and swells with its temperature.".to_owned(),
            input: "cell.vacuum-limit",
        });
    }
    if !breaker {
        findings.push(Finding {
            severity: Severity::Note,
            code: "cool-down-pulls-vacuum",
            what: "Without a vacuum breaker the vessel pulls a vacuum as it cools.".to_owned(),
            consequence: format!(
                "It draws feed through a leaking valve and floods{}.",
                match described.reference_leg {
                    ReferenceLeg::Wet { .. } =>
                        ", and the reference leg flashes where it is still warm: at the next start the cell reads high until the leg is full again",
                    ReferenceLeg::Sealed { .. } =>
                        ", and the fill fluid of the seals must stand the vacuum",
                    ReferenceLeg::Dry { .. } | ReferenceLeg::None => "",
                }
            ),
            remedy: "Shut the feed stop valve, vent as the pressure falls away, and check level by glass and the leg's filling before the next start.".to_owned(),
            input: "vessel.vacuum-breaker",
        });
    }
    Ok(Some(CoolDown {
        pressure_pa,
        cell_limit_pa,
        vacuum_breaker: breaker,
        exceeds,
    }))
}

/// An absolute pressure near vacuum in the reader's unit.
fn absolute_words(described: &Loop, pa: f64) -> String {
    match described.identity.units {
        UnitSystem::Us => format!("{:.2} psi(a)", pa / 6_894.757_293_168),
        UnitSystem::Si => format!("{:.3} bar(a)", pa / 1.0e5),
    }
}

#[cfg(test)]
mod tests {
    use crate::description::Loop;
    use crate::example_loop::{kelvin, shell_boiler};
    use crate::protection::sheets::CoolDown;
    use crate::protection::{ProtectionError, signal_loss_sheet};
    use crate::quantity::AbsolutePressure;

    fn cooled(change: impl FnOnce(&mut Loop)) -> (CoolDown, Vec<&'static str>) {
        let mut described = shell_boiler();
        change(&mut described);
        let sheet = signal_loss_sheet(&described, None).unwrap();
        let codes = sheet.findings.iter().map(|finding| finding.code).collect();
        (sheet.cool_down.unwrap(), codes)
    }

    /// CoolProp 8.0.0 (IAPWS-95): water at 10 degC boils at 1228.2 Pa.
    #[test]
    fn crosscheck_cool_down_pressure() {
        let (cool_down, _) = cooled(|described| described.site.ambient_lowest_k = kelvin(10.0));
        assert!(
            (cool_down.pressure_pa - 1228.2).abs() < 1.0,
            "{cool_down:?}"
        );
    }

    /// IAPWS R7-97: the saturation line starts at 611.213 Pa at 273.15 K.
    #[test]
    fn published_frost_counts_as_the_freezing_point() {
        let (cool_down, _) = cooled(|described| described.site.ambient_lowest_k = kelvin(-30.0));
        assert!(
            (cool_down.pressure_pa - 611.213).abs() < 5e-4,
            "{cool_down:?}"
        );
    }

    #[test]
    fn practice_cell_limit_and_breaker_decide() {
        let limit = |pa: f64, breaker: bool| {
            cooled(move |described| {
                described.cell.vacuum_limit = AbsolutePressure::from_pa(pa);
                described.vessel.vacuum_breaker = breaker;
            })
        };
        let (cool_down, codes) = limit(3_450.0, false);
        assert!(cool_down.exceeds && codes.contains(&"vacuum-beyond-cell"));
        let (cool_down, codes) = limit(500.0, false);
        assert!(!cool_down.exceeds && !codes.contains(&"vacuum-beyond-cell"));
        assert!(codes.contains(&"cool-down-pulls-vacuum"));
        let (cool_down, codes) = limit(3_450.0, true);
        assert!(!cool_down.exceeds && !codes.contains(&"cool-down-pulls-vacuum"));
    }

    #[test]
    fn property_nan_ambient_is_refused() {
        let mut described = shell_boiler();
        described.site.ambient_lowest_k = f64::NAN;
        assert!(matches!(
            signal_loss_sheet(&described, None),
            Err(ProtectionError::Water(_))
        ));
    }
}
