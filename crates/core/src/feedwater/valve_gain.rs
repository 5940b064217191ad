//! What the rest of the loop takes from the feedwater sheet: flow with the valve fully open, gain of the valve at a duty.

use crate::description::Loop;
use crate::feedwater::sheets::{DutyKind, FeedwaterSheet};

/// Flow with the valve fully open, kg/s: from the installed characteristic, else as surveyed.
pub fn full_valve_flow_kg_s(the_loop: &Loop, feedwater: Option<&FeedwaterSheet>) -> f64 {
    feedwater.map_or(the_loop.feedwater.full_valve_flow_kg_s, |sheet| {
        sheet.installed.full_flow_kg_s
    })
}

/// Where that flow comes from, in words.
pub fn full_valve_flow_source(the_loop: &Loop, feedwater: Option<&FeedwaterSheet>) -> String {
    feedwater.map_or_else(
        || the_loop.feedwater.full_valve_flow_source.clone(),
        |sheet| {
            format!(
                "installed: {} with Kv {:.3} m3/h fully open in this system, at the largest duty's pressures",
                sheet.chosen_name, sheet.chosen_kv_m3_h
            )
        },
    )
}

/// Gain of the valve at a duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveGain {
    /// d(flow/full-valve flow)/d(travel fraction).
    pub ratio: f64,
    /// True where the duty has no travel and the largest gain of the installed characteristic stands in.
    pub is_worst: bool,
}

/// Gain of the installed valve at a stated duty, by name; 1 without a feed system: the valve is then taken as linear.
///
/// A duty that the open valve does not reach has no gain of its own: the largest of the characteristic stands in, which
/// is the worst for stability. `None` where no gain above 0 is known at all.
pub fn valve_gain(feedwater: Option<&FeedwaterSheet>, duty_name: &str) -> Option<ValveGain> {
    let Some(sheet) = feedwater else {
        return Some(ValveGain {
            ratio: 1.0,
            is_worst: false,
        });
    };
    let own = sheet
        .duties
        .iter()
        .find(|duty| duty.kind == DutyKind::Stated && duty.name == duty_name)
        .and_then(|duty| duty.installed_gain_ratio)
        .filter(|ratio| *ratio > 0.0 && ratio.is_finite());
    if let Some(ratio) = own {
        return Some(ValveGain {
            ratio,
            is_worst: false,
        });
    }
    let worst = sheet
        .installed
        .curve
        .iter()
        .map(|point| point.gain_ratio)
        .filter(|ratio| ratio.is_finite())
        .fold(0.0, f64::max);
    (worst > 0.0).then_some(ValveGain {
        ratio: worst,
        is_worst: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use crate::feedwater::example_sheet::feedwater_sheet;

    #[test]
    fn property_flow_and_gain_come_from_the_sheet_where_there_is_one() {
        let the_loop = shell_boiler();
        let sheet = feedwater_sheet(2.6, &[("maximum", Some(0.6)), ("low fire", None)]);
        assert!((full_valve_flow_kg_s(&the_loop, None) - 2.2).abs() < 1e-12);
        assert!((full_valve_flow_kg_s(&the_loop, Some(&sheet)) - 2.6).abs() < 1e-12);
        assert_eq!(full_valve_flow_source(&the_loop, None), "stated");
        assert!(full_valve_flow_source(&the_loop, Some(&sheet)).starts_with("installed: "));
        let gain = |name: &str| valve_gain(Some(&sheet), name).unwrap();
        assert_eq!(
            (gain("maximum").ratio, gain("maximum").is_worst),
            (0.6, false)
        );
        // No travel: the largest of the curve.
        assert_eq!(
            (gain("low fire").ratio, gain("low fire").is_worst),
            (1.8, true)
        );
        assert!((valve_gain(None, "maximum").unwrap().ratio - 1.0).abs() < 1e-12);
        let mut flat = sheet.clone();
        flat.installed.curve.clear();
        assert_eq!(valve_gain(Some(&flat), "low fire"), None);
    }
}
