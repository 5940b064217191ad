//! Loop files from disk or standard input, read whole and checked whole.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::design::{Sheets, design};
use halfglass_loopfile::Problem;
use halfglass_report::units::DisplayUnits;
use sha2::{Digest as _, Sha256};

use crate::args::Units;
use crate::failure::Failure;

/// One byte past the loop file's own limit is enough for it to say that the file is too large.
const MOST_BYTES: u64 = halfglass_loopfile::LARGEST_FILE_BYTES as u64 + 1;

/// Refuses standard input given twice: the second would be read as empty.
pub(crate) fn check_files(files: &[PathBuf]) -> Result<(), Failure> {
    if files
        .iter()
        .filter(|path| path.as_path() == Path::new("-"))
        .count()
        > 1
    {
        return Err(Failure::Usage {
            what: "`-` is given more than once, but there is one standard input".into(),
            help: "give each loop file by its name".into(),
        });
    }
    Ok(())
}

/// A loop file's bytes and what they are called.
pub(crate) struct Source {
    /// Name as printed; `standard input` for `-`.
    pub(crate) name: String,
    /// Where it lies; `None` for standard input.
    pub(crate) path: Option<PathBuf>,
    /// The bytes.
    pub(crate) bytes: Vec<u8>,
}

impl Source {
    /// Reads a file, or standard input for `-`.
    pub(crate) fn open(path: &Path) -> Result<Self, Failure> {
        let machine = |error| Failure::Machine {
            doing: "reading",
            path: path.to_owned(),
            error,
        };
        let mut bytes = Vec::new();
        if path == Path::new("-") {
            std::io::stdin()
                .take(MOST_BYTES)
                .read_to_end(&mut bytes)
                .map_err(machine)?;
            return Ok(Self {
                name: "standard input".into(),
                path: None,
                bytes,
            });
        }
        let file = std::fs::File::open(path).map_err(machine)?;
        file.take(MOST_BYTES)
            .read_to_end(&mut bytes)
            .map_err(machine)?;
        Ok(Self {
            name: path.display().to_string(),
            path: Some(path.to_owned()),
            bytes,
        })
    }

    /// SHA-256 of the bytes, hexadecimal.
    pub(crate) fn sha256(&self) -> String {
        Sha256::digest(&self.bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect()
    }

    /// File name without folders, for print.
    pub(crate) fn short_name(&self) -> String {
        self.path.as_deref().and_then(Path::file_name).map_or_else(
            || self.name.clone(),
            |name| name.to_string_lossy().into_owned(),
        )
    }

    /// The loop, or every problem with it.
    pub(crate) fn read(&self) -> Result<Loop, Vec<Problem>> {
        halfglass_loopfile::read(&self.bytes)
    }
}

/// A loop and its sheets.
pub(crate) struct Worked {
    /// The file.
    pub(crate) source: Source,
    /// The loop.
    pub(crate) the_loop: Loop,
    /// Its sheets.
    pub(crate) sheets: Sheets,
}

/// Why a file gave no sheets.
pub(crate) enum NoSheets {
    /// The file has problems.
    Problems(Vec<Problem>),
    /// The described loop cannot be computed.
    Design(String),
}

impl Worked {
    /// Reads and computes; the source comes back with the reason where that fails.
    pub(crate) fn from_source(source: Source) -> Result<Self, (Source, NoSheets)> {
        let the_loop = match source.read() {
            Ok(the_loop) => the_loop,
            Err(problems) => return Err((source, NoSheets::Problems(problems))),
        };
        match design(&the_loop) {
            Ok(sheets) => Ok(Self {
                source,
                the_loop,
                sheets,
            }),
            Err(error) => Err((source, NoSheets::Design(error.to_string()))),
        }
    }

    /// Units to print in: the loop's, or those asked for.
    pub(crate) fn units(&self, asked: Option<Units>) -> DisplayUnits {
        let units = DisplayUnits::of(&self.the_loop);
        match asked {
            None => units,
            Some(Units::Us) => units.with_system(UnitSystem::Us),
            Some(Units::Si) => units.with_system(UnitSystem::Si),
        }
    }
}
