//! A test on the plant: what the record says, what stands against it, and the settings that follow.

use halfglass_core::description::{Loop, PlantTest};
use halfglass_core::identify::sheet::{Fit, TestSheet};
use halfglass_core::identify::{CannotTell, Doubt, Interval};
use halfglass_core::tuning::measured::MeasuredUse;
use halfglass_core::tuning::sheets::Judged;

use crate::block::{Block, Column, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, number, percent_text, seconds_text, significant};
use crate::wording::as_printed;

/// The sheet of a test.
pub fn plant_test(described: &Loop, sheet: &TestSheet, units: &DisplayUnits) -> Section {
    let mut blocks = vec![
        Block::paragraph(verdict(sheet)),
        Block::heading("What the record says"),
        Block::Values(rows(sheet)),
    ];
    let told = told(sheet);
    if !told.is_empty() {
        blocks.push(Block::heading("What is in doubt"));
        blocks.extend(told.into_iter().map(Block::paragraph));
    }
    blocks.extend([
        Block::heading("The settings that follow"),
        Block::paragraph(as_printed(&sheet.tuning.window_words)),
        Block::Table(settings(sheet, units)),
        Block::paragraph(
            "Gain and dead time are measured; how the settings behave stays a FORECAST. The level of the record is the panel's: it holds for the \
             range that the panel had.",
        ),
        Block::caution(cautions::manual_first(
            described.vessel.kind,
            described.glass.is_some(),
        )),
        Block::caution(cautions::TRIPS_ARE_INDEPENDENT),
    ]);
    Section {
        id: "plant-test",
        title: match sheet.measured.test {
            PlantTest::Bump => "Bump test".into(),
            PlantTest::Relay => "Relay test".into(),
        },
        blocks,
    }
}

/// What a test that the loop file holds gave, beside what the survey alone computes.
pub fn measured_rows(used: &MeasuredUse) -> Vec<ValueRow> {
    let process = &used.process;
    let kind = match process.test {
        PlantTest::Bump => "bump test",
        PlantTest::Relay => "relay test",
    };
    vec![
        ValueRow::noted(
            "test",
            format!("{kind} of {}", process.date),
            format!("at “{}”", process.duty),
        ),
        ValueRow::noted(
            "panel passes its whole span in",
            long_time(process.span_time_s),
            "with the output 100 % off balance",
        ),
        ValueRow::noted(
            "process gain k', panel",
            format!("{} /1000 s", significant(1e3 * used.gain_per_s, 3)),
            format!(
                "computed {}; measured over computed {}",
                significant(1e3 * used.computed_gain_per_s, 3),
                number(used.gain_ratio(), 2)
            ),
        ),
        ValueRow::noted(
            "dead time, swell included",
            seconds_text(process.delay_s),
            format!("computed {}", seconds_text(used.computed_delay_s)),
        ),
    ]
}

fn verdict(sheet: &TestSheet) -> String {
    let ratio = sheet
        .tuning
        .measured
        .as_ref()
        .map_or(1.0, |used| used.gain_ratio());
    let found = format!(
        "At “{}” the panel passes its whole span in {} with the output 100 % off balance, {} times as fast as computed; dead time, swell included, {}.",
        sheet.measured.duty,
        long_time(sheet.measured.span_time_s),
        number(ratio, 2),
        seconds_text(sheet.measured.delay_s)
    );
    if !sheet.right_way {
        return format!(
            "DO NOT USE: the panel goes the other way than the loop file says for a rising output. {found}"
        );
    }
    if sheet.usable() {
        found
    } else {
        format!("DO NOT USE: the record contradicts itself, see below. {found}")
    }
}

fn long_time(s: f64) -> String {
    if s < 600.0 {
        seconds_text(s)
    } else {
        format!("{} min", number(s / 60.0, 1))
    }
}

fn range(interval: Interval, scale: f64, unit: &str) -> String {
    format!(
        "{} {unit} ({} to {})",
        significant(scale * interval.value, 3),
        significant(scale * interval.low, 3),
        significant(scale * interval.high, 3)
    )
}

fn rows(sheet: &TestSheet) -> Vec<ValueRow> {
    let fit = &sheet.fit;
    let output = fit.output();
    let used = sheet.tuning.measured.as_ref();
    let mut rows = vec![
        ValueRow::noted(
            "output",
            format!(
                "from {}, {} steps, largest {} %",
                percent_text(output.first_percent),
                output.steps.len(),
                significant(output.largest_change_percent(), 3)
            ),
            format!(
                "about {} on the mean",
                percent_text(sheet.mean_output_percent)
            ),
        ),
        ValueRow::noted(
            "process gain k', panel",
            range(fit.gain_per_s(), 1e3, "/1000 s"),
            format!(
                "95 of 100 such tests hold the true one between the two; computed {}",
                significant(
                    1e3 * used.map_or(f64::NAN, |used| used.computed_gain_per_s),
                    3
                )
            ),
        ),
        ValueRow::noted(
            "dead time, swell included",
            range(fit.delay_s(), 1.0, "s"),
            format!(
                "computed {}",
                seconds_text(used.map_or(f64::NAN, |used| used.computed_delay_s))
            ),
        ),
    ];
    match fit {
        Fit::Bump(bump) => {
            if let Some(split) = bump.split {
                rows.push(ValueRow::new(
                    "of it dead time",
                    range(split.dead_time_s, 1.0, "s"),
                ));
                rows.push(ValueRow::new("of it swell", range(split.swell_s, 1.0, "s")));
            }
            rows.push(ValueRow::noted(
                "drift at the first output",
                range(bump.drift_percent_s, 60.0, "%/min"),
                "the load was off balance by so much; it is taken out",
            ));
            rows.push(ValueRow::noted(
                "noise of the panel",
                format!(
                    "{} % (standard deviation)",
                    significant(bump.noise_percent, 2)
                ),
                "what the fit leaves over",
            ));
            rows.push(ValueRow::noted(
                "readings",
                format!("{}", bump.readings),
                format!(
                    "worth {} independent ones: noise that remembers itself tells less",
                    number(bump.independent_readings, 0)
                ),
            ));
        }
        Fit::Relay(relay) => {
            rows.push(ValueRow::new("period", long_time(relay.period_s)));
            rows.push(ValueRow::new(
                "swing of the panel, top to bottom",
                format!("{} %", significant(relay.height_percent, 3)),
            ));
            rows.push(ValueRow::noted(
                "output that holds the level",
                percent_text(relay.balance_percent),
                format!(
                    "between {} and {}",
                    percent_text(relay.outputs_percent.0),
                    percent_text(relay.outputs_percent.1)
                ),
            ));
            rows.push(ValueRow::new(
                "half-swings used",
                format!("{}", relay.half_swings),
            ));
        }
    }
    rows
}

