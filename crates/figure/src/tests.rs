//! What holds for every figure of every kind of loop.

use halfglass_core::description::UnitSystem;
use halfglass_core::design::Sheets;
use halfglass_core::level_map::MarkKind;
use halfglass_core::quantity::TrueLevel;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;
use roxmltree::{Document, Node};

use crate::fixture::{Case, case, cases};
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

fn draw(id: FigureId, case: &Case, sheets: &Sheets) -> String {
    let units = DisplayUnits::of(&case.described);
    svg(id, &case.described, sheets, &units)
}

/// The example with most to show: cold range and quick reset as found.
fn inherited() -> &'static Case {
    case("inherited-cold-range")
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
    for (name, bands) in [("laundry-shell-boiler", 2), ("brewery-feed-tank", 1)] {
        let text = draw(FigureId::LevelMap, case(name), &case(name).sheets);
        let document = Document::parse(&text).unwrap();
        let blind = document
            .descendants()
            .find(|n| n.attribute("class") == Some("blind"))
            .unwrap();
        let outlines = blind
            .children()
            .filter(|n| n.has_tag_name("path") && n.attribute("fill") == Some("none"))
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

/// Units over every column; alarms and trips by name at the vessel's scale where the card reaches them.
#[test]
fn practice_the_card_names_units_alarms_and_trips() {
    let card = draw(
        FigureId::GlassCard,
        case("laundry-shell-boiler"),
        &case("laundry-shell-boiler").sheets,
    );
    for words in [
        "what you see, in",
        "true level, in",
        "what it says, in",
        "low alarm 11.0",
        "1st cutoff 8.0",
    ] {
        assert!(card.contains(words), "{words}");
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
