//! What holds for the elevation in both layouts.

use std::collections::HashSet;

use halfglass_core::measurement::elevation::{elevation_ends, elevation_reading};
use halfglass_core::quantity::TrueLevel;
use halfglass_report::elevation::said;
use roxmltree::{Document, Node};

use super::*;
use crate::fixture::{Case, cases};

const LAYOUTS: [Layout; 2] = [Layout::Wide, Layout::Narrow];

/// Both drawings of every loop: cold, normal and at the safety valve; empty, at the set point and full.
fn for_each(check: impl Fn(&str, &Case, &ElevationReading, &Document<'_>)) {
    for case in cases() {
        let Case {
            name,
            described,
            sheets,
        } = case;
        let Ok(ends) = elevation_ends(described) else {
            continue;
        };
        let units = DisplayUnits::of(described);
        let map = &sheets.level_map;
        let leg_k = sheets.range.normal.reference_leg_k;
        for water_k in [
            ends.water_k[0],
            sheets
                .range
                .normal
                .water_k
                .clamp(ends.water_k[0], ends.water_k[1]),
            ends.water_k[1],
        ] {
            for level_m in [
                map.shell_bottom_m,
                described.limits.set_point_m,
                map.shell_top_m,
            ] {
                let level = TrueLevel::from_m(level_m);
                let Ok(reading) =
                    elevation_reading(described, sheets.range.chosen, water_k, leg_k, level)
                else {
                    continue;
                };
                let words = said(described, sheets, &units, &reading);
                for layout in LAYOUTS {
                    let drawing = ElevationDrawing {
                        described,
                        sheets,
                        units: &units,
                        reading: &reading,
                        said: &words,
                        sheets_address: "/loops/a/sheets/",
                    };
                    let text = elevation(&drawing, layout);
                    assert!(!text.contains("NaN") && !text.contains("inf\""), "{name}");
                    let document = Document::parse(&text).expect(name);
                    check(&format!("{name} {layout:?}"), case, &reading, &document);
                }
            }
        }
    }
}

fn of_class<'a, 'b>(document: &'a Document<'b>, class: &str) -> Vec<Node<'a, 'b>> {
    document
        .descendants()
        .filter(|n| n.attribute("class") == Some(class))
        .collect()
}

fn moved_by(node: Node<'_, '_>) -> f64 {
    let text = node.attribute("transform").unwrap();
    text.trim_start_matches("translate(0 ")
        .trim_end_matches(')')
        .parse()
        .unwrap()
}

#[test]
fn property_ids_are_unique_even_with_both_on_one_page() {
    for_each(|name, _, _, document| {
        let ids: Vec<&str> = document
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .collect();
        let unique: HashSet<&&str> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "{name}: {ids:?}");
        let is_narrow = name.ends_with("Narrow");
        assert!(
            ids.iter()
                .all(|id| id.starts_with("elevation-narrow-") == is_narrow),
            "{name}: {ids:?}"
        );
    });
}

/// The map that the script moves by puts water and markers where the drawing has them.
#[test]
fn property_live_parts_stand_where_the_map_says() {
    for_each(|name, case, reading, document| {
        let live = of_class(document, "live")[0];
        let number = |key: &str| -> f64 { live.attribute(key).unwrap().parse().unwrap() };
        let place = |m: f64| {
            (number("data-y-at-zero") + number("data-y-per-m") * m)
                .clamp(number("data-y-top"), number("data-y-bottom"))
        };
        for (class, m) in [
            ("water", reading.true_level.m()),
            ("marker true", reading.true_level.m()),
            ("marker panel", reading.panel.m()),
        ] {
            let parts = of_class(document, class);
            assert_eq!(parts.len(), 1, "{name} {class}");
            assert!(
                (moved_by(parts[0]) - place(m)).abs() < 0.02,
                "{name} {class}"
            );
        }
        let markers = of_class(document, "marker glass");
        assert_eq!(markers.len(), usize::from(case.described.glass.is_some()));
        if let Some(marker) = markers.first() {
            let at = moved_by(*marker);
            assert!(
                (moved_by(of_class(document, "glass-water")[0]) - at).abs() < 0.02,
                "{name}"
            );
            assert!(
                at >= number("data-glass-top") - 0.02 && at <= number("data-glass-bottom") + 0.02,
                "{name}"
            );
        }
        for (class, word) in [("marker true", "true"), ("marker panel", "panel")] {
            let value = of_class(document, class)[0]
                .children()
                .find(|n| n.attribute("class") == Some("value"))
                .unwrap();
            let units = DisplayUnits::of(&case.described);
            let words = said(&case.described, &case.sheets, &units, reading);
            assert_eq!(value.text(), Some(words.value(word)), "{name}");
        }
    });
}

#[test]
fn property_parts_are_links_with_names_and_room_for_a_finger() {
    for_each(|name, case, _, document| {
        let links = of_class(document, "part");
        let mut wanted = vec!["survey", "error-map", "range"];
        if case.described.glass.is_some() {
            wanted.push("glass");
        }
        // The valve's sign fits under the names of every example.
        if name.ends_with("Wide") {
            wanted.push("feedwater");
        }
        for sheet in wanted {
            let address = format!("/loops/a/sheets/{sheet}");
            assert!(
                links.iter().any(|n| n.attribute("href") == Some(&address)),
                "{name}: {sheet}"
            );
        }
        for link in links {
            assert!(!link.attribute("aria-label").unwrap().is_empty());
            let hit = link
                .children()
                .find(|n| n.attribute("class") == Some("hit"))
                .unwrap();
            for side in ["width", "height"] {
                let size: f64 = hit.attribute(side).unwrap().parse().unwrap();
                assert!(
                    size >= 44.0,
                    "{name}: {} {side} {size}",
                    link.attribute("href").unwrap()
                );
            }
        }
    });
}

#[test]
fn property_no_style_and_no_script_in_the_drawing() {
    for_each(|name, _, _, document| {
        for node in document.descendants().filter(Node::is_element) {
            assert!(
                !matches!(node.tag_name().name(), "script" | "style" | "image"),
                "{name}"
            );
            for attribute in node.attributes() {
                assert!(
                    attribute.name() != "style" && !attribute.name().starts_with("on"),
                    "{name}"
                );
            }
        }
    });
}
