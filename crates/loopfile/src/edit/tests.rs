//! Proofs of editing: what is not touched stays byte for byte, and problems find their key.

use halfglass_core::description::{UnitSystem, VesselKind};

use super::*;
use crate::keys::{self, Kind};
use crate::new::{Answers, commented_file};
use crate::read;

/// The examples, the fixtures, and the files of new loops.
fn files() -> Vec<(String, String)> {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    let mut files = Vec::new();
    for folder in ["examples", "crates/loopfile/tests/fixtures"] {
        for entry in std::fs::read_dir(format!("{root}/{folder}")).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "toml") {
                let name = path.file_name().unwrap().to_string_lossy().into_owned();
                files.push((name, std::fs::read_to_string(path).unwrap()));
            }
        }
    }
    for kind in [
        VesselKind::ShellBoiler,
        VesselKind::DrumBoiler,
        VesselKind::Deaerator,
        VesselKind::VentedTank,
    ] {
        for units in [UnitSystem::Us, UnitSystem::Si] {
            let name = format!("new {kind:?} {units:?}");
            files.push((name, commented_file(&Answers::new(kind, units))));
        }
    }
    assert!(files.len() >= 16);
    files
}

/// Two of them that differ most: lists by lines and remarks in columns, and examples in remarks with marks.
fn two_files() -> Vec<(String, String)> {
    let is_one = |name: &str| matches!(name, "inherited-cold-range.toml" | "new DrumBoiler Us");
    let files: Vec<_> = files()
        .into_iter()
        .filter(|(name, _)| is_one(name))
        .collect();
    assert_eq!(files.len(), 2);
    files
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

/// True when one text is the other with lines added, wherever.
fn is_with_lines_added(longer: &str, shorter: &str) -> bool {
    let mut longer = lines(longer).into_iter();
    lines(shorter)
        .into_iter()
        .all(|line| longer.any(|other| other == line))
}

/// Lines that change when all of a value does: one, or one an item of a list that has a line for each.
fn value_lines(text: &str, standing: &Standing) -> usize {
    match &standing.items {
        Some(items) if text[standing.span.clone().unwrap()].contains('\n') => items.texts.len(),
        _ => 1,
    }
}

/// Another value of the kind, in the terms of a person.
fn another(kind: Kind, shown: &str) -> String {
    match kind {
        Kind::Word(words) => words
            .iter()
            .find(|word| **word != shown)
            .map_or_else(|| "odd".to_owned(), |word| (*word).to_owned()),
        Kind::Bool => (shown != "true").to_string(),
        Kind::Integer(..) | Kind::Ratio => "17".to_owned(),
        kind if kind.is_list() => shown
            .lines()
            .map(|line| format!("{line} x\"\\"))
            .collect::<Vec<_>>()
            .join("\n"),
        _ => format!("{shown} x\"\\"),
    }
}

#[test]
fn property_a_value_set_to_itself_leaves_every_byte() {
    for (name, text) in files() {
        for standing in values(&text).unwrap().standing() {
            if let Some(shown) = &standing.text {
                assert_eq!(
                    set(&text, &standing.path, shown).unwrap(),
                    text,
                    "{name} {}",
                    standing.path
                );
            }
        }
    }
}

#[test]
fn property_set_and_set_back_restores_and_touches_one_line() {
    for (name, text) in two_files() {
        for standing in values(&text).unwrap().standing() {
            let Some(shown) = &standing.text else {
                continue;
            };
            let path = &standing.path;
            let typed = another(standing.key.kind, shown);
            let changed = set(&text, path, &typed).unwrap();
            assert_ne!(changed, text, "{name} {path}");
            let after = values(&changed).unwrap();
            assert_eq!(after.get(path).unwrap().text.as_deref(), Some(&*typed));
            assert_eq!(after.get(path).unwrap().remark, standing.remark);
            let differ = lines(&text)
                .iter()
                .zip(lines(&changed))
                .filter(|(one, other)| *one != other)
                .count();
            assert_eq!(lines(&text).len(), lines(&changed).len());
            assert_eq!(differ, value_lines(&text, standing), "{name} {path}");
            let confirmed = confirm(&text, path).unwrap();
            assert_eq!(
                set(&changed, path, shown).unwrap(),
                confirmed,
                "{name} {path}"
            );
            assert_eq!(confirmed == text, !standing.is_invented, "{name} {path}");
            assert!(!after.get(path).unwrap().is_invented);
        }
    }
}

#[test]
fn property_a_line_removed_takes_nothing_with_it_and_an_added_one_comes_back() {
    for (name, text) in two_files() {
        let before = values(&text).unwrap();
        for standing in before.standing() {
            let path = &standing.path;
            match &standing.text {
                Some(shown) => {
                    let without = remove(&text, path).unwrap();
                    assert!(is_with_lines_added(&text, &without), "{name} {path}");
                    let written = &text[standing.span.clone().unwrap()];
                    let gone = lines(&text).len() - lines(&without).len();
                    assert_eq!(gone, lines(written).len(), "{name} {path}");
                    let again = set(&without, path, shown).unwrap();
                    assert_eq!(
                        values(&again).unwrap().get(path).unwrap().text.as_ref(),
                        Some(shown)
                    );
                    assert!(is_with_lines_added(&again, &without));
                }
                None => {
                    let number = if standing.path.contains('[') || !is_repeated(path) {
                        path.clone()
                    } else {
                        let (section, key) = path.rsplit_once('.').unwrap();
                        format!("{section}[1].{key}")
                    };
                    let with = set(&text, &number, standing.key.us).unwrap();
                    assert!(is_with_lines_added(&with, &text), "{name} {path}");
                    let back = remove(&with, &number).unwrap();
                    if before.get(path).is_some() && block_is_there(&before, path) {
                        assert_eq!(back, text, "{name} {path}");
                    }
                }
            }
        }
    }
}

fn is_repeated(path: &str) -> bool {
    let (section, _) = path.rsplit_once('.').unwrap();
    keys::section(section).is_some_and(|section| section.repeated)
}

fn block_is_there(values: &Values, path: &str) -> bool {
    let (block, _) = path.rsplit_once('.').unwrap();
    values
        .blocks
        .iter()
        .any(|found| found.path == block && found.is_there())
}

#[test]
fn property_a_block_added_and_removed_restores_every_byte() {
    for (name, text) in files() {
        let before = values(&text).unwrap();
        for section in keys::SECTIONS {
            let count = before.of_section(section.name).count();
            match add_block(&text, section.name) {
                Ok(with) => {
                    assert!(is_with_lines_added(&with, &text), "{name} {}", section.name);
                    let now = values(&with).unwrap();
                    assert_eq!(now.of_section(section.name).count(), count + 1);
                    let back = remove_block(&with, section.name, count + 1).unwrap();
                    assert_eq!(back, text, "{name} {}", section.name);
                }
                Err(error) => {
                    assert_eq!(error, EditError::AlreadyThere(section.name.to_owned()));
                    assert_eq!(count, 1);
                }
            }
        }
    }
}

#[test]
fn property_other_blocks_stay_when_one_goes() {
    for (name, text) in files() {
        let before = values(&text).unwrap();
        for block in before.blocks.iter().filter(|block| block.is_there()) {
            let without = remove_block(&text, block.section.name, block.number).unwrap();
            assert!(
                is_with_lines_added(&text, &without),
                "{name} {}",
                block.path
            );
            let left = values(&without).unwrap();
            assert_eq!(
                left.of_section(block.section.name).count() + 1,
                before.of_section(block.section.name).count(),
                "{name} {}",
                block.path
            );
        }
    }
}

#[test]
fn property_line_ends_and_byte_order_mark_survive() {
    for (name, text) in two_files() {
        let text = format!("\u{feff}{}", text.replace('\n', "\r\n"));
        let plain = |text: &str| text.replace("\r\n", "").contains('\n');
        for standing in values(&text).unwrap().standing() {
            let Some(shown) = &standing.text else {
                continue;
            };
            let path = &standing.path;
            assert_eq!(set(&text, path, shown).unwrap(), text, "{name} {path}");
            let typed = another(standing.key.kind, shown);
            let changed = set(&text, path, &typed).unwrap();
            let removed = remove(&changed, path).unwrap();
            let added = set(&removed, path, shown).unwrap();
            for text in [&changed, &removed, &added] {
                assert!(
                    text.starts_with('\u{feff}') && !plain(text),
                    "{name} {path}"
                );
            }
        }
        for section in keys::SECTIONS {
            if let Ok(with) = add_block(&text, section.name) {
                assert!(with.starts_with('\u{feff}') && !plain(&with));
            }
        }
    }
}

/// Another reader of TOML sees the one value changed and no other.
#[test]
fn crosscheck_toml_edit_reads_the_value_that_was_set() {
    for (name, text) in two_files() {
        for standing in values(&text).unwrap().standing() {
            let Some(shown) = standing
                .text
                .as_deref()
                .filter(|_| !standing.path.contains('['))
            else {
                continue;
            };
            let typed = another(standing.key.kind, shown);
            let changed = set(&text, &standing.path, &typed).unwrap();
            let mut one: toml_edit::DocumentMut = text.parse().unwrap();
            let mut other: toml_edit::DocumentMut = changed.parse().unwrap();
            let mut taken = Vec::new();
            for document in [&mut one, &mut other] {
                let (section, key) = standing.path.rsplit_once('.').unwrap();
                let mut table = document.as_table_mut();
                for name in section.split('.') {
                    table = table[name].as_table_mut().unwrap();
                }
                let value = table.remove(key).unwrap().into_value().unwrap();
                taken.push(match &value {
                    toml_edit::Value::String(text) => text.value().clone(),
                    toml_edit::Value::Array(items) => items
                        .iter()
                        .map(|item| item.as_str().unwrap())
                        .collect::<Vec<_>>()
                        .join("\n"),
                    bare => bare
                        .to_string()
                        .split('#')
                        .next()
                        .unwrap()
                        .trim()
                        .to_owned(),
                });
            }
            assert_eq!(taken[1], typed, "{name} {}", standing.path);
            let without = |document: &toml_edit::DocumentMut| document.to_string();
            assert_eq!(without(&one), without(&other), "{name} {}", standing.path);
        }
    }
}

#[test]
fn property_a_wrong_value_is_found_at_its_key() {
    for (name, text) in two_files() {
        for standing in values(&text).unwrap().standing() {
            let is_free = matches!(standing.key.kind, Kind::Text | Kind::Texts | Kind::TextPair);
            if standing.text.is_none() || is_free {
                continue;
            }
            let path = &standing.path;
            let wrong = set(&text, path, "no such thing").unwrap();
            let now = values(&wrong).unwrap();
            let problems = read(wrong.as_bytes()).unwrap_err();
            assert!(
                problems
                    .iter()
                    .any(|problem| now.place(problem).key.as_ref() == Some(path)),
                "{name} {path}: {problems:?}"
            );
        }
    }
}

#[test]
fn property_a_missing_key_is_found_at_its_place() {
    for (name, text) in two_files() {
        for standing in values(&text).unwrap().standing() {
            let path = &standing.path;
            if standing.text.is_none() || standing.key.need != keys::Need::Required {
                continue;
            }
            let without = remove(&text, path).unwrap();
            let problems = read(without.as_bytes()).unwrap_err();
            let places: Vec<_> = problems
                .iter()
                .map(|problem| problem_path(&without, problem).unwrap())
                .collect();
            assert!(
                places.iter().any(|place| place.key.as_ref() == Some(path)),
                "{name} {path}: {problems:?}"
            );
        }
    }
}

#[test]
fn practice_problems_between_two_keys_name_both() {
    let text = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/laundry-shell-boiler.toml"
    ))
    .unwrap();
    let wrong = set(&text, "elevations.upper-tap", "1 in").unwrap();
    let problems = read(wrong.as_bytes()).unwrap_err();
    assert!(
        problems.iter().any(|problem| {
            let place = problem_path(&wrong, problem).unwrap();
            !place.also.is_empty() && place.key.is_some()
        }),
        "{problems:?}"
    );
    let without = remove_block(&text, "cell", 1).unwrap();
    let problems = read(without.as_bytes()).unwrap_err();
    assert!(
        problems.iter().any(
            |problem| problem_path(&without, problem).unwrap().block.as_deref() == Some("cell")
        )
    );
}
