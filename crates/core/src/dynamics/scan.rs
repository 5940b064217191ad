//! The sampled controller: filter, PID with a limited output, hand and auto without a bump, one, two or three elements.
//!
//! ```text
//! level      u = Kp·e + I − Kd·dy/dt,   I ← I + Ki·e·Δt,   I held to what keeps u between 0 and 100 %
//! two        u + share·steam
//! three      flow wanted = (u + share·steam), valve moved by a flow loop of its own
//! ```
//!
//! e is set point less filtered level in percent of the level span, turned where the action is direct. Derivative acts on the level
//! alone, so that a moved set point gives no kick. The steam's share is 100 % of output for the flow of the full valve.
//!
//! **Source:** Åström & Hägglund, *Advanced PID Control* (2006), chapters 3 (anti-windup, bumpless transfer) and 13 (implementation).
//! **Checked by:** `published_step_of_a_pi_controller`, `property_no_bump_on_transfer`, `property_output_does_not_wind_up`.

use crate::controller::forms::PidSettings;

/// How many measurements the controller listens to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Elements {
    /// Level.
    One,
    /// Level and steam flow.
    Two,
    /// Level, steam flow and feedwater flow.
    Three,
}

/// Who moves the valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// The controller.
    Auto,
    /// A hand.
    Hand,
}

/// What the controller sees at a scan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// INDICATED level, percent of the level span.
    pub level_percent: f64,
    /// Steam flow, percent of the flow of the full valve.
    pub steam_percent: f64,
    /// Feedwater flow, percent of the flow of the full valve.
    pub feed_percent: f64,
}

/// Gain of the flow loop within three elements, %/%, and its reset, s: fast against the level, slow against the valve.
const FLOW_GAIN_RATIO: f64 = 0.4;
const FLOW_RESET_S: f64 = 10.0;

/// The controller between two scans.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scan {
    proportional: f64,
    integral_per_s: f64,
    derivative_s: f64,
    sample_s: f64,
    filter_s: f64,
    /// +1 where a level under the set point raises the output.
    turn: f64,
    /// Elements.
    pub elements: Elements,
    /// Set point, percent of the level span.
    pub set_point_percent: f64,
    mode: Mode,
    output_percent: f64,
    integral_percent: f64,
    flow_integral_percent: f64,
    filtered_percent: f64,
}

impl Scan {
    /// A controller that has held this level with this output since long: no bump at its first scan.
    pub fn at_rest(
        settings: PidSettings,
        (sample_s, filter_s): (f64, f64),
        reverse_acting: bool,
        elements: Elements,
        set_point_percent: f64,
        seen: Seen,
        output_percent: f64,
    ) -> Self {
        let gains = settings.to_parallel();
        let mut scan = Self {
            proportional: gains.proportional_ratio(),
            integral_per_s: gains.integral_per_s(),
            derivative_s: gains.derivative_s(),
            sample_s,
            filter_s,
            turn: if reverse_acting { 1.0 } else { -1.0 },
            elements,
            set_point_percent,
            mode: Mode::Hand,
            output_percent,
            integral_percent: 0.0,
            flow_integral_percent: 0.0,
            filtered_percent: seen.level_percent,
        };
        scan.to_auto(seen);
        scan
    }

    /// Output, percent.
    pub const fn output_percent(&self) -> f64 {
        self.output_percent
    }

    /// Mode.
    pub const fn mode(&self) -> Mode {
        self.mode
    }

    /// To hand, at the output that stands.
    pub const fn to_hand(&mut self) {
        self.mode = Mode::Hand;
    }

    /// The hand's output, percent; does nothing in auto.
    pub fn set_output(&mut self, output_percent: f64) {
        if matches!(self.mode, Mode::Hand) {
            self.output_percent = output_percent.clamp(0.0, 100.0);
        }
    }

    /// To auto from the output that stands, without a bump.
    pub fn to_auto(&mut self, seen: Seen) {
        self.mode = Mode::Auto;
        let error = self.turn * (self.set_point_percent - self.filtered_percent);
        let ahead = self.ahead_percent(seen);
        // A controller without reset has its bias here once, and no more of it.
        if matches!(self.elements, Elements::Three) {
            self.integral_percent = seen.feed_percent - self.proportional * error - ahead;
            self.flow_integral_percent = self.output_percent;
        } else {
            self.integral_percent = self.output_percent - self.proportional * error - ahead;
        }
    }

    /// The input is out of range: the output goes to where the controller is set to drive it, or stays (`None`). A hand keeps it.
    pub fn scan_blind(&mut self, output_percent: Option<f64>) -> f64 {
        if let (Mode::Auto, Some(output_percent)) = (self.mode, output_percent) {
            self.output_percent = output_percent;
        }
        self.output_percent
    }

