//! How wrong panel and glass may be: the budget, its check by Monte Carlo, and what would halve it.

use halfglass_core::description::Loop;
use halfglass_core::description::uncertainty::UncertaintySource;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::uncertainty::sheets::{
    Budget, BudgetLine, Evaluation, UncertaintySheet,
};

use super::{findings_in_short, not_made, sentence};
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, number, percent_text, significant};
use crate::wording::{distribution, yes_no};

/// What a budget is made in.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// Percent of span.
    Panel,
    /// True level, m.
    Glass,
}

pub(super) fn section(_: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let title = "Uncertainty".to_owned();
    let Some(sheet) = &sheets.uncertainty else {
        return not_made(
            "uncertainty",
            title,
            "no input of the measurement has an uncertainty. Add to the loop file how wrong each may be: the cell's data from its sheet (accuracy, \
             ambient and static-pressure effects, drift), the calibrator's from its certificate, heights and temperatures of the legs from the survey.",
        );
    };
    let glass = sheet.glass.as_ref().map_or_else(String::new, |budget| {
        format!(
            " The glass tells the true level within ± {}.",
            units.small_length_text(budget.expanded_k2)
        )
    });
    let mut blocks = vec![
        Block::paragraph(format!(
            "At the set point and normal pressure the panel is within ± {} of span of what it should say (k = 2, coverage {}).{glass} {}",
            number(sheet.panel.expanded_k2, 2) + " %",
            percent_text(sheet.panel.coverage_percent),
            sentence(&sheet.panel.words)
        )),
        Block::figure(
            FigureId::UncertaintyBudget,
            "Share of each input in the variance",
            format!(
                "Bars, the longest first, one for each input of the panel's budget{}. {}",
                if sheet.glass.is_some() {
                    " and of the glass's"
                } else {
                    ""
                },
                sentence(&sheet.panel.words)
            ),
        ),
    ];
    blocks.extend(budget_blocks("Panel", Kind::Panel, &sheet.panel, units));
    if let Some(budget) = &sheet.glass {
        blocks.push(Block::paragraph(sentence(&budget.words)));
        blocks.extend(budget_blocks("Glass", Kind::Glass, budget, units));
    }
    blocks.push(Block::heading("Over the span"));
    blocks.push(Block::Table(levels(sheet, units)));
    if let Some(m) = sheet.explained_disagreement_m {
        blocks.push(Block::paragraph(format!(
            "Panel and glass may differ by {} without either being wrong; a larger difference, after the glass is corrected to true level, has a cause to be found.",
            units.small_length_text(m)
        )));
    }
    blocks.extend(findings_in_short(&sheet.findings));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    Section {
        id: "uncertainty",
        title,
        blocks,
    }
}

/// A number of the budget in what the reader reads.
fn of_budget(kind: Kind, value: f64, units: &DisplayUnits) -> String {
    match kind {
        Kind::Panel => format!("{} %", number(value, 3)),
        Kind::Glass => format!(
            "{} {}",
            significant(units.level(value).0, 3),
            units.level_unit()
        ),
    }
}

/// What one SI unit of a line is in the reader's unit, and that unit.
fn unit_of(line: &BudgetLine, units: &DisplayUnits) -> (f64, String) {
    let (factor, unit) = match line.unit {
        "m" => units.level(1.0),
        "K" => units.temperature_difference(1.0),
        "Pa" if line.source == Some(UncertaintySource::VesselPressure) => units.drop(1.0),
        "Pa" => return units.differential(1.0),
        other => (1.0, other),
    };
    (factor, unit.to_owned())
}

/// Degrees of freedom above which Student's t is the normal distribution for every purpose.
const DEGREES_WITHOUT_LIMIT: f64 = 1e5;

fn degrees_of_freedom(degrees: f64) -> String {
    if degrees > DEGREES_WITHOUT_LIMIT {
        number(f64::INFINITY, 0)
    } else {
        number(degrees, 0)
    }
}

/// What a negative share means, where there is one.
fn note_on_negative_shares(budget: &Budget) -> Option<Block> {
    budget
        .lines
        .iter()
        .any(|line| line.share_percent < 0.0)
        .then(|| Block::paragraph("A share is negative: the two legs partly cancel."))
}

