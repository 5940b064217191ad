//! Does a pump run below the flow that keeps it whole, with the valve almost shut against it.

use crate::description::feed_system::{FeedSystem, Pump, Recirculation, Supply};
use crate::feedwater::sheets::{DutyFlow, MinimumFlowSheet};
use crate::finding::{Finding, Severity};

/// Share by which a flow may miss the minimum: an orifice that passes it at shut-off head passes a little less once that very
/// flow lets the head sag, and no maker states the minimum more closely (no source).
const FLOW_SLACK: f64 = 0.02;

/// Why minimum flow cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MinimumFlowError {
    /// No pump runs.
    #[error("no pump runs: at least one is wanted")]
    NoPump,
    /// The minimum flow is no flow.
    #[error("minimum flow is {flow_m3_s} m3/s: more than 0 is wanted")]
    Flow {
        /// Flow, m3/s.
        flow_m3_s: f64,
    },
}

/// Minimum flow of the pumps; `None` with a header, or where the minimum is not known (a finding says so).
///
/// Without recirculation each running pump passes (flow through the valve + what others draw)/pumps. What others draw
/// counts as surveyed, at every duty, shut-off too.
///
/// **Source:** mass balance. **Checked by:** `practice_which_duties_run_below`.
///
/// # Errors
/// [`MinimumFlowError`].
pub fn minimum_flow_sheet(
    system: &FeedSystem,
    duties: &[DutyFlow],
) -> Result<(Option<MinimumFlowSheet>, Vec<Finding>), MinimumFlowError> {
    let Supply::Pump(pump) = &system.supply else {
        return Ok((None, Vec::new()));
    };
    if pump.running == 0 {
        return Err(MinimumFlowError::NoPump);
    }
    let Some(minimum_flow_m3_s) = pump.minimum_flow_m3_s else {
        return Ok((None, vec![unknown()]));
    };
    if !(minimum_flow_m3_s > 0.0 && minimum_flow_m3_s.is_finite()) {
        return Err(MinimumFlowError::Flow {
            flow_m3_s: minimum_flow_m3_s,
        });
    }
    let least_m3_s = minimum_flow_m3_s * (1.0 - FLOW_SLACK);
    let duties_below: Vec<String> = duties
        .iter()
        .filter(|duty| bare_flow_m3_s(pump, duty) < least_m3_s)
        .map(|duty| duty.name.clone())
        .collect();
    let still_below: Vec<&str> = duties
        .iter()
        .filter(|duty| match pump.recirculation {
            Recirculation::Automatic => false,
            Recirculation::None => bare_flow_m3_s(pump, duty) < least_m3_s,
            Recirculation::Continuous { .. } => duty
                .pump_flow_m3_s
                .unwrap_or_else(|| bare_flow_m3_s(pump, duty))
                .lt(&least_m3_s),
        })
        .map(|duty| duty.name.as_str())
        .collect();
    let covered = still_below.is_empty();
    let findings = if covered {
        Vec::new()
    } else {
        vec![Finding {
            severity: Severity::Warn,
            code: "pump-below-minimum-flow",
            what: format!(
                "A running pump passes less than its maker's minimum at: {}.",
                still_below.join(", ")
            ),
            consequence: "The valve is shut or almost shut against a running pump: the water in it heats up and flashes, and bearings and seal suffer within minutes to hours.".into(),
            remedy: match pump.recirculation {
                Recirculation::Continuous { .. } => "Take a larger orifice, an automatic recirculation valve, or stop a pump at these duties; lead the water back to the feed tank, not to the suction.",
                _ => "Fit an orifice or an automatic recirculation valve back to the feed tank (not to the suction), or stop a pump at these duties.",
            }
            .into(),
            input: "supply.recirculation",
        }]
    };
    Ok((
        Some(MinimumFlowSheet {
            minimum_flow_m3_s,
            words: words(pump, &duties_below, covered),
            duties_below,
            covered,
        }),
        findings,
    ))
}

/// Flow of one pump without recirculation, m3/s.
fn bare_flow_m3_s(pump: &Pump, duty: &DutyFlow) -> f64 {
    (duty.flow_m3_s + pump.other_flow_kg_s / duty.density_kg_m3) / f64::from(pump.running)
}

fn unknown() -> Finding {
    Finding {
        severity: Severity::Note,
        code: "minimum-flow-unknown",
        what: "The pump's minimum flow is not surveyed.".into(),
        consequence: "A control valve runs almost shut against a running pump at low fire; whether that harms the pump cannot be said.".into(),
        remedy: "Take the minimum continuous flow from the pump's data sheet.".into(),
        input: "supply.minimum-flow",
    }
}

