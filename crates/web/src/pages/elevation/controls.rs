//! The controls: water temperature, leg temperature and level, what was asked of them, and the named conditions.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::condition::{self, described_leg_k};
use halfglass_core::measurement::elevation::{ElevationReading, elevation_ends};
use halfglass_core::quantity::AbsolutePressure;
use halfglass_loopfile::quantity_text::{Dimension, parse};
use halfglass_report::elevation::said;
use halfglass_report::units::DisplayUnits;
use serde::Deserialize;

use super::no_reading;
use crate::refusal::Refusal;

/// What an address asks for: numbers in K and m, or with units.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    #[serde(default)]
    water: String,
    #[serde(default)]
    leg: String,
    #[serde(default)]
    level: String,
}

/// Where the controls stand.
#[derive(Debug)]
pub(super) struct Place {
    pub(super) water_k: f64,
    pub(super) leg_k: f64,
    pub(super) level_m: f64,
    pub(super) notes: Vec<String>,
}

impl Asked {
    /// Was a place asked for.
    pub(super) fn is_anything(&self) -> bool {
        [&self.water, &self.leg, &self.level]
            .iter()
            .any(|text| !text.trim().is_empty())
    }

    /// The place asked for; what was not asked is as in normal service at the set point. What lies beyond a control's end
    /// is drawn at the end, and a note says so.
    pub(super) fn place(
        &self,
        described: &Loop,
        sheets: &Sheets,
        units: &DisplayUnits,
    ) -> Result<Place, Refusal> {
        let ends = elevation_ends(described).map_err(|error| no_reading(&error.to_string()))?;
        let map = &sheets.level_map;
        let mut notes = Vec::new();
        let mut place = |text: &str, dimension, usual: f64, [low, high]: [f64; 2], name: &str| {
            let value = if text.trim().is_empty() {
                usual
            } else {
                number_of(text, dimension, name)?
            };
            let inside = value.clamp(low, high);
            // The picture's own ends come back rounded.
            if (value - inside).abs() > 1e-3 {
                let print = |value: f64| match dimension {
                    Dimension::Length => units.level_text(value),
                    _ => units.temperature_text(value),
                };
                notes.push(format!(
                    "The {name} asked for, {}, is beyond what is drawn; drawn is {}.",
                    print(value),
                    print(inside)
                ));
            }
            Ok::<f64, Refusal>(inside)
        };
        let normal = &sheets.range.normal;
        let water_k = place(
            &self.water,
            Dimension::Temperature,
            normal.water_k,
            ends.water_k,
            "water temperature",
        )?;
        let leg_k = place(
            &self.leg,
            Dimension::Temperature,
            normal.reference_leg_k,
            ends.leg_k,
            "leg temperature",
        )?;
        let level_m = place(
            &self.level,
            Dimension::Length,
            described.limits.set_point_m,
            [map.shell_bottom_m, map.shell_top_m],
            "level",
        )?;
        Ok(Place {
            water_k,
            leg_k,
            level_m,
            notes,
        })
    }
}

/// A bare number is in SI; anything else has its unit.
fn number_of(text: &str, dimension: Dimension, name: &str) -> Result<f64, Refusal> {
    if let Ok(number) = text.trim().parse::<f64>()
        && number.is_finite()
    {
        return Ok(number);
    }
    parse(text, dimension)
        .map(|quantity| quantity.value)
        .map_err(|error| {
            Refusal::bad(
                "quantity",
                format!("the {name} asked for {error}"),
                error.help().unwrap_or_else(|| {
                    "Write a number and its unit, for instance `300 mm` or `120 degC`.".into()
                }),
            )
        })
}

/// One control.
#[derive(Debug)]
pub(super) struct Control {
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) value: f64,
    /// Value in words with its unit, as an eye and an ear get it.
    pub(super) words: String,
    pub(super) least_words: String,
    pub(super) most_words: String,
    /// How far a key moves it: a little, and a page.
    pub(super) step: f64,
    pub(super) page: f64,
}

/// A condition with a name.
#[derive(Debug)]
pub(super) struct Named {
    pub(super) words: &'static str,
    pub(super) value: String,
    pub(super) address: String,
    pub(super) water_k: f64,
    pub(super) leg_k: f64,
    pub(super) is_here: bool,
    /// Where it is on the control, thousandths.
    pub(super) at: f64,
    /// Where its name is, thousandths.
    pub(super) name_at: f64,
}

/// All of them.
#[derive(Debug)]
pub(super) struct Controls {
    pub(super) water: Control,
    pub(super) leg: Control,
    pub(super) level: Control,
    pub(super) leg_name: &'static str,
    /// Surveyed leg temperature: its words and its place, thousandths.
    pub(super) surveyed: (String, f64),
    pub(super) named: Vec<Named>,
}

