//! What to enter in the controller, in its own form and units.

use halfglass_core::controller::sheets::{SettingRow, SettingValue, SettingsSheet};
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;

use super::findings_in_short;
use crate::block::{Block, Column, Section, Table};
use crate::cautions;
use crate::units::{DisplayUnits, keyed_number, number, percent_text};
use crate::wording;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let sheet = &sheets.settings;
    let mut blocks = vec![
        Block::paragraph(format!(
            "What to enter in the controller, in its {} form and its units. The action is {}: {}.",
            wording::form(sheet.form),
            wording::action(sheet.action).to_uppercase(),
            action_meaning(sheet)
        )),
        Block::paragraph(
            sheets
                .tuning
                .measured
                .as_ref()
                .map_or_else(|| cautions::FORECAST.to_owned(), super::measured_words),
        ),
        Block::Table(rows_table(described, sheet, units)),
        Block::paragraph(
            "Levels entered in a controller are indicated levels: it compares its set point with what the cell says, not with what the vessel holds.",
        ),
        Block::heading("How the action follows"),
        Block::paragraph(wording::polarity_sentence(
            described,
            sheets.range.chosen,
            units,
        )),
        Block::Steps(sheet.action_steps.clone()),
        Block::heading("The same settings in the other forms"),
        Block::Table(forms_table(sheet)),
    ];
    if let Some(ratio) = sheet.gain_rescale_ratio {
        blocks.push(Block::heading("The span changes"));
        blocks.push(Block::paragraph(format!(
            "The range to set has another span than the range found. An old gain kept must be multiplied by {} so that the loop stays as it \
             was; the gain in the table above is already for the new span.",
            keyed_number(ratio, 4)
        )));
    }
    blocks.push(Block::caution(cautions::manual_first(
        described.vessel.kind,
        described.glass.is_some(),
    )));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.extend(findings_in_short(&sheet.findings));
    Section {
        id: "settings",
        title: "Controller settings".into(),
        blocks,
    }
}

fn action_meaning(sheet: &SettingsSheet) -> &'static str {
    use halfglass_core::controller::action::Action;
    match sheet.action {
        Action::Reverse => "the output falls when the controller's input rises",
        Action::Direct => "the output rises when the controller's input rises",
    }
}

fn rows_table(described: &Loop, sheet: &SettingsSheet, units: &DisplayUnits) -> Table {
    let has_marks = sheet.rows.iter().any(|row| row.device_mark.is_some());
    let mut columns = vec![Column::words("setting"), Column::words("value to enter")];
    if has_marks {
        columns.push(Column::words("device's mark"));
    }
    columns.push(Column::words("what it does, or how it follows"));
    let rows = sheet
        .rows
        .iter()
        .map(|row| {
            let mut cells = vec![row.name.clone(), value_text(described, row, units)];
            if has_marks {
                cells.push(row.device_mark.clone().unwrap_or_default());
            }
            cells.push(row.note.clone());
            cells
        })
        .collect();
    Table::new("Settings (gain, reset, derivative: FORECAST)", columns).with_rows(rows)
}

/// A setting as it is entered, or why it cannot be; a level also in percent of the level span.
pub fn value_text(described: &Loop, row: &SettingRow, units: &DisplayUnits) -> String {
    match &row.value {
        Err(why) => format!("cannot be entered: {why}"),
        Ok(SettingValue::Word(word)) => word.clone(),
        Ok(SettingValue::LevelBandM(m)) => units.level_text(*m),
        Ok(SettingValue::LevelM(m)) => {
            let span = described.range.span;
            let percent = 100.0 * (m - span.at_0_percent_m) / span.height_m();
            format!("{} ({})", units.level_text(*m), percent_text(percent))
        }
        Ok(SettingValue::Number(value, unit)) => match *unit {
            "%" => percent_text(*value),
            "mA" => format!("{} mA", number(*value, 2)),
            unit => format!("{} {unit}", keyed_number(*value, 4)),
        },
    }
}

fn forms_table(sheet: &SettingsSheet) -> Table {
    let columns = vec![
        Column::words("form"),
        Column::words("gain, reset, derivative"),
    ];
    let rows = sheet
        .other_forms
        .iter()
        .map(|(form, words)| {
            let words = match words {
                Ok(words) => wording::as_printed(words),
                Err(why) => format!("cannot be written so: {why}"),
            };
            vec![wording::form(*form).to_owned(), words]
        })
        .collect();
    Table::new("Other forms (FORECAST)", columns).with_rows(rows)
}
