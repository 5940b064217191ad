//! Loss of signal, reserves, level map.

use halfglass_core::description::Loop;
use halfglass_core::level_map::{Blind, LevelMapSheet, MarkKind};
use halfglass_core::protection::sheets::{Outcome, SignalLossSheet};
use serde_json::{Value, json};

pub(super) fn signal_loss(sheet: &SignalLossSheet) -> Value {
    json!({
        "failures": sheet.rows.iter().map(|row| json!({
            "failure": row.failure,
            "controller_does": row.controller_does,
            "valve_does": row.valve_does,
            "outcome": outcome(row.outcome),
            "time_s": row.minutes.map(|minutes| 60.0 * minutes),
            "time_to": row.minutes_to,
            "both_ways": row.both_ways.as_ref().map(|both| json!({
                "falling_time_s": both.falling_minutes.map(|minutes| 60.0 * minutes),
                "falling_to": both.falling_to,
                "rising_time_s": both.rising_minutes.map(|minutes| 60.0 * minutes),
                "rising_to": both.rising_to,
            })),
            "caught_by": row.caught_by,
        })).collect::<Vec<_>>(),
        "reserves": sheet.reserves.iter().map(|reserve| json!({
            "from": reserve.from,
            "to": reserve.to,
            "mass_kg": reserve.mass_kg,
            "time_s": 60.0 * reserve.minutes,
        })).collect::<Vec<_>>(),
        "cold_fill": sheet.cold_fill.map(|fill| json!({
            "fill_k": fill.fill_k,
            "cold_true_level_m": fill.cold_level_m,
            "hot_true_level_m": fill.hot_level_m,
            "volume_ratio": fill.volume_ratio,
            "condensed_ratio": fill.condensed_ratio,
        })),
        "cool_down": sheet.cool_down.map(|cool_down| json!({
            "pressure_pa_abs": cool_down.pressure_pa,
            "cell_limit_pa_abs": cool_down.cell_limit_pa,
            "vacuum_breaker": cool_down.vacuum_breaker,
            "exceeds": cool_down.exceeds,
        })),
    })
}

const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Starves => "starves",
        Outcome::Floods => "floods",
        Outcome::Drifts => "drifts",
    }
}

pub(super) fn level_map(described: &Loop, map: &LevelMapSheet) -> Value {
    let span = described.range.span;
    json!({
        "shell_bottom_m": map.shell_bottom_m,
        "shell_top_m": map.shell_top_m,
        "marks": map.marks.iter().map(|mark| json!({
            "name": mark.name,
            "kind": kind(mark.kind),
            "true_level_m": mark.true_level.m(),
            "true_level_percent": mark.true_level.percent(span),
            "indicated_level_hot_m": mark.indicated_hot.map(|level| level.m()),
            "indicated_level_cold_m": mark.indicated_cold.map(|level| level.m()),
            "glass_level_hot_m": mark.glass_hot.map(|level| level.m()),
            "glass_level_cold_m": mark.glass_cold.map(|level| level.m()),
            "blind": mark.blind.map(|blind| match blind {
                Blind::Above => "above",
                Blind::Below => "below",
            }),
        })).collect::<Vec<_>>(),
        "separations": map.separations.iter().map(|row| json!({
            "upper": row.upper,
            "lower": row.lower,
            "distance_m": row.distance_m,
            "enough": row.enough,
        })).collect::<Vec<_>>(),
    })
}

const fn kind(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::Tap => "tap",
        MarkKind::PotLip => "pot-lip",
        MarkKind::Glass => "glass",
        MarkKind::SetPoint => "set-point",
        MarkKind::Alarm => "alarm",
        MarkKind::Trip => "trip",
        MarkKind::HeatedSurface => "heated-surface",
        MarkKind::Shell => "shell",
        MarkKind::Overflow => "overflow",
    }
}
