//! What the time of a full stroke, the deadband and the resolution cost in level, however the controller is tuned.

use crate::description::Loop;
use crate::feedwater::load_travel::{largest_gain_ratio, load_travel};
use crate::feedwater::sheets::{DutyFlow, Installed, StrokeSheet};
use crate::finding::{Finding, Severity};
use crate::tuning::dead_time::{dead_time_parts, dead_time_s};
use crate::tuning::process_gain::{
    ProcessGainError, exchange_density_kg_m3, free_surface_at_set_point_m2,
};

/// Share of the allowed deviation from which the stroke alone is worth a warning (no source).
const LARGE_SHARE: f64 = 0.5;

/// Share of the allowed deviation from which the swing by deadband is worth a word (no source).
const SEEN_SHARE: f64 = 0.25;

/// Why there is no stroke sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StrokeError {
    /// The vessel has no level rate.
    #[error(transparent)]
    Gain(#[from] ProcessGainError),
    /// The full-valve flow is no flow.
    #[error("flow with the valve fully open is {flow_kg_s} kg/s: more than 0 is wanted")]
    FullFlow {
        /// Flow, kg/s.
        flow_kg_s: f64,
    },
    /// The loop has no duty points.
    #[error("there is no duty point to take the largest load change from")]
    NoDuty,
}

/// Level lost to the stroke, and the swing that deadband and resolution leave.
///
/// The load steps by ΔL of the full-valve flow from the worst duty; the valve runs Δh at its full speed until it has made up for it:
///
/// ```text
/// lost  = ∫ (ΔL − ΔL·t/(Δh·Ts))·R dt, 0 to Δh·Ts  = ½·ΔL·Δh·Ts·R          R = w_full/((ρl − ρv)·A)
/// swing = R·g·θ·(S + 2·b)
/// ```
///
/// | symbol | name                                               | unit               | range  |
/// |--------|----------------------------------------------------|--------------------|--------|
/// | ΔL     | load change over full flow, as far as the valve follows | -             | 0 to 1 |
/// | Δh     | travel for it on the installed curve               | -                  | 0 to 1 |
/// | Ts     | full-stroke time                                   | s                  | ≥ 0    |
/// | R      | level rate at full-valve flow                      | m/s                |        |
/// | w_full | flow with the valve fully open                     | kg/s               | > 0    |
/// | A      | free surface at the set point                      | m2                 | > 0    |
/// | g      | largest installed gain of the duties               | -                  | > 0    |
/// | θ      | dead time                                          | s                  | ≥ 0    |
/// | S, b   | resolution, deadband                               | fraction of travel | ≥ 0    |
///
/// The swing: between two positions S apart that straddle the load, the level runs as a triangle; it is seen θ late at
/// either end, so its period is 4θ at least and its height R·g·S·period/4 = R·g·S·θ. To turn the valve back the output
/// must cross b; gain alone needs a level swing of b/Kc for that, and no robust gain is above 1/(2·k'·θ) (Skogestad 2003,
/// τc = θ): 2·R·g·b·θ. Integral action and slower settings swing wider.
///
/// **Source:** mass balance; the swing an estimate from below, derived above.
/// **Departures:** the curve counts as straight between the two travels. The worst density of the duties counts.
/// **Checked by:** `property_level_lost_is_the_integral`, `crosscheck_swing_against_simulation`.
///
/// # Errors
/// [`StrokeError`].
pub fn stroke_sheet(
    the_loop: &Loop,
    installed: &Installed,
    flows: &[DutyFlow],
) -> Result<(StrokeSheet, Vec<Finding>), StrokeError> {
    let full_flow_kg_s = installed.full_flow_kg_s;
    if !(full_flow_kg_s > 0.0 && full_flow_kg_s.is_finite()) {
        return Err(StrokeError::FullFlow {
            flow_kg_s: full_flow_kg_s,
        });
    }
    let rate_m_s = level_rate_m_s(the_loop, full_flow_kg_s)?;
    let change = load_change_ratio(the_loop, full_flow_kg_s);
    let valve = &the_loop.feedwater;
    let travel = load_travel(installed, flows, change);
    let level_lost_m = match &travel {
        // The valve never makes up for it.
        _ if change > 1.0 => f64::INFINITY,
        Some(travel) => level_lost_m(
            travel.change_ratio,
            travel.share(),
            valve.stroke_time_s,
            rate_m_s,
        ),
        None => 0.0,
    };
    let dead_s = dead_time_s(&dead_time_parts(the_loop, None));
    let deadband_level_m = swing_m(
        largest_gain_ratio(installed, flows) * rate_m_s,
        dead_s,
        valve.resolution_percent / 100.0,
        valve.deadband_percent / 100.0,
    );
    let allowed_m = the_loop.limits.allowed_deviation_m;
    let share = level_lost_m / allowed_m;
    let lost_words = match &travel {
        _ if change > 1.0 => "The largest load change is more than the open valve passes: the level is lost whatever the stroke takes.".to_owned(),
        Some(travel) => format!(
            "For the largest load change the valve must travel {:.0} % of its stroke at worst ({}), which takes {:.1} s; meanwhile the level loses {:.1} % of the allowed deviation, and no tuning brings that back.",
            100.0 * travel.share(),
            travel.words(),
            travel.share() * valve.stroke_time_s,
            100.0 * share,
        ),
        None => "No load change is described: the stroke loses no level.".to_owned(),
    };
    let words = format!(
        "{lost_words} Deadband and resolution keep the level swinging by about {:.1} % of the allowed deviation peak to peak at the duty where the valve is steepest, more with slow settings; only a better actuator or linkage lessens it.",
        100.0 * deadband_level_m / allowed_m,
    );
    let sheet = StrokeSheet {
        stroke_time_s: valve.stroke_time_s,
        level_lost_m,
        share_of_allowed_ratio: share,
        deadband_level_m,
        words,
    };
    let findings = findings(&sheet, deadband_level_m / allowed_m);
    Ok((sheet, findings))
}

