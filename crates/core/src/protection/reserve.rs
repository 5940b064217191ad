//! Minutes of water with the feed lost at the largest load.

use crate::description::{Loop, ValveService, VesselKind};
use crate::finding::{Finding, Severity};
use crate::protection::ProtectionError;
use crate::protection::inventory::{
    balanced_flow_kg_s, contents_in_service, extreme_duties, mass_between_kg, water_volume_m3,
};
use crate::protection::sheets::Reserve;
use crate::quantity::TrueLevel;
use crate::working::Working;

/// Minutes from set point to the first cutoff under which one element is thought slow (common practice, no source).
const FEW_MINUTES: f64 = 5.0;

/// Set point and what lies under it, highest first.
fn marks_downwards(described: &Loop) -> Vec<(&'static str, f64)> {
    let limits = &described.limits;
    let kind = described.vessel.kind;
    let mut lower: Vec<(&'static str, f64)> = [
        ("low alarm", limits.low_alarm_m),
        (kind.first_low_trip(), limits.low_cutoff_m),
        (kind.second_low_trip(), limits.second_low_cutoff_m),
        (
            "highest heated surface",
            described.elevations.highest_heated_surface_m,
        ),
    ]
    .into_iter()
    .filter_map(|(name, level_m)| level_m.map(|level_m| (name, level_m)))
    .filter(|(_, level_m)| *level_m < limits.set_point_m)
    .collect();
    // Stable: marks at one height keep the order in which they should act.
    lower.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut marks = vec![("set point", limits.set_point_m)];
    marks.append(&mut lower);
    marks
}

