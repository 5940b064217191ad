//! How a command ends badly: the input has problems or what stops the work (1), the call is wrong (2), the machine failed (3).

use std::path::PathBuf;
use std::process::ExitCode;

/// Why a command did not do its work.
#[derive(Debug)]
pub(crate) enum Failure {
    /// All has been said already; this is the exit status.
    Told {
        /// Exit status.
        status: u8,
    },
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
    /// What is wrong, one line.
    pub(crate) fn words(&self) -> String {
        match self {
            Failure::Told { .. } | Failure::ClosedPipe => String::new(),
            Failure::Usage { what, .. } | Failure::Internal { what } => what.clone(),
            Failure::Machine { doing, path, error } => {
                format!("{doing} {} failed: {error}", path.display())
            }
        }
    }

    /// Prints what is wrong and the way out.
    pub(crate) fn print(&self) {
        let help = match self {
            Failure::Told { .. } | Failure::ClosedPipe => return,
            Failure::Usage { help, .. } => help.as_str(),
            Failure::Machine { .. } => "",
            Failure::Internal { .. } => {
                "this is a defect of halfglass; please report it with the loop file"
            }
        };
        anstream::eprintln!("error: {}", self.words());
        if !help.is_empty() {
            anstream::eprintln!("  = help: {help}");
        }
    }

    /// Prints the failure and gives the exit status.
    pub(crate) fn report(self) -> ExitCode {
        self.print();
        match self {
            Failure::Told { status } => ExitCode::from(status),
            Failure::Usage { .. } => ExitCode::from(2),
            Failure::Machine { .. } | Failure::Internal { .. } => ExitCode::from(3),
            Failure::ClosedPipe => ExitCode::SUCCESS,
        }
    }
}
