//! `halfglass sheet`: the sheets as text or JSON.

use crate::args::SheetArgs;
use crate::failure::Failure;
use crate::input::{Source, Worked};
use crate::{output, problems, terminal};

/// Sheets by id, in print order.
const SHEETS: [&str; 11] = [
    "survey",
    "level-map",
    "range",
    "error-map",
    "glass",
    "settings",
    "tuning",
    "signal-loss",
    "findings",
    "assumptions",
    "workings",
];

pub(crate) fn run(args: &SheetArgs) -> Result<(), Failure> {
    for name in &args.only {
        if !SHEETS.contains(&name.as_str()) {
            return Err(Failure::Usage {
                what: format!("there is no sheet `{name}`"),
                help: format!("choose from {}", SHEETS.join(", ")),
            });
        }
    }
    let mut bad = false;
    for path in &args.files {
        match Worked::from_source(Source::open(path)?) {
            Ok(worked) if args.json => {
                let value = halfglass_report::json::json(
                    &worked.the_loop,
                    &worked.sheets,
                    &worked.source.short_name(),
                    &worked.source.sha256(),
                );
                // One file: laid out for reading. Several: one object a line, so that a pipe can take them one by one.
                let text = if args.files.len() == 1 {
                    format!("{value:#}\n")
                } else {
                    format!("{value}\n")
                };
                output::print(&text)?;
            }
            Ok(worked) => output::print(&sheets_text(&worked, args))?,
            Err((source, reason)) => {
                bad = true;
                problems::report(&source, &reason, args.json)?;
            }
        }
    }
    if bad { Err(Failure::Input) } else { Ok(()) }
}

fn sheets_text(worked: &Worked, args: &SheetArgs) -> String {
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
        if args.only.is_empty() || args.only.iter().any(|id| id == section.id) {
            text.push_str(&terminal::section_text(&section));
            text.push('\n');
        }
    }
    text
}
