//! What must hold for the level map.

use halfglass_core::level_map::MarkKind;
use halfglass_core::quantity::TrueLevel;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;
use roxmltree::Document;

use crate::fixture::{Case, case, cases};
use crate::tests::{draw, inherited, number, texts};

#[test]
fn property_level_map_is_to_scale() {
    for Case {
        name,
        described,
        sheets,
    } in cases()
    {
        let text = draw(FigureId::LevelMap, case(name), sheets);
        let document = Document::parse(&text).unwrap();
        // The first line of a mark's group is its tick on the ruler.
        let ticks: Vec<f64> = document
            .descendants()
            .filter(|n| n.attribute("class").is_some_and(|c| c.starts_with("mark ")))
            .map(|n| number(n.first_element_child().unwrap(), "y1"))
            .collect();
        let marks = &sheets.level_map.marks;
        assert_eq!(ticks.len(), marks.len());
        let (first, last) = (0, marks.len() - 1);
        let per_m = (ticks[last] - ticks[first])
            / (marks[first].true_level.m() - marks[last].true_level.m());
        for (tick, mark) in ticks.iter().zip(marks) {
            let expect = ticks[first] + per_m * (marks[first].true_level.m() - mark.true_level.m());
            // Coordinates are written to a hundredth.
            assert!((tick - expect).abs() < 0.02, "{}", mark.name);
        }
        // The shell has the same scale sideways: its wall path ends half a diameter right of the axis.
        let wall = document
            .descendants()
            .find(|n| n.attribute("class") == Some("vessel"))
            .unwrap()
            .children()
            .find(|n| n.attribute("stroke-width") == Some("3"))
            .unwrap();
        let xs: Vec<f64> = wall
            .attribute("d")
            .unwrap()
            .split(['M', 'L', 'Z'])
            .filter_map(|pair| pair.split(' ').next()?.parse().ok())
            .collect();
        let widest = xs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let half_m = 0.5 * described.vessel.shell.inside_diameter_m();
        assert!(
            ((widest - xs[0]) / per_m - half_m).abs() < 0.01 * half_m,
            "{}",
            name
        );
    }
}

#[test]
fn property_every_mark_is_on_the_level_map_with_its_numbers() {
    for Case {
        name,
        described,
        sheets,
    } in cases()
    {
        let text = draw(FigureId::LevelMap, case(name), sheets);
        let units = DisplayUnits::of(described);
        let document = Document::parse(&text).unwrap();
        let rows: Vec<Vec<String>> = document
            .descendants()
            .filter(|n| n.attribute("class").is_some_and(|c| c.starts_with("mark ")))
            .map(|n| {
                n.children()
                    .filter(|c| c.has_tag_name("text"))
                    .map(|c| c.text().unwrap().to_owned())
                    .collect()
            })
            .collect();
        for (row, mark) in rows.iter().zip(&sheets.level_map.marks) {
            let panel = match (mark.blind, mark.indicated_hot) {
                (None, Some(level)) => units.level_number(level.m()),
                _ => "blind".to_owned(),
            };
            let glass = mark
                .glass_hot
                .map_or("\u{2013}".to_owned(), |level| units.level_number(level.m()));
            let expect = [
                mark.name.clone(),
                units.level_number(mark.true_level.m()),
                panel,
                glass,
            ];
            assert_eq!(row, &expect);
        }
    }
}

#[test]
fn property_kinds_of_marks_differ_without_colour() {
    // Dashes and widths of the leaders, colour left out: set point, alarm, trip and heated surface all differ.
    let boiler = inherited();
    let text = draw(FigureId::LevelMap, boiler, &boiler.sheets);
    let document = Document::parse(&text).unwrap();
    let look = |class: &str| {
        let leader = document
            .descendants()
            .find(|n| n.attribute("class") == Some(class))
            .unwrap()
            .children()
            .find(|n| n.has_tag_name("path"))
            .unwrap();
        (
            leader.attribute("stroke-dasharray").map(str::to_owned),
            leader.attribute("stroke-width").map(str::to_owned),
        )
    };
    let looks: Vec<_> = [
        "mark alarm",
        "mark trip",
        "mark set-point",
        "mark heated-surface",
        "mark tap",
    ]
    .map(look)
    .to_vec();
    for (i, one) in looks.iter().enumerate() {
        for other in &looks[i + 1..] {
            assert_ne!(one, other);
        }
    }
}

#[test]
fn practice_blind_bands_lie_beyond_the_connections() {
    // A wet leg is blind at both ends, an open reference port only below its tap.
    for (name, bands) in [("laundry-shell-boiler", 2), ("brewery-feed-tank", 1)] {
        let text = draw(FigureId::LevelMap, case(name), &case(name).sheets);
        let document = Document::parse(&text).unwrap();
        let blind = document
            .descendants()
            .find(|n| n.attribute("class") == Some("blind"))
            .unwrap();
        let outlines = blind
            .children()
            .filter(|n| {
                // Closed and not filled: the hatching is open lines.
                n.attribute("fill") == Some("none")
                    && n.attribute("d").is_some_and(|d| d.ends_with('Z'))
            })
            .count();
        assert_eq!(outlines, bands, "{name}");
        assert!(
            text.contains("beyond its taps the cell cannot tell"),
            "{name}"
        );
    }
}

#[test]
fn practice_marks_on_one_place_still_have_rows_of_their_own() {
    let boiler = inherited();
    let mut sheets = boiler.sheets.clone();
    for mark in &mut sheets.level_map.marks {
        if mark.kind != MarkKind::Shell {
            mark.true_level = TrueLevel::from_m(0.3);
        }
    }
    let text = draw(FigureId::LevelMap, boiler, &sheets);
    let document = Document::parse(&text).unwrap();
    let texts = texts(&document);
    for (i, (text, room)) in texts.iter().enumerate() {
        for (other, taken) in &texts[i + 1..] {
            assert!(!room.meets(*taken), "`{text}` lies on `{other}`");
        }
    }
}

#[test]
fn practice_a_cell_far_below_does_not_shrink_the_vessel() {
    // Invented: the drum's cell stands at the firing floor. The legs are broken and the height is written.
    let drum = case("paper-mill-drum-boiler");
    let text = draw(FigureId::LevelMap, drum, &drum.sheets);
    let document = Document::parse(&text).unwrap();
    let units = DisplayUnits::of(&drum.described);
    let level = units.level_text(-drum.described.cell.below_lower_tap_m);
    assert!(text.contains(&format!("cell at {level}")));
    let ticks: Vec<f64> = document
        .descendants()
        .filter(|n| n.attribute("class") == Some("mark shell"))
        .map(|n| number(n.first_element_child().unwrap(), "y1"))
        .collect();
    assert!(ticks[1] - ticks[0] > 300.0, "{ticks:?}");
}