/// Pairs of marks to time: each mark to the next, then set point to first cutoff and each cutoff to the heated
/// surface where other marks lie between.
fn pairs(kind: VesselKind, marks: &[(&'static str, f64)]) -> Vec<(usize, usize)> {
    let mut pairs: Vec<(usize, usize)> = (1..marks.len()).map(|lower| (lower - 1, lower)).collect();
    let place = |name: &str| marks.iter().position(|mark| mark.0 == name);
    let spans = [
        ("set point", kind.first_low_trip()),
        (kind.first_low_trip(), "highest heated surface"),
        (kind.second_low_trip(), "highest heated surface"),
        ("set point", "highest heated surface"),
    ];
    for (from, to) in spans {
        if let (Some(from), Some(to)) = (place(from), place(to))
            && from < to
            && !pairs.contains(&(from, to))
        {
            pairs.push((from, to));
        }
    }
    pairs
}

/// Reserve minutes between the marks under the set point, the feed lost at the largest load.
///
/// ```text
/// t = (ρl − ρv)·[V(upper) − V(lower)] / w
/// ```
///
/// | symbol | name                          | unit  |
/// |--------|-------------------------------|-------|
/// | ρl, ρv | water and steam, normal       | kg/m3 |
/// | V      | water volume under a level    | m3    |
/// | w      | steam and blowdown leaving    | kg/s  |
///
/// **Source:** mass balance at constant pressure. **Departures:** the pressure is taken as held; under the cutoff
/// the minutes hold only if it fails to stop the burner.
/// **Checked by:** `property_straight_vessel_minutes_are_exact`, `property_reserves_add_up`.
pub(super) fn reserves(
    described: &Loop,
    findings: &mut Vec<Finding>,
    workings: &mut Vec<Working>,
) -> Result<Vec<Reserve>, ProtectionError> {
    let contents = contents_in_service(described, described.pressures.normal)?;
    let (largest, _) = extreme_duties(described)?;
    let flow_kg_s = balanced_flow_kg_s(described, largest);
    let marks = marks_downwards(described);
    let holds_steam = described.vessel.kind.holds_steam();
    let mut reserves = Vec::new();
    for (from, to) in pairs(described.vessel.kind, &marks) {
        let (upper, lower) = (
            TrueLevel::from_m(marks[from].1),
            TrueLevel::from_m(marks[to].1),
        );
        let mass_kg = mass_between_kg(described, contents, upper, lower)?;
        let minutes = mass_kg / flow_kg_s / 60.0;
        let working = Working::new(
                format!("Minutes from {} to {}, feed lost", marks[from].0, marks[to].0),
                if holds_steam {
                    "t = (rho_l - rho_v) * (V_upper - V_lower) / w"
                } else {
                    "t = rho_l * (V_upper - V_lower) / w"
                },
                mass_kg / flow_kg_s,
                "s",
                "mass balance at constant pressure; volumes by solid geometry, densities by IAPWS R7-97",
                if described.vessel.kind.is_fired() {
                    "pressure held; under a cutoff only if it fails to stop the burner"
                } else {
                    "pressure held; under a trip only if it fails to stop the pumps"
                },
            )
            .with(
                "rho_l",
                format!("water at {}", described.vessel.kind.normal_state()),
                contents.liquid_kg_m3,
                "kg/m3",
            );
        let working = if holds_steam {
            working.with(
                "rho_v",
                "steam at normal pressure",
                contents.steam_kg_m3,
                "kg/m3",
            )
        } else {
            working
        };
        workings.push(
            working
                .with(
                    "V_upper",
                    format!("water volume under {}", marks[from].0),
                    water_volume_m3(described, upper)?,
                    "m3",
                )
                .with(
                    "V_lower",
                    format!("water volume under {}", marks[to].0),
                    water_volume_m3(described, lower)?,
                    "m3",
                )
                .with(
                    "w",
                    format!("flow leaving at duty {}", largest.name),
                    flow_kg_s,
                    "kg/s",
                ),
        );
        reserves.push(Reserve {
            from: marks[from].0.to_owned(),
            to: marks[to].0.to_owned(),
            mass_kg,
            minutes,
        });
    }
    if described.feedwater.service == ValveService::Inflow {
        findings.extend(shorter_than_stroke(described, &reserves));
        findings.extend(few_minutes(described, &reserves));
    }
    Ok(reserves)
}

/// A closed valve that cannot be open again before the cutoff acts.
fn shorter_than_stroke(described: &Loop, reserves: &[Reserve]) -> Option<Finding> {
    let to_cutoff = to_first_trip(described, reserves)?;
    let stroke_minutes = described.feedwater.stroke_time_s / 60.0;
    (to_cutoff.minutes <= stroke_minutes).then(|| Finding {
        severity: Severity::Warn,
        code: "reserve-shorter-than-stroke",
        what: format!(
            "From set point to the {} there are {:.1} min of water at the largest load; a full stroke of the feed valve takes {stroke_minutes:.1} min.",
            to_cutoff.to, to_cutoff.minutes
        ),
        consequence: format!(
            "A valve that is closed when the largest load comes cannot be open before the {} acts.",
            to_cutoff.to
        ),
        remedy: "Take a faster actuator, raise the set point, or limit how fast the load may rise.".to_owned(),
        input: "feedwater.stroke-time",
    })
}

/// The reserve from the set point to the first trip on a low level.
fn to_first_trip<'a>(described: &Loop, reserves: &'a [Reserve]) -> Option<&'a Reserve> {
    let first_trip = described.vessel.kind.first_low_trip();
    reserves
        .iter()
        .find(|reserve| reserve.from == "set point" && reserve.to == first_trip)
}

