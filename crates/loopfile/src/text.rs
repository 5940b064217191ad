//! From bytes to text that a parser may have: size, encoding, byte order mark, depth.

use crate::problem::{Label, Problem};

/// Largest loop file, bytes. The largest sensible one has a tenth of this.
pub const LARGEST_FILE_BYTES: usize = 1 << 20;
/// Deepest nesting of brackets outside strings; a loop file needs 2.
const DEEPEST_BRACKETS: usize = 16;
/// Most dots in one dotted name; a loop file needs 1.
const MOST_DOTS: usize = 16;

const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// The text, and how many bytes of byte order mark stood before it.
pub(crate) fn checked(bytes: &[u8]) -> Result<(&str, usize), Vec<Problem>> {
    if bytes.len() > LARGEST_FILE_BYTES {
        return Err(vec![
            Problem::new(
                "file-too-large",
                format!(
                    "the file has more than {LARGEST_FILE_BYTES} bytes, the most that a loop file may have"
                ),
                Label::new(0..0, "not read"),
            )
            .help("is this the right file?"),
        ]);
    }
    let mark = if bytes.starts_with(BYTE_ORDER_MARK) {
        BYTE_ORDER_MARK.len()
    } else {
        0
    };
    let text = std::str::from_utf8(&bytes[mark..]).map_err(|error| {
        let at = mark + error.valid_up_to();
        let length = error.error_len().unwrap_or(bytes.len() - at).max(1);
        vec![
            Problem::new(
                "not-utf-8",
                "the file is not UTF-8 text",
                Label::new(at..at + length, "the first bytes that are not"),
            )
            .help("save the file as UTF-8; write degC for a degree sign"),
        ]
    })?;
    match too_deep(text) {
        Some(at) => Err(vec![Problem::new(
            "nesting-too-deep",
            "brackets or dotted names are nested deeper than any loop file needs",
            Label::new(mark + at..mark + at + 1, "too deep from here"),
        )
        .help("a loop file has sections `[name]` and `[[name]]` and `key = \"value\"` in them, nothing deeper")]),
        None => Ok((text, mark)),
    }
}

/// Where the nesting gets too deep. The parser bounds brackets, but not dotted names, and dropping a table that is
/// a hundred thousand deep would exhaust the stack.
fn too_deep(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut at, mut brackets, mut dots) = (0, 0_usize, 0_usize);
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'#' => at = end_of_line(bytes, at),
            b'"' | b'\'' => at = end_of_string(bytes, at),
            b'[' | b'{' => {
                brackets += 1;
                dots = 0;
            }
            b']' | b'}' => brackets = brackets.saturating_sub(1),
            b'.' => dots += 1,
            b'\n' | b',' | b'=' => dots = 0,
            _ => {}
        }
        if brackets > DEEPEST_BRACKETS || dots > MOST_DOTS {
            return Some(at.min(bytes.len().saturating_sub(1)));
        }
        at += 1;
    }
    None
}

/// Index of the last byte before the newline that follows `from`; without one, the length.
pub(crate) fn end_of_line(bytes: &[u8], from: usize) -> usize {
    bytes[from..]
        .iter()
        .position(|&byte| byte == b'\n')
        .map_or(bytes.len(), |length| from + length - 1)
}

/// Index of the last byte of the string that opens at `from`; an unfinished one ends with its line.
pub(crate) fn end_of_string(bytes: &[u8], from: usize) -> usize {
    let quote = bytes[from];
    let long = bytes[from..].starts_with(&[quote; 3]);
    let mut at = from + if long { 3 } else { 1 };
    while let Some(&byte) = bytes.get(at) {
        if byte == b'\\' && quote == b'"' {
            at += 2;
            continue;
        }
        if byte == quote && (!long || bytes[at..].starts_with(&[quote; 3])) {
            return at + if long { 2 } else { 0 };
        }
        if byte == b'\n' && !long {
            // Step back so that the newline is seen by the caller.
            return at - 1;
        }
        at += 1;
    }
    bytes.len()
}
