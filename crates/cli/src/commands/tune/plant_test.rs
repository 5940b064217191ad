//! `halfglass tune` with the record of a test: the process it shows, the settings that follow, and the loop file that takes it.

use std::path::Path;

use halfglass_core::description::PlantTest;
use halfglass_core::identify::sheet::{TestError, TestSheet, test_sheet};
use halfglass_loopfile::edit::set_measured;
use halfglass_loopfile::{AskedColumns, Problem, Taken, Trend, read_trend};
use halfglass_report::sections::{cannot_tell_remedy, plant_test};

use super::told;
use crate::args::TuneArgs;
use crate::failure::Failure;
use crate::input::{NoSheets, Source, Worked};
use crate::{output, terminal};

/// The record that was asked for, how it was taken, and which test it is of.
pub(super) fn asked(args: &TuneArgs) -> Option<(&Path, Taken, PlantTest)> {
    let logged = |path, test| (path, Taken::Trend, test);
    None.or_else(|| Some(logged(args.bump.as_deref()?, PlantTest::Bump)))
        .or_else(|| Some(logged(args.relay.as_deref()?, PlantTest::Relay)))
        .or_else(|| Some((args.readings.as_deref()?, Taken::Readings, PlantTest::Bump)))
}

pub(super) fn run(
    args: &TuneArgs,
    worked: &Worked,
    (path, taken, test): (&Path, Taken, PlantTest),
) -> Result<(), Failure> {
    let date = match (&args.date, args.accept) {
        (None, true) => {
            return Err(Failure::Usage {
                what: "the date of the test is missing".into(),
                help: "give it with --date, for instance --date 2026-11-27".into(),
            });
        }
        (date, _) => date.as_deref().unwrap_or("not dated"),
    };
    if let Some(figure) = &args.figure {
        output::check_target(figure)?;
    }
    let source = Source::open(path)?;
    let columns = AskedColumns {
        time: args.time_column.clone(),
        level: args.level_column.clone(),
        output: args.output_column.clone(),
    };
    let trend = match read_trend(&source.bytes, taken, &columns) {
        Ok(trend) => trend,
        Err(problems) => return told(&source, &NoSheets::Problems(problems), args.json),
    };
    let sheet = match test_sheet(
        &worked.the_loop,
        &worked.sheets,
        &trend.record,
        test,
        args.duty.as_deref(),
        date,
    ) {
        Ok(sheet) => sheet,
        Err(error) => return told(&source, &no_test(worked, &error)?, args.json),
    };
    if let Some(path) = &args.figure {
        let svg = halfglass_figure::plant_test(&worked.the_loop, &trend.record, &sheet);
        output::write_file(path, svg.as_bytes())?;
    }
    if args.json {
        let value = halfglass_report::json::plant_test(
            &worked.the_loop,
            &sheet,
            (&source.short_name(), &trend.record),
            &worked.source.short_name(),
            &worked.source.sha256(),
        );
        output::print(&format!("{value:#}\n"))?;
    } else {
        let identity = &worked.the_loop.identity;
        let section = plant_test(&worked.the_loop, &sheet, &worked.units(args.units));
        output::print(&format!(
            "{}  {}\n{}\n{}\n\n{}",
            identity.tag,
            identity.service,
            identity.plant,
            read_words(&source, &trend),
            terminal::section_text(&section)
        ))?;
    }
    if args.accept {
        accept(worked, &sheet)?;
    }
    Ok(())
}

/// `trend.csv: 241 readings from 2026-11-27T10:00:00Z`, and its columns.
fn read_words(source: &Source, trend: &Trend) -> String {
    format!(
        "{}: {}\ncolumns: {}",
        source.short_name(),
        trend.taken_words(),
        trend.columns.join(", ")
    )
}

/// Why there is no test, as a reason with its way out.
fn no_test(worked: &Worked, error: &TestError) -> Result<NoSheets, Failure> {
    let names = || {
        let names: Vec<String> = worked
            .the_loop
            .duties
            .iter()
            .map(|duty| format!("“{}”", duty.name))
            .collect();
        names.join(", ")
    };
    match error {
        TestError::CannotTell(why) => Ok(NoSheets::Problems(vec![
            Problem::new(
                why.code(),
                format!("the record cannot tell: {why}"),
                halfglass_loopfile::Label::new(0..0, "this record"),
            )
            .help(cannot_tell_remedy(*why)),
        ])),
        TestError::Duty(_) | TestError::DutyUnknown => Err(Failure::Usage {
            what: error.to_string(),
            help: format!("say which with --duty: {}", names()),
        }),
        other => Ok(NoSheets::Design(other.to_string())),
    }
}

/// Writes the process into the loop file, every other byte as it was.
fn accept(worked: &Worked, sheet: &TestSheet) -> Result<(), Failure> {
    let Some(path) = &worked.source.path else {
        return Err(Failure::Usage {
            what: "a loop from standard input has no file to take the test".into(),
            help: "give the loop file by its name".into(),
        });
    };
    if !sheet.usable() {
        anstream::eprintln!(
            "error: the test is not taken into {}: see what is in doubt",
            path.display()
        );
        return Err(Failure::Told { status: 1 });
    }
    let text = String::from_utf8_lossy(&worked.source.bytes);
    let after = set_measured(&text, &sheet.measured).map_err(|error| Failure::Usage {
        what: format!("the test is not taken into {}: {error}", path.display()),
        help: "write the section [measured] by hand".into(),
    })?;
    // What somebody else saved meanwhile is not written over.
    if Source::open(path)?.bytes != worked.source.bytes {
        return Err(Failure::Usage {
            what: format!(
                "{} has changed meanwhile; nothing was written",
                path.display()
            ),
            help: "call it again".into(),
        });
    }
    output::write_file(path, after.as_bytes())?;
    anstream::eprintln!(
        "{}: the test of {} stands under [measured]; the tuning sheet takes it from now on",
        path.display(),
        sheet.measured.date
    );
    Ok(())
}
