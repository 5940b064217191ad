//! What can be typed on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Automatic feedwater control on steam vessels: from a loop file to sheets and a commissioning pack.
#[derive(Debug, Parser)]
#[command(
    name = "halfglass",
    version,
    about,
    after_help = "Exit status: 0 fine; 1 the input has problems (all are printed), or `check` finds what stops the work; 2 usage; 3 the machine failed (disk, permissions).\n\
                  Low-water cutoffs and high-level trips are independent of the loop and are proved independently; no reading of the loop vouches for them."
)]
pub(crate) struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a commented loop file: asks on a terminal, or takes flags in a script
    New(NewArgs),
    /// Check loop files: problems and findings only
    ///
    /// Exit status 1 when a file has problems or a finding of severity STOP stands, as in a draft whose values are still
    /// marked `invented: replace`; warnings and notes leave it 0.
    Check(CheckArgs),
    /// Print the sheets
    Sheet(SheetArgs),
    /// Write the commissioning pack as PDF
    Pack(PackArgs),
    /// Write one figure as SVG
    Figure(FigureArgs),
    /// Run the loop through a scenario: what level, panel, glass and valve would do (SIMULATION)
    ///
    /// A scenario is a small text file, or one that comes with the program: see --list. What is shown is a model's
    /// answer, never a reading; nothing in it vouches for a low-water cutoff.
    Simulate(SimulateArgs),
    /// Prove the tuning window by simulation: the slowest settings that hold, what limits, what would help (SIMULATION)
    ///
    /// Settings from slow to fast go through the largest load change at every duty point, with what nobody measures at its
    /// ends and at random between them.
    Tune(TuneArgs),
    /// Open the workbench: a folder of loop files in the browser
    ///
    /// Runs until Ctrl-C and prints the address to open. Only this computer can reach it unless --listen names another
    /// address; then it asks for a pass-code, and encrypts only with --tls-cert and --tls-key. It writes into the folder
    /// and nowhere else: loop files, and their versions, the trash and a lock in `.halfglass`.
    Serve(ServeArgs),
    /// Print the JSON Schema of the loop file, for editors
    Schema,
    /// Print a shell's completion script
    Completions {
        /// Which shell
        #[arg(ignore_case = true)]
        shell: clap_complete::Shell,
    },
    /// Write the manual pages (man, section 1) into a folder
    Man {
        /// Folder, made if missing
        folder: PathBuf,
    },
}

/// Kind of vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    /// Fire-tube boiler
    ShellBoiler,
    /// Water-tube boiler's steam drum
    DrumBoiler,
    /// Deaerator storage
    Deaerator,
    /// Tank open to the air
    VentedTank,
}

/// Units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// in, psi(g), degF, lb/h
    Us,
    /// mm, bar(g), degC, kg/h
    Si,
}

/// Paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperSize {
    /// 8.5 in by 11 in
    Letter,
    /// 210 mm by 297 mm
    A4,
}

