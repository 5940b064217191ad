//! Tags of the loop's other instruments, from the loop's own: letters as ISA-5.1 gives them.

/// The loop's tag with other letters: `LIC-101` and `LT` give `LT-101`; `12-LC-3` and `LV` give `12-LV-3`.
///
/// A tag without letters that begin with L (level) keeps its words: the letters stand before it.
pub fn with_letters(tag: &str, letters: &str) -> String {
    let mut start = None;
    for (at, c) in tag.char_indices().chain([(tag.len(), ' ')]) {
        if c.is_ascii_uppercase() {
            start.get_or_insert(at);
        } else if let Some(from) = start.take()
            && tag[from..].starts_with('L')
            && (2..=4).contains(&(at - from))
            && !c.is_alphabetic()
        {
            return format!("{}{letters}{}", &tag[..from], &tag[at..]);
        }
    }
    format!("{letters} {tag}")
}

/// What stands in a bubble under the letters: the tag without its function letters and the mark that parts them.
pub fn number_of(tag: &str) -> String {
    let marked = with_letters(tag, "\u{0}");
    let bare = marked.replace('\u{0}', "");
    bare.trim_matches(|c: char| !c.is_alphanumeric()).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_letters_change_and_the_number_stays() {
        for (tag, letters, expect, number) in [
            ("LIC-101", "LT", "LT-101", "101"),
            ("12-LC-3", "LV", "12-LV-3", "12--3"),
            ("LIC 7A", "LY", "LY 7A", "7A"),
            ("boiler two", "LT", "LT boiler two", "boiler two"),
            ("LIC", "LT", "LT", ""),
        ] {
            assert_eq!(with_letters(tag, letters), expect);
            assert_eq!(number_of(tag), number, "{tag}");
        }
    }
}
