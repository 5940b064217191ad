//! Fields of a form that carries a file: read whole or refused, and bytes kept in a page from one try to the next.

use axum::extract::DefaultBodyLimit;
use axum::extract::multipart::Field;
use axum::http::StatusCode;

/// Largest request that is read to its end, bytes. What goes beyond a file is thrown away as it comes, so that the answer can
/// be in words: a browser shows none where the connection ends while it sends.
const LARGEST_REQUEST_BYTES: usize = 32 << 20;

/// Largest other field, bytes: a name, and nothing that could fill memory.
pub(super) const LARGEST_FIELD_BYTES: usize = 4096;

/// Why a field is not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unread {
    /// The form did not arrive as one; the status that says so.
    Form(StatusCode),
    /// It has this many bytes, more than the most.
    TooLarge(usize),
}

/// Lets larger requests through than other pages take.
pub(crate) fn limit() -> DefaultBodyLimit {
    DefaultBodyLimit::max(LARGEST_REQUEST_BYTES)
}

/// The bytes of a field; one that has more is read to its end and refused.
pub(super) async fn at_most(mut field: Field<'_>, most: usize) -> Result<Vec<u8>, Unread> {
    let mut bytes = Vec::new();
    let mut length = 0;
    while let Some(chunk) = field
        .chunk()
        .await
        .map_err(|error| Unread::Form(error.status()))?
    {
        length += chunk.len();
        if length <= most {
            bytes.extend_from_slice(&chunk);
        }
    }
    if length > most {
        return Err(Unread::TooLarge(length));
    }
    Ok(bytes)
}

/// A short field as text.
pub(super) async fn words(field: Field<'_>) -> Result<String, Unread> {
    let bytes = at_most(field, LARGEST_FIELD_BYTES).await?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Bytes as a form brings them back unchanged: browsers send every line end as CR LF, and what is no text not at all, so all but
/// printable ASCII goes as `%0A`.
pub(super) fn kept(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len());
    for &byte in bytes {
        if matches!(byte, b' '..=b'~') && byte != b'%' {
            text.push(char::from(byte));
        } else {
            text.push_str(&format!("%{byte:02X}"));
        }
    }
    text
}

/// Reads [`kept`] back.
pub(super) fn kept_bytes(kept: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(kept.len());
    let mut rest = kept;
    while let Some((&first, after)) = rest.split_first() {
        let digit = |place: usize| after.get(place).and_then(|b| char::from(*b).to_digit(16));
        let (byte, left) = match (first, digit(0), digit(1)) {
            (b'%', Some(high), Some(low)) => {
                (u8::try_from(16 * high + low).unwrap_or(first), &after[2..])
            }
            _ => (first, after),
        };
        bytes.push(byte);
        rest = left;
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_what_is_kept_comes_back_byte_for_byte() {
        for bytes in [
            &b""[..],
            b"a\r\nb\nc\rd",
            b"100 %\n%0A%250A%",
            "ä\t\u{feff}<&\">".as_bytes(),
            b"\xff\xe9;\0",
        ] {
            let kept = kept(bytes);
            assert!(kept.bytes().all(|byte| matches!(byte, b' '..=b'~')));
            assert_eq!(kept_bytes(kept.as_bytes()), bytes);
        }
    }
}
