//! `halfglass pack`: the commissioning pack as PDF.

use std::path::{Path, PathBuf};

use halfglass_core::description::Paper;
use halfglass_pack::PackInput;

use crate::args::{PackArgs, PaperSize};
use crate::failure::Failure;
use crate::input::{Source, Worked};
use crate::{output, problems};

pub(crate) fn run(args: &PackArgs) -> Result<(), Failure> {
    let mut bad = false;
    for path in &args.files {
        match Worked::from_source(Source::open(path)?) {
            Ok(mut worked) => {
                let target = target(&worked.source, args)?;
                if let Some(paper) = args.paper {
                    worked.the_loop.identity.paper = match paper {
                        PaperSize::Letter => Paper::Letter,
                        PaperSize::A4 => Paper::A4,
                    };
                }
                let units = worked.units(args.units);
                let bytes = halfglass_pack::pdf(&PackInput {
                    the_loop: &worked.the_loop,
                    sheets: &worked.sheets,
                    units: &units,
                    file_name: &worked.source.short_name(),
                    sha256: &worked.source.sha256(),
                })
                .map_err(|error| Failure::Internal {
                    what: error.to_string(),
                })?;
                if target == Path::new("-") {
                    output::print_bytes(&bytes)?;
                } else {
                    output::write_file(&target, &bytes)?;
                    anstream::eprintln!(
                        "{}: {} kB written",
                        target.display(),
                        bytes.len().div_ceil(1000)
                    );
                }
            }
            Err((source, reason)) => {
                bad = true;
                problems::report(&source, &reason, false)?;
            }
        }
    }
    if bad { Err(Failure::Input) } else { Ok(()) }
}

/// Where the PDF goes; never onto the loop file itself.
fn target(source: &Source, args: &PackArgs) -> Result<PathBuf, Failure> {
    let beside = source
        .path
        .as_deref()
        .map(|path| path.with_extension("pdf"));
    let target = match (&args.output, args.files.len()) {
        (Some(output), 1) if !output.is_dir() => output.clone(),
        (Some(folder), _) => {
            std::fs::create_dir_all(folder).map_err(|error| Failure::Machine {
                doing: "making the folder",
                path: folder.clone(),
                error,
            })?;
            let name = beside
                .as_deref()
                .and_then(Path::file_name)
                .ok_or_else(no_output)?;
            folder.join(name)
        }
        (None, _) => beside.ok_or_else(no_output)?,
    };
    if source.path.as_deref() == Some(target.as_path()) {
        return Err(Failure::Usage {
            what: format!("`{}` is the loop file itself", target.display()),
            help: "choose another name with --output".into(),
        });
    }
    Ok(target)
}

fn no_output() -> Failure {
    Failure::Usage {
        what: "a loop from standard input has no name for its pack".into(),
        help: "say where to write: --output pack.pdf".into(),
    }
}
