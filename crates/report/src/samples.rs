//! Samples of simulated runs as rows. The first column says in every row that this is a simulation, and of which run.

use crate::json::COLUMNS;
use crate::sections::{LabelledRun, SIMULATION};

/// Name of the first column.
pub const FIRST: &str = "simulation";

/// What the first column says in the rows of a run.
pub fn first(run: &LabelledRun) -> String {
    format!("{SIMULATION}: {}", run.label)
}

/// Comma-separated, SI, a row a sample; what does not apply is left empty.
///
/// # Errors
/// The writer's own, which writing to memory does not have.
pub fn csv(runs: &[LabelledRun]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(std::iter::once(FIRST).chain(COLUMNS.iter().map(|(name, _)| *name)))?;
    for run in runs {
        let word = first(run);
        for sample in &run.run.samples {
            let cells = COLUMNS
                .iter()
                .map(|(_, of)| of(sample).map_or_else(String::new, |value| format!("{value}")));
            writer.write_record(std::iter::once(word.clone()).chain(cells))?;
        }
    }
    writer
        .into_inner()
        .map_err(|error| error.into_error().into())
}
