//! A budget at one level: lines, expanded uncertainty, Monte-Carlo check, what dominates, what halving would bring.

use super::error::UncertaintyError;
use super::inputs::{Input, remedy};
use super::model::Model;
use super::monte_carlo::{Draw, numerical_tolerance, simulate};
use super::propagation::{Combined, Component, combine, coverage_factor, coverage_percent};
use super::sheets::{Budget, BudgetLine, Evaluation, Halving, MonteCarlo};
use crate::measurement::MeasurementError;
use crate::quantity::TrueLevel;

/// Trials of a check.
pub(super) const TRIALS: usize = 10_000;
/// Seed of a check: fixed, so that a sheet is the same each time.
const SEED: u64 = 1;
/// Significant digits of u to which budget and trials must agree: those that matter (JCGM 101, 7.9.2 and 8). Widths of
/// inputs come from data sheets, surveys and guesses, so that one is what u is worth.
const DIGITS: i32 = 1;
/// What chance does to an end of the trials' interval, over the standard uncertainty: two standard deviations of the
/// 97.5 % point of a normal distribution with so many trials, 2·√(0.975·0.025/10⁴)/0.0584.
const CHANCE: f64 = 0.053;
/// Shares from which an input is worth halving, percent.
const WORTH_HALVING_PERCENT: f64 = 5.0;
/// How many are named.
const NAMED: usize = 3;

/// Which output a budget is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Output {
    /// Panel reading, percent of span.
    Panel,
    /// True level told by the glass, m.
    Glass,
    /// Panel reading as a level less that told by the glass, m.
    Disagreement,
}

impl Output {
    fn takes(self, input: &Input) -> bool {
        match self {
            Output::Panel => input.moves_panel(),
            Output::Glass => input.moves_glass(),
            Output::Disagreement => true,
        }
    }

    fn value(
        self,
        model: &Model,
        level: TrueLevel,
        deviations: &[f64],
    ) -> Result<f64, MeasurementError> {
        let told = || model.told_by_glass_m(level, deviations).unwrap_or(f64::NAN);
        match self {
            Output::Panel => model.panel_percent(level, deviations),
            Output::Glass => Ok(told()),
            Output::Disagreement => Ok(model.panel_percent(level, deviations)? / 100.0
                * model.span().height_m()
                - told()),
        }
    }
}

/// Components of the inputs that an output takes, and the legs' correlation among them.
struct Parts<'a> {
    inputs: Vec<&'a Input>,
    /// Position of each among the model's inputs.
    at: Vec<usize>,
    components: Vec<Component>,
    correlations: Vec<(usize, usize, f64)>,
}

fn parts<'a>(
    model: &'a Model,
    output: Output,
    level: TrueLevel,
    leg_correlation: f64,
) -> Result<Parts<'a>, UncertaintyError> {
    let sensitivities = model.sensitivities(|x| output.value(model, level, x))?;
    let at: Vec<usize> = (0..model.inputs.len())
        .filter(|at| output.takes(&model.inputs[*at]))
        .collect();
    let place = |of: usize| at.iter().position(|at| *at == of);
    let correlations = model
        .legs()
        .and_then(|(one, other)| Some((place(one)?, place(other)?, leg_correlation)))
        .into_iter()
        .collect();
    Ok(Parts {
        inputs: at.iter().map(|at| &model.inputs[*at]).collect(),
        components: at
            .iter()
            .map(|at| model.inputs[*at].component(sensitivities[*at]))
            .collect(),
        at,
        correlations,
    })
}

/// Expanded uncertainty with k = 2 alone.
pub(super) fn expanded_k2(
    model: &Model,
    output: Output,
    level: TrueLevel,
    leg_correlation: f64,
) -> Result<f64, UncertaintyError> {
    let parts = parts(model, output, level, leg_correlation)?;
    Ok(2.0 * combine(&parts.components, &parts.correlations).standard_uncertainty)
}

/// The budget of an output at a level.
pub(super) fn budget(
    model: &Model,
    output: Output,
    level: TrueLevel,
    leg_correlation: f64,
) -> Result<Budget, UncertaintyError> {
    let parts = parts(model, output, level, leg_correlation)?;
    let combined = combine(&parts.components, &parts.correlations);
    let freedom = combined.effective_degrees_of_freedom;
    let k_95 = coverage_factor(95.0, freedom);
    let mut lines: Vec<BudgetLine> = parts
        .inputs
        .iter()
        .zip(&parts.components)
        .zip(&combined.shares_percent)
        .map(|((input, component), share_percent)| BudgetLine {
            name: input.name.clone(),
            source: input.source,
            evaluation: if input.source.is_some() {
                Evaluation::B
            } else {
                Evaluation::A
            },
            half_width: input.half_width,
            distribution: input.distribution,
            standard_uncertainty: input.standard_uncertainty,
            unit: input.unit,
            degrees_of_freedom: input.degrees_of_freedom,
            sensitivity: component.sensitivity,
            contribution: component.signed().abs(),
            share_percent: *share_percent,
            assumed: input.assumed,
        })
        .collect();
    lines.sort_by(|one, other| other.share_percent.total_cmp(&one.share_percent));
    Ok(Budget {
        level,
        words: words(&lines, &combined, joint(&parts, &combined)),
        combined: combined.standard_uncertainty,
        effective_degrees_of_freedom: freedom,
        expanded_k2: 2.0 * combined.standard_uncertainty,
        coverage_percent: coverage_percent(2.0, freedom),
        k_95,
        leg_correlation,
        monte_carlo: check(model, output, level, &parts, &combined, k_95)?,
        halvings: halvings(&parts, &combined),
        lines,
    })
}

