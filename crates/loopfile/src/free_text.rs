//! Free text: tags, names, notes. It is printed, so it must be printable, and fit where it is printed.

use std::ops::Range;

use crate::problem::{Label, Problem};

/// Characters that every face of the pack's font has (Source Sans 3, upright, italic and semibold), as far as a tag,
/// a name or a note needs them. Blocks with holes are given by their whole parts.
///
/// **Source:** the character maps of the three font files.
const PRINTABLE: &[(char, char)] = &[
    // Latin, with the letters of European languages, of Vietnamese and of transcriptions.
    ('\u{20}', '\u{7e}'),
    ('\u{a0}', '\u{ac}'),
    ('\u{ae}', '\u{17f}'),
    ('\u{18f}', '\u{18f}'),
    ('\u{192}', '\u{192}'),
    ('\u{1a0}', '\u{1a1}'),
    ('\u{1af}', '\u{1b0}'),
    ('\u{1cd}', '\u{1dc}'),
    ('\u{1e6}', '\u{1e7}'),
    ('\u{1f8}', '\u{1ff}'),
    ('\u{218}', '\u{21b}'),
    ('\u{259}', '\u{259}'),
    ('\u{1e80}', '\u{1e85}'),
    ('\u{1e9e}', '\u{1ef9}'),
    // Greek.
    ('\u{384}', '\u{38a}'),
    ('\u{38c}', '\u{38c}'),
    ('\u{38e}', '\u{3a1}'),
    ('\u{3a3}', '\u{3ce}'),
    // Cyrillic.
    ('\u{400}', '\u{45f}'),
    ('\u{490}', '\u{493}'),
    ('\u{49a}', '\u{49b}'),
    ('\u{4a2}', '\u{4a3}'),
    ('\u{4ae}', '\u{4b1}'),
    ('\u{4ba}', '\u{4bb}'),
    ('\u{4d8}', '\u{4d9}'),
    ('\u{4e8}', '\u{4e9}'),
    // Dashes, quotation marks, bullets, signs.
    ('\u{2010}', '\u{201e}'),
    ('\u{2020}', '\u{2022}'),
    ('\u{2026}', '\u{2026}'),
    ('\u{202f}', '\u{2033}'),
    ('\u{2039}', '\u{203a}'),
    ('\u{2044}', '\u{2044}'),
    ('\u{2070}', '\u{2070}'),
    ('\u{2074}', '\u{208e}'),
    ('\u{20ac}', '\u{20ac}'),
    ('\u{2116}', '\u{2116}'),
    ('\u{2122}', '\u{2122}'),
    ('\u{2126}', '\u{2126}'),
    ('\u{2150}', '\u{215e}'),
    ('\u{2190}', '\u{2199}'),
    ('\u{2206}', '\u{2206}'),
    ('\u{2211}', '\u{2212}'),
    ('\u{221a}', '\u{221a}'),
    ('\u{221e}', '\u{221e}'),
    ('\u{2248}', '\u{2248}'),
    ('\u{2260}', '\u{2260}'),
    ('\u{2264}', '\u{2265}'),
];

/// Accents that stand behind their letter as characters of their own.
const LOOSE_ACCENTS: std::ops::RangeInclusive<char> = '\u{300}'..='\u{36f}';

/// Most characters of a text, by the path of its key: what the sheets have room for.
pub(crate) fn most_characters(path: &str) -> usize {
    match path {
        "loop.tag" => 40,
        "loop.plant" => 100,
        "loop.revision" => 20,
        "loop.notes" => 300,
        "scenario.purpose" => 200,
        _ if path.starts_with("controller.device-marks.") => 40,
        _ => 80,
    }
}

