//! The questions of `halfglass new` on a terminal: each answer is read, checked against the others, and told back.

use std::io::{BufRead as _, Write as _};
use std::path::{Path, PathBuf};

use halfglass_loopfile::new::{
    Answers, Contradiction, Question, contradictions, questions, understood,
};

use crate::failure::Failure;

/// Goes to the question before.
const BACK: &str = "back";

/// What holds for every question.
pub(super) fn begin() {
    say(
        "Enter takes what stands in [ ]. Ctrl-C quits; no file is written before the last answer.\n",
    );
}

/// Asks where to write.
pub(super) fn file(is_in_the_way: impl Fn(&Path) -> bool) -> Result<PathBuf, Failure> {
    loop {
        say("File to write, for instance boiler-2.toml [default: print it here]: ");
        let line = read_line()?;
        let file = PathBuf::from(if line.is_empty() { "-" } else { line.as_str() });
        if !is_in_the_way(&file) {
            return Ok(file);
        }
        say(&format!("  {} is there already\n", file.display()));
    }
}

/// Asks for one of some named values.
pub(super) fn choice<T: Copy>(
    question: &str,
    choices: &[(&str, &str, T)],
    default: Option<&str>,
) -> Result<T, Failure> {
    say(&format!("{question}\n"));
    for (index, (name, words, _)) in choices.iter().enumerate() {
        say(&format!("  {}  {name}: {words}\n", index + 1));
    }
    loop {
        say(&match default {
            Some(default) => format!("  number or name [default: {default}]: "),
            None => "  number or name: ".to_owned(),
        });
        let line = read_line()?;
        let answer = match default {
            Some(default) if line.is_empty() => default,
            _ => line.as_str(),
        };
        let by_number = answer
            .parse::<usize>()
            .ok()
            .and_then(|number| choices.get(number.wrapping_sub(1)));
        let chosen = by_number.or_else(|| {
            choices
                .iter()
                .find(|(name, _, _)| name.eq_ignore_ascii_case(answer))
        });
        if let Some((name, _, value)) = chosen {
            say(&format!("  = {name}\n"));
            return Ok(*value);
        }
        say(&format!(
            "  please answer 1 to {} or a name above; there is no default\n",
            choices.len()
        ));
    }
}

/// How a question ended.
enum Ended {
    Answered,
    Back,
}

/// Asks each question until the answer reads and goes with the answers before it.
pub(super) fn all(answers: &mut Answers) -> Result<(), Failure> {
    say(&format!(
        "In [ ] stands a default, which the sheets list as an assumption, or an invented example, which is marked in the \
         file and\nmust be replaced. `{BACK}` goes to the question before.\n"
    ));
    let asked = questions(answers.kind, answers.units);
    // What was given with --set is not asked.
    let given: Vec<bool> = asked.iter().map(|one| answers.is_set(one.path)).collect();
    let mut done: Vec<usize> = Vec::new();
    let mut kept: Vec<Contradiction> = Vec::new();
    let is_open = |answers: &Answers, done: &[usize], index: usize| {
        let is_meant = asked[index]
            .only_after
            .is_none_or(|earlier| answers.is_set(earlier));
        is_meant && !given[index] && !done.contains(&index)
    };
    while let Some(mut at) = (0..asked.len()).find(|index| is_open(answers, &done, *index)) {
        while let Ended::Back = one(answers, &asked[at])? {
            match done.pop() {
                Some(before) => at = before,
                None => say("  this is the first question\n"),
            }
        }
        done.push(at);
        settle(answers, &asked, at, &mut kept)?;
    }
    Ok(())
}

/// Asks again while the answers contradict each other, unless both are meant to be kept.
fn settle(
    answers: &mut Answers,
    asked: &[Question],
    last: usize,
    kept: &mut Vec<Contradiction>,
) -> Result<(), Failure> {
    while let Some(found) = contradictions(answers)
        .into_iter()
        .find(|found| !kept.contains(found))
    {
        say(&format!("  These do not go together: {}\n", found.message));
        if let Some(help) = &found.help {
            say(&format!("  {help}\n"));
        }
        // The question just answered first, if it takes part.
        let mut again: Vec<&Question> = found
            .paths
            .iter()
            .filter_map(|path| {
                let bare = path.replace("[1]", "");
                asked.iter().find(|question| question.path == bare)
            })
            .collect();
        again.sort_by_key(|question| question.path != asked[last].path);
        for (index, question) in again.iter().enumerate() {
            let told = understood(answers, question.path).unwrap_or_default();
            say(&format!(
                "  {}  answer again: {} (= {told})\n",
                index + 1,
                question.text
            ));
        }
        say("  number [Enter: keep all; the file will have this problem]: ");
        let line = read_line()?;
        if line.is_empty() {
            kept.push(found);
            continue;
        }
        let chosen = line.parse::<usize>().ok();
        match chosen.and_then(|number| again.get(number.wrapping_sub(1))) {
            Some(question) => {
                one(answers, question)?;
            }
            None => say(&format!("  please answer 1 to {}\n", again.len())),
        }
    }
    Ok(())
}

/// Asks one question until its answer reads. Without an answer the default or the invented example holds, or what was
/// answered before.
fn one(answers: &mut Answers, question: &Question) -> Result<Ended, Failure> {
    say(&format!("{}\n", question.text));
    for (index, choice) in question.choices.iter().enumerate() {
        say(&format!("  {}  {choice}\n", index + 1));
    }
    let before = understood(answers, question.path);
    let prompt = prompt(question, before.as_deref());
    loop {
        say(&prompt);
        let line = read_line()?;
        if line.eq_ignore_ascii_case(BACK) {
            return Ok(Ended::Back);
        }
        if line.is_empty() && before.is_some() {
            return Ok(Ended::Answered);
        }
        if let (true, Some(missed)) = (line.is_empty(), question.missed) {
            say(&format!(
                "  {missed}: answer its height, or `none` if there is none\n"
            ));
            continue;
        }
        let is_none =
            question.default.as_deref() == Some("none") && line.eq_ignore_ascii_case("none");
        if line.is_empty() || is_none {
            answers.take_back(question.path);
            say(&format!("  = {}\n", left_out(question)));
            return Ok(Ended::Answered);
        }
        match answers.set(question.path, question.answer(&line)) {
            Ok(()) => {
                let told = understood(answers, question.path).unwrap_or_default();
                say(&format!("  = {told}\n"));
                return Ok(Ended::Answered);
            }
            Err(problem) => say(&format!("  {problem}\n")),
        }
    }
}

/// What holds without an answer.
fn left_out(question: &Question) -> String {
    match &question.default {
        Some(default) => default.to_string(),
        None => format!("{}, invented and marked: to be replaced", question.example),
    }
}

fn prompt(question: &Question, before: Option<&str>) -> String {
    let kept = match (before, question.missed, &question.default) {
        (Some(before), _, _) => format!("[as answered: {before}]"),
        (None, Some(_), _) => "or none".to_owned(),
        (None, None, Some(default)) => format!("[default: {default}]"),
        (None, None, None) => format!("[invented: {}]", question.example),
    };
    match (question.choices.is_empty(), &question.default) {
        (false, _) => format!("  number or name {kept}: "),
        (true, Some(_)) => format!("  for instance {} {kept}: ", question.example),
        (true, None) => format!("  {kept}: "),
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
