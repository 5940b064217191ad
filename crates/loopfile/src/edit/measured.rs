//! A test's process taken into the file.

use halfglass_core::description::{MeasuredProcess, PlantTest};

use super::{EditError, set};
use crate::words::short;

/// The text with the section `[measured]` holding this process, every other byte as it was.
///
/// # Errors
/// [`EditError`].
pub fn set_measured(text: &str, process: &MeasuredProcess) -> Result<String, EditError> {
    let test = match process.test {
        PlantTest::Bump => "bump",
        PlantTest::Relay => "relay",
    };
    let span_time = if process.span_time_s >= 600.0 {
        format!("{} min", short(process.span_time_s / 60.0))
    } else {
        format!("{} s", short(process.span_time_s))
    };
    let dead_time = format!("{} s", short(process.delay_s));
    [
        ("measured.test", test),
        ("measured.date", &process.date),
        ("measured.duty", &process.duty),
        ("measured.span-time", &span_time),
        ("measured.dead-time", &dead_time),
    ]
    .into_iter()
    .try_fold(text.to_owned(), |text, (path, typed)| {
        set(&text, path, typed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The file reads back with the process; what stood there before stays byte for byte; a second test replaces the first.
    #[test]
    fn property_a_process_goes_in_and_nothing_else_changes() {
        let text = include_str!("../../../../examples/laundry-shell-boiler.toml");
        let mut process = MeasuredProcess {
            test: PlantTest::Bump,
            date: "2026-11-27".into(),
            duty: "maximum".into(),
            span_time_s: 1446.0,
            delay_s: 35.5,
        };
        let mut once = String::new();
        for span_time_s in [1446.0, 333.0] {
            process.span_time_s = span_time_s;
            let base = if once.is_empty() { text } else { once.as_str() };
            let after = set_measured(base, &process).unwrap();
            let read = crate::read(after.as_bytes()).unwrap().measured.unwrap();
            assert!((read.span_time_s - span_time_s).abs() < 1e-3 * span_time_s);
            assert!((read.delay_s - 35.5).abs() < 1e-9);
            assert_eq!(
                (read.duty, read.date),
                ("maximum".into(), "2026-11-27".into())
            );
            let without = super::super::remove_block(&after, "measured", 1).unwrap();
            assert_eq!(without.trim_end(), text.trim_end());
            once = after;
        }
    }
}
