//! The words beside the elevation: what vessel, panel and glass say of one level, as templates that the server fills for
//! a page without a script and hands to the script for one with it.
//!
//! A template's `{placeholders}` are values with their units; which templates hold for a reading is decided by
//! [`said`] and, with the same tests, by the page's script.

mod table;

pub use table::{at_json, table_json};

use halfglass_core::description::{Loop, ReferenceLeg, VesselKind};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, LevelMark, MarkKind};
use halfglass_core::measurement::elevation::{ElevationReading, GlassReading};

use crate::units::{DisplayUnits, current_text, number};

/// Decimals of a percent of span in this readout: a panel is read to whole ones, the error to tenths.
pub(crate) const PERCENT_DECIMALS: usize = 1;

/// Under the panel's marker where the cell is blind.
pub(crate) const BLIND_NOTE: &str = "blind";
/// Under the panel's marker where the signal is at its end.
pub(crate) const SATURATED_NOTE: &str = "at end";

/// How much a sentence asks for attention.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// An emergency, or an instrument that tells nothing.
    Stop,
    /// What is shown is not what it seems.
    Warn,
    /// As it is.
    Plain,
}

impl Gravity {
    /// Word and class.
    pub const fn word(self) -> &'static str {
        match self {
            Gravity::Stop => "stop",
            Gravity::Warn => "warn",
            Gravity::Plain => "plain",
        }
    }
}

/// A sentence with `{placeholders}`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Stable name.
    pub key: &'static str,
    /// How grave.
    pub gravity: Gravity,
    /// The words.
    pub text: String,
}

/// A sentence ready to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// Name of its template.
    pub key: &'static str,
    /// How grave.
    pub gravity: Gravity,
    /// The words.
    pub text: String,
}

/// Everything that the readout prints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// Values by the name of their placeholder.
    pub values: Vec<(&'static str, String)>,
    /// Sentences, gravest first.
    pub sentences: Vec<Sentence>,
}

impl Said {
    /// A value by the name of its placeholder; empty for a name that is none.
    pub fn value(&self, name: &str) -> &str {
        self.values
            .iter()
            .find(|(known, _)| *known == name)
            .map_or("", |(_, value)| value)
    }
}

/// All templates of a loop in the order in which they are read: gravest first.
pub fn templates(described: &Loop) -> Vec<Template> {
    use Gravity::{Plain, Stop, Warn};
    let kind = described.vessel.kind;
    let place = if matches!(described.reference_leg, ReferenceLeg::Sealed { .. }) {
        "seal"
    } else {
        "tap"
    };
    let (empty, full) = glass_words(kind);
    let empty_gravity = if kind.is_fired() { Stop } else { Warn };
    let template = |key, gravity, text: &str| Template {
        key,
        gravity,
        text: text.to_owned(),
    };
    let mut templates = vec![
        template(
            "uncovered",
            Stop,
            "The water stands below the highest heated surface: in the plant an emergency. Follow the plant's procedure and local \
             code; stop firing and do not feed.",
        ),
        template("glass-empty", empty_gravity, empty),
        template("glass-full", Warn, full),
        template(
            "blind-below",
            Stop,
            &format!(
                "The cell is blind: the water stands below its lower {place}; the panel stays at what it says there, {{panel-percent}}, or lower."
            ),
        ),
        template(
            "blind-above",
            Stop,
            &format!(
                "The cell is blind: the water stands above its upper {place}; the panel stays at what it says there, {{panel-percent}}, or higher."
            ),
        ),
        template(
            "flashes",
            Warn,
            "Leg water would flash: some of it is hotter than {saturation}, at which water boils here. Nothing that the panel says then is to be trusted.",
        ),
        template(
            "freezes",
            Warn,
            "Leg water would freeze: some of it is below {freezing}. Nothing that the panel says then is to be trusted.",
        ),
        template(
            "condenses",
            Warn,
            "Steam would condense in the dry leg, which is cooler than {saturation}: the leg fills with water, and nothing that the panel says \
             then is to be trusted.",
        ),
        template(
            "saturated-low",
            Warn,
            "The signal is at its end, {current}: the panel says {panel-percent} and nothing lower, wherever the water goes.",
        ),
        template(
            "saturated-high",
            Warn,
            "The signal is at its end, {current}: the panel says {panel-percent} and nothing higher, wherever the water goes.",
        ),
        template(
            "past-low",
            Warn,
            "The water stands below: {marks}. Trips are independent of this loop, which never vouches for them.",
        ),
        template(
            "past-high",
            Warn,
            "The water stands above: {marks}. Trips are independent of this loop, which never vouches for them.",
        ),
        template(
            "reads-high",
            Plain,
            "The panel says {panel-percent}, the vessel holds {true-percent}: it reads {error} of span high.",
        ),
        template(
            "reads-low",
            Plain,
            "The panel says {panel-percent}, the vessel holds {true-percent}: it reads {error} of span low.",
        ),
        template(
            "agrees",
            Plain,
            "The panel says {panel-percent}, and that is what the vessel holds.",
        ),
        template(
            "glass-low",
            Plain,
            "The glass stands {glass-difference} below the vessel's level: its water is cooler, so less of it weighs as much.",
        ),
        template(
            "glass-high",
            Plain,
            "The glass stands {glass-difference} above the vessel's level.",
        ),
        template(
            "glass-true",
            Plain,
            "The glass stands where the vessel does.",
        ),
    ];
    templates.sort_by_key(|template| template.gravity);
    templates
}

