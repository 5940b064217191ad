//! What is drawn, between which ends, and why.

use rand_xoshiro::Xoshiro256PlusPlus;

use crate::description::{Loop, VesselKind};
use crate::dynamics::drum::DrumSteam;
use crate::dynamics::noise::even;
use crate::dynamics::plant::Variation;
use crate::dynamics::scenario::Scenario;
use crate::finding::Assumption;

/// An input of the draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    /// Where the rise of bubbles lies between the slowest published, 0, and the fastest, 1.
    BubbleRise,
    /// Where a drum's steam stands: under 0.5 evenly through the mixture, from there above the lower tap.
    DrumSteam,
    /// Metal's heat capacity over the assumed one.
    Metal,
    /// Added to the share of heat below the lower tap.
    HeatBelowTap,
    /// Stroke time over the stated one.
    Stroke,
    /// Deadband over the stated one.
    Deadband,
}

impl Input {
    /// In words, with the unit of what is drawn.
    pub const fn words(self) -> &'static str {
        match self {
            Self::BubbleRise => "rise of bubbles, 0 slowest to 1 fastest published",
            Self::DrumSteam => "steam in the drum, under 0.5 even, else above the tap",
            Self::Metal => "metal over the assumed",
            Self::HeatBelowTap => "heat below the lower tap, added share",
            Self::Stroke => "stroke time over the stated",
            Self::Deadband => "deadband over the stated",
        }
    }

    /// Ends between which it is drawn evenly.
    pub const fn ends(self) -> (f64, f64) {
        match self {
            Self::BubbleRise | Self::DrumSteam => (0.0, 1.0),
            Self::Metal => (0.7, 1.3),
            Self::HeatBelowTap => (-0.1, 0.1),
            Self::Stroke => (0.8, 1.3),
            Self::Deadband => (0.0, 2.0),
        }
    }

    pub(super) fn assumption(self, described: &Loop) -> Assumption {
        let (low, high) = self.ends();
        let times = |value: f64, unit: &str| {
            let rounded = |end: f64| (1e3 * end * value).round() / 1e3;
            format!("{} to {} {unit}, evenly", rounded(low), rounded(high))
        };
        let (input, value, why) = match self {
            Self::BubbleRise => (
                "draws.bubble-rise",
                "slowest to fastest published, evenly".to_owned(),
                "published drift velocities differ threefold and nobody measures them: it decides how far the level swells",
            ),
            Self::DrumSteam => (
                "draws.drum-steam",
                "even through the mixture or above the tap, half of the draws each".to_owned(),
                "the risers' entry decides it and is not surveyed: steam below the tap lifts water over it",
            ),
            Self::Metal => (
                "draws.metal",
                format!("{low} to {high} times the assumed, evenly"),
                "estimated from plate and circuit and not weighed (common practice): it slows the pressure",
            ),
            Self::HeatBelowTap => (
                "draws.heat-below-tap",
                "10 points less to 10 points more of the heat, evenly".to_owned(),
                "estimated from the tubes' volume (common practice): it decides how much steam stands below the tap",
            ),
            Self::Stroke => (
                "draws.stroke-time",
                times(described.feedwater.stroke_time_s, "s"),
                "0.8 to 1.3 times the stated: actuators slow down with packing and supply (common practice)",
            ),
            Self::Deadband => (
                "draws.deadband",
                times(described.feedwater.deadband_percent, "%"),
                "none to twice the stated: play grows with wear and is seldom measured (common practice)",
            ),
        };
        Assumption { input, value, why }
    }
}

/// What is drawn for a loop: what does not act on its vessel is left out.
pub(super) fn inputs(described: &Loop) -> Vec<Input> {
    let kind = described.vessel.kind;
    let mut inputs = match kind {
        VesselKind::ShellBoiler => vec![Input::BubbleRise, Input::HeatBelowTap, Input::Metal],
        VesselKind::Deaerator => vec![Input::BubbleRise, Input::Metal],
        VesselKind::DrumBoiler => vec![Input::DrumSteam, Input::Metal],
        VesselKind::VentedTank => Vec::new(),
    };
    inputs.push(Input::Stroke);
    if described.feedwater.deadband_percent > 0.0 {
        inputs.push(Input::Deadband);
    }
    inputs
}

/// One draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    values: Vec<(Input, f64)>,
    noise_seed: u64,
}

impl Drawn {
    pub(super) fn next(
        inputs: &[Input],
        generator: &mut Xoshiro256PlusPlus,
        noise_seed: u64,
    ) -> Self {
        let values = inputs
            .iter()
            .map(|&input| {
                let (low, high) = input.ends();
                (input, low + (high - low) * even(generator))
            })
            .collect();
        Self { values, noise_seed }
    }

    /// What was drawn, an entry an input.
    pub fn values(&self) -> &[(Input, f64)] {
        &self.values
    }

    /// What was drawn for an input; NaN for one that is not drawn.
    pub(super) fn value(&self, input: Input) -> f64 {
        self.get(input).unwrap_or(f64::NAN)
    }

    fn get(&self, input: Input) -> Option<f64> {
        self.values
            .iter()
            .find(|(one, _)| *one == input)
            .map(|(_, value)| *value)
    }

    pub(super) fn variation(&self) -> Variation {
        let assumed = Variation::AS_ASSUMED;
        Variation {
            bubble_rise_ratio: self
                .get(Input::BubbleRise)
                .unwrap_or(assumed.bubble_rise_ratio),
            drum_steam: match self.get(Input::DrumSteam) {
                Some(part) if part >= 0.5 => DrumSteam::AboveTap,
                Some(_) => DrumSteam::Even,
                None => assumed.drum_steam,
            },
            metal_ratio: self.get(Input::Metal).unwrap_or(assumed.metal_ratio),
            heat_below_tap_more: self
                .get(Input::HeatBelowTap)
                .unwrap_or(assumed.heat_below_tap_more),
        }
    }

    /// The loop with the actuator drawn.
    pub(super) fn of_loop(&self, described: &Loop) -> Loop {
        let mut described = described.clone();
        let feedwater = &mut described.feedwater;
        feedwater.stroke_time_s *= self.get(Input::Stroke).unwrap_or(1.0);
        feedwater.deadband_percent *= self.get(Input::Deadband).unwrap_or(1.0);
        described
    }

    /// The scenario with noise of its own.
    pub(super) fn of_scenario(&self, scenario: &Scenario) -> Scenario {
        Scenario {
            seed: self.noise_seed,
            ..scenario.clone()
        }
    }
}
