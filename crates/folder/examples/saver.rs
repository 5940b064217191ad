//! Saves two texts in turn over one loop for ever: what `tests/kill.rs` kills. `saver FOLDER NAME FIRST SECOND` says
//! `ready` once it has opened the folder.

use std::error::Error;
use std::fs;
use std::path::Path;

use halfglass_folder::{Folder, LoopName, Saved};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder, name, first, second] = arguments.as_slice() else {
        return Err("saver FOLDER NAME FIRST SECOND".into());
    };
    let texts = [fs::read(first)?, fs::read(second)?];
    let folder = Folder::open(Path::new(folder))?;
    let name = LoopName::new(name)?;
    println!("ready");
    loop {
        for text in &texts {
            let present = folder.read(&name)?.revision;
            if let Saved::ChangedOnDisk(_) = folder.save(&name, text, &present)? {
                return Err("somebody else saved".into());
            }
        }
    }
}
