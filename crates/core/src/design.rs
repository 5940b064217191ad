//! THE main path: a described loop to its sheets.

use crate::commissioning::instrument_findings;
use crate::controller::sheets::SettingsSheet;
use crate::controller::{SettingsError, settings_sheet};
use crate::description::Loop;
use crate::feedwater::sheets::FeedwaterSheet;
use crate::feedwater::{FeedwaterError, feedwater_sheet};
use crate::finding::{Assumption, Finding, Severity};
use crate::level_map::{LevelMapSheet, level_map_sheet};
use crate::measurement::sheets::{ErrorMapSheet, RangeSheet};
use crate::measurement::uncertainty::sheets::UncertaintySheet;
use crate::measurement::uncertainty::{UncertaintyError, uncertainty_sheet};
use crate::measurement::{MeasurementError, error_map_sheet, range_sheet};
use crate::protection::sheets::SignalLossSheet;
use crate::protection::{ProtectionError, signal_loss_sheet};
use crate::tuning::sheets::TuningSheet;
use crate::tuning::{TuningError, tuning_sheet};
use crate::wiring::sheets::WiringSheet;
use crate::wiring::{WiringError, wiring_sheet};

/// All sheets of a loop.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheets {
    /// Range.
    pub range: RangeSheet,
    /// Error map, glass, compensation.
    pub error_map: ErrorMapSheet,
    /// Controller settings.
    pub settings: SettingsSheet,
    /// Tuning.
    pub tuning: TuningSheet,
    /// Feedwater valve; `None` where supply, line and valve are not surveyed.
    pub feedwater: Option<FeedwaterSheet>,
    /// Wires; `None` where they are not surveyed.
    pub wiring: Option<WiringSheet>,
    /// Uncertainty of panel and glass; `None` where no input has an uncertainty.
    pub uncertainty: Option<UncertaintySheet>,
    /// Loss of signal, reserve minutes.
    pub signal_loss: SignalLossSheet,
    /// Level map.
    pub level_map: LevelMapSheet,
    /// All findings, gravest first.
    pub findings: Vec<Finding>,
    /// What the survey did not give.
    pub assumptions: Vec<Assumption>,
}

