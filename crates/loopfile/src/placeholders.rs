//! Values that a file marks as invented examples, by a remark on their line: `pot-lip = "31 in"  # invented: replace`.
//!
//! A new file marks every value that nobody answered. The file reads all the same; while any mark stands in it the
//! loop is a draft.

use std::ops::Range;

use crate::entries::Entries;
use crate::keys::counted_from_one;
use crate::text::{end_of_line, end_of_string};

/// The remark that marks a value; capitals and the number of spaces do not matter.
pub(crate) const MARK: &str = "invented: replace";

/// Paths of the marked values, in the order of the file.
pub(crate) fn placeholders(text: &str, entries: &Entries) -> Vec<String> {
    let marks = marks(text);
    if marks.is_empty() {
        return Vec::new();
    }
    let newlines: Vec<_> = text.match_indices('\n').map(|(at, _)| at).collect();
    let mut marked: Vec<_> = entries
        .iter()
        .filter(|(_, span)| is_marked(span, &marks, &newlines))
        .collect();
    marked.sort_by_key(|(_, span)| span.start);
    marked
        .into_iter()
        .map(|(path, _)| counted_from_one(path))
        .collect()
}

/// True when a mark stands after the value's first byte and before the end of its last line.
fn is_marked(span: &Range<usize>, marks: &[usize], newlines: &[usize]) -> bool {
    let first_at_or_after = |places: &[usize], from: usize| {
        let index = places.partition_point(|&place| place < from);
        places.get(index).copied().unwrap_or(usize::MAX)
    };
    let mark = first_at_or_after(marks, span.start);
    mark != usize::MAX && mark < first_at_or_after(newlines, span.end)
}

/// Where the remarks with the mark begin. All in one pass: a file of one line may have many thousand values.
fn marks(text: &str) -> Vec<usize> {
    let bytes = text.as_bytes();
    let (mut marks, mut at) = (Vec::new(), 0);
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'#' => {
                let end = end_of_line(bytes, at);
                if text
                    .get(at + 1..text.len().min(end + 1))
                    .is_some_and(has_mark)
                {
                    marks.push(at);
                }
                at = end;
            }
            // A hash in a text is no remark.
            b'"' | b'\'' => at = end_of_string(bytes, at),
            _ => {}
        }
        at += 1;
    }
    marks
}

fn has_mark(remark: &str) -> bool {
    let words = remark.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = words.to_lowercase();
    words.match_indices(MARK).any(|(at, mark)| {
        let is_letter_at = |next: Option<char>| next.is_some_and(char::is_alphanumeric);
        !is_letter_at(words[..at].chars().next_back())
            && !is_letter_at(words[at + mark.len()..].chars().next())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[&str]) {
        let table = toml::de::DeTable::parse(text).expect(text);
        let (entries, _) = Entries::collect(table.get_ref(), text.len());
        assert_eq!(placeholders(text, &entries), expected, "{text}");
    }

    #[test]
    fn practice_the_remark_on_the_line_marks_the_value() {
        check("[loop]\ntag = \"A\"  # invented: replace\n", &["loop.tag"]);
        check("[loop]\ntag = \"A\"  # invented: replace", &["loop.tag"]);
        check(
            "[loop]\r\ntag = \"A\" # Invented:  replace \r\n",
            &["loop.tag"],
        );
        check(
            "[loop]\ntag = 'A' # 2:1 # invented: replace, says the survey\n",
            &["loop.tag"],
        );
        check(
            "[loop]\ntag = \"A\"  # invented: replace\nplant = \"P\"\nrevision = \"0\" # invented: replace\n",
            &["loop.tag", "loop.revision"],
        );
    }

    #[test]
    fn practice_what_is_no_mark() {
        check(
            "[loop]\n# invented: replace\ntag = \"A\"\n# invented: replace\n",
            &[],
        );
        check("[loop]\ntag = \"A # invented: replace\"\n", &[]);
        check("[loop]\ntag = \"A\" # was invented: replaced in May\n", &[]);
        check("[loop]\ntag = \"A\" # reinvented: replace\n", &[]);
        check("[loop]\ntag = \"A\" # (invented)\n", &[]);
        check(
            "[loop]\n#tag = \"A\" # invented: replace\nplant = \"P\"\n",
            &[],
        );
    }

    #[test]
    fn practice_blocks_are_counted_from_one_and_lists_have_their_lines() {
        check(
            "[[duty]]\noutflow = \"1 t/h\" # invented: replace\n[[duty]]\nname = \"n\"\noutflow = \"1 t/h\" # invented: replace\n",
            &["duty[1].outflow", "duty[2].outflow"],
        );
        check(
            "[loop]\nnotes = [\n \"a # b\", # invented: replace\n \"c\"]\ntag = \"T\"\n",
            &["loop.notes"],
        );
        check(
            "loop = { tag = \"T\", plant = \"#P\" } # invented: replace\n",
            &["loop.tag", "loop.plant"],
        );
        check(
            "[loop]\ntag = \"\"\"A # not\n# here\"\"\" # invented: replace\n",
            &["loop.tag"],
        );
    }
}
