//! `halfglass new`: a commented loop file, by questions on a terminal or by flags in a script.

use std::io::{BufRead as _, IsTerminal as _, Write as _};
use std::path::Path;

use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_loopfile::new::{Answers, commented_file, questions};

use crate::args::{Kind, NewArgs, Units};
use crate::failure::Failure;
use crate::output;

pub(crate) fn run(args: &NewArgs) -> Result<(), Failure> {
    let to_file = args.file != Path::new("-");
    if to_file && args.file.exists() && !args.force {
        return Err(Failure::Usage {
            what: format!("{} is there already", args.file.display()),
            help: "choose another name, or replace it with --force".into(),
        });
    }
    let asks =
        !args.no_questions && std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
    let kind = match args.kind {
        Some(kind) => kind,
        None if asks => ask_choice(
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
        None if asks => ask_choice(
            "Which units?",
            &[
                ("us", "in, psi(g), degF", Units::Us),
                ("si", "mm, bar(g), degC", Units::Si),
            ],
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
    for pair in &args.set {
        let (path, text) = pair.split_once('=').ok_or_else(|| Failure::Usage {
            what: format!("`{pair}` has no `=`"),
            help: "write it as --set elevations.upper-tap=\"30 in\"".into(),
        })?;
        set(&mut answers, path.trim(), text.trim()).map_err(|what| Failure::Usage {
            what,
            help: "`halfglass schema` lists every path and what it takes".into(),
        })?;
    }
    if asks {
        ask_all(&mut answers)?;
    }
    let text = commented_file(&answers);
    if to_file {
        output::write_file(&args.file, text.as_bytes())?;
        anstream::eprintln!(
            "{} written. Values marked `invented: replace` are examples: replace them with the survey's, then run\n  halfglass check {}",
            args.file.display(),
            args.file.display()
        );
        Ok(())
    } else {
        output::print(&text)
    }
}

fn set(answers: &mut Answers, path: &str, text: &str) -> Result<(), String> {
    answers
        .set(path, text)
        .map_err(|problem| problem.to_string())
}

/// Asks each question until the answer reads; an empty answer keeps the invented example, marked in the file.
fn ask_all(answers: &mut Answers) -> Result<(), Failure> {
    say("An empty answer keeps the example, marked `invented: replace` in the file.\n");
    for question in questions(answers.kind, answers.units) {
        if answers.is_set(question.path) {
            continue;
        }
        loop {
            say(&format!("{} [{}]: ", question.text, question.example));
            let line = read_line()?;
            if line.is_empty() {
                break;
            }
            match set(answers, question.path, &line) {
                Ok(()) => break,
                Err(words) => say(&format!("  {words}\n")),
            }
        }
    }
    Ok(())
}

fn ask_choice<T: Copy>(question: &str, choices: &[(&str, &str, T)]) -> Result<T, Failure> {
    say(&format!("{question}\n"));
    for (index, (name, words, _)) in choices.iter().enumerate() {
        say(&format!("  {}  {name}: {words}\n", index + 1));
    }
    loop {
        say("number or name: ");
        let line = read_line()?;
        let by_number = line
            .parse::<usize>()
            .ok()
            .and_then(|number| choices.get(number.wrapping_sub(1)));
        let chosen = by_number.or_else(|| choices.iter().find(|(name, _, _)| *name == line));
        if let Some((_, _, value)) = chosen {
            return Ok(*value);
        }
        say(&format!(
            "  please answer 1 to {} or a name above\n",
            choices.len()
        ));
    }
}

fn say(words: &str) {
    anstream::eprint!("{words}");
    // A prompt that cannot be flushed shows with the next one; the answer is read all the same.
    let _ = std::io::stderr().flush();
}

fn read_line() -> Result<String, Failure> {
    let mut line = String::new();
    let read = std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(|error| Failure::Machine {
            doing: "reading",
            path: "the terminal".into(),
            error,
        })?;
    if read == 0 {
        return Err(Failure::Usage {
            what: "the answers ended before the questions did; no file was written".into(),
            help: "give the rest as --set PATH=TEXT, or use --no-questions".into(),
        });
    }
    Ok(line.trim().to_owned())
}
