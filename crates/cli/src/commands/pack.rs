//! `halfglass pack`: the commissioning pack as PDF.

use std::path::{Path, PathBuf};

use halfglass_core::description::Paper;
use halfglass_pack::PackInput;

use crate::args::{PackArgs, PaperSize};
use crate::failure::Failure;
use crate::input::Worked;
use crate::{batch, output};

pub(crate) fn run(args: &PackArgs) -> Result<(), Failure> {
    // Typesetting takes seconds: where the packs go is settled before the first.
    let targets = targets(args)?;
    batch::each(&args.files, false, |index, mut worked| {
        if let Some(paper) = args.paper {
            worked.the_loop.identity.paper = match paper {
                PaperSize::Letter => Paper::Letter,
                PaperSize::A4 => Paper::A4,
            };
        }
        write(&worked, args, &targets[index])
    })
}

fn write(worked: &Worked, args: &PackArgs, target: &Path) -> Result<(), Failure> {
    let bytes = halfglass_pack::pdf(&PackInput {
        the_loop: &worked.the_loop,
        sheets: &worked.sheets,
        units: &worked.units(args.units),
        file_name: &worked.source.short_name(),
        sha256: &worked.source.sha256(),
    })
    .map_err(|error| Failure::Internal {
        what: error.to_string(),
    })?;
    if target == Path::new("-") {
        return output::print_bytes(&bytes);
    }
    output::write_file(target, &bytes)?;
    anstream::eprintln!(
        "{}: {} kB written",
        target.display(),
        bytes.len().div_ceil(1000)
    );
    Ok(())
}

/// Where each PDF goes: one place a file, never onto a loop file, in folders that exist.
fn targets(args: &PackArgs) -> Result<Vec<PathBuf>, Failure> {
    let mut targets: Vec<PathBuf> = Vec::new();
    for path in &args.files {
        let target = target(path, args)?;
        if args.files.contains(&target) && target != Path::new("-") {
            return Err(Failure::Usage {
                what: format!("`{}` is a loop file itself", target.display()),
                help: "choose another name with --output".into(),
            });
        }
        if targets.contains(&target) {
            return Err(Failure::Usage {
                what: format!("two loop files would write the same pack, {}", target.display()),
                help: "leave --output out (each pack then lies beside its loop file), or make the packs in two calls".into(),
            });
        }
        if target != Path::new("-") {
            output::check_target(&target)?;
        }
        targets.push(target);
    }
    Ok(targets)
}

fn target(path: &Path, args: &PackArgs) -> Result<PathBuf, Failure> {
    let beside = (path != Path::new("-")).then(|| path.with_extension("pdf"));
    let Some(output) = &args.output else {
        return beside.ok_or_else(no_output);
    };
    if args.files.len() == 1 && !output.is_dir() {
        return Ok(output.clone());
    }
    std::fs::create_dir_all(output).map_err(|error| Failure::Machine {
        doing: "making the folder",
        path: output.clone(),
        error,
    })?;
    let name = beside
        .as_deref()
        .and_then(Path::file_name)
        .ok_or_else(no_output)?
        .to_owned();
    Ok(output.join(name))
}

fn no_output() -> Failure {
    Failure::Usage {
        what: "a loop from standard input has no name for its pack".into(),
        help: "say where to write: --output pack.pdf".into(),
    }
}
