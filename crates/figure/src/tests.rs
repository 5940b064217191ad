//! What holds for every figure of every kind of loop.

use halfglass_core::description::{Loop, UnitSystem};
use halfglass_core::design::Sheets;
use halfglass_core::level_map::MarkKind;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;
use roxmltree::{Document, Node};

use crate::fixture;
use crate::labels::Room;
use crate::lettering::{Weight, width};
use crate::svg;

pub(super) const ALL: [FigureId; 6] = [
    FigureId::LevelMap,
    FigureId::ErrorMap,
    FigureId::RangeChart,
    FigureId::GlassCard,
    FigureId::TuningResponse,
    FigureId::TuningWindow,
];

pub(super) fn loops() -> Vec<Loop> {
    vec![
        fixture::shell_boiler(),
        fixture::inherited_boiler(),
        fixture::standing_tank(),
        fixture::sealed_deaerator(),
        fixture::dry_leg_deaerator(),
        fixture::drum_boiler(),
        fixture::vented_tank(),
    ]
}

/// Every figure of every loop in both systems of units.
fn for_each_figure(check: impl Fn(&str, &Document<'_>, &str)) {
    for described in loops() {
        let sheets = fixture::sheets(&described);
        for system in [UnitSystem::Us, UnitSystem::Si] {
            let units = DisplayUnits::of(&described).with_system(system);
            for id in ALL {
                let text = svg(id, &described, &sheets, &units);
                let name = format!(
                    "{} of {} ({}), {system:?}",
                    id.stem(),
                    described.identity.tag,
                    described.identity.service
                );
                let document = Document::parse(&text).expect(&name);
                check(&name, &document, &text);
            }
        }
    }
}

fn level_map(described: &Loop) -> (String, Sheets, DisplayUnits) {
    let sheets = fixture::sheets(described);
    let units = DisplayUnits::of(described);
    (
        svg(FigureId::LevelMap, described, &sheets, &units),
        sheets,
        units,
    )
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Texts a reader sees, with the room they take.
fn texts(document: &Document<'_>) -> Vec<(String, Room)> {
    document
        .descendants()
        .filter(|n| n.has_tag_name("text") && n.attribute("aria-hidden").is_none())
        .map(|n| {
            let text = n.text().unwrap_or_default().to_owned();
            let (x, y, size) = (number(n, "x"), number(n, "y"), number(n, "font-size"));
            let weight = match n.attribute("font-weight") {
                Some(_) => Weight::SemiBold,
                None => Weight::Regular,
            };
            let wide = width(&text, size, weight);
            let before = match n.attribute("text-anchor") {
                Some("middle") => 0.5 * wide,
                Some("end") => wide,
                _ => 0.0,
            };
            // From the tops of capitals to a little under the baseline.
            let (up, down) = (0.68 * size, 0.12 * size);
            let room = if n.attribute("transform").is_some() {
                Room {
                    left: x - up,
                    right: x + down,
                    top: y + before - wide,
                    bottom: y + before,
                }
            } else {
                Room {
                    left: x - before,
                    right: x - before + wide,
                    top: y - up,
                    bottom: y + down,
                }
            };
            (text, room)
        })
        .collect()
}

#[test]
fn property_figures_stand_alone() {
    for_each_figure(|name, document, text| {
        for forbidden in [
            "NaN", "inf", "<script", "<style", "href", "url(", "<image", "var(", "<filter",
        ] {
            assert!(!text.contains(forbidden), "{name}: {forbidden}");
        }
        let root = document.root_element();
        let labelled = root.attribute("aria-labelledby").unwrap();
        for id in labelled.split(' ') {
            assert!(
                root.children()
                    .any(|n| n.attribute("id") == Some(id)
                        && n.text().is_some_and(|t| !t.is_empty())),
                "{name}: {id}"
            );
        }
    });
}

#[test]
fn property_same_numbers_give_the_same_bytes() {
    for described in loops() {
        let units = DisplayUnits::of(&described);
        for id in ALL {
            let once = svg(id, &described, &fixture::sheets(&described), &units);
            let again = svg(id, &described, &fixture::sheets(&described), &units);
            assert_eq!(once, again);
        }
    }
}

#[test]
fn property_no_text_lies_on_another_or_leaves_the_figure() {
    for_each_figure(|name, document, _| {
        let view: Vec<f64> = document
            .root_element()
            .attribute("viewBox")
            .unwrap()
            .split(' ')
            .map(|v| v.parse().unwrap())
            .collect();
        let texts = texts(document);
        for (i, (text, room)) in texts.iter().enumerate() {
            assert!(
                room.left >= 0.0
                    && room.top >= 0.0
                    && room.right <= view[2]
                    && room.bottom <= view[3],
                "{name}: `{text}` leaves the figure: {room:?}"
            );
            for (other, taken) in &texts[i + 1..] {
                assert!(
                    !room.meets(*taken),
                    "{name}: `{text}` {room:?} lies on `{other}` {taken:?}"
                );
            }
        }
    });
}

#[test]
fn property_level_map_is_to_scale() {
    for described in loops() {
        let (text, sheets, _) = level_map(&described);
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
            described.identity.service
        );
    }
}

#[test]
fn property_every_mark_is_on_the_level_map_with_its_numbers() {
    for described in loops() {
        let (text, sheets, units) = level_map(&described);
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
    let (text, ..) = level_map(&fixture::inherited_boiler());
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
fn property_only_a_few_colours_are_used() {
    for_each_figure(|name, document, _| {
        for node in document.descendants() {
            for attribute in ["fill", "stroke"] {
                let Some(colour) = node.attribute(attribute).filter(|c| *c != "none") else {
                    continue;
                };
                let grey = colour.len() == 7
                    && colour[1..3] == colour[3..5]
                    && colour[3..5] == colour[5..7];
                assert!(
                    grey || ["#c9dcea", "#2f6f9f", "#8c2f1b"].contains(&colour),
                    "{name}: {colour}"
                );
            }
        }
    });
}

#[test]
fn practice_blind_bands_lie_beyond_the_connections() {
    // A wet leg is blind at both ends, an open reference port only below its tap.
    for (described, bands) in [(fixture::shell_boiler(), 2), (fixture::standing_tank(), 1)] {
        let (text, ..) = level_map(&described);
        let document = Document::parse(&text).unwrap();
        let blind = document
            .descendants()
            .find(|n| n.attribute("class") == Some("blind"))
            .unwrap();
        let outlines = blind
            .children()
            .filter(|n| n.has_tag_name("path") && n.attribute("fill") == Some("none"))
            .count();
        assert_eq!(outlines, bands, "{}", described.identity.service);
        assert!(texts(&document).iter().any(|(t, _)| t == "cell blind"));
    }
}

#[test]
fn practice_marks_on_one_place_still_have_rows_of_their_own() {
    let mut described = fixture::inherited_boiler();
    let level = described.limits.set_point_m;
    described.limits.low_alarm_m = Some(level);
    described.limits.high_alarm_m = Some(level);
    described.limits.low_cutoff_m = Some(level);
    described.limits.second_low_cutoff_m = Some(level);
    described.limits.high_trip_m = Some(level);
    let (text, ..) = level_map(&described);
    let document = Document::parse(&text).unwrap();
    let texts = texts(&document);
    for (i, (text, room)) in texts.iter().enumerate() {
        for (other, taken) in &texts[i + 1..] {
            assert!(!room.meets(*taken), "`{text}` lies on `{other}`");
        }
    }
}

#[test]
fn practice_the_card_says_what_an_empty_glass_means() {
    // Common practice: an empty glass on a fired boiler means stop firing and do not feed.
    for (described, words) in [
        (
            fixture::inherited_boiler(),
            "EMPTY GLASS: stop firing, do not feed.",
        ),
        (fixture::standing_tank(), "EMPTY GLASS: too low to see."),
    ] {
        let sheets = fixture::sheets(&described);
        let card = svg(
            FigureId::GlassCard,
            &described,
            &sheets,
            &DisplayUnits::of(&described),
        );
        assert!(card.contains(words));
        assert!(card.contains("is a low-water cutoff"));
    }
}

#[test]
fn practice_the_card_shows_the_set_point_across_all_three() {
    let described = fixture::inherited_boiler();
    let sheets = fixture::sheets(&described);
    let units = DisplayUnits::of(&described);
    let card = svg(FigureId::GlassCard, &described, &sheets, &units);
    let document = Document::parse(&card).unwrap();
    let mark = sheets
        .level_map
        .marks
        .iter()
        .find(|m| m.kind == MarkKind::SetPoint)
        .unwrap();
    let strong: Vec<String> = document
        .descendants()
        .filter(|n| n.attribute("font-weight").is_some() && n.attribute("font-size") == Some("22"))
        .map(|n| n.text().unwrap().to_owned())
        .collect();
    assert_eq!(
        strong,
        [
            units.level_number(mark.glass_hot.unwrap().m()),
            units.level_number(mark.true_level.m()),
            units.level_number(mark.indicated_hot.unwrap().m()),
        ]
    );
}

#[test]
fn practice_forecasts_say_so() {
    for_each_figure(|name, document, _| {
        let forecast = texts(document).iter().any(|(t, _)| t == "FORECAST");
        assert_eq!(forecast, name.starts_with("tuning"), "{name}");
    });
}

#[test]
fn practice_an_empty_window_is_said_in_words() {
    let described = fixture::inherited_boiler();
    let mut sheets = fixture::sheets(&described);
    sheets.tuning.window_open = false;
    sheets.tuning.slowest = None;
    let text = svg(
        FigureId::TuningWindow,
        &described,
        &sheets,
        &DisplayUnits::of(&described),
    );
    assert!(text.contains("the window is empty"));
}

#[test]
fn practice_settings_that_run_away_are_cut_and_named() {
    let described = fixture::inherited_boiler();
    let mut sheets = fixture::sheets(&described);
    let habit = &mut sheets.tuning.habit;
    habit.stable = false;
    habit.max_sensitivity_ratio = f64::INFINITY;
    habit.response = (0..600)
        .map(|i| {
            let t = f64::from(i);
            (2.0 * t, 0.001 * (0.05 * t).exp() * (0.1 * t).sin())
        })
        .collect();
    for id in [FigureId::TuningResponse, FigureId::TuningWindow] {
        let text = svg(id, &described, &sheets, &DisplayUnits::of(&described));
        let document = Document::parse(&text).unwrap();
        assert!(texts(&document).iter().any(|(t, _)| t.contains("unstable")));
        assert!(!text.contains("inf") && !text.contains("NaN"));
        for path in document.descendants().filter_map(|n| n.attribute("d")) {
            for value in path.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')) {
                let value: f64 = value.parse().unwrap_or(0.0);
                assert!((-50.0..=1000.0).contains(&value), "{path}");
            }
        }
    }
}

#[test]
fn practice_what_cannot_be_drawn_is_said() {
    let tank = fixture::standing_tank();
    let no_glass = fixture::sealed_deaerator();
    for (id, described, words) in [
        (FigureId::ErrorMap, tank, "stands at one pressure"),
        (FigureId::GlassCard, no_glass, "no gauge glass"),
    ] {
        let sheets = fixture::sheets(&described);
        let text = svg(id, &described, &sheets, &DisplayUnits::of(&described));
        assert!(text.contains(words), "{}", id.stem());
    }
}

#[test]
fn practice_every_range_is_named_on_the_chart() {
    let described = fixture::inherited_boiler();
    let sheets = fixture::sheets(&described);
    let text = svg(
        FigureId::RangeChart,
        &described,
        &sheets,
        &DisplayUnits::of(&described),
    );
    for words in ["to set: hot", "bench (cold)", "as found", "equalised"] {
        assert!(text.contains(words), "{words}");
    }
}