/// Why a described loop has no sheets.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DesignError {
    /// What the cell sees cannot be computed.
    #[error("measurement: {0}")]
    Measurement(#[from] MeasurementError),
    /// Tuning cannot be computed.
    #[error("tuning: {0}")]
    Tuning(#[from] TuningError),
    /// Settings cannot be computed.
    #[error("settings: {0}")]
    Settings(#[from] SettingsError),
    /// Loss of signal cannot be computed.
    #[error("loss of signal: {0}")]
    Protection(#[from] ProtectionError),
    /// Uncertainty cannot be computed.
    #[error("uncertainty: {0}")]
    Uncertainty(#[from] UncertaintyError),
    /// Wires cannot be computed.
    #[error("wiring: {0}")]
    Wiring(#[from] WiringError),
}

/// All sheets of a described loop.
///
/// # Errors
/// [`DesignError`] where a topic has no answer; a loop that was checked when read seldom comes here.
pub fn design(described: &Loop) -> Result<Sheets, DesignError> {
    let range = range_sheet(described)?;
    let error_map = error_map_sheet(described, &range)?;
    let (feedwater, no_valve) = match feedwater_sheet(described) {
        Ok(sheet) => (sheet, Vec::new()),
        Err(error) => (None, vec![no_valve_sheet(&error)]),
    };
    let tuning = tuning_sheet(described, &range, feedwater.as_ref())?;
    let settings = settings_sheet(described, &range, &tuning)?;
    let wiring = wiring_sheet(described)?;
    let signal_loss = signal_loss_sheet(described, feedwater.as_ref())?;
    let uncertainty = uncertainty_sheet(described, &range)?;
    let level_map = level_map_sheet(described, &range)?;
    let invented: Vec<Finding> = values_are_invented(described).into_iter().collect();
    let instruments = instrument_findings(described, range.chosen);
    let findings = gravest_first(&[
        &invented,
        &no_valve,
        &range.findings,
        &error_map.findings,
        feedwater.as_ref().map_or(&[], |sheet| &sheet.findings),
        &tuning.findings,
        &settings.findings,
        wiring.as_ref().map_or(&[], |sheet| &sheet.findings),
        uncertainty.as_ref().map_or(&[], |sheet| &sheet.findings),
        &signal_loss.findings,
        &level_map.findings,
        &instruments,
    ]);
    Ok(Sheets {
        range,
        error_map,
        settings,
        tuning,
        feedwater,
        wiring,
        uncertainty,
        signal_loss,
        level_map,
        findings,
        assumptions: described.assumptions.clone(),
    })
}

/// A valve that cannot be sized stops its own sheet and no other.
fn no_valve_sheet(error: &FeedwaterError) -> Finding {
    Finding {
        severity: Severity::Stop,
        code: "valve-not-sized",
        what: format!("The feedwater valve cannot be sized: {error}."),
        consequence: "There is no feedwater sheet; tuning and loss of signal take the full-valve flow of the loop file and a linear valve."
            .into(),
        remedy: "Correct supply, line or duty points; where they are right, pump or line is too small for that duty."
            .into(),
        input: "supply",
    }
}

/// Names of placeholders that a finding prints; the survey prints them all.
const PLACEHOLDERS_NAMED: usize = 4;

/// Values that the loop file itself marks as invented: nothing made from them may be signed.
fn values_are_invented(described: &Loop) -> Option<Finding> {
    let placeholders = &described.placeholders;
    if placeholders.is_empty() {
        return None;
    }
    let named = placeholders
        .iter()
        .take(PLACEHOLDERS_NAMED)
        .map(String::as_str)
        .collect::<Vec<_>>()
        .join(", ");
    let more = match placeholders.len().saturating_sub(PLACEHOLDERS_NAMED) {
        0 => String::new(),
        count => format!(" and {count} more"),
    };
    Some(Finding {
        severity: Severity::Stop,
        code: "values-are-invented",
        what: format!(
            "{} still marked as invented: {named}{more}.",
            match placeholders.len() {
                1 => "1 value of the loop file is".to_owned(),
                count => format!("{count} values of the loop file are"),
            }
        ),
        consequence: "Every sheet is a DRAFT: its numbers are those of no real vessel.".to_owned(),
        remedy: "Survey each one, write what was found and take its mark away.".to_owned(),
        input: "",
    })
}

/// Findings of all sheets, each once, gravest first; equal ones in the order of the sheets.
fn gravest_first(sheets: &[&[Finding]]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for finding in sheets.iter().copied().flatten() {
        if !findings.contains(finding) {
            findings.push(finding.clone());
        }
    }
    findings.sort_by_key(|finding| finding.severity);
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::{FeedSystem, Header, Supply};
    use crate::example_loop::{drum_boiler, shell_boiler, vented_tank};
    use crate::vessel::{HeadKind, Orientation, Shell};

    fn loops() -> Vec<Loop> {
        let mut tank = vented_tank();
        // The tank's own shell, tall enough for its 2 m of level.
        tank.vessel.shell = Shell::new(Orientation::Vertical, 2.0, 4.0, HeadKind::Flat).unwrap();
        tank.limits.set_point_m = 1.0;
        tank.limits.low_alarm_m = Some(0.6);
        tank.limits.low_cutoff_m = Some(0.3);
        tank.limits.second_low_cutoff_m = None;
        tank.limits.high_alarm_m = Some(1.6);
        tank.limits.high_trip_m = None;
        tank.glass = None;
        vec![shell_boiler(), drum_boiler(), tank]
    }

    #[test]
    fn property_every_sheet_comes_and_its_findings_with_it() {
        for described in loops() {
            let sheets = design(&described).unwrap();
            for findings in [
                &sheets.range.findings,
                &sheets.error_map.findings,
                &sheets.tuning.findings,
                &sheets.settings.findings,
                &sheets.signal_loss.findings,
                &sheets.level_map.findings,
            ] {
                assert!(
                    findings
                        .iter()
                        .all(|finding| sheets.findings.contains(finding))
                );
            }
            assert!(sheets.findings.is_sorted_by_key(|finding| finding.severity));
            assert_eq!(sheets.assumptions, described.assumptions);
        }
    }

    #[test]
    fn property_a_finding_told_twice_is_kept_once_and_order_is_by_gravity() {
        let finding = |severity, code| Finding {
            severity,
            code,
            what: String::new(),
            consequence: String::new(),
            remedy: String::new(),
            input: "",
        };
        let (note, stop, warn) = (
            finding(Severity::Note, "a"),
            finding(Severity::Stop, "b"),
            finding(Severity::Warn, "c"),
        );
        let first = [note.clone(), warn.clone()];
        let second = [stop.clone(), note.clone()];
        assert_eq!(gravest_first(&[&first, &second]), [stop, warn, note]);
    }

    #[test]
    fn property_invented_values_are_a_stop_until_the_last_is_replaced() {
        let mut described = shell_boiler();
        let of = |described: &Loop| {
            design(described)
                .unwrap()
                .findings
                .into_iter()
                .find(|finding| finding.code == "values-are-invented")
        };
        assert_eq!(of(&described), None);
        described.placeholders = vec!["limits.low-cutoff".into()];
        let one = of(&described).unwrap();
        assert_eq!(one.severity, Severity::Stop);
        assert!(
            one.what
                .starts_with("1 value of the loop file is still marked"),
            "{}",
            one.what
        );
        assert!(one.what.contains("limits.low-cutoff"), "{}", one.what);
        described.placeholders = (0..6).map(|index| format!("value-{index}")).collect();
        let six = of(&described).unwrap().what;
        assert!(
            six.starts_with("6 values of the loop file are still marked")
                && six.contains("and 2 more"),
            "{six}"
        );
    }

    #[test]
    fn property_a_valve_that_cannot_be_sized_stops_no_other_sheet() {
        let mut described = shell_boiler();
        described.feed_system = Some(FeedSystem {
            supply: Supply::Header(Header {
                pressure: crate::example_loop::psig(20.0),
                droop: None,
            }),
            ..crate::feedwater::example_sheet::feed_system()
        });
        let sheets = design(&described).unwrap();
        assert!(sheets.feedwater.is_none());
        let first = &sheets.findings[0];
        assert_eq!(
            (first.severity, first.code),
            (Severity::Stop, "valve-not-sized")
        );
        assert!(first.what.contains("short"), "{}", first.what);
    }

    #[test]
    fn property_a_loop_without_an_answer_says_which_part() {
        let mut described = shell_boiler();
        described.limits.high_trip_m = Some(0.1);
        let error = design(&described).unwrap_err();
        assert!(matches!(error, DesignError::Protection(_)));
        assert!(
            error.to_string().starts_with("loss of signal: high trip"),
            "{error}"
        );
    }
}
