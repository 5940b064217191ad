//! Every problem a loop file can have: its code, and the place it points at.
//!
//! Common practice: a case changes one thing in a sound file, as a slip of pen or keyboard would.

use std::collections::BTreeSet;

use halfglass_loopfile::{Problem, line_and_column, read};

const BOILER: &str = include_str!("fixtures/boiler.toml");
const TANK: &str = include_str!("fixtures/tank.toml");
const WORKS: &str = concat!(
    include_str!("fixtures/boiler.toml"),
    include_str!("fixtures/water-and-wires.toml")
);
const WATER_AND_WIRES: &str = include_str!("fixtures/slips-of-water-and-wires.txt");
const IN_ONE_KEY: &str = include_str!("fixtures/slips-in-one-key.txt");
const BETWEEN_KEYS: &str = include_str!("fixtures/slips-between-keys.txt");

/// One slip, see the head of the files.
struct Case {
    base: &'static str,
    from: String,
    to: String,
    code: &'static str,
    at: &'static str,
    others: Vec<&'static str>,
}

fn cases(table: &'static str) -> Vec<Case> {
    table
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(|line| {
            let fields: Vec<_> = line.split('|').map(str::trim).collect();
            let [base, from, to, code, at, others] = fields[..] else {
                panic!("six fields: {line}")
            };
            Case {
                base: match base {
                    "tank" => TANK,
                    "works" => WORKS,
                    _ => BOILER,
                },
                from: from.replace("\\n", "\n"),
                to: to.replace("\\n", "\n"),
                code,
                at,
                others: others
                    .split('&')
                    .map(str::trim)
                    .filter(|other| !other.is_empty())
                    .collect(),
            }
        })
        .collect()
}

fn changed(case: &Case) -> String {
    let base = case.base;
    if case.from.is_empty() {
        return format!("{base}\n{}\n", case.to);
    }
    assert!(
        base.contains(&case.from),
        "`{}` is not in the file",
        case.from
    );
    base.replacen(&case.from, &case.to, 1)
}

fn at<'t>(text: &'t str, span: &std::ops::Range<usize>) -> &'t str {
    text.get(span.clone()).expect("a span of the file")
}

fn told(text: &str, problems: &[Problem]) -> String {
    problems
        .iter()
        .map(|problem| {
            let (line, column) = line_and_column(text.as_bytes(), problem.primary.span.start);
            format!(
                "{line}:{column} {problem} at `{}`",
                at(text, &problem.primary.span)
            )
        })
        .collect::<Vec<_>>()
        .join("\n")
}

#[track_caller]
fn check(case: &Case) {
    let text = changed(case);
    let Err(problems) = read(text.as_bytes()) else {
        panic!("{} -> {}: no problem", case.from, case.to)
    };
    let all = told(&text, &problems);
    let problem = problems
        .iter()
        .find(|problem| problem.code == case.code && at(&text, &problem.primary.span) == case.at)
        .unwrap_or_else(|| {
            panic!(
                "{} -> {}: no {} at `{}` in\n{all}",
                case.from, case.to, case.code, case.at
            )
        });
    let others: Vec<_> = problem
        .secondary
        .iter()
        .map(|label| at(&text, &label.span))
        .collect();
    assert_eq!(others, case.others, "{} -> {}\n{all}", case.from, case.to);
    assert!(
        !problem.message.ends_with('.') && !problem.message.contains('\n'),
        "{all}"
    );
    assert!(!problem.primary.text.is_empty(), "{all}");
    // Every problem has a way out, and speaks no more exactly than a person measures.
    for problem in &problems {
        assert!(problem.help.is_some(), "no help: {problem}");
        let has_tail = problem
            .message
            .split(|c: char| !c.is_ascii_digit())
            .any(|digits| digits.len() > 8);
        assert!(!has_tail, "{problem}");
    }
}

#[test]
fn practice_the_base_files_are_sound() {
    for base in [BOILER, TANK, WORKS] {
        read(base.as_bytes()).unwrap_or_else(|problems| panic!("{}", told(base, &problems)));
    }
}

