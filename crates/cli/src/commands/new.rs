//! `halfglass new`: a commented loop file, by questions on a terminal or by flags in a script.

use std::io::{BufRead as _, IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};

use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_loopfile::new::{Answers, Question, commented_file, questions};

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
    // Answers of half an hour are not to scroll off a screen.
    let file = if asks && !is_file(&args.file) && std::io::stdout().is_terminal() {
        ask_file(args)?
    } else {
        args.file.clone()
    };
    if is_file(&file) {
        output::check_target(&file)?;
    }
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
    set_all(&mut answers, &args.set)?;
    if asks {
        ask_all(&mut answers)?;
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

fn ask_file(args: &NewArgs) -> Result<PathBuf, Failure> {
    loop {
        say("File to write, for instance boiler-2.toml [default: print it here]: ");
        let line = read_line()?;
        let file = PathBuf::from(if line.is_empty() { "-" } else { line.as_str() });
        if !is_in_the_way(args, &file) {
            return Ok(file);
        }
        say(&format!("  {} is there already\n", file.display()));
    }
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
    let mut wrong: Vec<String> = pairs
        .iter()
        .filter_map(|pair| match pair.split_once('=') {
            Some((path, text)) => set(answers, path.trim(), text.trim()).err(),
            None => Some(format!(
                "`{pair}` has no `=`; write it as --set elevations.upper-tap=\"30 in\""
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

/// Asks each question until the answer reads. An empty answer keeps the default, or the invented example.
fn ask_all(answers: &mut Answers) -> Result<(), Failure> {
    say(
        "In [ ] stands what an empty answer keeps: a default, which the sheets list as an assumption, or an invented\n\
         example, which is marked in the file and must be replaced.\n",
    );
    for question in questions(answers.kind, answers.units) {
        let is_skipped = question
            .only_after
            .is_some_and(|earlier| !answers.is_set(earlier));
        if is_skipped || answers.is_set(question.path) {
            continue;
        }
        say(&format!("{}\n", question.text));
        for (index, choice) in question.choices.iter().enumerate() {
            say(&format!("  {}  {choice}\n", index + 1));
        }
        let prompt = prompt(&question);
        loop {
            say(&prompt);
            let line = read_line()?;
            if line.is_empty() {
                break;
            }
            match set(answers, question.path, question.answer(&line)) {
                Ok(()) => break,
                Err(words) => say(&format!("  {words}\n")),
            }
        }
    }
    Ok(())
}

fn prompt(question: &Question) -> String {
    let kept = match question.default {
        Some(default) => format!("[default: {default}]"),
        None => format!("[invented: {}]", question.example),
    };
    match (question.choices.is_empty(), question.default) {
        (false, _) => format!("  number or name {kept}: "),
        (true, Some(_)) => format!("  for instance {} {kept}: ", question.example),
        (true, None) => format!("  {kept}: "),
    }
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
        let chosen = by_number.or_else(|| {
            choices
                .iter()
                .find(|(name, _, _)| name.eq_ignore_ascii_case(&line))
        });
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