/// A tenth of a percent of a control tells two places apart.
fn is_same(left: f64, right: f64, [least, most]: [f64; 2]) -> bool {
    (left - right).abs() <= 1e-3 * (most - least)
}

impl Controls {
    pub(super) fn of(
        described: &Loop,
        sheets: &Sheets,
        units: &DisplayUnits,
        reading: &ElevationReading,
        address: &str,
    ) -> Result<Self, Refusal> {
        let ends = elevation_ends(described).map_err(|error| no_reading(&error.to_string()))?;
        let map = &sheets.level_map;
        let words = said(described, sheets, units, reading);
        let at = &reading.condition;
        let (level_m, leg_k) = (reading.true_level.m(), at.reference_leg_k);
        let vessel_m = [map.shell_bottom_m, map.shell_top_m];
        let temperature = |value: f64, [least, most]: [f64; 2]| Control {
            least,
            most,
            value,
            words: units.temperature_text(value),
            least_words: units.temperature_text(least),
            most_words: units.temperature_text(most),
            // One degree of the reader's, and ten.
            step: 1.0 / (units.temperature(1.0).0 - units.temperature(0.0).0),
            page: 10.0 / (units.temperature(1.0).0 - units.temperature(0.0).0),
        };
        let mut water = temperature(at.water_k, ends.water_k);
        water.words = format!("{}, {}", words.value("water"), words.value("pressure"));
        if described.vessel.kind.holds_steam() {
            let gauge = |pressure: AbsolutePressure| units.pressure_gauge_text(pressure);
            let pressures = &described.pressures;
            water.least_words = format!("{}, {}", water.least_words, gauge(pressures.start_up));
            water.most_words = format!("{}, {}", water.most_words, gauge(pressures.safety_valve));
        }
        let span_m = described.range.span.height_m();
        let level = Control {
            least: vessel_m[0],
            most: vessel_m[1],
            value: level_m,
            words: format!("{}, {}", words.value("true"), words.value("true-percent")),
            least_words: format!("empty, {}", units.level_text(vessel_m[0])),
            most_words: format!("full, {}", units.level_text(vessel_m[1])),
            step: 0.01 * span_m,
            page: 0.1 * span_m,
        };
        let surveyed_k = described_leg_k(described);
        let share = |value: f64, [least, most]: [f64; 2]| {
            (1000.0 * (value - least) / (most - least)).clamp(0.0, 1000.0)
        };
        Ok(Self {
            named: named(described, units, address, reading, ends.water_k, ends.leg_k)?,
            water,
            leg: temperature(leg_k, ends.leg_k),
            level,
            leg_name: halfglass_report::leg_of_temperature(&described.reference_leg),
            surveyed: (
                units.temperature_text(surveyed_k),
                share(surveyed_k, ends.leg_k),
            ),
        })
    }
}

/// The named conditions, each once.
fn named(
    described: &Loop,
    units: &DisplayUnits,
    address: &str,
    reading: &ElevationReading,
    water_k: [f64; 2],
    leg_k: [f64; 2],
) -> Result<Vec<Named>, Refusal> {
    let conditions = condition::named(described).map_err(|error| no_reading(&error.to_string()))?;
    let holds_steam = described.vessel.kind.holds_steam();
    let level_m = reading.true_level.m();
    let mut named: Vec<Named> = Vec::new();
    for at in conditions {
        let words = match at.name.as_str() {
            condition::START_UP => "cold start-up",
            condition::LOWEST => "lowest",
            condition::NORMAL => "normal",
            condition::HIGHEST => "highest",
            condition::SAFETY_VALVE => "safety valve set",
            _ => continue,
        };
        let is_boiling = holds_steam && at.name != condition::START_UP;
        let here = &reading.condition;
        let (to_k, leg) = (
            at.water_k.clamp(water_k[0], water_k[1]),
            at.reference_leg_k.clamp(leg_k[0], leg_k[1]),
        );
        named.push(Named {
            words,
            value: if is_boiling {
                units.pressure_gauge_text(at.pressure)
            } else {
                units.temperature_text(at.water_k)
            },
            address: format!("{address}?water={to_k:.3}&leg={leg:.3}&level={level_m:.5}"),
            is_here: is_same(here.water_k, to_k, water_k)
                && is_same(here.reference_leg_k, leg, leg_k),
            at: 1000.0 * (to_k - water_k[0]) / (water_k[1] - water_k[0]),
            name_at: 0.0,
            water_k: to_k,
            leg_k: leg,
        });
    }
    named.sort_by(|left, right| left.water_k.total_cmp(&right.water_k));
    let count = named.len() as f64;
    for (name, index) in named.iter_mut().zip(0_u32..) {
        name.name_at = 1000.0 * (f64::from(index) + 0.5) / count;
    }
    Ok(named)
}
