//! What holds for every figure of every kind of loop.

use halfglass_core::description::UnitSystem;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::{Blind, MarkKind};
use halfglass_core::quantity::IndicatedLevel;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;
use roxmltree::{Document, Node};

use crate::fixture::{Case, case, cases};
use crate::labels::Room;
use crate::lettering::{Weight, width};
use crate::svg;

pub(super) const ALL: [FigureId; 11] = FigureId::ALL;

/// Every figure of every loop in both systems of units.
fn for_each_figure(check: impl Fn(&str, &Document<'_>, &str)) {
    for case in cases() {
        for system in [UnitSystem::Us, UnitSystem::Si] {
            let units = DisplayUnits::of(&case.described).with_system(system);
            for id in ALL {
                let text = svg(id, &case.described, &case.sheets, &units);
                let name = format!("{} of {}, {system:?}", id.stem(), case.name);
                let document = Document::parse(&text).expect(&name);
                check(&name, &document, &text);
            }
        }
    }
}

pub(super) fn draw(id: FigureId, case: &Case, sheets: &Sheets) -> String {
    let units = DisplayUnits::of(&case.described);
    svg(id, &case.described, sheets, &units)
}

/// The example with most to show: cold range and quick reset as found.
pub(super) fn inherited() -> &'static Case {
    case("inherited-cold-range")
}

