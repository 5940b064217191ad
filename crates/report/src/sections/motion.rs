//! A simulated scenario: what each run did, what to conclude, and what it rests on.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::conclusions::conclusions;
use halfglass_core::dynamics::run::Run;
use halfglass_core::finding::Assumption;
use halfglass_core::quantity::AbsolutePressure;

use super::findings;
use crate::block::{Block, Column, Section, Table};
use crate::cautions;
use crate::units::{DisplayUnits, number, significant};

/// A run and what it is called beside the others.
#[derive(Debug, Clone)]
pub struct LabelledRun {
    /// Label.
    pub label: String,
    /// The run.
    pub run: Run,
}

/// The word that stands on everything simulated.
pub const SIMULATION: &str = "SIMULATION";

/// The sheet of a scenario: its runs side by side.
pub fn motion(
    described: &Loop,
    runs: &[LabelledRun],
    assumptions: &[Assumption],
    units: &DisplayUnits,
) -> Section {
    let name = runs.first().map_or("", |run| run.run.name.as_str());
    let purpose = runs.first().map_or("", |run| run.run.purpose.as_str());
    let mut blocks = vec![
        Block::paragraph(format!(
            "{SIMULATION}: a model's answer, not a reading of the plant. It shows {purpose}."
        )),
        Block::caution(cautions::TRIPS_ARE_INDEPENDENT),
    ];
    for LabelledRun { label, run } in runs {
        blocks.push(Block::heading(if runs.len() > 1 {
            format!("What to conclude: {label}")
        } else {
            "What to conclude".to_owned()
        }));
        let rows = findings::rows(&conclusions(described, run));
        blocks.push(if rows.is_empty() {
            Block::paragraph(
                "The level stayed within the allowed deviation, no mark was passed, and panel and vessel agreed.",
            )
        } else {
            Block::Findings(rows)
        });
    }
    blocks.push(Block::heading("What the runs did"));
    blocks.push(Block::Table(results(runs, units)));
    blocks.push(Block::Table(approaches(runs, units)));
    blocks.push(Block::heading("What happened"));
    blocks.push(Block::Table(events(runs)));
    blocks.push(Block::heading("What the model takes"));
    blocks.push(Block::Table(
        Table::new(
            "Taken, and why",
            vec![
                Column::words("what"),
                Column::words("taken"),
                Column::words("why"),
            ],
        )
        .with_rows(
            assumptions
                .iter()
                .map(|row| vec![words_of(row.input), row.value.clone(), row.why.to_owned()])
                .collect(),
        ),
    ));
    Section {
        id: "motion",
        title: format!("{SIMULATION}: {name}"),
        blocks,
    }
}

/// `simulation.metal-mass` is `metal mass`.
fn words_of(input: &str) -> String {
    input
        .trim_start_matches("simulation.")
        .replace('-', " ")
        .replace('.', ", ")
}

fn columns(first: &str, runs: &[LabelledRun]) -> Vec<Column> {
    std::iter::once(Column::words(first))
        .chain(runs.iter().map(|run| Column::numbers(run.label.clone())))
        .collect()
}

fn row(
    head: impl Into<String>,
    runs: &[LabelledRun],
    cell: impl Fn(&Run) -> String,
) -> Vec<String> {
    std::iter::once(head.into())
        .chain(runs.iter().map(|run| cell(&run.run)))
        .collect()
}

/// Gain, %/%, and reset, s, of the ideal form.
fn gain_of(run: &Run) -> (f64, Option<f64>) {
    let gains = run.settings.to_parallel();
    let gain = gains.proportional_ratio();
    let per_s = gains.integral_per_s();
    (gain, (per_s > 0.0).then(|| gain / per_s))
}

