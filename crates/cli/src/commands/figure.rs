//! `halfglass figure`: one figure as SVG.

use std::path::Path;

use halfglass_report::block::FigureId;

use crate::args::FigureArgs;
use crate::failure::Failure;
use crate::{batch, output};

pub(crate) fn run(args: &FigureArgs) -> Result<(), Failure> {
    let Some(id) = FigureId::ALL.into_iter().find(|id| id.stem() == args.name) else {
        return Err(Failure::Usage {
            what: format!("there is no figure `{}`", args.name),
            help: "see --help".into(),
        });
    };
    batch::each(std::slice::from_ref(&args.file), false, |_, worked| {
        let svg = halfglass_figure::svg(
            id,
            &worked.the_loop,
            &worked.sheets,
            &worked.units(args.units),
        );
        if args.output == Path::new("-") {
            output::print(&svg)
        } else {
            output::write_file(&args.output, svg.as_bytes())
        }
    })
}
