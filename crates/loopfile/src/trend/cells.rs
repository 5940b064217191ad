//! Cells to numbers: times as clocks, dates, epochs or seconds; percentages with a decimal point or comma.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

use super::{Cell, Scale};
use crate::problem::{Label, Problem};

const DAY_S: f64 = 86_400.0;
/// Numbers from here on are seconds since 1970, and from a thousand times as many on, milliseconds.
const EPOCH_S: f64 = 1e8;

/// Does a text begin as a number does.
pub(super) fn begins_with_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.'))
}

/// A number with a decimal point or comma.
fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let text = if text.contains('.') {
        text.to_owned()
    } else {
        text.replacen(',', ".", 1)
    };
    text.parse().ok().filter(|value: &f64| value.is_finite())
}

fn unreadable(cell: &Cell, what: &str, help: &str) -> Box<Problem> {
    Box::new(
        Problem::new(
            "record-cell-unreadable",
            format!("`{}` cannot be read as {what}", cell.text),
            Label::new(cell.span.clone(), "here"),
        )
        .help(help),
    )
}

/// The INDICATED level, percent.
pub(super) fn level(cell: &Cell, scale: Scale) -> Result<f64, Box<Problem>> {
    percent(cell, "level", scale)
}

/// A percentage; `%` may stand behind it.
pub(super) fn percent(cell: &Cell, what: &str, scale: Scale) -> Result<f64, Box<Problem>> {
    let text = cell.text.trim_end_matches('%');
    let Some(value) = number(text) else {
        return Err(unreadable(
            cell,
            &format!("the {what}, percent"),
            "write a number, leave the cell empty where there was no reading, or take the row out",
        ));
    };
    Ok(match scale {
        Scale::Factor(factor) => factor * value,
        Scale::Milliampere => (value - 4.0) / 0.16,
    })
}

/// Times of one record, all from its first one on where they are dates or clocks.
pub(super) struct Clock {
    scale: f64,
    origin_s: Option<f64>,
    /// The last time of day, s, and days gone since the first.
    last_of_day: Option<(f64, f64)>,
}

impl Clock {
    pub(super) const fn new(scale: f64) -> Self {
        Self {
            scale,
            origin_s: None,
            last_of_day: None,
        }
    }

    /// Seconds: as written where they are numbers, from the first row on where they are dates, clocks or epochs.
    pub(super) fn seconds(&mut self, cell: &Cell) -> Result<f64, Box<Problem>> {
        let text = cell.text.as_str();
        let since_first = |origin: &mut Option<f64>, at_s: f64| at_s - *origin.get_or_insert(at_s);
        if let Some(value) = number(text) {
            return Ok(if value >= 1e3 * EPOCH_S {
                since_first(&mut self.origin_s, 1e-3 * value)
            } else if value >= EPOCH_S {
                since_first(&mut self.origin_s, value)
            } else {
                self.scale * value
            });
        }
        if let Some(value) = with_unit(text) {
            return Ok(value);
        }
        if let Some((minutes_or_hours, rest)) = text.split_once(':')
            && let Some(of_day_s) = clock(minutes_or_hours, rest)
        {
            if rest.contains(':') {
                // Past midnight a day is added.
                let days =
                    self.last_of_day.map_or(
                        0.0,
                        |(last_s, days)| {
                            if of_day_s < last_s { days + 1.0 } else { days }
                        },
                    );
                self.last_of_day = Some((of_day_s, days));
                return Ok(since_first(&mut self.origin_s, of_day_s + DAY_S * days));
            }
            // A stopwatch: minutes and seconds from its start.
            return Ok(of_day_s);
        }
        if let Some(at_s) = date(text) {
            return Ok(since_first(&mut self.origin_s, at_s));
        }
        Err(unreadable(
            cell,
            "a time",
            "write seconds, `2 min`, `2:30` of a stopwatch, `14:05:30`, or a date as 2026-11-27T14:05:30",
        ))
    }
}

/// `90 s`, `1.5 min`, `2 h`.
fn with_unit(text: &str) -> Option<f64> {
    let start = text.find(|c: char| c.is_ascii_alphabetic())?;
    let factor = match &text[start..] {
        "s" | "sec" => 1.0,
        "min" => 60.0,
        "h" => 3600.0,
        _ => return None,
    };
    Some(factor * number(&text[..start])?)
}

/// `14:05:30.5` as seconds of the day; `2:30` as minutes and seconds.
fn clock(first: &str, rest: &str) -> Option<f64> {
    let whole = |text: &str| text.trim().parse::<u32>().ok().map(f64::from);
    let below_60 = |value: f64| (0.0..60.0).contains(&value).then_some(value);
    let first = whole(first)?;
    match rest.split_once(':') {
        Some((minutes, seconds)) => Some(
            3600.0 * (first < 24.0).then_some(first)?
                + 60.0 * below_60(whole(minutes)?)?
                + below_60(number(seconds)?)?,
        ),
        None => Some(60.0 * first + below_60(number(rest)?)?),
    }
}

/// An ISO 8601 date with its time, in any zone, or in none and then as UTC: only differences count.
fn date(text: &str) -> Option<f64> {
    let text = text.replace(',', ".");
    let stamp = text.parse::<Timestamp>().ok().or_else(|| {
        let civil: DateTime = text.parse().ok()?;
        TimeZone::UTC.to_timestamp(civil).ok()
    })?;
    Some(stamp.as_millisecond() as f64 / 1e3)
}
