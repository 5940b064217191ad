//! `halfglass simulate`: a scenario's runs as text, JSON, figure, CSV and Parquet.

mod modbus;
mod table;

use std::path::Path;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::dynamics::draws::draws as many_draws;
use halfglass_core::dynamics::plant::plant;
use halfglass_core::dynamics::run::run as run_scenario;
use halfglass_core::dynamics::start::RunError;
use halfglass_core::finding::Assumption;
use halfglass_loopfile::{BUILT_IN, ScenarioFile, read_scenario};
use halfglass_report::sections::{LabelledDraws, LabelledRun, draws, motion};

use crate::args::SimulateArgs;
use crate::failure::Failure;
use crate::input::{NoSheets, Source, Worked};
use crate::{output, problems, terminal};

pub(crate) fn run(args: &SimulateArgs) -> Result<(), Failure> {
    if args.list {
        return output::print(&list());
    }
    let scenario_source = scenario_source(&args.scenario)?;
    if args.show {
        return output::print(&String::from_utf8_lossy(&scenario_source.bytes));
    }
    for path in [&args.figure, &args.csv, &args.parquet]
        .into_iter()
        .flatten()
    {
        if path.as_path() != Path::new("-") {
            output::check_target(path)?;
        }
    }
    let scenario = match read_scenario(&scenario_source.bytes) {
        Ok(scenario) => scenario,
        Err(found) => return told(&scenario_source, &NoSheets::Problems(found), args.json),
    };
    // Asked for by clap where no list is wanted.
    let Some(file) = &args.file else {
        return Ok(());
    };
    let worked = match Worked::from_source(Source::open(file)?) {
        Ok(worked) => worked,
        Err((source, reason)) => return told(&source, &reason, args.json),
    };
    if let Some(address) = args.serve_modbus {
        return modbus::serve(&worked, &scenario, address, args.speed);
    }
    let (runs, assumptions) = match runs(&worked.the_loop, &worked.sheets, &scenario) {
        Ok(done) => done,
        Err(error) => {
            return told(
                &scenario_source,
                &NoSheets::Design(error.to_string()),
                args.json,
            );
        }
    };
    let of_runs = match args
        .draws
        .map(|count| drawn(&worked, &scenario, usize::from(count), args.seed))
        .transpose()
    {
        Ok(of_runs) => of_runs,
        Err(error) => {
            return told(
                &scenario_source,
                &NoSheets::Design(error.to_string()),
                args.json,
            );
        }
    };
    let units = worked.units(args.units);
    if let Some(path) = &args.figure {
        let svg = match &of_runs {
            Some(of_runs) => halfglass_figure::draws(&worked.the_loop, of_runs, &units),
            None => halfglass_figure::motion(&worked.the_loop, &runs, &units),
        };
        output::write_file(path, svg.as_bytes())?;
    }
    if let Some(path) = &args.parquet {
        output::write_file(path, &table::parquet(&runs)?)?;
    }
    match args.csv.as_deref() {
        Some(path) if path == Path::new("-") => return output::print_bytes(&csv(&runs)?),
        Some(path) => output::write_file(path, &csv(&runs)?)?,
        None => {}
    }
    if args.json {
        let mut value = halfglass_report::json::motion(
            &worked.the_loop,
            &runs,
            &assumptions,
            &worked.source.short_name(),
            &worked.source.sha256(),
        );
        if let Some(of_runs) = &of_runs {
            value["draws"] = halfglass_report::json::draws(&worked.the_loop, of_runs);
        }
        return output::print(&format!("{value:#}\n"));
    }
    let identity = &worked.the_loop.identity;
    let section = motion(&worked.the_loop, &runs, &assumptions, &units);
    let of_draws = of_runs
        .map(|of_runs| {
            let section = draws(&worked.the_loop, &of_runs, &units);
            format!("\n{}", terminal::section_text(&section))
        })
        .unwrap_or_default();
    output::print(&format!(
        "{}  {}\n{}\n\n{}{of_draws}",
        identity.tag,
        identity.service,
        identity.plant,
        terminal::section_text(&section)
    ))
}

fn csv(runs: &[LabelledRun]) -> Result<Vec<u8>, Failure> {
    halfglass_report::samples::csv(runs).map_err(table::internal)
}

fn told(source: &Source, reason: &NoSheets, as_json: bool) -> Result<(), Failure> {
    problems::report(source, reason, as_json)?;
    Err(Failure::Told { status: 1 })
}

/// A scenario by its name, or from a file.
fn scenario_source(named: &str) -> Result<Source, Failure> {
    if let Some((name, text)) = BUILT_IN.into_iter().find(|(name, _)| *name == named) {
        return Ok(Source {
            name: format!("scenario {name}"),
            path: None,
            bytes: text.as_bytes().to_vec(),
        });
    }
    let path = Path::new(named);
    let looks_like_a_file = path.extension().is_some() || path.components().count() > 1;
    if !looks_like_a_file && !path.exists() {
        return Err(Failure::Usage {
            what: format!("there is no scenario `{named}`"),
            help: format!(
                "choose from {}, or give a file",
                BUILT_IN.map(|(name, _)| name).join(", ")
            ),
        });
    }
    Source::open(path)
}

/// Names and purposes of what comes with the program.
fn list() -> String {
    BUILT_IN
        .iter()
        .filter_map(|(name, text)| {
            let file = read_scenario(text.as_bytes()).ok()?;
            Some(format!("{name:<16}{}\n", file.purpose))
        })
        .collect()
}

/// The draws of every run of a scenario; the same seed for each, so that they differ in nothing else.
fn drawn(
    worked: &Worked,
    file: &ScenarioFile,
    count: usize,
    seed: u64,
) -> Result<Vec<LabelledDraws>, RunError> {
    file.runs
        .iter()
        .map(|(label, scenario)| {
            Ok(LabelledDraws {
                label: label.clone(),
                draws: many_draws(&worked.the_loop, &worked.sheets, scenario, count, seed)?,
            })
        })
        .collect()
}

/// Every run of a scenario, and what was assumed for the vessel.
fn runs(
    described: &Loop,
    sheets: &Sheets,
    file: &ScenarioFile,
) -> Result<(Vec<LabelledRun>, Vec<Assumption>), RunError> {
    let mut done = Vec::new();
    let mut assumptions = Vec::new();
    for (label, scenario) in &file.runs {
        let mut plant = plant(described, scenario)?;
        done.push(LabelledRun {
            label: label.clone(),
            run: run_scenario(described, sheets, scenario, plant.vessel.as_mut())?,
        });
        assumptions = plant.assumptions;
    }
    Ok((done, assumptions))
}