#[test]
fn practice_slips_in_one_key() {
    cases(IN_ONE_KEY).iter().for_each(check);
}

#[test]
fn practice_slips_between_keys() {
    cases(BETWEEN_KEYS).iter().for_each(check);
}

#[test]
fn practice_slips_of_water_and_wires() {
    cases(WATER_AND_WIRES).iter().for_each(check);
}

/// Codes written in the sources: each must have a case, so that no problem goes untested.
#[test]
fn practice_every_code_has_a_case() {
    let mut written = BTreeSet::new();
    let mut folders = vec![std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let source = std::fs::read_to_string(&path).unwrap();
            for opening in [
                "Problem::new(",
                "core_refusal(",
                "check_below(",
                "=> (",
                "=> \"",
                "code = if ",
            ] {
                for rest in source.split(opening).skip(1) {
                    let literal = match opening {
                        "=> \"" => rest.split('"').next(),
                        _ => rest
                            .trim_start()
                            .strip_prefix('"')
                            .and_then(|rest| rest.split('"').next()),
                    };
                    let is_code = |text: &&str| {
                        text.contains('-')
                            && text.len() > 8
                            && text
                                .chars()
                                .all(|c| c.is_ascii_lowercase() || c == '-' || c.is_ascii_digit())
                    };
                    // Problems of a scenario file and of a test's record have their cases beside their readers.
                    let in_scope = !path.ends_with("keys/mod.rs")
                        && !path.ends_with("src/scenario.rs")
                        && !path.ends_with("src/trend.rs")
                        && !path.components().any(|part| part.as_os_str() == "trend")
                        && (opening != "=> \"" || path.ends_with("quantity_text/mod.rs"));
                    if in_scope && let Some(code) = literal.filter(is_code) {
                        written.insert(code.to_owned());
                    }
                }
            }
        }
    }
    assert!(written.len() > 60, "the scan finds the codes: {written:?}");
    let mut cased: BTreeSet<&str> = cases(IN_ONE_KEY)
        .iter()
        .chain(&cases(BETWEEN_KEYS))
        .chain(&cases(WATER_AND_WIRES))
        .map(|case| case.code)
        .collect();
    // Tested by functions of their own in `bytes.rs`.
    cased.extend(["file-too-large", "not-utf-8", "nesting-too-deep"]);
    // Only a defect of the program can bring these.
    cased.extend(["gain-implausible", "loop-incomplete"]);
    let untested: Vec<_> = written
        .iter()
        .filter(|code| !cased.contains(code.as_str()))
        .collect();
    assert!(untested.is_empty(), "{untested:?}");
}

#[test]
fn practice_near_misses_are_suggested() {
    for (from, to, help) in [
        ("set-point =", "setpoint =", "did you mean `set-point`?"),
        ("pot-lip =", "pot-lipp =", "did you mean `pot-lip`?"),
        ("[pressures]", "[presures]", "did you mean `pressures`?"),
        ("[controller]", "[control]", "did you mean `controller`?"),
        (
            "kind = \"shell-boiler\"",
            "kind = \"shell boiler\"",
            "did you mean `shell-boiler`?",
        ),
        (
            "[glass]",
            "[glass]\npot-lip = \"3 in\"",
            "it belongs in [reference-leg]",
        ),
    ] {
        let text = BOILER.replacen(from, to, 1);
        let problems = read(text.as_bytes()).unwrap_err();
        assert!(
            problems
                .iter()
                .any(|one| one.help.as_deref().is_some_and(|text| text.contains(help))),
            "{to}: {}",
            told(&text, &problems)
        );
    }
}

