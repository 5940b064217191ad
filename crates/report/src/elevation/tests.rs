//! Words of the elevation: each appears when it must and not before.

use halfglass_core::level_map::MarkKind;
use halfglass_core::measurement::elevation::{elevation_ends, elevation_reading, elevation_table};
use halfglass_core::quantity::TrueLevel;

use super::*;
use crate::fixture;

fn at(described: &Loop, sheets: &Sheets, water_k: f64, leg_k: f64, level_m: f64) -> Said {
    let reading = elevation_reading(
        described,
        sheets.range.chosen,
        water_k,
        leg_k,
        TrueLevel::from_m(level_m),
    )
    .unwrap();
    said(described, sheets, &DisplayUnits::of(described), &reading)
}

fn keys(said: &Said) -> Vec<&'static str> {
    said.sentences.iter().map(|sentence| sentence.key).collect()
}

#[test]
fn property_words_appear_when_they_must() {
    let mut seen: Vec<&str> = Vec::new();
    for (described, sheets) in &fixture::all() {
        let Ok(ends) = elevation_ends(described) else {
            continue;
        };
        let map = &sheets.level_map;
        let normal = &sheets.range.normal;
        // Sheets filled in by hand may name a condition that the loop never has.
        let normal_k = normal.water_k.clamp(ends.water_k[0], ends.water_k[1]);
        for water_k in [ends.water_k[0], normal_k, ends.water_k[1]] {
            for step in 0..=40 {
                let share = f64::from(step) / 40.0;
                let level_m = map.shell_bottom_m + share * (map.shell_top_m - map.shell_bottom_m);
                let said = at(described, sheets, water_k, normal.reference_leg_k, level_m);
                let has = |key: &str| keys(&said).contains(&key);
                let told = [
                    "reads-high",
                    "reads-low",
                    "agrees",
                    "blind-below",
                    "blind-above",
                ];
                assert_eq!(told.iter().filter(|key| has(key)).count(), 1, "{said:?}");
                assert_eq!(
                    has("uncovered"),
                    described
                        .elevations
                        .highest_heated_surface_m
                        .is_some_and(|m| level_m < m)
                );
                if let Some(glass) = &described.glass {
                    let sight = [
                        "glass-empty",
                        "glass-full",
                        "glass-low",
                        "glass-high",
                        "glass-true",
                    ];
                    assert_eq!(sight.iter().filter(|key| has(key)).count(), 1, "{said:?}");
                    if level_m < glass.visible_bottom_m.min(glass.lower_connection_m) {
                        assert!(has("glass-empty"), "{said:?}");
                    }
                }
                for mark in map.marks.iter().filter(|mark| mark.kind == MarkKind::Trip) {
                    let is_past = if mark.true_level.m() > described.limits.set_point_m {
                        level_m > mark.true_level.m()
                    } else {
                        level_m < mark.true_level.m()
                    };
                    let told = said.sentences.iter().any(|sentence| {
                        sentence.key.starts_with("past-") && sentence.text.contains(&mark.name)
                    });
                    assert_eq!(told, is_past, "{} {said:?}", mark.name);
                }
                assert!(said.sentences.is_sorted_by_key(|sentence| sentence.gravity));
                for sentence in &said.sentences {
                    assert!(!sentence.text.contains(['{', '}']), "{sentence:?}");
                }
                seen.extend(keys(&said));
            }
        }
    }
    for key in [
        "uncovered",
        "glass-empty",
        "glass-full",
        "blind-below",
        "blind-above",
        "saturated-low",
        "saturated-high",
        "past-low",
        "past-high",
        "reads-high",
        "reads-low",
        "glass-low",
    ] {
        assert!(seen.contains(&key), "{key} is never said");
    }
}

#[test]
fn property_legs_that_flash_or_freeze_are_told() {
    let (described, sheets) = &fixture::all()[0];
    let ends = elevation_ends(described).unwrap();
    let level_m = described.limits.set_point_m;
    let boiling_k = elevation_table(described, sheets.range.chosen, 2.0)
        .unwrap()
        .steps[0]
        .saturation_k;
    let cold = |leg_k| keys(&at(described, sheets, ends.water_k[0], leg_k, level_m));
    assert!(cold(boiling_k + 40.0).contains(&"flashes"));
    assert!(!cold(300.0).contains(&"flashes"));
    assert!(cold(260.0).contains(&"freezes"));
    assert!(!cold(300.0).contains(&"freezes"));
}

/// An empty glass on a fired vessel is never less than an emergency.
#[test]
fn property_an_empty_glass_on_a_fired_vessel_is_an_emergency() {
    for (described, _) in &fixture::all() {
        let template = templates(described)
            .into_iter()
            .find(|template| template.key == "glass-empty")
            .unwrap();
        let fired = described.vessel.kind.is_fired();
        assert_eq!(template.gravity == Gravity::Stop, fired);
        assert_eq!(template.text.contains("emergency"), fired);
        assert_eq!(template.text.contains("do not feed"), fired);
    }
}

#[test]
fn property_printed_values_differ_by_the_printed_error() {
    let (described, sheets) = &fixture::all()[0];
    let ends = elevation_ends(described).unwrap();
    for step in 0..50 {
        let share = f64::from(step) / 49.0;
        let water_k = ends.water_k[0] + share * (ends.water_k[1] - ends.water_k[0]);
        let said = at(
            described,
            sheets,
            water_k,
            310.0,
            described.limits.set_point_m,
        );
        let value = |name| {
            said.value(name)
                .trim_end_matches(" %")
                .replace('\u{2212}', "-")
                .parse::<f64>()
                .unwrap()
        };
        let off = (value("panel-percent") - value("true-percent")).abs() - value("error");
        assert!(off.abs() < 1e-9, "{said:?}");
    }
}

#[test]
fn property_the_table_names_every_word_and_places_every_mark() {
    for (described, sheets) in &fixture::all() {
        let Ok(table) =
            elevation_table(described, sheets.range.chosen, sheets.level_map.shell_top_m)
        else {
            continue;
        };
        let json = table_json(described, sheets, &DisplayUnits::of(described), &table);
        for key in json["order"].as_array().unwrap() {
            assert!(json["words"][key.as_str().unwrap()]["text"].is_string());
        }
        assert_eq!(json["steps"].as_array().unwrap().len(), table.steps.len());
        assert!(
            !json.to_string().contains("null,null"),
            "a number is not finite"
        );
    }
}
