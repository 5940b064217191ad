//! What holds for the loop drawing: every wire of the list has its number on it, every shield its earth.

use halfglass_report::block::FigureId;
use roxmltree::{Document, Node};

use crate::fixture::{Case, FULL, SPARSE, case, cases};
use crate::tests::draw;

/// Loops whose list of connections is computed from the wires that are drawn.
fn wired() -> impl Iterator<Item = &'static Case> {
    cases()
        .iter()
        .filter(|case| ![FULL, SPARSE].contains(&case.name) && case.described.wiring.is_some())
}

fn groups<'a>(document: &'a Document<'a>, class: &str) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|node| node.attribute("class") == Some(class))
        .collect()
}

#[test]
fn property_every_wire_of_the_list_is_drawn_with_its_number() {
    let mut drawings = 0;
    for case in wired() {
        let text = draw(FigureId::LoopDrawing, case, &case.sheets);
        let document = Document::parse(&text).expect(case.name);
        let mut drawn: Vec<usize> = groups(&document, "wire-number")
            .iter()
            .filter_map(|node| node.descendants().find(|n| n.has_tag_name("text")))
            .filter_map(|node| node.text()?.parse().ok())
            .collect();
        drawn.sort_unstable();
        let sheet = case.sheets.wiring.as_ref().expect("wires make a sheet");
        let listed: Vec<usize> = sheet.connections.iter().map(|wire| wire.number).collect();
        assert_eq!(drawn, listed, "{}", case.name);
        drawings += 1;
    }
    assert!(drawings >= 5);
}

#[test]
fn property_shields_and_protective_earth_are_drawn_as_listed() {
    for case in wired() {
        let text = draw(FigureId::LoopDrawing, case, &case.sheets);
        let document = Document::parse(&text).expect(case.name);
        let sheet = case.sheets.wiring.as_ref().expect("wires make a sheet");
        for (class, carries) in [
            ("shield", "shield"),
            ("protective-earth", "protective earth"),
        ] {
            let listed = sheet
                .connections
                .iter()
                .filter(|wire| wire.carries == carries)
                .count();
            assert_eq!(groups(&document, class).len(), listed, "{}", case.name);
        }
    }
}

/// A shield found earthed at both ends is drawn so, and the end to lift is named; one end is common practice.
#[test]
fn practice_a_shield_at_both_ends_is_not_drawn_as_one() {
    let mut both = case("laundry-shell-boiler").described.clone();
    let sheets = &case("laundry-shell-boiler").sheets;
    let lines = |described: &halfglass_core::description::Loop| {
        let units = halfglass_report::units::DisplayUnits::of(described);
        let text = crate::svg(FigureId::LoopDrawing, described, sheets, &units);
        let document = Document::parse(&text).expect("well formed");
        groups(&document, "shield")
            .iter()
            .map(|node| {
                node.descendants()
                    .filter(|n| n.has_tag_name("line"))
                    .count()
            })
            .sum::<usize>()
    };
    let once = lines(&both);
    both.wiring.as_mut().expect("has wires").shield_earth = "at both ends".into();
    // Each earth is the stem and three bars.
    assert_eq!(once % 4, 0);
    assert_eq!(lines(&both), 2 * once);
    let text = crate::svg(
        FigureId::LoopDrawing,
        &both,
        sheets,
        &halfglass_report::units::DisplayUnits::of(&both),
    );
    assert!(!text.contains("earthed here only") && text.contains("lift the field end"));
}
