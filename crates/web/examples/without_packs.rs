//! The workbench without the typesetter, for work on its pages: `cargo run -p halfglass-web --example without_packs -- FOLDER PORT`.

use std::error::Error;
use std::path::PathBuf;

use halfglass_folder::Folder;
use halfglass_web::{Listen, Workbench, serve};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "examples".into()));
    let port: u16 = arguments.next().map_or(Ok(4611), |port| port.parse())?;
    let bench = Workbench::new(
        Folder::open(&folder)?,
        Box::new(|_| Err("packs are printed by the halfglass binary only".into())),
    );
    serve(bench, &Listen::loopback(port), |serving| {
        println!("{}", serving.url);
    })?;
    Ok(())
}