#[derive(Debug, Args)]
pub(crate) struct NewArgs {
    /// File to write; `-` prints it
    #[arg(default_value = "-")]
    pub(crate) file: PathBuf,
    /// Kind of vessel (asked on a terminal when left out)
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) kind: Option<Kind>,
    /// Units of the example values and the sheets
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
    /// A value by its path, for instance `--set elevations.upper-tap="30 in"` or `="760 mm"`; repeat as needed. Blocks are counted from 1:
    /// `--set "duty[2].outflow=6000 lb/h"` writes a second duty, whose other values then stand in the file as marked examples
    #[arg(long = "set", value_name = "PATH=TEXT")]
    pub(crate) set: Vec<String>,
    /// Do not ask, even on a terminal
    #[arg(long)]
    pub(crate) no_questions: bool,
    /// Replace the file if it exists
    #[arg(long)]
    pub(crate) force: bool,
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// Loop files; `-` reads standard input
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// Print as JSON, one object a file
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct SheetArgs {
    /// Loop files; `-` reads standard input
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// Only these sheets, comma between them: survey, level-map, range, error-map, glass, uncertainty, feedwater, wiring, settings, tuning, signal-loss, purchase, findings, assumptions, workings
    #[arg(long, value_delimiter = ',', value_name = "SHEETS")]
    pub(crate) only: Vec<String>,
    /// Print in these units instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
    /// Print as JSON in SI, one object a file (a line each when several files are given)
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct PackArgs {
    /// Loop files; `-` reads standard input
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// Where to write: a PDF for one file, a folder for several [default: beside the loop file, `.pdf`]
    #[arg(short, long)]
    pub(crate) output: Option<PathBuf>,
    /// Paper, instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) paper: Option<PaperSize>,
    /// Print in these units instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
}

#[derive(Debug, Args)]
pub(crate) struct FigureArgs {
    /// Loop file; `-` reads standard input
    pub(crate) file: PathBuf,
    /// Which figure
    #[arg(long, default_value = "level-map", value_parser = halfglass_report::block::FigureId::ALL.map(halfglass_report::block::FigureId::stem))]
    pub(crate) name: String,
    /// File to write; `-` prints it
    #[arg(short, long, default_value = "-")]
    pub(crate) output: PathBuf,
    /// Draw in these units instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
}

#[derive(Debug, Args)]
pub(crate) struct SimulateArgs {
    /// Loop file; `-` reads standard input
    #[arg(required_unless_present = "list")]
    pub(crate) file: Option<PathBuf>,
    /// Scenario: the name of one that comes with the program, or a file
    #[arg(default_value = "load-step")]
    pub(crate) scenario: String,
    /// List the scenarios that come with the program
    #[arg(long)]
    pub(crate) list: bool,
    /// Print that scenario's file, to change a copy of it
    #[arg(long)]
    pub(crate) show: bool,
    /// Write the figure as SVG
    #[arg(long, value_name = "FILE")]
    pub(crate) figure: Option<PathBuf>,
    /// Run it so many times more, each time with other values of what nobody measured: the band and the worst draw. The
    /// figure is then that of the bands
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=2000), value_name = "COUNT")]
    pub(crate) draws: Option<u16>,
    /// Seed of the draws: the same seed gives the same draws
    #[arg(long, default_value_t = 1, requires = "draws")]
    pub(crate) seed: u64,
    /// Run it as time goes by behind a Modbus TCP server on this address, for practice and for controllers to be tried;
    /// the registers stand in the manual. Of a scenario with several runs, the first
    #[arg(long, value_name = "ADDRESS:PORT", conflicts_with_all = ["draws", "figure", "csv", "parquet", "json"])]
    pub(crate) serve_modbus: Option<std::net::SocketAddr>,
    /// So many times as fast as time goes by, 0.01 to 1000
    #[arg(long, value_name = "TIMES", default_value_t = 1.0, requires = "serve_modbus", value_parser = speed)]
    pub(crate) speed: f64,
    /// Write the samples as CSV; `-` prints them
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Write the samples as Parquet
    #[arg(long, value_name = "FILE")]
    pub(crate) parquet: Option<PathBuf>,
    /// Print in these units instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
    /// Print as JSON in SI
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct TuneArgs {
    /// Loop file; `-` reads standard input
    pub(crate) file: PathBuf,
    /// Record of a bump test: CSV with a head that names its columns. The process it shows, the settings that follow
    #[arg(long, value_name = "RECORD", group = "record")]
    pub(crate) bump: Option<PathBuf>,
    /// Record of a relay test, CSV likewise
    #[arg(long, value_name = "RECORD", group = "record")]
    pub(crate) relay: Option<PathBuf>,
    /// Readings of a bump test noted by hand: a row each of time, level, output; the output where it changes. `-` reads
    /// them as they are typed, until the end of input
    #[arg(long, value_name = "RECORD", group = "record")]
    pub(crate) readings: Option<PathBuf>,
    /// Column of the record that holds the time
    #[arg(long, value_name = "NAME", requires = "record")]
    pub(crate) time_column: Option<String>,
    /// Column of the record that holds the INDICATED level, percent of span or mA
    #[arg(long, value_name = "NAME", requires = "record")]
    pub(crate) level_column: Option<String>,
    /// Column of the record that holds the controller output, percent or mA
    #[arg(long, value_name = "NAME", requires = "record")]
    pub(crate) output_column: Option<String>,
    /// Duty point at which the test was made; else the one whose computed travel is nearest the output
    #[arg(long, value_name = "NAME", requires = "record")]
    pub(crate) duty: Option<String>,
    /// Write the process into the loop file, where the tuning sheet takes it; wants --date
    #[arg(long, requires = "record")]
    pub(crate) accept: bool,
    /// Date of the test
    #[arg(long, value_name = "DATE", requires = "record")]
    pub(crate) date: Option<String>,
    /// Write the figure of record and fit as SVG
    #[arg(long, value_name = "FILE", requires = "record")]
    pub(crate) figure: Option<PathBuf>,
    /// Random draws of what nobody measures, for the settings picked
    #[arg(long, default_value_t = 60, value_parser = clap::value_parser!(u16).range(1..=2000), value_name = "COUNT")]
    pub(crate) draws: u16,
    /// Seed of the draws: the same seed gives the same draws
    #[arg(long, default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print in these units instead of the loop's
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<Units>,
    /// Print as JSON in SI
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ServeArgs {
    /// Folder of loop files
    #[arg(default_value = ".")]
    pub(crate) folder: PathBuf,
    /// Address and port to listen on; port 0 takes any that is free. 127.0.0.1 answers this computer alone; 0.0.0.0
    /// answers every network that it is on, and like any other address asks for a pass-code
    #[arg(long, default_value = "127.0.0.1:4610", value_name = "ADDRESS:PORT")]
    pub(crate) listen: std::net::SocketAddr,
    /// File that holds the pass-code, 8 characters or more; `-` reads standard input. Also taken from the environment
    /// as HALFGLASS_PASS_CODE. Without either, one is made up and printed where the network can reach the workbench
    #[arg(long, value_name = "FILE")]
    pub(crate) pass_code_file: Option<PathBuf>,
    /// Host name under which browsers may ask for the workbench, beside its addresses and `localhost`; repeat as needed
    #[arg(long, value_name = "NAME")]
    pub(crate) host_name: Vec<String>,
    /// Certificate chain, PEM: with it and its key the traffic is encrypted
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    pub(crate) tls_cert: Option<PathBuf>,
    /// Private key of the certificate, PEM
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    pub(crate) tls_key: Option<PathBuf>,
}

fn speed(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(speed) if (0.01..=1_000.0).contains(&speed) => Ok(speed),
        _ => Err("a number from 0.01 to 1000 is wanted".into()),
    }
}
