//! Times in file names: universal time to the millisecond, `20261125T184716.123Z`, so that names sort by time.

use jiff::{Timestamp, Unit};

/// Length of a stamp in a name, bytes.
pub(crate) const LENGTH: usize = 20;

/// A time as it stands in a name.
pub(crate) fn stamp(time: Timestamp) -> String {
    time.strftime("%Y%m%dT%H%M%S%.3fZ").to_string()
}

/// The time that a stamp tells; `None` for what is no stamp.
pub(crate) fn stamped(text: &str) -> Option<Timestamp> {
    let time = jiff::fmt::strtime::parse("%Y%m%dT%H%M%S%.fZ", text)
        .and_then(|parsed| parsed.to_datetime())
        .and_then(|civil| jiff::tz::TimeZone::UTC.to_timestamp(civil))
        .ok()?;
    (stamp(time) == text).then_some(time)
}

/// Now, but after the newest there is: order wins over a clock that was set back, and two in one millisecond differ.
pub(crate) fn after(newest: Option<Timestamp>) -> Timestamp {
    let now = Timestamp::now();
    let now = now.round(Unit::Millisecond).unwrap_or(now);
    match newest {
        Some(newest) if newest >= now => newest
            .checked_add(jiff::SignedDuration::from_millis(1))
            .unwrap_or(now),
        _ => now,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_a_stamp_is_read_back_and_nothing_else_is_one() {
        let now = after(None);
        let text = stamp(now);
        assert_eq!(text.len(), LENGTH);
        assert_eq!(stamped(&text), Some(now));
        let later = after(Some(now));
        assert!(stamp(later) > text);
        for text in [
            "",
            "20261125T184716Z",
            "20261325T184716.123Z",
            "20261125T184716.1234Z",
            "../../../etc/passwd.",
        ] {
            assert_eq!(stamped(text), None, "{text}");
        }
    }
}