#[test]
fn practice_all_problems_come_at_once_in_the_order_of_the_file() {
    let text = BOILER
        .replacen("altitude = \"650 ft\"", "altitude = \"650\"", 1)
        .replacen("pot-lip = \"31 in\"", "pot-lip = \"29 in\"", 1)
        .replacen("normal = \"125 psi(g)\"", "normal = \"125 psi\"", 1)
        .replacen("set-point = \"15 in\"", "set-point = \"45 in\"", 1)
        .replacen("reset = \"80 s/repeat\"", "resett = \"80 s/repeat\"", 1);
    let problems = read(text.as_bytes()).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    for code in [
        "unit-missing",
        "pot-lip-under-upper-tap",
        "unit-ambiguous",
        "set-point-outside-taps",
        "set-point-outside-glass",
        "limits-out-of-order",
        "key-unknown",
    ] {
        assert!(codes.contains(&code), "{code} not in {codes:?}");
    }
    let places: Vec<_> = problems
        .iter()
        .map(|problem| problem.primary.span.start)
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn practice_line_and_column_of_a_problem() {
    let text = "[loop]\ntag = \"A\"\nunits = \"uss\"\n";
    let problems = read(text.as_bytes()).unwrap_err();
    let place = |code: &str| {
        let problem = problems
            .iter()
            .find(|problem| problem.code == code)
            .unwrap();
        line_and_column(text.as_bytes(), problem.primary.span.start)
    };
    assert_eq!(place("word-unknown"), (3, 9));
    assert_eq!(place("key-missing"), (1, 1));
    assert_eq!(place("section-missing"), (3, 14));
}

/// One slip, one problem: what was meant is taken as there, and a misnamed section is still read.
#[test]
fn practice_a_near_miss_is_told_once() {
    for (from, to, codes) in [
        ("set-point =", "setpoint =", &["key-unknown"][..]),
        ("[pressures]", "[presures]", &["section-unknown"]),
        (
            "[cell]\nbelow-lower-tap = \"3 ft",
            "[cel]\nbelow-lower-tap = \"3 foot",
            &["section-unknown", "unit-unknown"],
        ),
    ] {
        let text = BOILER.replacen(from, to, 1);
        let problems = read(text.as_bytes()).unwrap_err();
        let found: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(found, codes, "{}", told(&text, &problems));
    }
}

/// Single brackets on a repeated section are told once for each header, not once for each key under it.
#[test]
fn practice_single_brackets_are_told_once() {
    for (text, codes) in [
        (
            BOILER.replace("[[duty]]", "[duty]"),
            &["section-header", "section-header"][..],
        ),
        (
            BOILER.replacen("[[duty]]", "[duty]", 2),
            &["section-header", "section-header"],
        ),
        (
            BOILER.replacen("[[duty]]", "[duty]", 1),
            &["section-header", "section-header"],
        ),
        (
            BOILER.replacen(
                "[[person]]",
                "[instrument]\nname = \"A\"\nname = \"B\"\n[[person]]",
                1,
            ),
            &[
                "key-twice",
                "section-header",
                "section-header",
                "section-header",
            ],
        ),
        (
            BOILER
                .replace("[[person]]", "[person]")
                .replacen("tag =", "tag = \"twice\"\ntag =", 1),
            &["key-twice", "section-header", "section-header"],
        ),
    ] {
        let problems = read(text.as_bytes()).unwrap_err();
        let found: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(found, codes, "{}", told(&text, &problems));
    }
}

/// A message as a colleague would put it, whole.
#[test]
fn regression_messages_read_well() {
    let text = BOILER.replacen("pot-lip = \"31 in\"", "pot-lip = \"29 in\"", 1);
    let problem = &read(text.as_bytes()).unwrap_err()[0];
    assert_eq!(
        problem.to_string(),
        "error[pot-lip-under-upper-tap]: `elevations.upper-tap` at 30 in is above `reference-leg.pot-lip` at 29 in"
    );
    let text = BOILER.replacen("normal = \"125 psi(g)\"", "normal = \"125 psi\"", 1);
    let problem = &read(text.as_bytes()).unwrap_err()[0];
    assert_eq!(
        problem.to_string(),
        "error[unit-ambiguous]: `pressures.normal`: `125 psi` leaves open whether it is gauge or absolute"
    );
    assert_eq!(
        problem.help.as_deref(),
        Some("did you mean `psi(g)` or `psi(a)`?")
    );
}
