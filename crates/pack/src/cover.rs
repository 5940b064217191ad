//! Cover: what the pack is, the vessel and loop in words, the main numbers, cautions, sign-off.

use halfglass_core::description::{Loop, Paper, RangeMethod};
use halfglass_core::design::Sheets;
use halfglass_core::finding::Severity;
use halfglass_report::cautions;
use halfglass_report::sections::setting_text;
use halfglass_report::units::{DisplayUnits, number, percent_text};
use serde_json::{Value, json};

use crate::encode::severity_counts;
use crate::pack::PackInput;
use crate::words;

/// Digits of the loop file's hash that every page carries.
pub(crate) const HASH_DIGITS: usize = 12;

/// Everything but the parts.
pub(crate) fn document(input: &PackInput<'_>) -> Value {
    let identity = &input.the_loop.identity;
    let mut keywords = vec![
        "level loop".to_owned(),
        "commissioning".to_owned(),
        words::vessel(input.the_loop.vessel.kind).to_owned(),
        identity.tag.clone(),
        format!("revision {}", identity.revision),
        format!("sha256 {}", input.sha256),
    ];
    keywords.retain(|keyword| !keyword.trim().is_empty());
    json!({
        "title": format!("Commissioning pack {} {}", identity.tag, identity.service),
        "description": format!("Level loop {} at {}: sheets and commissioning steps from loop file {}", identity.tag, identity.plant, input.file_name),
        "authors": authors(input.the_loop),
        "keywords": keywords,
        "paper": match identity.paper { Paper::Letter => "us-letter", Paper::A4 => "a4" },
        "tag": identity.tag,
        "service": identity.service,
        "file": input.file_name,
        "revision": identity.revision,
        "hash": input.sha256.chars().take(HASH_DIGITS).collect::<String>(),
        "draft": input.the_loop.placeholders.len(),
        "placeholders": placeholders(input.the_loop),
        "cover": cover(input),
    })
}

/// Most invented values that the cover names.
const NAMED_PLACEHOLDERS: usize = 12;

/// The values that the file marks as invented, the first of them by name.
fn placeholders(described: &Loop) -> String {
    let named = &described.placeholders;
    let more = named.len().saturating_sub(NAMED_PLACEHOLDERS);
    let mut words = named
        .iter()
        .take(NAMED_PLACEHOLDERS)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    if more > 0 {
        words.push_str(&format!(" and {more} more"));
    }
    words
}

/// People with the role engineer, or the program.
fn authors(described: &Loop) -> Vec<String> {
    let engineers: Vec<String> = described
        .people
        .iter()
        .filter(|person| person.role.to_lowercase().contains("engineer"))
        .map(|person| person.name.clone())
        .collect();
    if engineers.is_empty() {
        vec!["halfglass".to_owned()]
    } else {
        engineers
    }
}

fn cover(input: &PackInput<'_>) -> Value {
    let (described, sheets) = (input.the_loop, input.sheets);
    let counts = severity_counts(sheets.findings.iter().map(|finding| finding.severity));
    let stops = counts
        .iter()
        .any(|(severity, _)| *severity == Severity::Stop);
    json!({
        "tag": described.identity.tag,
        "service": described.identity.service,
        "plant": described.identity.plant,
        "scope": scope(input),
        "numbers": numbers(described, sheets, input.units),
        "counts": counts.iter().map(|(severity, count)| json!([severity.word(), count])).collect::<Vec<_>>(),
        "findings-words": if stops {
            "Do not put this loop in service before every STOP is cleared; see Findings."
        } else if counts.is_empty() {
            "none: nothing odd was found in the loop as described."
        } else {
            "see Findings."
        },
        "cautions": cautions_of(described),
        "signers": SIGNERS,
        "people": people(described),
    })
}

fn scope(input: &PackInput<'_>) -> Vec<String> {
    let (described, units) = (input.the_loop, input.units);
    let tuning = &input.sheets.tuning;
    let elevations = &described.elevations;
    let taps = elevations.upper_tap_m.map_or_else(
        || "one tap".to_owned(),
        |upper| format!("taps {} apart", units.level_text(upper)),
    );
    let pressure = if described.vessel.kind.holds_steam() {
        format!(
            ", normally at {} (safety valve {})",
            units.pressure_gauge_text(described.pressures.normal),
            units.pressure_gauge_text(described.pressures.safety_valve),
        )
    } else {
        ", open to the air".to_owned()
    };
    let glass = if described.glass.is_some() {
        "a gauge glass"
    } else {
        "no gauge glass"
    };
    vec![
        format!(
            "This pack covers the measurement and control side of one level loop, from survey to hand-over. It is computed from loop file {} \
             and holds for that file only: its revision and hash stand at the foot of every page. It does not cover {}.",
            input.file_name,
            words::not_covered(described.vessel.kind),
        ),
        format!(
            "The vessel is a {}{pressure}, with {taps}, {} and {glass}. The differential-pressure cell sits {} below the lower tap, {}. \
             Full-valve flow is {} ({}).",
            words::vessel(described.vessel.kind),
            words::reference_leg(&described.reference_leg),
            units.level_text(described.cell.below_lower_tap_m),
            words::ports(described.cell.polarity),
            units.flow_text(tuning.full_valve_flow_kg_s),
            tuning.full_valve_flow_source,
        ),
    ]
}