/// The text without the blanks around it, or why it cannot be printed.
pub(crate) fn checked(path: &str, text: &str, span: Range<usize>) -> Result<String, Box<Problem>> {
    let text = text.trim();
    let most = most_characters(path);
    let count = text.chars().count();
    if count > most {
        return Err(Box::new(
            Problem::new(
                "text-too-long",
                format!("`{path}` has {count} characters; it has room for {most}"),
                Label::new(span, "too long"),
            )
            .help(
                "shorten it; what needs more words goes into notes, which take 300 characters each",
            ),
        ));
    }
    let Some((place, character)) = (1..).zip(text.chars()).find(|(_, one)| !is_printable(*one))
    else {
        return Ok(text.to_owned());
    };
    let code = u32::from(character);
    let (what, help) = if character.is_control() {
        (
            format!(
                "the control character U+{code:04X}{}",
                control_name(character)
            ),
            "remove it; write one line of plain text, and several notes where several lines are wanted",
        )
    } else if LOOSE_ACCENTS.contains(&character) {
        (
            format!("the loose accent U+{code:04X}"),
            "write the letter and its accent as one character",
        )
    } else if is_seen(character) {
        (
            format!("`{character}` (U+{code:04X}), which cannot be printed"),
            "write it in Latin, Greek or Cyrillic letters",
        )
    } else {
        (
            format!("the invisible character U+{code:04X}"),
            "remove it; write it in Latin, Greek or Cyrillic letters",
        )
    };
    Err(Box::new(
        Problem::new(
            "text-not-printable",
            format!("`{path}` has {what}, as its character {place}"),
            Label::new(span, format!("character {place} of this")),
        )
        .help(help),
    ))
}

fn is_printable(character: char) -> bool {
    PRINTABLE
        .iter()
        .any(|(first, last)| (*first..=*last).contains(&character))
}

/// False for blanks, marks of direction and joiners, that a message would not show or that would turn it around.
fn is_seen(character: char) -> bool {
    !(character.is_whitespace()
        || matches!(
            character,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff0}'..='\u{fffb}'
                | '\u{e0000}'..='\u{e0fff}' | '\u{e000}'..='\u{f8ff}'
        ))
}

fn control_name(character: char) -> &'static str {
    match character {
        '\0' => " (NUL)",
        '\u{7}' => " (bell)",
        '\u{8}' => " (backspace)",
        '\t' => " (tab)",
        '\n' => " (line end)",
        '\r' => " (carriage return)",
        '\u{1b}' => " (escape)",
        '\u{7f}' => " (delete)",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        match checked("loop.service", text, 0..0) {
            Ok(read) => assert_eq!(read, expected, "{text:?}"),
            Err(problem) => assert!(
                problem.message.contains(expected),
                "{text:?}: {}",
                problem.message
            ),
        }
    }

    #[test]
    fn practice_texts_of_many_countries_are_printable() {
        for text in [
            "Feedwater to boiler 1 – 30″ span, ±2 %, 60 °F",
            "Kesselspeisewasser für Dampferzeuger Größe № 3",
            "Eau d’alimentation, chaudière à vapeur",
            "Zasilanie kotła, Łódź; Přívod, Plzeň",
            "Đường ống cấp nước nồi hơi",
            "Τροφοδοσία λέβητα",
            "Питательная вода котла, Київ ґ",
            "h₁ ≤ h ≤ h₂, ρ ≈ 958 kg/m³, 20 Ω, →",
        ] {
            check(text, text);
        }
        check(" LIC-101\n", "LIC-101");
    }

    #[test]
    fn practice_what_cannot_be_printed_is_named_with_its_place() {
        for (text, expected) in [
            ("a\u{1b}[31m", "U+001B (escape), as its character 2"),
            ("two\nlines", "U+000A (line end), as its character 4"),
            ("ring\u{7}", "U+0007 (bell), as its character 5"),
            ("\u{0}a", "U+0000 (NUL), as its character 1"),
            ("a\u{85}b", "U+0085, as its character 2"),
            (
                "锅炉",
                "`锅` (U+9505), which cannot be printed, as its character 1",
            ),
            ("boiler 🔥", "as its character 8"),
            ("e\u{301}", "the loose accent U+0301, as its character 2"),
            ("a\u{202e}b", "the invisible character U+202E"),
            ("a\u{2028}b", "the invisible character U+2028"),
            ("a\u{200b}b", "the invisible character U+200B"),
        ] {
            check(text, expected);
        }
    }

    #[test]
    fn regression_lengths_count_characters() {
        check(&"ж".repeat(80), &"ж".repeat(80));
        check(&"ж".repeat(81), "has 81 characters; it has room for 80");
    }

    #[test]
    fn regression_ranges_rise_and_do_not_touch_controls() {
        for (first, last) in PRINTABLE {
            assert!(first <= last);
        }
        assert!(
            (0..=0x0010_ffff)
                .filter_map(char::from_u32)
                .filter(|one| one.is_control() || !is_seen(*one))
                .filter(|one| !matches!(*one, ' ' | '\u{a0}' | '\u{202f}'))
                .all(|one| !is_printable(one))
        );
    }
}
