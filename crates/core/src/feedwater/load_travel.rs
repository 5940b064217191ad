//! What the installed valve must travel for the largest load change, from the duty that asks for most.
//!
//! ```text
//! from each duty     h0 = h(w)      h1 = h(clip(w ± Δw, 0, w_full))      h: the installed curve, read backwards
//! the worst          the largest |w1 − w0|·|h1 − h0|
//! ```
//!
//! | symbol | name                                        | unit |
//! |--------|---------------------------------------------|------|
//! | w, Δw  | flow of the duty, largest load change       | kg/s |
//! | w_full | flow with the valve fully open              | kg/s |
//! | h      | travel, fraction of the stroke              | -    |
//!
//! **Source:** definition; the product is the level lost at full speed. **Departures:** every duty is read on the curve at the largest
//! duty's pressures, straight between its points.
//! **Checked by:** `published_equal_percentage_travel_is_the_logarithm`, `property_clipped_at_either_end`.

use crate::feedwater::sheets::{DutyFlow, DutyKind, Installed, InstalledPoint};

/// Largest travel by a load change.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadTravel {
    /// Duty that it starts from.
    pub duty: String,
    /// Travel there, fraction of the stroke.
    pub from_ratio: f64,
    /// Travel after the change.
    pub to_ratio: f64,
    /// Change of flow over full-valve flow; less than what was asked for where the valve's end cuts it.
    pub change_ratio: f64,
    /// Is the change cut at the open valve or at no flow.
    pub clipped: bool,
}

impl LoadTravel {
    /// Share of the stroke that it takes.
    #[must_use]
    pub fn share(&self) -> f64 {
        (self.to_ratio - self.from_ratio).abs()
    }

    /// The travel in words.
    #[must_use]
    pub fn words(&self) -> String {
        let cut = match (self.clipped, self.to_ratio > self.from_ratio) {
            (false, _) => "",
            (true, true) => "; the change is cut at the open valve",
            (true, false) => "; the change is cut at no flow",
        };
        format!(
            "from {:.0} % open at “{}” to {:.0} %{cut}",
            100.0 * self.from_ratio,
            self.duty,
            100.0 * self.to_ratio
        )
    }
}

/// The largest travel by a load change of this share of full-valve flow; `None` without a duty or a flow.
pub fn load_travel(
    installed: &Installed,
    flows: &[DutyFlow],
    change_ratio: f64,
) -> Option<LoadTravel> {
    let full_kg_s = installed.full_flow_kg_s;
    if !(full_kg_s > 0.0 && change_ratio > 0.0) {
        return None;
    }
    let mut worst: Option<LoadTravel> = None;
    for flow in control_duties(flows) {
        let from_kg_s = flow.flow_kg_s.min(full_kg_s);
        for sign in [1.0, -1.0] {
            let wanted_kg_s = from_kg_s + sign * change_ratio * full_kg_s;
            let to_kg_s = wanted_kg_s.clamp(0.0, full_kg_s);
            let travel = LoadTravel {
                duty: flow.name.clone(),
                from_ratio: travel_at(&installed.curve, from_kg_s),
                to_ratio: travel_at(&installed.curve, to_kg_s),
                change_ratio: (to_kg_s - from_kg_s).abs() / full_kg_s,
                clipped: (wanted_kg_s - to_kg_s).abs() > 1e-9 * full_kg_s,
            };
            let loss = |travel: &LoadTravel| travel.change_ratio * travel.share();
            if worst
                .as_ref()
                .is_none_or(|worst| loss(&travel) > loss(worst))
            {
                worst = Some(travel);
            }
        }
    }
    worst
}

/// The largest installed gain of the duties; the largest of the curve for a duty that the open valve does not reach.
pub fn largest_gain_ratio(installed: &Installed, flows: &[DutyFlow]) -> f64 {
    let of_curve = installed
        .curve
        .iter()
        .map(|point| point.gain_ratio)
        .filter(|gain| gain.is_finite())
        .fold(0.0, f64::max);
    control_duties(flows)
        .map(|flow| flow.installed_gain_ratio.unwrap_or(of_curve))
        .fold(0.0, f64::max)
}

/// The duties that are held by control: the stated ones, or a start-up of the user's where there is no other.
fn control_duties(flows: &[DutyFlow]) -> impl Iterator<Item = &DutyFlow> {
    let any_stated = flows.iter().any(|flow| flow.kind == DutyKind::Stated);
    let wanted = if any_stated {
        DutyKind::Stated
    } else {
        DutyKind::StartUp
    };
    flows.iter().filter(move |flow| flow.kind == wanted)
}