/// What an empty and what a full glass mean.
const fn glass_words(kind: VesselKind) -> (&'static str, &'static str) {
    if kind.is_fired() {
        (
            "The glass is empty: it tells no level. An empty glass on a fired vessel is an emergency: follow the plant's procedure and local \
             code; stop firing and do not feed. Feeding a boiler whose heated surface may be bare can destroy it.",
            "The glass is full: it tells no level, only that the water stands above it. Treat it as high water: follow the plant's \
             procedure and local code.",
        )
    } else {
        (
            "The glass is empty: it tells no level, only that the water stands below it. Protect the pumps that draw from the vessel and find out why.",
            "The glass is full: it tells no level, only that the water stands above it. Stop feeding and find out why.",
        )
    }
}

/// Marks that are told of when the water has passed them: alarms, trips, the overflow, with the side that is past.
pub fn passable<'a>(described: &Loop, sheets: &'a Sheets) -> Vec<(&'a LevelMark, bool)> {
    let set_point_m = described.limits.set_point_m;
    sheets
        .level_map
        .marks
        .iter()
        .filter(|mark| {
            matches!(
                mark.kind,
                MarkKind::Alarm | MarkKind::Trip | MarkKind::Overflow
            )
        })
        .map(|mark| (mark, mark.true_level.m() > set_point_m))
        .collect()
}

