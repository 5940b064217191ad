//! What a loop may be called: a file name that every system can hold and no path can hide in.

use std::fmt;

use unicode_normalization::UnicodeNormalization;

/// Longest name, in characters, that a row of a page holds.
const LONGEST: usize = 80;

/// Longest name, in bytes: with the ending and the stamp of the trash it fits the 255 bytes of common file systems.
const LONGEST_BYTES: usize = 200;

/// Ending of a loop file.
pub(crate) const ENDING: &str = ".toml";

/// Names that one common system keeps for its devices.
const DEVICES: [&str; 28] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9", "com¹", "com²",
    "com³", "lpt¹", "lpt²", "lpt³",
];

/// Why a name is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{shown}` cannot name a loop file: {why}")]
pub struct NameError {
    /// The name, without what a terminal or page would obey.
    pub shown: String,
    /// What is wrong and what is allowed.
    pub why: &'static str,
}

/// A checked name of a loop file, without its ending.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LoopName(String);

impl LoopName {
    /// Checks a name.
    ///
    /// # Errors
    /// [`NameError`] for an empty or overlong name, one with a path, control or formatting character in it, a leading
    /// dot, and names that some systems keep for devices.
    pub fn new(name: &str) -> Result<Self, NameError> {
        let refuse = |why| {
            Err(NameError {
                shown: name
                    .chars()
                    .take(LONGEST)
                    .map(|c| {
                        if is_plain(c) || c.is_ascii_graphic() {
                            c
                        } else {
                            '\u{fffd}'
                        }
                    })
                    .collect(),
                why,
            })
        };
        let normal: String = name.trim().nfc().collect();
        if normal.is_empty() {
            return refuse("it is empty");
        }
        if normal.chars().count() > LONGEST {
            return refuse("it is longer than 80 characters");
        }
        if normal.len() > LONGEST_BYTES {
            return refuse("it is longer than 200 bytes");
        }
        if !normal.chars().all(is_plain) {
            return refuse("use letters, digits, spaces, - _ . ( ) + and no others");
        }
        if normal.starts_with(['.', '-']) || normal.ends_with('.') {
            return refuse("it begins with a dot or dash, or ends with a dot");
        }
        let stem = normal.split('.').next().unwrap_or_default().trim_end();
        if DEVICES
            .iter()
            .any(|device| device.eq_ignore_ascii_case(stem))
        {
            return refuse("some systems keep this name for a device");
        }
        Ok(Self(normal))
    }

    /// A name as a person types it: spaces around it and the ending of a loop file are not part of it.
    ///
    /// # Errors
    /// [`NameError`].
    pub fn typed(text: &str) -> Result<Self, NameError> {
        Self::new(without_ending(text.trim()))
    }

    /// The name that an uploaded file brings along: the last part of what may be a path, without its ending.
    ///
    /// # Errors
    /// As [`LoopName::new`].
    pub fn of_upload(file_name: &str) -> Result<Self, NameError> {
        let last = file_name.rsplit(['/', '\\']).next().unwrap_or_default();
        Self::new(without_ending(last))
    }

    /// Whether two names are one for a file system that does not tell capitals from small letters.
    pub fn is_same_but_for_case(&self, other: &Self) -> bool {
        folded(&self.0) == folded(&other.0)
    }

    /// The name of a file, where its ending is that of a loop file.
    pub(crate) fn of_file(file_name: &str) -> Option<Result<Self, NameError>> {
        let stem = file_name.strip_suffix(ENDING)?;
        Some(Self::new(stem).and_then(|name| {
            if name.0 == stem {
                Ok(name)
            } else {
                Err(NameError {
                    shown: name.0,
                    why: "its letters are not in the composed form, or blanks surround it",
                })
            }
        }))
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The file's name, with its ending.
    pub fn file_name(&self) -> String {
        format!("{}{ENDING}", self.0)
    }
}

impl fmt::Display for LoopName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A file's name without the ending of a loop file, in any letter case.
fn without_ending(name: &str) -> &str {
    let cut = name.len().saturating_sub(ENDING.len());
    match name.get(cut..) {
        Some(ending) if ending.eq_ignore_ascii_case(ENDING) => &name[..cut],
        _ => name,
    }
}

/// Letters and digits of any script, and what is harmless in every file system; no letters that show nothing.
fn is_plain(c: char) -> bool {
    let shows_nothing = matches!(c, '\u{115f}' | '\u{1160}' | '\u{3164}' | '\u{ffa0}');
    (c.is_alphanumeric() && !shows_nothing) || matches!(c, ' ' | '-' | '_' | '.' | '(' | ')' | '+')
}

/// A file's name as the most forgetful file system sees it: composed letters, no capitals.
pub(crate) fn folded(file_name: &str) -> String {
    file_name.nfc().collect::<String>().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_names_that_no_file_may_have() {
        for name in [
            "",
            " ",
            ".",
            "..",
            "../x",
            "a/b",
            "a\\b",
            "c:x",
            "nul",
            "CON.1",
            ".hidden",
            "-x",
            "a\0b",
            "a\nb",
            "a\u{202e}b",
            "a\u{200b}b",
            "dot.",
            "a%2fb",
            "a*b",
            "~/x",
            "COM¹",
            "a\u{3164}",
            "\u{feff}a",
            "a\u{2044}b",
            "a\u{ff0f}b",
        ] {
            assert!(LoopName::new(name).is_err(), "{name:?}");
        }
        assert!(LoopName::new(&"x".repeat(81)).is_err());
        assert!(LoopName::new(&"漢".repeat(67)).is_err(), "201 bytes");
        assert!(LoopName::new(&"漢".repeat(66)).is_ok());
    }

    #[test]
    fn practice_names_that_uploads_bring() {
        for (file_name, name) in [
            ("boiler-1.toml", "boiler-1"),
            ("C:\\plant\\Boiler 1.TOML", "Boiler 1"),
            ("../../etc/x.toml", "x"),
            ("boiler", "boiler"),
            ("boiler.txt", "boiler.txt"),
            ("é.toml", "é"),
        ] {
            assert_eq!(LoopName::of_upload(file_name).unwrap().as_str(), name);
        }
        for file_name in ["", ".toml", "a/", "..", "nul.toml", "é", "a\u{202e}b.toml"] {
            assert_eq!(LoopName::of_upload(file_name).is_ok(), file_name == "é");
        }
    }

    #[test]
    fn practice_names_that_people_give() {
        for name in [
            "boiler-1",
            "Kessel 2 (Süd)",
            "LIC-101",
            "котёл",
            "a.b",
            "console",
        ] {
            assert_eq!(LoopName::new(name).unwrap().as_str(), name);
        }
        // Decomposed letters become composed ones, so that one name is one file.
        assert_eq!(LoopName::new("Su\u{308}d").unwrap().as_str(), "Süd");
    }
}
