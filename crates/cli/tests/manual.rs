//! The manual's commands run: every line of every `sh` block in docs/src, page by page, in a folder with the examples.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot prepare its folder has failed"
)]

mod binary;

use std::path::Path;

use binary::{command, root, run, scratch};

/// Lines of the `sh` blocks of a page.
fn commands_of(page: &str) -> Vec<String> {
    let mut commands = Vec::new();
    let mut inside = false;
    for line in page.lines() {
        match (inside, line.trim()) {
            (false, "```sh") => inside = true,
            (true, "```") => inside = false,
            (true, words) if !words.is_empty() => commands.push(words.to_owned()),
            _ => {}
        }
    }
    commands
}

/// Words of a command line; double quotes hold words together.
fn words_of(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for character in command
        .split(" #")
        .next()
        .unwrap_or_default()
        .trim()
        .chars()
    {
        match character {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            other => words.last_mut().unwrap().push(other),
        }
    }
    words
}

fn copy_examples(folder: &Path) {
    let target = folder.join("examples");
    std::fs::create_dir(&target).unwrap();
    for path in binary::examples() {
        let name = Path::new(&path).file_name().unwrap().to_owned();
        std::fs::copy(&path, target.join(name)).unwrap();
    }
    let records = target.join("records");
    std::fs::create_dir(&records).unwrap();
    for entry in std::fs::read_dir(root().join("examples/records")).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, records.join(path.file_name().unwrap())).unwrap();
    }
}

#[test]
fn regression_every_command_of_the_manual_runs() {
    let mut count = 0;
    let mut pages: Vec<_> = std::fs::read_dir(root().join("docs/src"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "md"))
        .collect();
    pages.sort();
    for page in pages {
        let folder = scratch();
        copy_examples(folder.path());
        for line in commands_of(&std::fs::read_to_string(&page).unwrap()) {
            let words = words_of(&line);
            assert_eq!(
                words[0],
                "halfglass",
                "{}: only halfglass runs here: {line}",
                page.display()
            );
            let ended = run(command().args(&words[1..]).current_dir(folder.path()));
            assert_eq!(
                ended.code,
                0,
                "{}: {line}\n{}{}",
                page.display(),
                ended.stdout,
                ended.stderr
            );
            count += 1;
        }
    }
    assert!(count >= 8, "the manual shows {count} commands");
}

/// Blocks of a page that follow a remark `<!-- printed by: ... -->`, with the command in it.
fn printed_blocks_of(page: &str) -> Vec<(String, String)> {
    page.split("<!-- printed by: ")
        .skip(1)
        .map(|rest| {
            let (command, rest) = rest.split_once(" -->").unwrap();
            let block = rest.split("```").nth(1).unwrap();
            let (_, lines) = block.split_once('\n').unwrap();
            (command.to_owned(), lines.to_owned())
        })
        .collect()
}

/// Numbers of a text: digits with their point, `1 1/4` as three.
fn numbers_of(text: &str) -> Vec<&str> {
    text.split(|character: char| !character.is_ascii_digit() && character != '.')
        .map(|word| word.trim_matches('.'))
        .filter(|word| !word.is_empty())
        .collect()
}

#[test]
fn regression_what_the_manual_shows_as_printed_is_printed() {
    let folder = scratch();
    copy_examples(folder.path());
    // The wires' page changes two things of the laundry boiler.
    let boiler =
        std::fs::read_to_string(root().join("examples/laundry-shell-boiler.toml")).unwrap();
    let starved = boiler
        .replacen("supply-lowest = \"22.8 V\"", "supply-lowest = \"20 V\"", 1)
        .replacen(
            "[wiring.actuator-supply]",
            "[[wiring.receiver]]\nname = \"recorder\"\nresistance = \"250 ohm\"\n\n[wiring.actuator-supply]",
            1,
        );
    std::fs::write(folder.path().join("starved.toml"), starved).unwrap();
    let mut count = 0;
    for page in ["valve.md", "uncertainty.md", "wiring.md"] {
        let text = std::fs::read_to_string(root().join("docs/src").join(page)).unwrap();
        for (line, block) in printed_blocks_of(&text) {
            let ended = run(command().args(words_of(&line)).current_dir(folder.path()));
            assert!(ended.code <= 1, "{page}: {line}\n{}", ended.stderr);
            assert!(
                ended.stdout.contains(&block),
                "{page}: {line} no longer prints\n{block}"
            );
            count += 1;
        }
    }
    assert!(count >= 5, "{count} blocks");
}

/// Tables of the manual with numbers of the laundry boiler: each number stands somewhere on the sheet.
#[test]
fn regression_numbers_of_the_manual_stand_on_the_sheet() {
    let folder = scratch();
    copy_examples(folder.path());
    for (page, sheet, head) in [
        ("valve.md", "feedwater", "| duty | flow"),
        ("wiring.md", "wiring", "| current, mA"),
        ("uncertainty.md", "uncertainty", "| halve | then"),
    ] {
        let text = std::fs::read_to_string(root().join("docs/src").join(page)).unwrap();
        let ended = run(command()
            .args([
                "sheet",
                "examples/laundry-shell-boiler.toml",
                "--only",
                sheet,
            ])
            .current_dir(folder.path()));
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        let printed = numbers_of(&ended.stdout);
        let (_, rest) = text.split_once(head).unwrap();
        let table = rest.split("\n\n").next().unwrap();
        let rows: Vec<&str> = table.lines().skip(2).collect();
        assert!(rows.len() >= 3, "{page}: {head}");
        for number in rows.iter().flat_map(|row| numbers_of(row)) {
            assert!(
                printed.contains(&number),
                "{page}: {number} under `{head}` is not on the {sheet} sheet"
            );
        }
    }
}

#[test]
fn property_every_page_is_in_the_summary_and_every_link_leads_somewhere() {
    let folder = root().join("docs/src");
    let summary = std::fs::read_to_string(folder.join("SUMMARY.md")).unwrap();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "md") {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(
            name == "SUMMARY.md" || summary.contains(&format!("({name})")),
            "{name} is not in SUMMARY.md"
        );
        let text = std::fs::read_to_string(&path).unwrap();
        for link in text
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split(')').next())
        {
            let target = link.split('#').next().unwrap_or_default();
            assert!(
                target.is_empty() || target.starts_with("http") || folder.join(target).exists(),
                "{name}: {link} leads nowhere"
            );
        }
    }
}