/// Values and sentences of a reading.
pub fn said(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    reading: &ElevationReading,
) -> Said {
    let span = described.range.span;
    let level_m = reading.true_level.m();
    let percent = |value: f64| number(value, PERCENT_DECIMALS);
    let true_percent = reading.true_level.percent(span);
    let panel_percent = reading.panel.percent(span);
    let error = printed_difference(panel_percent, true_percent, PERCENT_DECIMALS);
    let glass = match reading.glass {
        Some(GlassReading::Stands(level)) => Some(level.m()),
        _ => None,
    };
    let marks = |is_high: bool| -> String {
        passable(described, sheets)
            .into_iter()
            .filter(|(mark, high)| {
                *high == is_high
                    && if is_high {
                        level_m > mark.true_level.m()
                    } else {
                        level_m < mark.true_level.m()
                    }
            })
            .map(|(mark, _)| mark.name.clone())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let (past_low, past_high) = (marks(false), marks(true));
    let heated_m = described.elevations.highest_heated_surface_m;
    let glass_off = glass.map(|m| display_difference(units, m, level_m));
    let holds = |key: &str| -> bool {
        let saturated = reading.saturated;
        let is_low = reading.wanted_percent < 50.0;
        match key {
            "uncovered" => heated_m.is_some_and(|m| level_m < m),
            "glass-empty" => reading.glass == Some(GlassReading::Empty),
            "glass-full" => reading.glass == Some(GlassReading::Full),
            "blind-below" => reading.blind == Some(Blind::Below),
            "blind-above" => reading.blind == Some(Blind::Above),
            "flashes" => reading.legs.flashes,
            "freezes" => reading.legs.freezes,
            "condenses" => reading.legs.condenses,
            "saturated-low" => saturated && is_low,
            "saturated-high" => saturated && !is_low,
            "past-low" => !past_low.is_empty(),
            "past-high" => !past_high.is_empty(),
            "reads-high" => reading.blind.is_none() && error > 0.0,
            "reads-low" => reading.blind.is_none() && error < 0.0,
            "agrees" => reading.blind.is_none() && error.abs() < f64::MIN_POSITIVE,
            "glass-low" => glass_off.is_some_and(|off| off < 0.0),
            "glass-high" => glass_off.is_some_and(|off| off > 0.0),
            "glass-true" => glass_off.is_some_and(|off| off.abs() < f64::MIN_POSITIVE),
            _ => false,
        }
    };
    let glass_value = match reading.glass {
        Some(GlassReading::Stands(level)) => units.level_text(level.m()),
        Some(GlassReading::Empty) => "empty".to_owned(),
        Some(GlassReading::Full) => "full".to_owned(),
        None => "none".to_owned(),
    };
    let pressure = if described.vessel.kind.holds_steam() {
        units.pressure_gauge_text(reading.condition.pressure)
    } else {
        "open to the air".to_owned()
    };
    let values = vec![
        ("true", units.level_text(level_m)),
        ("true-percent", format!("{} %", percent(true_percent))),
        ("panel", units.level_text(reading.panel.m())),
        ("panel-percent", format!("{} %", percent(panel_percent))),
        ("error", format!("{} %", percent(error.abs()))),
        ("glass", glass_value),
        (
            "glass-difference",
            glass_off.map_or_else(String::new, |off| {
                format!(
                    "{} {}",
                    number(off.abs(), decimals_of(&units.level_number(0.0))),
                    units.level_unit()
                )
            }),
        ),
        ("current", current_text(reading.current_ma)),
        ("panel-note", panel_note(reading).to_owned()),
        ("water", units.temperature_text(reading.condition.water_k)),
        ("pressure", pressure),
        (
            "leg",
            units.temperature_text(reading.condition.reference_leg_k),
        ),
        ("saturation", units.temperature_text(reading.saturation_k)),
        ("freezing", units.temperature_text(273.15)),
    ];
    let sentences = templates(described)
        .into_iter()
        .filter(|template| holds(template.key))
        .map(|template| {
            let marks = if template.key == "past-low" {
                &past_low
            } else {
                &past_high
            };
            let mut text = fill(&template.text, &values);
            text = text.replace("{marks}", marks);
            Sentence {
                key: template.key,
                gravity: template.gravity,
                text,
            }
        })
        .collect();
    Said { values, sentences }
}

/// What stands under the panel's marker.
const fn panel_note(reading: &ElevationReading) -> &'static str {
    match (reading.blind, reading.saturated) {
        (Some(_), _) => BLIND_NOTE,
        (None, true) => SATURATED_NOTE,
        (None, false) => "",
    }
}

/// A template with its values.
fn fill(template: &str, values: &[(&'static str, String)]) -> String {
    let mut text = template.to_owned();
    for (name, value) in values {
        text = text.replace(&format!("{{{name}}}"), value);
    }
    text
}

/// Difference of two values as printed, so that a reader who subtracts them gets it.
fn printed_difference(left: f64, right: f64, decimals: usize) -> f64 {
    let whole = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    ((left * whole).round() - (right * whole).round()) / whole
}

/// Difference of two levels in the reader's unit, as printed.
fn display_difference(units: &DisplayUnits, left_m: f64, right_m: f64) -> f64 {
    let decimals = decimals_of(&units.level_number(0.0));
    printed_difference(units.level(left_m).0, units.level(right_m).0, decimals)
}

/// Decimals of a number as printed.
fn decimals_of(text: &str) -> usize {
    text.split_once('.').map_or(0, |(_, digits)| digits.len())
}

#[cfg(test)]
#[path = "elevation/tests.rs"]
mod tests;
