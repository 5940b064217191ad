//! How a command ends badly: the input has problems (1), the call is wrong (2), the machine failed (3).

use std::path::PathBuf;
use std::process::ExitCode;

/// Why a command did not do its work.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The input has problems; they are printed already.
    Input,
    /// The call is wrong.
    Usage {
        /// What is wrong.
        what: String,
        /// What to type instead.
        help: String,
    },
    /// The machine failed at a path.
    Machine {
        /// What was being done.
        doing: &'static str,
        /// Where.
        path: PathBuf,
        /// What the machine said.
        error: std::io::Error,
    },
    /// A part of halfglass failed where it should not.
    Internal {
        /// What failed, with its words.
        what: String,
    },
    /// Whoever read our output has closed it: nothing to say.
    ClosedPipe,
}

impl Failure {
    /// Prints the failure and gives the exit status.
    pub(crate) fn report(self) -> ExitCode {
        match self {
            Failure::Input => ExitCode::from(1),
            Failure::Usage { what, help } => {
                anstream::eprintln!("error: {what}\n  = help: {help}");
                ExitCode::from(2)
            }
            Failure::Machine { doing, path, error } => {
                anstream::eprintln!("error: {doing} {} failed: {error}", path.display());
                ExitCode::from(3)
            }
            Failure::Internal { what } => {
                anstream::eprintln!(
                    "error: {what}\n  = help: this is a defect of halfglass; please report it with the loop file"
                );
                ExitCode::from(3)
            }
            Failure::ClosedPipe => ExitCode::SUCCESS,
        }
    }
}