pub(super) fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Texts a reader sees, with the room they take.
pub(super) fn texts(document: &Document<'_>) -> Vec<(String, Room)> {
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
    for case in cases() {
        let copy = case.sheets.clone();
        for id in ALL {
            assert_eq!(draw(id, case, &case.sheets), draw(id, case, &copy));
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
fn practice_the_card_says_what_an_empty_glass_means() {
    // Common practice: an empty glass on a fired boiler means stop firing and do not feed.
    for (name, words) in [
        (
            "laundry-shell-boiler",
            "EMPTY GLASS: stop firing, do not feed.",
        ),
        (
            "paper-mill-drum-boiler",
            "EMPTY GLASS: stop firing, do not feed.",
        ),
        ("brewery-feed-tank", "EMPTY GLASS: too low to see."),
    ] {
        let card = draw(FigureId::GlassCard, case(name), &case(name).sheets);
        assert!(card.contains(words), "{name}");
        let trip = if case(name).described.vessel.kind.is_fired() {
            "is a low-water cutoff"
        } else {
            "is a level trip"
        };
        assert!(card.contains(trip), "{name}");
    }
}

/// Units over every column; every alarm and trip by name, with what each column says of it as the level map has it.
#[test]
fn practice_the_card_has_alarms_and_trips_in_all_three_columns() {
    let mut outside = inherited().sheets.clone();
    for mark in &mut outside.level_map.marks {
        match mark.name.as_str() {
            "second low-water cutoff" => mark.glass_hot = None,
            "high trip" => {
                (mark.glass_hot, mark.indicated_hot) = (None, None);
                mark.blind = Some(Blind::Above);
            }
            "low alarm" => {
                mark.indicated_hot = Some(IndicatedLevel::from_percent(
                    outside.error_map.panel_ends.low_percent,
                    inherited().described.range.span,
                ));
            }
            _ => {}
        }
    }
    let of_case = cases()
        .iter()
        .filter(|c| c.described.glass.is_some())
        .map(|c| (c, &c.sheets));
    for (case, sheets) in of_case.chain([(inherited(), &outside)]) {
        let units = DisplayUnits::of(&case.described);
        let text = draw(FigureId::GlassCard, case, sheets);
        for head in ["what you see, ", "true level, ", "what it says, "] {
            assert!(text.contains(&format!("{head}{}", units.level_unit())));
        }
        let document = Document::parse(&text).unwrap();
        let drawn: Vec<Vec<&str>> = document
            .descendants()
            .filter(|n| matches!(n.attribute("class"), Some("row alarm" | "row trip")))
            .map(|n| {
                n.descendants()
                    .filter(Node::is_text)
                    .filter_map(|n| n.text())
                    .map(str::trim)
                    .filter(|t| !t.is_empty())
                    .collect()
            })
            .collect();
        let marks: Vec<_> = sheets
            .level_map
            .marks
            .iter()
            .filter(|m| matches!(m.kind, MarkKind::Alarm | MarkKind::Trip))
            .collect();
        assert_eq!(drawn.len(), marks.len(), "{}", case.name);
        for (texts, mark) in drawn.iter().zip(marks) {
            let name = texts[0];
            assert!(
                ["alarm", "trip", "cutoff"]
                    .iter()
                    .any(|word| name.contains(word) && mark.name.ends_with(word))
            );
            let above = mark.true_level.m() > case.described.limits.set_point_m;
            let beyond =
                |column: &str| format!("{} {column}", if above { "above" } else { "below" });
            let ends = sheets.error_map.panel_ends;
            let panel = mark.indicated_hot.filter(|says| {
                let percent = says.percent(case.described.range.span);
                percent > ends.low_percent + 0.001 && percent < ends.high_percent - 0.001
            });
            let expected = [
                mark.glass_hot
                    .map_or_else(|| beyond("the glass"), |l| units.level_number(l.m())),
                units.level_number(mark.true_level.m()),
                panel.map_or_else(|| beyond("its range"), |l| units.level_number(l.m())),
            ];
            assert_eq!(
                *texts,
                [name, &expected[0], name, &expected[1], name, &expected[2]],
                "{}: {}",
                case.name,
                mark.name
            );
        }
    }
}

/// Tags of one column never lie on each other: the frames of the card are its closed paths of a tag's size.
#[test]
fn practice_tags_of_the_card_keep_apart() {
    for case in cases().iter().filter(|c| c.described.glass.is_some()) {
        let text = draw(FigureId::GlassCard, case, &case.sheets);
        let document = Document::parse(&text).unwrap();
        let rows = document
            .descendants()
            .filter(|n| n.attribute("class").is_some_and(|c| c.starts_with("row ")));
        let mut frames: Vec<(f64, f64)> = rows
            .flat_map(|n| {
                n.descendants()
                    .filter(|n| n.has_tag_name("path"))
                    .collect::<Vec<_>>()
            })
            .map(|n| {
                let mut numbers = n
                    .attribute("d")
                    .unwrap()
                    .split(['M', 'L', ' ', 'Z'])
                    .filter_map(|t| t.parse().ok());
                (numbers.next().unwrap(), numbers.next().unwrap())
            })
            .collect();
        assert!(frames.len() >= 3 * 5, "{}", case.name);
        frames.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for pair in frames.windows(2) {
            let one_column = (pair[0].0 - pair[1].0).abs() < 1.0;
            assert!(
                !one_column || pair[1].1 - pair[0].1 >= 34.0,
                "{}: {pair:?}",
                case.name
            );
        }
    }
}

/// Cold water lies on no curve of boiling water: the start-up points are marks of their own.
#[test]
fn practice_cold_points_are_plotted_apart() {
    let laundry = case("laundry-shell-boiler");
    let text = draw(FigureId::ErrorMap, laundry, &laundry.sheets);
    let document = Document::parse(&text).unwrap();
    let cold = document
        .descendants()
        .find(|n| n.attribute("class") == Some("cold"))
        .unwrap();
    let marks = cold
        .descendants()
        .filter(|n| {
            n.attribute("fill").is_some_and(|fill| fill != "none") && !n.has_tag_name("text")
        })
        .count();
    assert_eq!(marks, laundry.sheets.error_map.cold_errors.len());
    assert!(text.contains("cold start-up"));
    // The panel stops at 103.125 % (20.5 mA) and −1.25 % (3.8 mA): the full and the empty cold vessel are filled marks.
    let filled = cold
        .descendants()
        .filter(|n| !n.has_tag_name("text") && n.attribute("fill") == Some(crate::svg::INK));
    assert_eq!(filled.count(), 2);
    assert!(text.contains("filled square: panel pegged"));
    let mut wide = laundry.sheets.clone();
    (
        wide.error_map.panel_ends.low_percent,
        wide.error_map.panel_ends.high_percent,
    ) = (-500.0, 500.0);
    assert!(!draw(FigureId::ErrorMap, laundry, &wide).contains("filled square: panel pegged"));
}

#[test]
fn practice_the_card_shows_the_set_point_across_all_three() {
    let boiler = inherited();
    let sheets = &boiler.sheets;
    let units = DisplayUnits::of(&boiler.described);
    let card = draw(FigureId::GlassCard, boiler, sheets);
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
    let boiler = inherited();
    let mut sheets = boiler.sheets.clone();
    sheets.tuning.window_open = false;
    sheets.tuning.slowest = None;
    let text = draw(FigureId::TuningWindow, boiler, &sheets);
    assert!(text.contains("the window is empty"));
}

#[test]
fn practice_settings_that_run_away_are_cut_and_named() {
    let boiler = inherited();
    let mut sheets = boiler.sheets.clone();
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
        let text = draw(id, boiler, &sheets);
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
    for (id, name, words) in [
        (
            FigureId::ErrorMap,
            "brewery-feed-tank",
            "stands at one pressure",
        ),
        (FigureId::GlassCard, "sealed-deaerator", "no gauge glass"),
    ] {
        let text = draw(id, case(name), &case(name).sheets);
        assert!(text.contains(words), "{name}");
    }
}

#[test]
fn practice_every_range_is_named_on_the_chart() {
    let boiler = inherited();
    let text = draw(FigureId::RangeChart, boiler, &boiler.sheets);
    for words in ["to set: ", "hot, ", "bench (cold)", "as found", "equalised"] {
        assert!(text.contains(words), "{words}");
    }
}
