//! What holds for the figures of the water side and of the uncertainty.

use halfglass_core::feedwater::sheets::DutyKind;
use halfglass_report::block::FigureId;
use roxmltree::{Document, Node};

use crate::fixture::{Case, case, cases};
use crate::labels::Room;
use crate::svg::INK;
use crate::tests::{draw, number, texts};

fn group<'a>(document: &'a Document<'a>, class: &str) -> Option<Node<'a, 'a>> {
    document
        .descendants()
        .find(|node| node.attribute("class") == Some(class))
}

/// Box round the points of a path of straight lines.
fn room_of(path: &str) -> Room {
    let numbers: Vec<f64> = path
        .split(['M', 'L', ' ', 'Z'])
        .filter_map(|text| text.parse().ok())
        .collect();
    let of = |at: usize, take: fn(f64, f64) -> f64, from: f64| {
        numbers
            .iter()
            .skip(at)
            .step_by(2)
            .fold(from, |all, value| take(all, *value))
    };
    Room {
        left: of(0, f64::min, f64::INFINITY),
        top: of(1, f64::min, f64::INFINITY),
        right: of(0, f64::max, f64::NEG_INFINITY),
        bottom: of(1, f64::max, f64::NEG_INFINITY),
    }
}

fn has_safety_valve_duty(case: &Case) -> bool {
    case.sheets.feedwater.as_ref().is_some_and(|sheet| {
        sheet
            .duties
            .iter()
            .any(|duty| duty.kind == DutyKind::SafetyValve)
    })
}

/// Bars of shares below 0 run left: neither they nor the longest lie on a name or a number.
#[test]
fn property_no_bar_of_the_budget_lies_on_a_text() {
    let mut negative = 0;
    for case in cases() {
        let text = draw(FigureId::UncertaintyBudget, case, &case.sheets);
        let document = Document::parse(&text).expect(case.name);
        let bars: Vec<Room> = document
            .descendants()
            .filter_map(|node| node.attribute("d"))
            .map(room_of)
            .collect();
        for (words, room) in texts(&document) {
            assert!(
                bars.iter().all(|bar| !bar.meets(room)),
                "{}: {words}",
                case.name
            );
            negative += usize::from(words.starts_with('\u{2212}'));
        }
    }
    assert!(negative > 0, "no share below 0 among the loops");
}

/// The valve that would serve better than the fitted one is drawn and named beside it.
#[test]
fn practice_the_better_valve_is_drawn_beside_the_fitted_one() {
    let found = case("inherited-cold-range");
    let sheet = found.sheets.feedwater.as_ref().expect("a water side");
    let better = sheet
        .candidates
        .iter()
        .find(|size| size.serves_better)
        .expect("a better one");
    let text = draw(FigureId::ValveChoice, found, &found.sheets);
    let document = Document::parse(&text).expect("well formed");
    let key: Vec<&str> = group(&document, "key")
        .expect("a key")
        .descendants()
        .filter(Node::is_text)
        .filter_map(|node| node.text())
        .collect();
    for (name, standing) in [
        (&better.name, "would serve better"),
        (&sheet.chosen_name, "fitted"),
    ] {
        let named = key
            .iter()
            .any(|line| line.contains(name.as_str()) && line.ends_with(standing));
        assert!(named, "{name}: {key:?}");
    }
}

/// Key and words stand clear of the curves: every text of the choice is off every curve.
#[test]
fn property_no_text_of_the_choice_lies_on_a_curve() {
    for case in cases() {
        let text = draw(FigureId::ValveChoice, case, &case.sheets);
        let document = Document::parse(&text).expect(case.name);
        for path in document.descendants().filter_map(|node| {
            let is_curve =
                node.attribute("stroke") == Some(INK) && node.attribute("fill") == Some("none");
            node.attribute("d").filter(|_| is_curve)
        }) {
            let points: Vec<(f64, f64)> = path
                .split(['M', 'L'])
                .filter_map(|pair| pair.split_once(' '))
                .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
                .collect();
            for (words, room) in texts(&document) {
                let crossed = points
                    .windows(2)
                    .any(|pair| room.is_crossed_by(pair[0], pair[1]));
                assert!(!crossed, "{}: `{words}`", case.name);
            }
        }
    }
}

/// The duty at the set of the safety valves has its mark and its name in both figures of the water side. In the supply's, the mark
/// stands as far under the supply as the valve is left drop.
#[test]
fn practice_the_duty_at_the_safety_valves_set_is_drawn() {
    let mut drawn = 0;
    for case in cases() {
        let expected = has_safety_valve_duty(case);
        for id in [FigureId::ValveChoice, FigureId::SupplyCurve] {
            let text = draw(id, case, &case.sheets);
            let document = Document::parse(&text).expect(case.name);
            let named = texts(&document)
                .iter()
                .any(|(words, _)| words.starts_with("safety-valve set:"));
            assert_eq!(named, expected, "{} of {}", id.stem(), case.name);
        }
        let text = draw(FigureId::SupplyCurve, case, &case.sheets);
        let document = Document::parse(&text).expect(case.name);
        assert_eq!(group(&document, "safety-valve").is_some(), expected);
        if let Some(mark) = group(&document, "safety-valve") {
            let path = mark
                .descendants()
                .find_map(|node| node.attribute("d"))
                .expect("a mark");
            let mark = room_of(path);
            let (x, y) = (0.5 * (mark.left + mark.right), mark.top + 6.0);
            // Rings at the ends of the largest duty's line: its drop to the same scale.
            let ends: Vec<f64> = document
                .descendants()
                .filter(|node| node.has_tag_name("circle") && (number(*node, "cx") - x).abs() < 0.1)
                .map(|node| number(node, "cy"))
                .collect();
            let [top, bottom] = ends[..] else {
                panic!("{}: {ends:?}", case.name)
            };
            let sheet = case.sheets.feedwater.as_ref().expect("has duties");
            let drop = |kind| {
                let of_kind = sheet.duties.iter().filter(|duty| duty.kind == kind);
                of_kind
                    .max_by(|a, b| a.flow_kg_s.total_cmp(&b.flow_kg_s))
                    .expect("a duty")
                    .pressure_drop_pa
            };
            let share = (y - top) / (bottom - top);
            let wanted = drop(DutyKind::SafetyValve) / drop(DutyKind::Stated);
            assert!(
                (share - wanted).abs() < 0.02,
                "{}: {share} {wanted}",
                case.name
            );
            drawn += 1;
        }
    }
    assert!(drawn >= 3);
}
