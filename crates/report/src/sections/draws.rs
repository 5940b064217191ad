//! Many draws of a scenario: the band, the worst draw, and what to conclude.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::draws::{Draws, Spread, draws_conclusions};

use super::findings;
use super::motion::SIMULATION;
use crate::block::{Block, Column, Section, Table};
use crate::cautions;
use crate::units::{DisplayUnits, number, significant};

/// Draws of a run and what the run is called beside the others.
#[derive(Debug, Clone)]
pub struct LabelledDraws {
    /// Label.
    pub label: String,
    /// The draws.
    pub draws: Draws,
}

/// The sheet of a scenario's draws, one run after the other.
pub fn draws(described: &Loop, of_runs: &[LabelledDraws], units: &DisplayUnits) -> Section {
    let name = of_runs.first().map_or("", |run| run.draws.name.as_str());
    let mut blocks = vec![
        Block::paragraph(format!(
            "{SIMULATION}: the same scenario again and again, each time with other values of what nobody measured. Settings and range stay those of the sheets."
        )),
        Block::caution(cautions::TRIPS_ARE_INDEPENDENT),
    ];
    for LabelledDraws { label, draws } in of_runs {
        let of_run = if of_runs.len() > 1 {
            format!(": {label}")
        } else {
            String::new()
        };
        blocks.push(Block::heading(format!(
            "{} draws, seed {}{of_run}",
            draws.count, draws.seed
        )));
        blocks.push(Block::Findings(findings::rows(&draws_conclusions(
            described, draws,
        ))));
        blocks.push(Block::Table(spreads(draws, units)));
        blocks.push(Block::Table(marks(draws, units)));
        blocks.push(Block::Table(worst(draws, units)));
    }
    if let Some(first) = of_runs.first() {
        blocks.push(Block::heading("What was drawn"));
        blocks.push(Block::Table(inputs(of_runs, &first.draws)));
        blocks.push(Block::paragraph(
            "Each is drawn evenly and apart from the others. The correlation says how much the size of the largest deviation goes with it: near 0 not at all, near 1 or -1 hardly with anything else. How wrong cell and legs may be stands on the uncertainty sheet and is not drawn again.",
        ));
    }
    Section {
        id: "draws",
        title: format!("{SIMULATION}: {name}, many draws"),
        blocks,
    }
}

fn spreads(draws: &Draws, units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    let row = |what: String, spread: &Spread, cell: &dyn Fn(f64) -> String| {
        let mut row = vec![what];
        row.extend(
            [
                spread.lowest,
                spread.p05,
                spread.middle,
                spread.p95,
                spread.highest,
            ]
            .map(cell),
        );
        row
    };
    let level = |m: f64| units.level_number(m);
    Table::new(
        format!("{SIMULATION}: the band over the draws"),
        std::iter::once(Column::words("what"))
            .chain(["lowest", "5 %", "middle", "95 %", "highest"].map(Column::numbers))
            .collect(),
    )
    .with_rows(vec![
        row(
            format!("TRUE level highest over set point, {unit}"),
            &draws.highest_m,
            &level,
        ),
        row(
            format!("TRUE level lowest against set point, {unit}"),
            &draws.lowest_m,
            &level,
        ),
        row(
            "outside the allowed deviation, min".to_owned(),
            &draws.outside_s,
            &|s| number(s / 60.0, 1),
        ),
        row(
            "reversals of the valve an hour".to_owned(),
            &draws.reversals_per_hour,
            &|value| number(value, 1),
        ),
    ])
}

fn marks(draws: &Draws, units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    Table::new(
        format!("{SIMULATION}: nearest approach to each mark, {unit}; below zero: passed"),
        vec![
            Column::words("mark"),
            Column::numbers("draws that pass it"),
            Column::numbers("TRUE level, any draw"),
            Column::numbers("panel, any draw"),
            Column::numbers("TRUE level, worst draw"),
        ],
    )
    .with_rows(
        draws
            .passed
            .iter()
            .zip(&draws.worst.run.summary.approaches)
            .map(|(mark, of_worst)| {
                vec![
                    mark.mark.to_owned(),
                    mark.draws.to_string(),
                    units.level_number(mark.nearest_true_m),
                    units.level_number(mark.nearest_indicated_m),
                    units.level_number(of_worst.nearest_true_m),
                ]
            })
            .collect(),
    )
}

fn worst(draws: &Draws, units: &DisplayUnits) -> Table {
    let worst = &draws.worst;
    let summary = &worst.run.summary;
    let mut rows: Vec<Vec<String>> = worst
        .drawn
        .iter()
        .map(|(input, value)| vec![input.words().to_owned(), significant(*value, 3)])
        .collect();
    let unit = units.level_unit();
    rows.push(vec![
        format!("TRUE level highest over set point, {unit}"),
        units.level_number(summary.highest_m.0),
    ]);
    rows.push(vec![
        format!("TRUE level lowest against set point, {unit}"),
        units.level_number(summary.lowest_m.0),
    ]);
    rows.push(vec![
        "outside the allowed deviation, min".to_owned(),
        number(summary.outside_s / 60.0, 1),
    ]);
    if let Some((time_s, why)) = &worst.run.ended {
        rows.push(vec![format!("ends: {why}, min"), number(time_s / 60.0, 1)]);
    }
    Table::new(
        format!("{SIMULATION}: the worst draw, number {}", worst.number),
        vec![Column::words("what"), Column::numbers("value")],
    )
    .with_rows(rows)
}

fn inputs(of_runs: &[LabelledDraws], first: &Draws) -> Table {
    let mut columns = vec![
        Column::words("drawn"),
        Column::words("between"),
        Column::words("why"),
    ];
    let several = of_runs.len() > 1;
    columns.extend(of_runs.iter().enumerate().map(|(index, _)| {
        Column::numbers(if several {
            format!("correlation, {}", index + 1)
        } else {
            "correlation".to_owned()
        })
    }));
    Table::new("Drawn, and why", columns).with_rows(
        first
            .inputs
            .iter()
            .enumerate()
            .map(|(index, input)| {
                let assumption = &input.assumption;
                let name = assumption.input.trim_start_matches("draws.");
                let mut row = vec![
                    name.replace('-', " "),
                    assumption.value.clone(),
                    assumption.why.to_owned(),
                ];
                row.extend(of_runs.iter().map(|run| {
                    run.draws
                        .inputs
                        .get(index)
                        .and_then(|input| input.correlation)
                        .map_or_else(|| "–".to_owned(), |size| number(size, 2))
                }));
                row
            })
            .collect(),
    )
}