/// Does the distribution of the trials agree with the budget's ±k·u (JCGM 101, clause 8).
fn check(
    model: &Model,
    output: Output,
    level: TrueLevel,
    parts: &Parts<'_>,
    combined: &Combined,
    k_95: f64,
) -> Result<MonteCarlo, UncertaintyError> {
    let draws: Vec<Draw> = parts.inputs.iter().map(|input| input.draw).collect();
    let mut deviations = vec![0.0; model.inputs.len()];
    let estimate = output.value(model, level, &deviations)?;
    let correlation = parts.correlations.first().copied();
    let simulated = simulate(&draws, correlation, TRIALS, SEED, |drawn| {
        for (at, x) in parts.at.iter().zip(drawn) {
            deviations[*at] = *x;
        }
        output
            .value(model, level, &deviations)
            .map_or(f64::NAN, |value| value - estimate)
    });
    if simulated.without_answer > 0 {
        return Err(UncertaintyError::Trials {
            count: simulated.without_answer,
            trials: TRIALS,
        });
    }
    let half = k_95 * combined.standard_uncertainty;
    let tolerance = numerical_tolerance(combined.standard_uncertainty, DIGITS)
        + CHANCE * combined.standard_uncertainty;
    let (low, high) = simulated.interval_95;
    Ok(MonteCarlo {
        trials: TRIALS,
        seed: SEED,
        mean: simulated.mean,
        standard_uncertainty: simulated.standard_uncertainty,
        interval_95: simulated.interval_95,
        agrees: (low + half).abs() <= tolerance && (high - half).abs() <= tolerance,
        tolerance,
    })
}

/// What halving each input that matters would bring, best first.
fn halvings(parts: &Parts<'_>, combined: &Combined) -> Vec<Halving> {
    let mut halvings: Vec<Halving> = parts
        .inputs
        .iter()
        .enumerate()
        .filter(|(at, _)| combined.shares_percent[*at] >= WORTH_HALVING_PERCENT)
        .map(|(at, input)| {
            let mut components = parts.components.clone();
            components[at].standard_uncertainty *= 0.5;
            Halving {
                name: input.name.clone(),
                expanded_k2: 2.0 * combine(&components, &parts.correlations).standard_uncertainty,
                words: remedy(input.source).to_owned(),
            }
        })
        .collect();
    halvings.sort_by(|one, other| one.expanded_k2.total_cmp(&other.expanded_k2));
    halvings
}

/// Names of two correlated inputs, their share together, and whether they partly cancel.
struct Joint {
    names: [String; 2],
    share_percent: f64,
    cancel: bool,
}

/// The correlated pair, where there is one that counts.
fn joint(parts: &Parts<'_>, combined: &Combined) -> Option<Joint> {
    let &(one, other, coefficient) = parts.correlations.first()?;
    let product = parts.components[one].signed() * parts.components[other].signed();
    let share_percent = combined.shares_percent[one] + combined.shares_percent[other];
    (coefficient * product != 0.0).then(|| Joint {
        names: [one, other].map(|at| parts.inputs[at].name.clone()),
        share_percent,
        cancel: coefficient * product < 0.0,
    })
}

/// What dominates. A correlated pair is told together: alone its shares may exceed 100 % or be negative.
fn words(lines: &[BudgetLine], combined: &Combined, joint: Option<Joint>) -> String {
    if !(combined.standard_uncertainty > 0.0) {
        return "No input has any width: nothing is known of how wrong this reading may be."
            .to_owned();
    }
    let mut told: Vec<(String, f64)> = lines
        .iter()
        .filter(|line| {
            joint
                .as_ref()
                .is_none_or(|joint| !joint.names.contains(&line.name))
        })
        .map(|line| (line.name.clone(), line.share_percent))
        .collect();
    let pair = joint.map(|joint| {
        let [one, other] = &joint.names;
        let how = if joint.cancel {
            "they partly cancel"
        } else {
            "they add up"
        };
        let together = format!("{one} and {other} together");
        told.push((together.clone(), joint.share_percent));
        (together, how)
    });
    told.sort_by(|one, other| other.1.total_cmp(&one.1));
    let named: Vec<String> = told
        .iter()
        .filter(|(_, share_percent)| *share_percent >= WORTH_HALVING_PERCENT)
        .take(NAMED)
        .map(|(name, share_percent)| match &pair {
            Some((together, how)) if together == name => {
                format!("{name} {share_percent:.0} % ({how})")
            }
            _ => format!("{name} {share_percent:.0} %"),
        })
        .collect();
    let named = named.join(", ");
    match told.first() {
        Some((name, share_percent)) if *share_percent >= 50.0 => {
            let verb = if pair.as_ref().is_some_and(|(together, _)| together == name) {
                "dominate"
            } else {
                "dominates"
            };
            format!("The {name} {verb}. Shares of the variance: {named}.")
        }
        _ => format!("No single input dominates. Largest shares of the variance: {named}."),
    }
}
