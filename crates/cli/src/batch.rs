//! Several loop files in one call: every file gets its turn, whatever the others are like.

use std::path::PathBuf;

use serde_json::json;

use crate::failure::Failure;
use crate::input::{Source, Worked, check_files};
use crate::{output, problems};

/// Reads and computes each file and hands it to `work`. A file that cannot be read or has problems is reported and the rest
/// go on; the call then ends with the gravest of what happened.
pub(crate) fn each(
    files: &[PathBuf],
    as_json: bool,
    mut work: impl FnMut(usize, Worked) -> Result<(), Failure>,
) -> Result<(), Failure> {
    check_files(files)?;
    let mut ending = Ok(());
    for (index, path) in files.iter().enumerate() {
        let source = match Source::open(path) {
            Ok(source) => source,
            Err(failure) => {
                if as_json {
                    output::print(&format!("{}\n", unreadable_json(path, &failure)))?;
                }
                failure.print();
                ending = Err(Failure::Told { status: 3 });
                continue;
            }
        };
        match Worked::from_source(source) {
            Ok(worked) => work(index, worked)?,
            Err((source, reason)) => {
                problems::report(&source, &reason, as_json)?;
                if ending.is_ok() {
                    ending = Err(Failure::Told { status: 1 });
                }
            }
        }
    }
    ending
}

fn unreadable_json(path: &std::path::Path, failure: &Failure) -> serde_json::Value {
    json!({
        "file": path.display().to_string(),
        "problems": [{ "code": "cannot-read", "message": failure.words() }],
    })
}
