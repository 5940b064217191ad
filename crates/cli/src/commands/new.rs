//! `halfglass new`: a commented loop file, by questions on a terminal or by flags in a script.

mod interview;

use std::io::IsTerminal as _;
use std::path::Path;

use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_loopfile::new::{Answers, commented_file};

use crate::args::{Kind, NewArgs, Units};
use crate::failure::Failure;
use crate::input::{NoSheets, Source};
use crate::{output, problems};

pub(crate) fn run(args: &NewArgs) -> Result<(), Failure> {
    if is_in_the_way(args, &args.file) {
        return Err(Failure::Usage {
            what: format!("{} is there already", args.file.display()),
            help: "choose another name, or replace it with --force".into(),
        });
    }
    let asks =
        !args.no_questions && std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
    if asks {
        interview::begin();
    }
    // Answers of half an hour are not to scroll off a screen.
    let file = if asks && !is_file(&args.file) && std::io::stdout().is_terminal() {
        interview::file(|file| is_in_the_way(args, file))?
    } else {
        args.file.clone()
    };
    if is_file(&file) {
        output::check_target(&file)?;
    }
    let kind = match args.kind {
        Some(kind) => kind,
        None if asks => interview::choice(
            "Which vessel?",
            &[
                ("shell-boiler", "fire-tube boiler", Kind::ShellBoiler),
                (
                    "drum-boiler",
                    "water-tube boiler's steam drum",
                    Kind::DrumBoiler,
                ),
                ("deaerator", "deaerator storage", Kind::Deaerator),
                ("vented-tank", "tank open to the air", Kind::VentedTank),
            ],
            None,
        )?,
        None => {
            return Err(Failure::Usage {
                what: "the kind of vessel is not given".into(),
                help: "say --kind shell-boiler, drum-boiler, deaerator or vented-tank".into(),
            });
        }
    };
    let units = match args.units {
        Some(units) => units,
        None if asks => interview::choice(
            "Which units?",
            &[
                ("us", "in, psi(g), degF", Units::Us),
                ("si", "mm, bar(g), degC", Units::Si),
            ],
            Some("si"),
        )?,
        None => Units::Si,
    };
    let mut answers = Answers::new(
        match kind {
            Kind::ShellBoiler => VesselKind::ShellBoiler,
            Kind::DrumBoiler => VesselKind::DrumBoiler,
            Kind::Deaerator => VesselKind::Deaerator,
            Kind::VentedTank => VesselKind::VentedTank,
        },
        match units {
            Units::Us => UnitSystem::Us,
            Units::Si => UnitSystem::Si,
        },
    );
    set_all(&mut answers, &args.set)?;
    if asks {
        interview::all(&mut answers)?;
    }
    let text = commented_file(&answers);
    if is_file(&file) {
        output::write_file(&file, text.as_bytes())?;
    } else {
        output::print(&text)?;
    }
    tell_what_is_left(&file, text)
}

/// `-` is standard output.
fn is_file(path: &Path) -> bool {
    path != Path::new("-")
}

fn is_in_the_way(args: &NewArgs, file: &Path) -> bool {
    is_file(file) && file.exists() && !args.force
}

/// Reads the new file as `check` would, so that answers that contradict each other are told while the survey is at hand.
fn tell_what_is_left(file: &Path, text: String) -> Result<(), Failure> {
    let source = Source {
        name: if is_file(file) {
            file.display().to_string()
        } else {
            "the new file".into()
        },
        path: None,
        bytes: text.into_bytes(),
    };
    match source.read() {
        Ok(_) if !is_file(file) => Ok(()),
        Ok(described) => {
            let name = &source.name;
            match described.placeholders.len() {
                0 => anstream::eprintln!("{name} written. Next:\n  halfglass check {name}"),
                count => anstream::eprintln!(
                    "{name} written. It is a draft: {count} value{} marked `invented: replace` {}.\nReplace with the survey's and take the marks away, then run\n  halfglass check {name}",
                    if count == 1 { "" } else { "s" },
                    if count == 1 {
                        "is an example"
                    } else {
                        "are examples"
                    },
                ),
            }
            Ok(())
        }
        Err(found) => {
            anstream::eprintln!(
                "{} written, but its values do not go together:\n",
                source.name
            );
            problems::report(&source, &NoSheets::Problems(found), false)?;
            Err(Failure::Told { status: 1 })
        }
    }
}

/// Sets every pair; what is wrong with any is told at once.
fn set_all(answers: &mut Answers, pairs: &[String]) -> Result<(), Failure> {
    let units = answers.units;
    let mut wrong: Vec<String> = pairs
        .iter()
        .filter_map(|pair| match pair.split_once('=') {
            Some((path, text)) => set(answers, path.trim(), text.trim()).err(),
            None => Some(format!(
                "`{pair}` has no `=`; write it as --set elevations.upper-tap=\"{}\"",
                match units {
                    UnitSystem::Us => "30 in",
                    UnitSystem::Si => "760 mm",
                }
            )),
        })
        .collect();
    if wrong.is_empty() {
        return Ok(());
    }
    let what = if wrong.len() == 1 {
        wrong.remove(0)
    } else {
        format!(
            "{} of the values given with --set are wrong:\n  - {}",
            wrong.len(),
            wrong.join("\n  - ")
        )
    };
    Err(Failure::Usage {
        what,
        help: "`halfglass schema` lists every path and what it takes".into(),
    })
}

fn set(answers: &mut Answers, path: &str, text: &str) -> Result<(), String> {
    answers
        .set(path, text)
        .map_err(|problem| problem.to_string())
}