/// Level rate at full-valve flow, m/s: the fastest of the duties.
pub(super) fn level_rate_m_s(the_loop: &Loop, full_flow_kg_s: f64) -> Result<f64, StrokeError> {
    let surface_m2 = free_surface_at_set_point_m2(the_loop)?;
    let mut rate_m_s = f64::NAN;
    for duty in &the_loop.duties {
        let exchange_kg_m3 = exchange_density_kg_m3(the_loop, duty)?;
        rate_m_s = rate_m_s.max(full_flow_kg_s / (exchange_kg_m3 * surface_m2));
    }
    if rate_m_s > 0.0 {
        Ok(rate_m_s)
    } else {
        Err(StrokeError::NoDuty)
    }
}

/// Largest load change over full-valve flow.
pub(super) fn load_change_ratio(the_loop: &Loop, full_flow_kg_s: f64) -> f64 {
    let largest_kg_s = the_loop
        .duties
        .iter()
        .map(|duty| duty.steam_kg_s + duty.blowdown_kg_s)
        .fold(0.0, f64::max);
    the_loop.limits.largest_load_change_ratio * largest_kg_s / full_flow_kg_s
}

fn level_lost_m(change_ratio: f64, travel_ratio: f64, stroke_time_s: f64, rate_m_s: f64) -> f64 {
    0.5 * change_ratio * travel_ratio * stroke_time_s * rate_m_s
}

fn swing_m(rate_m_s: f64, dead_time_s: f64, resolution_ratio: f64, deadband_ratio: f64) -> f64 {
    rate_m_s * dead_time_s * (resolution_ratio + 2.0 * deadband_ratio)
}