fn numbers(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<Value> {
    let range = &sheets.range;
    let span = described.range.span;
    let row = |label: &str, value: String, note: String| json!({ "label": label, "value": value, "note": note });
    // The panel's 0 and 100 % stand for other true levels where the range is not exact at normal pressure.
    let end = |percent: f64, shown_m: f64| {
        let level = range
            .test_points
            .iter()
            .find(|point| (point.percent - percent).abs() < 0.5)
            .map_or(shown_m, |point| point.true_level.m());
        format!(
            "panel {}; true level then {} {}",
            units.level_text(shown_m),
            units.level_text(level),
            words::in_service(described.vessel.kind)
        )
    };
    let mut rows = vec![
        row(
            "cell, 4 mA end",
            units.differential_text(range.cell_ends_pa.0),
            units.differential_beside_text(range.cell_ends_pa.0),
        ),
        row(
            "cell, 20 mA end",
            units.differential_text(range.cell_ends_pa.1),
            units.differential_beside_text(range.cell_ends_pa.1),
        ),
        row(
            "panel 0 %",
            units.differential_text(range.chosen.lrv_pa),
            end(0.0, span.at_0_percent_m),
        ),
        row(
            "panel 100 %",
            units.differential_text(range.chosen.urv_pa),
            end(100.0, span.at_100_percent_m),
        ),
        row(
            "range chosen",
            match range.method {
                RangeMethod::Normal => "hot range".to_owned(),
                RangeMethod::Best => "best range".to_owned(),
            },
            match range.method {
                RangeMethod::Normal if !described.vessel.kind.holds_steam() => {
                    format!("exact {}", words::in_service(described.vessel.kind))
                }
                RangeMethod::Normal => format!(
                    "exact at {}",
                    units.pressure_gauge_text(described.pressures.normal)
                ),
                RangeMethod::Best => {
                    format!(
                        "worst error {} of span over the band",
                        percent_text(range.best.worst_error_percent)
                    )
                }
            },
        ),
        row(
            "set point",
            units.level_text(described.limits.set_point_m),
            format!(
                "{} of span, true level",
                percent_text(
                    100.0 * (described.limits.set_point_m - span.at_0_percent_m) / span.height_m()
                ),
            ),
        ),
    ];
    for setting in &sheets.settings.rows {
        if ["gain", "reset", "derivative", "action"].contains(&setting.term) {
            // Action follows from the signs of the loop; the rest is a forecast until the bump test.
            let forecast = (setting.term != "action").then(|| "FORECAST".to_owned());
            let mark = setting
                .device_mark
                .as_ref()
                .map(|mark| format!("on the device: {mark}"));
            let mark = forecast
                .into_iter()
                .chain(mark)
                .collect::<Vec<_>>()
                .join("; ");
            rows.push(row(
                &setting.name,
                setting_text(described, setting, units),
                mark,
            ));
        }
    }
    rows.push(row(
        "peak deviation",
        units.level_text(sheets.tuning.chosen.peak_true_deviation_m),
        format!(
            "FORECAST, {} allowed; Ms {}",
            units.level_text(sheets.tuning.allowed_deviation_m),
            number(sheets.tuning.chosen.max_sensitivity_ratio, 2),
        ),
    ));
    rows
}

fn cautions_of(described: &Loop) -> Vec<String> {
    let mut lines = vec![words::trips_are_independent(described.vessel.kind)];
    lines.push(cautions::scalding(described.vessel.kind).to_owned());
    if described.glass.is_some() {
        lines.push(cautions::empty_glass(described.vessel.kind).to_owned());
    }
    if described.vessel.kind.is_fired() {
        lines.push(
            "Never leave a boiler unattended with a trip bypassed. Slow-drain tests need two people, at low fire.".to_owned(),
        );
    }
    lines.push(cautions::WHO_DECIDES.to_owned());
    lines
}

/// Roles of the sign-off; who signs writes the name.
const SIGNERS: [&str; 4] = [
    "Prepared by",
    "Checked by",
    "Commissioned by",
    "Accepted for operation by",
];

/// People that the loop file names, for whom the sign-off leaves its lines blank.
fn people(described: &Loop) -> String {
    let named: Vec<String> = described
        .people
        .iter()
        .map(|person| format!("{}: {}", person.role, person.name))
        .collect();
    if named.is_empty() {
        String::new()
    } else {
        format!("Named in the loop file: {}.", named.join("; "))
    }
}