/// Travel of a flow on a curve, fraction; its ends beyond them.
fn travel_at(curve: &[InstalledPoint], flow_kg_s: f64) -> f64 {
    let Some(first) = curve.first() else {
        return 0.0;
    };
    if !(flow_kg_s > first.flow_kg_s) {
        return first.travel_percent / 100.0;
    }
    for pair in curve.windows(2) {
        if flow_kg_s <= pair[1].flow_kg_s {
            let share = (flow_kg_s - pair[0].flow_kg_s) / (pair[1].flow_kg_s - pair[0].flow_kg_s);
            let step = pair[1].travel_percent - pair[0].travel_percent;
            return (pair[0].travel_percent + share * step) / 100.0;
        }
    }
    1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feedwater::example_sheet::{duty_flow, feedwater_sheet};

    /// A valve that alone takes the drop keeps its inherent curve: w/w_full = R^(h − 1), R = 50 (the definition of equal
    /// percentage in IEC 60534-2-4), so the travel between two flows is ln(w1/w0)/ln R.
    fn equal_percentage() -> Installed {
        let mut installed = feedwater_sheet(2.0, &[]).installed;
        installed.curve = (0..=20)
            .map(|index| {
                let travel = f64::from(index) / 20.0;
                let share = 50_f64.powf(travel - 1.0);
                InstalledPoint {
                    travel_percent: 100.0 * travel,
                    flow_kg_s: 2.0 * share,
                    gain_ratio: 50_f64.ln() * share,
                }
            })
            .collect();
        installed
    }

    #[test]
    fn published_equal_percentage_travel_is_the_logarithm() {
        let flows = [duty_flow("maximum", 1.4), duty_flow("low fire", 0.4)];
        let travel = load_travel(&equal_percentage(), &flows, 0.2).unwrap();
        // 0.4 kg/s to 0.8 kg/s: ln 2/ln 50 = 0.177; from the maximum only ln(1.4/1.0)/ln 50 = 0.086. Down from 0.4 the valve
        // shuts: 0.589 of the stroke for the same 0.4 kg/s, which is the worst.
        assert_eq!(travel.duty, "low fire");
        assert!((travel.from_ratio - (1.0 + 0.2_f64.ln() / 50_f64.ln())).abs() < 2e-3);
        assert!(
            travel.to_ratio.abs() <= 0.0 && !travel.clipped,
            "{travel:?}"
        );
        let up = load_travel(&equal_percentage(), &flows[..1], 0.2).unwrap();
        assert!(
            (up.share() - 1.4_f64.ln() / 50_f64.ln()).abs() < 2e-3,
            "{up:?}"
        );
    }

    #[test]
    fn property_clipped_at_either_end() {
        let installed = equal_percentage();
        let down = load_travel(&installed, &[duty_flow("low fire", 0.2)], 0.2).unwrap();
        assert!(down.change_ratio <= 0.2 + 1e-12);
        let up = load_travel(&installed, &[duty_flow("maximum", 1.9)], 0.2).unwrap();
        // Up only 0.1 kg/s is left: down is worse, and not cut.
        assert!(!up.clipped && up.to_ratio < up.from_ratio);
        let all = load_travel(&installed, &[duty_flow("maximum", 1.0)], 0.9).unwrap();
        assert!(all.clipped && (all.change_ratio - 0.5).abs() < 1e-12);
        assert!(all.words().contains("cut at no flow"), "{}", all.words());
        assert_eq!(load_travel(&installed, &[], 0.2), None);
        assert_eq!(
            load_travel(&installed, &[duty_flow("x", 1.0)], f64::NAN),
            None
        );
    }

    #[test]
    fn property_largest_gain_of_the_duties() {
        let sheet = feedwater_sheet(2.2, &[("maximum", Some(0.6)), ("low fire", Some(0.9))]);
        assert!((largest_gain_ratio(&sheet.installed, &sheet.duties) - 0.9).abs() < 1e-12);
        let sheet = feedwater_sheet(2.2, &[("maximum", Some(0.6)), ("low fire", None)]);
        assert!((largest_gain_ratio(&sheet.installed, &sheet.duties) - 1.8).abs() < 1e-12);
    }
}
