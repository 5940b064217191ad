//! `halfglass tune`: the tuning window proved by simulation, or the process from a test on the plant.

mod plant_test;

use halfglass_core::dynamics::proof::proof;

use crate::args::TuneArgs;
use crate::failure::Failure;
use crate::input::{NoSheets, Source, Worked};
use crate::{output, problems, terminal};

pub(crate) fn run(args: &TuneArgs) -> Result<(), Failure> {
    let worked = match Worked::from_source(Source::open(&args.file)?) {
        Ok(worked) => worked,
        Err((source, reason)) => return told(&source, &reason, args.json),
    };
    if let Some(asked) = plant_test::asked(args) {
        return plant_test::run(args, &worked, asked);
    }
    let (the_loop, sheets) = (&worked.the_loop, &worked.sheets);
    let proved = match proof(the_loop, sheets, usize::from(args.draws), args.seed) {
        Ok(proved) => proved,
        Err(error) => {
            let reason = NoSheets::Design(error.to_string());
            return told(&worked.source, &reason, args.json);
        }
    };
    if args.json {
        let value = halfglass_report::json::proof(
            the_loop,
            &proved,
            &worked.source.short_name(),
            &worked.source.sha256(),
        );
        return output::print(&format!("{value:#}\n"));
    }
    let identity = &the_loop.identity;
    let section = halfglass_report::sections::proof(the_loop, &proved, &worked.units(args.units));
    output::print(&format!(
        "{}  {}\n{}\n\n{}",
        identity.tag,
        identity.service,
        identity.plant,
        terminal::section_text(&section)
    ))
}

fn told(source: &Source, reason: &NoSheets, as_json: bool) -> Result<(), Failure> {
    problems::report(source, reason, as_json)?;
    Err(Failure::Told { status: 1 })
}
