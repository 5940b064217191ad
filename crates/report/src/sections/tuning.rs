//! Settings from geometry: process gain, dead time, the window, and how settings behave.

use halfglass_core::description::{Loop, PlantTest};
use halfglass_core::design::Sheets;
use halfglass_core::tuning::measured::MeasuredUse;
use halfglass_core::tuning::sheets::{Judged, TuningSheet};

use super::findings_in_short;
use crate::block::{Block, Column, FigureId, Section, Table, ValueRow};
use crate::cautions;
use crate::units::{DisplayUnits, number, percent_text, seconds_text, signed_number, significant};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let sheet = &sheets.tuning;
    let judged = judged_columns(sheet);
    let mut blocks = vec![
        Block::paragraph(format!(
            "Settings from the vessel's shape, and what they would do after the largest load change. {}",
            result_words(sheet, units)
        )),
        Block::paragraph(
            sheet
                .measured
                .as_ref()
                .map_or_else(|| cautions::FORECAST.to_owned(), measured_words),
        ),
        Block::paragraph(wording::polarity_in_short(described)),
        Block::heading("The window"),
        Block::paragraph(wording::as_printed(&sheet.window_words)),
        Block::figure(
            FigureId::TuningWindow,
            "Gain against reset, FORECAST",
            window_alt(sheet),
        ),
        Block::heading("The settings judged"),
        Block::Table(judged_table(&judged, units)),
        Block::figure(
            FigureId::TuningResponse,
            "True level after the largest load change, FORECAST",
            response_alt(&judged, units),
        ),
        Block::heading("What it rests on"),
        Block::Values(basis_rows(sheet, units)),
        Block::Table(duties_table(sheet, units)),
        Block::Table(dead_time_table(sheet)),
    ];
    blocks.push(Block::caution(cautions::manual_first(
        described.vessel.kind,
        described.glass.is_some(),
    )));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.extend(findings_in_short(&sheet.findings));
    Section {
        id: "tuning",
        title: "Tuning (FORECAST)".into(),
        blocks,
    }
}

/// What a test on the plant gave.
pub fn measured_words(used: &MeasuredUse) -> String {
    let process = &used.process;
    format!(
        "MEASURED by the {} test of {} at “{}”: the panel passes its whole span in {} with the output 100 % off balance, {} times as fast as computed; \
         dead time {}, swell included ({} computed). How the settings behave stays a FORECAST.",
        match process.test {
            PlantTest::Bump => "bump",
            PlantTest::Relay => "relay",
        },
        process.date,
        process.duty,
        seconds_text(process.span_time_s),
        number(used.gain_ratio(), 2),
        seconds_text(process.delay_s),
        seconds_text(used.computed_delay_s),
    )
}

fn result_words(sheet: &TuningSheet, units: &DisplayUnits) -> String {
    let chosen = &sheet.chosen;
    let peak = if chosen.stable {
        format!(
            "the true level would move {} at most, {} after the change ({} is allowed)",
            units.level_text(chosen.peak_true_deviation_m),
            seconds_text(chosen.time_of_peak_s),
            units.level_text(sheet.allowed_deviation_m)
        )
    } else {
        "the loop would be UNSTABLE".to_owned()
    };
    format!(
        "Chosen: gain {} %/%, reset {}; {peak}.",
        significant(chosen.gain_ratio, 3),
        reset_words(chosen)
    )
}

fn reset_words(judged: &Judged) -> String {
    judged.reset_s.map_or_else(
        || "none".to_owned(),
        |s| format!("{} s/repeat", significant(s, 3)),
    )
}

/// As many as there are, in the order of the columns.
fn judged_columns(sheet: &TuningSheet) -> Vec<&Judged> {
    let mut judged = vec![&sheet.chosen];
    judged.extend(&sheet.slowest);
    judged.push(&sheet.fastest);
    judged.extend(&sheet.as_found);
    judged.push(&sheet.habit);
    judged
}

fn judged_table(judged: &[&Judged], units: &DisplayUnits) -> Table {
    let columns = std::iter::once(Column::words("FORECAST, worst duty"))
        .chain(
            judged
                .iter()
                .map(|judged| Column::numbers(judged.name.clone())),
        )
        .collect();
    let unit = units.level_unit();
    let when_stable = |judged: &Judged, text: String| {
        if judged.stable {
            text
        } else {
            "–".to_owned()
        }
    };
    let row = |head: String, cell: &dyn Fn(&Judged) -> String| {
        std::iter::once(head)
            .chain(judged.iter().map(|judged| cell(judged)))
            .collect::<Vec<String>>()
    };
    let rows = vec![
        row("gain, %/%".into(), &|j| significant(j.gain_ratio, 3)),
        row("proportional band, %".into(), &|j| {
            number(100.0 / j.gain_ratio, 1)
        }),
        row("reset, s/repeat".into(), &|j| {
            j.reset_s
                .map_or_else(|| "none".to_owned(), |s| significant(s, 3))
        }),
        row("reset, min/repeat".into(), &|j| {
            j.reset_s
                .map_or_else(|| "none".to_owned(), |s| significant(s / 60.0, 3))
        }),
        row("derivative, s".into(), &|j| number(j.derivative_s, 1)),
        row("stable".into(), &|j| wording::yes_no(j.stable).to_owned()),
        row("maximum sensitivity Ms".into(), &|j| {
            when_stable(j, number(j.max_sensitivity_ratio, 2))
        }),
        row("gain margin, ratio".into(), &|j| {
            when_stable(j, number(j.gain_margin_ratio, 2))
        }),
        row("phase margin, degrees".into(), &|j| {
            when_stable(j, number(j.phase_margin_deg, 1))
        }),
        row("delay margin, s".into(), &|j| {
            when_stable(j, number(j.delay_margin_s, 1))
        }),
        row("damping ratio".into(), &|j| number(j.damping_ratio, 2)),
        row("period of swing, s".into(), &|j| {
            j.period_s
                .map_or_else(|| "none".to_owned(), |s| number(s, 0))
        }),
        row(format!("peak true deviation, {unit}"), &|j| {
            when_stable(j, units.level_number(j.peak_true_deviation_m))
        }),
        row("time of peak, s".into(), &|j| {
            when_stable(j, number(j.time_of_peak_s, 0))
        }),
        row("holds the deviation".into(), &|j| {
            wording::yes_no(j.holds_deviation).to_owned()
        }),
        row("robust".into(), &|j| wording::yes_no(j.robust).to_owned()),
    ];
    Table::new(
        "FORECAST of how settings behave, the worst over all duty points",
        columns,
    )
    .with_rows(rows)
}

