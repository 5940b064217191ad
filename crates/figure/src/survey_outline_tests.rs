//! What the outline of a survey must do.
#![cfg(test)]

use halfglass_core::description::UnitSystem;
use halfglass_core::quantity::WaterColumn;
use roxmltree::Document;

use super::*;
use crate::fixture::cases;

fn units() -> DisplayUnits {
    let case = &cases()[0];
    DisplayUnits {
        water_column: WaterColumn::Conventional,
        ..DisplayUnits::of(&case.described).with_system(UnitSystem::Si)
    }
}

const SHELL: SurveyShell = SurveyShell {
    lies: true,
    diameter_m: 2.0,
    length_m: 5.0,
    lower_tap_above_bottom_m: 0.6,
};

const fn height(
    mark: SurveyMark,
    words: &'static str,
    at_m: f64,
    is_answered: bool,
) -> SurveyHeight {
    SurveyHeight {
        mark,
        words,
        at_m,
        is_answered,
    }
}

/// Where the line of a level stands.
fn line_y(document: &Document<'_>, dash: &str) -> f64 {
    let line = document
        .descendants()
        .find(|node| node.attribute("stroke-dasharray") == Some(dash))
        .unwrap();
    line.attribute("y1").unwrap().parse().unwrap()
}

#[test]
fn property_heights_stand_to_the_scale_of_the_shell() {
    let heights = [
        height(SurveyMark::Alarm, "high alarm", 1.0, true),
        height(SurveyMark::Trip, "low cutoff", 0.5, true),
    ];
    let text = survey_outline(&SHELL, &heights, &units());
    let document = Document::parse(&text).unwrap();
    // Half a metre: half the room that the radius of one metre fills.
    let apart = line_y(&document, "9 3 2 3") - line_y(&document, "5 3");
    let expected = (WALL - LEFT) * 0.5;
    assert!((apart - expected).abs() < 0.1, "{apart} {expected}");
}

#[test]
fn practice_what_is_not_surveyed_is_marked_in_words() {
    let heights = [
        height(SurveyMark::UpperTap, "upper tap", 0.8, true),
        height(SurveyMark::SetPoint, "set point", 0.3, false),
    ];
    let text = survey_outline(&SHELL, &heights, &units());
    assert!(text.contains(">800 mm<"), "{text}");
    assert!(text.contains(">300 mm ?<"), "{text}");
    assert!(text.contains("set point 300 mm, an example"), "{text}");
}

#[test]
fn property_any_heights_are_drawn_without_an_impossible_number() {
    for upside_down in [-3.0, 0.0, 40.0] {
        let heights = [
            height(SurveyMark::UpperTap, "upper tap", upside_down, true),
            height(SurveyMark::PotLip, "pot lip", -upside_down, true),
            height(SurveyMark::GlassBottom, "glass", 2.0, true),
            height(SurveyMark::GlassTop, "glass", upside_down, true),
            height(SurveyMark::GlassConnection, "glass", 0.1, true),
            height(SurveyMark::HeatedSurface, "heated", upside_down, true),
            height(SurveyMark::SetPoint, "set point", upside_down, true),
            height(SurveyMark::Cell, "cell", -20.0, true),
        ];
        for shell in [
            SHELL,
            SurveyShell {
                lies: false,
                diameter_m: 0.0,
                length_m: 0.0,
                lower_tap_above_bottom_m: 0.0,
            },
        ] {
            let text = survey_outline(&shell, &heights, &units());
            Document::parse(&text).unwrap();
            assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        }
    }
}
