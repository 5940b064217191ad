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
    let marks = Marks::of(text);
    let mut marked: Vec<_> = entries
        .iter()
        .filter(|(_, span)| marks.at(span).is_some())
        .collect();
    marked.sort_by_key(|(_, span)| span.start);
    marked
        .into_iter()
        .map(|(path, _)| counted_from_one(path))
        .collect()
}

/// The marks of a text.
#[derive(Debug)]
pub(crate) struct Marks {
    marks: Vec<usize>,
    newlines: Vec<usize>,
}

impl Marks {
    pub(crate) fn of(text: &str) -> Self {
        Self {
            marks: marks(text),
            newlines: text.match_indices('\n').map(|(at, _)| at).collect(),
        }
    }

    /// Where the remark begins whose mark stands after the value's first byte and before the end of its last line.
    pub(crate) fn at(&self, value: &Range<usize>) -> Option<usize> {
        let first_at_or_after = |places: &[usize], from: usize| {
            let index = places.partition_point(|&place| place < from);
            places.get(index).copied()
        };
        let end = first_at_or_after(&self.newlines, value.end).unwrap_or(usize::MAX);
        first_at_or_after(&self.marks, value.start).filter(|mark| *mark < end)
    }
}

/// A remark, with its hash, without its mark; empty when the mark was all it said.
pub(crate) fn without_mark(remark: &str) -> String {
    let Some(mark) = mark_in(remark) else {
        return remark.to_owned();
    };
    let parts = |c: char| c.is_whitespace() || matches!(c, '#' | ',' | ';');
    let before = remark[..mark.start].trim_end_matches(parts);
    let after = without_mark(remark[mark.end..].trim_matches(parts));
    match (before.is_empty(), after.is_empty()) {
        (true, true) => String::new(),
        (true, false) => format!("# {after}"),
        (false, true) => before.to_owned(),
        (false, false) => format!("{before} # {after}"),
    }
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
    mark_in(remark).is_some()
}

/// Where the words of the mark stand in a remark.
fn mark_in(remark: &str) -> Option<Range<usize>> {
    let (first, second) = MARK.split_once(' ')?;
    let lower = remark.to_ascii_lowercase();
    let is_letter = |next: Option<char>| next.is_some_and(char::is_alphanumeric);
    lower.match_indices(first).find_map(|(start, _)| {
        let rest = &lower[start + first.len()..];
        let words = rest.trim_start();
        let end = lower.len() - words.len() + second.len();
        let is_mark = words.len() < rest.len()
            && words.starts_with(second)
            && !is_letter(lower[..start].chars().next_back())
            && !is_letter(lower[end..].chars().next());
        is_mark.then_some(start..end)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[&str]) {
        let table = toml::de::DeTable::parse(text).expect(text);
        let (entries, _) = Entries::collect(crate::keys::LOOP_FILE, table.get_ref(), text.len());
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
    fn practice_a_remark_loses_its_mark_and_nothing_else() {
        for (remark, left) in [
            ("# invented: replace", ""),
            ("# Invented:  replace ", ""),
            ("# 2:1 # invented: replace", "# 2:1"),
            ("# invented: replace, says the survey", "# says the survey"),
            ("# 2:1; invented: replace; older", "# 2:1 # older"),
            ("# was invented: replaced", "# was invented: replaced"),
            ("# both floats", "# both floats"),
        ] {
            assert_eq!(without_mark(remark), left, "{remark}");
        }
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
