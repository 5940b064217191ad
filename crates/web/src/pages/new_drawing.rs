//! The drawing of a new loop: the heights of the answers, and of the invented examples where an answer is missing.

use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_core::quantity::{AbsolutePressure, WaterColumn};
use halfglass_core::site::STANDARD_ATMOSPHERE_PA;
use halfglass_figure::{SurveyHeight, SurveyMark, SurveyShell, survey_outline};
use halfglass_loopfile::new::{Answers, Question};
use halfglass_loopfile::quantity_text::{self, Dimension};
use halfglass_report::units::DisplayUnits;

/// Heights that are asked for, their names on the drawing, and +1 for one that counts up.
const HEIGHTS: [(&str, SurveyMark, &str, f64); 14] = [
    (
        "elevations.upper-tap",
        SurveyMark::UpperTap,
        "upper tap",
        1.0,
    ),
    (
        "elevations.highest-heated-surface",
        SurveyMark::HeatedSurface,
        "heated surface",
        1.0,
    ),
    ("reference-leg.pot-lip", SurveyMark::PotLip, "pot lip", 1.0),
    (
        "glass.lower-connection",
        SurveyMark::GlassConnection,
        "glass connection",
        1.0,
    ),
    (
        "glass.visible-bottom",
        SurveyMark::GlassBottom,
        "glass visible from",
        1.0,
    ),
    (
        "glass.visible-top",
        SurveyMark::GlassTop,
        "glass visible to",
        1.0,
    ),
    ("cell.below-lower-tap", SurveyMark::Cell, "cell", -1.0),
    (
        "range.level-at-100",
        SurveyMark::RangeTop,
        "100 % of range",
        1.0,
    ),
    ("limits.set-point", SurveyMark::SetPoint, "set point", 1.0),
    ("limits.low-alarm", SurveyMark::Alarm, "low alarm", 1.0),
    ("limits.high-alarm", SurveyMark::Alarm, "high alarm", 1.0),
    ("limits.low-cutoff", SurveyMark::Trip, "low cutoff", 1.0),
    (
        "limits.second-low-cutoff",
        SurveyMark::Trip,
        "second low cutoff",
        1.0,
    ),
    ("limits.high-trip", SurveyMark::Trip, "high trip", 1.0),
];

/// The outline as SVG.
pub(super) fn drawing(answers: &Answers, questions: &[&Question]) -> String {
    let known = |path: &str| known_m(answers, questions, path);
    let lies = match answers.kind {
        VesselKind::ShellBoiler => true,
        _ => {
            let orientation = "vessel.orientation";
            let written = answers.written(orientation);
            let example = || question(questions, orientation).map(|q| q.example.clone());
            written.or_else(example).as_deref() != Some("vertical")
        }
    };
    let shell_m = |path: &str| known(path).map_or(0.0, |(at_m, _)| at_m.max(0.0));
    let shell = SurveyShell {
        lies,
        diameter_m: shell_m("vessel.inside-diameter"),
        length_m: shell_m("vessel.length"),
        lower_tap_above_bottom_m: shell_m("vessel.lower-tap-above-bottom"),
    };
    let lower_tap = SurveyHeight {
        mark: SurveyMark::LowerTap,
        words: "lower tap",
        at_m: 0.0,
        is_answered: true,
    };
    let asked = HEIGHTS.into_iter().filter_map(|(path, mark, words, sign)| {
        let (at_m, is_answered) = known(path)?;
        Some(SurveyHeight {
            mark,
            words,
            at_m: sign * at_m,
            is_answered,
        })
    });
    let heights: Vec<SurveyHeight> = std::iter::once(lower_tap).chain(asked).collect();
    survey_outline(&shell, &heights, &units(answers.units))
}

/// Only levels and lengths are printed: what the units say of water columns and air is not used.
const fn units(system: UnitSystem) -> DisplayUnits {
    DisplayUnits {
        system,
        water_column: WaterColumn::Conventional,
        atmosphere: AbsolutePressure::from_pa(STANDARD_ATMOSPHERE_PA),
    }
}

fn question<'a>(questions: &[&'a Question], path: &str) -> Option<&'a Question> {
    questions.iter().copied().find(|q| q.path == path)
}

/// A length as answered, or as its example with `false`; `None` where the loop does without.
fn known_m(answers: &Answers, questions: &[&Question], path: &str) -> Option<(f64, bool)> {
    let question = question(questions, path)?;
    let read = |text: &str| quantity_text::parse(text, Dimension::Length).ok();
    if let Some(answered) = answers.written(path).and_then(|text| read(&text)) {
        return Some((answered.value, true));
    }
    let is_there = question.default.is_none()
        && question
            .only_after
            .is_none_or(|first| answers.is_set(first));
    let example = is_there.then(|| read(&question.example)).flatten()?;
    Some((example.value, false))
}
