//! When a record cannot tell, and when what it tells is in doubt.

/// Why a record gives no process at all.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotTell {
    /// Too few readings.
    #[error("the record has {readings} readings worth telling apart; at least {needed} are needed")]
    TooFewReadings {
        /// Readings, or what correlated ones are worth.
        readings: usize,
        /// Needed.
        needed: usize,
    },
    /// Too few readings on one side of the step.
    #[error(
        "{before} readings stand before the first step and {after} after it; 2 and 3 are needed"
    )]
    OneSided {
        /// Before the first step.
        before: usize,
        /// After it.
        after: usize,
    },
    /// The output never steps.
    #[error("the output never steps: its largest change is {largest_percent:.2} %")]
    NoStep {
        /// Largest change of the output, %.
        largest_percent: f64,
    },
    /// The output moves all the time: a controller in automatic.
    #[error("the output changes {changes} times in {readings} readings: this is no test in manual")]
    NotStepped {
        /// Changes.
        changes: usize,
        /// Readings.
        readings: usize,
    },
    /// The level signal does not move at all.
    #[error("the level stands at {level_percent:.2} % in every reading")]
    Flat {
        /// The level, INDICATED %.
        level_percent: f64,
    },
    /// The level signal stands at an end while it should move.
    #[error(
        "the level stands at {level_percent:.2} % from {from_s:.0} s to {to_s:.0} s while the output is off its first value"
    )]
    AtItsEnd {
        /// Where, INDICATED %.
        level_percent: f64,
        /// From, s.
        from_s: f64,
        /// To, s.
        to_s: f64,
    },
    /// The steps move the level too little against its noise.
    #[error(
        "the steps move the level by {moved_percent:.2} % against noise of {noise_percent:.2} %: the process gain is not told from nothing"
    )]
    NoExcitation {
        /// What the steps moved, INDICATED %.
        moved_percent: f64,
        /// Noise, standard deviation, INDICATED %.
        noise_percent: f64,
    },
    /// No one gain fits the record: with the output back where it was, the slope is another.
    #[error(
        "no one gain fits the record: with the output back where it was, the level's slope differs by {:.0} % of what the step made",
        100.0 * .share.abs()
    )]
    NotBack {
        /// Difference of the slopes, share of what the step made.
        share: f64,
    },
    /// A relay test without enough swings.
    #[error(
        "the record has {swings} whole half-swings of the level after the first one; {needed} are needed"
    )]
    TooFewSwings {
        /// Half-swings that can be used.
        swings: usize,
        /// Needed.
        needed: usize,
    },
    /// A relay test whose swings differ.
    #[error("the swings are not alike: periods from {shortest_s:.0} s to {longest_s:.0} s")]
    Unsteady {
        /// Shortest period, s.
        shortest_s: f64,
        /// Longest period, s.
        longest_s: f64,
    },
    /// A relay has two outputs; this record has others too.
    #[error("the output does not go to and fro between two values")]
    NoRelay,
}

impl CannotTell {
    /// Stable kebab-case code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::TooFewReadings { .. } => "too-few-readings",
            Self::OneSided { .. } => "one-sided",
            Self::NoStep { .. } => "no-step",
            Self::NotStepped { .. } => "not-stepped",
            Self::Flat { .. } => "flat",
            Self::AtItsEnd { .. } => "at-its-end",
            Self::NoExcitation { .. } => "no-excitation",
            Self::NotBack { .. } => "not-back",
            Self::TooFewSwings { .. } => "too-few-swings",
            Self::Unsteady { .. } => "unsteady",
            Self::NoRelay => "no-relay",
        }
    }
}

/// What is in doubt about a process that a record gives.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Doubt {
    /// The slope at the same output changed, against the step or past it: the load moved.
    LoadMoved {
        /// Change of the slope, share of what the step made.
        share: f64,
    },
    /// After the output's return the level keeps a share of the step's slope: the valve did not come back, or the load moved.
    ValveDidNotReturn {
        /// Share of the step's slope that is left.
        share: f64,
    },
    /// The output did not return: a load that moved with the step cannot be told from the step.
    NotReturned,
    /// Dead time and swell are told as their sum only.
    SumOnly,
    /// Dead time and swell together are known worse than to half of their value.
    DeadTimeLoose,
}

impl Doubt {
    /// Does it forbid that the result be used.
    pub const fn forbids_use(self) -> bool {
        matches!(
            self,
            Self::LoadMoved { .. } | Self::ValveDidNotReturn { .. }
        )
    }

    /// Stable kebab-case code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::LoadMoved { .. } => "load-moved",
            Self::ValveDidNotReturn { .. } => "valve-did-not-return",
            Self::NotReturned => "not-returned",
            Self::SumOnly => "sum-only",
            Self::DeadTimeLoose => "dead-time-loose",
        }
    }
}
