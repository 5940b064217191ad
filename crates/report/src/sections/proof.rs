//! The tuning window proved by simulation: what was tried, what holds, what limits, and what would help most.

use halfglass_core::description::Loop;
use halfglass_core::dynamics::proof::{Proof, ProofRun, Tried};
use halfglass_core::tuning::limit_cycle::LimitCycle;

use crate::block::{Block, Column, Section, Table};
use crate::cautions;
use crate::sections::SIMULATION;
use crate::units::{DisplayUnits, number, percent_text, seconds_text, significant};
use crate::wording;

/// The sheet of a proof.
pub fn proof(described: &Loop, proof: &Proof, units: &DisplayUnits) -> Section {
    let allowed = units.level_text(described.limits.allowed_deviation_m);
    let mut blocks = vec![
        Block::paragraph(format!(
            "{SIMULATION}: settings from slow to fast, each through the largest load change up and down at every duty point, with bubbles that rise \
             slowly and fast and an actuator as described and a worn one. They hold where the TRUE level stays within {allowed} of the set point, \
             passes no mark, and no swing lives on."
        )),
        Block::paragraph(verdict(proof, units)),
        Block::caution(cautions::manual_first(
            described.vessel.kind,
            described.glass.is_some(),
        )),
        Block::caution(cautions::TRIPS_ARE_INDEPENDENT),
        Block::heading("What was tried"),
        Block::Table(tried(proof, units)),
        Block::heading("What limits, and what would help"),
        Block::paragraph(limits(proof, units)),
        Block::Table(remedies(proof, units)),
        Block::paragraph(
            "A taller level span changes the number of the gain, not the loop: the same loop gain wants a gain as much higher as the span is taller.",
        ),
        Block::heading("Swings that the valve itself keeps alive"),
    ];
    blocks.extend(cycles(described, proof, units));
    Section {
        id: "proof",
        title: format!("Tuning proved ({SIMULATION})"),
        blocks,
    }
}

fn settings_words(tried: &Tried) -> String {
    format!(
        "gain {} %/% (band {} %), reset {}",
        significant(tried.judged.gain_ratio, 3),
        number(100.0 / tried.judged.gain_ratio, 0),
        tried.judged.reset_s.map_or_else(
            || "none".to_owned(),
            |s| format!("{} s/repeat", significant(s, 3))
        )
    )
}

fn verdict(proof: &Proof, units: &DisplayUnits) -> String {
    let (held, of, worst) = &proof.draws;
    let drawn = format!(
        "Of {of} random draws between and beyond these, {held} hold; the worst moves {}.",
        run_words(worst, units)
    );
    match proof.picked {
        Some(index) => {
            let tried = &proof.tried[index];
            format!(
                "The slowest settings that hold everywhere: {}; Ms {}. The worst of {} runs moves {}. {drawn}",
                settings_words(tried),
                number(tried.judged.max_sensitivity_ratio, 2),
                tried.held.1,
                run_words(&tried.worst, units),
            )
        }
        None => format!(
            "NO settings hold everywhere. Those of the tuning sheet, {}, hold in {} of {} runs; the worst moves {}. {drawn}",
            settings_words(&proof.chosen),
            proof.chosen.held.0,
            proof.chosen.held.1,
            run_words(&proof.chosen.worst, units),
        ),
    }
}

/// `12 mm up 40 s after the load goes from 100 % to 70 % at “maximum”, and keeps swinging`.
fn run_words(run: &ProofRun, units: &DisplayUnits) -> String {
    let fault = run.fault.as_ref().map_or_else(String::new, |fault| {
        format!(", and {}", wording::as_printed(&fault.words()))
    });
    format!(
        "{} {} {} after the load goes from {} to {} at “{}”{fault}",
        units.level_text(run.peak_m.abs()),
        if run.peak_m > 0.0 { "up" } else { "down" },
        seconds_text(run.peak_time_s),
        percent_text(100.0 * run.load_ratio.0),
        percent_text(100.0 * run.load_ratio.1),
        run.duty,
    )
}