fn basis_rows(sheet: &TuningSheet, units: &DisplayUnits) -> Vec<ValueRow> {
    vec![
        ValueRow::noted(
            "flow with the valve open",
            units.flow_text(sheet.full_valve_flow_kg_s),
            sheet.full_valve_flow_source.clone(),
        ),
        if sheet.valve_taken_as_linear {
            ValueRow::noted(
                "valve taken as",
                "linear: flow = output × flow with the valve open",
                "until its characteristic is described; a curved one moves the process gain from duty to duty",
            )
        } else {
            ValueRow::noted(
                "valve taken as",
                "installed: its own gain at each duty, below",
                "from the characteristic, the supply and the line described",
            )
        },
        ValueRow::new(
            "largest load change",
            format!(
                "{} of that flow",
                percent_text(100.0 * sheet.load_change_ratio)
            ),
        ),
        ValueRow::new(
            "allowed deviation of true level",
            units.level_text(sheet.allowed_deviation_m),
        ),
        ValueRow::noted(
            "robust means Ms at most",
            number(sheet.max_sensitivity_limit, 2),
            "Ms: how close the loop comes to swinging on its own; 1 is never, 2 is near",
        ),
        ValueRow::noted(
            "dead time counted",
            seconds_text(sheet.dead_time_s),
            "FORECAST, sum of the parts below",
        ),
    ]
}

fn duties_table(sheet: &TuningSheet, units: &DisplayUnits) -> Table {
    let installed = !sheet.valve_taken_as_linear;
    let mut columns = vec![
        Column::words("duty"),
        Column::numbers("process gain, true level, 1/s"),
        Column::numbers("process gain, indicated level, 1/s"),
        Column::numbers(format!("free surface, {}", units.area_unit())),
        Column::numbers("water, kg/m3"),
    ];
    if installed {
        columns.push(Column::numbers("gain of the valve"));
    }
    let rows = sheet
        .duties
        .iter()
        .map(|duty| {
            let mut row = vec![
                duty.name.clone(),
                significant(duty.process_gain_per_s, 4),
                significant(duty.indicated_gain_per_s, 4),
                units.area_number(duty.free_surface_m2),
                number(duty.liquid_density_kg_m3, 1),
            ];
            if installed {
                row.push(number(duty.installed_gain_ratio, 2));
            }
            row
        })
        .collect();
    Table::new(
        "FORECAST process gain: share of the level span in a second for the full stroke of output",
        columns,
    )
    .with_rows(rows)
}

fn dead_time_table(sheet: &TuningSheet) -> Table {
    let columns = vec![
        Column::words("part"),
        Column::numbers("s"),
        Column::words("rests on"),
    ];
    let mut rows: Vec<Vec<String>> = sheet
        .dead_time
        .iter()
        .map(|part| {
            let rests_on = if part.assumed {
                "an assumption"
            } else {
                "the survey"
            };
            vec![
                part.name.clone(),
                number(part.seconds, 2),
                rests_on.to_owned(),
            ]
        })
        .collect();
    rows.push(vec![
        "sum".into(),
        number(sheet.dead_time_s, 2),
        String::new(),
    ]);
    Table::new("FORECAST dead-time budget", columns).with_rows(rows)
}

fn window_alt(sheet: &TuningSheet) -> String {
    format!(
        "Where settings hold the deviation and where they stay robust; the window between them is {}. Chosen: gain {} %/%, reset {}",
        if sheet.window_open { "open" } else { "EMPTY" },
        significant(sheet.chosen.gain_ratio, 3),
        reset_words(&sheet.chosen)
    )
}

fn response_alt(judged: &[&Judged], units: &DisplayUnits) -> String {
    judged
        .iter()
        .map(|judged| {
            if judged.stable {
                format!(
                    "{}: peak {} {} after {}",
                    judged.name,
                    signed_number(units.level(judged.peak_true_deviation_m).0, 1),
                    units.level_unit(),
                    seconds_text(judged.time_of_peak_s)
                )
            } else {
                format!("{}: unstable", judged.name)
            }
        })
        .collect::<Vec<_>>()
        .join("; ")
}