    /// The input is back: what the filter held of the time before is gone, and auto goes on from the output that stands.
    pub fn wake(&mut self, seen: Seen) {
        self.filtered_percent = seen.level_percent;
        if matches!(self.mode, Mode::Auto) {
            self.to_auto(seen);
        }
    }

    fn ahead_percent(&self, seen: Seen) -> f64 {
        match self.elements {
            Elements::One => 0.0,
            Elements::Two | Elements::Three => self.turn * seen.steam_percent,
        }
    }

    /// One scan; returns the output, percent.
    pub fn scan(&mut self, seen: Seen) -> f64 {
        let before = self.filtered_percent;
        let part = self.sample_s / (self.sample_s + self.filter_s);
        self.filtered_percent += part * (seen.level_percent - self.filtered_percent);
        if matches!(self.mode, Mode::Hand) {
            return self.output_percent;
        }
        let error = self.turn * (self.set_point_percent - self.filtered_percent);
        let rate = self.turn * (self.filtered_percent - before) / self.sample_s;
        let rest = self.proportional * error - self.derivative_s * rate + self.ahead_percent(seen);
        self.integral_percent += self.integral_per_s * self.sample_s * error;
        if self.integral_per_s > 0.0 {
            self.integral_percent = self.integral_percent.clamp(-rest, 100.0 - rest);
        }
        let wanted = (self.integral_percent + rest).clamp(0.0, 100.0);
        self.output_percent = match self.elements {
            Elements::One | Elements::Two => wanted,
            Elements::Three => {
                let short = self.turn * (wanted - seen.feed_percent);
                self.flow_integral_percent +=
                    FLOW_GAIN_RATIO / FLOW_RESET_S * self.sample_s * short;
                let quick = FLOW_GAIN_RATIO * short;
                self.flow_integral_percent =
                    self.flow_integral_percent.clamp(-quick, 100.0 - quick);
                (self.flow_integral_percent + quick).clamp(0.0, 100.0)
            }
        };
        self.output_percent
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seen(level_percent: f64) -> Seen {
        Seen {
            level_percent,
            steam_percent: 40.0,
            feed_percent: 40.0,
        }
    }

    fn controller(elements: Elements) -> Scan {
        let settings = PidSettings::ideal(2.0, Some(100.0), 0.0).unwrap();
        Scan::at_rest(settings, (0.5, 0.0), true, elements, 50.0, seen(50.0), 35.0)
    }

    /// PI on a step of error: u = u0 + Kc·e·(1 + t/Ti), written out.
    #[test]
    fn published_step_of_a_pi_controller() {
        let mut scan = controller(Elements::One);
        for index in 1..=100 {
            let output = scan.scan(seen(47.0));
            let expected = 35.0 + 2.0 * 3.0 * (1.0 + 0.5 * f64::from(index) / 100.0);
            assert!(
                (output - expected).abs() < 1e-9,
                "{index}: {output} {expected}"
            );
        }
    }

    #[test]
    fn property_output_does_not_wind_up() {
        let mut scan = controller(Elements::One);
        for _ in 0..100_000 {
            scan.scan(seen(0.0));
        }
        assert!(scan.output_percent() >= 100.0);
        // The level back over the set point: the output leaves its end at once.
        assert!(scan.scan(seen(51.0)) < 100.0);
    }

    #[test]
    fn property_direct_action_turns_the_output() {
        let settings = PidSettings::ideal(2.0, Some(100.0), 0.0).unwrap();
        let mut direct = Scan::at_rest(
            settings,
            (0.5, 0.0),
            false,
            Elements::One,
            50.0,
            seen(50.0),
            35.0,
        );
        assert!(direct.scan(seen(47.0)) < 35.0);
    }

    proptest! {
        #[test]
        fn property_no_bump_on_transfer(level in 20.0_f64..80.0, hand in 0.0_f64..100.0, kind in 0_usize..3) {
            let mut scan = controller([Elements::One, Elements::Two, Elements::Three][kind]);
            scan.to_hand();
            scan.set_output(hand);
            // The filter has no time here: the level is known before the transfer.
            scan.scan(seen(level));
            scan.to_auto(seen(level));
            let after = scan.scan(seen(level));
            // What one scan of the integral moves, no more.
            let most = 0.5 / 100.0 * 2.0 * 30.0 + 0.5 * 0.4 * 30.0;
            prop_assert!((after - hand).abs() <= most, "{after} {hand}");
        }
    }
}