/// A boiler so fast that one element and a person are slow for it.
fn few_minutes(described: &Loop, reserves: &[Reserve]) -> Option<Finding> {
    let to_cutoff = to_first_trip(described, reserves)?;
    (described.vessel.kind.is_fired() && to_cutoff.minutes < FEW_MINUTES).then(|| Finding {
        severity: Severity::Note,
        code: "few-minutes-to-cutoff",
        what: format!(
            "With the feed lost at the largest load there are {:.1} min from the set point to the {}.",
            to_cutoff.minutes, to_cutoff.to
        ),
        consequence: "One element sees a load change only when the level has moved, and nobody finds a failed pump in that time.".to_owned(),
        remedy: "Common practice at under about 5 min: two- or three-element control (steam flow, then feed flow), and an alarm that tells of a tripped feed pump at once.".to_owned(),
        input: "limits.low-cutoff",
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::example_loop::{shell_boiler, vented_tank};
    use crate::protection::signal_loss_sheet;
    use crate::vessel::{HeadKind, Orientation, Shell};
    use crate::water::saturated_densities;

    fn find(reserves: &[Reserve], from: &str, to: &str) -> Reserve {
        reserves
            .iter()
            .find(|reserve| reserve.from == from && reserve.to == to)
            .unwrap()
            .clone()
    }

    #[test]
    fn practice_marks_run_down_to_the_heated_surface() {
        let sheet = signal_loss_sheet(&shell_boiler(), None).unwrap();
        let steps: Vec<(&str, &str)> = sheet.reserves[..4]
            .iter()
            .map(|reserve| (reserve.from.as_str(), reserve.to.as_str()))
            .collect();
        assert_eq!(
            steps,
            [
                ("set point", "low alarm"),
                ("low alarm", "first low-water cutoff"),
                ("first low-water cutoff", "second low-water cutoff"),
                ("second low-water cutoff", "highest heated surface"),
            ]
        );
        assert_eq!(sheet.reserves.len(), 7);
    }

    #[test]
    fn property_straight_vessel_minutes_are_exact() {
        let mut described = shell_boiler();
        described.vessel.shell =
            Shell::new(Orientation::Vertical, 1.4, 4.0, HeadKind::Flat).unwrap();
        let water = saturated_densities(described.pressures.normal.pa()).unwrap();
        let area_m2 = std::f64::consts::PI * 0.7 * 0.7;
        let kg = area_m2 * 6.0 * 0.0254 * (water.liquid_kg_m3 - water.vapour_kg_m3);
        let sheet = signal_loss_sheet(&described, None).unwrap();
        let reserve = find(&sheet.reserves, "set point", "first low-water cutoff");
        assert!((reserve.mass_kg / kg - 1.0).abs() < 1e-9);
        // Largest duty: 1.6 kg/s steam and 0.05 kg/s blowdown.
        assert!((reserve.minutes / (kg / 1.65 / 60.0) - 1.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn property_reserves_add_up(alarm in 0.16_f64..0.25, cutoff in 0.09_f64..0.15, second in 0.04_f64..0.08) {
            let mut described = shell_boiler();
            described.limits.low_alarm_m = Some(alarm);
            described.limits.low_cutoff_m = Some(cutoff);
            described.limits.second_low_cutoff_m = Some(second);
            let sheet = signal_loss_sheet(&described, None).unwrap();
            let steps: f64 = sheet.reserves[..4].iter().map(|reserve| reserve.minutes).sum();
            let whole = find(&sheet.reserves, "set point", "highest heated surface").minutes;
            prop_assert!((steps / whole - 1.0).abs() < 1e-9);
            prop_assert!(sheet.reserves.iter().all(|reserve| reserve.minutes > 0.0));
        }
    }

    #[test]
    fn practice_cutoff_within_a_stroke_is_a_finding() {
        let has = |stroke_time_s: f64| {
            let mut described = shell_boiler();
            described.feedwater.stroke_time_s = stroke_time_s;
            signal_loss_sheet(&described, None)
                .unwrap()
                .findings
                .iter()
                .any(|finding| finding.code == "reserve-shorter-than-stroke")
        };
        assert!(!has(30.0));
        assert!(has(3600.0));
    }

    #[test]
    fn practice_few_minutes_ask_for_more_elements() {
        let has = |described: &Loop| {
            let findings = signal_loss_sheet(described, None).unwrap().findings;
            findings
                .iter()
                .any(|finding| finding.code == "few-minutes-to-cutoff")
        };
        let mut described = shell_boiler();
        let minutes = find(
            &signal_loss_sheet(&described, None).unwrap().reserves,
            "set point",
            "first low-water cutoff",
        )
        .minutes;
        let scale = |described: &mut Loop, to_minutes: f64| {
            for duty in &mut described.duties {
                duty.steam_kg_s *= minutes / to_minutes;
                duty.blowdown_kg_s *= minutes / to_minutes;
            }
        };
        let slow = {
            scale(&mut described, 5.2);
            described.clone()
        };
        assert!(!has(&slow));
        let mut fast = shell_boiler();
        scale(&mut fast, 4.8);
        assert!(has(&fast));
        fast.vessel.kind = crate::description::VesselKind::Deaerator;
        assert!(!has(&fast));
    }

    #[test]
    fn practice_unfired_tank_has_no_heated_surface() {
        let sheet = signal_loss_sheet(&vented_tank(), None).unwrap();
        assert!(
            sheet
                .reserves
                .iter()
                .all(|reserve| reserve.to != "highest heated surface")
        );
        assert!(sheet.cold_fill.is_none() && sheet.cool_down.is_none());
    }
}
