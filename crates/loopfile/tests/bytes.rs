//! Whatever bytes come: a loop, or problems with places inside the file. Never a panic.

use std::path::Path;
use std::time::{Duration, Instant};

use halfglass_loopfile::{LARGEST_FILE_BYTES, Problem, line_and_column, read};
use proptest::prelude::*;

const BOILER: &str = include_str!("fixtures/boiler.toml");
const TANK: &str = include_str!("fixtures/tank.toml");

/// What every answer must be; returns the codes.
#[track_caller]
fn check_answer(name: &str, bytes: &[u8]) -> Vec<&'static str> {
    let Err(problems) = read(bytes) else {
        return Vec::new();
    };
    assert!(!problems.is_empty(), "{name}: no loop and no reason");
    assert!(problems.len() <= 400, "{name}: {} problems", problems.len());
    for problem in &problems {
        assert_ne!(problem.code, "loop-incomplete", "{name}");
        for label in std::iter::once(&problem.primary).chain(&problem.secondary) {
            let span = &label.span;
            assert!(
                span.start <= span.end
                    && (span.end <= bytes.len() || bytes.len() > LARGEST_FILE_BYTES),
                "{name}: {problem} at {span:?} of {}",
                bytes.len()
            );
        }
        assert!(problem.message.len() < 2_000, "{name}: {problem}");
    }
    problems.iter().map(|problem| problem.code).collect()
}

fn only(bytes: &[u8]) -> Problem {
    let mut problems = read(bytes).expect_err("a problem");
    assert_eq!(problems.len(), 1, "{problems:?}");
    problems.remove(0)
}

#[test]
fn practice_corpus_of_the_fuzz_target_is_answered() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/read");
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the corpus is in the repository") {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let codes = check_answer(&name, &std::fs::read(&path).unwrap());
        let sound = [
            "boiler.toml",
            "tank.toml",
            "bom-and-crlf.toml",
            "sealed.toml",
        ];
        // Files that a fuzzing run adds are named by their hash; they may be sound or not, but are answered.
        let added = name.len() == 40 && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        assert!(
            added || codes.is_empty() == sound.contains(&name.as_str()),
            "{name}: {codes:?}"
        );
        names.push(name);
    }
    assert!(names.len() >= 20, "{names:?}");
}

#[test]
fn practice_a_large_file_is_refused_unread() {
    let bytes = vec![b'a'; 10 << 20];
    let start = Instant::now();
    let problem = only(&bytes);
    assert_eq!(problem.code, "file-too-large");
    assert!(
        problem
            .message
            .contains(&format!("more than {LARGEST_FILE_BYTES} bytes")),
        "{problem}"
    );
    assert!(start.elapsed() < Duration::from_secs(1));
}

#[test]
fn practice_a_full_megabyte_is_answered_in_time() {
    for line in [
        "k = 1\n",
        "[[duty]]\n",
        "[a]\n",
        "[duty]\na = 1\na = 1\n",
        "[[vessel.internals]]\nheight = \"3 ft 4 1/2 in\"\n",
    ] {
        let text = line.repeat(LARGEST_FILE_BYTES / line.len());
        let start = Instant::now();
        check_answer(line, text.as_bytes());
        assert!(
            start.elapsed() < Duration::from_secs(20),
            "{line}: {:?}",
            start.elapsed()
        );
    }
}

#[test]
fn practice_text_that_is_not_utf_8_is_placed() {
    let bytes = b"[loop]\ntag = \"\xb0C\"\n";
    let problem = only(bytes);
    assert_eq!(problem.code, "not-utf-8");
    assert_eq!(problem.primary.span, 14..15);
    assert_eq!(line_and_column(bytes, 14), (2, 8));
    let cut = only(b"tag = \"\xe2\x82");
    assert_eq!((cut.code, cut.primary.span), ("not-utf-8", 7..9));
}

