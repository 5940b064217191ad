//! `halfglass sheet`: the sheets as text or JSON.

use crate::args::SheetArgs;
use crate::failure::Failure;
use crate::input::Worked;
use crate::{batch, output, terminal};

/// Sheets by id, in print order, with the keys of the JSON that belong to each.
const SHEETS: [(&str, &[&str]); 15] = [
    ("survey", &["loop", "placeholders"]),
    ("level-map", &["level_map"]),
    ("range", &["range"]),
    (
        "error-map",
        &[
            "error_map",
            "error_map_range",
            "error_curves",
            "leg_errors",
            "compensation",
        ],
    ),
    ("glass", &["glass"]),
    ("uncertainty", &["uncertainty"]),
    ("feedwater", &["feedwater"]),
    ("wiring", &["wiring"]),
    ("settings", &["settings"]),
    ("tuning", &["tuning"]),
    ("signal-loss", &["signal_loss"]),
    ("purchase", &["bill"]),
    ("findings", &["findings"]),
    ("assumptions", &["assumptions"]),
    ("workings", &["workings"]),
];

pub(crate) fn run(args: &SheetArgs) -> Result<(), Failure> {
    let only: Vec<String> = args
        .only
        .iter()
        .map(|name| name.trim().to_lowercase())
        .collect();
    for name in &only {
        if !SHEETS.iter().any(|(id, _)| id == name) {
            return Err(Failure::Usage {
                what: format!("there is no sheet `{name}`"),
                help: format!("choose from {}", SHEETS.map(|(id, _)| id).join(", ")),
            });
        }
    }
    batch::each(&args.files, args.json, |_, worked| {
        if args.json {
            let mut value = halfglass_report::json::json(
                &worked.the_loop,
                &worked.sheets,
                &worked.source.short_name(),
                &worked.source.sha256(),
            );
            keep_only(&mut value, &only);
            // One file: laid out for reading. Several: one object a line, so that a pipe can take them one by one.
            let text = if args.files.len() == 1 {
                format!("{value:#}\n")
            } else {
                format!("{value}\n")
            };
            output::print(&text)
        } else {
            output::print(&sheets_text(&worked, args, &only))
        }
    })
}

/// Drops the sheets that were not asked for; the envelope stays.
fn keep_only(value: &mut serde_json::Value, only: &[String]) {
    if let (Some(object), false) = (value.as_object_mut(), only.is_empty()) {
        let dropped = SHEETS
            .iter()
            .filter(|(id, _)| !only.iter().any(|name| name == id))
            .flat_map(|(_, keys)| *keys);
        for key in dropped {
            object.shift_remove(*key);
        }
    }
}

fn sheets_text(worked: &Worked, args: &SheetArgs, only: &[String]) -> String {
    let units = worked.units(args.units);
    let identity = &worked.the_loop.identity;
    let mut text = format!(
        "{}  {}\n{}\n{}  revision {}  sha256 {}\n\n",
        identity.tag,
        identity.service,
        identity.plant,
        worked.source.name,
        identity.revision,
        &worked.source.sha256()[..12],
    );
    for section in halfglass_report::sections(&worked.the_loop, &worked.sheets, &units) {
        if only.is_empty() || only.iter().any(|id| id == section.id) {
            text.push_str(&terminal::section_text(&section));
            text.push('\n');
        }
    }
    text
}