fn findings(sheet: &StrokeSheet, swing_share: f64) -> Vec<Finding> {
    let mut findings = Vec::new();
    let share = sheet.share_of_allowed_ratio;
    // A load change that the valve cannot pass at all is the tuning sheet's finding.
    if share > LARGE_SHARE && share.is_finite() {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "stroke-too-slow",
            what: format!(
                "While the valve travels for the largest load change the level loses {:.0} % of the allowed deviation.",
                100.0 * share
            ),
            consequence: if share > 1.0 {
                "No tuning holds the allowed deviation with this actuator.".into()
            } else {
                "Little of the allowed deviation is left for the controller.".into()
            },
            remedy: "Take a faster actuator, limit how fast the load may change, or allow a larger deviation.".into(),
            input: "feedwater.stroke-time",
        });
    }
    if swing_share > SEEN_SHARE {
        findings.push(Finding {
            severity: Severity::Warn,
            code: "deadband-keeps-it-swinging",
            what: format!(
                "Deadband and resolution keep the level swinging by about {:.0} % of the allowed deviation.",
                100.0 * swing_share
            ),
            consequence: "The level never comes to rest and the valve wears; no tuning ends it.".into(),
            remedy: "Take the play out of the linkage, fit a positioner, or shorten the dead time.".into(),
            input: "feedwater.deadband",
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::{duty_flow, feedwater_sheet};
    use crate::feedwater::sheets::InstalledPoint;

    /// The sheet with a valve whose flow follows its travel in a straight line.
    fn linear_sheet(
        the_loop: &Loop,
        full_flow_kg_s: f64,
    ) -> Result<(StrokeSheet, Vec<Finding>), StrokeError> {
        let mut installed = feedwater_sheet(full_flow_kg_s, &[]).installed;
        installed.curve = [0.0, 100.0]
            .map(|travel_percent| InstalledPoint {
                travel_percent,
                flow_kg_s: travel_percent / 100.0 * full_flow_kg_s,
                gain_ratio: 1.0,
            })
            .to_vec();
        stroke_sheet(the_loop, &installed, &[duty_flow("maximum", 1.65)])
    }

    /// 50 % of the flow over the first 80 % of the travel, the rest over the last 20 %: the gain is 0.625, then 2.5.
    #[test]
    fn property_the_installed_curve_decides_travel_and_swing() {
        let the_loop = shell_boiler();
        let mut installed = feedwater_sheet(2.2, &[]).installed;
        installed.curve = [(0.0, 0.0, 0.625), (80.0, 1.1, 0.625), (100.0, 2.2, 2.5)]
            .map(|(travel_percent, flow_kg_s, gain_ratio)| InstalledPoint {
                travel_percent,
                flow_kg_s,
                gain_ratio,
            })
            .to_vec();
        let mut flows = vec![duty_flow("maximum", 1.65), duty_flow("low fire", 0.36)];
        flows[0].installed_gain_ratio = Some(2.5);
        flows[1].installed_gain_ratio = Some(0.625);
        let (bent, _) = stroke_sheet(&the_loop, &installed, &flows).unwrap();
        let (straight, _) = linear_sheet(&the_loop, 2.2).unwrap();
        // From low fire up by 0.225 of full flow: 0.225/0.625 of the travel.
        assert!((bent.level_lost_m / straight.level_lost_m - 1.6).abs() < 1e-9);
        assert!((bent.deadband_level_m / straight.deadband_level_m - 2.5).abs() < 1e-9);
        assert!(
            bent.words.contains("36 % of its stroke")
                && bent.words.contains("from 26 % open at “low fire” to 62 %"),
            "{}",
            bent.words
        );
    }

    #[test]
    fn property_sheet_follows_the_survey() {
        let mut the_loop = shell_boiler();
        let (sheet, findings) = linear_sheet(&the_loop, 2.2).unwrap();
        // 0.3 · 1.65/2.2 = 0.225 of full flow.
        let (twice, _) = {
            the_loop.feedwater.stroke_time_s *= 2.0;
            linear_sheet(&the_loop, 2.2).unwrap()
        };
        assert!((twice.level_lost_m / sheet.level_lost_m - 2.0).abs() < 1e-12);
        assert!(findings.is_empty(), "{findings:?}");
        the_loop.limits.largest_load_change_ratio = 0.9;
        the_loop.feedwater.stroke_time_s = 600.0;
        the_loop.feedwater.deadband_percent = 20.0;
        let (slow, findings) = linear_sheet(&the_loop, 2.2).unwrap();
        assert!(slow.share_of_allowed_ratio > LARGE_SHARE);
        assert_eq!(findings.len(), 2);
        // More than the valve passes: no number is made up.
        let (lost, findings) = linear_sheet(&the_loop, 1.0).unwrap();
        assert!(lost.level_lost_m.is_infinite() && lost.words.contains("more than the open valve"));
        assert!(
            findings
                .iter()
                .all(|finding| finding.code != "stroke-too-slow")
        );
        assert!(linear_sheet(&the_loop, f64::NAN).is_err());
    }

    /// Level rate by hand: steam tables after IAPWS R7-97 at 9.632 bar absolute give 888.9 and 4.91 kg/m3; the surface of
    /// a lying cylinder 2.2 m by 4.5 m at 1.35 + 0.254 m is 2·4.5·√(2·1.1·1.604 − 1.604²) = 8.80 m2.
    #[test]
    fn published_level_rate_at_125_psi() {
        let (sheet, _) = linear_sheet(&shell_boiler(), 2.2).unwrap();
        let rate_m_s = 2.2 / ((888.9 - 4.91) * 8.80);
        let lost_m = 0.5 * 0.225 * 0.225 * 30.0 * rate_m_s;
        assert!(
            (sheet.level_lost_m / lost_m - 1.0).abs() < 0.01,
            "{} {lost_m}",
            sheet.level_lost_m
        );
    }

    /// An integrator with dead time 1 s under the fastest robust settings (Kc = 1/2, Ti = 8 s), backlash and steps in the
    /// valve: the estimate lies under the swing and within a third of it.
    #[test]
    fn crosscheck_swing_against_simulation() {
        for (deadband, resolution) in [(0.02, 0.0), (0.0, 0.02), (0.02, 0.02), (0.01, 0.03)] {
            let simulated = simulated_swing(0.5, 8.0, deadband, resolution);
            let estimate = swing_m(1.0, 1.0, resolution, deadband);
            assert!(
                (0.67..=1.0).contains(&(estimate / simulated)),
                "{deadband} {resolution}: {estimate} of {simulated}"
            );
        }
    }

    fn simulated_swing(gain: f64, reset_s: f64, deadband: f64, resolution: f64) -> f64 {
        let step_s = 0.01;
        let mut delay = std::collections::VecDeque::from(vec![0.0; 100]);
        let (mut level, mut integral, mut stem) = (0.5 * (deadband + resolution), 0.0, 0.0_f64);
        let load = 0.377 * resolution + 0.000_2;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for index in 0..200_000 {
            integral -= level * step_s / reset_s;
            let output = gain * (integral - level);
            stem = stem.clamp(output - deadband / 2.0, output + deadband / 2.0);
            let position = if resolution > 0.0 {
                (stem / resolution).round() * resolution
            } else {
                stem
            };
            delay.push_back(position);
            level += (delay.pop_front().unwrap() - load) * step_s;
            if index > 150_000 {
                low = low.min(level);
                high = high.max(level);
            }
        }
        high - low
    }

    proptest! {
        #[test]
        fn property_level_lost_is_the_integral(change in 0.01_f64..1.0, travel in 0.01_f64..1.0, stroke_s in 1.0_f64..200.0, rate in 1e-5_f64..1e-2) {
            let steps = 2_000;
            let step_s = travel * stroke_s / f64::from(steps);
            let sum: f64 = (0..steps)
                .map(|index| change * (1.0 - (f64::from(index) + 0.5) / f64::from(steps)) * rate * step_s)
                .sum();
            prop_assert!((level_lost_m(change, travel, stroke_s, rate) / sum - 1.0).abs() < 1e-9);
        }
    }
}