fn tried(proof: &Proof, units: &DisplayUnits) -> Table {
    let row = |name: String, tried: &Tried| {
        vec![
            name,
            significant(tried.judged.gain_ratio, 3),
            tried
                .judged
                .reset_s
                .map_or_else(|| "none".to_owned(), |s| significant(s, 3)),
            number(tried.judged.max_sensitivity_ratio, 2),
            number(tried.judged.phase_margin_deg, 0),
            format!("{} of {}", tried.held.0, tried.held.1),
            units.level_number(tried.worst.peak_m.abs()),
        ]
    };
    let mut rows: Vec<Vec<String>> = proof
        .tried
        .iter()
        .enumerate()
        .map(|(index, tried)| {
            let mark = if proof.picked == Some(index) {
                ", picked"
            } else {
                ""
            };
            row(format!("{}{mark}", index + 1), tried)
        })
        .collect();
    rows.push(row("the tuning sheet's".into(), &proof.chosen));
    Table::new(
        format!("{SIMULATION}: settings from slow to fast"),
        vec![
            Column::words("settings"),
            Column::numbers("gain, %/%"),
            Column::numbers("reset, s/repeat"),
            Column::numbers("Ms"),
            Column::numbers("phase margin, °"),
            Column::numbers("runs that hold"),
            Column::numbers(format!("worst deviation, {}", units.level_unit())),
        ],
    )
    .with_rows(rows)
}

fn limits(proof: &Proof, units: &DisplayUnits) -> String {
    let worst = proof
        .picked
        .map_or(&proof.chosen.worst, |index| &proof.tried[index].worst);
    let best = proof.remedies.first().map_or_else(String::new, |best| {
        format!(
            " Most would come of {}: {} instead of {}{}.",
            best.change,
            units.level_text(best.peak_m),
            units.level_text(proof.unchanged_peak_m),
            if best.holds {
                ", and the run holds"
            } else {
                ", and still the run does not hold"
            },
        )
    });
    format!(
        "The run that limits moves {}, with bubbles that rise {} and a stroke {} times the stated one.{best}",
        run_words(worst, units),
        if worst.corner.rise_ratio < 0.5 {
            "slowly"
        } else {
            "fast"
        },
        number(worst.corner.stroke_ratio, 1),
    )
}

fn remedies(proof: &Proof, units: &DisplayUnits) -> Table {
    let mut rows = vec![vec![
        "as it is".to_owned(),
        units.level_number(proof.unchanged_peak_m),
        String::new(),
    ]];
    rows.extend(proof.remedies.iter().map(|remedy| {
        vec![
            remedy.change.to_owned(),
            units.level_number(remedy.peak_m),
            wording::yes_no(remedy.holds).to_owned(),
        ]
    }));
    Table::new(
        format!("{SIMULATION}: the run that limits, one thing changed at a time"),
        vec![
            Column::words("changed"),
            Column::numbers(format!("deviation, {}", units.level_unit())),
            Column::words("holds"),
        ],
    )
    .with_rows(rows)
}

fn cycles(described: &Loop, proof: &Proof, units: &DisplayUnits) -> Vec<Block> {
    let span_m = described.range.span.height_m();
    let words = |cycle: &Option<LimitCycle>| {
        cycle.map_or_else(
            || ["none".to_owned(), "–".to_owned()],
            |cycle| {
                [
                    number(cycle.period_s / 60.0, 1),
                    units.level_number(cycle.level_ratio * span_m),
                ]
            },
        )
    };
    let rows = proof
        .cycles
        .iter()
        .map(|cycle| {
            let mut row = vec![cycle.duty.clone()];
            row.extend(words(&cycle.play));
            row.extend(words(&cycle.steps));
            row
        })
        .collect();
    let unit = units.level_unit();
    vec![
        Block::paragraph(
            "Play on reversal and steps of the actuator keep an integrating loop swinging, however small the load is. These are the periods and the \
             half-heights that a loop at rest would show on the panel; they grow with the play, and a slower reset makes them rarer.",
        ),
        Block::Table(
            Table::new(
                "FORECAST by the describing function, dead time exact",
                vec![
                    Column::words("duty"),
                    Column::numbers("play: period, min"),
                    Column::numbers(format!("half-height, {unit}")),
                    Column::numbers("steps: period, min"),
                    Column::numbers(format!("half-height, {unit}")),
                ],
            )
            .with_rows(rows),
        ),
    ]
}
