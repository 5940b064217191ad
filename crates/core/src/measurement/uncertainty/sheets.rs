//! What the uncertainty sheet holds.

use crate::description::uncertainty::{Distribution, UncertaintySource};
use crate::finding::Finding;
use crate::quantity::TrueLevel;
use crate::working::Working;

/// How a standard uncertainty was found (JCGM 100).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Evaluation {
    /// From repeated readings.
    A,
    /// From anything else.
    B,
}

/// One line of a budget.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetLine {
    /// What.
    pub name: String,
    /// Where from; `None` for repeated readings.
    pub source: Option<UncertaintySource>,
    /// Type.
    pub evaluation: Evaluation,
    /// Half width a in `unit`.
    pub half_width: f64,
    /// Distribution; `None` for repeated readings.
    pub distribution: Option<Distribution>,
    /// Standard uncertainty in `unit`.
    pub standard_uncertainty: f64,
    /// SI unit, `%` for percent of span.
    pub unit: &'static str,
    /// Degrees of freedom; infinite for type B.
    pub degrees_of_freedom: f64,
    /// Sensitivity, in the budget's unit per `unit`.
    pub sensitivity: f64,
    /// Contribution |c·u| in the budget's unit.
    pub contribution: f64,
    /// Share of the variance, percent, correlations included: the shares sum to 100.
    pub share_percent: f64,
    /// Is the half width a default that nobody surveyed.
    pub assumed: bool,
}

/// Check by Monte Carlo (JCGM 101).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonteCarlo {
    /// Trials.
    pub trials: usize,
    /// Seed.
    pub seed: u64,
    /// Mean deviation, in the budget's unit.
    pub mean: f64,
    /// Standard deviation.
    pub standard_uncertainty: f64,
    /// Ends of the shortest 95 % interval of the deviation.
    pub interval_95: (f64, f64),
    /// Do both ends agree with the budget's within its numerical tolerance (JCGM 101, clause 8).
    pub agrees: bool,
    /// The tolerance used: the numerical one to one significant digit (JCGM 101, 7.9.2) and what chance does to the
    /// ends with so many trials.
    pub tolerance: f64,
}

/// What halving one input would bring.
#[derive(Debug, Clone, PartialEq)]
pub struct Halving {
    /// Input.
    pub name: String,
    /// Expanded uncertainty (k = 2) with that input halved, in the budget's unit.
    pub expanded_k2: f64,
    /// What halves it, in words.
    pub words: String,
}

/// A budget.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// True level at which it is made.
    pub level: TrueLevel,
    /// Lines, largest share first.
    pub lines: Vec<BudgetLine>,
    /// Combined standard uncertainty.
    pub combined: f64,
    /// Effective degrees of freedom (Welch and Satterthwaite); may be infinite.
    pub effective_degrees_of_freedom: f64,
    /// Expanded uncertainty with k = 2.
    pub expanded_k2: f64,
    /// Coverage of k = 2 with these degrees of freedom, percent.
    pub coverage_percent: f64,
    /// Coverage factor for 95 %.
    pub k_95: f64,
    /// Correlation taken into account between the legs' temperatures.
    pub leg_correlation: f64,
    /// Monte-Carlo check.
    pub monte_carlo: MonteCarlo,
    /// Inputs worth halving, best first.
    pub halvings: Vec<Halving>,
    /// What dominates, in words.
    pub words: String,
}

/// Panel uncertainty at one level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelUncertainty {
    /// True level.
    pub level: TrueLevel,
    /// Expanded uncertainty of the panel, k = 2, percent of span.
    pub panel_percent_k2: f64,
    /// The same as a level, m.
    pub panel_m_k2: f64,
    /// Expanded uncertainty of what the glass tells of the true level, k = 2, m; `None` without a glass.
    pub glass_m_k2: Option<f64>,
}

/// The uncertainty sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct UncertaintySheet {
    /// Panel reading at the set point, normal pressure: percent of span.
    pub panel: Budget,
    /// True level read by the glass at the set point, normal pressure: m; `None` without a glass.
    pub glass: Option<Budget>,
    /// Over the span: low cutoff, alarms, set point and the span's ends.
    pub levels: Vec<LevelUncertainty>,
    /// Largest disagreement between panel and glass that the two uncertainties explain, m; `None` without a glass.
    pub explained_disagreement_m: Option<f64>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Workings.
    pub workings: Vec<Working>,
}