#[test]
fn practice_byte_order_mark_and_crlf_change_nothing() {
    let dressed = format!("\u{feff}{}", TANK.replace('\n', "\r\n"));
    assert!(read(dressed.as_bytes()).is_ok());
    let slip = format!(
        "\u{feff}{}",
        TANK.replacen("\"1400 mm\"", "\"1400\"", 1)
            .replace('\n', "\r\n")
    );
    let problem = only(slip.as_bytes());
    assert_eq!(problem.code, "unit-missing");
    assert_eq!(slip.get(problem.primary.span.clone()), Some("\"1400\""));
    let line = 1 + TANK
        .lines()
        .position(|line| line.contains("\"1400 mm\""))
        .unwrap();
    assert_eq!(
        line_and_column(slip.as_bytes(), problem.primary.span.start),
        (line, 13)
    );
}

#[test]
fn practice_nesting_has_a_bottom() {
    for (text, at) in [
        (format!("a = {}", "[".repeat(200_000)), 20),
        (format!("a = {}", "{a=".repeat(200_000)), 52),
        (format!("a{} = 1", ".a".repeat(400_000)), 33),
        (format!("[{}a]", "a.".repeat(400_000)), 34),
        (format!("\"a\"{} = 1", " . \"a\"".repeat(100_000)), 100),
    ] {
        let problem = only(text.as_bytes());
        assert_eq!(problem.code, "nesting-too-deep", "{}", &text[..20]);
        assert_eq!(problem.primary.span, at..at + 1, "{}", &text[..20]);
    }
    // Dots and brackets in texts and remarks are no nesting.
    let text = format!(
        "# {0}\n{1}",
        "[.".repeat(100),
        TANK.replacen(
            "plant = \"",
            &format!(
                "notes = [\"{0}\", '{0}', \"\"\"{0}\\\n\\\"{0}\"\"\"]\nplant = \"",
                "[.".repeat(40)
            ),
            1
        )
    );
    assert!(
        read(text.as_bytes()).is_ok(),
        "{:?}",
        read(text.as_bytes()).err()
    );
}

fn mutated() -> impl Strategy<Value = Vec<u8>> {
    let base = prop::sample::select(vec![BOILER, TANK]);
    let edits = prop::collection::vec(
        (
            any::<prop::sample::Index>(),
            0_usize..12,
            "[-\\[\\]{}.=\"'\n #0-9a-z%()/]{0,6}",
        ),
        1..6,
    );
    (base, edits).prop_map(|(base, edits)| {
        let mut bytes = base.as_bytes().to_vec();
        for (index, cut, insert) in edits {
            let start = index.index(bytes.len());
            let end = (start + cut).min(bytes.len());
            bytes.splice(start..end, insert.into_bytes());
        }
        bytes
    })
}

/// One value of a sound file replaced by another text: past the parser, into units and checks.
fn other_value() -> impl Strategy<Value = String> {
    let base = prop::sample::select(vec![BOILER, TANK]);
    let number = prop_oneof![
        (-1e3_f64..1e3).prop_map(|number| format!("{number:.3}")),
        any::<f64>().prop_map(|number| format!("{number:e}")),
        Just("0".to_owned()),
        Just("1e15".to_owned()),
    ];
    let keep_unit = any::<bool>();
    (base, any::<prop::sample::Index>(), number, keep_unit).prop_map(
        |(base, index, number, keep)| {
            let values: Vec<_> = base
                .match_indices(" = \"")
                .map(|(at, found)| at + found.len())
                .collect();
            let start = values[index.index(values.len())];
            let end = start + base[start..].find('"').unwrap_or(0);
            let unit = base[start..end]
                .split_once(' ')
                .map_or("", |(_, unit)| unit);
            let unit = if keep { unit } else { "m" };
            format!("{}{number} {unit}{}", &base[..start], &base[end..])
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn property_any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        check_answer("bytes", &bytes);
    }

    #[test]
    fn property_any_text_is_answered(text in "\\PC{0,200}") {
        check_answer("text", text.as_bytes());
    }

    #[test]
    fn property_mutated_files_are_answered(bytes in mutated()) {
        check_answer("mutated", &bytes);
    }

    #[test]
    fn property_any_value_is_answered(text in other_value()) {
        check_answer("value", text.as_bytes());
    }
}
