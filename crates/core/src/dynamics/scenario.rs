//! A scenario: where a run starts, what happens when, with which range and settings.

/// Which range the cell has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeChoice {
    /// The range sheet's chosen one.
    Chosen,
    /// Ranged on the cold bench.
    Bench,
    /// As found.
    AsFound,
}

/// Which settings the controller has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SettingsChoice {
    /// The tuning sheet's chosen ones.
    Chosen,
    /// As found.
    AsFound,
    /// The habit that the tuning sheet judges: a narrow band, a reset of a minute or two.
    Habit,
    /// Stated: gain, %/%, and reset, s/repeat (none: no reset), ideal form.
    Stated {
        /// Gain, %/%.
        gain_ratio: f64,
        /// Reset, s/repeat.
        reset_s: Option<f64>,
    },
}

/// What the vessel is like at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StartAt {
    /// In the start duty's balance.
    Duty,
    /// Cold, open to the air, the valve shut and the heating let go; a boiler's load waits for its pressure.
    Cold {
        /// Temperature of the water, K.
        temperature_k: f64,
        /// TRUE level, m above the lower tap; `None`: on the set point.
        level_m: Option<f64>,
    },
}

impl StartAt {
    /// Does it start cold.
    pub const fn is_cold(self) -> bool {
        matches!(self, StartAt::Cold { .. })
    }
}

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Happening {
    /// The load goes to this share of the largest duty's outflow, within a time.
    Load {
        /// Share of the largest duty's outflow.
        share_ratio: f64,
        /// Time that the change takes, s.
        within_s: f64,
    },
    /// The feedwater's temperature goes to this, K.
    FeedTemperature {
        /// K.
        temperature_k: f64,
    },
    /// The feed pump stops or starts again.
    Pump {
        /// Runs.
        runs: bool,
    },
    /// The valve sticks where it is, or comes free.
    Valve {
        /// Stuck.
        stuck: bool,
    },
    /// The cell's signal is lost, or comes back.
    Signal {
        /// Lost.
        lost: bool,
    },
    /// The reference leg's mean temperature goes to this, K.
    ReferenceLeg {
        /// K.
        temperature_k: f64,
    },
    /// The set point moves, m above the lower tap.
    SetPoint {
        /// m above the lower tap.
        level_m: f64,
    },
    /// The controller goes to hand with this output, percent.
    Hand {
        /// Percent.
        output_percent: f64,
    },
    /// The controller goes back to auto.
    Auto,
    /// Water drawn besides the duty's blowdown, kg/s.
    Blowdown {
        /// kg/s.
        flow_kg_s: f64,
    },
    /// Bubbles rise at this share of the speed they rise at in clean water: foam. 1 is clean again.
    Foam {
        /// Above 0 to 1.
        share_ratio: f64,
    },
    /// The burner (or the heating) is stopped, or let go: that resets a burner that was locked out, where the level is back.
    Heat {
        /// Lit.
        lit: bool,
    },
}

/// What happens when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// From the start, s.
    pub time_s: f64,
    /// What.
    pub happening: Happening,
}

/// A scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Name.
    pub name: String,
    /// What it is to show, in a sentence.
    pub purpose: String,
    /// How long, s.
    pub duration_s: f64,
    /// Duty it starts at, by name; `None`: the largest.
    pub start_duty: Option<String>,
    /// What the vessel is like at the start.
    pub start: StartAt,
    /// Range.
    pub range: RangeChoice,
    /// Settings.
    pub settings: SettingsChoice,
    /// Elements.
    pub elements: super::scan::Elements,
    /// Standard deviation of the noise on the signal, percent of the level span.
    pub noise_percent: f64,
    /// Seed of the noise: the same seed gives the same run.
    pub seed: u64,
    /// Where the rise of bubbles lies between the slowest that is published (0) and the fastest (1).
    pub bubble_rise_ratio: f64,
    /// Events by rising time.
    pub events: Vec<Event>,
}