fn words(pump: &Pump, duties_below: &[String], covered: bool) -> String {
    let mut words = Vec::new();
    words.push(if duties_below.is_empty() {
        "At every duty each running pump passes its minimum flow through the valve alone."
            .to_owned()
    } else {
        format!(
            "Through the valve alone a running pump would pass less than its minimum flow at: {}.",
            duties_below.join(", ")
        )
    });
    words.push(
        match (pump.recirculation, covered) {
            (Recirculation::None, true) => "Nothing recirculates, and nothing needs to at these duties.",
            (Recirculation::None, false) => "Nothing recirculates: the pump is not protected there.",
            (Recirculation::Continuous { .. }, true) => "The orifice keeps the minimum flow at every duty; its water is pumped for nothing at full load.",
            (Recirculation::Continuous { .. }, false) => "The orifice passes too little for that.",
            (Recirculation::Automatic, _) => "The recirculation valve must open below the minimum flow: prove it at shut-off, with the control valve shut.",
        }
        .to_owned(),
    );
    if pump.variable_speed {
        words.push("The minimum falls about with the speed (common practice).".into());
    }
    if pump.other_flow_kg_s > 0.0 {
        words.push("What the other vessels draw is counted as always there; with them shut off the pump passes less.".into());
    }
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::description::feed_system::Header;
    use crate::feedwater::example_sheet::{duty_flow, feed_system};
    use crate::quantity::AbsolutePressure;

    fn judged(
        recirculation: Recirculation,
        minimum_m3_s: Option<f64>,
        other_kg_s: f64,
    ) -> (Option<MinimumFlowSheet>, Vec<Finding>) {
        let mut system = feed_system();
        if let Supply::Pump(pump) = &mut system.supply {
            pump.running = 2;
            pump.recirculation = recirculation;
            pump.minimum_flow_m3_s = minimum_m3_s;
            pump.other_flow_kg_s = other_kg_s;
        }
        let through = if let Recirculation::Continuous { flow_m3_s } = recirculation {
            flow_m3_s
        } else {
            0.0
        };
        let duties: Vec<DutyFlow> = [("maximum", 2.0e-3), ("low fire", 0.6e-3), ("shut-off", 0.0)]
            .into_iter()
            .map(|(name, flow_m3_s)| {
                let mut duty = duty_flow(name, 1_000.0 * flow_m3_s);
                duty.density_kg_m3 = 1_000.0;
                duty.flow_m3_s = flow_m3_s;
                duty.pump_flow_m3_s = Some((flow_m3_s + other_kg_s / 1_000.0) / 2.0 + through);
                duty
            })
            .collect();
        minimum_flow_sheet(&system, &duties).unwrap()
    }

    #[test]
    fn practice_which_duties_run_below() {
        let (sheet, findings) = judged(Recirculation::None, Some(0.5e-3), 0.0);
        let sheet = sheet.unwrap();
        assert_eq!(sheet.duties_below, ["low fire", "shut-off"]);
        assert!(!sheet.covered && findings[0].code == "pump-below-minimum-flow");
        // Half a litre a second drawn by others keeps one of them.
        let (sheet, _) = judged(Recirculation::None, Some(0.5e-3), 0.5);
        assert_eq!(sheet.unwrap().duties_below, ["shut-off"]);
        let (sheet, findings) = judged(Recirculation::Automatic, Some(0.5e-3), 0.0);
        assert!(sheet.unwrap().covered && findings.is_empty());
        for (flow_m3_s, covered) in [(0.5e-3, true), (0.495e-3, true), (0.485e-3, false)] {
            let (sheet, findings) =
                judged(Recirculation::Continuous { flow_m3_s }, Some(0.5e-3), 0.0);
            let sheet = sheet.unwrap();
            assert_eq!((sheet.covered, findings.is_empty()), (covered, covered));
            assert_eq!(sheet.duties_below.len(), 2, "recirculation left out");
        }
    }

    #[test]
    fn property_unknown_minimum_and_header_have_no_sheet() {
        let (sheet, findings) = judged(Recirculation::None, None, 0.0);
        assert!(sheet.is_none() && findings[0].code == "minimum-flow-unknown");
        let mut system = feed_system();
        system.supply = Supply::Header(Header {
            pressure: AbsolutePressure::from_pa(1.5e6),
            droop: None,
        });
        assert_eq!(
            minimum_flow_sheet(&system, &[]).unwrap(),
            (None, Vec::new())
        );
        let mut system = feed_system();
        if let Supply::Pump(pump) = &mut system.supply {
            pump.minimum_flow_m3_s = Some(f64::NAN);
        }
        assert!(minimum_flow_sheet(&system, &[]).is_err());
    }
}