fn results(runs: &[LabelledRun], units: &DisplayUnits) -> Table {
    let unit = units.level_unit();
    let minutes = |s: f64| number(s / 60.0, 1);
    let mut rows = vec![
        row("gain, %/%", runs, |run| significant(gain_of(run).0, 3)),
        row("reset, s/repeat", runs, |run| {
            gain_of(run)
                .1
                .map_or_else(|| "none".to_owned(), |s| significant(s, 3))
        }),
        row(
            format!("range at 0 %, {}", units.differential_unit()),
            runs,
            |run| units.differential_number(run.range.lrv_pa),
        ),
        row(
            format!("range at 100 %, {}", units.differential_unit()),
            runs,
            |run| units.differential_number(run.range.urv_pa),
        ),
        row(
            format!("TRUE level highest over set point, {unit}"),
            runs,
            |run| units.level_number(run.summary.highest_m.0),
        ),
        row("at, min", runs, |run| minutes(run.summary.highest_m.1)),
        row(
            format!("TRUE level lowest against set point, {unit}"),
            runs,
            |run| units.level_number(run.summary.lowest_m.0),
        ),
        row("at, min", runs, |run| minutes(run.summary.lowest_m.1)),
        row("outside the allowed deviation, min", runs, |run| {
            minutes(run.summary.outside_s)
        }),
        row(format!("panel less vessel at worst, {unit}"), runs, |run| {
            units.level_number(run.summary.worst_indication_m)
        }),
        row("reversals of the valve an hour", runs, |run| {
            number(run.summary.reversals_per_hour, 1)
        }),
        row("full strokes an hour", runs, |run| {
            number(run.summary.strokes_per_hour, 2)
        }),
        row(
            format!("pressure lowest, {}", units.pressure_gauge_unit()),
            runs,
            |run| {
                units.pressure_gauge_number(AbsolutePressure::from_pa(run.summary.pressures_pa.0))
            },
        ),
        row(
            format!("pressure highest, {}", units.pressure_gauge_unit()),
            runs,
            |run| {
                units.pressure_gauge_number(AbsolutePressure::from_pa(run.summary.pressures_pa.1))
            },
        ),
    ];
    if runs
        .iter()
        .any(|run| run.run.summary.least_cover_m.is_some())
    {
        rows.push(row(
            format!("least cover of the heated surface, {unit}"),
            runs,
            |run| {
                run.summary
                    .least_cover_m
                    .map_or_else(|| "–".to_owned(), |m| units.level_number(m))
            },
        ));
    }
    if runs.iter().any(|run| run.run.summary.overflow_kg > 0.0) {
        rows.push(row(
            format!("over the overflow, {}", units.mass_unit()),
            runs,
            |run| units.mass_number(run.summary.overflow_kg),
        ));
    }
    Table::new(format!("{SIMULATION}: results"), columns("what", runs)).with_rows(rows)
}

/// Distance to every mark at the nearest, of vessel and panel.
fn approaches(runs: &[LabelledRun], units: &DisplayUnits) -> Table {
    let mut rows = Vec::new();
    if let Some(first) = runs.first() {
        for (index, approach) in first.run.summary.approaches.iter().enumerate() {
            let of = |run: &Run| run.summary.approaches[index].clone();
            rows.push(row(
                format!(
                    "{} at {}: TRUE level",
                    approach.mark,
                    units.level_text(approach.mark_m)
                ),
                runs,
                |run| units.level_number(of(run).nearest_true_m),
            ));
            rows.push(row("    panel", runs, |run| {
                units.level_number(of(run).nearest_indicated_m)
            }));
            if runs.iter().any(|run| of(&run.run).passed_s.is_some()) {
                rows.push(row("    TRUE level passed it after, min", runs, |run| {
                    of(run)
                        .passed_s
                        .map_or_else(|| "not".to_owned(), |s| number(s / 60.0, 1))
                }));
            }
        }
    }
    Table::new(
        format!(
            "{SIMULATION}: nearest approach to each mark, {}; below zero: passed",
            units.level_unit()
        ),
        columns("mark", runs),
    )
    .with_rows(rows)
}

fn events(runs: &[LabelledRun]) -> Table {
    let several = runs.len() > 1;
    let mut columns = vec![Column::numbers("min"), Column::words("event")];
    if several {
        columns.insert(1, Column::words("run"));
    }
    // What the scenario brings is the same in all runs: told once; what marks and trips did is each run's own.
    let mut told: Vec<(f64, String, String)> = Vec::new();
    for LabelledRun { label, run } in runs {
        for (time_s, what) in &run.events {
            let everywhere = runs.iter().all(|other| {
                other
                    .run
                    .events
                    .iter()
                    .any(|(time, event)| (time - time_s).abs() < 1e-6 && event == what)
            });
            let label = if everywhere {
                "all".to_owned()
            } else {
                label.clone()
            };
            if !told.iter().any(|(time, by, event)| {
                (time - time_s).abs() < 1e-6 && *by == label && event == what
            }) {
                told.push((*time_s, label, what.clone()));
            }
        }
    }
    told.sort_by(|left, right| left.0.total_cmp(&right.0));
    let rows = told
        .into_iter()
        .map(|(time_s, label, what)| {
            let minutes = number(time_s / 60.0, 1);
            if several {
                vec![minutes, label, what]
            } else {
                vec![minutes, what]
            }
        })
        .collect();
    Table::new(format!("{SIMULATION}: events"), columns).with_rows(rows)
}