fn budget_blocks(title: &str, kind: Kind, budget: &Budget, units: &DisplayUnits) -> Vec<Block> {
    let of = |value| of_budget(kind, value, units);
    let monte_carlo = &budget.monte_carlo;
    let mut blocks = vec![
        Block::heading(format!("{title}: inputs and budget")),
        Block::Table(inputs(title, budget, units)),
        Block::Table(shares(title, kind, budget, units)),
    ];
    blocks.extend(note_on_negative_shares(budget));
    blocks.push(Block::Values(vec![
        ValueRow::new("combined standard uncertainty", of(budget.combined)),
        ValueRow::noted(
            "expanded, k = 2",
            format!("± {}", of(budget.expanded_k2)),
            format!("covers {}", percent_text(budget.coverage_percent)),
        ),
        ValueRow::noted(
            "effective degrees of freedom",
            degrees_of_freedom(budget.effective_degrees_of_freedom),
            format!("k for 95 %: {}", number(budget.k_95, 2)),
        ),
        ValueRow::noted(
            "correlation of the legs",
            number(budget.leg_correlation, 2),
            "of their temperatures; 1: they rise and fall together",
        ),
        ValueRow::noted(
            "Monte Carlo, 95 % of trials",
            format!(
                "{} to {}",
                of(monte_carlo.interval_95.0),
                of(monte_carlo.interval_95.1)
            ),
            format!(
                "{} trials, standard deviation {}; {} within {}",
                monte_carlo.trials,
                of(monte_carlo.standard_uncertainty),
                if monte_carlo.agrees {
                    "agrees with the budget"
                } else {
                    "does NOT agree with the budget"
                },
                of(monte_carlo.tolerance)
            ),
        ),
    ]));
    if !budget.halvings.is_empty() {
        blocks.push(Block::Table(
            Table::new(
                format!("{title}: what would be won by halving an input, k = 2"),
                vec![
                    Column::words("halve"),
                    Column::numbers("then ±"),
                    Column::words("how"),
                ],
            )
            .with_rows(
                budget
                    .halvings
                    .iter()
                    .map(|row| vec![row.name.clone(), of(row.expanded_k2), sentence(&row.words)])
                    .collect(),
            ),
        ));
    }
    blocks
}

fn inputs(title: &str, budget: &Budget, units: &DisplayUnits) -> Table {
    Table::new(
        format!("{title}: inputs"),
        vec![
            Column::words("input"),
            Column::words("type"),
            Column::numbers("half width"),
            Column::words("distribution"),
            Column::numbers("standard"),
            Column::words("assumed"),
        ],
    )
    .with_rows(
        budget
            .lines
            .iter()
            .map(|line| {
                let (factor, unit) = unit_of(line, units);
                // The unit of a water column carries its reference: once a line is enough.
                let short = unit.split(" (").next().unwrap_or_default();
                let with_unit = |value: f64| format!("{} {short}", significant(factor * value, 3));
                vec![
                    line.name.clone(),
                    match line.evaluation {
                        Evaluation::A => "A".to_owned(),
                        Evaluation::B => "B".to_owned(),
                    },
                    with_unit(line.half_width),
                    line.distribution
                        .map_or("readings", distribution)
                        .to_owned(),
                    with_unit(line.standard_uncertainty),
                    yes_no(line.assumed).to_owned(),
                ]
            })
            .collect(),
    )
}

fn shares(title: &str, kind: Kind, budget: &Budget, units: &DisplayUnits) -> Table {
    let budget_unit = match kind {
        Kind::Panel => "%",
        Kind::Glass => units.level_unit(),
    };
    let budget_factor = match kind {
        Kind::Panel => 1.0,
        Kind::Glass => units.level(1.0).0,
    };
    Table::new(
        format!("{title}: budget at the set point"),
        vec![
            Column::words("input"),
            Column::numbers("sensitivity"),
            Column::numbers(format!("part, {budget_unit}")),
            Column::numbers("share, %"),
        ],
    )
    .with_rows(
        budget
            .lines
            .iter()
            .map(|line| {
                let (factor, unit) = unit_of(line, units);
                let short = unit.split(" (").next().unwrap_or_default();
                vec![
                    line.name.clone(),
                    format!(
                        "{} {budget_unit}/{short}",
                        significant(budget_factor * line.sensitivity / factor, 3)
                    ),
                    significant(budget_factor * line.contribution, 3),
                    number(line.share_percent, 1),
                ]
            })
            .collect(),
    )
}

fn levels(sheet: &UncertaintySheet, units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    Table::new(
        "Expanded uncertainty, k = 2, at normal pressure",
        vec![
            Column::numbers(format!("true level, {unit}")),
            Column::numbers("panel, ± % of span"),
            Column::numbers(format!("panel, ± {unit}")),
            Column::numbers(format!("glass, ± {unit}")),
        ],
    )
    .with_rows(
        sheet
            .levels
            .iter()
            .map(|row| {
                let small = |m: f64| significant(units.level(m).0, 2);
                vec![
                    units.level_number(row.level.m()),
                    number(row.panel_percent_k2, 2),
                    small(row.panel_m_k2),
                    row.glass_m_k2.map_or_else(|| "\u{2013}".to_owned(), small),
                ]
            })
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn practice_degrees_of_freedom_beyond_any_table_have_no_limit() {
        assert_eq!(degrees_of_freedom(f64::INFINITY), "no limit");
        assert_eq!(degrees_of_freedom(1.2e5), "no limit");
        assert_eq!(degrees_of_freedom(9.9e4), "99000");
        assert_eq!(degrees_of_freedom(12.0), "12");
    }

    #[test]
    fn practice_a_negative_share_is_explained() {
        let (_, sheets) = fixture::full();
        let mut budget = sheets.uncertainty.expect("uncertain").panel;
        for line in &mut budget.lines {
            line.share_percent = line.share_percent.abs();
        }
        assert!(note_on_negative_shares(&budget).is_none());
        budget.lines[0].share_percent = -4.0;
        assert!(note_on_negative_shares(&budget).is_some());
    }
}