fn told(sheet: &TestSheet) -> Vec<String> {
    let mut told = Vec::new();
    if !sheet.right_way {
        told.push(
            "The panel goes the other way than the loop file says. Legs swapped, the cell's polarity or reversal set wrong, the valve's action \
             or the columns of the record mixed up: find which before anything is put in automatic."
                .to_owned(),
        );
    }
    told.extend(sheet.fit.doubts().iter().map(|doubt| doubt_words(*doubt)));
    told
}

fn doubt_words(doubt: Doubt) -> String {
    match doubt {
        Doubt::LoadMoved { share } => format!(
            "Load moved: at the same output the level's slope changed by {} of what the step made. Test again with the load held.",
            percent_text(100.0 * share)
        ),
        Doubt::ValveDidNotReturn { share } => format!(
            "Valve did not return: with the output back, {} of the step's slope is left. The valve sticks, or the load moved. Watch the stem, test again.",
            percent_text(100.0 * share)
        ),
        Doubt::NotReturned => {
            "The output did not come back in the record: a load that moved together with the step cannot be told from the step. Step back and read on."
                .to_owned()
        }
        Doubt::SumOnly => {
            "Dead time and swell are told as their sum only; settings need no more.".to_owned()
        }
        Doubt::DeadTimeLoose => {
            "The dead time is known to no better than its half. Read more often around the step, or make the step larger.".to_owned()
        }
        _ => format!("In doubt: {}.", doubt.code()),
    }
}

/// What to do where a record cannot tell.
pub fn cannot_tell_remedy(why: CannotTell) -> &'static str {
    match why {
        CannotTell::TooFewReadings { .. } => {
            "take ten readings at least: two before the step, the rest spread until the output is back and the level has answered"
        }
        CannotTell::OneSided { .. } => {
            "begin the record two readings before the first step and end it three after the level has answered"
        }
        CannotTell::NoStep { .. } => {
            "step the output in manual, 5 to 10 % and back; or name the right column with --output-column"
        }
        CannotTell::NotStepped { .. } => {
            "put the controller in manual for the test; the record of a relay test is read with --relay"
        }
        CannotTell::Flat { .. } => {
            "see whether the signal lives: compare display, current and panel; or name the right column with --level-column"
        }
        CannotTell::AtItsEnd { .. } => {
            "begin nearer the middle, make the step smaller, or step back sooner"
        }
        CannotTell::NoExcitation { .. } => {
            "a larger or longer step as far as alarms and trips allow, or a steadier load"
        }
        CannotTell::NotBack { .. } => {
            "the load moved or the valve did not come back: hold the load, watch the stem, step the output back to the very value, test again"
        }
        CannotTell::TooFewSwings { .. } => "let the relay switch six times at least",
        CannotTell::Unsteady { .. } => {
            "hold the load and let the relay run until its swings are alike"
        }
        CannotTell::NoRelay => "the record of a single step is read with --bump",
        _ => "test again",
    }
}

fn settings(sheet: &TestSheet, units: &DisplayUnits) -> Table {
    let (tested, computed) = (&sheet.tuning.chosen, &sheet.computed.chosen);
    let row = |head: &str, cell: &dyn Fn(&Judged) -> String| {
        vec![head.to_owned(), cell(tested), cell(computed)]
    };
    let peak = format!("peak true deviation, {}", units.level_unit());
    Table::new(
        "Chosen settings, by the test and by the survey alone",
        vec![
            Column::words("FORECAST, worst duty"),
            Column::numbers("by the test"),
            Column::numbers("by the survey"),
        ],
    )
    .with_rows(vec![
        row("gain, %/%", &|j| significant(j.gain_ratio, 3)),
        row("proportional band, %", &|j| number(100.0 / j.gain_ratio, 1)),
        row("reset, s/repeat", &|j| {
            j.reset_s
                .map_or_else(|| "none".to_owned(), |s| significant(s, 3))
        }),
        row("maximum sensitivity Ms", &|j| {
            number(j.max_sensitivity_ratio, 2)
        }),
        row(&peak, &|j| units.level_number(j.peak_true_deviation_m)),
        row("holds the deviation", &|j| {
            crate::wording::yes_no(j.holds_deviation).to_owned()
        }),
    ])
}
