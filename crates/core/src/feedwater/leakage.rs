//! What the shut valve's leakage does to the level while nothing leaves the vessel: a slow overfill.

use crate::description::feed_system::{FeedSystem, ValveSize};
use crate::description::{Duty, Loop, ValveService};
use crate::feedwater::seat_leakage::{LeakageClause, LeakageError, ShutValve, allowed_leakage};
use crate::feedwater::sheets::LeakageSheet;
use crate::finding::{Finding, Severity};
use crate::quantity::TrueLevel;
use crate::tuning::process_gain::{
    ProcessGainError, exchange_density_kg_m3, free_surface_at_set_point_m2,
};
use crate::vessel::VesselError;

/// Minutes to the high mark under which a stand-by needs watching: a working shift (no source).
const SHIFT_MINUTES: f64 = 480.0;

/// Minutes under which it fills while somebody is elsewhere (no source).
const HOUR_MINUTES: f64 = 60.0;

/// Why there is no leakage sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LeakageSheetError {
    /// The class gives no leakage.
    #[error(transparent)]
    Class(#[from] LeakageError),
    /// The vessel has no level rate.
    #[error(transparent)]
    Gain(#[from] ProcessGainError),
    /// A mark is not inside the vessel.
    #[error("water up to the high mark cannot be computed: {0}")]
    Vessel(#[from] VesselError),
    /// The drop is no number.
    #[error("drop at shut-off is {drop_pa} Pa: a number is wanted")]
    Drop {
        /// Drop, Pa.
        drop_pa: f64,
    },
    /// The loop has no duty points.
    #[error("there is no duty point to take the vessel's pressure from")]
    NoDuty,
}

/// Leakage of the shut valve as a rise of the level with nothing leaving; `None` with no mark above the set point, and for
/// a drain valve, whose leakage lowers the level (a finding says so).
///
/// ```text
/// rise = w / ((ρl − ρv)·A)
/// t    = (ρl − ρv)·[V(mark) − V(set point)] / w
/// ```
///
/// | symbol | name                                            | unit  |
/// |--------|-------------------------------------------------|-------|
/// | w      | allowed leakage of the class at that drop       | kg/s  |
/// | ρl, ρv | vessel's water and steam at the smallest duty   | kg/m3 |
/// | A      | free surface at the set point                   | m2    |
/// | V      | water volume under a level, less internals      | m3    |
///
/// **Source:** mass balance at constant pressure; leakage see [`allowed_leakage`]. **Departures:** the vessel stays hot
/// and takes the water up to boiling; one that cools draws more.
/// **Checked by:** `published_class_iv_leak_fills_a_straight_vessel`, `property_minutes_fall_with_leakage`.
///
/// # Errors
/// [`LeakageSheetError`].
pub fn leakage_sheet(
    the_loop: &Loop,
    system: &FeedSystem,
    chosen: &ValveSize,
    shut_off_drop_pa: f64,
    density_kg_m3: f64,
) -> Result<(Option<LeakageSheet>, Vec<Finding>), LeakageSheetError> {
    if !shut_off_drop_pa.is_finite() {
        return Err(LeakageSheetError::Drop {
            drop_pa: shut_off_drop_pa,
        });
    }
    if the_loop.feedwater.service == ValveService::Outflow {
        return Ok((None, vec![drains()]));
    }
    let Some((high_mark, mark_m)) = high_mark(the_loop) else {
        return Ok((None, Vec::new()));
    };
    let flow = |duty: &Duty| duty.steam_kg_s + duty.blowdown_kg_s;
    let duty = the_loop
        .duties
        .iter()
        .min_by(|a, b| flow(a).total_cmp(&flow(b)))
        .ok_or(LeakageSheetError::NoDuty)?;
    let (leakage_kg_s, clause) = if shut_off_drop_pa > 0.0 {
        let allowed = allowed_leakage(
            &ShutValve {
                class: system.valve.leakage,
                rated_kv_m3_h: chosen.rated_kv_m3_h,
                seat_diameter_m: chosen.seat_diameter_m.or(Some(chosen.bore_m)),
                drop_pa: shut_off_drop_pa,
                density_kg_m3,
            },
            LeakageClause::Iec,
        )?;
        (allowed.flow_kg_s, allowed.clause)
    } else {
        (0.0, "no drop at shut-off: nothing leaks towards the vessel")
    };
    let exchange_kg_m3 = exchange_density_kg_m3(the_loop, duty)?;
    let rise_m_s = leakage_kg_s / (exchange_kg_m3 * free_surface_at_set_point_m2(the_loop)?);
    let volume_m3 = |level_m: f64| {
        the_loop.vessel.shell.volume_with_internals_m3(
            &the_loop.vessel.internals,
            level_m + the_loop.vessel.lower_tap_above_bottom_m,
        )
    };
    let room_m3 = volume_m3(mark_m)? - volume_m3(the_loop.limits.set_point_m)?;
    let minutes_to_high =
        (leakage_kg_s > 0.0).then(|| exchange_kg_m3 * room_m3 / leakage_kg_s / 60.0);
    let sheet = LeakageSheet {
        leakage_kg_s,
        rise_m_s,
        minutes_to_high,
        words: words(minutes_to_high, &high_mark, chosen),
        high_mark,
        clause,
    };
    let findings = findings(&sheet, flow(duty), &duty.name);
    Ok((Some(sheet), findings))
}

/// The lowest of what is described above the set point in this order: high alarm, high trip, 100 %.
fn high_mark(the_loop: &Loop) -> Option<(String, f64)> {
    let limits = &the_loop.limits;
    let span = the_loop.range.span;
    [
        ("high alarm", limits.high_alarm_m),
        ("high trip", limits.high_trip_m),
        ("100 %", Some(TrueLevel::from_percent(100.0, span).m())),
    ]
    .into_iter()
    .find_map(|(name, level_m)| {
        let level_m = level_m.filter(|level_m| *level_m > limits.set_point_m)?;
        Some((name.to_owned(), level_m))
    })
}

fn words(minutes_to_high: Option<f64>, high_mark: &str, chosen: &ValveSize) -> String {
    let mut words = vec![match minutes_to_high {
        Some(minutes) => format!(
            "With nothing leaving, the leakage that its class allows fills the vessel from set point to {high_mark} in {}.",
            time_text(minutes)
        ),
        None => format!(
            "Nothing leaks towards the vessel: the level does not rise to {high_mark} by itself."
        ),
    }];
    if chosen.seat_diameter_m.is_none() {
        words.push("The seat diameter is not known; the bore stands in for it where the class goes by the seat.".into());
    }
    words.push("That is a new valve on its test bench: a seat that has throttled near shut, or cavitated, leaks many times as much. In a long stand-by shut an isolating valve or stop the pump.".into());
    words.join(" ")
}

fn time_text(minutes: f64) -> String {
    if minutes < 2.0 * HOUR_MINUTES {
        format!("{minutes:.0} min")
    } else if minutes < 48.0 * HOUR_MINUTES {
        format!("{:.0} h", minutes / HOUR_MINUTES)
    } else {
        format!("{:.0} days", minutes / (24.0 * HOUR_MINUTES))
    }
}

fn drains() -> Finding {
    Finding {
        severity: Severity::Note,
        code: "shut-valve-drains",
        what: "The valve drains the vessel: what leaks through it when shut lowers the level."
            .into(),
        consequence:
            "In a long stand-by the level falls to the low alarm with nobody calling for it.".into(),
        remedy: "Shut an isolating valve in stand-by.".into(),
        input: "valve.leakage-class",
    }
}

fn findings(sheet: &LeakageSheet, smallest_kg_s: f64, duty: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    if sheet.leakage_kg_s > 0.0 && sheet.leakage_kg_s >= smallest_kg_s {
        findings.push(Finding {
            severity: Severity::Stop,
            code: "leakage-above-smallest-flow",
            what: format!(
                "The leakage that the class allows is no less than all that leaves at duty {duty}."
            ),
            consequence:
                "The level rises at that duty with the valve shut; no controller holds it.".into(),
            remedy: "Take a tighter class or a smaller valve.".into(),
            input: "valve.leakage-class",
        });
    }
    if let Some(minutes) = sheet.minutes_to_high
        && minutes < SHIFT_MINUTES
    {
        findings.push(Finding {
            severity: if minutes < HOUR_MINUTES { Severity::Warn } else { Severity::Note },
            code: "leakage-fills-the-vessel",
            what: format!(
                "With nothing leaving, the shut valve's allowed leakage brings the level from set point to {} in {}.",
                sheet.high_mark,
                time_text(minutes)
            ),
            consequence: "A vessel standing by fills within a shift, faster with a worn seat.".into(),
            remedy: "Take a tighter class, or stop the pump or shut an isolating valve in stand-by.".into(),
            input: "valve.leakage-class",
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::description::feed_system::LeakageClass;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::feed_system;
    use crate::vessel::{HeadKind, Orientation, Shell};

    const M3_H_PER_CV: f64 = 0.865;

    fn sheet_of(
        class: LeakageClass,
        kv_m3_h: f64,
        drop_pa: f64,
    ) -> (Option<LeakageSheet>, Vec<Finding>) {
        let mut the_loop = shell_boiler();
        the_loop.vessel.shell =
            Shell::new(Orientation::Vertical, 2.0, 4.0, HeadKind::Flat).unwrap();
        let mut system = feed_system();
        system.valve.leakage = class;
        let mut size = system.valve.sizes[0].clone();
        size.rated_kv_m3_h = kv_m3_h;
        leakage_sheet(&the_loop, &system, &size, drop_pa, 999.0).unwrap()
    }

    fn codes(findings: &[Finding]) -> Vec<&'static str> {
        findings.iter().map(|finding| finding.code).collect()
    }

    /// Class IV, Cv 10, 50 psi: 26.77 ml/min (FCI 70-2, 0.01 % of 70.71 gal/min). On 3.1416 m2 and 4 in from set point to
    /// high alarm, water 888.9 and steam 4.91 kg/m3 (IAPWS R7-97 at 9.632 bar absolute).
    #[test]
    fn published_class_iv_leak_fills_a_straight_vessel() {
        let (sheet, findings) = sheet_of(LeakageClass::IV, 10.0 * M3_H_PER_CV, 50.0 * 6_894.757);
        let sheet = sheet.unwrap();
        let leak_kg_s = 26.77e-6 / 60.0 * 999.0;
        assert!(
            (sheet.leakage_kg_s / leak_kg_s - 1.0).abs() < 1e-3,
            "{sheet:?}"
        );
        let minutes = (888.9 - 4.91) * std::f64::consts::PI * 4.0 * 0.0254 / leak_kg_s / 60.0;
        assert!((sheet.minutes_to_high.unwrap() / minutes - 1.0).abs() < 2e-3);
        assert!((sheet.rise_m_s * minutes * 60.0 / (4.0 * 0.0254) - 1.0).abs() < 2e-3);
        assert_eq!(sheet.high_mark, "high alarm");
        assert!(sheet.clause.contains("class IV") && findings.is_empty());
    }

    #[test]
    fn practice_marks_findings_and_drain_valves() {
        let (_, findings) = sheet_of(LeakageClass::II, 100.0, 2e6);
        assert_eq!(
            codes(&findings),
            ["leakage-above-smallest-flow", "leakage-fills-the-vessel"]
        );
        let (none, findings) = sheet_of(LeakageClass::II, 100.0, 0.0);
        assert_eq!(none.unwrap().minutes_to_high, None);
        assert!(findings.is_empty());
        let (mut the_loop, system) = (shell_boiler(), feed_system());
        let size = &system.valve.sizes[0];
        let of = |the_loop: &Loop| leakage_sheet(the_loop, &system, size, 1e6, 960.0).unwrap();
        the_loop.limits.high_alarm_m = None;
        assert_eq!(of(&the_loop).0.unwrap().high_mark, "high trip");
        the_loop.limits.high_trip_m = None;
        assert_eq!(of(&the_loop).0.unwrap().high_mark, "100 %");
        the_loop.limits.set_point_m = the_loop.range.span.at_100_percent_m;
        assert_eq!(of(&the_loop), (None, Vec::new()));
        the_loop.feedwater.service = ValveService::Outflow;
        assert_eq!(codes(&of(&the_loop).1), ["shut-valve-drains"]);
        assert!(leakage_sheet(&the_loop, &system, size, f64::NAN, 960.0).is_err());
    }

    proptest! {
        #[test]
        fn property_minutes_fall_with_leakage(kv in 1.0_f64..200.0, drop_pa in 1e5_f64..1e7) {
            let minutes = |class| sheet_of(class, kv, drop_pa).0.unwrap().minutes_to_high.unwrap();
            let (ii, iii, iv) = (minutes(LeakageClass::II), minutes(LeakageClass::III), minutes(LeakageClass::IV));
            prop_assert!((iii / ii - 5.0).abs() < 1e-9 && (iv / iii - 10.0).abs() < 1e-9);
        }
    }
}
